"""Text to syntax: one pass over the tokens, which goes on after a mistake so that one run reports them all.

`machine.py` reads tokens and holds the parser's stacks; `node_builder.py` makes the nodes. After each
line's end, opening brace and separating comma the two stacks are noted. A mistake sets them back to that
point, the text is skipped to the end of the statement, and the parse goes on there: only the statement with
the mistake is lost.
"""

import gc
import re
from typing import NamedTuple

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.machine import (
    Machine,
    Stacks,
    UnexpectedCharacters,
    UnexpectedToken,
    make_token,
    methods,
)
from ringwright.lang.syntax.node_builder import STATEMENT_WORDS, NodeBuilder
from ringwright.lang.syntax.skipping import at_line_start, block_end, indent, statement_end
from ringwright.lang.syntax.slips import MAX_DEPTH, NEXT_LINE
from ringwright.lang.syntax.tokens import Token
from ringwright.lang.syntax.unexpected import (
    Found,
    bracket_left_open,
    explain,
    explain_character,
    explain_neighbour,
    explain_open_line,
)

_PLAIN_CELL = re.compile(r"([+-]?)(\d{1,18}(?:\.\d{1,18})?)")


def parse(source: Source) -> tuple[nodes.File, tuple[Diagnostic, ...]]:
    """Return the statements of a source that are sound, and what is wrong with the others, by place.

    Each mistake is reported once; statements that hold one are left out, and listed as unread. Never raises.
    """
    collecting = gc.isenabled()
    gc.disable()  # nothing that a parse makes is garbage before its end
    try:
        return _Reader(source).read()
    finally:
        if collecting:
            gc.enable()


class _Mark(NamedTuple):
    """Where the parse can go on from: the start of a statement, with all that was open there."""

    offset: int
    stacks: Stacks
    braces: tuple[Token, ...]
    blocks: int


class _TooDeep(Exception):
    def __init__(self, token: Token) -> None:
        super().__init__()
        self.token = token


class _Reader:
    """The parse of one source.

    braces, brackets: those that are open. statement: the tokens of the statement at hand. suspects: braces
    closed by one that stands further left; early: closing braces further right than what they close.
    """

    def __init__(self, source: Source) -> None:
        self.source = source
        self.builder = NodeBuilder(source, self.read_cell)
        self.rules = methods(self.builder)
        self.machine = Machine(self.rules, "start", source.text, 0, len(source.text))
        self.braces: list[Token] = []
        self.brackets: list[Token] = []
        self.statement: list[Token] = []
        self.previous: Token | None = None
        self.suspects: list[Token] = []
        self.early: list[Token] = []
        self.too_deep = False
        self.resumed = -1
        self.note(0)

    def read(self) -> tuple[nodes.File, tuple[Diagnostic, ...]]:
        """Read all of it."""
        done = False
        while not done:
            try:
                self.read_tokens()
                done = self.finish()
            except UnexpectedToken as problem:
                self.unexpected(problem.token)
            except UnexpectedCharacters as problem:
                self.unexpected_character(problem.pos_in_stream or 0)
            except _TooDeep as problem:
                self.refuse_depth(problem.token)
        builder = self.builder
        whole = Span(self.source.path, 0, len(self.source.text))
        file = nodes.File(builder.close_block(), whole, tuple(builder.unread))
        return file, tuple(sorted(builder.diagnostics, key=lambda found: found.span or whole))

    # -- going on ---------------------------------------------------------------------------------

    def read_tokens(self) -> None:
        """Feed tokens until the text ends; raises where one is not expected."""
        brackets, braces, feed = self.brackets, self.braces, self.machine.feed
        for token in self.machine.tokens():
            kind = token.type
            if kind == "_NL":
                if not brackets:
                    feed(token)
                    if not self.statement or self.statement[-1].type not in _CONTINUING:
                        self.note(token.end_pos)
                continue
            if kind == NEXT_LINE + "UNIT" and brackets:
                token = _unit_alone(token)
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
                raise _TooDeep(token)
            elif kind in ("LPAR", "LSQB"):
                brackets.append(token)
                self.statement.append(token)
            else:
                braces.append(token)
                self.note(token.end_pos)

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

    def unexpected(self, token: Token) -> None:
        """Report a token that may not stand here, and get ready to go on behind its statement."""
        token = _as_word(token)
        start = token.start_pos
        block_ended = self.end_block()
        found = self.found(token)
        if block_ended and token.type == "NAME":
            self.report(explain_neighbour(found))
            self.resume(start)
            return
        if self.line_left_open(found):
            self.report(explain_open_line(found))
            self.resume(self.statement[-1].start_pos)
            return
        diagnostic = explain(found)
        if diagnostic.code == "extra-brace" and self.early:
            diagnostic = self.blame_early(diagnostic)
        self.report(diagnostic)
        if diagnostic.code == "extra-brace":
            self.resume(start + 1)
        elif bracket_left_open(found):
            self.resume(start)
        else:
            if diagnostic.code == "operator-on-next-line" and not self.statement:
                self.take_back()
            self.resume(self.end_of_statement(start))

    def unexpected_character(self, offset: int) -> None:
        """Report a character that begins no token, and get ready to go on behind its statement."""
        self.end_block()
        self.report(explain_character(self.source, offset))
        self.resume(self.end_of_statement(offset))

    def found(self, token: Token) -> Found:
        """What is known where a token was not expected."""
        expected = self.machine.expected()
        return Found(self.source, token, expected, self.statement, self.brackets, self.braces, self.previous)

    def line_left_open(self, found: Found) -> bool:
        """Say whether an operator ended a line and another statement begins on the next."""
        if self.brackets or len(self.statement) < 2 or self.statement[-2].type not in _CONTINUING:
            return False
        return found.token.type in ("EQUALS", "NAME", "LBRACE", "STRING") and at_line_start(
            self.source.text, self.statement[-1].start_pos
        )

    def blame_early(self, diagnostic: Diagnostic) -> Diagnostic:
        """Blame an extra brace on the one before it that stands too far right for what it closed."""
        early = self.early.pop(0)
        place = Span(self.source.path, early.start_pos, early.end_pos)
        if diagnostic.span is None:
            return diagnostic
        return diagnostic._replace(
            span=place, labels=(Label(diagnostic.span, "so that this one is left over"),)
        )

    def take_back(self) -> None:
        """Drop the statement that the line at hand wanted to continue."""
        block = self.builder.blocks[-1]
        if block and isinstance(block[-1], _CONTINUED):
            self.builder.unread.append(block.pop().span)

    def end_block(self) -> bool:
        """Where a block has just been closed, end its component's statement; say whether it was so."""
        if not self.statement or self.statement[-1].type != "RBRACE":
            return False
        end = self.statement[-1].end_pos
        self.machine.feed(make_token("_NL", "", end, end))
        self.note(end)
        return True

    def refuse_depth(self, token: Token) -> None:
        """Report a bracket or brace too deep, and step over what it holds."""
        start = token.start_pos
        end = token.end_pos
        self.report(
            Diagnostic(
                "too-deep",
                "error",
                f"this is nested more than {MAX_DEPTH} deep",
                Span(self.source.path, end - 1, end),
                help="take it apart with let, or with components beside each other",
            )
        )
        if token.type in ("LPAR", "LSQB"):
            self.resume(self.end_of_statement(start))
        else:
            self.too_deep = True
            self.resume(block_end(self.source.text, end))

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
            found = self.found(end)
        text = self.source.text
        if self.brackets:
            self.report(explain(found))
            line_end = text.find("\n", self.brackets[-1].end_pos)
            self.resume(line_end if line_end >= 0 else len(text))
            return False
        if self.statement and "_NL" not in found.expected:
            self.report(explain(found))
            self.resume(len(text))
            return False
        self.report_unclosed_braces()
        for _ in range(len(self.braces)):
            self.machine.feed(make_token("RBRACE", "}", len(text), len(text)))
        self.machine.feed(end, True)
        return True

    def end_token(self) -> Token:
        """The token that ends the text."""
        end = len(self.source.text)
        return make_token("$END", "", end, end)

    def report_unclosed_braces(self) -> None:
        """Blame each missing brace on the block that ends where another's brace stands."""
        if self.too_deep:
            return
        missing = len(self.braces)
        blamed = self.suspects[:missing]
        blamed += self.braces[len(blamed) :]
        end = len(self.source.text.rstrip())
        for brace in sorted(blamed, key=lambda token: token.start_pos):
            place = brace.end_pos
            self.builder.report(
                "unclosed-brace",
                "this '{' is not closed",
                Span(self.source.path, place - 1, place),
                "write } where its block ends",
                (Label(Span(self.source.path, end, end), "the text ends here"),),
            )

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
                machine.feed(token)
                tokens.append(token)
                if token.type in ("LPAR", "LSQB"):
                    brackets.append(token)
                elif token.type in ("RPAR", "RSQB"):
                    brackets.pop()
            value: nodes.Expression = machine.feed(make_token("$END", "", end, end), True)
            return value
        except UnexpectedToken as problem:
            previous = tokens[-1] if tokens else None
            word = _as_word(problem.token)
            found = Found(self.source, word, machine.expected(), tokens, brackets, [], previous, True)
            diagnostic = explain(found)
        except UnexpectedCharacters as problem:
            diagnostic = explain_character(self.source, problem.pos_in_stream or 0)
        if not builder.bad or builder.bad[-1] < start:
            builder.diagnostics.append(diagnostic)
            builder.bad.append(start)
        return None


_WATCHED = frozenset(("COMMA", "LPAR", "RPAR", "LSQB", "RSQB", "LBRACE", "RBRACE", NEXT_LINE + "BRACE"))
_CONTINUING = frozenset(("PLUS", "TIMES", "COMPARE", "BY", "TO"))
_CONTINUED = (nodes.Property, nodes.Let, nodes.Require, nodes.Given, nodes.Use, nodes.Accept)
_WORD = re.compile(r"[A-Za-z][A-Za-z0-9_]*")


def _as_word(token: Token) -> Token:
    """Make a word a plain NAME, or its keyword: where none is expected it comes as any terminal that fits."""
    match = _WORD.match(token)
    if match is None or token.type == "$END":
        return token
    word = match[0]
    kind = word.upper() if word in STATEMENT_WORDS else "NAME"
    start = token.start_pos
    return make_token(kind, word, start, start + len(word))


def _unit_alone(token: Token) -> Token:
    """Inside brackets a newline is a blank: the unit without the newlines before it."""
    word = token.rsplit(maxsplit=1)[-1]
    end = token.end_pos
    return make_token("UNIT", word, end - len(word), end)
