"""Properties fitted to what their kind takes: words, seams, stocks, shapes, points, quantities."""

from math import isfinite
from typing import TYPE_CHECKING

from ringwright.lang.components.names import Scope
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.kinds.kind import Property
from ringwright.lang.solve.terms import Constant
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import ANGLE, LENGTH, NUMBER
from ringwright.lang.values.arithmetic import a
from ringwright.lang.values.plan import Here, axis_of
from ringwright.lang.values.trouble import (
    Trouble,
    hides_let,
    trouble,
    what_of,
    whole_or_less,
    wrong_dimension,
)
from ringwright.lang.values.value import (
    Amount,
    Automatic,
    Items,
    Pair,
    Reference,
    Seam,
    ShapeOf,
    Value,
    Word,
    all_lengths,
    is_point,
)

if TYPE_CHECKING:
    from ringwright.lang.values.evaluate import Evaluator

BENT = ("barrel", "cone", "cones")
HOLLOW = (*BENT, "ring", "dome")
MOST_LISTED = 8
AEROFOILS = ("aerofoil", "aerofoil_file")
SEAMS = ("butt", "lap", "flap", "strap")
_TYPES = {
    "text": 'a text in quotes: "…"',
    "flag": "yes or no",
    "shape": "a shape",
    "spot": "a point of two lengths",
    "point": "a point of two lengths: (…, …)",
    "point3": "a point of three lengths: (x, y, z)",
    "size": "a size: … by …",
    "scale": "a plain number or per cent above 0, or two with 'by' between (along by across)",
    "things": "the name of a component or a stock, or a list of such names",
    "wing": "the name of a wing",
    "section": "the name of a section of the same surface",
    "aerofoil": 'aerofoil("2412") or aerofoil_file("section.dat"), without a chord: chords are the wing\'s',
    "places": "a length, or a list of lengths with their unit: [0, 60, 120] mm",
    "money": "an amount of money, such as 2.40 EUR",
}


def read_property(
    evaluator: "Evaluator", component: Component, property: Property, node: nodes.Property
) -> Value:
    """Return what a component is given for a property, if it is what that takes. Raises Trouble."""
    here = Here(
        Scope(component.id, component.file),
        property.type in ("place", "point3", "where"),
        axis_of(evaluator.tree, component, property),
    )
    value_node, type = node.value, property.type
    if type == "component":
        # In `wing = wing` the second is the wing, not the property itself.
        here = here._replace(scope=Scope(component.parent, component.file))
    if type == "where" and _is_group(value_node):
        here = here._replace(axis="space")
    if isinstance(value_node, nodes.Constant) and value_node.name == "auto":
        if property.required and type not in ("amount", "place"):
            message = f"nothing can find the '{property.name}' of a {component.kind.name}: write it"
            raise trouble("missing-property", message, node.span, help=f"for example: {property.example}")
        return Automatic()
    if (
        isinstance(value_node, nodes.Name)
        and len(value_node.parts) == 1
        and type in ("word", "bearing", "seam")
    ):
        word = value_node.parts[0]
        if type == "seam" and word == "butt":
            return Seam("butt", None)
        if type != "seam" and word in property.choices:
            return Word(word)
        if type == "word" or (type == "bearing" and _is_nothing(evaluator, value_node, here)):
            raise _wrong_word(property, word, value_node.span)
    if type in ("stations", "sections", "arc", "edges", "line"):
        from ringwright.lang.values import rows

        return rows.read(evaluator, value_node, here, type)
    if type == "seam":
        return _seam(evaluator, value_node, here, property)
    if (
        type in ("word", "seam")
        and isinstance(value_node, nodes.Text)
        and value_node.value in property.choices
    ):
        raise _in_quotes(property, value_node.value, value_node.span)
    if type == "word":
        raise _wrong_word(property, "", value_node.span)
    try:
        value = (evaluator.shape_or_value if type == "shape" else evaluator.value)(value_node, here)
    except Trouble as refused:
        raise _with_help(evaluator, refused, component, property, value_node) from None
    return _fits(evaluator, value, component, property, value_node)


def _with_help(
    evaluator: "Evaluator",
    refused: Trouble,
    component: Component,
    property: Property,
    node: nodes.Expression,
) -> Trouble:
    """Return the trouble with a name that nothing has, with what could stand there."""
    finding = refused.finding
    if finding.code != "unknown-name" or finding.help or not isinstance(node, nodes.Name):
        return refused
    named = ".".join(node.parts)
    if property.type == "text":
        message = f"'{property.name}' of a {component.kind.name} is a text, and stands in quotes"
        return trouble("wrong-type", message, node.span, help=f'write {property.name} = "{named}"')
    around = evaluator.tree.components.values()
    if property.type == "stock":
        known = [other.name for other in around if other.kind.name == "stock"]
        there = "the stocks here are " + ", ".join(known) if known else f"write a stock {named} {{ }}"
        help = f'{there}; to take one of another file: use "workshop-stock.wright"'
    elif property.type == "element":
        known = [o.name for o in around if o.parent == component.parent and o.kind.name in HOLLOW]
        help = f"here it is one of {', '.join(known)}" if known else ""
    else:
        return refused
    return Trouble(finding._replace(help=help)) if len(known) <= MOST_LISTED else refused


def _is_nothing(evaluator: "Evaluator", node: nodes.Name, here: Here) -> bool:
    try:
        evaluator.look_up(node, here)
    except Trouble:
        return True
    return False


def _seam(evaluator: "Evaluator", node: nodes.Expression, here: Here, property: Property) -> Seam:
    """Return a seam of the usual ones, or of those that the property takes beside them."""
    if (
        isinstance(node, nodes.Call)
        and len(node.function.parts) == 1
        and node.function.parts[0] in (*SEAMS[1:], *property.choices)
        and len(node.arguments) == 1
        and node.arguments[0].name is None
    ):
        width = evaluator.amount(node.arguments[0].value, here)
        if width.dimension != LENGTH:
            raise wrong_dimension(width.dimension, LENGTH, node.arguments[0].span, "a seam's width")
        return Seam(node.function.parts[0], width)
    raise trouble(
        "wrong-type",
        "a seam is butt, lap(width), flap(width) or strap(width)"
        + "".join(f"; of a side, a floor or a deck also {word}(width)" for word in property.choices),
        node.span,
        help=f"write, for example: {property.example}",
    )


def _fits(
    evaluator: "Evaluator", value: Value, component: Component, property: Property, node: nodes.Expression
) -> Value:
    """Return the value where it is what the property takes. Raises Trouble."""
    what, tree = f"'{property.name}' of a {component.kind.name}", evaluator.tree
    if property.type == "place":
        value = evaluator.place_of(value)
    if property.type in ("amount", "place", "bearing"):
        wanted = ANGLE if property.type == "bearing" else property.dimension
        if not isinstance(value, Amount):
            scope = Scope(component.id, component.file)
            if hidden := hides_let(tree, scope, value, node):
                raise hidden
            also = " or a station's name" if property.type == "place" else ""
            raise trouble(
                "wrong-type",
                f"{what} is {a(wanted)}{also}, not {what_of(value, tree)}",
                node.span,
                help=_unquoted(value, property) or f"for example: {property.example}",
            )
        if value.dimension not in (wanted, *property.also):
            raise wrong_dimension(value.dimension, wanted, node.span, what, property.example)
        if value.dimension != wanted:
            whole_or_less(value, node, "the chord")
    elif not _is_right(tree, value, component, property):
        if property.type == "where" and isinstance(value, Amount) and value.dimension == NUMBER:
            raise wrong_dimension(NUMBER, LENGTH, node.span, what)
        if property.type == "size" and isinstance(value, Pair) and _is_bare(value):
            words = evaluator.tree.sources[node.span.source].words(node.span)
            help = f"write {property.name} = {words} mm, or in"
            raise trouble(
                "missing-unit", f"{what} is two lengths, and their unit is missing", node.span, help=help
            )
        said, example = _said_of(tree, component, property)
        raise trouble("wrong-type", f"{what} {said}", node.span, help=_unquoted(value, property) or example)
    return value


def _unquoted(value: Value, property: Property) -> str:
    """Return the help where a name stands in quotes; '' where it is something else that is wrong."""
    named = property.type in (
        "stock",
        "element",
        "things",
        "wing",
        "section",
        "place",
        "amount",
    ) and isinstance(value, str)
    if not named or not isinstance(value, str) or not value.isidentifier() or not value.isascii():
        return ""
    return f"a name stands without quotes: write {property.name} = {value}"


def _in_quotes(property: Property, word: str, span: Span) -> Trouble:
    message = f"the words for '{property.name}' stand without quotes"
    return trouble("unknown-word", message, span, help=f"write {property.name} = {word}")


def _is_bare(pair: Pair) -> bool:
    """Whether one of two quantities, or both, have no unit, and the other is a length."""
    dimensions = [value.dimension for value in (pair.first, pair.second) if isinstance(value, Amount)]
    return (
        pair.word == "by"
        and len(dimensions) == 2
        and NUMBER in dimensions
        and {*dimensions} <= {NUMBER, LENGTH}
    )


def _is_right(tree: Tree, value: Value, component: Component, property: Property) -> bool:
    """Return whether a value is what a property takes that takes no quantity."""
    match property.type:
        case "count":
            return (
                isinstance(value, Amount)
                and value.dimension == NUMBER
                and isinstance(value.term, Constant)
                and value.term.value == int(value.term.value)
                and _least(property) <= value.term.value <= property.high
            )
        case "stock":
            return isinstance(value, Reference) and tree.components[value.id].kind.name == "stock"
        case "component":
            return isinstance(value, Reference) and tree.components[value.id].kind.name in property.choices
        case "element":
            named = tree.components[value.id] if isinstance(value, Reference) else None
            return named is not None and named.parent == component.parent and named.kind.name in HOLLOW
        case "spot":
            return _is_spot(value, _is_bent(tree, component))
        case "text":
            return isinstance(value, str)
        case "flag":
            return isinstance(value, bool)
        case "shape":
            return isinstance(value, ShapeOf)
        case "point" | "point3":
            return is_point(value, 2 if property.type == "point" else 3)
        case "where":
            return _is_where(value, property.choices)
        case "wing":
            return isinstance(value, Reference) and tree.components[value.id].kind.name == "wing"
        case "section":
            meant = tree.components[value.id] if isinstance(value, Reference) else None
            return meant is not None and meant.parent == component.parent and meant.kind.name == "section"
        case "aerofoil":
            return isinstance(value, ShapeOf) and value.function in AEROFOILS and value.arguments[1] is None
        case "places":
            listed = value.items if isinstance(value, Items) and not value.point else (value,)
            return bool(listed) and all_lengths(listed)
        case "things":
            return all(isinstance(each, Reference) for each in _each(value))
        case "size":
            return isinstance(value, Pair) and value.word == "by" and all_lengths((value.first, value.second))
        case "scale":
            return _is_scale(value)
        case _:
            return isinstance(value, Amount) and value.dimension.money == 1


def _said_of(tree: Tree, component: Component, property: Property) -> tuple[str, str]:
    """Return what is said of a property that is given something else, and the help."""
    match property.type:
        case "count":
            most = f" to {property.high:g}" if isfinite(property.high) else ""
            return f"is a whole number from {_least(property)}{most}", ""
        case "stock":
            return "is the name of a stock", ""
        case "component":
            from ringwright.lang.kinds import kind_of

            kinds = (kind for name in property.choices if (kind := kind_of(name)) is not None)
            return (
                f"is the name of {' or '.join(kind.called for kind in kinds)}",
                f"for example: {property.example}",
            )
        case "element":
            return "is the name of a barrel, a cone, a ring, cones or a dome of the same stack", ""
        case "where":
            forms = {"place": "a place along x", "point": "a point (x, y, z)", "range": "a range of places"}
            *others, last = [forms[form] for form in property.choices]
            return f"is {', '.join(others)} or {last}", f"for example: {property.example}"
        case "spot" if _is_bent(tree, component):
            said = "in a bent wall is a place along the axis and an angle"
            return said, "for example: at = (40 mm, 90 deg)"
        case _:
            return f"is {_TYPES[property.type]}", f"for example: {property.example}"


def _least(property: Property) -> int:
    """Return the least that a count may be: nothing is none, unless the property says that none may be there."""
    return 0 if property.low == 0.0 else 1


def _is_bent(tree: Tree, component: Component) -> bool:
    return tree.components[component.parent].kind.name in (*BENT, "wrap")


def _is_spot(value: Value, bent: bool) -> bool:
    if not isinstance(value, Items) or not value.point or len(value.items) != 2:
        return False
    first, second = value.items
    return (
        all_lengths((first,))
        and isinstance(second, Amount)
        and second.dimension == (ANGLE if bent else LENGTH)
    )


def _is_group(node: nodes.Expression) -> bool:
    if isinstance(node, nodes.Range):
        return _is_group(node.first)
    return isinstance(node.operand if isinstance(node, nodes.Measured) else node, nodes.Group)


def _is_where(value: Value, forms: tuple[str, ...]) -> bool:
    if isinstance(value, Pair):
        ends = (value.first, value.second)
        is_line = "point" in forms and all(is_point(end, 3) for end in ends)
        return "range" in forms and value.word == "to" and (all_lengths(ends) or is_line)
    return all_lengths((value,)) or ("point" in forms and is_point(value, 3))


def _each(value: Value) -> tuple[Value, ...]:
    return value.items if isinstance(value, Items) and not value.point and value.items else (value,)


def _is_scale(value: Value) -> bool:
    amounts = (value.first, value.second) if isinstance(value, Pair) and value.word == "by" else (value,)
    return all(isinstance(amount, Amount) and amount.dimension == NUMBER for amount in amounts)


def _wrong_word(property: Property, word: str, span: Span) -> Trouble:
    near = suggest(word, property.choices) if word else None
    said = f"'{word}' is not" if word else "this is not"
    choices = ", ".join(property.choices)
    return trouble(
        "unknown-word",
        f"{said} one of the words for '{property.name}'",
        span,
        help=f"did you mean '{near}'?" if near else f"write one of {choices}",
    )
