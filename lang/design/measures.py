"""Names that no statement settles: measures of finished parts, and those that nothing will ever find."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from ringwright.lang.components.tree import Component
from ringwright.lang.kinds.kind import Measure, Property, Solved
from ringwright.lang.solve.algebra import unknowns_of
from ringwright.lang.solve.terms import Equation, Forward, Origin, Unknown
from ringwright.lang.source import Span
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.evaluate import SKINS
from ringwright.lang.values.value import unknowns_within

if TYPE_CHECKING:
    from ringwright.lang.design.elaborate import Elaboration

Compute = Callable[[str, str, Mapping[str, float]], float]


def measure(work: "Elaboration", compute: Compute) -> None:
    """Add an equation for each forward measure that the text mentions: it follows from the finished part."""
    done: set[tuple[str, str]] = set()
    while waiting := sorted(work.evaluator.forward - done):
        for id, name in waiting:
            done.add((id, name))
            component = work.tree.components[id]
            spec = next(measure for measure in component.kind.forward if measure.name == name)
            if spec.late:
                work.later(component, name)
                continue
            full = f"{id}.{name}"
            work.register(full, spec.dimension, component.span, start=10.0)

            def value(values: Mapping[str, float], id: str = id, name: str = name) -> float:
                return compute(id, name, values)

            if any(other.startswith(f"{id}.") for other in work.broken):
                work.broken.add(full)  # the part cannot be made, which has been reported
                continue
            inputs = _inputs(work, component, spec)
            if full in inputs:
                work.say(
                    "circular-value",
                    f"'{full}' is known from the finished part, and the part needs it first",
                    component.span,
                    "say in another way what it is needed for",
                )
                work.broken.add(full)
                continue
            term = Forward(f"{name.replace('_', ' ')} of {id}", inputs, value)
            work.equations.append(
                Equation(
                    Unknown(full),
                    term,
                    dimension_name(spec.dimension),
                    Origin("rule", f"{spec.doc}, from the finished part", component.span),
                )
            )


def settle_names(work: "Elaboration") -> None:
    """Report names in the text that nothing will ever find, such as the place of a stack that has none.

    Named values that lean on the finished aircraft are set aside until it is known.
    """
    _set_aside(work)
    kept = []
    for equation in work.equations:
        missing = [
            name
            for side in (equation.left, equation.right)
            for name in unknowns_of(side)
            if name not in work.unknowns
        ]
        if not missing:
            kept.append(equation)
            continue
        if equation.origin.span is not None:
            _say_missing(work, missing[0], equation.origin.span)
        work.broken.update(
            name
            for side in (equation.left, equation.right)
            for name in unknowns_of(side)
            if name in work.unknowns
        )
    work.equations = kept


def _set_aside(work: "Elaboration") -> None:
    found = True
    while found and work.late:
        found = False
        for equation in tuple(work.equations):
            named = equation.left
            if not equation.origin.text.startswith("let ") or not isinstance(named, Unknown):
                continue
            if any(name in work.late for name in unknowns_of(equation.right)):
                work.equations.remove(equation)
                work.afterwards.append(equation)
                work.unknowns.pop(named.name, None)
                work.late.add(named.name)
                found = True


def _say_missing(work: "Elaboration", name: str, span: Span) -> None:
    component, _, last = name.rpartition(".")
    if component in work.broken or name in work.broken:
        return
    if name in work.late:
        work.say(
            "known-last",
            f"'{name}' is known only once all parts are made, and this is needed to make them",
            span,
            "it can stand in a 'require', and in a 'let' that no part needs",
        )
        return
    found = work.tree.components.get(component)
    if found is not None and all(property.name != last for property in found.kind.properties):
        help = "a stack stands somewhere once it has a 'from' or a 'to'" if last.startswith("x_") else ""
    else:
        help = f"give {component} its '{last}', or leave the name out"
    work.say("not-known", f"'{name}' is used here, but nothing says what it is", span, help)


def _inputs(work: "Elaboration", component: Component, measure: Measure) -> tuple[str, ...]:
    """Return all unknowns on which a measure of the finished part depends: the part's own, and what its text names."""
    names: set[str] = set()
    # An element is made with all of its stack: its seam keeps clear of its neighbours'.
    family = [component if measure.needs else work.tree.components.get(component.parent, component)]
    while family:
        member = family.pop()
        if not measure.needs:
            family.extend(work.children(member))
        entries: tuple[Property | Solved, ...] = (*member.kind.properties, *member.kind.solved)
        for entry in entries:
            if measure.needs and entry.name not in measure.needs:
                continue
            if f"{member.id}.{entry.name}" in work.unknowns:
                names.add(f"{member.id}.{entry.name}")
            if isinstance(entry, Property):
                names.update(unknowns_within(work.value(member, entry.name)))
        stock = None if measure.needs and "stock" not in measure.needs else work.stock(member)
        if stock is not None:
            names.update(name for name in work.unknowns if name.startswith(stock.id + "."))
    if component.kind.name in SKINS[1:]:
        from ringwright.lang.components.passing import stations_of, table_along

        for id in work.evaluator.formers_in(component):
            wanted = (f"{id}.{name}" for name in ("x", "x_fore", "x_aft", "tab"))
            names.update(name for name in wanted if name in work.unknowns)
        table = table_along(work.tree, component)
        names.update(f"{station.id}.x" for station in stations_of(work.tree, table))
    if not measure.needs or "inset" in measure.needs:
        for skin in work.evaluator.skins_of(component):
            wrap = work.tree.components[skin]
            for property in wrap.kind.properties:
                names.update(unknowns_within(work.value(wrap, property.name)))
            sheet = work.stock(wrap)
            if sheet is not None:
                names.update(name for name in work.unknowns if name.startswith(sheet.id + "."))
    return tuple(sorted(names))
