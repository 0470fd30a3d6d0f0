"""Components to equations: what the text states, what it leaves to defaults, and what the kinds know of themselves."""

from collections.abc import Mapping
from typing import NamedTuple

from ringwright.lang.components.names import Scope, let_of, let_of_file
from ringwright.lang.components.tree import Component, Tree, children_of, property_of, with_makes
from ringwright.lang.design.measures import Compute, measure, settle_names
from ringwright.lang.design.statements import Requirement, state, state_scope
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.kinds.kind import INFINITE, Measure, Property, Solved
from ringwright.lang.solve.terms import (
    Constant,
    Equation,
    Origin,
    Quantity,
    Share,
    Stated,
    System,
    Term,
    Unknown,
)
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import ANGLE, LENGTH, Dimension
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.evaluate import Evaluator
from ringwright.lang.values.trouble import Trouble
from ringwright.lang.values.value import Amount, Automatic, Value, Word

FARTHEST = 1e6
"""No length of a model goes beyond, mm: a kilometre, as in what may be written."""


class Elaborated(NamedTuple):
    """What the solver gets, and what is checked after it.

    broken: names whose statement means nothing, so that what leans on them is not judged. dimensions: of every unknown.
    defaults: name and default, as one would write it, of each that was used. late: names that are known once all parts
    are made; afterwards: named values that lean on those, in an order in which each can be worked out.
    """

    system: System
    requirements: tuple[Requirement, ...]
    broken: frozenset[str]
    dimensions: Mapping[str, Dimension]
    defaults: tuple[tuple[str, str], ...]
    findings: tuple[Diagnostic, ...]
    late: frozenset[str] = frozenset()
    afterwards: tuple[Equation, ...] = ()


def elaborate(tree: Tree, evaluator: Evaluator, compute: Compute) -> Elaborated:
    """Gather the equations of a tree. `compute(id, name, values)` gives a forward measure of a component."""
    work = Elaboration(tree, evaluator)
    for component in tree.components.values():
        said = len(work.findings)
        state(work, component)
        with_makes(tree.components, component, work.findings, said)
    for file in tree.files.values():
        scope = Scope("", file.path)
        state_scope(work, scope, [let_of_file(file, name) for name in file.lets], file.givens, file.requires)
    for component in tree.components.values():
        said = len(work.findings)
        state_scope(
            work,
            Scope(component.id, component.file),
            [let_of(component, name) for name in component.lets],
            component.givens,
            component.requires,
        )
        with_makes(tree.components, component, work.findings, said)
    measure(work, compute)
    settle_names(work)
    return Elaborated(
        System(tuple(work.unknowns.values()), tuple(work.equations), tuple(work.shares)),
        tuple(work.requirements),
        frozenset(work.broken),
        work.dimensions,
        tuple(sorted(work.defaults)),
        tuple(work.findings),
        frozenset(work.late),
        tuple(work.afterwards),
    )


class Elaboration:
    """What kinds see while they add their equations."""

    def __init__(self, tree: Tree, evaluator: Evaluator) -> None:
        self.tree = tree
        self.evaluator = evaluator
        self.unknowns: dict[str, Quantity] = {}
        self.equations: list[Equation] = []
        self.shares: list[Share] = []
        self.requirements: list[Requirement] = []
        self.findings: list[Diagnostic] = []
        self.broken: set[str] = set()
        self.dimensions: dict[str, Dimension] = {}
        self.defaults: list[tuple[str, str]] = []
        self.late: set[str] = set()
        self.afterwards: list[Equation] = []

    # -- for kinds --------------------------------------------------------------------------------

    def unknown(self, component: Component, name: str) -> Unknown:
        """Return a property or solved name of a component as a term; the solver will have to find it."""
        full = f"{component.id}.{name}"
        if full not in self.unknowns:
            spec = _entry(component, name)
            assert not isinstance(spec, Measure)
            hint = f"{component.id}.{spec.rather or spec.name}" if isinstance(spec, Property) else ""
            start = 0.3 if spec.dimension == ANGLE else 10.0
            self.register(full, spec.dimension, component.span, spec.low, spec.high, start, hint)
        return Unknown(full)

    def rule(
        self, component: Component, left: Term, right: Term, text: str, dimension: Dimension = LENGTH
    ) -> None:
        """Add an equation that follows from what the component is; `text` says it in the builder's words."""
        self.equations.append(
            Equation(left, right, dimension_name(dimension), Origin("rule", text, component.span))
        )

    def default(self, component: Component, property: Property, value: float) -> None:
        """Add a default value of an amount."""
        self.defaults.append((f"{component.id}.{property.name}", property.shown))
        self.equations.append(
            Equation(
                self.unknown(component, property.name),
                Stated(value, None, None, False),
                dimension_name(property.dimension),
                Origin("default", f"{property.name} = {property.shown} unless given", None),
            )
        )

    def no_default(self, component: Component, name: str) -> None:
        """Take back the default of an amount that something else says, where it has one."""
        full = f"{component.id}.{name}"
        kept = [e for e in self.equations if e.origin.kind != "default" or e.left != Unknown(full)]
        if len(kept) < len(self.equations):
            self.equations = kept
            self.defaults = [each for each in self.defaults if each[0] != full]
            del self.unknowns[full], self.dimensions[full]

    def share(self, component: Component, name: str, pool: str) -> None:
        """Let a length take its part of what the pool leaves: one part, or as many as `share` says."""
        value = self.value(component, "share")
        typed = isinstance(value, Amount)
        share = (
            value.term.value
            if isinstance(value, Amount) and isinstance(value.term, Constant | Stated)
            else 1.0
        )
        text = "lengths left out are shared equally"
        if typed:
            text = f"lengths left out are shared; this one takes {share:g} part{'' if share == 1 else 's'}"
        span = component.properties["share"].span if typed else component.span
        self.shares.append(Share(f"{component.id}.{name}", share, pool, typed, Origin("rule", text, span)))

    def value(self, component: Component, name: str) -> Value | None:
        """Return a property's value as written; None where it is left out, `auto` or means nothing."""
        try:
            value = self.evaluator.property(component, name)
        except Trouble:
            return None
        return None if isinstance(value, Automatic) else value

    def states(self, component: Component, name: str) -> bool:
        """Return whether the text gives the property a value of its own (`auto` is none)."""
        node = component.properties.get(name)
        return node is not None and not (isinstance(node.value, nodes.Constant) and node.value.name == "auto")

    def word(self, component: Component, name: str) -> str:
        """Return a property that is a word, or its default."""
        value = self.value(component, name)
        if isinstance(value, Word):
            return value.name
        default = property_of(component.kind, name).default
        return default if isinstance(default, str) else ""

    def count(self, component: Component, name: str) -> int:
        """Return a property that is a whole number, or its default."""
        value = self.value(component, name)
        if isinstance(value, Amount) and isinstance(value.term, Constant):
            return int(value.term.value)
        default = property_of(component.kind, name).default
        return int(default) if isinstance(default, float) else 1

    def stock(self, component: Component) -> Component | None:
        """Return the stock that a component is cut from: its own, or that of what it stands in."""
        return self.evaluator.stock_of(component)

    def thickness(self, component: Component) -> Term:
        """Return the thickness of the component's stock; where it has none (reported elsewhere) nothing follows from it."""
        stock = self.stock(component)
        if stock is not None:
            return self.unknown(stock, "thickness")
        nothing = f"{component.id}.stock"
        self.broken.add(nothing)
        self.register(nothing, LENGTH, component.span)
        return Unknown(nothing)

    def children(self, component: Component) -> tuple[Component, ...]:
        """Return the components in a component, in the order of the text."""
        return children_of(self.tree, component)

    def say(self, code: str, message: str, span: Span, help: str = "") -> None:
        """Report an error."""
        self.findings.append(Diagnostic(code, "error", message, span, (), help))

    def idle(self, component: Component, name: str, reason: str) -> None:
        """Warn of a property that nothing follows from, where the text gives it."""
        if name in component.properties:
            span = component.properties[name].name_span
            self.findings.append(
                Diagnostic("without-effect", "warning", reason, span, (), f"leave '{name}' out")
            )

    def breaks(self, component: Component, *names: str) -> None:
        """Say that these names of a component cannot be judged: an error has been reported for them."""
        self.broken.update(f"{component.id}.{name}" for name in names)

    def later(self, component: Component, name: str) -> None:
        """Say that a solved name of a component is known only once all parts are made."""
        full = f"{component.id}.{name}"
        self.late.add(full)
        self.dimensions[full] = _entry(component, name).dimension

    # -- for the passes ---------------------------------------------------------------------------

    def register(
        self,
        name: str,
        dimension: Dimension,
        span: Span,
        low: float = -INFINITE,
        high: float = INFINITE,
        start: float = 1.0,
        hint: str = "",
    ) -> None:
        """Add an unknown for the solver."""
        if dimension == LENGTH:
            low, high = max(low, -FARTHEST), min(high, FARTHEST)
        self.unknowns[name] = Quantity(name, dimension_name(dimension), low, high, start, span, hint)
        self.dimensions[name] = dimension


def _entry(component: Component, name: str) -> Property | Solved | Measure:
    kind = component.kind
    entries: tuple[Property | Solved | Measure, ...] = (*kind.properties, *kind.solved, *kind.forward)
    return next(entry for entry in entries if entry.name == name)
