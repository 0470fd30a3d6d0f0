"""The evaluator of a tree: what its properties, named values and conditions mean.

Names and sums are read here, numbers and lists in quantities.py, functions in calls.py; fitting.py looks whether a value is
what its property takes.
"""

from ringwright.lang.components.names import Dimension as NamedDimension
from ringwright.lang.components.names import (
    LetHere,
    Meaning,
    Scope,
    Unnamed,
    Whole,
    full_name,
    look_up,
    station_of,
)
from ringwright.lang.components.tree import Component, Tree, property_of
from ringwright.lang.diagnostics.diagnostic import Label
from ringwright.lang.diagnostics.suggest import Hints
from ringwright.lang.solve.algebra import unknowns_of
from ringwright.lang.solve.terms import Constant, Unknown
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import LENGTH, NUMBER
from ringwright.lang.values import calls, quantities
from ringwright.lang.values.arithmetic import Mismatch, a, negate, operate, unit_help
from ringwright.lang.values.fitting import read_property
from ringwright.lang.values.lets import Lets
from ringwright.lang.values.plan import Here, PlanScale
from ringwright.lang.values.trouble import DEEPEST, Trouble, hides_let, trouble, what
from ringwright.lang.values.value import Amount, Automatic, Reference, ShapeOf, Value

SKINS = ("wrap", "side", "floor", "deck")
"""Kinds of sheets that are bent round formers, or past them."""


class Evaluator:
    """Evaluates the expressions of one tree; remembers what it has evaluated, and which spans were scaled."""

    def __init__(self, tree: Tree, scale: PlanScale) -> None:
        self.tree = tree
        self.scale = scale
        self.scaled: set[Span] = set()
        self.hints = Hints()
        self.forward: set[tuple[str, str]] = set()
        self._lets = Lets(tree, lambda here: self.value(here.let.value, Here(here.scope)))
        self._skins: dict[str, tuple[str, ...]] | None = None
        self._formers: dict[str, tuple[str, ...]] | None = None
        self._properties: dict[tuple[str, str], Value | Trouble | None] = {}
        self._under_way: list[tuple[str, str, str]] = []

    # -- what others ask for ----------------------------------------------------------------------

    def property(self, component: Component, name: str) -> Value | None:
        """Return a property's value as written; None where it is left out. Raises Trouble, the same one each time."""
        key = (component.id, name)
        if key not in self._properties:
            node = component.properties.get(name)
            if node is None:
                self._properties[key] = self._implied(component, name)
            else:
                self._enter((component.id, "", name), node.span)
                try:
                    value = read_property(self, component, property_of(component.kind, name), node)
                    self._not_itself(component, name, value, node)
                    self._properties[key] = value
                except Trouble as refused:
                    self._properties[key] = refused
                finally:
                    self._under_way.pop()
        found = self._properties[key]
        if isinstance(found, Trouble):
            raise found
        return found

    def _implied(self, component: Component, name: str) -> Value | Trouble | None:
        """Return what stands for a property that is left out: for an outline at a station the section there."""
        if not property_of(component.kind, name).at_station:
            return None
        from ringwright.lang.values.sections import outline_at_station

        try:
            return outline_at_station(self, component)
        except Trouble as refused:
            return refused

    def skins_of(self, component: Component) -> tuple[str, ...]:
        """Return the ids of the skins that are bent round a former, or past it."""
        if self._skins is None:
            self._skins = {}
            if any(other.kind.name in SKINS for other in self.tree.components.values()):
                from ringwright.lang.components.passing import Passing

                self._skins = Passing(self.tree).skins_by_former()
        return self._skins.get(component.id, ())

    def formers_in(self, skin: Component) -> tuple[str, ...]:
        """Return the ids of the formers that a skin is bent round, or past."""
        if self._formers is None:
            self._formers = {}
            for former in self.tree.components.values():
                for id in self.skins_of(former):
                    self._formers[id] = (*self._formers.get(id, ()), former.id)
        return self._formers.get(skin.id, ())

    def let(self, here: LetHere) -> Value:
        """Return the value of a `let`. Raises Trouble, the same one each time."""
        return self._lets.value(here)

    def compare(self, node: nodes.Compare, scope: Scope) -> tuple[Amount, Amount]:
        """Return both sides of a comparison, of one dimension. Raises Trouble."""
        left = self.amount(node.left, Here(scope))
        right = self.amount(node.right, Here(scope))
        if left.dimension != right.dimension:
            raise trouble(
                "unit-mismatch",
                f"{a(left.dimension)} cannot be compared with {a(right.dimension)}",
                node.span,
                (Label(node.left.span, a(left.dimension)), Label(node.right.span, a(right.dimension))),
                unit_help(right.dimension if left.dimension == NUMBER else left.dimension)
                if NUMBER in (left.dimension, right.dimension)
                else "",
            )
        return left, right

    def amount(self, node: nodes.Expression, here: Here) -> Amount:
        """Return the value of an expression that must be a quantity. Raises Trouble."""
        value = self.value(node, here)
        if here.places:
            value = self.place_of(value)
        if isinstance(value, Amount):
            return value
        if isinstance(value, Reference):
            if hidden := hides_let(self.tree, here.scope, value, node):
                raise hidden
            name = self.tree.components[value.id]
            raise trouble(
                "not-a-value",
                f"'{name.name}' is a {name.kind.name}, not a quantity",
                node.span,
                help=f"name one of its dimensions, such as {name.name}.{_some_dimension(name)}",
            )
        raise trouble("not-a-value", f"a quantity is wanted here, not {what(value)}", node.span)

    def stock_of(self, component: Component) -> Component | None:
        """Return the stock of a component, or that of the nearest component around it that has one; else None."""
        current: Component | None = component
        while current is not None:
            if "stock" in current.properties:
                try:
                    value = self.property(current, "stock")
                except Trouble:
                    return None
                return self.tree.components[value.id] if isinstance(value, Reference) else None
            current = self.tree.components.get(current.parent)
        return None

    def place_of(self, value: Value) -> Value:
        """Return a value where a place is wanted: a former, such as a recipe is given, stands for its station or itself."""
        component = self.tree.components[value.id] if isinstance(value, Reference) else None
        if component is None or component.kind.name != "former":
            return value
        return Amount(Unknown(f"{station_of(self.tree, component) or component.id}.x"), LENGTH)

    def _enter(self, key: tuple[str, str, str], span: Span) -> None:
        if key in self._under_way:
            raise trouble("circular-value", f"'{key[0]}.{key[2]}' is said by means of itself", span)
        if len(self._under_way) >= DEEPEST:
            raise trouble("too-deep", f"values lean on one another more than {DEEPEST} deep", span)
        self._under_way.append(key)

    def _not_itself(self, component: Component, name: str, value: Value, node: nodes.Property) -> None:
        """Refuse `length = length`: a component's own property is meant, not one of that name further out."""
        if isinstance(value, Amount) and f"{component.id}.{name}" in unknowns_of(value.term):
            raise trouble(
                "circular-value",
                f"'{name}' is said by means of itself",
                node.value.span,
                help=f"'{name}' in here is this {component.kind.name}'s own: give what you mean another name",
            )

    # -- expressions ------------------------------------------------------------------------------

    def value(self, node: nodes.Expression, here: Here) -> Value:
        """Return what an expression means. Raises Trouble."""
        match node:
            case nodes.Number():
                return quantities.number(self, node, here)
            case nodes.Measured():
                return quantities.measured(self, node, here)
            case nodes.Text():
                return node.value
            case nodes.Constant():
                return Automatic() if node.name == "auto" else node.name == "yes"
            case nodes.Name():
                return self._name(node, here)
            case nodes.Call():
                return calls.called(self, node, here)
            case nodes.Shape():
                return calls.shape(self, node, here)
            case nodes.ListOf() | nodes.Group():
                return quantities.items(self, node, here)
            case nodes.Operation():
                return self._operation(node, here)
            case nodes.Sign():
                operand = self.amount(node.operand, here)
                return negate(operand) if node.op == "-" else operand
            case nodes.Compare():
                raise trouble(
                    "not-a-value",
                    "a comparison stands in 'require' or 'given', not where a value is wanted",
                    node.span,
                )
            case nodes.Size():
                return quantities.pair(self, "by", node, here)
            case nodes.Range():
                return quantities.pair(self, "to", node, here)

    def shape_or_value(self, node: nodes.Expression, here: Here) -> Value:
        """Return what an expression means where a shape is wanted: a station is its section there. Raises Trouble."""
        if isinstance(node, nodes.Name):
            from ringwright.lang.values.sections import meant_shape

            found = meant_shape(self, node, here)
            if isinstance(found, ShapeOf):
                return found
        return self.value(node, here)

    def look_up(self, node: nodes.Name, here: Here) -> Meaning:
        """Return what a name means where it stands. Raises Trouble."""
        try:
            return look_up(self.tree, here.scope, node, here.places)
        except Unnamed as unnamed:
            finding = unnamed.told(self.hints)
            if len(node.parts) == 1 and finding.code == "unknown-name":
                finding = calls.if_function(node, finding)
            raise Trouble(finding) from None

    def _name(self, node: nodes.Name, here: Here) -> Value:
        return self._meaning(self.look_up(node, here), node, here)

    def _meaning(self, found: Meaning, node: nodes.Name, here: Here) -> Value:
        if isinstance(found, LetHere):
            value = self.let(found)
            if isinstance(value, Amount):
                if isinstance(value.term, Constant):
                    return value
                return Amount(Unknown(full_name(found, self.tree)), value.dimension)
            return value
        if isinstance(found, Whole):
            component = self.tree.components[found.id]
            if component.kind.name == "station":
                return Amount(Unknown(f"{found.id}.x"), LENGTH)
            return Reference(found.id)
        return self._dimension(found, node)

    def _dimension(self, found: NamedDimension, node: nodes.Name) -> Value:
        component = self.tree.components[found.id]
        for property in component.kind.properties:
            if property.name != found.name:
                continue
            if property.type in ("amount", "place") and not property.also:
                return Amount(Unknown(f"{found.id}.{found.name}"), property.dimension)
            value = self.property(component, found.name)
            if property.also and isinstance(value, Amount):
                return Amount(Unknown(f"{found.id}.{found.name}"), value.dimension)
            if value is None or isinstance(value, Automatic):
                if property.type == "count" and isinstance(property.default, float):
                    return Amount(Constant(property.default), NUMBER)
                raise trouble("not-a-value", f"'{'.'.join(node.parts)}' is not given", node.span)
            return value
        for solved in component.kind.solved:
            if solved.name == found.name:
                return Amount(Unknown(f"{found.id}.{found.name}"), solved.dimension)
        for measure in component.kind.forward:
            if measure.name == found.name:
                self.forward.add((found.id, found.name))
                return Amount(Unknown(f"{found.id}.{found.name}"), measure.dimension)
        raise trouble("unknown-name", f"'{'.'.join(node.parts)}' is no dimension", node.span)

    def _operation(self, node: nodes.Operation, here: Here) -> Amount:
        # A long sum is a left-leaning tree: walk down its left side rather than recurse.
        spine = [node]
        while isinstance(spine[-1].left, nodes.Operation):
            spine.append(spine[-1].left)
        left = self.amount(spine[-1].left, here)
        for step in reversed(spine):
            right = self.amount(step.right, here)
            try:
                left = operate(step.op, left, right)
            except Mismatch as mismatch:
                labels: tuple[Label, ...] = ()
                if mismatch.code == "unit-mismatch" and step.op in "+-":
                    labels = (
                        Label(step.left.span, a(left.dimension)),
                        Label(step.right.span, a(right.dimension)),
                    )
                raise trouble(mismatch.code, str(mismatch), step.span, labels, mismatch.help) from None
        return left


def _some_dimension(component: Component) -> str:
    kind = component.kind
    names = [s.name for s in kind.solved] + [p.name for p in kind.properties if p.type == "amount"]
    names += [measure.name for measure in kind.forward]
    return names[0] if names else "mass"
