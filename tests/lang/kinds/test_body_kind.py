"""A body: what it stands for, what a builder overrides of it, and whether it stands up by itself."""

import math

import pytest
from ringwright.geometry.path import bounds
from ringwright.geometry.place import in_space
from ringwright.lang.pipeline import compile_spec

USUAL = (
    'model test { title = "Test" }\n'
    "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
)

TABLE = """
offsets fuselage {
    section = box
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |
    | F1      |   0     | 33         | 34        | -37          |
    | F2      |  70     | 37         | 36        | -43          |
    | F3      | 150     | 38         | 36        | -45          |
    | F4      | 230     | 24         | 31        | -28          |
    | F5      | 300     | 16         | 29        | -20          |
}
"""
HULL = "body hull {{ offsets = fuselage, stock = board\n{more} }}\n"


def hull(more: str = "") -> str:
    return TABLE + HULL.format(more=more)


def ids(made):
    return [part.id for part in made.design.parts]


def test_a_body_is_sides_top_bottom_and_formers(built):
    made = built(hull())
    assert ids(made) == [
        "F1", "F2", "F3", "F4", "F5", "hull.bottom", "hull.sides.left", "hull.sides.right", "hull.top",
    ]  # fmt: skip
    assert made.value("F1.x_fore") == 0
    assert made.value("F5.x_aft") == 300  # the last ends where the sheets end
    assert made.value("hull.top.inset") == pytest.approx(made.value("board.thickness"))


def test_it_is_the_same_as_its_parts_written_one_by_one(built):
    one = built(hull())
    other = built(
        TABLE
        + "side flank { upper = fuselage.top, lower = fuselage.bottom, stock = board }\n"
        + "deck lid { between = fuselage.top, stock = board, inset = board.thickness }\n"
        + "floor keel { between = fuselage.bottom, stock = board, inset = board.thickness }\n"
        + "formers ribs { at = F1 to F4, stock = board, tab = 20 mm }\n"
        + "former F5 { stock = board, face = aft, tab = 20 mm }\n"
    )
    names = {
        "hull.sides.left": "flank.left",
        "hull.sides.right": "flank.right",
        "hull.top": "lid",
        "hull.bottom": "keel",
    }
    for part in one.design.parts:
        twin = other.part(names.get(part.id, part.id))
        assert part.outline == twin.outline
        assert part.holes == twin.holes
        assert part.properties == twin.properties


def test_what_is_said_of_one_of_them_stands(built):
    made = built(
        hull(
            "deck { to = F3 }\nside { hole w { diameter = 20 mm, at = (110 mm, 0 mm) } }\nfloor { stock = ply }\n"
        )
        + "former F1 { stock = ply, hole shaft { diameter = 12 mm } }\n"
    )
    assert ids(made) == ids(built(hull()))
    assert bounds(made.part("hull.top").outline)[2] == pytest.approx(150, abs=1)
    plain = built(hull()).part("hull.sides.left")
    assert len(made.part("hull.sides.left").holes) == len(plain.holes) + 1
    assert made.part("hull.bottom").stock.name == made.part("F1").stock.name == "ply"
    assert made.part("hull.top").stock.name == "board"


def test_what_is_left_open_and_where_it_ends(built):
    assert "hull.top" not in ids(built(hull("open = top")))
    made = built(hull("open = both, at = F2 to F4"))
    assert ids(made) == ["F2", "F3", "F4", "hull.sides.left", "hull.sides.right"]
    assert made.value("F4.x_aft") == 230
    left, _, right, _ = bounds(made.part("hull.sides.left").outline)
    # A little more than the chords from station to station.
    assert 0 < right - left - math.hypot(80, 1) - math.hypot(80, 14) < 0.3


def test_a_round_body_is_a_skin_over_formers(built):
    made = built(TABLE.replace("box", "round") + HULL.format(more="wrap { stock = card }"))
    assert {id.rpartition(".")[0] or id for id in ids(made)} >= {"F1", "F5"}
    assert all(part.stock.name == "card" for part in made.design.parts if part.id.startswith("hull.skin"))


@pytest.mark.parametrize(("cutting", "fit"), [("", 0.1), ("cutting { fit = 0.4 mm }\n", 0.4)])
def test_it_stands_up_before_glue(built, cutting, fit):
    """Each tab goes through its slot with the fit left over, along the aircraft and across it."""
    made = built(hull() + cutting)
    checked = 0
    for name, axis in (("hull.sides.right", 2), ("hull.bottom", 1), ("hull.top", 1)):
        sheet = made.part(name)
        for former in ("F2", "F3", "F4"):
            fore, aft = made.value(f"{former}.x_fore"), made.value(f"{former}.x_aft")
            slots = [[in_space(sheet.placement, at) for at in hole.points] for hole in sheet.holes]
            slot = next(s for s in slots if min(x for x, _, _ in s) < fore and max(x for x, _, _ in s) > aft)
            along = [x for x, _, _ in slot]
            assert min(along) == pytest.approx(fore - fit / 2, abs=0.01)
            assert max(along) == pytest.approx(aft + fit / 2, abs=0.01)
            across = [at[axis] for at in slot]
            tab = 19.2 if former == "F4" and name != "hull.sides.right" else 20.0
            assert max(across) - min(across) == pytest.approx(tab + fit, abs=0.05)
            checked += 1
            # The tab fills the thickness of the sheet: it ends at its outer face.
            outer = {"hull.sides.right": ("half", 1), "hull.bottom": ("bottom", 1), "hull.top": ("top", 1)}[
                name
            ]
            reach = bounds(made.part(former).outline)
            ends = {"half": reach[2], "bottom": reach[1], "top": reach[3]}[outer[0]]
            table = {"F2": (37, -43, 36), "F3": (38, -45, 36), "F4": (24, -28, 31)}[former]
            wanted = dict(zip(("half", "bottom", "top"), table, strict=True))[outer[0]]
            assert ends == pytest.approx(wanted, abs=0.01)
    assert checked == 9


def test_a_short_edge_has_a_short_tab_and_none_is_asked_for_with_nought(built):
    made = built(hull("tab = 60 mm"))
    slot = min(bounds(hole)[3] - bounds(hole)[1] for hole in made.part("hull.top").holes)
    assert slot == pytest.approx((48 - 2 * 4.8) / 2 + 0.1, abs=0.01)  # half of the edge at F4
    assert all(not part.holes for part in built(hull("tab = 0 mm")).design.parts)


def test_a_rim_is_left_of_the_former_and_not_of_its_tabs(built):
    made = built(hull("formers { hole lighten { rim = 9 mm } }"))
    hole = made.part("F3").holes[0]
    assert len(hole.points) == 4
    left, low, right, high = bounds(hole)
    assert (right - left, high - low) == pytest.approx((76 - 9.6 - 18, 81 - 9.6 - 18), abs=0.1)


def test_only_a_body_builds_all_of_it():
    text = USUAL + hull() + "former lost { at = 900 mm, stock = board }\n"
    found = compile_spec("m.wright", lambda _: text.encode(), only=("hull",))
    assert not found.failed
    assert found.design is not None
    assert [part.id for part in found.design.parts][:2] == ["F1", "F2"]
    assert len(found.design.parts) == 9
