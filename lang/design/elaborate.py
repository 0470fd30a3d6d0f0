"""Components to equations: what the text states, what it leaves to defaults, and what the kinds know of themselves."""

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from ringwright.lang.components.names import Dimension as NamedDimension
from ringwright.lang.components.names import (
    LetHere,
    Scope,
    Unnamed,
    full_name,
    let_of,
    let_of_file,
    look_up,
    names_of,
)
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.kinds.kind import Measure, Property, Solved, no_parts
from ringwright.lang.solve.algebra import unknowns_of
from ringwright.lang.solve.terms import (
    Constant,
    Equation,
    Forward,
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
from ringwright.lang.values.value import Amount, Automatic, Items, Pair, Reference, Seam, ShapeOf, Value, Word

INFINITE = float("inf")
Compute = Callable[[str, str, Mapping[str, float]], float]


class Requirement(NamedTuple):
    """A `require`, ready to be checked: both sides, what stands between, and the statement."""

    left: Amount
    op: str
    right: Amount
    node: nodes.Require
    scope: Scope


class Elaborated(NamedTuple):
    """What the solver gets, and what is checked after it.

    broken: names whose statement means nothing, so that what leans on them is not judged. dimensions: of every unknown.
    defaults: name and default, as one would write it, of each that was used.
    """

    system: System
    requirements: tuple[Requirement, ...]
    broken: frozenset[str]
    dimensions: Mapping[str, Dimension]
    defaults: tuple[tuple[str, str], ...]
    findings: tuple[Diagnostic, ...]


def elaborate(tree: Tree, evaluator: Evaluator, compute: Compute) -> Elaborated:
    """Gather the equations of a tree. `compute(id, name, values)` gives a forward measure of a component."""
    work = Elaboration(tree, evaluator)
    for component in tree.components.values():
        work.state(component)
    for file in tree.files.values():
        scope = Scope("", file.path)
        work.scope(scope, [let_of_file(file, name) for name in file.lets], file.givens, file.requires)
    for component in tree.components.values():
        scope = Scope(component.id, component.file)
        work.scope(
            scope, [let_of(component, name) for name in component.lets], component.givens, component.requires
        )
    work.measure(compute)
    work.settle_names()
    return Elaborated(
        System(tuple(work.unknowns.values()), tuple(work.equations), tuple(work.shares)),
        tuple(work.requirements),
        frozenset(work.broken),
        work.dimensions,
        tuple(sorted(work.defaults)),
        tuple(work.findings),
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

    # -- for kinds --------------------------------------------------------------------------------

    def unknown(self, component: Component, name: str) -> Unknown:
        """Return a property or solved name of a component as a term; the solver will have to find it."""
        full = f"{component.id}.{name}"
        if full not in self.unknowns:
            spec = _spec(component, name)
            hint = f"{component.id}.{spec.rather or spec.name}" if isinstance(spec, Property) else ""
            start = 0.3 if spec.dimension == ANGLE else 10.0
            self._register(full, spec.dimension, spec.low, spec.high, start, component.span, hint)
        return Unknown(full)

    def rule(
        self, component: Component, left: Term, right: Term, text: str, dimension: Dimension = LENGTH
    ) -> None:
        """Add an equation that follows from what the component is; `text` says it in the builder's words."""
        self.equations.append(
            Equation(left, right, dimension_name(dimension), Origin("rule", text, component.span))
        )

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
            text = f"lengths left out are shared; this one takes {share:g} parts"
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
        default = _spec(component, name)
        assert isinstance(default, Property)
        return default.default if isinstance(default.default, str) else ""

    def count(self, component: Component, name: str) -> int:
        """Return a property that is a whole number, or its default."""
        value = self.value(component, name)
        if isinstance(value, Amount) and isinstance(value.term, Constant):
            return int(value.term.value)
        default = _spec(component, name)
        assert isinstance(default, Property)
        return int(default.default) if isinstance(default.default, float) else 1

    def stock(self, component: Component) -> Component | None:
        """Return the stock that a component is cut from: its own, or that of what it stands in."""
        return stock_of(self.tree, self.evaluator, component)

    def thickness(self, component: Component) -> Term:
        """Return the thickness of the component's stock; where it has none (reported elsewhere) nothing follows from it."""
        stock = self.stock(component)
        if stock is not None:
            return self.unknown(stock, "thickness")
        nothing = f"{component.id}.stock"
        self.broken.add(nothing)
        self._register(nothing, LENGTH, -INFINITE, INFINITE, 1.0, component.span, "")
        return Unknown(nothing)

    def children(self, component: Component) -> tuple[Component, ...]:
        """Return the components in a component, in the order of the text."""
        return children_of(self.tree, component)

    def say(self, code: str, message: str, span: Span, help: str = "") -> None:
        """Report an error."""
        self.findings.append(Diagnostic(code, "error", message, span, (), help))

    def breaks(self, component: Component, *names: str) -> None:
        """Say that these names of a component cannot be judged: an error has been reported for them."""
        self.broken.update(f"{component.id}.{name}" for name in names)

    # -- the passes -------------------------------------------------------------------------------

    def state(self, component: Component) -> None:
        """Add what the text and the defaults say of a component, and its kind's own equations."""
        for property in component.kind.properties:
            name = f"{component.id}.{property.name}"
            node = component.properties.get(property.name)
            try:
                value = self.evaluator.property(component, property.name)
            except Trouble as trouble:
                self.findings.append(trouble.finding)
                self.broken.add(name)
                if property.type in ("amount", "place"):
                    self.unknown(component, property.name)
                continue
            if property.type not in ("amount", "place"):
                if node is None and property.default is not None:
                    self.defaults.append((name, property.shown or str(property.default)))
            elif isinstance(value, Amount) and node is not None:
                text = f"{property.name} of {component.id}"
                origin = Origin("stated", text, node.span)
                self.equations.append(
                    Equation(
                        self.unknown(component, property.name),
                        value.term,
                        dimension_name(property.dimension),
                        origin,
                    )
                )
            elif isinstance(value, Automatic):
                self.unknown(component, property.name)
            elif isinstance(property.default, float):
                self.default(component, property, property.default)
        if component.kind.parts is not no_parts and self.stock(component) is None:
            self._say_no_stock(component)
        component.kind.equations(self, component)

    def _say_no_stock(self, component: Component) -> None:
        if f"{component.id}.stock" not in self.broken and f"{component.parent}.stock" not in self.broken:
            self.findings.append(
                Diagnostic(
                    "missing-property",
                    "error",
                    f"nothing says what this {component.kind.name} is cut from",
                    component.span,
                    (),
                    "write, for example: stock = board",
                )
            )
        self.broken.add(f"{component.id}.stock")

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

    def scope(
        self,
        scope: Scope,
        lets: Iterable[LetHere],
        givens: Iterable[nodes.Given],
        requires: Iterable[nodes.Require],
    ) -> None:
        """Add the named values, further equations and requirements of one place in the text."""
        for here in lets:
            let = here.let
            try:
                value = self.evaluator.let(here)
            except Trouble as trouble:
                self.findings.append(trouble.finding)
                self.broken.add(full_name(here, self.tree))
                continue
            if isinstance(value, Amount):
                name = full_name(here, self.tree)
                self._register(name, value.dimension, -INFINITE, INFINITE, 1.0, let.name_span, "")
                origin = Origin("stated", f"let {let.name}", let.span)
                self.equations.append(
                    Equation(Unknown(name), value.term, dimension_name(value.dimension), origin)
                )
        for given in givens:
            try:
                left, right = self.evaluator.compare(given.condition, scope)
            except Trouble as trouble:
                self.findings.append(trouble.finding)
                self._break_around(given.condition, scope)
                continue
            said = self.tree.sources[given.span.source].words(given.condition.span)
            origin = Origin("given", f"given {said}", given.span)
            self.equations.append(Equation(left.term, right.term, dimension_name(left.dimension), origin))
        for require in requires:
            condition = require.condition
            if not isinstance(condition, nodes.Compare):
                self.say(
                    "not-a-comparison",
                    "'require' compares two values",
                    condition.span,
                    "write, for example: require cowl.mid.length > 20 mm",
                )
                continue
            try:
                left, right = self.evaluator.compare(condition, scope)
            except Trouble as trouble:
                self.findings.append(trouble.finding)
                continue
            self.requirements.append(Requirement(left, condition.op, right, require, scope))

    def measure(self, compute: Compute) -> None:
        """Add an equation for each forward measure that the text mentions: it follows from the finished part."""
        done: set[tuple[str, str]] = set()
        while waiting := sorted(self.evaluator.forward - done):
            for id, name in waiting:
                done.add((id, name))
                component = self.tree.components[id]
                spec = next(measure for measure in component.kind.forward if measure.name == name)
                full = f"{id}.{name}"
                self._register(full, spec.dimension, -INFINITE, INFINITE, 10.0, component.span, "")

                def value(values: Mapping[str, float], id: str = id, name: str = name) -> float:
                    return compute(id, name, values)

                if any(other.startswith(f"{id}.") for other in self.broken):
                    self.broken.add(full)  # the part cannot be made, which has been reported
                    continue
                inputs = self._inputs(component, spec)
                if full in inputs:
                    self.say(
                        "circular-value",
                        f"'{full}' is known from the finished part, and the part needs it first",
                        component.span,
                        "say in another way what it is needed for",
                    )
                    self.broken.add(full)
                    continue
                term = Forward(f"{name.replace('_', ' ')} of {id}", inputs, value)
                self.equations.append(
                    Equation(
                        Unknown(full),
                        term,
                        dimension_name(spec.dimension),
                        Origin("rule", f"{spec.doc}, from the finished part", component.span),
                    )
                )

    def settle_names(self) -> None:
        """Report names in the text that nothing will ever find, such as the place of a stack that has none."""
        kept = []
        for equation in self.equations:
            missing = [
                name
                for side in (equation.left, equation.right)
                for name in unknowns_of(side)
                if name not in self.unknowns
            ]
            if not missing:
                kept.append(equation)
                continue
            if equation.origin.span is not None:
                self._say_missing(missing[0], equation.origin.span)
            self.broken.update(
                name
                for side in (equation.left, equation.right)
                for name in unknowns_of(side)
                if name in self.unknowns
            )
        self.equations = kept

    def _say_missing(self, name: str, span: Span) -> None:
        component, _, last = name.rpartition(".")
        if component in self.broken or name in self.broken:
            return
        found = self.tree.components.get(component)
        if found is not None and all(property.name != last for property in found.kind.properties):
            help = "a stack stands somewhere once it has a 'from' or a 'to'" if last.startswith("x_") else ""
        else:
            help = f"give {component} its '{last}', or leave the name out"
        self.findings.append(
            Diagnostic(
                "not-known", "error", f"'{name}' is used here, but nothing says what it is", span, (), help
            )
        )

    def _break_around(self, node: nodes.Expression, scope: Scope) -> None:
        """Leave unjudged what a broken equation would have settled."""
        for name in names_of(node):
            try:
                found = look_up(self.tree, scope, name)
            except Unnamed:
                continue
            if isinstance(found, NamedDimension):
                self.broken.add(f"{found.id}.{found.name}")

    def _inputs(self, component: Component, measure: Measure) -> tuple[str, ...]:
        """Return all unknowns on which a measure of the finished part depends: the part's own, and what its text names."""
        names: set[str] = set()
        # An element is made with all of its stack: its seam keeps clear of its neighbours'.
        family = [component if measure.needs else self.tree.components.get(component.parent, component)]
        while family:
            member = family.pop()
            if not measure.needs:
                family.extend(self.children(member))
            entries: tuple[Property | Solved, ...] = (*member.kind.properties, *member.kind.solved)
            for entry in entries:
                if measure.needs and entry.name not in measure.needs:
                    continue
                if f"{member.id}.{entry.name}" in self.unknowns:
                    names.add(f"{member.id}.{entry.name}")
                if isinstance(entry, Property):
                    names.update(unknowns_within(self.value(member, entry.name)))
            stock = None if measure.needs and "stock" not in measure.needs else self.stock(member)
            if stock is not None:
                names.update(name for name in self.unknowns if name.startswith(stock.id + "."))
        return tuple(sorted(names))

    def _register(
        self, name: str, dimension: Dimension, low: float, high: float, start: float, span: Span, hint: str
    ) -> None:
        self.unknowns[name] = Quantity(name, dimension_name(dimension), low, high, start, span, hint)
        self.dimensions[name] = dimension


def children_of(tree: Tree, component: Component) -> tuple[Component, ...]:
    """Return the components in a component, in the order of the text."""
    return tuple(tree.components[f"{component.id}.{name}"] for name in component.children)


def stock_of(tree: Tree, evaluator: Evaluator, component: Component) -> Component | None:
    """Return the stock of a component, or that of the nearest component around it that has one; else None."""
    current: Component | None = component
    while current is not None:
        if "stock" in current.properties:
            try:
                value = evaluator.property(current, "stock")
            except Trouble:
                return None
            return tree.components[value.id] if isinstance(value, Reference) else None
        current = tree.components.get(current.parent)
    return None


def unknowns_within(value: Value | None) -> Iterable[str]:
    """Yield the names of all unknowns in a value, whatever it is made of; what is used twice is gone through once."""
    waiting, seen = [value], set()
    while waiting:
        current = waiting.pop()
        if id(current) in seen:
            continue
        seen.add(id(current))
        match current:
            case Amount():
                yield from unknowns_of(current.term)
            case Items():
                waiting.extend(current.items)
            case Pair():
                waiting.extend((current.first, current.second))
            case ShapeOf():
                waiting.extend(current.arguments)
            case Seam():
                waiting.append(current.width)


def _spec(component: Component, name: str) -> Property | Solved:
    for property in component.kind.properties:
        if property.name == name:
            return property
    return next(solved for solved in component.kind.solved if solved.name == name)
