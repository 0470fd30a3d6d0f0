"""What the text and the defaults state, as equations: of each component, and at the top of each file."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from ringwright.lang.components.names import Dimension as NamedDimension
from ringwright.lang.components.names import LetHere, Scope, Unnamed, full_name, look_up, names_of
from ringwright.lang.components.tree import Component
from ringwright.lang.kinds.kind import no_parts
from ringwright.lang.solve.terms import Equation, Origin, Unknown
from ringwright.lang.syntax import nodes
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.trouble import Trouble
from ringwright.lang.values.value import Amount, Automatic

if TYPE_CHECKING:
    from ringwright.lang.design.elaborate import Elaboration


class Requirement(NamedTuple):
    """A `require`, ready to be checked: both sides, what stands between, and the statement."""

    left: Amount
    op: str
    right: Amount
    node: nodes.Require
    scope: Scope


def state(work: "Elaboration", component: Component) -> None:
    """Add what the text and the defaults say of a component, and its kind's own equations."""
    for property in component.kind.properties:
        name = f"{component.id}.{property.name}"
        node = component.properties.get(property.name)
        try:
            value = work.evaluator.property(component, property.name)
        except Trouble as refused:
            work.findings.append(refused.finding)
            work.broken.add(name)
            if property.type in ("amount", "place"):
                work.unknown(component, property.name)
            continue
        if property.type not in ("amount", "place"):
            if node is None and property.default is not None:
                work.defaults.append((name, property.shown or str(property.default)))
        elif isinstance(value, Amount) and node is not None:
            text = f"{property.name} of {component.id}"
            if value.dimension != property.dimension:
                work.register(name, value.dimension, component.span, property.low, property.high)
            origin = Origin("stated", text, node.span)
            work.equations.append(
                Equation(
                    work.unknown(component, property.name),
                    value.term,
                    dimension_name(value.dimension),
                    origin,
                )
            )
        elif isinstance(value, Automatic):
            work.unknown(component, property.name)
        elif isinstance(property.default, float):
            work.default(component, property, property.default)
    if component.kind.parts is not no_parts and work.stock(component) is None:
        _say_no_stock(work, component)
    component.kind.equations(work, component)


def state_scope(
    work: "Elaboration",
    scope: Scope,
    lets: Iterable[LetHere],
    givens: Iterable[nodes.Given],
    requires: Iterable[nodes.Require],
) -> None:
    """Add the named values, further equations and requirements of one place in the text."""
    for here in lets:
        let = here.let
        try:
            value = work.evaluator.let(here)
        except Trouble as refused:
            work.findings.append(refused.finding)
            work.broken.add(full_name(here, work.tree))
            continue
        if isinstance(value, Amount):
            name = full_name(here, work.tree)
            work.register(name, value.dimension, let.name_span)
            origin = Origin("stated", f"let {let.name}", let.span)
            work.equations.append(
                Equation(Unknown(name), value.term, dimension_name(value.dimension), origin)
            )
    for given in givens:
        try:
            left, right = work.evaluator.compare(given.condition, scope)
        except Trouble as refused:
            work.findings.append(refused.finding)
            _break_around(work, given.condition, scope)
            continue
        said = work.tree.sources[given.span.source].words(given.condition.span)
        origin = Origin("given", f"given {said}", given.span)
        work.equations.append(Equation(left.term, right.term, dimension_name(left.dimension), origin))
    for require in requires:
        condition = require.condition
        if not isinstance(condition, nodes.Compare):
            work.say(
                "not-a-comparison",
                "'require' compares two values",
                condition.span,
                "write, for example: require cowl.mid.length > 20 mm",
            )
            continue
        try:
            left, right = work.evaluator.compare(condition, scope)
        except Trouble as refused:
            work.findings.append(refused.finding)
            continue
        work.requirements.append(Requirement(left, condition.op, right, require, scope))


def _say_no_stock(work: "Elaboration", component: Component) -> None:
    if f"{component.id}.stock" not in work.broken and f"{component.parent}.stock" not in work.broken:
        message = f"nothing says what this {component.kind.name} is cut from"
        work.say("missing-property", message, component.span, "write, for example: stock = board")
    work.broken.add(f"{component.id}.stock")


def _break_around(work: "Elaboration", node: nodes.Expression, scope: Scope) -> None:
    """Leave unjudged what a broken equation would have settled."""
    for name in names_of(node):
        try:
            found = look_up(work.tree, scope, name)
        except Unnamed:
            continue
        if isinstance(found, NamedDimension):
            work.broken.add(f"{found.id}.{found.name}")
