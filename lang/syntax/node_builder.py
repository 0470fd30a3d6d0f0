"""The statements of a source, as the parser completes them.

One method a rule, as in `value_builder.py`. A statement goes at once into the block it stands in, so that a
mistake further down costs only its own statement.
"""

from collections.abc import Callable
from typing import NamedTuple

from ringwright.lang.source import Source, Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.slips import MAX_DEPTH, NEXT_LINE
from ringwright.lang.syntax.table_rows import OpenTable, Row, read_head, read_row
from ringwright.lang.syntax.tokens import Token
from ringwright.lang.syntax.value_builder import Children, ValueBuilder, gather
from ringwright.lang.units import UNITS

_BLOCKS = (nodes.Component, nodes.Recipe, nodes.Make, Row)

STATEMENT_WORDS = ("use", "let", "require", "given", "accept", "recipe", "make")
JOINING_WORDS = ("as", "because", "by", "else", "to")
"""Words between two things of a statement, each a keyword in its place alone."""
# What cannot be a name, and why not.
RESERVED = {
    **dict.fromkeys(STATEMENT_WORDS, "begins a statement"),
    **dict.fromkeys(("yes", "no", "auto"), "is a constant"),
    **{unit: "is a unit" for unit in UNITS if unit[0].isalpha() and "/" not in unit},
}


class NodeBuilder(ValueBuilder):
    """The nodes of one source while it is parsed.

    read_cell: reads the value that stands between two offsets, a cell of a table. blocks: the statements of
    each block that is open, outermost first. unread: statements with mistakes. headless: offsets of blocks
    whose head could not be read.
    """

    def __init__(
        self, source: Source, read_cell: "Callable[[NodeBuilder, int, int], nodes.Expression | None]"
    ) -> None:
        super().__init__(source.path)
        self.blocks: list[list[nodes.Statement | OpenTable]] = [[]]
        self.unread: list[Span] = []
        self.headless: set[int] = set()
        self._read_cell = read_cell

    def statement(self, children: Children) -> None:
        """Put a finished statement into its block, unless something in it was wrong."""
        node = children[0]
        start, end = node.span.start, node.span.end
        # Nothing goes deeper than it is long.
        if end - start > MAX_DEPTH and not isinstance(node, _BLOCKS):
            self.check_depth(node)
        if self.bad and self.bad[-1] >= start:
            self.forget(start)
            self.unread.append(node.span)
        elif isinstance(node, Row):
            self._add_row(node)
        elif start in self.headless:
            self.unread.append(node.span)
        else:
            self.blocks[-1].append(node)

    def _add_row(self, row: Row) -> None:
        block = self.blocks[-1]
        table = block[-1] if block and isinstance(block[-1], OpenTable) else None
        if table is None:
            block.append(read_head(self, row))
        else:
            read_row(self, row, table, self._read_cell)

    def nothing(self, children: Children) -> None:
        """Rules that only hold others together."""

    start = statements = items = nothing

    def use(self, children: Children) -> nodes.Use:
        """`use "file" as alias`."""
        alias = self._new_name(children[3]) if len(children) > 2 else None
        return nodes.Use(children[1], alias, self.span(children[0], children[-1]))

    def let(self, children: Children) -> nodes.Let:
        """`let name = value`."""
        word, name, _, value = children
        return nodes.Let(self._new_name(name), self.span(name, name), value, self.span(word, value))

    def require(self, children: Children) -> nodes.Require:
        """`require condition else "message"`."""
        message = children[3] if len(children) > 2 else None
        return nodes.Require(children[1], message, self.span(children[0], children[-1]))

    def given(self, children: Children) -> nodes.Given:
        """`given left == right`."""
        word, condition = children
        if not isinstance(condition, nodes.Compare) or condition.op != "==":
            self.spoil(
                "given-needs-equality",
                "given states that two things are equal",
                condition.span,
                "write given one == other; what only has to hold is a require",
            )
        return nodes.Given(condition, self.span(word, condition))

    def accept(self, children: Children) -> nodes.Accept:
        """`accept code because "reason"`."""
        word, code = children[:2]
        reason = children[3] if len(children) > 2 else None
        return nodes.Accept(str(code), self.span(code, code), reason, self.span(word, children[-1]))

    def recipe(self, children: Children) -> nodes.Recipe:
        """`recipe name(parameters) { … }`."""
        word, name, body = children[0], children[1], children[-1]
        parameters = tuple(children[3]) if isinstance(children[3], list) else ()
        for parameter in parameters:
            self.check_depth(parameter)
        return nodes.Recipe(
            self._new_name(name), self.span(name, name), parameters, body.statements, self.span(word, body)
        )

    def parameters(self, children: Children) -> list[nodes.Parameter]:
        """One parameter, or one more."""
        return gather(children)

    def parameter(self, children: Children) -> nodes.Parameter:
        """`name` or `name = default`."""
        default = children[2] if len(children) > 1 else None
        return nodes.Parameter(self._new_name(children[0]), default, self.span(children[0], children[-1]))

    def make(self, children: Children) -> nodes.Make:
        """`make recipe name { … }`."""
        word, recipe, name = children[:3]
        body = children[3].statements if len(children) > 3 else ()
        return nodes.Make(
            recipe, self._new_name(name), self.span(name, name), body, self.span(word, children[-1])
        )

    def component(self, children: Children) -> nodes.Component:
        """`kind name { … }`."""
        kind, body = children[0], children[-1]
        named = len(children) > 2
        name = self._new_name(children[1]) if named else ""
        kind_span = self.span(kind, kind)
        name_span = self.span(children[1], children[1]) if named else kind_span
        return nodes.Component(str(kind), kind_span, name, name_span, body.statements, self.span(kind, body))

    def assignment(self, children: Children) -> nodes.Property:
        """`name = value`."""
        name, _, value = children
        return nodes.Property(self._new_name(name), self.span(name, name), value, self.span(name, value))

    def row(self, children: Children) -> Row:
        """A line of bars."""
        token = children[0]
        text = token.rstrip()
        return Row(text, Span(self.file, token.start_pos, token.start_pos + len(text)))

    def opening(self, children: Children) -> Token:
        """The brace that opens a block."""
        brace: Token = children[0]
        if brace.type == NEXT_LINE + "BRACE":
            self.report(
                "brace-on-next-line",
                "the opening brace stands on a line of its own",
                Span(self.file, brace.end_pos - 1, brace.end_pos),
                "put { at the end of the line before",
            )
        self.blocks.append([])
        return brace

    def body(self, children: Children) -> "Body":
        """A whole block."""
        return Body(self.close_block(), self.span(children[0], children[2]))

    def close_block(self) -> tuple[nodes.Statement, ...]:
        """Return the statements of the innermost block, which ends here."""
        closed = (part.closed() if isinstance(part, OpenTable) else part for part in self.blocks.pop())
        return tuple(part for part in closed if part is not None)

    def _new_name(self, token: Token) -> str:
        word = str(token)
        if word in RESERVED:
            self.report(
                "reserved-word",
                f"'{word}' {RESERVED[word]} and cannot be a name",
                self.span(token, token),
                f"call it something else, {word}_1 for instance",
            )
        return word


class Body(NamedTuple):
    """A block's statements, and the stretch from brace to brace."""

    statements: tuple[nodes.Statement, ...]
    span: Span
