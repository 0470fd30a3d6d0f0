"""Functions called: arguments fitted to parameters, shapes kept for later, quantities worked out."""

from typing import TYPE_CHECKING

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import ANGLE, LENGTH, NUMBER
from ringwright.lang.values import drawn_from, offsets
from ringwright.lang.values.arithmetic import Mismatch, call, operate
from ringwright.lang.values.functions import FUNCTIONS, Function, Parameter
from ringwright.lang.values.plan import Here, coordinate
from ringwright.lang.values.quantities import items
from ringwright.lang.values.trouble import DEEPEST, Trouble, trouble, whole_or_less, wrong_dimension
from ringwright.lang.values.value import Amount, Items, ShapeOf, Value, is_point

if TYPE_CHECKING:
    from ringwright.lang.values.evaluate import Evaluator


def shape(evaluator: "Evaluator", node: nodes.Shape, here: Here) -> Value:
    """Return a shape written with a list of points: `polygon[…] mm`. Raises Trouble."""
    function = _function(node.constructor)
    if not function.listed:
        raise trouble(
            "wrong-arguments",
            f"{function.name} takes its values in round brackets: {_usage(function)}",
            node.span,
        )
    if here.measured and not here.axis:
        here = here._replace(axis="across")
    points = items(evaluator, node.points, here)
    places = tuple(item.span for item in node.points.items)
    return ShapeOf(function.name, (_points(points, node, function.name),), node.span, places=places)


def called(evaluator: "Evaluator", node: nodes.Call, here: Here) -> Value:
    """Return what a function gives. Raises Trouble."""
    if len(node.function.parts) > 1:
        return offsets.look_up(evaluator, node, here)
    function = _function(node.function)
    if function.listed:
        raise trouble(
            "wrong-arguments",
            f"{function.name} takes a list of points in square brackets",
            node.span,
            help=_usage(function),
        )
    if here.measured and not here.axis:
        here = here._replace(axis="across")
    arguments = _arguments(node, function)
    if function.name == "behind":
        return _behind(evaluator, arguments, here)
    values = tuple(
        None
        if given is None
        else _argument(evaluator, given, parameter, function, _of_argument(here, function, i))
        for i, (parameter, given) in enumerate(zip(function.parameters, arguments, strict=True))
    )
    if function.gives == "shape":
        depth = 1 + max((value.depth for value in values if isinstance(value, ShapeOf)), default=0)
        if depth > DEEPEST:
            raise trouble(
                "too-deep", f"more than {DEEPEST} operators lie upon one another in this shape", node.span
            )
        places = tuple(node.span if given is None else given.value.span for given in arguments)
        return ShapeOf(function.name, values, node.span, depth, places)
    amounts = tuple(value for value in values if isinstance(value, Amount))
    if function.gives == "point":
        return Items(amounts, True, True)
    try:
        return call(function.name, amounts)
    except Mismatch as mismatch:
        raise trouble(mismatch.code, str(mismatch), node.span, (), mismatch.help) from None


def _behind(evaluator: "Evaluator", arguments: tuple[nodes.Argument | None, ...], here: Here) -> Amount:
    """Return a place behind the leading edge of the mean chord of whatever has one: a length, or a share of it."""
    wing, given = arguments
    assert wing is not None
    assert given is not None
    if not isinstance(wing.value, nodes.Name):
        message = "behind() is told the name of a wing, and then a length or a %"
        raise trouble("wrong-arguments", message, wing.span, help="write, for example: behind(wing, 30 %)")
    chord, edge = (
        _chord(evaluator, wing.value, name, here._replace(places=False))
        for name in ("mean_chord", "mean_chord_x")
    )
    distance = evaluator.amount(given.value, here._replace(places=False, axis="along"))
    if distance.dimension == NUMBER:
        whole_or_less(distance, given.value, "the mean chord")
        distance = operate("*", distance, chord)
    if distance.dimension != LENGTH:
        raise wrong_dimension(distance.dimension, LENGTH, given.span, "what stands in behind()")
    return operate("+", edge, distance)


def _chord(evaluator: "Evaluator", wing: nodes.Name, name: str, here: Here) -> Amount:
    """Return the mean chord of something, or where its leading edge is. Raises Trouble where it has none."""
    evaluator.look_up(wing, here)
    try:
        found = evaluator.amount(nodes.Name((*wing.parts, name), wing.span), here)
    except Trouble as refused:
        if refused.finding.code != "unknown-name":
            raise
        help = "a wing has them; of anything else write them in its braces: let mean_chord = 180 mm"
        message = f"'{'.'.join(wing.parts)}' has no {name}, from which behind() is measured"
        raise trouble("unknown-name", message, wing.span, help=help) from None
    if found.dimension != LENGTH:
        raise wrong_dimension(found.dimension, LENGTH, wing.span, f"the {name} of a wing")
    return found


def _function(name: nodes.Name) -> Function:
    function = FUNCTIONS.get(name.parts[0]) if len(name.parts) == 1 else None
    if function is None:
        written = ".".join(name.parts)
        near = suggest(written, sorted(FUNCTIONS))
        raise trouble(
            "unknown-function",
            f"there is no function '{written}'",
            name.span,
            help=f"did you mean '{near}'?" if near else f"the functions are {', '.join(sorted(FUNCTIONS))}",
        )
    return function


def if_function(name: nodes.Name, finding: Diagnostic) -> Diagnostic:
    """Return the finding on a name that nothing has, in other words where it is a function's."""
    function = FUNCTIONS.get(name.parts[0])
    if function is None:
        return finding
    message = f"'{function.name}' is a function, and here it has no values"
    return finding._replace(code="wrong-arguments", message=message, help=f"write {_usage(function)}")


def _arguments(node: nodes.Call, function: Function) -> tuple[nodes.Argument | None, ...]:
    names = [parameter.name for parameter in function.parameters]
    given: dict[str, nodes.Argument] = {}
    position = 0
    for argument in node.arguments:
        name = argument.name
        if name is None:
            if position >= len(names):
                raise trouble(
                    "wrong-arguments",
                    f"{function.name} takes {_count(names)}, not {len(node.arguments)}",
                    argument.span,
                    help=_usage(function),
                )
            name, position = names[position], position + 1
        if name not in names:
            near = suggest(name, names)
            raise trouble(
                "wrong-arguments",
                f"{function.name} has no '{name}'",
                argument.span,
                help=f"did you mean '{near}'?" if near else _usage(function),
            )
        if name in given:
            raise trouble(
                "given-twice",
                f"'{name}' is given twice",
                argument.span,
                (Label(given[name].span, "first given here"),),
            )
        given[name] = argument
    missing = [p.name for p in function.parameters if p.name not in given and not p.optional]
    if missing:
        raise trouble(
            "wrong-arguments",
            f"{function.name} still needs {' and '.join(missing)}",
            node.span,
            help=_usage(function),
        )
    if function.one_of and sum(name in given for name in function.one_of) != 1:
        raise trouble(
            "wrong-arguments",
            f"{function.name} takes one of {' and '.join(function.one_of)}",
            node.span,
            help=_usage(function),
        )
    return tuple(given.get(name) for name in names)


def _argument(
    evaluator: "Evaluator", given: nodes.Argument, parameter: Parameter, function: Function, here: Here
) -> Value:
    type = parameter.type
    if type == "file":
        return drawn_from.file_named(evaluator, given, function.name)
    if type == "text":
        return drawn_from.text_of(evaluator, given, parameter.name, function.name, here)
    if type == "known":
        return drawn_from.known_points(evaluator, given, here)
    value = (
        evaluator.shape_or_value(given.value, here) if type == "shape" else evaluator.value(given.value, here)
    )
    if type == "shape":
        if isinstance(value, ShapeOf):
            return value
        raise trouble("wrong-type", f"{function.name} needs a shape here", given.span, help=_usage(function))
    if type == "point":
        if isinstance(value, Items) and value.point and len(value.items) == 2:
            return Items(tuple(_length(v, given.span) for v in value.items), True)
        raise trouble("wrong-type", f"{function.name} needs a point here: (y, z)", given.span)
    if not isinstance(value, Amount):
        raise trouble(
            "wrong-type", f"{function.name} needs a quantity here", given.span, help=_usage(function)
        )
    wanted = {"length": LENGTH, "angle": ANGLE, "number": NUMBER}.get(type)
    # The corner of a curve stands in a list that may carry the unit.
    if (
        wanted is None
        or value.dimension == wanted
        or (function.gives == "point" and value.dimension == NUMBER)
    ):
        return value
    raise wrong_dimension(value.dimension, wanted, given.span, f"the {parameter.name} of {function.name}")


def _length(value: Value, span: Span) -> Amount:
    if isinstance(value, Amount) and value.dimension == LENGTH:
        return value
    if isinstance(value, Amount):
        raise wrong_dimension(value.dimension, LENGTH, span, "a point's value")
    raise trouble("wrong-type", "a point is made of lengths", span)


def _of_argument(here: Here, function: Function, index: int) -> Here:
    """Return where an argument stands: width and height, y and z run each its own way."""
    side = function.parameters[index].side
    return here if side is None else coordinate(here, side)


def _points(value: Value, node: nodes.Shape, name: str) -> Items:
    found = value.items if isinstance(value, Items) else ()
    for item, written in zip(found, node.points.items, strict=True):
        if is_point(item, 2):
            continue
        if isinstance(item, Items) and any(
            isinstance(v, Amount) and v.dimension == NUMBER for v in item.items
        ):
            raise trouble(
                "missing-unit",
                f"the points of this {name} have no unit",
                node.points.span,
                help=f"write it once behind the list: {name}[…] mm",
            )
        raise trouble("wrong-type", "each value in this list is a point of two lengths", written.span)
    return Items(found, False)


def _count(names: list[str]) -> str:
    return "no values" if not names else "1 value" if len(names) == 1 else f"{len(names)} values"


def _usage(function: Function) -> str:
    inner = ", ".join(p.name + (" = …" if p.optional else "") for p in function.parameters)
    return f"{function.name}[(y, z), …]" if function.listed else f"{function.name}({inner})"
