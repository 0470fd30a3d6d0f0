"""Outlines traced in a drawing program: what is read, what is refused, and that size and turn come out right."""

import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import path
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.takeoff.drawing import DEEPEST, MOST_ELEMENTS
from ringwright.geometry.takeoff.traced import Known, traced


def svg(inside: str, root: str = "") -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
        f' viewBox="0 0 300 300" {root}>{inside}</svg>'
    )


SQUARE = "M10,10 h40 v40 h-40 z"


def test_a_square_stands_upright_in_the_origin() -> None:
    made = traced(svg('<path id="F2" d="M10,10 h40 v20 h-40 z"/>'), "F2", width=80)
    assert made.outline.points == ((-40, -20), (40, -20), (40, 20), (-40, 20))
    assert made.scale == 2
    assert made.notes == ()


def test_y_points_up() -> None:
    """The tip of the triangle is at the top of the drawing, and of the outline."""
    made = traced(svg('<polygon id="t" points="0,50 100,50 50,10"/>'), "t", width=100)
    assert max(made.outline.points, key=lambda p: p[1]) == pytest.approx((0, 20))


@pytest.mark.parametrize(
    ("shape", "area"),
    [
        ('<rect id="a" x="3" y="4" width="20" height="10"/>', 200),
        ('<rect id="a" width="20" height="10" rx="2"/>', 200 - (4 - math.pi) * 4),
        ('<rect id="a" width="20" height="10" rx="2" ry="4"/>', 200 - (4 - math.pi) * 8),
        ('<rect id="a" width="20" height="10" rx="90"/>', 200 - (4 - math.pi) * 50),
        ('<circle id="a" cx="9" cy="-3" r="10"/>', 100 * math.pi),
        ('<ellipse id="a" cx="9" cy="-3" rx="10" ry="4"/>', 40 * math.pi),
        ('<polygon id="a" points="0,0 20,0 20 10 0 10"/>', 200),
        ('<polyline id="a" points="0,0 20,0 20,10 0,10 0,0"/>', 200),
        ('<path id="a" d="M0 0H20V10H0"/>', None),
        ('<path id="a" d="M0 0H20V10H0z"/>', 200),
        ('<path id="a" d="m0 0 20 0 0 10-20 0z"/>', 200),
        ('<path id="a" d="M0,0L20,0 20,10 0,10Z"/>', 200),
        ('<path id="a" d="M-10 0A10 10 0 0 1 10 0z"/>', 50 * math.pi),
        ('<path id="a" d="M-10,0a10,10 0 0120,0z"/>', 50 * math.pi),
        ('<path id="a" d="M-10 0A5 5 0 1 0 10 0z"/>', 50 * math.pi),
        ('<path id="a" d="M0 0C0 10 20 10 20 0z"/>', 120),
        ('<path id="a" d="M0 0Q10 15 20 0z"/>', 100),
        ('<path id="a" d="M0 0q5 10 10 0t10 0V-20H0z"/>', 400),
        ('<path id="a" d="M0 0c0 5 5 5 5 0s5-5 5 0s5 5 5 0s5-5 5 0v-20H0z"/>', 400),
        ('<path id="a" d="M.5.5.5 10.5 20.5 10.5l0-1e1z"/>', 200),
    ],
)
def test_every_shape_and_command(shape: str, area: float | None) -> None:
    if area is None:
        with pytest.raises(GeometryError, match="open"):
            traced(svg(shape), "a", width=20)
        return
    made = traced(svg(shape), "a", width=20)
    assert path.signed_area(made.outline) == pytest.approx(area, rel=1e-4)
    left, low, right, top = path.bounds(made.outline)
    assert right - left == pytest.approx(20, abs=1e-4)
    assert (left + right, low + top) == pytest.approx((0, 0), abs=1e-3)
    assert made.outline == path.canonical(made.outline)


@pytest.mark.parametrize(
    "transform",
    [
        "translate(10)",
        "translate(10,-5) rotate(30)",
        "rotate(90 10 20)",
        "scale(2,0.5)",
        "scale(-1 1)",
        "skewX(20)",
        "skewY(-15), scale(1.5)",
        "matrix(1 .2 -.3 .9 5 6)",
    ],
)
def test_areas_follow_transforms(transform: str) -> None:
    """Known points keep to the drawing's own units, so that the area is that of the transform's determinant."""
    known = [Known((0, 0), (0, 0)), Known((100, 0), (100, 0))]
    factors = {"scale(2,0.5)": 1, "skewY(-15), scale(1.5)": 2.25, "matrix(1 .2 -.3 .9 5 6)": 0.96}
    for shape, area in (
        ('<circle id="a" cx="30" cy="20" r="12"/>', 144 * math.pi),
        (f'<path id="a" d="{SQUARE}"/>', 1600),
        ('<rect id="a" width="30" height="20" rx="5" ry="3"/>', 600 - (4 - math.pi) * 15),
    ):
        grouped = svg(f'<g transform="{transform}"><g transform="translate(3,4)">{shape}</g></g>')
        made = traced(grouped, "a", known=known)
        assert path.signed_area(made.outline) == pytest.approx(area * factors.get(transform, 1), rel=1e-4)
        direct = traced(
            svg(shape.replace("id=", f'transform="{transform} translate(3,4)" id=')), "a", known=known
        )
        assert direct.outline == made.outline


def test_circles_stay_circles_when_turned() -> None:
    made = traced(svg('<g transform="rotate(25) scale(1,-1)"><circle id="a" r="10"/></g>'), "a", width=50)
    assert {round(abs(path.piece_radius(piece)), 9) for piece in path.pieces(made.outline)} == {25}


@given(st.floats(-200, 200), st.floats(-200, 200), st.floats(-3, 3), st.floats(0.2, 5))
def test_two_known_points_settle_size_turn_and_place(x: float, y: float, turn: float, scale: float) -> None:
    def place(at: tuple[float, float]) -> tuple[float, float]:
        cos, sin = scale * math.cos(turn), scale * math.sin(turn)
        return x + cos * at[0] + sin * at[1], y + sin * at[0] - cos * at[1]

    known = [Known(at, place(at)) for at in ((12.0, 40.0), (90.0, 7.0))]
    made = traced(svg(f'<path id="a" d="{SQUARE}"/>'), "a", known=known)
    wanted = sorted(place(at) for at in ((10, 10), (50, 10), (50, 50), (10, 50)))
    for found, exact in zip(sorted(made.outline.points), wanted, strict=True):
        assert found == pytest.approx(exact, abs=1e-6) or abs(found[0] - exact[0]) < 1e-6
    assert made.scale == pytest.approx(scale)
    assert path.signed_area(made.outline) == pytest.approx(1600 * scale**2)


def test_the_largest_line_is_the_outline_and_the_others_its_holes() -> None:
    data = f"{SQUARE} M20,20 v5 h5 v-5 z M30 30h10v10h-10z"
    made = traced(svg(f'<path id="a" d="{data}"/>'), "a", width=40)
    assert path.signed_area(made.outline) == pytest.approx(1600)
    assert sorted(path.signed_area(hole) for hole in made.holes) == pytest.approx([-100, -25])
    assert made.notes == ('"a" holds 3 lines: the largest is the outline, the others are holes',)
    group = f'<g id="a"><circle cx="30" cy="30" r="5"/><path d="{SQUARE}"/></g>'
    assert len(traced(svg(group), "a", width=40).holes) == 1


def test_uses_are_followed_within_the_drawing() -> None:
    shape = f'<defs><path id="s" d="{SQUARE}"/></defs>'
    for href in ("href", "xlink:href"):
        made = traced(svg(f'{shape}<use id="a" {href}="#s" x="5" transform="scale(3)"/>'), "a", width=40)
        assert made.scale == pytest.approx(1 / 3)


def test_lengths_may_have_units() -> None:
    made = traced(svg('<rect id="a" width="25.4mm" height="0.5in"/>'), "a", width=96)
    assert made.scale == pytest.approx(1)
    assert path.signed_area(made.outline) == pytest.approx(96 * 48)


def test_curves_lie_within_their_tolerance() -> None:
    data = "M0 0C40 -60 90 40 120 0S80 90 20 70 -40 40 0 0z"
    made = traced(
        svg(f'<path id="a" d="{data}"/>'), "a", known=[Known((0, 0), (0, 0)), Known((1, 0), (1, 0))]
    )
    controls = [
        ((0, 0), (40, -60), (90, 40), (120, 0)),
        ((120, 0), (150, -40), (80, 90), (20, 70)),
        ((20, 70), (-40, 50), (-40, 40), (0, 0)),
    ]
    from ringwright.geometry.meet import distance_to

    every = list(path.pieces(made.outline))
    for control in controls:
        for k in range(101):
            t, s = k / 100, 1 - k / 100
            weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
            x = sum(w * p[0] for w, p in zip(weights, control, strict=True))
            y = sum(w * p[1] for w, p in zip(weights, control, strict=True))
            assert min(distance_to(piece, (x, -y)) for piece in every) < 0.005


@pytest.mark.parametrize(
    "data",
    [
        "M0 0C0 0 20 0 20 0V20H0z",  # control points on its ends
        "M0 0C30 0 -10 0 20 0V20H0z",  # runs back along itself, to be refused or not, but not to break
        "M0 0C40 30 -20 30 20 0V60H0z",  # a cusp
        "M0 0C60 40 -40 40 20 0V60H0z",  # a loop
        "M0 0C0 0 0 0 0 0H20V20H0z",
        "M0 0A0 5 0 0 1 20 0V20H0z",
    ],
)
def test_odd_curves_do_not_break_it(data: str) -> None:
    with suppress(GeometryError):
        made = traced(svg(f'<path id="a" d="{data}"/>'), "a", width=20)
        assert path.signed_area(made.outline) > 100


# Refusals


@pytest.mark.parametrize(
    ("inside", "code", "word"),
    [
        (f'<path id="F2" d="{SQUARE}"/>', "no-such-id", 'did you mean "F2"'),
        ("", "no-such-id", "none of its lines has an id"),
        ('<text id="a">x</text>', "no-such-id", "but its text"),
        ('<path id="a" d="M0 0 h10 v10"/>', "open-outline", "14.14 mm apart"),
        ('<line id="a" x1="0" x2="5" y1="0" y2="3"/>', "open-outline", "apart"),
        ('<path id="a" d=""/>', "open-outline", "no line"),
        ('<path id="a" d="M0 0h10z"/>', "crosses-itself", "crosses"),
        ('<path id="a" d="M0 0 10 10 10 0 0 10z"/>', "crosses-itself", "crosses"),
        ('<path id="a" d="M0 0h10v10h-10z M20 0h5v5h-5z"/>', "apart", "side by side"),
        ('<path id="a" d="M0 0h10v10h-10z M5 5h10v2h-10z"/>', "apart", "side by side"),
        ('<path id="a" d="L0 0h10v10z"/>', "drawing-refused", "begin with a move"),
        ('<path id="a" d="M0 0h10v"/>', "drawing-refused", "in the middle"),
        ('<path id="a" d="M0 0h10vL5 5z"/>', "drawing-refused", "without figures"),
        ('<path id="a" d="M0 0 h10 v10 5x z"/>', "drawing-refused", "character 15"),
        ('<path id="a" d="M0 0 h nan v10 z"/>', "drawing-refused", "character"),
        ('<path id="a" d="M0 0 h 1e999 v10 z"/>', "drawing-refused", "beyond all measure"),
        ('<path id="a" d="M0 0 h 1e8 v10 z"/>', "drawing-refused", "beyond all measure"),
        ('<path id="a" d="M0 0a5 5 0 2 1 5 5z"/>', "drawing-refused", "character"),
        ('<polygon id="a" points="0,0 5,5 NaN,3"/>', "drawing-refused", "NaN"),
        ('<rect id="a" width="inf" height="3"/>', "drawing-refused", "width"),
        ('<rect id="a" width="10%" height="3"/>', "drawing-refused", "10%"),
        ('<rect id="a" width="4" height="3" transform="spin(3)"/>', "drawing-refused", "spin"),
        ('<rect id="a" width="4" height="3" transform="rotate(3 4)"/>', "drawing-refused", "rotate"),
        ('<rect id="a" width="4" height="3" transform="skewX(90)"/>', "drawing-refused", "skewX"),
        ('<rect id="a" width="4" height="3" style="transform: scale(2)"/>', "drawing-refused", "style"),
        ('<svg><rect id="a" width="4" height="3"/></svg>', "drawing-refused", "drawing within"),
        ('<use id="a" href="#gone"/>', "drawing-refused", "does not hold"),
        ('<g id="a"><use href="#a"/></g>', "drawing-refused", "circle"),
        ('<use id="a" href="#b"/><use id="b" href="#a"/>', "drawing-refused", "circle"),
    ],
)
def test_refusals(inside: str, code: str, word: str) -> None:
    with pytest.raises(GeometryError) as refused:
        traced(svg(inside), "F3" if "F2" in inside else "a", width=10)
    assert (refused.value.code, word in str(refused.value)) == (code, True), str(refused.value)
    assert not str(refused.value).endswith(".")


RECT = '<rect id="a" width="4" height="3"/>'
BOMB = svg(
    '<g id="a"><use href="#g0"/></g>'
    + "".join(f'<g id="g{k}">' + f'<use href="#g{k + 1}"/>' * 10 + "</g>" for k in range(12))
    + '<g id="g12"/>'
)
LAUGHS = "".join(f'<!ENTITY l{k} "{f"&l{k - 1};" * 10}">' for k in range(1, 6))


@pytest.mark.parametrize(
    "hostile",
    [
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "svg11.dtd">' + svg(RECT),
        f'<!DOCTYPE svg [<!ENTITY l0 "lol">{LAUGHS}]>' + svg("<text>&l5;</text>" + RECT),
        '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>' + svg("<text>&x;</text>" + RECT),
        '<!DOCTYPE svg [<!ENTITY % x SYSTEM "http://example.org/x.dtd"> %x;]>' + svg(RECT),
        '<!DOCTYPE svg [<!ATTLIST rect width CDATA "9">]>' + svg(RECT),
        svg("&x;" + RECT),
        '<?xml-stylesheet href="x.css"?>' + svg(RECT),
        svg("<script>alert(1)</script>" + RECT),
        svg('<rect id="a" width="4" height="3" onclick="x()"/>'),
        svg(RECT, root='onload="x()"'),
        svg("<foreignObject/>" + RECT),
        svg('<image href="file:///etc/passwd"/>' + RECT),
        svg('<image xlink:href="scan.png"/>' + RECT),
        svg('<use href="other.svg#a"/>' + RECT),
        svg('<use id="x" href="data:image/svg+xml;base64,AAAA"/>' + RECT).replace("data:image", "data:text"),
        svg('<rect id="a" width="4" height="3" fill="url(http://example.org/#x)"/>'),
        svg('<rect id="a" width="4" height="3" style="fill: URL( \'x.svg#y\' )"/>'),
        svg('<style>@import "x.css";</style>' + RECT),
        svg("<style>rect{fill:url(x.svg)}</style>" + RECT),
        svg('<set attributeName="x"/>' + RECT),
        svg("<g>" * DEEPEST + RECT + "</g>" * DEEPEST),
        svg("<g/>" * MOST_ELEMENTS + RECT),
        svg(RECT) + " " * 8_000_000,
        svg(f'<path id="a" d="M0 0{"h1v1" * 3000}z"/>'),
        svg(RECT)[:-3],
        svg(RECT).replace("<rect", "<rect\x00"),
        "not a drawing",
        "",
        "<html/>",
        '<?xml version="1.0" encoding="no-such"?>' + svg(RECT),
        BOMB,
    ],
)  # fmt: skip
def test_hostile_drawings_are_refused(hostile: str) -> None:
    with pytest.raises(GeometryError) as refused:
        traced(hostile, "a", width=4)
    assert refused.value.code == "drawing-refused", str(refused.value)


def test_what_is_embedded_or_inside_is_no_reference() -> None:
    harmless = (
        '<metadata/><linearGradient id="g"/><image href="data:image/png;base64,AAAA"/>'
        '<rect id="a" width="4" height="3" style="fill:url(#g)"/>'
    )
    assert path.signed_area(traced(svg(harmless), "a", width=4).outline) == pytest.approx(12)
    deep = "<g>" * (DEEPEST - 2) + RECT + "</g>" * (DEEPEST - 2)
    assert traced(svg(deep), "a", width=4).scale == 1


@pytest.mark.parametrize(
    ("width", "known"),
    [
        (None, None),
        (5, [Known((0, 0), (0, 0)), Known((1, 0), (1, 0))]),
        (0, None),
        (-3, None),
        (None, [Known((0, 0), (0, 0))]),
        (None, [Known((0, 0), (0, 0)), Known((0, 0), (1, 0))]),
        (None, [Known((0, 0), (2, 2)), Known((1, 0), (2, 2))]),
    ],
)
def test_size_must_be_told_one_way(width: float | None, known: list[Known] | None) -> None:
    with pytest.raises(GeometryError) as refused:
        traced(svg(RECT), "a", width=width, known=known)
    assert refused.value.code == "no-size"


@given(st.text(alphabet="MmLlHhVvCcSsQqTtAaZz0123456789.-+e, n", max_size=60))
def test_no_path_breaks_the_reader(data: str) -> None:
    with suppress(GeometryError):
        made = traced(svg(f'<path id="a" d="M0 0{data}z"/>'), "a", width=30)
        assert all(math.isfinite(value) for point in made.outline.points for value in point)


@given(st.text(max_size=60))
def test_no_text_breaks_the_reader(text: str) -> None:
    with suppress(GeometryError):
        traced(text, "a", width=30)
    with suppress(GeometryError):
        traced(svg(text), "a", width=30)
