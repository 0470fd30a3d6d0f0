"""What moves a dimension, and what a given one moves: the derivatives of a design, in a builder's words."""

import math
from collections.abc import Callable, Container, Mapping
from typing import NamedTuple, TypeAlias

from ringwright.geometry.numbers import short
from ringwright.lang.design.why import at, written
from ringwright.lang.solve.algebra import stated_of, unknowns_of
from ringwright.lang.solve.rows import Row
from ringwright.lang.solve.solution import Solution
from ringwright.lang.solve.terms import Equation, Share, Stated, Unknown
from ringwright.lang.solve.wording import aligned
from ringwright.lang.source import Source
from ringwright.lang.units import Unit, find_unit

UnitOf: TypeAlias = Callable[[str], Unit]
"""Takes a solved name, returns the unit in which the builder reads it."""

MOST = 8
"""Lines shown: the largest effects."""

MOST_NAMES = 4
"""Names in one line; of more, the rest are counted."""

LEAST = 5e-4
"""What is less than this, in the unit shown, is no effect."""

FRACTIONS = ((0.5, "½"), (0.25, "¼"), (0.75, "¾"), (1 / 3, "⅓"), (2 / 3, "⅔"))


class Cause(NamedTuple):
    """Something that was given: what it is called, its unit, where it stands, and its place in the text.

    slope: what one more of it (mm, rad, g) is on the stated quantity behind it.
    """

    name: str
    unit: Unit
    slope: float
    place: str


def effects(
    solution: Solution,
    name: str,
    sources: Mapping[str, Source],
    unit_of: UnitOf,
    written: Container[str] = (),
) -> str:
    """Return what moves a solved value or, where it is given, what it moves; '' where there is nothing.

    sources: the texts by their path. written: names that a builder can write; they are shown first, and in
    place of others that move as much. Raises KeyError for a name without a value.
    """
    if solution.because[name].provenance == "derived":
        lines = _causes(solution, name, sources, unit_of)
    else:
        lines = _moved(solution, name, unit_of, written)
    return "".join(f"{line}\n" for line in lines)


def _causes(solution: Solution, name: str, sources: Mapping[str, Source], unit_of: UnitOf) -> list[str]:
    """Return the lines about all that a derived value rests on, the largest effect first."""
    gradient = {
        leaf: slope for leaf, slope in solution.gradient(name).items() if leaf.span is not None and slope
    }
    homes = _homes(solution, gradient)
    unit = unit_of(name)
    found: dict[str, tuple[float, Cause]] = {}
    for leaf, slope in gradient.items():
        cause = _cause(solution, leaf, homes[leaf], sources, unit_of)
        if cause is None or not math.isfinite(slope):
            continue
        effect = slope / cause.slope * _step(cause.unit) / unit.factor
        if abs(effect) >= LEAST:
            found.setdefault(cause.name, (effect, cause))
    ordered = sorted(found.values(), key=lambda item: (-round(abs(item[0]), 6), item[1].name))
    cells: list[tuple[str, ...]] = [
        (f"    {_one_more(cause.unit)} on {cause.name}:", _moves(effect, unit), cause.place)
        for effect, cause in ordered[:MOST]
    ]
    if len(ordered) > MOST:
        cells.append((f"    and {len(ordered) - MOST} with less effect",))
    return ["  what moves it:", *aligned(cells)] if cells else []


def _homes(solution: Solution, leaves: Container[Stated]) -> dict[Stated, tuple[Row, str]]:
    """Return for each stated quantity the row that it stands in, and the first name found with that row."""
    homes: dict[Stated, tuple[Row, str]] = {}
    for step in solution.steps:
        for row in step.rows:
            for leaf in stated_of(row.left, row.right):
                if leaf in leaves:
                    homes.setdefault(leaf, (row, step.names[0]))
    return homes


def _cause(
    solution: Solution, leaf: Stated, home: tuple[Row, str], sources: Mapping[str, Source], unit_of: UnitOf
) -> Cause | None:
    """Return what a stated quantity is called: the name that it gives a value, or its words in a sum."""
    row, name = home
    if solution.because[name].provenance != "derived":
        slope = solution.gradient(name).get(leaf, 0.0)
        place, _ = at(row.cause.origin.span, sources)
        return Cause(name, unit_of(name), slope, place) if slope and math.isfinite(slope) else None
    place, _ = at(leaf.span, sources)
    words = written(leaf, sources)
    unit = find_unit(words.split()[-1].lstrip("@±+-.0123456789")) if place else None
    if unit is None:
        return None
    named = row.left.name if isinstance(row.left, Unknown) else row.cause.origin.text
    return Cause(f"the {words} in {named}", unit, 1 / leaf.scale, place)


def _moved(solution: Solution, name: str, unit_of: UnitOf, written: Container[str]) -> list[str]:
    """Return the lines about all that a given value moves, what moves alike in one line."""
    equation = solution.because[name].equation
    leaves = stated_of(equation.left, equation.right) if isinstance(equation, Equation) else ()
    own = solution.gradient(name)
    leaf = next((leaf for leaf in leaves if leaf.span is not None and own.get(leaf)), None)
    if leaf is None:
        return []
    unit = unit_of(name)
    alike: dict[str, list[str]] = {}
    sizes: dict[str, float] = {}
    for other in _after(solution, name):
        to = unit_of(other)
        effect = solution.gradient(other).get(leaf, 0.0) / own[leaf] * _step(unit) / to.factor
        if abs(effect) >= LEAST and math.isfinite(effect):
            said = _moves(effect, to)
            alike.setdefault(said, []).append(other)
            sizes[said] = abs(effect)
    rows: list[tuple[bool, float, str]] = []
    for said, names in alike.items():
        ours = sorted(other for other in names if other in written)
        rows.append((not ours, -round(sizes[said], 6), _listed(ours or sorted(names), said)))
    return (
        [f"  {_one_more(unit)} moves:", *(f"    {text}" for _, _, text in sorted(rows)[:MOST])]
        if rows
        else []
    )


def _after(solution: Solution, name: str) -> list[str]:
    """Return all names whose value rests on that of `name`, in solving order."""
    reached = {name}
    found: list[str] = []
    for step in solution.steps[solution.step_numbers[name] + 1 :]:
        if any(other in reached for row in step.rows for other in unknowns_of(row.left, row.right)):
            reached.update(step.names)
            pools = {row.cause.pool for row in step.rows if isinstance(row.cause, Share)}
            found.extend(other for other in step.names if other not in pools)
    return found


def _listed(names: list[str], said: str) -> str:
    """Return 'a: ½ mm less' or 'a, b and 2 others: ½ mm less each'."""
    if len(names) == 1:
        return f"{names[0]}: {said}"
    if len(names) > MOST_NAMES + 1:
        names = [*names[:MOST_NAMES], f"{len(names) - MOST_NAMES} others"]
    return f"{', '.join(names[:-1])} and {names[-1]}: {said} each"


def _step(unit: Unit) -> float:
    """Return one step of a given value: one of its unit, a tenth of an inch or of a bare number."""
    return unit.factor * (0.1 if unit.name in ("in", "") else 1.0)


def _one_more(unit: Unit) -> str:
    return f"{_in_unit(_step(unit) / unit.factor, unit)} more"


def _moves(effect: float, unit: Unit) -> str:
    return f"{_in_unit(abs(effect), unit)} {'more' if effect > 0 else 'less'}"


def _in_unit(number: float, unit: Unit) -> str:
    return f"{_number(number)}{'' if unit.name in ('°', '') else ' '}{unit.name}"


def _number(number: float) -> str:
    """Return a number above 0 as a workshop says it: 3, ½, 1¼, else to about three digits."""
    near = 1e-6 * max(1.0, number)
    whole = math.floor(number + near)
    for part, sign in FRACTIONS:
        if abs(number - whole - part) <= near:
            return f"{whole or ''}{sign}"
    return short(number, max(0, 2 - math.floor(math.log10(number))))
