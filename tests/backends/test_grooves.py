"""Grooves on a part: two narrow lines, hatched between, with width and depth beside them and a row in the legend."""

from ringwright.backends.drawing import NARROW, Group
from ringwright.backends.page import line_types
from ringwright.backends.part_lines import BARE_STEP, GROOVE_STEP, part_notes, part_strokes, turned_part
from ringwright.geometry.mass import measure
from ringwright.geometry.part import Groove, Part, Stock
from ringwright.geometry.path import Path, bounds, canonical, closed

FOAM = Stock("foam", "Foam", "foam", 5.0, 600.0, 400.0, "none", None, 0.0, None, "plain", 0.5, 0.0)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Path:
    return canonical(closed([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))


def grooved(*grooves: Groove) -> Part:
    outline = rectangle(0.0, 0.0, 120.0, 80.0)
    return Part(
        id="skin", name="skin", component="skin", hand="", stock=FOAM, quantity=1, outline=outline, holes=(), far=(),
        scores=(), peels=(), marks=(), centres=(), notes=(), edges=(), grain="free", placement=None,
        properties=measure(outline, (), (), (), FOAM), grooves=grooves,
    )  # fmt: skip


CHANNEL = Groove(rectangle(0.0, 30.0, 120.0, 35.1), 4.5, 5.1, "F2")


def test_a_groove_is_outlined_and_hatched() -> None:
    strokes = [stroke for stroke in part_strokes(grooved(CHANNEL), {}) if stroke.layer == "groove"]
    assert strokes[0].path == CHANNEL.path
    assert {stroke.width for stroke in strokes} == {NARROW}
    # Stripes at 45 degrees, so far apart, on a channel 120 by 5.1 mm.
    assert abs(len(strokes) - 1 - (120 + 5.1) / 2**0.5 / GROOVE_STEP) <= 2
    for stroke in strokes[1:]:
        _, low, _, high = bounds(stroke.path)
        assert 30 - 1e-6 <= low < high <= 35.1 + 1e-6


def test_its_width_and_depth_are_written() -> None:
    assert [note.text for note in part_notes(grooved(CHANNEL), {})] == ["F2 · 5.1 × 4.5 deep"]
    assert [note.text for note in part_notes(grooved(CHANNEL._replace(text="")), {})] == ["5.1 × 4.5 deep"]


def test_it_turns_with_the_part() -> None:
    (turned,) = turned_part(grooved(CHANNEL), 90.0).grooves
    assert [round(value, 6) for value in bounds(turned.path)] == [-35.1, 0.0, -30.0, 120.0]


def test_the_legend_says_what_it_is() -> None:
    def legend(part: Part) -> list[str]:
        group = Group("skin", "skin", "", tuple(part_strokes(part, {})))
        return [words for _, words in line_types((group,))]

    assert "groove from this face, as deep as written" in legend(grooved(CHANNEL))
    assert "groove from this face, as deep as written" not in legend(grooved())


def test_paper_off_is_hatched_wider_and_the_other_way() -> None:
    area = rectangle(0.0, 0.0, 40.0, 80.0)
    part = grooved()._replace(bared=(area,))
    strokes = [stroke for stroke in part_strokes(part, {}) if stroke.layer == "bare"]
    assert strokes[0].path == area
    stripes = [stroke.path.points for stroke in strokes[1:]]
    # The longest sides are upright: 45 degrees to their right.
    assert all(abs((b[1] - a[1]) - (b[0] - a[0])) < 1e-9 for a, b in stripes)
    assert len(stripes) == round((40 + 80) / (BARE_STEP * 2**0.5))
    assert "peel the paper off, keep the foam" in [
        words for _, words in line_types([Group("p", "p", "", tuple(strokes))])
    ]
    turned = turned_part(part, 90.0)
    assert bounds(turned.bared[0]) == (-80.0, 0.0, 0.0, 40.0)
