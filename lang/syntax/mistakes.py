"""What is done about a mistake: said once, blamed on the likeliest place, and the reader set to go on behind it."""

import re

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax import nodes
from ringwright.lang.syntax.found import Found
from ringwright.lang.syntax.machine import Machine
from ringwright.lang.syntax.node_builder import STATEMENT_WORDS
from ringwright.lang.syntax.parse import CONTINUING, MAX_MISTAKES, Reader, TooDeep, TooMany
from ringwright.lang.syntax.skipping import at_line_start, block_end
from ringwright.lang.syntax.slips import MAX_DEPTH
from ringwright.lang.syntax.statement_faults import explain_neighbour, explain_open_line, opens_block
from ringwright.lang.syntax.tokens import Token, UnexpectedCharacter, UnexpectedToken, make_token
from ringwright.lang.syntax.unexpected import bracket_left_open, explain, explain_character

_CONTINUED = (nodes.Property, nodes.Let, nodes.Require, nodes.Given, nodes.Use, nodes.Accept)
_WORD = re.compile(r"[A-Za-z][A-Za-z0-9_]*")


def step_over(reader: Reader, problem: UnexpectedToken | UnexpectedCharacter | TooDeep | TooMany) -> None:
    """Report what stopped the reader, and set it to go on behind the statement in which it stands."""
    if isinstance(problem, TooMany) or len(reader.builder.diagnostics) >= MAX_MISTAKES:
        _give_up(reader)
    elif isinstance(problem, UnexpectedToken):
        _unexpected(reader, problem.token)
    elif isinstance(problem, TooDeep):
        _refuse_depth(reader, problem.token)
    else:
        _unexpected_character(reader, problem.offset)


def _unexpected(reader: Reader, token: Token) -> None:
    """Report a token that may not stand here, and get ready to go on behind its statement."""
    token = _as_word(token)
    start = token.start_pos
    block_ended = reader.end_block()
    found = _found_at(reader, token)
    if block_ended and token.type == "NAME":
        reader.report(explain_neighbour(found))
        reader.resume(start)
        return
    if _line_left_open(reader, found):
        reader.report(explain_open_line(found))
        reader.resume(reader.statement[-1].start_pos)
        return
    diagnostic = explain(found)
    if diagnostic.code == "extra-brace" and reader.early:
        diagnostic = _blame_early(reader, diagnostic)
    reader.report(diagnostic)
    if diagnostic.code == "extra-brace":
        reader.resume(start + 1)
    elif diagnostic.code == "missing-brace" and opens_block(found):
        reader.open_block(found.statement[0].start_pos, start)
    elif bracket_left_open(found):
        reader.resume(start)
    else:
        if diagnostic.code == "operator-on-next-line" and not reader.statement:
            _take_back(reader)
        reader.resume(reader.end_of_statement(start))


def _unexpected_character(reader: Reader, offset: int) -> None:
    """Report a character that begins no token, and get ready to go on behind its statement."""
    reader.end_block()
    diagnostic = explain_character(reader.source, offset)
    reader.report(diagnostic)
    behind = offset if diagnostic.span is None else diagnostic.span.end - 1
    reader.resume(reader.end_of_statement(max(offset, behind)))


def _give_up(reader: Reader) -> None:
    """Say that there are more mistakes than anyone reads, and leave out the rest of the text."""
    path, start = reader.source.path, reader.mark.offset
    reader.builder.report(
        "too-many-mistakes",
        f"{MAX_MISTAKES} mistakes have been found: from here on this file is not read",
        Span(path, start, min(start + 1, len(reader.source.text))),
        "mend those that are shown first",
    )
    reader.given_up = True
    reader.resume(len(reader.source.text))


def _refuse_depth(reader: Reader, token: Token) -> None:
    """Report a bracket or brace too deep, and step over what it holds."""
    start = token.start_pos
    end = token.end_pos
    reader.report(
        Diagnostic(
            "too-deep",
            "error",
            f"this is nested more than {MAX_DEPTH} deep",
            Span(reader.source.path, end - 1, end),
            help="take it apart with let, or with components beside each other",
        )
    )
    if token.type in ("LPAR", "LSQB"):
        reader.resume(reader.end_of_statement(start))
    else:
        reader.given_up = True
        reader.resume(block_end(reader.source.text, end))


def at_the_end(reader: Reader, end: Token) -> bool:
    """Report what is left open at the end of the text; say whether only braces are missing, for the reader to close."""
    found = _found_at(reader, end)
    text = reader.source.text
    if reader.brackets:
        reader.report(explain(found))
        line_end = text.find("\n", reader.brackets[-1].end_pos)
        reader.resume(line_end if line_end >= 0 else len(text))
        return False
    if reader.statement and "_NL" not in found.expected:
        reader.report(explain(found))
        reader.resume(len(text))
        return False
    _unclosed_braces(reader)
    return True


def in_cell(
    source: Source,
    machine: Machine,
    problem: UnexpectedToken | UnexpectedCharacter,
    tokens: list[Token],
    brackets: list[Token],
) -> Diagnostic:
    """Return what to say of a cell of a table that holds no value."""
    if isinstance(problem, UnexpectedCharacter):
        return explain_character(source, problem.offset)
    previous = tokens[-1] if tokens else None
    word = _as_word(problem.token)
    return explain(Found(source, word, machine.expected(), tokens, brackets, [], previous, True))


def _found_at(reader: Reader, token: Token) -> Found:
    """Return what is known where a token was not expected."""
    expected = reader.machine.expected()
    return Found(
        reader.source, token, expected, reader.statement, reader.brackets, reader.braces, reader.previous
    )


def _unclosed_braces(reader: Reader) -> None:
    """Blame each missing brace on the block that ends where another's brace stands."""
    if reader.given_up:
        return
    missing = len(reader.braces)
    blamed = reader.suspects[:missing]
    blamed += reader.braces[len(blamed) :]
    end = len(reader.source.text.rstrip())
    for brace in sorted(blamed, key=lambda token: token.start_pos):
        place = brace.end_pos
        reader.builder.report(
            "unclosed-brace",
            "this '{' is not closed",
            Span(reader.source.path, place - 1, place),
            "write } where its block ends",
            (Label(Span(reader.source.path, end, end), "the text ends here"),),
        )


def _line_left_open(reader: Reader, found: Found) -> bool:
    """Say whether an operator ended a line and another statement begins on the next."""
    if reader.brackets or len(reader.statement) < 2 or reader.statement[-2].type not in CONTINUING:
        return False
    return found.token.type in ("EQUALS", "NAME", "LBRACE", "STRING") and at_line_start(
        reader.source.text, reader.statement[-1].start_pos
    )


def _blame_early(reader: Reader, diagnostic: Diagnostic) -> Diagnostic:
    """Blame an extra brace on the one before it that stands too far right for what it closed."""
    early = reader.early.pop(0)
    place = Span(reader.source.path, early.start_pos, early.end_pos)
    if diagnostic.span is None:
        return diagnostic
    return diagnostic._replace(span=place, labels=(Label(diagnostic.span, "so that this one is left over"),))


def _take_back(reader: Reader) -> None:
    """Drop the statement that the line at hand wanted to continue."""
    block = reader.builder.blocks[-1]
    if block and isinstance(block[-1], _CONTINUED):
        reader.builder.unread.append(block.pop().span)


def _as_word(token: Token) -> Token:
    """Make a word a plain NAME, or its keyword: where none is expected it comes as any terminal that fits."""
    match = _WORD.match(token)
    if match is None or token.type == "$END":
        return token
    word = match[0]
    kind = word.upper() if word in STATEMENT_WORDS else "NAME"
    start = token.start_pos
    return make_token(kind, word, start, start + len(word))
