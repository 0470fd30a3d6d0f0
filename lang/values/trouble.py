"""An expression that means nothing, and the words for what was found instead of what is wanted."""

from ringwright.lang.components.names import Scope, let_further_out
from ringwright.lang.components.tree import Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.solve.terms import Constant
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import ANGLE, LENGTH, MASS, NUMBER, Dimension
from ringwright.lang.values.arithmetic import a
from ringwright.lang.values.value import (
    Amount,
    Automatic,
    Items,
    Pair,
    Reference,
    Seam,
    ShapeOf,
    TableLine,
    Value,
)

DEEPEST = 200
"""How many values may lean on one another."""


class Trouble(Exception):
    """An expression that means nothing; carries the finding."""

    def __init__(self, finding: Diagnostic) -> None:
        super().__init__(finding.message)
        self.finding = finding


def trouble(code: str, message: str, span: Span, labels: tuple[Label, ...] = (), help: str = "") -> Trouble:
    """Return the trouble with an expression, ready to be raised."""
    return Trouble(Diagnostic(code, "error", message, span, labels, help))


def wrong_dimension(found: Dimension, wanted: Dimension, span: Span, what: str, example: str = "") -> Trouble:
    """Return the trouble with a quantity of another dimension than is wanted; a bare number lacks its unit."""
    if found == NUMBER:
        unit = {LENGTH: "mm", ANGLE: "deg", MASS: "g"}.get(wanted, "")
        return trouble(
            "missing-unit",
            f"{what} is {a(wanted)} and needs a unit",
            span,
            help=f"write the unit behind the number, such as {unit}" if unit else "",
        )
    return trouble(
        "unit-mismatch",
        f"{what} is {a(wanted)}, not {a(found)}",
        span,
        help=example and f"for example: {example}",
    )


def whole_or_less(share: Amount, node: nodes.Expression, of: str) -> None:
    """Refuse a bare number above 1 as a share: its % is missing, or its unit. Raises Trouble."""
    if isinstance(share.term, Constant) and abs(share.term.value) > 1:
        number = f"{share.term.value:g}"
        message = f"a bare {number} would be {number} times {of}: its % or its unit is missing"
        raise trouble("missing-unit", message, node.span, help=f"did you mean {number} %, or {number} mm?")


def hides_let(tree: Tree, scope: Scope, value: Value, node: nodes.Expression) -> Trouble | None:
    """Return the trouble with a component that is named where a named value is meant that it hides."""
    if not isinstance(value, Reference) or not isinstance(node, nodes.Name) or len(node.parts) > 1:
        return None
    name = node.parts[0]
    let = let_further_out(tree, scope, name)
    if let is None:
        return None
    kind = tree.components[value.id].kind.name
    message = f"'{name}' here is the {kind} itself, which hides the named value '{name}'"
    label = Label(let, "this one is hidden")
    return trouble("not-a-value", message, node.span, (label,), "give one of them another name")


def what_of(value: Value, tree: Tree) -> str:
    """Return what a value that is no quantity is, a component by its kind."""
    return f"a {tree.components[value.id].kind.name}" if isinstance(value, Reference) else what(value)


def what(value: Value) -> str:
    """Return what a value that is no quantity is, with its article."""
    match value:
        case ShapeOf():
            return "a shape"
        case Items():
            return "a point" if value.point else "a list"
        case TableLine():
            return "a line of the offsets"
        case Pair():
            return "a size" if value.word == "by" else "a range"
        case Automatic():
            return "'auto'"
        case str():
            return "a text"
        case bool():
            return "yes or no"
        case _:
            return "a seam" if isinstance(value, Seam) else "a word"
