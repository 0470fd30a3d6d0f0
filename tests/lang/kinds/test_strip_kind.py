"""Strip by the length: how long pieces are, what they weigh and where, and what is bought for them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.lengths import bars

TABLE = """
offsets hull {
    section = box
    | station | x [mm] | half [mm] | top [mm] | bottom [mm] | rail.half [mm] | rail.height [mm] |
    | A       |   0    |   60      |   50     |  -40        | 60             | 10               |
    | B       | 200    |   40      |   40     |  -40        | 40             | 5                |
}
"""
STRIP = "strip spruce {{ section = 6 mm by 4 mm, length = 1 m, {of}\n{pieces} }}\n"


def strip(pieces: str, of: str = "density = 500 kg/m3") -> str:
    return TABLE + STRIP.format(of=of, pieces=pieces)


def test_a_piece_lies_along_a_line_of_the_offsets(built):
    found = built(strip("piece rail { along = hull.rail }"))
    long = math.hypot(200, 20, 5)
    assert found.value("spruce.rail.run") == pytest.approx(long, abs=1e-6)
    assert found.value("test.mass") == pytest.approx(2 * long * 24 * 500e-6, rel=1e-9)
    assert found.value("test.balance_x") == pytest.approx(100, abs=1e-6)
    assert found.value("test.balance_y") == pytest.approx(0, abs=1e-9)
    assert found.value("test.balance_z") == pytest.approx(7.5, abs=1e-6)
    short = built(strip("piece rail { along = hull.rail, from = A + 50 mm, to = 100 mm, hand = right }"))
    assert short.value("spruce.rail.run") == pytest.approx(long / 4, abs=1e-6)
    assert short.value("test.balance_y") == pytest.approx(52.5, abs=1e-6)


def test_a_strut_runs_from_point_to_point(built):
    found = built(
        strip("piece strut { from = (40 mm, 48 mm, 20 mm), to = (70 mm, 60 mm, 90 mm), hand = left }")
    )
    assert found.value("spruce.strut.run") == pytest.approx(math.sqrt(30**2 + 12**2 + 70**2))
    middle = [found.value(f"test.balance_{axis}") for axis in "xyz"]
    assert middle == pytest.approx([55, -54, 55])


def test_a_length_is_weighed_by_what_one_as_bought_weighs(built):
    found = built(strip("piece brace { length = 250 mm, quantity = 2 }", "mass = 12 ± 1 g"))
    assert found.value("test.mass") == pytest.approx(6)
    assert found.design.solution.plus_minus("test.mass")[0] == pytest.approx(0.5)


def test_what_is_bought(built):
    found = built(
        strip("piece a { length = 600 mm, quantity = 2 }\npiece b { length = 350 mm, quantity = 3 }")
    )
    assert found.value("spruce.lengths") == 3
    # Two of 600 with one of 350 each, and one of 350 by itself; a saw takes a millimetre a cut.
    assert found.value("spruce.left") == pytest.approx(3000 - 2 * 600 - 3 * 350 - 5)
    (bought,) = [each for each in found.design.shopping if each.id == "spruce"]
    assert [bar.pieces for bar in bought.bars] == [
        (("a", 600.0), ("b", 350.0)), (("a", 600.0), ("b", 350.0)), (("b", 350.0),),
    ]  # fmt: skip


@given(st.lists(st.floats(5, 990).map(lambda long: round(long, 1)), min_size=1, max_size=25))
def test_every_piece_is_cut_once_and_no_bar_is_longer_than_it_is(lengths):
    named = [(f"p{k}", long) for k, long in enumerate(lengths)]
    cut = bars(named, 1000.0)
    assert sorted(piece for bar in cut for piece in bar.pieces) == sorted(named)
    for bar in cut:
        used = sum(long + 1.0 for _, long in bar.pieces)
        assert used <= 1001.0 + 1e-6
        assert bar.left == pytest.approx(max(0.0, 1000.0 - used))
    # No two bars could be one.
    halves = sorted(1000.0 - bar.left for bar in cut)
    assert len(cut) < 2 or halves[0] + halves[1] > 1000.0
    assert len(cut) >= math.ceil(sum(lengths) / 1000.0)
    with pytest.raises(GeometryError):
        bars([("p", 1000.1)], 1000.0)
