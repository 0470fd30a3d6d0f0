"""Comparisons of small specs: nothing is nothing, back is forth, and an edit changes what depends on it, no more."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.part import Part
from ringwright.geometry.path import flattened
from ringwright.lang.commands.sides import manifest_side
from ringwright.lang.compare.as_json import facts
from ringwright.lang.compare.comparison import Comparison, compare
from ringwright.lang.compare.side import Side
from ringwright.lang.compare.verdicts import SHAPED

Make = Callable[..., Side]

# Names in braces are dimensions that a test edits.
SPEC = """\
model plain {{ title = "Plain", plan_scale = {scale} % }}
stock board {{ kind = foamboard, thickness = {thick} mm, sheet = 762 mm by 508 mm, mass = {mass} g/m2 }}
stock ply {{ kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm, density = 680 kg/m3 }}
let gap = {gap} mm
stack cowl {{
    stock = board
    overall = {overall} mm
    barrel drum {{ diameter = {drum} mm, length = 30 mm }}
    cone mid {{ end = {mouth} mm }}
    plate lid {{ seat = inside, hole inlet {{ diameter = {inlet} mm }} }}
}}
panel plate {{ stock = ply, outline = rect({width} mm, 60 mm)
    hole wires {{ diameter = 10 mm + gap, at = ({aside} mm, 0 mm) }} }}
panel twin {{ stock = ply, outline = rect(50 mm, 40 mm), slot tab {{ length = 20 mm, width = 3 mm + gap }} }}
panel alone {{ stock = board, outline = rect(70 mm, 44 mm) }}
"""
PLAIN = {
    "scale": 100.0, "thick": 4.8, "mass": 410.0, "gap": 0.2, "overall": 70.0, "drum": 120.0, "mouth": 100.0,
    "inlet": 40.0, "width": 90.0, "aside": 10.0,
}  # fmt: skip
# Which parts are other things when a dimension is edited, known from the drawing of them.
ON = {
    "scale": set(),  # nothing is marked
    "thick": {"cowl.drum", "cowl.mid", "cowl.lid", "alone"},
    "mass": set(),
    "gap": {"plate", "twin"},
    "overall": {"cowl.mid", "cowl.lid"},
    "drum": {"cowl.drum", "cowl.mid", "cowl.lid"},
    "mouth": {"cowl.mid", "cowl.lid"},
    "inlet": {"cowl.lid"},
    "width": {"plate"},
    "aside": {"plate"},
}


def spec(**values: float) -> str:
    return SPEC.format(**{name: f"{value:.4f}" for name, value in (PLAIN | values).items()})


def shaped(found: Comparison) -> set[str]:
    return {one.id for one in found.verdicts if one.word in SHAPED}


@given(
    st.fixed_dictionaries(
        {}, optional={"drum": st.floats(100, 140), "gap": st.floats(0, 2), "thick": st.floats(3, 6)}
    )
)
def test_a_model_and_itself_do_not_differ(side_from: Make, values: dict[str, float]) -> None:
    found = compare(side_from(spec(**values)), side_from(spec(**values)))
    assert found.same
    assert {one.word for one in found.verdicts} == {"keep"}
    assert found.sizes == found.removed == found.sheets == found.notes == ()


def corners(part: Part) -> list[tuple[float, float]]:
    """All corners of a part's cuts and lines, for a second way to tell that it is another."""
    lines = (part.outline, *part.holes, *part.far, *part.peels, *(mark.path for mark in part.marks))
    return [point for path in lines for point in flattened(path, 0.01)]


def differ(a: Part, b: Part) -> bool:
    one, two = corners(a), corners(b)
    thicker = abs(a.stock.thickness - b.stock.thickness) > 0.001
    return (
        thicker or len(one) != len(two) or any(math.dist(p, q) > 0.001 for p, q in zip(one, two, strict=True))
    )


@given(st.sampled_from(sorted(PLAIN)), st.floats(0.1, 0.9) | st.floats(-0.9, -0.1))
def test_an_edit_changes_what_depends_on_it_and_no_more(side_from: Make, name: str, by: float) -> None:
    """Against what the drawing says, and against both builds corner by corner.

    By a tenth or more: of less than that on the drum the lid has less than the 0.001 mm that count.
    """
    value = max(0.05, PLAIN[name] + (500 * by if name == "mass" else by))
    old, new = side_from(spec()), side_from(spec(**{name: value}))
    found = compare(old, new)
    assert shaped(found) == ON[name]
    assert old.compiled is not None and old.compiled.design is not None  # noqa: PT018
    assert new.compiled is not None and new.compiled.design is not None  # noqa: PT018
    before = {part.id: part for part in old.compiled.design.parts}
    now = {part.id: part for part in new.compiled.design.parts}
    assert {id for id, part in now.items() if differ(before[id], part)} == ON[name]
    line = next(n for n, text in enumerate(SPEC.split("\n"), 1) if f"{{{name}}}" in text)
    for size in found.sizes:
        for driver in size.drivers:
            assert driver.at == f"main.wright:{line}", (size.name, driver)
    if name == "mass":
        assert {one.id for one in found.verdicts if one.word == "weight"} == {
            "cowl.drum",
            "cowl.mid",
            "cowl.lid",
            "alone",
        }
    if name == "scale":
        assert found.notes == (
            f"plan_scale is {value:.4f}".rstrip("0").rstrip(".")
            + " %, was 100 %: nothing follows it, for no length is marked '@'",
        )


@given(
    st.fixed_dictionaries({"width": st.floats(80, 99), "drum": st.floats(110, 130)}),
    st.fixed_dictionaries({"width": st.floats(80, 99), "aside": st.floats(0, 20)}),
)
def test_back_is_forth(side_from: Make, one: dict[str, float], two: dict[str, float]) -> None:
    a, b = side_from(spec(**one)), side_from(spec(**two).replace("panel alone", "panel lonely"))
    there, back = compare(a, b), compare(b, a)
    assert {s.name: (s.old, s.new) for s in there.sizes} == {s.name: (s.new, s.old) for s in back.sizes}
    assert there.renamed == (("alone", "lonely"),)
    assert back.renamed == (("lonely", "alone"),)
    assert shaped(there) == shaped(back)
    assert (there.added, there.removed) == (back.removed, back.added) == ((), ())
    assert set(there.moved) == set(back.moved)


def test_a_build_that_was_read_back_is_the_same_as_its_spec(side_from: Make, tmp_path) -> None:
    from ringwright.backends.manifest import manifest
    from ringwright.geometry.nest.nest import nest
    from ringwright.lang.commands.record import record_of

    whole = side_from(spec())
    assert whole.compiled is not None
    design = whole.compiled.design
    assert design is not None
    text = manifest(record_of(whole.compiled, design, nest(design.parts, design.cutting)), {})
    written = manifest_side(text.encode(), "build")
    for a, b in ((whole, written), (written, whole), (written, written)):
        assert compare(a, b).same
    other = side_from(spec(inlet=43.0))
    found = compare(written, other)
    assert {one.id: one.word for one in found.verdicts if one.word != "keep"} == {"cowl.lid": "open"}
    sizes = {size.name: size for size in found.sizes}
    assert [driver.name for driver in sizes["cowl.lid.inlet.diameter"].drivers] == ["cowl.lid.inlet.diameter"]
    # Marks stand in a manifest, too; one of before they did says nothing of them.
    marked = side_from(
        spec().replace("stock = board\n    overall", "stock = board\n    seam_at = 40 deg\n    overall")
    )
    assert "mark" in {one.word for one in compare(written, marked).verdicts}
    old = text.replace('"marks"', '"was_marks"').replace('"far"', '"was_far"')
    assert "mark" not in {one.word for one in compare(manifest_side(old.encode(), "old"), marked).verdicts}


def test_twins_that_lose_their_names_are_paired_either_way(side_from: Make) -> None:
    text = (
        'model kite { title = "M" }\nstock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm }\n'
        + "".join(
            f"panel {name} {{ stock = ply, outline = rect(50 mm, 40 mm) }}\n" for name in ("a", "b", "c")
        )
    )
    other = text.replace("panel a", "panel x").replace("panel c", "panel y")
    there, back = (compare(*map(side_from, pair)) for pair in ((text, other), (other, text)))
    assert there.renamed == (("a", "x"), ("c", "y"))
    assert back.renamed == (("x", "a"), ("y", "c"))
    assert there.cut == back.cut == ()


def test_other_stock_is_cut_anew_and_a_lost_line_is_told(side_from: Make) -> None:
    old = side_from(spec())
    found = compare(
        old, side_from(spec().replace("panel plate { stock = ply", "panel plate { stock = board"))
    )
    assert {one.id: one.reason for one in found.verdicts if one.word == "recut"} == {
        "plate": "of board, was of ply; its shape is the same"
    }
    free = side_from(spec().replace(", length = 30 mm", ""))
    sizes = {size.name: size for size in compare(old, free).sizes}
    assert [driver.at for driver in sizes["cowl.drum.length"].drivers] == ["main.wright:8"]


def test_facts_are_those_of_the_contract(side_from: Make) -> None:
    found = facts(compare(side_from(spec()), side_from(spec(width=94.0))))
    assert found["verdicts"] == {
        "cowl.drum": "keep", "cowl.mid": "keep", "cowl.lid": "keep", "plate": "recut", "twin": "keep", "alone": "keep",
    }  # fmt: skip
    assert found["parts"] == {
        "added": [], "removed": [], "changed": ["plate"], "renamed": [], "moved": [], "resheeted": found["parts"]["resheeted"],
    }  # fmt: skip
    assert found["sheets"] == [{"stock": "ply", "index": 1}]
    assert found["differences_mm"] == {"plate": pytest.approx(2.0, abs=0.01)}
    # 4 by 60 of 3 mm ply.
    assert found["mass"]["new"] - found["mass"]["old"] == pytest.approx(4 * 60 * 3 * 680e-6, abs=1e-4)
