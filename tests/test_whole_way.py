"""The whole way on specs that nobody wrote by hand: generated ones, shuffled ones, spoiled ones."""

import math
import random
import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.nest.verify import verify
from ringwright.lang.components.project import Refused
from ringwright.lang.diagnostics.text import render_text
from ringwright.lang.pipeline import Compiled, compile_spec
from ringwright.lang.solve.terms import Equation, Stated

STOCKS = (
    "stock board {\n kind = foamboard\n thickness = 5 mm\n sheet = 900 mm by 600 mm\n mass = 410 g/m2\n}\n",
    "stock ply {\n kind = ply\n thickness = 3 mm\n sheet = 600 mm by 300 mm\n density = 680 kg/m3\n}\n",
)


def compiled(text: str, **files: str) -> Compiled:
    texts = {"main.wright": text} | {f"{name}.wright": content for name, content in files.items()}

    def read(path: str) -> bytes:
        if path not in texts:
            raise Refused("missing-file", f"there is no file '{path}'", tuple(sorted(texts)))
        return texts[path].encode("utf-8", "surrogatepass")

    return compile_spec("main.wright", read)


def sound(text: str) -> Compiled:
    found = compiled(text)
    assert not found.failed, [finding.message for finding in found.findings if finding.severity == "error"]
    return found


def model(scale: str = "100 %") -> str:
    return f'model bird {{\n title = "Bird"\n plan_scale = {scale}\n}}\n'


@st.composite
def elements(draw, mark=""):
    """The inside of a stack whose diameters and lengths leave room for the walls, and how many elements take room."""
    diameter = draw(st.integers(80, 160))
    lines = [f"barrel e0 {{ diameter = {mark}{diameter} mm, length = {mark}{draw(st.integers(15, 40))} mm }}"]
    for i in range(1, draw(st.integers(2, 5))):
        match draw(st.sampled_from(("barrel", "cone", "cone", "ring", "plate", "inside"))):
            case "barrel":
                lines.append(f"barrel e{i} {{ length = {mark}{draw(st.integers(15, 40))} mm }}")
            case "cone":
                diameter = max(60, min(180, diameter + draw(st.integers(-25, 25))))
                lines.append(
                    f"cone e{i} {{ end = {mark}{diameter} mm, length = {mark}{draw(st.integers(20, 60))} mm }}"
                )
            case "ring":
                lines.append(f"ring e{i} {{ rim = 12 mm, layers = {draw(st.integers(1, 3))} }}")
            case "plate":
                lines.append(f"plate e{i} {{ }}")
            case "inside":
                # One alone: two in the same place are refused.
                if not any("within = e0" in line for line in lines):
                    lines.append(f"plate e{i} {{\n seat = inside\n within = e0\n}}")
    return lines


@st.composite
def stacks(draw, name="nose", mark=""):
    """A stack in the text, placed or not."""
    ends = draw(
        st.sampled_from((f"from = {mark}10 mm\n runs = fore\n", f"to = {mark}10 mm\n runs = aft\n", ""))
    )
    inside = "\n ".join(draw(elements(mark)))
    return f"stack {name} {{\n {ends} stock = board\n {inside}\n}}\n"


@st.composite
def flats(draw, name="rib", mark=""):
    """A former or a panel in the text."""
    width, height = draw(st.integers(60, 200)), draw(st.integers(60, 150))
    shape = draw(
        st.sampled_from(
            (
                f"{mark}rect({width} mm, {height} mm)",
                f"{mark}ellipse({width} mm, {height} mm)",
                f"{mark}half[(0, {height}), ({width / 2}, 0), (0, -30)] mm",
                f"{mark}circle({height} mm)",
            )
        )
    )
    hole = f"hole h {{\n diameter = {draw(st.integers(3, 20))} mm\n}}"
    stock = draw(st.sampled_from(("board", "ply")))
    if draw(st.booleans()):
        return f"former {name} {{\n at = {mark}{draw(st.integers(-50, 300))} mm\n stock = {stock}\n outline = {shape}\n {hole}\n}}\n"
    hand = draw(st.sampled_from(("", " hand = both\n", " quantity = 2\n")))
    return f"panel {name} {{\n stock = {stock}\n outline = {shape}\n{hand} {hole}\n}}\n"


@st.composite
def specs(draw, mark=""):
    """The top-level statements of a sound spec, without its model."""
    found = [
        *STOCKS,
        draw(stacks("nose", mark)),
        *(draw(flats(f"p{i}", mark)) for i in range(draw(st.integers(0, 3)))),
    ]
    return [*found, "let third = nose.overall / 3\n", "require third > 1 mm\n"]


def stack_of(lines: list[str]) -> str:
    inside = "\n ".join(lines)
    return f"{model()}{''.join(STOCKS)}stack s {{\n stock = board\n {inside}\n}}\n"


def lengths_of(found: Compiled) -> dict[str, float]:
    assert found.design is not None
    return {name: value for name, value in found.design.values.items() if name.endswith(".length")}


@given(elements(), st.data())
def test_lengths_add_up_whatever_is_given(lines, data):
    """From all lengths the overall; then, with any one length left out and the overall given, that length again."""
    whole = sound(stack_of(lines))
    assert whole.design is not None
    overall = whole.design.values["s.overall"]
    named = lengths_of(whole)
    assert math.fsum(named.values()) == pytest.approx(overall, abs=1e-9)
    given_lengths = [i for i, line in enumerate(lines) if "length = " in line]
    left_out = data.draw(st.sampled_from(given_lengths))
    lines[left_out] = re.sub(r",? *length = \S+ mm", "", lines[left_out])
    again = sound(stack_of([f"overall = {overall!r} mm", *lines]))
    assert lengths_of(again) == pytest.approx(named, abs=1e-9)


@given(elements())
def test_a_cone_found_from_its_angle_is_the_cone_found_from_its_length(lines):
    whole = sound(stack_of(lines))
    assert whole.design is not None
    values = whole.design.values
    cones = [
        i for i, line in enumerate(lines) if line.startswith("cone") and values[f"s.e{i}.half_angle"] > 1e-3
    ]
    for i in cones:
        lines[i] = re.sub(r"length = \S+ mm", f"half_angle = {values[f's.e{i}.half_angle']!r} rad", lines[i])
    again = sound(stack_of(lines))
    assert lengths_of(again) == pytest.approx(lengths_of(whole), abs=1e-6)


@given(specs(mark="@"), st.sampled_from((0.75, 1.25, 1.3)))
def test_scaling_the_plan_scales_what_is_marked_and_nothing_else(statements, factor):
    text = "".join(statements)
    plain, scaled = sound(model() + text), sound(model(f"{factor}") + text)
    assert plain.design is not None
    assert scaled.design is not None
    for name, because in plain.design.solution.because.items():
        stated = because.equation.right if isinstance(because.equation, Equation) else None
        if isinstance(stated, Stated):
            by = factor if stated.measured else 1.0
            assert scaled.design.values[name] == pytest.approx(plain.design.values[name] * by, rel=1e-12), (
                name
            )
    for name, value in plain.design.values.items():
        if name.endswith((".width", ".height")):
            assert scaled.design.values[name] == pytest.approx(value * factor, rel=1e-9), name
    assert scaled.design.scaled == plain.design.scaled == marked_lengths(text)


def marked_lengths(text: str) -> int:
    """How many lengths are marked: one for each @, but as many as a shape holds behind one at a shape."""
    shapes = {"half": 6, "rect": 2, "ellipse": 2, "circle": 1}
    return sum(shapes[word] for word in re.findall(r"@(\w+)[(\[]", text)) + len(re.findall(r"@-?\d", text))


def shuffled(block: str, order: random.Random) -> str:
    """A component's statements in another order; the elements of a stack keep theirs, at the end."""
    head, *inside = block.rstrip("\n").split("\n")
    if not inside:
        return block
    properties = [line for line in inside if re.match(r" \w+ = ", line)]
    first = next(i for i, line in enumerate(inside) if line not in properties)
    loose, rest = inside[:first], inside[first:]
    order.shuffle(loose)
    return "\n".join([head, *loose, *rest]) + "\n"


@given(specs(), st.integers(0, 2**32))
def test_the_order_of_statements_changes_nothing(statements, seed):
    order = random.Random(seed)
    other = [shuffled(block, order) for block in [model(), *statements]]
    order.shuffle(other)
    one, two = sound(model() + "".join(statements)), sound("".join(other))
    assert one.design is not None
    assert two.design is not None
    assert two.design.values == one.design.values
    assert two.design.parts == one.design.parts
    assert nest(two.design.parts, two.design.cutting) == nest(one.design.parts, one.design.cutting)


@given(specs())
def test_placed_parts_neither_overlap_nor_leave_their_sheet(statements):
    design = sound(model() + "".join(statements)).design
    assert design is not None
    sheets = nest(design.parts, design.cutting)
    assert list(verify(sheets, design.parts, design.cutting)) == []
    placed = [placement for sheet in sheets for placement in sheet.placements]
    assert len(placed) == sum(part.quantity for part in design.parts)


REAL = """\
use "shop.wright"
model heron { title = "Marsh Heron", revision = "B", plan_scale = 100 % }
station firewall { x = 0 mm }
station spinner  { x = -104 mm }
station F2 { x = 118 mm }
stack cowl {
    from  = firewall
    to    = spinner
    stock = board
    seam  = flap(15 mm)
    plate  back  { }
    barrel drum  { diameter = @132 ± 0.5 mm, length = @38 mm
        hole vent { diameter = 8 mm, at = (-20 mm, 45 deg) } }
    cone   mid   { end = @116 mm }
    cone   lip   { end = @92 mm }
    plate  front { seat = inside
                   hole inlet { diameter = 40 mm } }
}
stack spat { stock = board, overall = 120 mm, axis = across, centre = (100 mm, -40 mm), quantity = 2, bore = 6 mm
    plate a1 { seat = inside }
    barrel b { diameter = 60 mm, seam = strap(20 mm), seam_at = 30 deg }
    ring r { rim = 14 mm, layers = 2 }
    cone c { end_inside = 30 mm, half_angle = 12 deg, pieces = 2 }
    plate d { seat = straddle }
    cone e { end = 34 mm, taper = narrows, share = 2 }
    plate z { seat = inside, within = c, set_back = 8 mm }
}
former F2 {
    stock   = board
    outline = @half[(0, 61), (38, 52), (51, 20), (51, -30), (33, -58), (0, -58)] mm
    inset   = card.thickness                     # room for the skin
    hole pushrod { diameter = 6 mm, at = (0 mm, -20 mm) }
    slot notch { length = 12 mm, takes = ply, at = (0 mm, 55 mm), turned = 90 deg }
}
panel cheek { outline = rect(80 mm, 60 mm, corner = 5 mm), stock = ply, hand = both, view = side, place = (F2, 30 mm, 0 mm)
    holes bolts { diameter = 3.2 mm, on = circle(30 mm), count = 4, first = 45 deg, fit = rod }
    score k { from = (-40 mm, 20 mm), to = (40 mm, 20 mm), bend = 30 deg }
    accept thin-rim because "it is meant"
}
let gap = max(2 mm, round_to(cowl.mid.length, 1 mm) / 3)
given cowl.lip.half_angle == 2 * cowl.mid.half_angle
require F2.width < 110 mm else "too wide"
"""
SHOP = """\
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }
stock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm, mass = 300 g/m2 }
stock ply { kind = ply, thickness = 3 mm, sheet = 600 by 300 mm, density = 680 kg/m3 }
cutting { tool = laser }
"""
TOKENS = re.compile(r"[A-Za-z_][A-Za-z_0-9.]*|\d+(?:\.\d+)?|\s+|.")
PIECES = tuple(sorted({token for token in TOKENS.findall(REAL) if token.strip()})) + (
    "auto", "-1", "0", "1e9", "1e-9", "1/0", "±", "½", "ø", "'", "\\", "\0", "\u202e", "é", "recipe", "make", "== ", "to", "by", "|", "# ",
)  # fmt: skip


@st.composite
def spoiled(draw):
    """A real spec with a few characters or words taken out, put in or exchanged."""
    parts = TOKENS.findall(REAL) if draw(st.booleans()) else list(REAL)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(parts) - 1))
        match draw(st.sampled_from(("delete", "insert", "replace", "copy"))):
            case "delete":
                parts[at] = ""
            case "insert":
                parts.insert(at, draw(st.sampled_from(PIECES) | st.characters()))
            case "replace":
                parts[at] = draw(st.sampled_from(PIECES) | st.characters())
            case "copy":
                parts[at] = parts[draw(st.integers(0, len(parts) - 1))]
    return "".join(parts)


def test_the_real_spec_is_sound():
    assert not compiled(REAL, shop=SHOP).failed


@given(spoiled())
def test_a_spoiled_spec_is_told_so_and_soon(text):
    began = time.process_time()
    found = compiled(text, shop=SHOP)
    said = render_text(found.findings, found.project.sources, False)
    assert time.process_time() - began < 10
    assert all(finding.message and not finding.message.endswith(".") for finding in found.findings)
    assert found.failed == ("error:" in said)
