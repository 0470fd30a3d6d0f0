"""Expressions to values: names looked up, units applied, plan measurements scaled, dimensions checked."""

from collections.abc import Iterator
from math import isfinite
from typing import NamedTuple

from ringwright.lang.components.names import Dimension as NamedDimension
from ringwright.lang.components.names import LetHere, Meaning, Scope, Unnamed, Whole, full_name, look_up
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.kinds.kind import Property
from ringwright.lang.solve.algebra import unknowns_of
from ringwright.lang.solve.terms import Constant, Stated, Unknown
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import ANGLE, LENGTH, MASS, NUMBER, Dimension, find_unit
from ringwright.lang.values import offsets
from ringwright.lang.values.arithmetic import Mismatch, a, call, negate, operate, with_unit
from ringwright.lang.values.axes import axis_of, of_coordinate, runs_one_way
from ringwright.lang.values.functions import FUNCTIONS, Function, Parameter
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
)

DEEPEST = 200
BENT = ("barrel", "cone")
HOLLOW = (*BENT, "ring")
SEAMS = ("butt", "lap", "flap", "strap")


class Trouble(Exception):
    """An expression that means nothing; carries the finding."""

    def __init__(self, finding: Diagnostic) -> None:
        super().__init__(finding.message)
        self.finding = finding


class PlanScale(NamedTuple):
    """Model over plan, along the aircraft and across it."""

    along: float
    across: float


class Here(NamedTuple):
    """Where an expression stands and what is wanted of it.

    places: a place is wanted, so stations come first. axis: which way `@` scales, as in axes.py. measured: inside an `@`.
    """

    scope: Scope
    places: bool = False
    axis: str = ""
    measured: bool = False


class Evaluator:
    """Evaluates the expressions of one tree; remembers what it has evaluated, and which spans were scaled."""

    def __init__(self, tree: Tree, scale: PlanScale) -> None:
        self.tree = tree
        self.scale = scale
        self.scaled: set[Span] = set()
        self.forward: set[tuple[str, str]] = set()
        self._lets: dict[tuple[str, str, str], Value | Trouble] = {}
        self._properties: dict[tuple[str, str], Value | Trouble | None] = {}
        self._under_way: list[tuple[str, str, str]] = []

    # -- what others ask for ----------------------------------------------------------------------

    def property(self, component: Component, name: str) -> Value | None:
        """Return a property's value as written; None where it is left out. Raises Trouble, the same one each time."""
        key = (component.id, name)
        if key not in self._properties:
            node = component.properties.get(name)
            if node is None:
                self._properties[key] = None
            else:
                self._enter((component.id, "", name), node.span)
                try:
                    value = self._property(component, _spec(component, name), node)
                    self._not_itself(component, name, value, node)
                    self._properties[key] = value
                except Trouble as trouble:
                    self._properties[key] = trouble
                finally:
                    self._under_way.pop()
        found = self._properties[key]
        if isinstance(found, Trouble):
            raise found
        return found

    def _not_itself(self, component: Component, name: str, value: Value, node: nodes.Property) -> None:
        """Refuse `length = length`: a component's own property is meant, not one of that name further out."""
        if isinstance(value, Amount) and f"{component.id}.{name}" in unknowns_of(value.term):
            raise Trouble(
                _error(
                    "circular-value",
                    f"'{name}' is said by means of itself",
                    node.value.span,
                    help=f"'{name}' in here is this {component.kind.name}'s own: give what you mean another name",
                )
            )

    def let(self, here: LetHere) -> Value:
        """Return the value of a `let`. Long chains of them are followed without recursion."""
        pending = {_key(here): here}
        while pending:
            key, current = next(reversed(pending.items()))
            if key in self._lets:
                del pending[key]
                continue
            waiting = [other for other in self._lets_in(current) if _key(other) not in self._lets]
            loop = next((other for other in waiting if _key(other) in pending), None)
            if loop is not None:
                path = list(pending)
                ring = [pending[step] for step in path[path.index(_key(loop)) :]]
                self._lets[_key(loop)] = Trouble(_circle(loop, ring))
                continue
            if waiting:
                pending[_key(waiting[0])] = waiting[0]
                continue
            del pending[key]
            try:
                value = self.value(current.let.value, Here(current.scope))
                self._lets[_key(current)] = value
            except Trouble as trouble:
                self._lets[_key(current)] = trouble
        found = self._lets[_key(here)]
        if isinstance(found, Trouble):
            raise found
        return found

    def compare(self, node: nodes.Compare, scope: Scope) -> tuple[Amount, Amount]:
        """Return both sides of a comparison, of one dimension. Raises Trouble."""
        left = self.amount(node.left, Here(scope))
        right = self.amount(node.right, Here(scope))
        if left.dimension != right.dimension:
            raise Trouble(
                _error(
                    "unit-mismatch",
                    f"{a(left.dimension)} cannot be compared with {a(right.dimension)}",
                    node.span,
                    (Label(node.left.span, a(left.dimension)), Label(node.right.span, a(right.dimension))),
                )
            )
        return left, right

    def amount(self, node: nodes.Expression, here: Here) -> Amount:
        """Return the value of an expression that must be a quantity. Raises Trouble."""
        value = self.value(node, here)
        if isinstance(value, Amount):
            return value
        if isinstance(value, Reference):
            name = self.tree.components[value.id]
            raise Trouble(
                _error(
                    "not-a-value",
                    f"'{name.name}' is a {name.kind.name}, not a quantity",
                    node.span,
                    help=f"name one of its dimensions, such as {name.name}.{_some_dimension(name)}",
                )
            )
        raise Trouble(_error("not-a-value", f"a quantity is wanted here, not {_what(value)}", node.span))

    # -- expressions ------------------------------------------------------------------------------

    def value(self, node: nodes.Expression, here: Here) -> Value:
        """Return what an expression means. Raises Trouble."""
        match node:
            case nodes.Number():
                return self._number(node, here)
            case nodes.Measured():
                return self._measured(node, here)
            case nodes.Text():
                return node.value
            case nodes.Constant():
                return Automatic() if node.name == "auto" else node.name == "yes"
            case nodes.Name():
                return self._name(node, here)
            case nodes.Call():
                return self._call(node, here)
            case nodes.Shape():
                return self._shape(node, here)
            case nodes.ListOf() | nodes.Group():
                return self._items(node, here)
            case nodes.Operation():
                return self._operation(node, here)
            case nodes.Sign():
                operand = self.amount(node.operand, here)
                return negate(operand) if node.op == "-" else operand
            case nodes.Compare():
                raise Trouble(
                    _error(
                        "not-a-value",
                        "a comparison stands in 'require' or 'given', not where a value is wanted",
                        node.span,
                    )
                )
            case nodes.Size():
                return self._pair("by", node, here)
            case nodes.Range():
                return self._pair("to", node, here)

    def _number(self, node: nodes.Number, here: Here) -> Amount:
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
            raise Trouble(_error("unknown-unit", f"there is no unit '{unit}'", node.span))
        factor, dimension = found.factor, found.dimension
        plus_minus = None
        if spread is not None:
            of_spread = find_unit(spread.unit) if spread.unit else found
            if of_spread is None or of_spread.dimension != dimension:
                raise Trouble(
                    _error("unit-mismatch", "the ± has another dimension than its value", node.span)
                )
            plus_minus = spread.value * of_spread.factor
        size = node.value * factor
        if not isfinite(size) or (dimension == LENGTH and not (size == 0 or 1e-6 <= size <= 1e6)):
            raise Trouble(
                _error(
                    "not-finite",
                    "this is beyond what can be reckoned with: lengths lie between 1e-6 mm and 1 km",
                    node.span,
                )
            )
        return self._scaled(
            Amount(Stated(node.value * factor, plus_minus, node.span, False), dimension), here
        )

    def _scaled(self, amount: Amount, here: Here) -> Amount:
        """Return a stated length as large as it is on the model, where it was measured on the plan."""
        term = amount.term
        if not here.measured or not isinstance(term, Stated) or amount.dimension != LENGTH or term.measured:
            return amount
        factor = self.scale.along if here.axis == "along" else self.scale.across
        if not runs_one_way(here.axis) and self.scale.along != self.scale.across:
            raise Trouble(
                _error(
                    "scale-direction",
                    "the plan is stretched one way, and here it cannot be told whether this runs along or across",
                    term.span or Span("", 0, 0),
                    help="write it where it runs one way only, such as in a width or a length, or full size without '@'",
                )
            )
        if term.span is not None:
            self.scaled.add(term.span)
        spread = None if term.plus_minus is None else term.plus_minus * factor
        return Amount(Stated(term.value * factor, spread, term.span, True), amount.dimension)

    def _measured(self, node: nodes.Measured, here: Here) -> Value:
        inner = here._replace(measured=True)
        if isinstance(node.operand, nodes.Shape | nodes.Call | nodes.ListOf | nodes.Group):
            return self.value(node.operand, inner)
        amount = self.amount(node.operand, inner)
        if amount.dimension != LENGTH:
            raise Trouble(
                _error(
                    "scale-misplaced",
                    f"'@' marks a length measured on the plan; this is {a(amount.dimension)}",
                    node.span,
                    help="give it a unit of length"
                    if amount.dimension == NUMBER
                    else "leave the '@' out: it does not scale",
                )
            )
        return amount

    def _name(self, node: nodes.Name, here: Here) -> Value:
        return self._meaning(self._look_up(node, here), node, here)

    def _look_up(self, node: nodes.Name, here: Here) -> Meaning:
        try:
            return look_up(self.tree, here.scope, node, here.places)
        except Unnamed as unnamed:
            raise Trouble(unnamed.finding) from None

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
            if property.type in ("amount", "place"):
                return Amount(Unknown(f"{found.id}.{found.name}"), property.dimension)
            value = self.property(component, found.name)
            if value is None or isinstance(value, Automatic):
                if property.type == "count" and isinstance(property.default, float):
                    return Amount(Constant(property.default), NUMBER)
                raise Trouble(_error("not-a-value", f"'{'.'.join(node.parts)}' is not given", node.span))
            return value
        for solved in component.kind.solved:
            if solved.name == found.name:
                return Amount(Unknown(f"{found.id}.{found.name}"), solved.dimension)
        for measure in component.kind.forward:
            if measure.name == found.name:
                self.forward.add((found.id, found.name))
                return Amount(Unknown(f"{found.id}.{found.name}"), measure.dimension)
        raise Trouble(_error("unknown-name", f"'{'.'.join(node.parts)}' is no dimension", node.span))

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
                raise Trouble(
                    _error(mismatch.code, str(mismatch), step.span, labels, mismatch.help)
                ) from None
        return left

    def _pair(self, word: str, node: nodes.Size | nodes.Range, here: Here) -> Pair:
        first, second = self.value(node.first, here), self.value(node.second, here)
        # The last unit covers a bare number before it: `30 by 20 in`.
        if isinstance(first, Amount) and isinstance(second, Amount) and first.dimension == NUMBER:
            first = self._with_unit_of(node.second, first, node.first.span, here)
        return Pair(word, first, second)

    def _with_unit_of(self, node: nodes.Expression, bare: Amount, span: Span, here: Here) -> Amount:
        operand = node.operand if isinstance(node, nodes.Measured) else node
        if isinstance(operand, nodes.Number) and operand.unit is not None:
            unit = find_unit(operand.unit)
            if unit is not None and unit.dimension != NUMBER:
                measured = here._replace(measured=here.measured or isinstance(node, nodes.Measured))
                return self._take_unit(bare, unit.factor, unit.dimension, span, measured)
        return bare

    def _items(self, node: nodes.ListOf | nodes.Group, here: Here) -> Value:
        if isinstance(node, nodes.Group) and len(node.items) == 1 and node.unit is None:
            return self.value(node.items[0], here)
        point = isinstance(node, nodes.Group)
        items = tuple(
            self.value(item, _coordinate(here, i) if point else here) for i, item in enumerate(node.items)
        )
        value: Value = Items(items, point)
        if node.unit is not None:
            unit = find_unit(node.unit)
            if unit is None:
                raise Trouble(_error("unknown-unit", f"'{node.unit}' is no unit for a list", node.span))
            value = self._unit_within(value, unit.factor, unit.dimension, node, here)
        if isinstance(node, nodes.Group) and len(node.items) == 1 and isinstance(value, Items):
            return value.items[0]
        return value

    def _unit_within(
        self, value: Value, factor: float, dimension: Dimension, node: nodes.Expression, here: Here
    ) -> Value:
        """Give a unit to the bare numbers of a list and of the points in it."""
        if isinstance(value, Items):
            places = _written(node, len(value.items))
            return value._replace(
                items=tuple(
                    self._unit_within(
                        item, factor, dimension, place, _coordinate(here, i) if value.point else here
                    )
                    for i, (item, place) in enumerate(zip(value.items, places, strict=True))
                )
            )
        if isinstance(value, Amount):
            return self._take_unit(value, factor, dimension, node.span, here)
        return value

    def _take_unit(self, bare: Amount, factor: float, dimension: Dimension, span: Span, here: Here) -> Amount:
        if bare.dimension != NUMBER:
            return bare
        if isinstance(bare.term, Constant):
            amount = Amount(Stated(bare.term.value * factor, None, span, False), dimension)
        else:
            amount = with_unit(bare, factor, dimension)
            if isinstance(amount.term, Stated):
                amount = Amount(amount.term._replace(measured=False), dimension)
        return self._scaled(amount, here)

    # -- calls ------------------------------------------------------------------------------------

    def _shape(self, node: nodes.Shape, here: Here) -> Value:
        function = self._function(node.constructor)
        if not function.listed:
            raise Trouble(
                _error(
                    "wrong-arguments",
                    f"{function.name} takes its values in round brackets: {_usage(function)}",
                    node.span,
                )
            )
        if here.measured and not here.axis:
            here = here._replace(axis="across")
        points = self._items(node.points, here)
        return ShapeOf(function.name, (_points(points, node, function.name),), node.span)

    def _function(self, name: nodes.Name) -> Function:
        function = FUNCTIONS.get(name.parts[0]) if len(name.parts) == 1 else None
        if function is None:
            written = ".".join(name.parts)
            near = suggest(written, sorted(FUNCTIONS))
            raise Trouble(
                _error(
                    "unknown-function",
                    f"there is no function '{written}'",
                    name.span,
                    help=f"did you mean '{near}'?"
                    if near
                    else f"the functions are {', '.join(sorted(FUNCTIONS))}",
                )
            )
        return function

    def _call(self, node: nodes.Call, here: Here) -> Value:
        if len(node.function.parts) > 1:
            return self._look_up_line(node, here)
        function = self._function(node.function)
        if function.listed:
            raise Trouble(
                _error(
                    "wrong-arguments",
                    f"{function.name} takes a list of points in square brackets",
                    node.span,
                    help=_usage(function),
                )
            )
        if here.measured and not here.axis:
            here = here._replace(axis="across")
        arguments = self._arguments(node, function)
        values = tuple(
            None
            if given is None
            else self._argument(given, parameter, function, _of_argument(here, function, i))
            for i, (parameter, given) in enumerate(zip(function.parameters, arguments, strict=True))
        )
        if function.gives == "shape":
            depth = 1 + max((value.depth for value in values if isinstance(value, ShapeOf)), default=0)
            if depth > DEEPEST:
                raise Trouble(
                    _error(
                        "too-deep",
                        f"more than {DEEPEST} operators lie upon one another in this shape",
                        node.span,
                    )
                )
            return ShapeOf(function.name, values, node.span, depth)
        amounts = tuple(value for value in values if isinstance(value, Amount))
        if function.gives == "point":
            return Items(amounts, True, True)
        try:
            return call(function.name, amounts)
        except Mismatch as mismatch:
            raise Trouble(_error(mismatch.code, str(mismatch), node.span, (), mismatch.help)) from None

    def _look_up_line(self, node: nodes.Call, here: Here) -> Amount:
        """Return a line of the offsets at a place: `fuselage.half(118 mm)`."""
        first, line = node.function.parts[0], ".".join(node.function.parts[1:])
        found = self._look_up(nodes.Name((first,), node.function.span), here._replace(places=False))
        component = self.tree.components.get(found.id) if isinstance(found, Whole) else None
        if component is None or component.table is None:
            raise Trouble(
                _error(
                    "unknown-function",
                    f"'{first}' has no lines to look up",
                    node.function.span,
                    help="lines are those of a table of offsets, such as fuselage.half(118 mm)",
                )
            )
        if line not in (names := offsets.line_names(component)):
            near = suggest(line, names)
            raise Trouble(
                _error(
                    "unknown-name",
                    f"'{component.name}' has no line '{line}'",
                    node.function.span,
                    help=f"did you mean '{near}'?" if near else f"its lines are {', '.join(names)}",
                )
            )
        if len(node.arguments) != 1 or node.arguments[0].name is not None:
            raise Trouble(_error("wrong-arguments", f"{first}.{line} takes one place along x", node.span))
        at = self.amount(node.arguments[0].value, here._replace(places=True, axis="along"))
        if at.dimension != LENGTH:
            raise Trouble(
                _wrong_dimension(at.dimension, LENGTH, node.arguments[0].span, f"the place of {first}.{line}")
            )
        return offsets.look_up(self, component, line, at)

    def _arguments(self, node: nodes.Call, function: Function) -> tuple[nodes.Argument | None, ...]:
        names = [parameter.name for parameter in function.parameters]
        given: dict[str, nodes.Argument] = {}
        position = 0
        for argument in node.arguments:
            name = argument.name
            if name is None:
                if position >= len(names):
                    raise Trouble(
                        _error(
                            "wrong-arguments",
                            f"{function.name} takes {len(names)} values, not {len(node.arguments)}",
                            argument.span,
                            help=_usage(function),
                        )
                    )
                name, position = names[position], position + 1
            if name not in names:
                near = suggest(name, names)
                raise Trouble(
                    _error(
                        "wrong-arguments",
                        f"{function.name} has no '{name}'",
                        argument.span,
                        help=f"did you mean '{near}'?" if near else _usage(function),
                    )
                )
            if name in given:
                raise Trouble(
                    _error(
                        "given-twice",
                        f"'{name}' is given twice",
                        argument.span,
                        (Label(given[name].span, "first given here"),),
                    )
                )
            given[name] = argument
        missing = [p.name for p in function.parameters if p.name not in given and not p.optional]
        if missing:
            raise Trouble(
                _error(
                    "wrong-arguments",
                    f"{function.name} still needs {' and '.join(missing)}",
                    node.span,
                    help=_usage(function),
                )
            )
        return tuple(given.get(name) for name in names)

    def _argument(self, given: nodes.Argument, parameter: Parameter, function: Function, here: Here) -> Value:
        value, type = self.value(given.value, here), parameter.type
        if type == "shape":
            if isinstance(value, ShapeOf):
                return value
            raise Trouble(
                _error("wrong-type", f"{function.name} needs a shape here", given.span, help=_usage(function))
            )
        if type == "point":
            if isinstance(value, Items) and value.point and len(value.items) == 2:
                return Items(tuple(self._length(v, given.span) for v in value.items), True)
            raise Trouble(_error("wrong-type", f"{function.name} needs a point here: (y, z)", given.span))
        if not isinstance(value, Amount):
            raise Trouble(
                _error(
                    "wrong-type", f"{function.name} needs a quantity here", given.span, help=_usage(function)
                )
            )
        wanted = {"length": LENGTH, "angle": ANGLE, "number": NUMBER}.get(type)
        # The corner of a curve stands in a list that may carry the unit.
        if (
            wanted is None
            or value.dimension == wanted
            or (function.gives == "point" and value.dimension == NUMBER)
        ):
            return value
        raise Trouble(
            _wrong_dimension(value.dimension, wanted, given.span, f"the {parameter.name} of {function.name}")
        )

    def _length(self, value: Value, span: Span) -> Amount:
        if isinstance(value, Amount) and value.dimension == LENGTH:
            return value
        if isinstance(value, Amount):
            raise Trouble(_wrong_dimension(value.dimension, LENGTH, span, "a point's value"))
        raise Trouble(_error("wrong-type", "a point is made of lengths", span))

    # -- properties -------------------------------------------------------------------------------

    def _property(self, component: Component, property: Property, node: nodes.Property) -> Value:
        here = Here(
            Scope(component.id, component.file),
            property.type in ("place", "point3"),
            axis_of(self.tree, component, property),
        )
        value_node, type = node.value, property.type
        if isinstance(value_node, nodes.Constant) and value_node.name == "auto":
            if property.required and type not in ("amount", "place"):
                message = f"nothing can find the '{property.name}' of a {component.kind.name}: write it"
                raise Trouble(
                    _error("missing-property", message, node.span, help=f"for example: {property.example}")
                )
            return Automatic()
        if (
            isinstance(value_node, nodes.Name)
            and len(value_node.parts) == 1
            and type in ("word", "bearing", "seam")
        ):
            word = value_node.parts[0]
            if type == "seam" and word == "butt":
                return Seam("butt", None)
            if word in property.choices:
                return Word(word)
            if type == "word" or (type == "bearing" and self._is_nothing(value_node, here)):
                raise Trouble(_wrong_word(property, word, value_node.span))
        if type == "seam":
            return self._seam(value_node, here)
        if type == "word":
            raise Trouble(_wrong_word(property, "", value_node.span))
        return self._fits(self.value(value_node, here), component, property, value_node)

    def _is_nothing(self, node: nodes.Name, here: Here) -> bool:
        try:
            self._look_up(node, here)
        except Trouble:
            return True
        return False

    def _seam(self, node: nodes.Expression, here: Here) -> Seam:
        if (
            isinstance(node, nodes.Call)
            and len(node.function.parts) == 1
            and node.function.parts[0] in SEAMS[1:]
            and len(node.arguments) == 1
            and node.arguments[0].name is None
        ):
            width = self.amount(node.arguments[0].value, here)
            if width.dimension != LENGTH:
                raise Trouble(
                    _wrong_dimension(width.dimension, LENGTH, node.arguments[0].span, "a seam's width")
                )
            return Seam(node.function.parts[0], width)
        raise Trouble(
            _error(
                "wrong-type",
                "a seam is butt, lap(width), flap(width) or strap(width)",
                node.span,
                help="write, for example: seam = flap(15 mm)",
            )
        )

    def _fits(self, value: Value, component: Component, property: Property, node: nodes.Expression) -> Value:
        """Return the value where it is what the property takes. Raises Trouble."""
        what, type = f"'{property.name}' of a {component.kind.name}", property.type
        if type in ("amount", "place", "bearing"):
            wanted = ANGLE if type == "bearing" else property.dimension
            if not isinstance(value, Amount):
                also = " or a station's name" if type == "place" else ""
                raise Trouble(
                    _error(
                        "wrong-type",
                        f"{what} is {a(wanted)}{also}, not {_what_of(value, self.tree)}",
                        node.span,
                        help=f"for example: {property.example}",
                    )
                )
            if value.dimension != wanted:
                raise Trouble(_wrong_dimension(value.dimension, wanted, node.span, what, property.example))
            return value
        if type == "count":
            if (
                isinstance(value, Amount)
                and value.dimension == NUMBER
                and isinstance(value.term, Constant)
                and value.term.value == int(value.term.value)
                and 1 <= value.term.value <= property.high
            ):
                return value
            most = f" to {property.high:g}" if isfinite(property.high) else ""
            raise Trouble(_error("wrong-type", f"{what} is a whole number from 1{most}", node.span))
        if type == "stock":
            if isinstance(value, Reference) and self.tree.components[value.id].kind.name == "stock":
                return value
            raise Trouble(_error("wrong-type", f"{what} is the name of a stock", node.span))
        if type == "element":
            named = self.tree.components[value.id] if isinstance(value, Reference) else None
            if named is not None and named.parent == component.parent and named.kind.name in HOLLOW:
                return value
            raise Trouble(
                _error(
                    "wrong-type",
                    f"{what} is the name of a barrel, a cone or a ring of the same stack",
                    node.span,
                )
            )
        if type == "spot":
            bent = self.tree.components[component.parent].kind.name in BENT
            if _is_spot(value, bent):
                return value
            if bent:
                raise Trouble(
                    _error(
                        "wrong-type",
                        f"{what} in a bent wall is a place along the axis and an angle",
                        node.span,
                        help="for example: at = (40 mm, 90 deg)",
                    )
                )
            raise Trouble(
                _error(
                    "wrong-type",
                    f"{what} is a point of two lengths",
                    node.span,
                    help=f"for example: {property.example}",
                )
            )
        good = {
            "text": isinstance(value, str),
            "flag": isinstance(value, bool),
            "shape": isinstance(value, ShapeOf),
            "point": _is_point(value, 2),
            "point3": _is_point(value, 3),
            "size": isinstance(value, Pair)
            and value.word == "by"
            and _all_lengths((value.first, value.second)),
            "scale": _is_scale(value),
            "money": isinstance(value, Amount) and value.dimension.money == 1,
        }
        if not good[type]:
            raise Trouble(
                _error(
                    "wrong-type",
                    f"{what} is {_TYPES[type]}",
                    node.span,
                    help=f"for example: {property.example}",
                )
            )
        return value

    # -- lets that wait for other lets ------------------------------------------------------------

    def _lets_in(self, here: LetHere) -> Iterator[LetHere]:
        for name in names_of(here.let.value):
            try:
                found = look_up(self.tree, here.scope, name)
            except Unnamed:
                continue
            if isinstance(found, LetHere):
                yield found

    def _enter(self, key: tuple[str, str, str], span: Span) -> None:
        if key in self._under_way:
            raise Trouble(_error("circular-value", f"'{key[0]}.{key[2]}' is said by means of itself", span))
        if len(self._under_way) >= DEEPEST:
            raise Trouble(_error("too-deep", f"values lean on one another more than {DEEPEST} deep", span))
        self._under_way.append(key)


_TYPES = {
    "text": 'a text in quotes: "…"',
    "flag": "yes or no",
    "shape": "a shape",
    "point": "a point of two lengths: (…, …)",
    "point3": "a point of three lengths: (x, y, z)",
    "size": "a size: … by …",
    "scale": "a plain number or per cent above 0, or two with 'by' between (along by across)",
    "money": "an amount of money, such as 2.40 EUR",
}


def _what_of(value: Value, tree: Tree) -> str:
    return f"a {tree.components[value.id].kind.name}" if isinstance(value, Reference) else _what(value)


def _what(value: Value) -> str:
    """Return what a value that is no quantity is, with its article."""
    match value:
        case ShapeOf():
            return "a shape"
        case Items():
            return "a point" if value.point else "a list"
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


def _coordinate(here: Here, index: int) -> Here:
    return here._replace(axis=of_coordinate(here.axis, index))


def _of_argument(here: Here, function: Function, index: int) -> Here:
    """Return where an argument stands: width and height, y and z run each its own way."""
    sides = function.gives == "point" or function.parameters[index].name in ("width", "height")
    return _coordinate(here, index) if sides else here


def _written(node: nodes.Expression, count: int) -> tuple[nodes.Expression, ...]:
    """Return what is written for each of a list's or a point's values; the whole where they stand elsewhere."""
    inner: tuple[nodes.Expression, ...] = ()
    if isinstance(node, nodes.ListOf | nodes.Group):
        inner = node.items
    elif isinstance(node, nodes.Call):
        inner = tuple(argument.value for argument in node.arguments)
    return inner if len(inner) == count else (node,) * count


def names_of(node: nodes.Expression) -> Iterator[nodes.Name]:
    """Yield all names in an expression (functions apart), without recursion."""
    waiting: list[object] = [node]
    while waiting:
        current = waiting.pop()
        match current:
            case nodes.Name():
                yield current
            case nodes.Call():
                waiting.extend(argument.value for argument in reversed(current.arguments))
            case nodes.Shape():
                waiting.append(current.points)
            case nodes.ListOf() | nodes.Group():
                waiting.extend(reversed(current.items))
            case nodes.Operation() | nodes.Compare():
                waiting.extend((current.right, current.left))
            case nodes.Sign() | nodes.Measured():
                waiting.append(current.operand)
            case nodes.Size() | nodes.Range():
                waiting.extend((current.second, current.first))


def _key(here: LetHere) -> tuple[str, str, str]:
    return here.owner, here.file, here.let.name


def _circle(loop: LetHere, pending: list[LetHere]) -> Diagnostic:
    names = [here.let.name for here in pending]
    ring = " → ".join([*names, names[0]])
    return _error(
        "circular-value",
        f"these values lean on one another in a circle: {ring}",
        loop.let.name_span,
        tuple(Label(here.let.name_span, "needs the next") for here in pending[1:]),
        "give one of them a value of its own",
    )


def _spec(component: Component, name: str) -> Property:
    return next(property for property in component.kind.properties if property.name == name)


def _some_dimension(component: Component) -> str:
    kind = component.kind
    names = [s.name for s in kind.solved] + [p.name for p in kind.properties if p.type == "amount"]
    names += [measure.name for measure in kind.forward]
    return names[0] if names else "mass"


def _usage(function: Function) -> str:
    inner = ", ".join(p.name + (" = …" if p.optional else "") for p in function.parameters)
    return f"{function.name}[(y, z), …]" if function.listed else f"{function.name}({inner})"


def _points(value: Value, node: nodes.Shape, name: str) -> Items:
    items = value.items if isinstance(value, Items) else ()
    for item, written in zip(items, node.points.items, strict=True):
        if not _is_point(item, 2):
            bare = isinstance(item, Items) and any(
                isinstance(v, Amount) and v.dimension == NUMBER for v in item.items
            )
            raise Trouble(
                _error(
                    "missing-unit",
                    f"the points of this {name} have no unit",
                    node.points.span,
                    help=f"write it once behind the list: {name}[…] mm",
                )
                if bare
                else _error("wrong-type", "each value in this list is a point of two lengths", written.span)
            )
    return Items(items, False)


def _is_point(value: Value, size: int) -> bool:
    return isinstance(value, Items) and value.point and len(value.items) == size and _all_lengths(value.items)


def _is_spot(value: Value, bent: bool) -> bool:
    if not isinstance(value, Items) or not value.point or len(value.items) != 2:
        return False
    first, second = value.items
    return (
        _all_lengths((first,))
        and isinstance(second, Amount)
        and second.dimension == (ANGLE if bent else LENGTH)
    )


def _all_lengths(values: tuple[Value, ...]) -> bool:
    return all(isinstance(value, Amount) and value.dimension == LENGTH for value in values)


def _is_scale(value: Value) -> bool:
    amounts = (value.first, value.second) if isinstance(value, Pair) and value.word == "by" else (value,)
    return all(isinstance(amount, Amount) and amount.dimension == NUMBER for amount in amounts)


def _wrong_word(property: Property, word: str, span: Span) -> Diagnostic:
    near = suggest(word, property.choices) if word else None
    said = f"'{word}' is not" if word else "this is not"
    choices = ", ".join(property.choices)
    return _error(
        "unknown-word",
        f"{said} one of the words for '{property.name}'",
        span,
        help=f"did you mean '{near}'?" if near else f"write one of {choices}",
    )


def _wrong_dimension(
    found: Dimension, wanted: Dimension, span: Span, what: str, example: str = ""
) -> Diagnostic:
    if found == NUMBER:
        unit = {LENGTH: "mm", ANGLE: "deg", MASS: "g"}.get(wanted, "")
        return _error(
            "missing-unit",
            f"{what} is {a(wanted)} and needs a unit",
            span,
            help=f"write the unit behind the number, such as {unit}" if unit else "",
        )
    return _error(
        "unit-mismatch",
        f"{what} is {a(wanted)}, not {a(found)}",
        span,
        help=example and f"for example: {example}",
    )


def _error(code: str, message: str, span: Span, labels: tuple[Label, ...] = (), help: str = "") -> Diagnostic:
    return Diagnostic(code, "error", message, span, labels, help)
