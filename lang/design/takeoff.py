"""Shapes drawn from what was measured, tabled or traced, and what the builder is told of each."""

from collections.abc import Callable, Mapping, Sequence
from math import degrees, sqrt
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import fixed, short
from ringwright.geometry.path import Path, Point, bounds
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.solve.terms import Stated
from ringwright.lang.source import Span
from ringwright.lang.values.value import Amount, Items, Pair, ShapeOf, Value

if TYPE_CHECKING:
    from ringwright.geometry.takeoff.circle import CircleFit
    from ringwright.lang.design.making import Maker

SHOWN = 0.05
"""What shows as 0.1 mm, the least that is worth a word."""


class Drawn(NamedTuple):
    """A shape as drawn: an outline, or an open line for a profile; the holes that came with it, and what is said."""

    outline: Path
    holes: tuple[Path, ...] = ()
    said: tuple[Diagnostic, ...] = ()


def draw(maker: "Maker", value: ShapeOf) -> Drawn | None:
    """Draw a shape that is one of these; None for all others. Raises GeometryError."""
    made = DRAWN.get(value.function)
    return None if made is None else made(maker, value)


def profile(maker: "Maker", value: ShapeOf) -> Path:
    """Return a shape as an open line of (along, radius): a curve or a polygon from its first point to its last.

    Raises GeometryError.
    """
    from ringwright.geometry.bow import profile as profiles

    if value.function == "quarter_ellipse":
        return maker.whole(value).outline
    if value.function not in ("curve", "polygon"):
        raise GeometryError(
            "closed-profile", "a profile is curve[…], polygon[…] or quarter_ellipse(…), not an outline"
        )
    listed, points = _listed(maker, value)
    if value.function == "polygon":
        return profiles.straight(points)
    return profiles.smooth(points, corners_of(listed))


def corners_of(listed: Items) -> list[int]:
    """Return the indices of the points at which a curve breaks."""
    return [index for index, item in enumerate(listed.items) if isinstance(item, Items) and item.corner]


def _note(code: str, message: str, span: Span, labels: tuple[Label, ...] = ()) -> Diagnostic:
    return Diagnostic(code, "note", message, span, labels)


def _point(point: Point) -> str:
    return f"({short(point[0], 1)}, {short(point[1], 1)})"


def _listed(maker: "Maker", value: ShapeOf) -> tuple[Items, tuple[Point, ...]]:
    listed = value.arguments[0]
    assert isinstance(listed, Items)
    return listed, maker.points(listed)


# -- fits -----------------------------------------------------------------------------------------


def _circle_through(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.takeoff.circle import circle_fit, circle_through

    points = [maker.point_of(item) for item in value.arguments]
    circle = circle_through(*points)
    fit = circle_fit(points)  # through three points it is that circle, and knows the arc that they span
    return Drawn(circle.outline, (), _short_arc(fit, value) if fit.short_arc else ())


def _circle_fit(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.takeoff.circle import circle_fit

    fit = circle_fit(_listed(maker, value)[1])
    found = (
        f"these points lie within {_size(fit.worst)} mm of a circle ({fixed(fit.rms, 2)} mm root mean square) and"
        f" span {short(degrees(fit.arc), 0)}° of it; its diameter is {short(2 * fit.circle.radius, 2)} mm, its centre"
        f" {_point(fit.circle.centre)}"
    )
    note = _note("points-fitted", found, value.span, _worst(value, fit.worst, fit.worst_point))
    return Drawn(fit.circle.outline, (), (note, *(_short_arc(fit, value) if fit.short_arc else ())))


def _short_arc(fit: "CircleFit", value: ShapeOf) -> tuple[Diagnostic, ...]:
    message = (
        f"these points span {short(degrees(fit.arc), 0)}° of their circle: its diameter of"
        f" {short(2 * fit.circle.radius, 1)} mm is hardly known"
    )
    help = "measure points further round, or the diameter itself"
    return (Diagnostic("short-arc", "warning", message, value.span, (), help),)


def _ellipse_fit(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.takeoff.ellipse import ellipse_fit

    fit = ellipse_fit(_listed(maker, value)[1])
    ellipse = fit.ellipse
    turn = degrees(ellipse.turn)
    found = (
        f"these points lie within {_size(fit.worst)} mm of an ellipse ({fixed(fit.rms, 2)} mm root mean square) of"
        f" {short(2 * ellipse.long, 2)} by {short(2 * ellipse.short, 2)} mm about {_point(ellipse.centre)}; its"
        f" longer axis is turned by {short(turn - 180 if turn > 90 else turn, 1)}°"
    )
    note = _note("points-fitted", found, value.span, _worst(value, fit.worst, fit.worst_point))
    return Drawn(ellipse.outline, (), (note,))


def _size(off: float) -> str:
    return fixed(abs(off), 1)


def _worst(value: ShapeOf, off: float, index: int) -> tuple[Label, ...]:
    """Point at the point that lies furthest off, where it lies off at all."""
    if abs(off) < SHOWN:
        return ()
    return (Label(value.places[index], f"{_size(off)} mm {'outside' if off > 0 else 'inside'}"),)


def _arc(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.takeoff.circle import arc, sagitta_radius, sagitta_slope

    chord, rise = (maker.amount(argument) for argument in value.arguments)
    spreads = [_spread(argument) for argument in value.arguments]
    drawn = arc(chord, rise)
    if spreads == [0.0, 0.0]:
        return Drawn(drawn)
    radius = sagitta_radius(chord, rise)
    off = sqrt(sum((slope * by) ** 2 for slope, by in zip(sagitta_slope(chord, rise), spreads, strict=True)))
    said = f"this arc has a radius of {short(radius, 1)} ± {short(off, 1)} mm: so much lies in chord and rise"
    return Drawn(drawn, (), (_note("arc-radius", said, value.span),))


def _spread(value: Value | None) -> float:
    """Return how well a length is known that stands there as it was measured; 0 where nothing says."""
    term = value.term if isinstance(value, Amount) else None
    return term.plus_minus or 0.0 if isinstance(term, Stated) else 0.0


def _quarter_ellipse(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.bow.profile import quarter_ellipse

    return Drawn(quarter_ellipse(*(maker.amount(argument) for argument in value.arguments)))


# -- halves and smooth lines ----------------------------------------------------------------------


def _both(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.takeoff.halves import both, paired

    listed, points = _listed(maker, value)
    halves = both(paired(points))
    straight = value.function == "both"
    marked = {points[index] for index in corners_of(listed)}
    corners = [] if straight else [i for i, pair in enumerate(paired(points)) if marked & set(pair)]
    said: tuple[Diagnostic, ...] = ()
    if halves.worst >= SHOWN:
        message = (
            f"left and right differ by up to {fixed(halves.worst, 1)} mm, most about {_point(halves.where)};"
            " what is drawn lies between them"
        )
        said = (_note("halves-differ", message, value.span),)
    if not straight:
        said += _bulges(value, halves.half, corners, True)
    return Drawn(halves.outline(corners, straight), (), said)


def _smooth(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry import outline

    listed, points = _listed(maker, value)
    corners = corners_of(listed)
    half = value.function == "half_curve"
    drawn = (outline.half_curve if half else outline.curve)(points, corners)
    return Drawn(drawn, (), _bulges(value, points, corners, half))


def _bulges(
    value: ShapeOf, points: Sequence[Point], corners: Sequence[int], half: bool
) -> tuple[Diagnostic, ...]:
    """Warn where a smooth line bulges between points that lie in a line."""
    from ringwright.geometry.outline import both_sides
    from ringwright.geometry.takeoff.straight import bulges

    around, breaks = both_sides(points, corners) if half else (list(points), list(corners))
    said: dict[tuple[Point, ...], Diagnostic] = {}
    for bulge in bulges(around, True, breaks):
        ends: tuple[Point, ...] = (bulge.first, bulge.last)
        if half:  # what is mirrored is said of the right side
            ends = tuple(sorted({(abs(y), z) for y, z in ends}, key=around.index))
        between = _point(ends[0]) + (f" and {_point(ends[1])}" if len(ends) > 1 else " and its mirror image")
        cure = " and ".join(f"corner({short(y, 3)}, {short(z, 3)})" for y, z in ends)
        message = (
            f"the points between {between} lie in a line, and the smooth line bulges there by"
            f" {fixed(bulge.by, 1)} mm"
        )
        help = f"if it is straight there, write {cure}"
        said.setdefault(ends, Diagnostic("straight-bulges", "warning", message, value.span, (), help))
    return tuple(said.values())


# -- drawings and tables --------------------------------------------------------------------------


def _blamed(error: GeometryError, places: Mapping[str, Span], rest: Span) -> GeometryError:
    from ringwright.lang.design.making import Refusal

    return Refusal(error.code, str(error), places.get(error.code, rest))


def _traced(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.takeoff.traced import Known, traced

    path, name, width, known = value.arguments
    assert isinstance(path, str)
    assert isinstance(name, str)
    pairs = [pair for pair in known.items if isinstance(pair, Pair)] if isinstance(known, Items) else []
    places = [tuple(maker.point_of(end) for end in (pair.first, pair.second)) for pair in pairs]
    try:
        found = traced(
            maker.tree.attached[path].text,
            name,
            None if width is None else maker.amount(width),
            [Known(*ends) for ends in places] if places else None,
        )
    except GeometryError as error:
        at = {"drawing-refused": value.places[0], "no-size": value.span, "not-finite": value.span}
        raise _blamed(error, at, value.places[1]) from None
    left, low, right, high = bounds(found.outline)
    said = (
        f"'{name}' of {path}: one unit of the drawing is {short(found.scale, 4)} mm, so that it is"
        f" {short(right - left, 2)} by {short(high - low, 2)} mm"
    )
    if found.holes:
        count = len(found.holes)
        said += f"; {count} of its lines lie{'s' if count == 1 else ''} within the largest and become"
        said += "s a hole" if count == 1 else " holes"
    return Drawn(found.outline, found.holes, (_note("drawing-traced", said, value.span),))


def _has_chord(value: ShapeOf) -> None:
    """Refuse an aerofoil without a chord: only a wing has chords of its own."""
    from ringwright.lang.design.making import Refusal

    if value.arguments[1] is None:
        message = f"nothing says how long this {value.function} is: chord = 180 mm"
        raise Refusal("wrong-arguments", message, value.span)


def _aerofoil(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.takeoff.naca import naca

    digits, chord = value.arguments
    assert isinstance(digits, str)
    _has_chord(value)
    try:
        return Drawn(naca(digits, maker.amount(chord)).outline)
    except GeometryError as error:
        raise _blamed(error, {"no-size": value.places[1]}, value.places[0]) from None


def _aerofoil_file(maker: "Maker", value: ShapeOf) -> Drawn:
    from ringwright.geometry.takeoff.ordinates import aerofoil_text

    path, chord = value.arguments
    assert isinstance(path, str)
    _has_chord(value)
    try:
        section = aerofoil_text(maker.tree.attached[path].text, maker.amount(chord))
    except GeometryError as error:
        raise _blamed(error, {"no-size": value.places[1]}, value.places[0]) from None
    said = f"of the aerofoil in {path}, " + "; ".join(section.notes)
    return Drawn(
        section.outline,
        (),
        (_note("ordinates-mended", said, value.places[0]),) if section.notes else (),
    )


DRAWN: Mapping[str, Callable[["Maker", ShapeOf], Drawn]] = {
    "aerofoil": _aerofoil,
    "aerofoil_file": _aerofoil_file,
    "arc": _arc,
    "both": _both,
    "both_curve": _both,
    "circle_fit": _circle_fit,
    "circle_through": _circle_through,
    "curve": _smooth,
    "ellipse_fit": _ellipse_fit,
    "half_curve": _smooth,
    "quarter_ellipse": _quarter_ellipse,
    "traced": _traced,
}
