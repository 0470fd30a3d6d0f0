"""The values of a source: quantities, expressions, calls, lists, as the parser completes them.

One method a rule, of the rule's name or alias in `grammar.lark`; each is given the rule's children, tokens
and nodes, in order.
"""

from typing import Any, TypeAlias

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.slips import (
    MAX_DEPTH,
    MAX_NAME,
    MAX_NUMBER,
    NEXT_LINE,
    explain_slip,
    plain_number,
    quote,
)
from ringwright.lang.syntax.tokens import Token
from ringwright.lang.units import LENGTH, UNITS, find_unit

Children: TypeAlias = list[Any]
MAX_TEXT = 1000
MAX_VALUES = 10_000
USUAL_UNITS = ("mm", "cm", "m", "in", "ft", "deg", "g", "kg", "oz", "lb")


class ValueBuilder:
    """The values of one source while it is parsed, and what is wrong with them.

    file: the source's path, for spans. bad: offsets of the mistakes in the statement at hand.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self.diagnostics: list[Diagnostic] = []
        self.bad: list[int] = []

    # -- reporting --------------------------------------------------------------------------------

    def span(self, first: Any, last: Any) -> Span:
        """Return the stretch from one token or node to another."""
        start: int = first.span.start if hasattr(first, "span") else first.start_pos
        end: int = last.span.end if hasattr(last, "span") else last.end_pos
        return Span(self.file, start, end)

    def report(
        self, code: str, message: str, span: Span, help: str = "", labels: tuple[Label, ...] = ()
    ) -> None:
        """Add an error."""
        self.diagnostics.append(Diagnostic(code, "error", message, span, labels, help))

    def spoil(self, code: str, message: str, span: Span, help: str = "") -> None:
        """Add an error that makes the statement it stands in unusable."""
        self.report(code, message, span, help)
        self.bad.append(span.start)

    def forget(self, start: int) -> None:
        """Forget what was wrong from an offset on: its statement is done with."""
        self.bad = [place for place in self.bad if place < start]

    def check_depth(self, node: Any) -> None:
        """Refuse a node that is nested too deep for those who walk through it."""
        # Its own node, and a name and the parts of it innermost, are not what is nested.
        if nodes.deeper_than(node, MAX_DEPTH + 3):
            span = Span(self.file, node.span.start, min(node.span.end, node.span.start + 40))
            self.spoil("too-deep", f"this is nested more than {MAX_DEPTH} deep", span, "split it with let")

    def long_name(self, token: Token) -> None:
        """Refuse a name that fits on no part and into no message."""
        span = Span(self.file, token.start_pos, token.end_pos)
        self.spoil("name-too-long", f"a name has at most {MAX_NAME} characters", span)

    # -- values -----------------------------------------------------------------------------------

    def cell(self, children: Children) -> Any:
        """The value of a table's cell."""
        return children[0]

    def size_of(self, children: Children) -> nodes.Size:
        """`first by second`."""
        return nodes.Size(children[0], children[-1], self.span(children[0], children[-1]))

    def range_of(self, children: Children) -> nodes.Range:
        """`first to second`."""
        return nodes.Range(children[0], children[-1], self.span(children[0], children[-1]))

    def compare(self, children: Children) -> nodes.Compare:
        """`left op right`, a comparison."""
        left, right = children[0], children[-1]
        return nodes.Compare(str(children[1]), left, right, self.span(left, right))

    def operation(self, children: Children) -> nodes.Operation:
        """`left op right`, arithmetic."""
        left, right = children[0], children[-1]
        span = Span(self.file, left.span.start, right.span.end)
        if children[1] == "/" and isinstance(left, nodes.Number) and isinstance(right, nodes.Number):
            self._check_fraction(left, right, span)
        if isinstance(right, nodes.Sign) and children[1] == "+" and right.op == "-":
            self._check_spread(children[1], right)
        return nodes.Operation(str(children[1]), left, right, span)

    def _check_fraction(self, left: nodes.Number, right: nodes.Number, span: Span) -> None:
        """Refuse `3 / 16 in`: with its blanks it would be so many per inch."""
        unit = find_unit(right.unit) if right.unit and not left.unit else None
        if unit is None or unit.dimension != LENGTH or left.value % 1 or right.value % 1:
            return
        self.spoil(
            "blank-in-fraction",
            f"with blanks this is {left.value:g} divided by {right.value:g} {right.unit}",
            span,
            f"write {left.value:g}/{right.value:g} {right.unit} for the fraction, {left.value:g} / ({right.value:g} {right.unit}) where a division is meant",
        )

    def _check_spread(self, plus: Token, minus: nodes.Sign) -> None:
        """Refuse `4 mm +-1 mm`: it would take the second from the first."""
        if plus.end_pos == minus.span.start:
            self.spoil(
                "unexpected-text",
                "+- would add a negative value here",
                Span(self.file, plus.start_pos, plus.end_pos + 1),
                "write ± or +/- for how well it was measured, - to take something off",
            )

    def sign(self, children: Children) -> nodes.Sign:
        """`-operand`."""
        op, operand = children
        return nodes.Sign(str(op), operand, Span(self.file, op.start_pos, operand.span.end))

    def number(self, children: Children) -> nodes.Number:
        """A number with or without its unit."""
        token = children[0]
        span = Span(self.file, token.start_pos, children[-1].end_pos)
        unit = self._unit(children[1], token) if len(children) > 1 else None
        if len(token) > MAX_NUMBER:
            self.spoil("number-too-long", f"a number has at most {MAX_NUMBER} characters", span)
            return nodes.Number(0.0, unit, None, span)
        value = plain_number(token)
        if value is None:
            self.spoil("bad-number", f"{quote(token)} is no number that can be measured", span)
        elif token.type == "MIXED":
            self._check_mixed(token, unit, value, span)
        return nodes.Number(value or 0.0, unit, None, span)

    def _check_mixed(self, token: Token, unit: str | None, value: float, span: Span) -> None:
        """Warn of `1 19/16 in`: a fraction behind a whole number is less than one."""
        over, _, under = token.split()[-1].partition("/")
        if int(over) < int(under):
            return
        message = f"the fraction of {quote(token)} is not less than one: it is read as {value:g}"
        help = f"write {over}/{under} or, if that is meant, {value:g}"
        shown = f"{help} {unit}" if unit else help
        self.diagnostics.append(Diagnostic("improper-fraction", "warning", message, span, (), shown))

    def quantity(self, children: Children) -> Any:
        """A number, or a number with how well it was measured."""
        return children[0]

    def quantity_plus_minus(self, children: Children) -> nodes.Number:
        """`132 ± 0.5 mm`: a unit behind the ± covers both."""
        first, _, spread = children
        unit = first.unit or spread.unit
        return nodes.Number(first.value, unit, spread, Span(self.file, first.span.start, spread.span.end))

    def measured(self, children: Children) -> nodes.Measured:
        """`@operand`, or `@-operand`."""
        operand = children[-1] if len(children) == 2 else self.sign(children[1:])
        return nodes.Measured(operand, Span(self.file, children[0].start_pos, operand.span.end))

    def measured_name(self, children: Children) -> nodes.Measured:
        """`@name`, which would be scaled twice."""
        mark, path = children
        span = self.span(mark, path)
        self.spoil(
            "measured-name",
            "@ stands before a number, a list or a shape, never before a name",
            span,
            "put the @ where the name is given its value",
        )
        return nodes.Measured(path, span)

    def text(self, children: Children) -> nodes.Text:
        """A string."""
        token = children[0]
        value = str(token[1:-1])
        if len(value) > MAX_TEXT:
            span = Span(self.file, token.start_pos, token.end_pos)
            self.spoil("text-too-long", f"a text has at most {MAX_TEXT} characters", span)
            return nodes.Text("", span)
        if "\\" in value:
            value = self._unescape(value, token.start_pos + 1)
        # A tab has no width of its own on a sheet or in a column of a list.
        return nodes.Text(value.replace("\t", " "), Span(self.file, token.start_pos, token.end_pos))

    def constant(self, children: Children) -> nodes.Constant:
        """`yes`, `no` or `auto`."""
        token = children[0]
        return nodes.Constant(str(token), Span(self.file, token.start_pos, token.end_pos))

    def path(self, children: Children) -> nodes.Name:
        """`name`, or a path with one name more."""
        if len(children) == 1:
            token = children[0]
            return nodes.Name((str(token),), Span(self.file, token.start_pos, token.end_pos))
        before: nodes.Name = children[0]
        token = children[2]
        if len(before.parts) >= MAX_DEPTH:
            if len(before.parts) == MAX_DEPTH:
                span = Span(self.file, token.start_pos, token.end_pos)
                self.spoil("too-deep", f"a name reaches at most {MAX_DEPTH} deep", span)
            # One part more, so that it is said once, and no more after it.
            return before if len(before.parts) > MAX_DEPTH else before._replace(parts=(*before.parts, ""))
        return nodes.Name(
            (*before.parts, str(token)), Span(before.span.source, before.span.start, token.end_pos)
        )

    def call(self, children: Children) -> nodes.Call:
        """`function(arguments)`."""
        arguments = tuple(children[2]) if isinstance(children[2], list) else ()
        return nodes.Call(children[0], arguments, self.span(children[0], children[-1]))

    def arguments(self, children: Children) -> list[nodes.Argument]:
        """One argument, or one more."""
        return gather(children)

    def argument(self, children: Children) -> nodes.Argument:
        """An argument given by position."""
        return nodes.Argument(None, children[0], children[0].span)

    def named_argument(self, children: Children) -> nodes.Argument:
        """`name = value`."""
        name, _, value = children
        return nodes.Argument(str(name), value, self.span(name, value))

    def shape(self, children: Children) -> nodes.Shape:
        """`constructor[points]`."""
        constructor, points = children
        return nodes.Shape(constructor, points, self.span(constructor, points))

    def list_of(self, children: Children) -> nodes.ListOf:
        """`[items]` and a unit."""
        items = tuple(children[1]) if isinstance(children[1], list) else ()
        if len(items) > MAX_VALUES:
            span = self.span(children[0], children[0])
            self.spoil(
                "list-too-long", f"a list has at most {MAX_VALUES} values, this one has {len(items)}", span
            )
        return nodes.ListOf(items, self._unit_behind(children), self.span(children[0], children[-1]))

    def group(self, children: Children) -> nodes.Group:
        """`(items)` and a unit."""
        return nodes.Group(
            tuple(children[1]), self._unit_behind(children), self.span(children[0], children[-1])
        )

    def values(self, children: Children) -> Children:
        """One value of a list, or one more."""
        return gather(children)

    def slip(self, children: Children) -> nodes.Number:
        """What people type by habit: reported, with what to write instead."""
        token = children[0]
        code, message, help = explain_slip(token.type, str(token))
        span = Span(self.file, token.start_pos, token.end_pos)
        self.spoil(code, message, span, help)
        return nodes.Number(0.0, None, None, span)

    unclosed_text = slip

    def slipped_number(self, children: Children) -> nodes.Number:
        """Such a number with or without a unit."""
        number: nodes.Number = children[0]
        return number._replace(span=self.span(number, children[-1]))

    # -- units and strings ------------------------------------------------------------------------

    def _unit_behind(self, children: Children) -> str | None:
        last = children[-1]
        return self._unit(last, None) if last.type in ("UNIT", NEXT_LINE + "UNIT") else None

    def _unit(self, token: Token, number: Token | None) -> str | None:
        """Return a unit's name; there must be such a unit, and it must stand on the number's line."""
        if token.type != "UNIT":
            word = token.rsplit(maxsplit=1)[-1].rpartition("\n")[2]
            self.spoil(
                "unit-on-next-line",
                f"the unit '{word}' stands on the next line",
                Span(self.file, token.end_pos - len(word), token.end_pos),
                f"put {word} behind its number",
            )
            return word
        word = str(token)
        if find_unit(word) is None:
            self._unknown_unit(word, token, number)
        return word

    def _unknown_unit(self, word: str, token: Token, number: Token | None) -> None:
        span = self.span(token, token)
        plain = word.replace("^", "").replace("²", "2").replace("³", "3")
        if plain != word and plain in UNITS:
            self.spoil("unknown-unit", f"'{word}' is not how a unit is written here", span, f"write {plain}")
            return
        nearest = suggest(word, USUAL_UNITS) or suggest(word, UNITS)
        help = f"did you mean '{nearest}'?" if nearest else "units of length are mm, cm, m, in and ft"
        if number is not None and number.end_pos == token.start_pos and not nearest:
            self.spoil(
                "bad-number",
                f"{quote(number + word)} is neither a number nor a name",
                self.span(number, token),
                "names begin with a letter; a number is followed by its unit",
            )
        else:
            self.spoil("unknown-unit", f"there is no unit {quote(word)}", span, help)

    def _unescape(self, value: str, start: int) -> str:
        pieces = []
        at = 0
        while (slash := value.find("\\", at)) >= 0:
            escaped = value[slash + 1]
            if escaped not in '"\\':
                span = Span(self.file, start + slash, start + slash + 2)
                self.spoil(
                    "bad-escape",
                    f"'\\{escaped}' means nothing in a string",
                    span,
                    'only \\" and \\\\ are known',
                )
            pieces.append(value[at:slash] + escaped)
            at = slash + 2
        return "".join(pieces) + value[at:]


def gather(children: Children) -> Children:
    """A left-recursive list: the first child is the list so far, or the only item."""
    if len(children) == 1:
        return [children[0]]
    children[0].append(children[-1])
    gathered: Children = children[0]
    return gathered
