"""± carried through a design, against the `uncertainties` package, Monte Carlo and worst corners.

The root sum of squares is the law of propagation of uncertainty for independent quantities (JCGM 100:2008,
5.1.2); random draws stand beside it as JCGM 101:2008 has it. The worst case is the largest of all corners.
"""

import itertools
import math

import numpy as np
import pytest
from ringwright.lang.design.design import Design
from ringwright.lang.pipeline import compile_spec
from uncertainties import ufloat, umath

HEAD = """\
model test { title = "Test" }
stock board { kind = foamboard, thickness = 5 mm, sheet = 762 mm by 508 mm }
"""
COWL = """\
stack cowl {{
    overall = {0}
    stock   = board
    barrel drum {{ diameter = {1}, length = {2} }}
    cone mid {{ end = {3} }}
    cone lip {{ end = {4} }}
}}
given cowl.lip.half_angle == 2 * cowl.mid.half_angle
"""
MEASURED = ((104.0, 0.5), (132.0, 0.5), (38.0, 0.3), (116.0, 0.4), (92.0, 0.5))
FOUND = ("cowl.mid.length", "cowl.lip.length", "cowl.mid.half_angle", "cowl.lip.half_angle", "cowl.lip.slant")


def solved(text: str) -> Design:
    compiled = compile_spec("test.wright", lambda _: text.encode())
    assert compiled.design is not None
    assert not compiled.failed, [finding.message for finding in compiled.findings]
    return compiled.design


def cowl(numbers: tuple[float, ...], spread: bool) -> Design:
    sides = [f" ± {half}" if spread else "" for _, half in MEASURED]
    stated = [f"{number!r}{side} mm" for number, side in zip(numbers, sides, strict=True)]
    return solved(HEAD + COWL.format(*stated))


def plus_minus(design: Design, name: str) -> tuple[float, float]:
    found = design.solution.plus_minus(name)
    assert found is not None
    return found


def test_a_difference_of_two_diameters() -> None:
    """132 ± 0.5 less 116 ± 0.5: √½ likely, 1 at worst (by hand, and as `uncertainties` has it)."""
    design = solved(
        HEAD
        + "stack s { stock = board, cone c { start = 132 ± 0.5 mm, end = 116 ± 0.5 mm, length = 30 mm } }\n"
        + "let step = s.c.start - s.c.end\n"
    )
    likely, worst = plus_minus(design, "step")
    assert likely == pytest.approx((ufloat(132, 0.5) - ufloat(116, 0.5)).s, abs=1e-12)
    assert likely == pytest.approx(0.70710678, abs=1e-8)
    assert worst == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("length", [8.0, 30.0, 200.0])
def test_the_half_angle_and_slant_of_a_cone(length: float) -> None:
    """`uncertainties` differentiates atan and hypot by itself; 3.1 or later, linear propagation."""
    design = solved(
        HEAD
        + "stack s { stock = board, cone c { start = 132 ± 0.5 mm, end = 116 ± 0.25 mm, "
        + f"length = {length} ± 0.3 mm }} }}\n"
    )
    start, end, along = ufloat(132, 0.5), ufloat(116, 0.25), ufloat(length, 0.3)
    angle = umath.atan((start - end) / 2 / along)
    slant = umath.hypot(along, (start - end) / 2)
    inside = start - 10 / umath.cos(angle)
    for name, theirs in (("half_angle", angle), ("slant", slant), ("start_inside", inside)):
        likely, worst = plus_minus(design, f"s.c.{name}")
        assert design.values[f"s.c.{name}"] == pytest.approx(theirs.n, rel=1e-9)
        assert likely == pytest.approx(theirs.s, rel=1e-6)
        assert worst == pytest.approx(sum(map(abs, theirs.error_components().values())), rel=1e-6)


def test_a_block_solved_together_against_random_draws() -> None:
    """The whole cowl solved again for 400 normal draws; a standard deviation of 400 is known to 3.5 %."""
    design = cowl(tuple(number for number, _ in MEASURED), spread=True)
    random = np.random.Generator(np.random.PCG64(20240229))
    draws = random.normal([n for n, _ in MEASURED], [half for _, half in MEASURED], size=(400, len(MEASURED)))
    again = [cowl(tuple(map(float, draw)), spread=False).values for draw in draws]
    for name in FOUND:
        spread = np.std([values[name] for values in again], ddof=1)
        assert plus_minus(design, name)[0] == pytest.approx(spread, rel=0.12), name


def test_a_block_solved_together_against_its_worst_corners() -> None:
    """Small ± (a hundredth of those above), so that the corners lie on the tangent: all 32 solved."""
    design = cowl(tuple(number for number, _ in MEASURED), spread=True)
    small = 0.01
    corners = [
        cowl(
            tuple(n + sign * small * half for sign, (n, half) in zip(signs, MEASURED, strict=True)), False
        ).values
        for signs in itertools.product((-1, 1), repeat=len(MEASURED))
    ]
    for name in FOUND:
        reach = max(abs(values[name] - design.values[name]) for values in corners) / small
        assert plus_minus(design, name)[1] == pytest.approx(reach, rel=0.01), name


def test_what_cancels_has_no_spread() -> None:
    """A quantity used twice is one quantity: x - x is 0 ± 0, as in `uncertainties`, which tracks it."""
    design = solved(
        HEAD
        + "stack s { stock = board, barrel b { diameter = 132 ± 0.5 mm, length = 40 ± 1 mm } }\n"
        + "let gap = s.b.start - s.b.end + 3 mm\nlet twice = s.b.length + s.b.length\n"
    )
    assert design.solution.plus_minus("gap") is None
    length = ufloat(40, 1)
    assert plus_minus(design, "twice")[0] == pytest.approx((length + length).s, abs=1e-12)
    assert math.isclose(plus_minus(design, "twice")[1], 2.0)
