"""Fits, halves, fair lines and aerofoils: every case of takeoff-cases.json, and what must always hold."""

import json
import math
from contextlib import suppress
from itertools import pairwise
from pathlib import Path as File

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from ringwright.geometry import outline, path
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.takeoff.aerofoil import heights_at, thickest
from ringwright.geometry.takeoff.circle import (
    arc,
    circle_fit,
    circle_through,
    sagitta_radius,
    sagitta_slope,
)
from ringwright.geometry.takeoff.ellipse import ellipse_fit
from ringwright.geometry.takeoff.fairness import sticking_out
from ringwright.geometry.takeoff.halves import both, paired
from ringwright.geometry.takeoff.naca import naca, naca_points, nose_radius, station
from ringwright.geometry.takeoff.ordinates import aerofoil_text

CASES = json.loads((File(__file__).parent / "takeoff-cases.json").read_text(encoding="utf-8"))["cases"]


def fit(i: dict) -> dict:
    if "chord" in i:
        return {"r": sagitta_radius(i["chord"], i["rise"])}
    points = [tuple(point) for point in i["points"]]
    if len(points) == 3:
        made = circle_through(*points)
        radii = [math.dist(made.centre, point) for point in points]
        return {"r": made.radius, "spread": max(radii) - min(radii)}
    made = circle_fit(points).circle
    return {"x": made.centre[0], "y": made.centre[1], "r": made.radius}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_case(case: dict) -> None:
    found, goal = fit(case["inputs"]), case["goal"]
    for name, expected in case["expected"].items():
        assert abs(found[name] - expected) <= goal["abs"] + goal["rel"] * abs(expected), name


# Circles and ellipses

place = st.floats(min_value=-200, max_value=200)
size = st.floats(min_value=5, max_value=300)


@given(place, place, size, st.floats(1, 6), st.integers(4, 12))
def test_points_on_a_circle_give_it_back(x: float, y: float, r: float, arc: float, count: int) -> None:
    points = [
        (x + r * math.cos(arc * k / count), y + r * math.sin(arc * k / count)) for k in range(count + 1)
    ]
    made = circle_fit(points)
    assert made.circle.centre == pytest.approx((x, y), abs=1e-7)
    assert made.circle.radius == pytest.approx(r, abs=1e-7)
    assert made.rms < 1e-9
    assert made.arc == pytest.approx(min(arc, 2 * math.pi * count / (count + 1)), abs=0.3)
    through = circle_through(points[0], points[count // 2], points[-1])
    assert through.centre == pytest.approx((x, y), abs=1e-6)
    assert path.signed_area(through.outline) == pytest.approx(math.pi * r * r, rel=1e-8)


def test_a_circle_says_how_far_its_points_lie() -> None:
    points = [(50 * math.cos(k), 50 * math.sin(k)) for k in range(6)]
    points[4] = (51 * math.cos(4), 51 * math.sin(4))
    made = circle_fit(points)
    assert made.worst_point == 4
    assert 0.4 < made.worst < 1
    assert made.rms == pytest.approx(
        math.sqrt(sum((math.dist(made.circle.centre, p) - made.circle.radius) ** 2 for p in points) / 6)
    )


def test_short_arcs_are_said_to_be_short() -> None:
    points = [(150 * math.cos(a), 150 * math.sin(a)) for a in (0.0, 0.2, 0.4, 0.6)]
    assert circle_fit(points).short_arc
    assert not circle_fit([(150 * math.cos(a), 150 * math.sin(a)) for a in (0.0, 0.5, 1.0)]).short_arc


@given(st.floats(10, 300), st.floats(0.5, 200))
def test_chord_and_rise(chord: float, rise: float) -> None:
    r = sagitta_radius(chord, rise)
    assert r == pytest.approx(circle_through((-chord / 2, 0), (0, rise), (chord / 2, 0)).radius, rel=1e-9)
    segment = arc(chord, rise)
    assert path.piece_radius(list(path.pieces(segment))[1]) == pytest.approx(r, rel=1e-9)
    assert path.bounds(segment)[3] == pytest.approx(rise, rel=1e-9)
    assert path.canonical(segment) == segment
    for slope, (c, s) in zip(sagitta_slope(chord, rise), ((1e-5, 0), (0, 1e-5)), strict=True):
        near = (sagitta_radius(chord + c, rise + s) - sagitta_radius(chord - c, rise - s)) / 2e-5
        assert slope == pytest.approx(near, rel=1e-4, abs=1e-4)


@given(place, place, st.floats(30, 100), st.floats(0.3, 0.9), st.floats(0.1, 3), st.integers(6, 14))
def test_points_on_an_ellipse_give_it_back(
    x: float, y: float, a: float, share: float, turn: float, count: int
) -> None:
    b, cos, sin = share * a, math.cos(turn), math.sin(turn)
    angles = [2 * math.pi * k / count + 0.3 for k in range(count)]
    points = [
        (x + a * cos * math.cos(t) - b * sin * math.sin(t), y + a * sin * math.cos(t) + b * cos * math.sin(t))
        for t in angles
    ]
    made = ellipse_fit(points)
    assert made.rms < 1e-7
    assert made.ellipse.centre == pytest.approx((x, y), abs=1e-5)
    assert (made.ellipse.long, made.ellipse.short) == pytest.approx((a, b), abs=1e-5)
    assert made.ellipse.turn == pytest.approx(turn, abs=1e-5)
    drawn = made.ellipse.outline
    assert path.signed_area(drawn) == pytest.approx(math.pi * a * b, rel=1e-4)
    assert path.centroid(drawn) == pytest.approx((x, y), abs=1e-3)


def test_an_upright_ellipse_stays_upright() -> None:
    points = [(60 * math.cos(t) + 0.4 * math.sin(7 * t), 40 * math.sin(t)) for t in range(12)]
    made = ellipse_fit(points, upright=True)
    assert made.ellipse.turn == 0
    assert (made.ellipse.long, made.ellipse.short) == pytest.approx((60, 40), abs=0.5)
    assert made.rms >= ellipse_fit(points).rms
    tall = ellipse_fit([(y, x) for x, y in points], upright=True)
    assert tall.ellipse.turn == pytest.approx(math.pi / 2)
    assert tall.ellipse.long == pytest.approx(made.ellipse.long, abs=1e-6)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: circle_through((0, 0), (1, 1), (2, 2)), "points-in-line"),
        (lambda: circle_through((0, 0), (0, 0), (2, 2)), "points-in-line"),
        (lambda: circle_through((0, 0), (math.nan, 0), (2, 2)), "not-finite"),
        (lambda: circle_fit([(0, 0), (1, 1)]), "too-few-points"),
        (lambda: circle_fit([(0, 0), (1, 1), (2, 2), (5, 5)]), "points-in-line"),
        (lambda: circle_fit([(3, 3)] * 5), "points-in-line"),
        (lambda: sagitta_radius(0, 3), "no-size"),
        (lambda: arc(20, 0), "no-size"),
        (lambda: ellipse_fit([(0, 0), (1, 0), (1, 1), (0, 1)]), "too-few-points"),
        (lambda: ellipse_fit([(k, 0) for k in range(6)]), "no-ellipse"),
        (lambda: ellipse_fit([(3, 3)] * 6), "no-ellipse"),
        (lambda: both([((0, 0), (0, 0))]), "too-few-points"),
        (lambda: both([((0, 9), (0, 9)), ((5, 0), (5, 0))]), "halves-do-not-pair"),
        (lambda: both([((0, 9), (0, 9)), ((-5, 0), (-5, 0))]), "halves-do-not-pair"),
        (lambda: paired([(0, 9), (-5, 0)]), "halves-do-not-pair"),
        (lambda: paired([(0, 9), (-5, 4), (0, 0)]), "halves-do-not-pair"),
        (lambda: circle_fit([(x, x * x) for x in range(501)]), "too-many-points"),
        (lambda: ellipse_fit([(x, x * x) for x in range(501)]), "too-many-points"),
        (lambda: sticking_out([0, 10, 10, 20, 30, 40], [1, 2, 3, 4, 5, 6]), "places-not-in-order"),
    ],
)
def test_refusals_of_fits(make, code: str) -> None:
    with pytest.raises(GeometryError) as refused:
        make()
    assert refused.value.code == code
    assert not str(refused.value).endswith(".")


# Halves


@given(st.lists(st.floats(2, 60), min_size=3, max_size=8), st.floats(-0.9, 0.9))
def test_halves_that_lean_give_their_mean(widths: list[float], lean: float) -> None:
    heights = [60 - 15 * k for k in range(len(widths))]
    listed = [(0.0, 75.0)]
    for width, height in zip(widths, heights, strict=True):
        listed += [(lean - width, height), (lean + width, height)]
    made = both(paired(listed))
    assert [y for y, _ in made.half] == pytest.approx([0, *widths])
    assert made.differences == pytest.approx([0, *[2 * abs(lean)] * len(widths)], abs=1e-9)
    assert made.worst == pytest.approx(2 * abs(lean), abs=1e-9)
    assert path.signed_area(made.outline(straight=True)) == pytest.approx(
        path.signed_area(outline.half(made.half))
    )


def test_both_halves_say_where_they_differ() -> None:
    made = both(paired([(0, 60), (-30, 48), (31, 48), (-44, 10), (47, 12), (-36, -35), (36, -35), (0, -52)]))
    assert made.half == ((0, 60), (30.5, 48), (45.5, 11), (36, -35), (0, -52))
    assert made.worst == pytest.approx(math.hypot(3, 2))
    assert made.where == (45.5, 11)
    assert made.outline() == outline.half_curve(made.half)


# Fair lines


@given(
    st.integers(8, 13),
    st.floats(30, 80),
    st.integers(2, 9),
    st.sampled_from([-1.0, 1.0]),
    st.floats(4, 8),
)
def test_a_misread_station_is_found(count: int, step: float, which: int, sign: float, off: float) -> None:
    places = [step * k for k in range(count)]
    reach = places[-1]
    values = [40 + 30 * x / reach - 50 * (x / reach) ** 2 for x in places]
    assert sticking_out(places, values) == ()
    which = min(which, count - 3)
    values[which] += sign * off
    (found,) = sticking_out(places, values)
    assert found.station == which
    assert found.off == pytest.approx(sign * off, abs=0.35 * off)
    assert found.value - found.off == pytest.approx(found.fair)


@pytest.mark.parametrize(
    ("places", "values"),
    [
        ([0, 60, 120, 180, 240, 300, 400, 500], [30, 48, 55, 55, 55, 55, 47, 30]),
        ([0, 20, 50, 118, 200, 310, 420, 560], [44, 46, 48, 51, 50, 42, 30, 12]),
        ([0, 40, 80, 120, 160, 200], [0, 30, 42, 48, 50, 50]),
        ([0, 100, 200], [10, 50, 10]),
    ],
)
def test_lines_of_fuselages_are_fair(places: list[float], values: list[float]) -> None:
    assert sticking_out(places, values) == ()


# Aerofoils


@given(
    st.sampled_from(["0009", "0012", "2412", "4412", "6409", "23012", "23112", "24015", "25118"]),
    st.floats(40, 400),
    st.booleans(),
)
def test_an_aerofoil_passes_through_its_own_points(digits: str, chord: float, closed: bool) -> None:
    made = naca(digits, chord, closed)
    for upper, lower in naca_points(digits, 31, closed):
        for (x, y), side in ((upper, made.upper), (lower, made.lower)):
            nearest = min(
                distance(piece, (chord * x, chord * y)) for piece in path.pieces(made.outline) if side
            )
            assert nearest < 0.005
    assert (made.trailing_edge == 0) == closed
    assert path.canonical(made.outline) == made.outline
    x, thick = thickest(made)
    assert thick == pytest.approx(chord * int(digits[-2:]) / 100, rel=0.02)
    assert x == pytest.approx(0.3 * chord, abs=0.03 * chord)
    middle = heights_at(made, 0.5 * chord)
    assert middle.thickness == pytest.approx(middle.upper - middle.lower)
    assert middle.camber == pytest.approx((middle.upper + middle.lower) / 2)


def distance(piece: path.Piece, point: path.Point) -> float:
    from ringwright.geometry.meet import distance_to

    return distance_to(piece, point)


@pytest.mark.parametrize("digits", ["4412", "23012", "23112"])
def test_the_surfaces_tangents_are_their_own(digits: str) -> None:
    """The line of arcs keeps its tolerance at places between the stations, too, which wrong tangents would not."""
    made = naca(digits, 200)
    for k in range(1, 400):
        for x, y in station(digits, k / 400):
            assert min(distance(piece, (200 * x, 200 * y)) for piece in path.pieces(made.outline)) < 0.0025


def test_stations_are_close_together_at_both_ends() -> None:
    upper = [point for point, _ in naca_points("0012", 21)]
    steps = [b[0] - a[0] for a, b in pairwise(upper)]
    assert upper[0] == (0, 0)
    assert upper[-1][0] == pytest.approx(1)
    assert steps == pytest.approx(steps[::-1])
    assert max(steps) == pytest.approx(math.sin(math.pi / 20) / 2, rel=1e-9)


def test_the_nose_is_as_round_as_the_report_says() -> None:
    nose = [piece for piece in path.pieces(naca("0012", 100).outline) if abs(piece[0][0]) < 1e-9]
    assert path.piece_radius(nose[0]) == pytest.approx(100 * nose_radius("0012"), rel=0.02)


def text(digits: str, order: str, count: int = 41) -> str:
    pairs = naca_points(digits, count)
    upper, lower = [u for u, _ in pairs], [w for _, w in pairs]
    if order == "round":
        rows = [*upper[::-1], *lower[1:]]
    elif order == "turned":
        rows = [*lower[::-1], *upper[1:]]
    else:
        blocks = ["\n".join(f" {x:9.6f} {y:9.6f}" for x, y in side) for side in (upper, lower)]
        return f"{digits} by surfaces\n  {count}. {count}.\n\n{blocks[0]}\n\n{blocks[1]}\n"
    scale = 100 if order == "turned" else 1
    return f"{digits} {order}\n" + "\n".join(f"{scale * x:.6f}\t{scale * y:.6f}" for x, y in rows)


@pytest.mark.parametrize("order", ["round", "turned", "surfaces"])
@pytest.mark.parametrize("digits", ["0012", "2412", "6409"])
def test_texts_in_both_orders_give_the_aerofoil(digits: str, order: str) -> None:
    made, exact = aerofoil_text(text(digits, order), 200), naca(digits, 200)
    assert made.name.startswith(digits)
    assert len(made.notes) == (2 if order == "turned" else 0)
    for k in range(2, 200):
        found, wanted = heights_at(made, k), heights_at(exact, k)
        assert (found.upper, found.lower) == pytest.approx((wanted.upper, wanted.lower), abs=0.01)
    assert made.outline == path.canonical(made.outline)


def rows(*lines: str) -> str:
    return "title\n" + "\n".join(lines)


GOOD = text("2412", "round", 15).splitlines()[1:]


@pytest.mark.parametrize(
    ("given_text", "word"),
    [
        ("", "9 points or more"),
        (rows(*GOOD[:5]), "9 points or more"),
        (rows(*GOOD[:9], "0.1 nan", *GOOD[9:]), "line 11"),
        (rows(*GOOD[:9], "0,1 0,2 0", *GOOD[9:]), "line 11"),
        (rows(*GOOD[:9], "__1 0", *GOOD[9:]), "line 11"),
        (rows(*GOOD[:9], "1e999 0", *GOOD[9:]), "line 11"),
        (rows(*GOOD[:3], GOOD[4], GOOD[3], *GOOD[5:]), "turns back"),
        (rows("5 5", *GOOD), "promises 5 and 5 points"),
        (rows(*[f"{7 * float(line.split()[0])} {line.split()[1]}" for line in GOOD]), "spans 7"),
        (rows(*[f"{line.split()[0]} {9 * float(line.split()[1])}" for line in GOOD]), "no wing"),
        (rows(*[f"{line.split()[0]} {0 * float(line.split()[1])}" for line in GOOD]), "no wing"),
        (rows(*GOOD[14:], *GOOD[:14]), "trailing edge"),
        (rows(*["0.5 0.1"] * 2500), "2000 points"),
        ("x" * 300_000, "characters"),
    ],
)
def test_texts_that_are_no_aerofoil(given_text: str, word: str) -> None:
    with pytest.raises(GeometryError) as refused:
        aerofoil_text(given_text, 200)
    assert refused.value.code == "not-an-aerofoil"
    assert word in str(refused.value)


@given(st.text(alphabet="0123456789.-+e \n\tn#;,", max_size=300))
def test_no_text_breaks_the_reader(found: str) -> None:
    with suppress(GeometryError):
        assert aerofoil_text("title\n" + found, 100).chord == 100


@pytest.mark.parametrize(
    "digits", ["", "24", "24x2", "2012", "0412", "0000", "2499", "21112", "26012", "٢٤١٢"]
)
def test_no_such_aerofoil(digits: str) -> None:
    with pytest.raises(GeometryError) as refused:
        naca(digits, 100)
    assert refused.value.code == "no-such-aerofoil"


@given(st.floats(-20, 0))
def test_a_chord_must_be_one(chord: float) -> None:
    assume(chord <= 0)
    for make in (lambda: naca("2412", chord), lambda: aerofoil_text(text("2412", "round"), chord)):
        with pytest.raises(GeometryError):
            make()
