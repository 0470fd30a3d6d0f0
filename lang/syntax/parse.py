"""Text to syntax: one pass over the tokens, which goes on after a mistake so that one run reports them all.

`machine.py` reads tokens and holds the parser's stacks; `node_builder.py` makes the nodes. After each
line's end, opening brace and separating comma the two stacks are noted. A mistake sets them back to that
point, the text is skipped to the end of the statement, and the parse goes on there: only the statement with
the mistake is lost. `mistakes.py` says what it was, and where to go on.
"""

import gc
import re
from typing import NamedTuple

from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.machine import Machine, Stacks, methods
from ringwright.lang.syntax.node_builder import NodeBuilder
from ringwright.lang.syntax.skipping import at_line_start, indent, statement_end
from ringwright.lang.syntax.slips import MAX_DEPTH, MAX_NAME, NEXT_LINE
from ringwright.lang.syntax.tokens import Token, UnexpectedCharacter, UnexpectedToken, make_token

_PLAIN_CELL = re.compile(r"([+-]?)([0-9]{1,18}(?:\.[0-9]{1,18})?)")
_WATCHED = frozenset(("COMMA", "LPAR", "RPAR", "LSQB", "RSQB", "LBRACE", "RBRACE", NEXT_LINE + "BRACE"))
MAX_MISTAKES = 1000
CONTINUING = frozenset(("PLUS", "TIMES", "COMPARE", "BY", "TO"))
"""Operators behind which a line may end and its statement go on."""


def parse(source: Source) -> tuple[nodes.File, tuple[Diagnostic, ...]]:
    """Return the statements of a source that are sound, and what is wrong with the others, by place.

    Each mistake is reported once; statements that hold one are left out, and listed as unread. Never raises.
    """
    collecting = gc.isenabled()
    gc.disable()  # nothing that a parse makes is garbage before its end
    try:
        return Reader(source).read()
    finally:
        if collecting:
            gc.enable()


class _Mark(NamedTuple):
    """Where the parse can go on from: the start of a statement, with all that was open there."""

    offset: int
    stacks: Stacks
    braces: tuple[Token, ...]
    blocks: int


class TooMany(Exception):
    """More mistakes than are listed of one file; carries the token at which reading ends."""

    def __init__(self, token: Token) -> None:
        super().__init__()
        self.token = token


class TooDeep(Exception):
    """A bracket or brace inside too many others."""

    def __init__(self, token: Token) -> None:
        super().__init__()
        self.token = token


class Reader:
    """The parse of one source.

    braces, brackets: those that are open. statement: the tokens of the statement at hand. suspects: braces
    closed by one that stands further left; early: closing braces further right than what they close.
    given_up: braces are not looked for any more. start, end: of the stretch that is read; mistakes can be stepped over
    only in a whole text.
    """

    def __init__(self, source: Source, start: int = 0, end: int | None = None) -> None:
        self.source = source
        self.end = len(source.text) if end is None else end
        self.builder = NodeBuilder(source, self.read_cell)
        self.rules = methods(self.builder)
        self.machine = Machine(self.rules, "start", source.text, start, self.end)
        self.braces: list[Token] = []
        self.brackets: list[Token] = []
        self.statement: list[Token] = []
        self.previous: Token | None = None
        self.suspects: list[Token] = []
        self.early: list[Token] = []
        self.given_up = False
        self.resumed = -1
        self.note(start)

    def read(self) -> tuple[nodes.File, tuple[Diagnostic, ...]]:
        """Read all of it."""
        done = False
        while not done:
            try:
                self.read_tokens()
                done = self.finish()
            except (UnexpectedToken, UnexpectedCharacter, TooDeep, TooMany) as problem:
                from ringwright.lang.syntax import mistakes  # loaded where there is one

                mistakes.step_over(self, problem)
        builder = self.builder
        whole = Span(self.source.path, 0, len(self.source.text))
        file = nodes.File(builder.close_block(), whole, tuple(builder.unread))
        return file, tuple(sorted(builder.diagnostics, key=lambda found: found.span or whole))

    # -- going on ---------------------------------------------------------------------------------

    def read_tokens(self) -> None:
        """Feed tokens until the text ends; raises where one is not expected."""
        brackets, braces, feed = self.brackets, self.braces, self.machine.feed
        found = self.builder.diagnostics
        for token in self.machine.tokens():
            kind = token.type
            if len(found) >= MAX_MISTAKES:
                raise TooMany(token)
            if len(token) > MAX_NAME and kind in ("NAME", "CODE"):
                self.builder.long_name(token)
            if kind == "_NL":
                if not brackets:
                    feed(token)
                    if not self.statement or self.statement[-1].type not in CONTINUING:
                        self.note(token.end_pos)
                continue
            if kind == NEXT_LINE + "UNIT" and brackets:
                token = _unit_alone(token)
            if kind == "BAD_STRING" and braces and not brackets:
                token = self.end_string(token)
            feed(token)
            self.previous = token
            if kind not in _WATCHED:
                self.statement.append(token)
            elif kind == "COMMA":
                if braces and not brackets:
                    self.note(token.end_pos)
                else:
                    self.statement.append(token)
            elif kind in ("RPAR", "RSQB"):
                brackets.pop()
                self.statement.append(token)
            elif kind == "RBRACE":
                self.close_brace(token)
                self.statement.append(token)
            elif len(brackets) + len(braces) >= MAX_DEPTH:
                raise TooDeep(token)
            elif kind in ("LPAR", "LSQB"):
                brackets.append(token)
                self.statement.append(token)
            else:
                braces.append(token)
                self.note(token.end_pos)

    def end_string(self, token: Token) -> Token:
        """Leave out the closing braces at the end of a string that is not closed: they are read as braces."""
        text = token.rstrip()
        for _ in self.braces:
            text = text.removesuffix("}").rstrip()
        if len(text) < len(token.rstrip()):
            end = token.start_pos + len(text)
            self.machine.seek(end)
            return make_token("BAD_STRING", text, token.start_pos, end)
        return token

    def note(self, offset: int) -> None:
        """Note that a statement may begin at an offset."""
        self.mark = _Mark(
            offset,
            self.machine.save(),
            tuple(self.braces),
            len(self.builder.blocks),
        )
        self.statement.clear()

    def close_brace(self, token: Token) -> None:
        """Take note of a closing brace that stands further left or right than the line it closes."""
        opener = self.braces.pop()
        text = self.source.text
        if at_line_start(self.source.text, token.start_pos):
            brace = opener.end_pos - 1 if opener.end_pos else 0
            difference = indent(text, token.start_pos) - indent(text, brace)
            if difference < 0:
                self.suspects.append(opener)
            elif difference > 0:
                self.early.append(token)

    # -- mistakes ---------------------------------------------------------------------------------

    def report(self, diagnostic: Diagnostic) -> None:
        """Add a diagnostic, unless one has been given for this statement already."""
        bad = self.builder.bad
        if not bad or bad[-1] < self.mark.offset:
            self.builder.diagnostics.append(diagnostic)

    def end_block(self) -> bool:
        """Where a block has just been closed, end its component's statement; say whether it was so."""
        if not self.statement or self.statement[-1].type != "RBRACE":
            return False
        end = self.statement[-1].end_pos
        self.machine.feed(make_token("_NL", "", end, end))
        self.note(end)
        return True

    def resume(self, offset: int) -> None:
        """Set the parser back to the start of the statement at hand, and the text to an offset."""
        mark = self.mark
        # Each time further on than the last: whatever stands there, the parse comes to its end.
        offset = min(max(offset, self.resumed + 1), len(self.source.text))
        self.resumed = offset
        self.machine.restore(mark.stacks)
        self.braces[:] = mark.braces
        self.brackets.clear()
        self.statement.clear()
        builder = self.builder
        del builder.blocks[mark.blocks :]
        builder.forget(mark.offset)
        if mark.offset < offset:
            builder.unread.append(Span(self.source.path, mark.offset, offset))
        self.machine.seek(offset)
        if self.source.text.startswith("{", offset):
            # The head could not be read; what stands in the block is still worth reading.
            self.machine.feed(make_token("NAME", "", offset, offset))
            builder.headless.add(offset)

    def open_block(self, head: int, offset: int) -> None:
        """Go on at an offset as in the block of a head, itself unread, that lacks its brace."""
        self.resume(offset)
        for kind in ("NAME", "LBRACE"):
            self.machine.feed(make_token(kind, "", head, head + 1))
        self.builder.headless.add(head)
        self.braces.append(make_token("LBRACE", "{", head, head + 1))
        self.note(offset)

    def end_of_statement(self, offset: int) -> int:
        """Return where the statement at hand ends, which has a mistake at an offset."""
        text = self.source.text
        return statement_end(text, self.mark.offset, offset, len(self.brackets), bool(self.braces))

    # -- the end ----------------------------------------------------------------------------------

    def finish(self) -> bool:
        """End the text. False where a mistake came to light and the parse has to go on behind it."""
        end = self.end_token()
        try:
            self.machine.feed(end, True)
            return True
        except UnexpectedToken:
            from ringwright.lang.syntax import mistakes

            if not mistakes.at_the_end(self, end):
                return False
        text = self.source.text
        for _ in range(len(self.braces)):
            self.machine.feed(make_token("RBRACE", "}", len(text), len(text)))
        self.machine.feed(end, True)
        return True

    def end_token(self) -> Token:
        """The token that ends the text."""
        return make_token("$END", "", self.end, self.end)

    # -- cells of tables --------------------------------------------------------------------------

    def read_cell(self, builder: NodeBuilder, start: int, end: int) -> nodes.Expression | None:
        """Return the value that stands between two offsets; None, and a report, where there is none."""
        text, path = self.source.text, self.source.path
        plain = _PLAIN_CELL.fullmatch(text, start, end)
        if plain:
            number = nodes.Number(float(plain[2]), None, None, Span(path, plain.start(2), end))
            return nodes.Sign(plain[1], number, Span(path, start, end)) if plain[1] else number
        machine = Machine(self.rules, "cell", text, start, end)
        tokens: list[Token] = []
        brackets: list[Token] = []
        try:
            for token in machine.tokens():
                if len(token) > MAX_NAME and token.type == "NAME":
                    builder.long_name(token)
                machine.feed(token)
                tokens.append(token)
                if token.type in ("LPAR", "LSQB"):
                    brackets.append(token)
                elif token.type in ("RPAR", "RSQB"):
                    brackets.pop()
            value: nodes.Expression = machine.feed(make_token("$END", "", end, end), True)
            return value
        except (UnexpectedToken, UnexpectedCharacter) as problem:
            from ringwright.lang.syntax import mistakes

            diagnostic = mistakes.in_cell(self.source, machine, problem, tokens, brackets)
        if not builder.bad or builder.bad[-1] < start:
            builder.diagnostics.append(diagnostic)
            builder.bad.append(start)
        return None


def _unit_alone(token: Token) -> Token:
    """Inside brackets a newline is a blank: the unit without the newlines before it."""
    word = token.rsplit(maxsplit=1)[-1]
    end = token.end_pos
    return make_token("UNIT", word, end - len(word), end)
