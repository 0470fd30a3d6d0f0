"""In which order units are built, and where the steps of the spec stand among them.

The order is that of common practice, no published source: what stands inside is built before what goes round it, a
ring's seam is closed before the next ring is put on, and what closes a body off comes last.
"""

from collections.abc import Sequence

from ringwright.lang.book import surfaces
from ringwright.lang.book.order import Pair, ordered
from ringwright.lang.book.units import FORMERS, FUSELAGE, LENGTHWISE, Unit
from ringwright.lang.components.tree import Tree
from ringwright.lang.design.written_steps import WrittenStep

MEASURE, LOADS, BALANCE = " measure", " loads", " balance"
"""Steps that are about no component: ids that no component can have."""
_RANK = {FUSELAGE: 0, "stack": 1, "wrap": 1, "wing": 2, "tail": 3, "fin": 4}
_PANEL = 5


def sequence(
    tree: Tree,
    units: Sequence[Unit],
    written: Sequence[WrittenStep],
    ends: Sequence[str],
    along: Sequence[str] = (),
) -> tuple[str, ...]:
    """Return the ids of all steps in their order: of units, of written steps, and of those that come at the end.

    along: ids of the strips that run from former to former, and wait for these alone.
    """
    # Where there are no formers, the body is a panel, and what flies is put on it.
    panels = _PANEL if any(unit.assembly == FUSELAGE for unit in units) else _RANK[FUSELAGE]
    liked = sorted(units, key=lambda unit: _liking(tree, unit, panels))
    should = _should(liked)
    first = ordered([unit.id for unit in liked], (), should)
    stand = first.index(FORMERS) + 1 if FORMERS in first else len(first)
    wished = [MEASURE, *first[:stand], *along, *first[stand:], *ends]
    for step in written:
        waits = [i for i, id in enumerate(wished) if is_of(step.after, id, units)]
        later = [i for i, id in enumerate(wished) if is_of(step.before, id, units)]
        wished.insert(max(waits) + 1 if waits else min(later) if later else len(wished), step.id)
    must = {(id, step.id) for step in written for id in wished if is_of(step.after, id, units)}
    must |= {(step.id, id) for step in written for id in wished if is_of(step.before, id, units)}
    return ordered(wished, must, should)


def is_of(named: Sequence[str], id: str, units: Sequence[Unit]) -> bool:
    """Whether a step is one of those that are named, or about something in them. A load stands for what is put in."""
    unit = next((unit for unit in units if unit.id == id), None)
    ids = (id,) if unit is None else (id, unit.assembly, *(part.component for part in unit.parts))
    return any(each == name or each.startswith(f"{name}.") for name in named for each in ids)


def touch(unit: Unit, other: Unit) -> bool:
    """Whether two units meet anywhere."""
    own, others = ({part.component for part in each.parts} for each in (unit, other))
    return bool((unit.meets | unit.beside) & others or (other.meets | other.beside) & own)


def _should(liked: Sequence[Unit]) -> set[Pair]:
    """Return what should wait for what: a ring for the plates in it, and of two that meet the one liked later."""
    should = {(unit.id, host) for unit in liked for host in unit.inside}
    for i, unit in enumerate(liked):
        for other in liked[i + 1 :]:
            met = touch(unit, other)
            if met and other.id not in unit.inside and unit.id not in other.inside:
                should.add((unit.id, other.id))
    return should


def _liking(tree: Tree, unit: Unit, panels: int) -> tuple[int, float, float, str, float, float, str]:
    """Return by what units follow one another: sort of assembly, its place along x, size and name, place within it."""
    outer = tree.components.get(unit.assembly)
    kind = FUSELAGE if unit.assembly == FUSELAGE or outer is None else outer.kind.name
    nose = 0.0 if unit.low is None else round(unit.low[0], 3)
    inner = 0.0
    if unit.assembly == FUSELAGE:
        inner = 1.0 + LENGTHWISE.index(unit.kind) if unit.kind in LENGTHWISE else 0.0
    elif kind in surfaces.KINDS:
        inner = float(surfaces.ORDER.index(unit.kind))
    elif kind == "stack" and outer is not None:
        inner = float(outer.children.index(tree.components[unit.id].name))
    along = nose if kind not in ("stack", FUSELAGE, *surfaces.KINDS) else 0.0
    size = -round(sum(part.properties.area for part in unit.parts), 1) if kind not in _RANK else 0.0
    return (_RANK.get(kind, panels), along, size, unit.assembly, inner, nose, unit.id)
