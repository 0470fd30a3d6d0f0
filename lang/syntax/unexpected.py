"""The words for what the parser did not expect: which mistake it probably was, and what to write instead."""

import re
from typing import NamedTuple

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax.node_builder import RESERVED
from ringwright.lang.syntax.skipping import at_line_start
from ringwright.lang.syntax.slips import CHARACTERS, SLIPS, explain_slip, quote, short
from ringwright.lang.syntax.tokens import Token
from ringwright.lang.units import UNITS

_OPERATORS = ("PLUS", "TIMES", "POWER", "COMPARE", "PLUS_MINUS")
_ENDS = ("_NL", "$END", "COMMA", "RBRACE", "RPAR", "RSQB")
_KEYWORDS = ("USE", "LET", "REQUIRE", "GIVEN", "ACCEPT", "RECIPE", "MAKE")
_STATEMENT = re.compile(r'[A-Za-z]\w*[ \t]*(=(?!=)|\{|[A-Za-z"])|[}|]')
_ACCEPTED = re.compile(r"accept[ \t]+([a-z0-9-]*)$")
CLOSERS = {"(": ")", "[": "]", "{": "}"}


class Found(NamedTuple):
    """What stood where nothing of its kind may stand.

    token: the token ('$END' at the end, with no text). expected: the terminals that could have stood there.
    statement: the tokens of the statement so far. brackets: those that are open in it, braces: the blocks
    that are. previous: the last token before it, that of an earlier statement where this one has none.
    cell: it stands in a cell of a table.
    """

    source: Source
    token: Token
    expected: frozenset[str]
    statement: list[Token]
    brackets: list[Token]
    braces: list[Token]
    previous: Token | None
    cell: bool = False


def explain_character(source: Source, offset: int) -> Diagnostic:
    """Return what to say of a character that no token begins with."""
    character = source.text[offset]
    span = Span(source.path, offset, offset + 1)
    if character in CHARACTERS:
        code, message, help = CHARACTERS[character]
        return Diagnostic(code, "error", message, span, (), help)
    code_begun = _ACCEPTED.search(source.text, source.text.rfind("\n", 0, offset) + 1, offset)
    if character == "_" and code_begun is not None:
        word = re.compile(r"\w*").match(source.text, offset)
        written = (code_begun[1] + (word[0] if word else "")).replace("_", "-")
        return Diagnostic(
            "unexpected-character", "error", "a warning's code has no '_'", span, (), f"write {written}"
        )
    return Diagnostic("unexpected-character", "error", f"'{character}' does not belong here", span)


def explain_neighbour(found: Found) -> Diagnostic:
    """Return what to say of a word that begins a second statement on a line."""
    return _error(
        found,
        "one-statement-a-line",
        f"{quote(found.token)} begins another statement on the same line",
        _here(found),
        "put it on a line of its own" + (", or a comma before it" if found.braces else ""),
    )


def explain_open_line(found: Found) -> Diagnostic:
    """Return what to say of an operator that ends a line behind which another statement begins."""
    operator = found.statement[-2]
    return _error(found, "missing-value", f"a value is missing behind '{operator}'", _span(found, operator))


def bracket_left_open(found: Found) -> bool:
    """Say whether the text goes on as if the innermost bracket had been closed on a line before."""
    if not found.brackets:
        return False
    kind = found.token.type
    if kind in ("$END", "RBRACE"):
        return True
    offset = found.token.start_pos
    return (
        at_line_start(found.source.text, offset) and _STATEMENT.match(found.source.text, offset) is not None
    )


def explain(found: Found) -> Diagnostic:
    """Return what to say of a token that may not stand where it stands."""
    for words in (_of_slips, _of_brackets, _of_statements, _of_values):
        diagnostic = None if found.cell and words is _of_statements else words(found)
        if diagnostic is not None:
            return diagnostic
    if found.token.type == "$END":
        return _error(found, "unexpected-end", "the text ends in the middle of a statement", _behind(found))
    return _error(found, "unexpected-text", f"{_shown(found.token)} does not belong here", _here(found))


def _of_slips(found: Found) -> Diagnostic | None:
    token = found.token
    for slip in (*found.statement, token):
        if slip.type in SLIPS:
            code, message, help = explain_slip(slip.type, str(slip))
            return _error(found, code, message, _span(found, slip), help)
    text = found.source.text
    if found.cell and token.type == "COMMA" and not found.brackets and found.previous is not None:
        comma = token.start_pos
        digits = re.compile(r"\d*").match(text, comma + 1)
        number = f"{found.previous},{digits[0] if digits else ''}"
        if number[0].isdigit() and number[-1].isdigit():
            code, message, help = explain_slip("DECIMAL_COMMA", number)
            start = found.previous.start_pos
            return _error(found, code, message, Span(found.source.path, start, start + len(number)), help)
    if token.type == "TIMES" and text.startswith("//", token.start_pos):
        return _error(found, "unexpected-text", "// begins no comment here", _here(found), "write #")
    return None


def _of_brackets(found: Found) -> Diagnostic | None:
    token = found.token
    if bracket_left_open(found):
        opener = found.brackets[-1]
        where = (
            f"the {'cell' if found.cell else 'text'} ends here"
            if token.type == "$END"
            else "the next statement begins here"
        )
        if token.type == "RBRACE":
            where = "the block ends here"
        return _error(
            found,
            "unclosed-bracket",
            f"this '{opener}' is not closed",
            _span(found, opener),
            f"write {CLOSERS[str(opener)]} where it ends",
            (Label(_here(found), where),),
        )
    if token.type == "RBRACE" and not found.braces:
        return _error(found, "extra-brace", "this '}' closes nothing", _here(found), "leave it out")
    if token.type == "COMMA" and not found.brackets and not found.braces and not found.cell:
        return _error(
            found,
            "unexpected-text",
            "a comma ends statements inside braces only",
            _here(found),
            "put each statement on a line of its own",
        )
    if token.type in ("RPAR", "RSQB"):
        if not found.brackets:
            return _error(
                found, "extra-bracket", f"this '{token}' closes nothing", _here(found), "leave it out"
            )
        opener = found.brackets[-1]
        if CLOSERS[str(opener)] != str(token):
            return _error(
                found,
                "mismatched-bracket",
                f"'{token}' does not close '{opener}'",
                _here(found),
                f"write {CLOSERS[str(opener)]}",
                (Label(_span(found, opener), "opened here"),),
            )
    return None


def _of_statements(found: Found) -> Diagnostic | None:
    token, statement = found.token, found.statement
    word = str(token)
    kinds = [one.type for one in statement[:3]]
    if not kinds:
        return _of_first_words(found)
    first = statement[0]
    if kinds == ["LET"] and token.type == "EQUALS":
        return _error(
            found, "missing-name", "a name is missing behind 'let'", _span(found, first), "write let NAME = …"
        )
    if kinds[0] in ("MAKE", "RECIPE") and (of_recipes := _of_recipes(found)) is not None:
        return of_recipes
    if len(kinds) == 1 and kinds[0] in _KEYWORDS and token.type == "EQUALS":
        return _error(
            found,
            "reserved-word",
            f"{quote(first)} begins a statement and cannot be a name",
            _span(found, first),
            f"call it something else, {first}_1 for instance",
        )
    if kinds == ["NAME"]:
        return _of_second_words(found)
    if kinds == ["NAME", "NAME"] and len(statement) == 2:
        if token.type == "EQUALS":
            return _error(
                found,
                "unexpected-text",
                f"a property has one name, '{short(first)} {short(statement[1])}' are two",
                _span(found, first, statement[1]),
                f"write {short(statement[1])} = … inside the braces of a {short(first)}",
            )
        return _error(
            found,
            "missing-brace",
            f"'{short(first)} {short(statement[1])}' has no braces",
            _span(found, first, statement[1]),
            f"write {short(first)} {short(statement[1])} {{ }}",
        )
    if token.type == "EQUALS" and "COMPARE" in found.expected and not found.brackets:
        return _error(
            found, "single-equals", "a comparison is written with two signs", _here(found), "write =="
        )
    if "_NL" in found.expected and not found.brackets and (token.type == "NAME" or token.type in _KEYWORDS):
        if word in ("x", "X"):
            return _error(found, "unexpected-text", f"'{word}' joins no sizes here", _here(found), "write by")
        return (_of_units(found) if word in UNITS else None) or explain_neighbour(found)
    return None


def _of_units(found: Found) -> Diagnostic | None:
    """Return what to say of a unit that stands behind what takes none."""
    token, previous, text = found.token, found.previous, found.source.text
    equals = re.compile(r"[ \t]*=(?!=)").match(text, token.end_pos)
    if equals and found.statement[0].type in ("REQUIRE", "GIVEN"):
        place = Span(found.source.path, equals.end() - 1, equals.end())
        return _error(found, "single-equals", "a comparison is written with two signs", place, "write ==")
    if equals or previous is None:
        return None
    if previous.type == "RSQB":
        return _error(found, "unexpected-text", f"there is nothing here for the unit '{token}'", _here(found))
    if previous.type == "RPAR":
        return _error(
            found,
            "unexpected-text",
            f"the unit '{token}' stands behind what has its own units",
            _here(found),
            "write the unit behind each value in the brackets",
        )
    return None


def _of_recipes(found: Found) -> Diagnostic | None:
    """Return what to say of the head of a `recipe` or a `make` that is written in another way."""
    token, kinds = found.token, [one.type for one in found.statement]
    name = str(found.statement[1]) if kinds[1:] == ["NAME"] else ""
    if kinds[0] == "RECIPE" and name and token.type == "LBRACE":
        return _error(
            found,
            "unexpected-text",
            "the parameters of a recipe stand in brackets, where it has none, too",
            _here(found),
            f"write recipe {short(name)}() {{",
        )
    if kinds[0] == "MAKE" and name and token.type in ("EQUALS", "LPAR", "LBRACE"):
        other = re.compile(r"=[ \t]*([A-Za-z]\w*)").match(found.source.text, token.start_pos)
        recipe, made = (short(other[1]), short(name)) if other else (short(name), "NAME")
        return _error(
            found,
            "unexpected-text",
            "a make names the recipe, then what it makes, and gives the values in braces",
            _here(found),
            f"write make {recipe} {made} {{ … }}",
        )
    return None


def _of_first_words(found: Found) -> Diagnostic | None:
    token = found.token
    word = str(token)
    if (token.type in _OPERATORS or word in ("else", "because")) and found.previous is not None:
        return _error(
            found,
            "operator-on-next-line",
            f"a line cannot start with '{word}'",
            _here(found),
            f"put {word} at the end of the line before",
        )
    if token.type == "$END":
        return None
    if token.type == "LBRACE":
        return _error(
            found, "not-a-statement", "no component stands before this {", _here(found), "write kind name {"
        )
    return _error(
        found,
        "not-a-statement",
        f"no statement begins with {_shown(token)}",
        _here(found),
        "write name = value, or kind name { }",
    )


def _of_second_words(found: Found) -> Diagnostic:
    token, first = found.token, found.statement[0]
    word = str(first)
    if token.type in _ENDS:
        if word in UNITS:
            return _error(
                found,
                "unit-on-next-line",
                f"the unit '{word}' stands on a line of its own",
                _span(found, first),
                f"put {word} behind its number",
            )
        if word in ("else", "because"):
            return _of_misplaced(found, first)
        return _error(
            found,
            "incomplete-statement",
            f"{quote(word)} alone says nothing",
            _span(found, first),
            f"write {short(word)} = value, or {short(word)} name {{ }}",
        )
    if word in ("else", "because") and token.type == "STRING":
        return _of_misplaced(found, first)
    if token.type == "COMPARE":
        return _error(
            found, "unexpected-text", f"'{token}' gives no value", _here(found), f"write {short(word)} ="
        )
    if token.type == "DOT":
        return _error(
            found,
            "dotted-statement",
            "a statement gives no value to another component's property",
            _here(found),
            f"write it inside the braces of {short(word)}; what must be equal is a given",
        )
    line_end = found.source.text.find("\n", token.start_pos)
    if (
        token.type == "NUMBER"
        and "{" in found.source.text[token.start_pos : line_end if line_end > 0 else None]
    ):
        return _error(
            found,
            "missing-name",
            f"{_shown(token)} begins no name",
            _here(found),
            "names begin with a letter",
        )
    return _error(
        found,
        "missing-equals",
        f"an '=' is missing between {quote(word)} and {_shown(token)}",
        Span(found.source.path, first.start_pos, max(token.end_pos, first.end_pos)),
        f"write {short(word)} = {short(str(token).strip())}",
    )


def _of_misplaced(found: Found, word: Token) -> Diagnostic:
    return _error(
        found,
        "operator-on-next-line",
        f"a line cannot start with '{word}'",
        _span(found, word),
        f"put {word} on the line of its statement",
    )


def _of_values(found: Found) -> Diagnostic | None:
    token, previous = found.token, found.previous
    if token.type == "EQUALS" and previous is not None and previous.type in ("BY", "TO"):
        return explain_neighbour(found._replace(token=previous))
    if "NUMBER" in found.expected and previous is not None:
        if token.type in _ENDS:
            return _error(
                found,
                "missing-value",
                f"a value is missing behind {_shown(previous)}",
                _span(found, previous),
                "write auto where the solver is to find it" if previous.type == "EQUALS" else "",
            )
        return _error(found, "unexpected-text", f"a value must stand here, not {_shown(token)}", _here(found))
    if found.brackets and "COMMA" in found.expected and token.type not in _ENDS:
        return _error(
            found,
            "missing-comma",
            f"a comma is missing before {_shown(token)}",
            _here(found),
            f"separate what stands in '{found.brackets[-1]}' by commas",
        )
    if "CODE" in found.expected:
        return _error(
            found,
            "missing-name",
            "a warning's code is missing behind accept",
            _here(found),
            "write it as the warning shows it, in lower case with dashes",
        )
    if "STRING" in found.expected and len(found.expected) <= 3 and previous is not None:
        return _error(
            found,
            "missing-value",
            f"a text in double quotes is missing behind {_shown(previous)}",
            _span(found, previous),
            f'write {previous} "…"',
        )
    if "NAME" in found.expected and len(found.expected) <= 3 and previous is not None:
        word = str(token)
        if word in RESERVED:
            return _error(
                found,
                "reserved-word",
                f"'{word}' {RESERVED[word]} and cannot be a name",
                _here(found),
                f"call it something else, {word}_1 for instance",
            )
        return _error(
            found, "missing-name", f"a name is missing behind {_shown(previous)}", _span(found, previous)
        )
    return None


def _error(
    found: Found, code: str, message: str, span: Span, help: str = "", labels: tuple[Label, ...] = ()
) -> Diagnostic:
    return Diagnostic(code, "error", message, span, labels, help)


def _span(found: Found, first: Token, last: Token | None = None) -> Span:
    return Span(found.source.path, first.start_pos, (last or first).end_pos)


def _here(found: Found) -> Span:
    """The token; a line's end and the text's end are the place just behind the last token."""
    if found.token.type in ("_NL", "$END"):
        return _behind(found)
    return _span(found, found.token)


def _behind(found: Found) -> Span:
    end = found.previous.end_pos if found.previous is not None else 0
    return Span(found.source.path, end, end)


def _shown(token: Token) -> str:
    if token.type == "_NL":
        return "the end of the line"
    if token.type == "$END":
        return "the end of the text"
    return quote(str(token).split("\n", 1)[0].rstrip("\r"))
