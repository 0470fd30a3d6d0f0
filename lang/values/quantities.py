"""Numbers, sizes, points and lists: units applied, plan measurements scaled."""

from math import isfinite
from typing import TYPE_CHECKING

from ringwright.lang.solve.terms import Constant, Stated
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import LENGTH, NUMBER, Dimension, find_unit
from ringwright.lang.values.arithmetic import a, with_unit
from ringwright.lang.values.plan import Here, coordinate, runs_one_way
from ringwright.lang.values.trouble import trouble
from ringwright.lang.values.value import Amount, Items, Pair, Value

if TYPE_CHECKING:
    from ringwright.lang.values.evaluate import Evaluator


# A list that others hold is gone through once for each of them: lists of lists of lists would grow without end.
DEEPEST_LIST = 4
MOST_NUMBERS = 30_000


def number(evaluator: "Evaluator", node: nodes.Number, here: Here) -> Amount:
    """Return a number with its unit and its ±, as large as it is on the model. Raises Trouble."""
    unit = node.unit
    spread = node.plus_minus
    if unit is None and spread is not None:
        unit = spread.unit
    if unit is None:
        if spread is None:
            return Amount(Constant(node.value), NUMBER)
        return Amount(Stated(node.value, spread.value, node.span, here.measured), NUMBER)
    found = find_unit(unit)
    if found is None:
        raise trouble("unknown-unit", f"there is no unit '{unit}'", node.span)
    factor, dimension = found.factor, found.dimension
    plus_minus = None
    if spread is not None:
        of_spread = find_unit(spread.unit) if spread.unit else found
        if of_spread is None or of_spread.dimension != dimension:
            raise trouble("unit-mismatch", "the ± has another dimension than its value", node.span)
        plus_minus = spread.value * of_spread.factor
    size = node.value * factor
    if not isfinite(size) or (dimension == LENGTH and not (size == 0 or 1e-6 <= size <= 1e6)):
        raise trouble(
            "not-finite",
            "this is beyond what can be reckoned with: lengths lie between 1e-6 mm and 1 km",
            node.span,
        )
    return _scaled(
        evaluator, Amount(Stated(node.value * factor, plus_minus, node.span, False), dimension), here
    )


def measured(evaluator: "Evaluator", node: nodes.Measured, here: Here) -> Value:
    """Return what is marked as measured on the plan. Raises Trouble."""
    inner = here._replace(measured=True)
    if isinstance(node.operand, nodes.Shape | nodes.Call | nodes.ListOf | nodes.Group):
        return evaluator.value(node.operand, inner)
    amount = evaluator.amount(node.operand, inner)
    if amount.dimension != LENGTH:
        raise trouble(
            "scale-misplaced",
            f"'@' marks a length measured on the plan; this is {a(amount.dimension)}",
            node.span,
            help="give it a unit of length"
            if amount.dimension == NUMBER
            else "leave the '@' out: it does not scale",
        )
    return amount


def pair(evaluator: "Evaluator", word: str, node: nodes.Size | nodes.Range, here: Here) -> Pair:
    """Return `a by b` or `a to b`. Raises Trouble."""
    first, second = evaluator.value(node.first, here), evaluator.value(node.second, here)
    # The last unit covers a bare number before it: `30 by 20 in`.
    if isinstance(first, Amount) and isinstance(second, Amount) and first.dimension == NUMBER:
        first = _with_unit_of(evaluator, node.second, first, node.first.span, here)
    return Pair(word, first, second)


def items(evaluator: "Evaluator", node: nodes.ListOf | nodes.Group, here: Here) -> Value:
    """Return a list, a point, or what stands in brackets. Raises Trouble."""
    if isinstance(node, nodes.Group) and len(node.items) == 1 and node.unit is None:
        return evaluator.value(node.items[0], here)
    point = isinstance(node, nodes.Group)
    items = tuple(
        evaluator.value(item, coordinate(here, i) if point else here) for i, item in enumerate(node.items)
    )
    depth = 1 + max((item.depth for item in items if isinstance(item, Items)), default=0)
    if depth > DEEPEST_LIST:
        raise trouble(
            "too-deep", f"lists and points lie at most {DEEPEST_LIST} deep in one another", node.span
        )
    size = sum(item.size if isinstance(item, Items) else 1 for item in items)
    if size > MOST_NUMBERS:
        raise trouble("list-too-long", f"there are at most {MOST_NUMBERS} numbers in a list", node.span)
    value: Value = Items(items, point, False, depth, size)
    if node.unit is not None:
        unit = find_unit(node.unit)
        if unit is None:
            raise trouble("unknown-unit", f"'{node.unit}' is no unit for a list", node.span)
        value = _unit_within(evaluator, value, unit.factor, unit.dimension, node, here)
    if isinstance(node, nodes.Group) and len(node.items) == 1 and isinstance(value, Items):
        return value.items[0]
    return value


def _scaled(evaluator: "Evaluator", amount: Amount, here: Here) -> Amount:
    """Return a stated length as large as it is on the model, where it was measured on the plan."""
    term = amount.term
    if not here.measured or not isinstance(term, Stated) or amount.dimension != LENGTH or term.measured:
        return amount
    factor = evaluator.scale.along if here.axis == "along" else evaluator.scale.across
    if not runs_one_way(here.axis) and evaluator.scale.along != evaluator.scale.across:
        raise trouble(
            "scale-direction",
            "the plan is stretched one way, and here it cannot be told whether this runs along or across",
            term.span or Span("", 0, 0),
            help="write it where it runs one way only, such as in a width or a length, or full size without '@'",
        )
    if term.span is not None:
        evaluator.scaled.add(term.span)
    spread = None if term.plus_minus is None else term.plus_minus * factor
    return Amount(Stated(term.value * factor, spread, term.span, True, factor), amount.dimension)


def _with_unit_of(
    evaluator: "Evaluator", node: nodes.Expression, bare: Amount, span: Span, here: Here
) -> Amount:
    operand = node.operand if isinstance(node, nodes.Measured) else node
    if isinstance(operand, nodes.Number) and operand.unit is not None:
        unit = find_unit(operand.unit)
        if unit is not None and unit.dimension != NUMBER:
            measured = here._replace(measured=here.measured or isinstance(node, nodes.Measured))
            return _take_unit(evaluator, bare, unit.factor, unit.dimension, span, measured)
    return bare


def _unit_within(
    evaluator: "Evaluator",
    value: Value,
    factor: float,
    dimension: Dimension,
    node: nodes.Expression,
    here: Here,
) -> Value:
    """Give a unit to the bare numbers of a list and of the points in it."""
    if isinstance(value, Items):
        places = _written(node, len(value.items))
        return value._replace(
            items=tuple(
                _unit_within(
                    evaluator, item, factor, dimension, place, coordinate(here, i) if value.point else here
                )
                for i, (item, place) in enumerate(zip(value.items, places, strict=True))
            )
        )
    if isinstance(value, Amount):
        return _take_unit(evaluator, value, factor, dimension, node.span, here)
    return value


def _take_unit(
    evaluator: "Evaluator", bare: Amount, factor: float, dimension: Dimension, span: Span, here: Here
) -> Amount:
    if bare.dimension != NUMBER:
        return bare
    if isinstance(bare.term, Constant):
        amount = Amount(Stated(bare.term.value * factor, None, span, False), dimension)
    else:
        amount = with_unit(bare, factor, dimension)
        if isinstance(amount.term, Stated):
            amount = Amount(amount.term._replace(measured=False), dimension)
    return _scaled(evaluator, amount, here)


def _written(node: nodes.Expression, count: int) -> tuple[nodes.Expression, ...]:
    """Return what is written for each of a list's or a point's values; the whole where they stand elsewhere."""
    inner: tuple[nodes.Expression, ...] = ()
    if isinstance(node, nodes.ListOf | nodes.Group):
        inner = node.items
    elif isinstance(node, nodes.Call):
        inner = tuple(argument.value for argument in node.arguments)
    return inner if len(inner) == count else (node,) * count
