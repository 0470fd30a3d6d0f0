"""Thrust on a firewall: where the shaft passes it, and that it comes out in the middle of the cowl."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.path import bounds

FIREWALL = (
    "former F1 {{ at = {at}, stock = ply, outline = circle(120 mm)\n"
    "    thrust {{ {said}\n"
    "        holes bolts {{ diameter = 3 mm, count = {count}, on = circle(40 mm), first = 45 deg }}\n"
    "        hole shaft {{ diameter = 12 mm, at = (1 mm, 2 mm) }}\n    }}\n}}\n"
)


def firewall(said: str, at: str = "0 mm", count: int = 4) -> str:
    return FIREWALL.format(said=said, at=at, count=count)


angles = st.floats(-6, 6).map(lambda angle: round(angle, 2))


@given(
    angles,
    angles,
    st.floats(30, 150).map(lambda x: round(x, 1)),
    st.tuples(st.integers(-5, 5), st.integers(-5, 5)),
)
def test_the_shaft_comes_out_in_the_middle(built, down, right, front, middle):
    """From the middle of the bolts along a line that leans down and to the right, to the cowl's front."""
    made = built(
        firewall(
            f"down = {down} deg, right = {right} deg, through = {-front} mm, middle = ({middle[0]} mm, {middle[1]} mm)"
        )
    )
    # Centres: one on the datum line, four of the bolts, and the shaft's.
    part = made.part("F1")
    bolts = [centre.at for centre in part.centres if abs(centre.arm - 4.5) < 1e-9]
    assert len(bolts) == 4
    y, z = (math.fsum(at[axis] for at in bolts) / 4 for axis in (0, 1))
    assert (y, z) == pytest.approx((made.value("F1.thrust.y"), made.value("F1.thrust.z")), abs=1e-9)
    way = (-1.0, math.tan(math.radians(right)), -math.tan(math.radians(down)))
    out = (y + front * way[1], z + front * way[2])
    assert out == pytest.approx(middle, abs=1e-9)


def test_all_in_its_braces_goes_along_and_nothing_else(built):
    text = firewall("down = 2 deg, through = -98 mm").replace(
        "outline =", "hole own { diameter = 5 mm, at = (0 mm, -45 mm) }\noutline ="
    )
    holes = {round(hole.points[0][0], 6): hole for hole in built(text).part("F1").holes}
    up = 98 * math.tan(math.radians(2))
    centres = sorted(((x0 + x1) / 2, (y0 + y1) / 2) for x0, y0, x1, y1 in map(bounds, holes.values()))
    assert any(at == pytest.approx((1, 2 + up), abs=1e-6) for at in centres)
    assert any(at == pytest.approx((0, -45), abs=1e-6) for at in centres)


def test_an_angle_follows_from_where_the_bolts_are(built):
    made = built(firewall("down = auto, through = -100 mm") + "given F1.thrust.z == 5 mm\n")
    assert made.value("F1.thrust.down") == pytest.approx(math.atan(0.05))


def test_the_label_says_the_angles_and_the_spacers(built):
    notes = built(firewall("down = 2 deg, right = 1.5 deg, through = -98 mm")).part("F1").notes
    assert "thrust 2° down, 1.5° right" in notes
    # Two opposite bolts of four at 45° lie 40 mm apart, from top left to bottom right.
    lean = 40 * (math.tan(math.radians(2)) + math.tan(math.radians(1.5))) / math.sqrt(2)
    assert f"spacers to {lean:.2g} mm, most at top left" in notes
    # Both upper bolts have the same spacers, and both left ones.
    for said, where in (("down = 2 deg", "top"), ("down = -2 deg", "bottom"), ("right = 2 deg", "left")):
        notes = built(firewall(f"{said}, through = -98 mm")).part("F1").notes
        assert any(note.endswith(f"mm, most at {where}") for note in notes), notes
    assert not any("thrust" in note for note in built(firewall("through = -98 mm")).part("F1").notes)


def test_bolts_that_leave_the_firewall_are_refused(judged):
    said = judged(firewall("down = 19 deg, through = -200 mm"))
    assert said.errors == ["hole-outside"]
    assert judged(firewall("down = 40 deg, through = -98 mm")).errors == ["impossible-dimension"]
    assert judged(firewall("down = 2 deg")).errors == ["missing-property"]


def test_each_firewall_has_one_thrust_of_its_own(built, judged):
    two = firewall("through = -98 mm") + firewall("through = 200 mm", at="300 mm").replace("F1", "F9")
    assert built(two).value("F9.thrust.arm") == pytest.approx(100)
    twice = "former F1 { at = 0 mm, stock = ply, outline = circle(90 mm), thrust { through = -9 mm }, thrust { through = 9 mm } }\n"
    assert judged(twice).errors == ["given-twice"]
