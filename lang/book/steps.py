"""The steps in which a model is built: what is done, with what it is glued, and what to measure afterwards."""

from collections.abc import Callable, Iterable, Iterator, Sequence

from ringwright.geometry.part import Part, Vector
from ringwright.lang.book import surfaces
from ringwright.lang.book.craft import bending, glue, preparing, seam
from ringwright.lang.book.seating import ready, seating
from ringwright.lang.book.sequence import BALANCE, LOADS, MEASURE, is_of, sequence
from ringwright.lang.book.sizes import check
from ringwright.lang.book.step import Step
from ringwright.lang.book.strips import strip_step
from ringwright.lang.book.touching import Touching, touching
from ringwright.lang.book.units import FORMERS, FUSELAGE, Unit, box_of, units_of
from ringwright.lang.book.words import listed, named, title, unit_title
from ringwright.lang.design.design import Design
from ringwright.lang.design.written_steps import WrittenStep
from ringwright.lang.units import LENGTH


def steps_of(design: Design) -> tuple[Step, ...]:
    """Return all steps of a design, in their order."""
    units = units_of(design.tree, design.parts)
    touch = touching(design.parts, design.pieces)
    unit_of = {unit.id: unit for unit in units}
    written = {step.id: step for step in design.steps}
    ends = [id for id, step in ((LOADS, _loads(design)), (BALANCE, _balance(design))) if step is not None]
    strips = {piece.id: piece for piece in design.pieces}
    ends = [*(id for id, piece in strips.items() if not piece.is_bent), *ends]
    bent = [id for id, piece in strips.items() if piece.is_bent]
    order = sequence(design.tree, units, design.steps, ends, bent)
    closing = _closing([unit_of[id] for id in order if id in unit_of], touch)
    found: list[Step] = []
    built: list[Unit] = []
    seated: list[str] = []
    for id in order:
        if id in unit_of:
            found.append(_unit_step(design, unit_of[id], built, touch, id in closing))
            built.append(unit_of[id])
            for surface, onto in ready(units, built, touch, seated):
                found.append(seating(design, surface, onto, touch))
                seated.append(surface[0].assembly)
        elif id in strips:
            found.append(strip_step(design, strips[id], built, touch))
        elif id in written:
            found.append(_written(written[id], units))
        else:
            made = {MEASURE: _measure, LOADS: _loads, BALANCE: _balance}[id](design)
            found += [] if made is None else [made]
    return tuple(found)


def _unit_step(design: Design, unit: Unit, built: Sequence[Unit], touch: Touching, closes: bool) -> Step:
    """Return the step in which a unit is made and joined to what stands. closes: its assembly, off."""
    surface = unit.assembly if unit.kind in surfaces.ORDER else ""
    hung = unit.kind == "control"
    within = [each for each in built if unit.id in each.inside]
    joined = _joined(unit, [each for each in built if each not in within], touch)
    against = touch.of(
        unit.parts,
        [
            part
            for each in built
            for part in each.parts
            # A surface is built by itself, and put in its place when it is whole.
            if part not in joined and each not in within and part.component in unit.beside and not surface
        ],
    )
    gently = unit.kind in ("side", "floor", "deck")
    lines = [*_together(unit.parts, preparing), *_together(unit.parts, lambda part: (bending(part, gently),))]
    if within:
        lines.append(
            f"Bring it round {named([part for each in within for part in each.parts])}, so that this stands inside."
        )
    lines += _together(unit.parts, lambda part: (seam(part),))
    if unit.id == FORMERS:
        lines += _standing(design, unit)
    elif joined and not hung:
        lines += _joining(unit, joined, touch)
    if against:
        lines.append(f"{'They lie' if len(unit.parts) > 1 else 'It lies'} against {named(against)}.")
    lines += surfaces.doing(design, unit.kind, surface, named(joined) if joined else "")
    if closes:
        held = _held(design, unit, built)
        inside = f": {listed(held)}" if held else ""
        lines.append(
            f"This closes the {title(design, unit.assembly)} off: put in first what goes inside{inside}."
        )
    onto = (*(part for each in within for part in each.parts), *joined, *against)
    kinds = {part.stock.kind for part in (*unit.parts, *onto)}
    glued = within or (joined and not hung) or any(seam(part) for part in unit.parts)
    return Step(
        surfaces.title(design, unit.id, surface) if surface else unit_title(design, unit),
        surfaces.title(design, surface, surface) if surface else title(design, unit.assembly),
        tuple(lines),
        glue(kinds) if glued else "",
        check(design, unit),
        tuple(part.id for part in unit.parts),
        tuple(part.id for part in onto),
        False,
    )


def _joined(unit: Unit, built: Sequence[Unit], touch: Touching) -> list[Part]:
    """Return the parts that stand and that a unit is joined to: those that it meets by its edges, where they touch."""
    meant = [part for each in built for part in _met(unit, each)]
    found = list(touch.of(unit.parts, meant))
    if meant and not found:
        # What its edges are made for stands back behind something else of its assembly: it is joined to that.
        beside = [part for each in built if each.assembly == unit.assembly for part in each.parts]
        found = list(touch.of(unit.parts, beside))
    return found + [
        part for each in built if each.id in unit.inside for part in each.parts if part not in found
    ]


def _joining(unit: Unit, joined: Sequence[Part], touch: Touching) -> Iterator[str]:
    """Yield what a unit's parts are joined to, each name of them to what it touches."""
    notched = any(mark.kind == "notch" for part in unit.parts for mark in part.marks)
    how = ", like match mark on like" if notched else ""
    alike: dict[str, list[Part]] = {}
    for part in unit.parts:
        alike.setdefault(part.name, []).append(part)
    onto = {name: touch.of(parts, joined) or tuple(joined) for name, parts in alike.items()}
    own = {name: named(parts) for name, parts in onto.items()}
    if len(own) > 3 or len(set(own.values())) == 1:
        yield f"Join {_it(unit)} to {named(joined)}{how}."
        return
    for name, words in own.items():
        yield f"{name}: join {'them' if len(alike[name]) > 1 else 'it'} to {words}{how}."


def _met(unit: Unit, other: Unit) -> tuple[Part, ...]:
    """Return the parts of another unit whose edges meet one's own."""
    if other.meets & {part.component for part in unit.parts} and other.id != FORMERS:
        return other.parts
    return tuple(part for part in other.parts if part.component in unit.meets)


def _it(unit: Unit) -> str:
    return "them" if len(unit.parts) > 1 else "it"


def _together(parts: Sequence[Part], of: Callable[[Part], Iterable[str]]) -> Iterator[str]:
    """Yield what is done to parts, each sentence once: with the parts' names where it is not said of all."""
    said: dict[str, list[str]] = {}
    for part in parts:
        for sentence in of(part):
            if sentence:
                said.setdefault(sentence, []).append(part.name)
    for sentence, names in said.items():
        yield (
            sentence if len(names) == len(parts) else f"{listed(names)}: {sentence[0].lower()}{sentence[1:]}"
        )


def _standing(design: Design, unit: Unit) -> Iterator[str]:
    yield "Stand each on the plan at its place along x, upright and square to the table, aft face as marked."
    known = [(design.values.get(f"{part.component}.x"), part.name) for part in unit.parts]
    places = [
        f"{name} {design.about.shown(x, LENGTH)}"
        for x, name in sorted((x, name) for x, name in known if x is not None)
    ]
    if places:
        yield f"Along x: {', '.join(places)}."


def _closing(order: Sequence[Unit], touch: Touching) -> frozenset[str]:
    """Return the ids of the units that close assemblies off: a skin over formers, or a disc at a stack's other end."""
    last = {unit.assembly: unit.id for unit in order if _closes(unit, order[: order.index(unit)], touch)}
    return frozenset(last.values())


def _closes(unit: Unit, built: Sequence[Unit], touch: Touching) -> bool:
    """Whether a unit may close its assembly off: a skin over two formers or more, or what follows two discs of a stack."""
    if unit.assembly == FUSELAGE:
        formers = [part for each in built if each.id == FORMERS for part in each.parts]
        return unit.kind in ("deck", "wrap") and len(touch.of(unit.parts, formers)) > 1
    discs = [each for each in (*built, unit) if each.assembly == unit.assembly and each.kind == "plate"]
    return len(discs) > 1


def _held(design: Design, unit: Unit, built: Sequence[Unit]) -> list[str]:
    """Return the names of loads that lie within an assembly."""
    parts = [part for each in (*built, unit) if each.assembly == unit.assembly for part in each.parts]
    low, high = box_of(parts)
    if low is None or high is None or design.weighed is None:
        return []
    return [
        title(design, entry.owner)
        for entry in sorted(design.weighed.entries, key=lambda entry: entry.name)
        if entry.sort == "load" and entry.at is not None and _between(low, entry.at, high)
    ]


def _between(low: Vector, place: Vector, high: Vector) -> bool:
    return all(a <= at <= b for a, at, b in zip(low, place, high, strict=True))


# -- steps that are about no part -----------------------------------------------------------------


def _measure(design: Design) -> Step:
    """Return the first step of all: what was taken for granted is measured."""
    stocks = {part.stock.name: part.stock for part in design.parts}
    lines = [
        f"{stock.title or name}: {design.about.shown(stock.thickness, LENGTH)} thick was taken. Measure yours."
        for name, stock in sorted(stocks.items())
    ]
    lines.append("Where a sheet differs, change the spec and compile again: what lies inside depends on it.")
    lines.append("Lay a ruler on the check bars of the printed sheets: 100 mm each way.")
    return Step("Measure before you cut", "", tuple(lines), "", "", (), (), False)


def _loads(design: Design) -> Step | None:
    """Return the step that puts in what is not cut; None where there is nothing."""
    if design.weighed is None:
        return None
    lines = [
        f"{title(design, entry.owner)}: {', '.join(_axes(design, entry.at))}."
        for entry in sorted(design.weighed.entries, key=lambda entry: (entry.at or (0.0,), entry.name))
        if entry.sort == "load" and entry.at is not None
    ]
    if not lines:
        return None
    head = "Put in what is not cut, its middle as said; x runs aft, y to starboard, z up."
    return Step("Fit what is not cut", "", (head, *dict.fromkeys(lines)), "", "", (), (), False)


def _axes(design: Design, at: Vector) -> Iterator[str]:
    for axis, value in zip("xyz", at, strict=True):
        if axis == "x" or abs(value) > 0.05:
            yield f"{axis} {design.about.shown(round(value, 1), LENGTH)}"


def _balance(design: Design) -> Step | None:
    """Return the step that weighs and balances the model; None where nothing says where it should balance."""
    weighed = design.weighed
    if weighed is None or weighed.wanted is None:
        return None
    wanted = weighed.wanted
    ends = [design.about.shown(round(value, 1), LENGTH) for value in dict.fromkeys((wanted.low, wanted.high))]
    lines = [
        "Weigh the model ready to fly.",
        f"Hold it up under the wing at {' to '.join(ends)} along x: it must hang level, or a little nose down.",
        "Slide what can slide until it does; ballast only helps where nothing is left to slide.",
        "Do not fly it before it balances there.",
    ]
    return Step("Weigh and balance", "", tuple(lines), "", "", (), (), False)


def _written(written: WrittenStep, units: Sequence[Unit]) -> Step:
    """Return a step of the spec; its picture shows what it comes after."""
    parts = [part for unit in units if is_of(written.after, unit.id, units) for part in unit.parts]
    named = [
        p for p in parts if any(p.component == n or p.component.startswith(f"{n}.") for n in written.after)
    ]
    shown = tuple(part.id for part in named or parts)
    return Step(written.title, "", (written.text,), "", "", (), shown, True)
