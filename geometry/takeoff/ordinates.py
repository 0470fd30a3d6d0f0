"""Aerofoils from a text of ordinates, in both orders that are about.

Round: a title, then x y line by line from the trailing edge over the top to the leading edge and back below. By
surfaces: a title, a line with the number of points of either surface, then the upper from the leading edge aft, and
the lower likewise. Chords of 1 or of 100 (percent) are told apart by the figures.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from ringwright.geometry import curve
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Point
from ringwright.geometry.takeoff.aerofoil import Aerofoil, section_of

MOST_CHARACTERS = 200_000
MOST_POINTS = 2_000
_FEWEST = 9


def aerofoil_text(text: str, chord: float) -> Aerofoil:
    """Aerofoil at its chord, mm, as a smooth line through the ordinates of a text, broken at the trailing edge.

    Where its x runs from a little beside 0 or to a little beside 1, it is moved and scaled to run there; `notes`
    of the result say so. GeometryError 'not-an-aerofoil', naming the line of the text where one is to blame;
    'no-size' for a chord that is none.
    """
    if not chord > 0:
        raise GeometryError("no-size", f"a chord must be above 0, not {short(chord, 3)} mm")
    if len(text) > MOST_CHARACTERS:
        raise GeometryError(
            "not-an-aerofoil", f"a text of ordinates has at most {MOST_CHARACTERS} characters"
        )
    title, rows = _rows(text)
    points = _by_surfaces(rows) if _has_counts(rows) else _round([point for _, point in rows])
    notes: list[str] = []
    points = _sensible(_without_repeats(points), notes)
    line = curve.through([(chord * x, chord * y) for x, y in points], closed=False)
    return section_of(title or "the aerofoil", chord, line, tuple(notes))


def _refused(reason: str) -> GeometryError:
    return GeometryError("not-an-aerofoil", reason)


def _rows(text: str) -> tuple[str, list[tuple[int, Point]]]:
    """The title, and the pairs of figures with the numbers of their lines."""
    title = ""
    rows: list[tuple[int, Point]] = []
    for number, line in enumerate(text.lstrip("\ufeff").splitlines(), 1):
        words = line.split("#")[0].replace(";", " ").replace("\t", " ").split()
        if len(words) == 1 and "," in words[0]:
            words = words[0].split(",")
        words = [word.rstrip(",") for word in words if word != ","]
        if not words:
            continue
        figures = [_figure(word) for word in words]
        if None in figures or len(words) != 2:
            if not rows:
                title = title or line.strip()
                continue
            raise _refused(f"line {number} is no pair of figures: {line.strip()[:40]!r}")
        x, y = (figure for figure in figures if figure is not None)
        if not (math.isfinite(x) and math.isfinite(y)):
            raise _refused(f"line {number} holds a figure that is no number: {line.strip()[:40]!r}")
        rows.append((number, (x, y)))
        if len(rows) > MOST_POINTS:
            raise _refused(f"an aerofoil has at most {MOST_POINTS} points")
    if len(rows) < _FEWEST:
        raise _refused(f"an aerofoil needs {_FEWEST} points or more, this text has {len(rows)}")
    return title[:80], rows


def _figure(word: str) -> float | None:
    if not word.isascii() or "_" in word:
        return None
    try:
        return float(word)
    except ValueError:
        return None


def _has_counts(rows: Sequence[tuple[int, Point]]) -> bool:
    """Whether the first pair is how many points follow: whole numbers that add up."""
    upper, lower = rows[0][1]
    return upper == round(upper) and lower == round(lower) and min(upper, lower) >= 3


def _by_surfaces(rows: Sequence[tuple[int, Point]]) -> list[Point]:
    """Points from the upper trailing edge round, of a text by surfaces."""
    number, (first, second) = rows[0]
    points = [point for _, point in rows[1:]]
    if len(points) != int(first) + int(second):
        raise _refused(
            f"line {number} promises {int(first)} and {int(second)} points, but {len(points)} follow"
        )
    upper, lower = points[: int(first)], points[int(first) :]
    for surface, name in ((upper, "first"), (lower, "second")):
        if surface[0][0] > surface[-1][0]:
            raise _refused(f"the {name} surface must run from the leading edge aft")
    return [*reversed(upper), *lower]


def _round(points: list[Point]) -> list[Point]:
    """Points from the upper trailing edge round, of a text that goes round either way."""
    if points[0] == points[-1] and len(points) > 2 and _middle(points) == 0:
        raise _refused("the points must start at the trailing edge, not at the leading edge")
    return points


def _middle(points: Sequence[Point]) -> int:
    """Index of the foremost point; of two as far forward the one nearer to the axis."""
    return min(range(len(points)), key=lambda i: (points[i][0], abs(points[i][1]), i))


def _without_repeats(points: Sequence[Point]) -> list[Point]:
    kept: list[Point] = []
    for point in points:
        if not kept or math.dist(kept[-1], point) > 1e-9:
            kept.append(point)
    return kept


def _sensible(points: list[Point], notes: list[str]) -> list[Point]:
    """Points upper surface first, on a chord of 1 along x; what was mended goes to the notes."""
    reach = max(x for x, _ in points) - min(x for x, _ in points)
    if 50 <= reach <= 200:
        points = [(x / 100, y / 100) for x, y in points]
        notes.append("its ordinates are percent of the chord")
        reach /= 100
    front = _middle(points)
    if not 0.9 <= reach <= 1.1 or not 2 <= front <= len(points) - 3:
        raise _refused(
            "its points must run from x = 1 at the trailing edge round the leading edge at x = 0 and back"
            if 0.9 <= reach <= 1.1
            else f"x must run from 0 to 1, or to 100 percent; here it spans {short(reach, 3)}"
        )
    if _area(points) < 0:
        points = points[::-1]
        front = len(points) - 1 - front
        notes.append("its lower surface came first: turned about")
    for before, after in pairwise(points[: front + 1]):
        if after[0] > before[0] + 1e-6:
            raise _refused(f"the upper surface turns back at x = {short(before[0], 4)}")
    for before, after in pairwise(points[front:]):
        if after[0] < before[0] - 1e-6:
            raise _refused(f"the lower surface turns back at x = {short(before[0], 4)}")
    return _on_chord(points, front, notes)


def _area(points: Sequence[Point]) -> float:
    x0, y0 = points[0]
    return math.fsum((ax - x0) * (by - y0) - (bx - x0) * (ay - y0) for (ax, ay), (bx, by) in pairwise(points))


def _on_chord(points: list[Point], front: int, notes: list[str]) -> list[Point]:
    """Points moved and scaled so that the foremost lies at x 0 and the rearmost at 1."""
    least, most = points[front][0], max(points[0][0], points[-1][0])
    if abs(least) > 1e-3 or abs(most - 1) > 1e-3:
        notes.append(
            f"its x ran from {short(least, 4)} to {short(most, 4)}: moved and scaled to run from 0 to 1"
        )
        points = [((x - least) / (most - least), y / (most - least)) for x, y in points]
    gap = points[0][1] - points[-1][1]
    if gap < -1e-6 or gap > 0.1:
        raise _refused(f"its trailing edge is open by {short(100 * gap, 1)} % of the chord")
    height = max(y for _, y in points) - min(y for _, y in points)
    if not 0.005 <= height <= 0.6:
        raise _refused(f"it is {short(100 * height, 1)} % of its chord high, which no wing is")
    return points
