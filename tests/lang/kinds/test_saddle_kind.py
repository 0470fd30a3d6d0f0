"""Saddles: a wing goes in with its room all round, at its incidence and its dihedral, in all that it meets."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.path import bounds, flattened
from ringwright.geometry.place import in_space
from shapely import LineString, Point, Polygon, box
from shapely.affinity import rotate, translate

CARD = "stock thin { kind = card, thickness = 0.6 mm, sheet = 900 mm by 900 mm, mass = 500 g/m2 }\n"
TABLE = """
offsets fuselage {
    section = box
    | station | x [@mm] | half [@mm] | top [@mm] | bottom [@mm] |
    | F1      |   0     | 33         | 34        | -37          |
    | F2      |  70     | 37         | 36        | -43          |
    | F3      | 150     | 38         | 36        | -45          |
    | F4      | 230     | 36         | 35        | -42          |
    | F5      | 310     | 31         | 33        | -36          |
}
body hull { offsets = fuselage, stock = thin, tab = 0 mm }
"""
HULL = "body hull { offsets = fuselage, stock = thin, tab = 0 mm }"
SIDE = "side flank { upper = fuselage.top, lower = fuselage.bottom, stock = thin, hand = right }"
# A lens of a section, as points: x aft from the leading edge, z up.
LENS = [(0, 0), (15, 11), (45, 16), (80, 13), (120, 0), (80, -5), (45, -7), (15, -6)]


def saddle(x: float, z: float, more: str = "") -> str:
    points = ", ".join(f"({a}, {b})" for a, b in LENS)
    return f"{CARD}{TABLE}saddle seat {{ outline = polygon[{points}] mm, place = ({x} mm, 0 mm, {z} mm){more} }}\n"


def section(x: float, z: float, incidence: float = 0.0) -> Polygon:
    """The section where it stands: nose up turns it clockwise, as seen from port with x to the right."""
    return translate(rotate(Polygon(LENS), -incidence, origin=(0, 0)), x, z)


def cut_edge(made, id, top, bottom):
    """Where the rim of a side lies in space, (x, y, z), as far as it's none of the side's own edges or ends."""
    part = made.part(id)
    found = []
    for at in flattened(part.outline, 0.01):
        x, y, z = in_space(part.placement, at)
        if 0.05 < x < 309.95 and bottom(x) + 0.05 < z < top(x) - 0.05:
            found.append((x, y, z))
    return found


@given(
    st.floats(60, 150).map(lambda x: round(x, 1)),
    st.floats(-38, -28).map(lambda z: round(z, 1)),
    st.floats(-3, 6).map(lambda angle: round(angle, 2)),
    st.sampled_from([0.0, 0.5, 1.5]),
)
def test_a_wing_fits_its_sides_all_along(built, x, z, incidence, fit):
    text = saddle(x, z, f", incidence = {incidence} deg, fit = {fit} mm, open = below").replace(HULL, SIDE)
    made = built(text)
    wing = section(x, z, incidence)
    edge = cut_edge(made, "flank", lambda _: 30.0, lambda _: -34.0)
    assert edge
    left, _, right, _ = wing.bounds
    for a, _, c in edge:
        if left < a < right:
            # Sharp corners of this section keep the room square to either side, and so a little more.
            assert fit - 0.03 <= wing.distance(Point(a, c)) <= 1.5 * fit + 0.03
            assert not wing.contains(Point(a, c).buffer(max(0.0, fit - 0.03)))


def test_hands_are_cut_alike_and_a_panel_too(built):
    made = built(
        saddle(80, -40, ", open = below")
        + "panel doubler { view = side, stock = board, hand = both, outline = rect(100 mm, 40 mm), place = (150 mm, -30 mm, -20 mm) }\n"
    )
    left, right = (made.part(f"hull.sides.{hand}") for hand in ("left", "right"))
    assert left.properties.area == pytest.approx(right.properties.area, abs=1e-6)
    assert left.properties.centroid[1] == pytest.approx(-right.properties.centroid[1], abs=1e-9)
    grown = section(80, -40).buffer(0.5, join_style="mitre")
    outline = Polygon(flattened(made.part("doubler.left").outline, 0.01))
    standing = translate(outline, 150, -20)
    assert standing.intersection(grown).area < 0.05
    assert made.part("doubler.left").notes[1] == "seat of seat"


@pytest.mark.parametrize("dihedral", [0.0, 5.0])
def test_formers_clear_the_wing_and_follow_its_dihedral(built, dihedral):
    made = built(saddle(100, -40, f", dihedral = {dihedral} deg, fit = 0 mm"))
    former, wing = made.part("F3"), section(100, -40)
    fore, aft = made.value("F3.x_fore"), made.value("F3.x_aft")
    highest = max(
        wing.intersection(LineString([(x, -200), (x, 200)])).bounds[3] for x in (fore, (fore + aft) / 2, aft)
    )
    low_middle = min(z for y, z in former.outline.points if dihedral == 0.0 or abs(y) < 0.01)
    assert low_middle == pytest.approx(highest, abs=0.01)
    left = min(former.outline.points)
    assert min(z for y, z in former.outline.points if y == left[0]) == pytest.approx(
        highest + abs(left[0]) * math.tan(math.radians(dihedral)), abs=0.01
    )


def test_a_floor_ends_where_the_wing_begins_and_goes_on_behind_it(built):
    made = built(saddle(100, -44, ", fit = 0 mm"))
    fore, aft = made.part("hull.bottom.1"), made.part("hull.bottom.2")
    wing = section(100, -44)

    def reach(part):
        xs = [in_space(part.placement, at)[0] for at in part.outline.points]
        return min(xs), max(xs)

    # The floor lies near -44 mm, 0.6 mm thick, where the section is cut by both of its faces.
    assert reach(fore)[0] == pytest.approx(0, abs=0.05)
    assert reach(fore)[1] == pytest.approx(wing.bounds[0], abs=1.5)
    assert reach(aft)[0] == pytest.approx(wing.bounds[2], abs=8)
    assert reach(aft)[1] == pytest.approx(310, abs=0.05)
    assert "piece 2 of 2" in aft.notes
    # Between them the wing is in the way all along.
    for x in (reach(fore)[1] + 0.3, 150.0, reach(aft)[0] - 0.3):
        column = wing.intersection(LineString([(x, -60), (x, 60)])).bounds
        assert column[1] < -44 < column[3] + 4


@pytest.mark.parametrize(("z", "way"), [(-42, "below"), (34, "above"), (0, "through")])
def test_which_way_it_is_open_is_found(built, z, way):
    made = built(saddle(80, z, ", on = hull.sides"))
    defaults = dict(made.design.defaults)
    assert defaults["seat.open"] == way
    assert (len(made.part("hull.sides.right").holes) == 1) == (way == "through")


def test_what_a_seat_reaches_of_other_openings_goes_with_it(built):
    plain = "side { hole far { diameter = 8 mm, at = (280 mm, 0 mm) }\nhole near { diameter = 10 mm, at = (140 mm, -28 mm) } }"
    text = saddle(80, -40, ", on = hull.sides").replace("tab = 0 mm", f"tab = 0 mm\n{plain}\n")
    assert len(built(text).part("hull.sides.right").holes) == 1


def test_mass_and_middle_of_what_is_left(built):
    """By narrow strips across the flat part, which shapely measures: each where it lies in space."""
    part = built(saddle(80, -40, ", open = below")).part("hull.sides.right")
    sheet = Polygon(flattened(part.outline, 0.005))
    left, low, right, high = bounds(part.outline)
    strips = [
        strip
        for step in range(int(right - left) + 1)
        if (strip := sheet.intersection(box(left + step, low, left + step + 1, high))).area > 0
    ]
    spots = [(strip.area, in_space(part.placement, (strip.centroid.x, strip.centroid.y))) for strip in strips]
    mean = [sum(area * spot[axis] for area, spot in spots) / sheet.area for axis in range(3)]
    assert part.properties.area == pytest.approx(sheet.area, rel=1e-9)
    assert part.properties.mass == pytest.approx(sheet.area * 500e-6, rel=1e-9)
    assert part.properties.centroid == pytest.approx(mean, abs=0.01)


def test_a_wing_says_its_own_seat(built):
    """A wing and the same section drawn leave the same of a side."""
    said = (
        "at = ({x} mm, 0 mm, {z} mm), span = 600 mm, root = 120 mm, stock = board, build = ribs, ribs = 60 mm"
    )
    wing = f'wing main {{ {said.format(x=80, z=-34)}, aerofoil = aerofoil("2412"), dihedral = 4 deg, incidence = 2 deg }}\n'
    drawn = (
        'saddle seat { outline = aerofoil("2412", chord = 120 mm), place = (80 mm, 0 mm, -34 mm)\n'
        "dihedral = 4 deg, incidence = 2 deg, on = hull.sides }\n"
    )
    parts = [
        built(CARD + TABLE + text).part("hull.sides.right")
        for text in (wing + "saddle { wing = main, on = hull.sides }\n", drawn)
    ]
    one, other = (Polygon(flattened(part.outline, 0.005)) for part in parts)
    assert one.symmetric_difference(other).area < 2.0
    assert parts[0].notes[-1] == "seat of main"


def test_a_seat_may_run_out_at_an_end(built):
    made = built(saddle(270, -40, ", open = below"))
    part = made.part("hull.sides.right")
    aft = [in_space(part.placement, at) for at in part.outline.points]
    edge = [z for x, _, z in aft if x > 309.9]
    # There the section is as high as it is 40 mm behind its leading edge, with room square to its slope.
    assert min(edge) == pytest.approx(-40 + 11 + 5 * 25 / 30 + 0.5 * math.hypot(30, 5) / 30, abs=0.02)


def test_what_one_seat_has_taken_another_leaves_alone(built):
    one = saddle(80, -40, ", open = below")
    again = "saddle other { outline = rect(40 mm, 10 mm), place = (140 mm, 0 mm, -38 mm), open = below }\n"
    areas = [built(text).part("F3").properties.area for text in (one, one + again)]
    assert areas[0] == pytest.approx(areas[1], abs=1e-6)


def test_the_seat_of_a_wing_has_no_angles_of_its_own(built):
    """The wing's incidence is 1.5 deg: a default of nought beside it would be false."""
    made = built(
        f"{CARD}{TABLE}wing main {{\n    at = (60 mm, 0 mm, -30 mm), span = 600 mm, root = 120 mm, tip = 90 mm, stock = board\n"
        '    aerofoil = aerofoil("2412"), incidence = 1.5 deg, dihedral = 4 deg\n}\n'
        "saddle { wing = main, open = below }\n"
    )
    own = {name.rpartition(".")[2] for name in made.design.values if name.startswith("saddle_1.")}
    assert own == {"fit"}
