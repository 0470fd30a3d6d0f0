"""Panels: their views, hands, grain and scores."""

import pytest
from ringwright.geometry.path import bounds
from ringwright.geometry.place import in_space

TRIANGLE = "polygon[(0, 0), (80, 0), (0, 50)] mm"


@pytest.mark.parametrize(
    ("view", "point"), [("section", (10, 60, 30)), ("side", (50, 20, 30)), ("top", (50, 20 , 30))]
)  # fmt: skip
def test_the_view_says_how_it_lies(built, view, point):
    panel = built(
        f"panel P {{ stock = board, view = {view}, place = (10 mm, 20 mm, 30 mm), outline = {TRIANGLE} }}"
    )
    assert in_space(panel.part("P").placement, (40.0, 0.0)) == pytest.approx(point)


def test_without_a_place_it_has_none(built):
    assert built(f"panel P {{ stock = board, outline = {TRIANGLE} }}").part("P").placement is None


@pytest.mark.parametrize("view", ["section", "side", "top"])
def test_two_hands_are_mirror_images_across_the_aircraft(built, view):
    panel = built(
        f"panel P {{ stock = board, hand = both, view = {view}, place = (10 mm, -20 mm, 30 mm), outline = {TRIANGLE}\n"
        " hole h { diameter = 6 mm, at = (15 mm, 12 mm) }\n score s { from = (40 mm, 0 mm), to = (40 mm, 25 mm) } }"
    )
    left, right = panel.part("P.left"), panel.part("P.right")
    assert (left.hand, right.hand) == ("left", "right")
    assert right.properties.area == pytest.approx(left.properties.area)
    assert (left.notes != right.notes) == (view == "side")
    (x, y, z), other = (in_space(part.placement, part.centres[0].at) for part in (left, right))
    assert other == pytest.approx((x, -y, z))
    (x, y, z), other = (in_space(part.placement, part.scores[0].path.points[0]) for part in (left, right))
    assert other == pytest.approx((x, -y, z))


def test_one_hand_is_drawn_as_it_is(built):
    part = built(f"panel P {{ stock = board, hand = right, outline = {TRIANGLE} }}").part("P")
    assert part.hand == "right"
    assert bounds(part.outline) == pytest.approx((0, 0, 80, 50))


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize(
    "drawn",
    [
        "view = top, outline = polygon[(0, 20), (80, 20), (0, 60)] mm",
        "view = top, outline = polygon[(0, -20), (80, -20), (0, -60)] mm",
        "view = side, outline = polygon[(0, 20), (80, 20), (0, 60)] mm",
        "view = side, place = (0 mm, 30 mm, 0 mm), outline = polygon[(0, 20), (80, 20), (0, 60)] mm",
        "outline = polygon[(-40, 20), (40, 20), (0, 60)] mm",
    ],
)
def test_one_hand_alone_is_that_of_both(built, drawn, hand):
    both = built(f"panel P {{ stock = board, hand = both, {drawn} }}").part(f"P.{hand}")
    alone = built(f"panel P {{ stock = board, hand = {hand}, {drawn} }}").part("P")
    assert alone._replace(id=both.id) == both


def test_quantity_counts_for_each_hand(built):
    panel = built(f"panel P {{ stock = board, hand = both, quantity = 2, outline = {TRIANGLE} }}")
    assert [part.quantity for part in panel.design.parts] == [2, 2]


@pytest.mark.parametrize(
    ("said", "grain"), [("", "along"), (", grain = across", "across"), (", grain = free", "free")]
)
def test_grain_is_as_said_else_along_the_longer_side(built, said, grain):
    assert built(f"panel P {{ stock = ply, outline = {TRIANGLE}{said} }}").part("P").grain == grain


def test_a_score_bends_and_lies_on_a_side(built):
    part = built(
        f"panel P {{ stock = board, outline = {TRIANGLE}\n score s {{ from = (0 mm, 0 mm), to = (20 mm, 20 mm), bend = 90 deg, side = back }} }}"
    ).part("P")
    (score,) = part.scores
    assert score.angle == pytest.approx(1.5707963)
    assert score.side == "back"


def test_a_score_over_the_edge_is_refused(judged):
    panel = judged(
        f"panel P {{ stock = board, outline = {TRIANGLE}\n score s {{ from = (-9 mm, 1 mm), to = (20 mm, 1 mm) }} }}"
    )
    assert panel.errors == ["score-outside"]
    assert panel.underlined("score-outside") == "s"


def test_width_and_height_are_those_drawn(built):
    panel = built(f"panel P {{ stock = board, outline = turned({TRIANGLE}, 90 deg) }}")
    assert panel.value("P.width") == pytest.approx(50)
    assert panel.value("P.height") == pytest.approx(80)
