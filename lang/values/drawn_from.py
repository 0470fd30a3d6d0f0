"""What a drawing or a table of ordinates is asked for: its file, an id in it, and points of it that are known."""

from typing import TYPE_CHECKING

from ringwright.lang.components.project import OUTSIDE, resolve
from ringwright.lang.solve.terms import Stated
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import NUMBER
from ringwright.lang.values.plan import Here, runs_one_way
from ringwright.lang.values.trouble import Trouble, trouble
from ringwright.lang.values.value import Amount, Items, Pair, Value, is_point

if TYPE_CHECKING:
    from ringwright.lang.values.evaluate import Evaluator

KNOWN = "known = [(120, 340) to (0, 61) mm, (120, 610) to (0, -58) mm]"


def file_named(evaluator: "Evaluator", given: nodes.Argument, function: str) -> str:
    """Return the path in the project of the file that an argument names. Raises Trouble where it cannot be had."""
    node = given.value
    if not isinstance(node, nodes.Text):
        raise trouble(
            "wrong-type",
            f'{function} takes the name of its file, in quotes where it is drawn: "…"',
            node.span,
            help="a file is looked for before anything is worked out, so no name can stand for it",
        )
    path = resolve(node.span.source, node.value)
    if path is None:
        raise trouble(
            "outside-project",
            f"'{node.value}' lies outside the project's folder",
            node.span,
            help=OUTSIDE,
        )
    refused = evaluator.tree.attached[path].refused
    if refused is not None:
        said = refused[1].replace(f"'{path}'", f"'{node.value}'")
        raise trouble(refused[0], said, node.span, help=refused[2])
    return path


def text_of(evaluator: "Evaluator", given: nodes.Argument, name: str, function: str, here: Here) -> str:
    """Return an argument that is a text. Raises Trouble."""
    node = given.value
    message, help = f"the {name} of {function} {'are' if name.endswith('s') else 'is'} a text in quotes", ""
    if isinstance(node, nodes.Name):
        help = f'write {name} = "{".".join(node.parts)}"'
    elif isinstance(node, nodes.Number) and node.unit is None:
        help = f'write {function}("{evaluator.tree.sources[node.span.source].words(node.span)}")'
    try:
        value = evaluator.value(node, here)
    except Trouble as refused:
        if refused.finding.code != "unknown-name":
            raise
        raise trouble("wrong-type", message, node.span, help=help) from None
    if isinstance(value, str):
        return value
    raise trouble("wrong-type", message, node.span, help=help)


def known_points(evaluator: "Evaluator", given: nodes.Argument, here: Here) -> Items:
    """Return two points of a drawing and where they are: (drawn) to (place). Raises Trouble."""
    value = evaluator.value(given.value, here)
    pairs = value.items if isinstance(value, Items) and not value.point else ()
    if len(pairs) != 2:
        raise _unlike(given.value.span)
    written = given.value
    for index, pair in enumerate(pairs):
        own = isinstance(written, nodes.ListOf) and len(written.items) == len(pairs)
        span = written.items[index].span if own and isinstance(written, nodes.ListOf) else written.span
        if not isinstance(pair, Pair) or pair.word != "to" or not _is_drawn(pair.first):
            raise _unlike(span)
        if _is_drawn(pair.second):
            raise trouble(
                "missing-unit",
                "where a known point is, is said in lengths",
                span,
                help=f"write the unit behind the point: {KNOWN}",
            )
        if not is_point(pair.second, 2):
            raise _unlike(span)
        _not_stretched(evaluator, pair.second, here, span)
    return Items(pairs, False)


def _not_stretched(evaluator: "Evaluator", place: Value, here: Here, span: Span) -> None:
    """Refuse a place taken off a plan that is stretched one way: the drawing would have to be, too."""
    measured = isinstance(place, Items) and any(
        isinstance(value, Amount) and isinstance(value.term, Stated) and value.term.measured
        for value in place.items
    )
    if measured and not runs_one_way(here.axis) and evaluator.scale.along != evaluator.scale.across:
        raise trouble(
            "scale-direction",
            "the plan is stretched one way, and a drawing is not",
            span,
            help="stretch the drawing, and say where its points are full size, without '@'",
        )


def _is_drawn(value: Value) -> bool:
    """Whether a value is a point of a drawing, in the drawing's own numbers."""
    return (
        isinstance(value, Items)
        and value.point
        and len(value.items) == 2
        and all(isinstance(item, Amount) and item.dimension == NUMBER for item in value.items)
    )


def _unlike(span: Span) -> Trouble:
    return trouble(
        "wrong-type",
        "what is known of a drawing are two points in its own numbers, and where they are",
        span,
        help=f"for example: {KNOWN}",
    )
