"""The words for what the parser did not expect: which mistake it probably was, and what to write instead."""

import re

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.source import Source, Span
from ringwright.lang.syntax.found import ENDS, Found, shown
from ringwright.lang.syntax.node_builder import RESERVED
from ringwright.lang.syntax.skipping import at_line_start
from ringwright.lang.syntax.slips import CHARACTERS, SLIPS, explain_slip, short
from ringwright.lang.syntax.statement_faults import explain_neighbour, of_names, of_statements
from ringwright.lang.syntax.tokens import Token
from ringwright.lang.units import find_unit

_STATEMENT = re.compile(r'[A-Za-z]\w*[ \t]*(=(?!=)|\{|[A-Za-z"])|[}|]')
_QUOTED = re.compile(r"['‘“„]([^'‘’“”„\"\r\n]{1,64})['’”“]")
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
_UNIT = re.compile(r"[ \t]*([A-Za-z]+)")
_RATIO = re.compile(r"[^\r\n]*?=[ \t]*([0-9]+(?:\.[0-9]+)?)[ \t]*:[ \t]*([0-9]+(?:\.[0-9]+)?)")
_SEAMS = ("lap", "flap", "strap")
_WIDTH = re.compile(r"[0-9][0-9./ \t]*[a-z]*")
_ACCEPTED = re.compile(r"accept[ \t]+([a-z0-9-]*)$")
CLOSERS = {"(": ")", "[": "]", "{": "}"}


def explain_character(source: Source, offset: int) -> Diagnostic:
    """Return what to say of a character that no token begins with."""
    character = source.text[offset]
    span = Span(source.path, offset, offset + 1)
    quoted = _QUOTED.match(source.text, offset)
    if quoted is not None:
        whole = Span(source.path, offset, quoted.end())
        name = f"; a name has no quotes: {quoted[1]}" if _NAME.fullmatch(quoted[1]) else ""
        help = f'write "{short(quoted[1])}"{name}'
        return Diagnostic("unexpected-character", "error", "strings stand in double quotes", whole, (), help)
    ratio = _RATIO.match(source.text, source.text.rfind("\n", 0, offset) + 1)
    if character == ":" and ratio is not None and ratio.start(2) == offset + 1:
        whole = Span(source.path, ratio.start(1), ratio.end())
        help = (
            f"write {ratio[1]} / {ratio[2]} or {ratio[2]} / {ratio[1]}: what is made over what was measured"
        )
        return Diagnostic("unexpected-character", "error", "a ratio is written with a /", whole, (), help)
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
    if character.isascii():
        return Diagnostic("unexpected-character", "error", f"'{character}' does not belong here", span)
    # Shown by its number as well: it may look like another, or not show at all.
    message = f"'{character}' (U+{ord(character):04X}) does not belong here"
    help = "names have the letters a to z, digits and _" if character.isalnum() else ""
    return Diagnostic("unexpected-character", "error", message, span, (), help)


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
    for words in (of_names, _of_slips, _of_brackets, of_statements, _of_values):
        diagnostic = None if found.cell and words is of_statements else words(found)
        if diagnostic is not None:
            return diagnostic
    if found.token.type == "$END":
        return found.error("unexpected-end", "the text ends in the middle of a statement", found.behind())
    return found.error("unexpected-text", f"{shown(found.token)} does not belong here", found.here())


def _of_slips(found: Found) -> Diagnostic | None:
    token = found.token
    for slip in (*found.statement, token):
        if slip.type in SLIPS:
            code, message, help = explain_slip(slip.type, str(slip))
            return found.error(code, message, found.over(slip), help)
    text = found.source.text
    if found.cell and token.type == "COMMA" and not found.brackets and found.previous is not None:
        comma = token.start_pos
        digits = re.compile(r"[0-9]*").match(text, comma + 1)
        number = f"{found.previous},{digits[0] if digits else ''}"
        if number[0].isdigit() and number[-1].isdigit():
            code, message, help = explain_slip("DECIMAL_COMMA", number)
            start = found.previous.start_pos
            return found.error(code, message, Span(found.source.path, start, start + len(number)), help)
    if token.type == "TIMES" and text.startswith("//", token.start_pos):
        return found.error("unexpected-text", "// begins no comment here", found.here(), "write #")
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
        return found.error(
            "unclosed-bracket",
            f"this '{opener}' is not closed",
            found.over(opener),
            f"write {CLOSERS[str(opener)]} where it ends",
            (Label(found.here(), where),),
        )
    if token.type == "RBRACE" and not found.braces:
        return found.error("extra-brace", "this '}' closes nothing", found.here(), "leave it out")
    if token.type == "COMMA" and not found.brackets and not found.braces and not found.cell:
        return found.error(
            "unexpected-text",
            "a comma ends statements inside braces only",
            found.here(),
            "put each statement on a line of its own",
        )
    if token.type in ("RPAR", "RSQB"):
        if not found.brackets:
            return found.error(
                "extra-bracket", f"this '{token}' closes nothing", found.here(), "leave it out"
            )
        opener = found.brackets[-1]
        if CLOSERS[str(opener)] != str(token):
            return found.error(
                "mismatched-bracket",
                f"'{token}' does not close '{opener}'",
                found.here(),
                f"write {CLOSERS[str(opener)]}",
                (Label(found.over(opener), "opened here"),),
            )
    return None


def _of_values(found: Found) -> Diagnostic | None:
    token, previous = found.token, found.previous
    if token.type == "EQUALS" and previous is not None and previous.type in ("BY", "TO"):
        return explain_neighbour(found._replace(token=previous))
    if "NUMBER" in found.expected and previous is not None:
        if token.type in ENDS:
            return found.error(
                "missing-value",
                f"a value is missing behind {shown(previous)}",
                found.over(previous),
                "write auto where the solver is to find it" if previous.type == "EQUALS" else "",
            )
        return found.error("unexpected-text", f"a value must stand here, not {shown(token)}", found.here())
    if previous in _SEAMS and token.type in ("NUMBER", "INTEGER", "FRACTION", "MIXED"):
        whole = _WIDTH.match(found.source.text, token.start_pos)
        width = " ".join(whole[0].split()) if whole else str(token)
        return found.error(
            "unexpected-text",
            f"the width of a {previous} stands in brackets",
            found.here(),
            f"write {previous}({width})",
        )
    if previous is not None and previous.type == "UNIT":
        if previous in ("x", "X"):
            help = "write * for a product, by for a size"
            return found.error(
                "unexpected-text", f"'{previous}' multiplies nothing here", found.over(previous), help
            )
        if (sum_of := _of_two_units(found, previous)) is not None:
            return sum_of
    if found.brackets and "COMMA" in found.expected and token.type not in ENDS:
        return found.error(
            "missing-comma",
            f"a comma is missing before {shown(token)}",
            found.here(),
            f"separate what stands in '{found.brackets[-1]}' by commas",
        )
    if "CODE" in found.expected:
        return found.error(
            "missing-name",
            "a warning's code is missing behind accept",
            found.here(),
            "write it as the warning shows it, in lower case with dashes",
        )
    if "STRING" in found.expected and len(found.expected) <= 3 and previous is not None:
        return found.error(
            "missing-value",
            f"a text in double quotes is missing behind {shown(previous)}",
            found.over(previous),
            f'write {previous} "…"',
        )
    if "NAME" in found.expected and len(found.expected) <= 3 and previous is not None:
        word = str(token)
        if word in RESERVED:
            return found.error(
                "reserved-word",
                f"'{word}' {RESERVED[word]} and cannot be a name",
                found.here(),
                f"call it something else, {word}_1 for instance",
            )
        return found.error(
            "missing-name", f"a name is missing behind {shown(previous)}", found.over(previous)
        )
    return None


def _of_two_units(found: Found, unit: Token) -> Diagnostic | None:
    """Return what to say of `3 ft 2 in`, a sum without its sign; None where the units are the same or no two."""
    token, number = found.token, found.statement[-2] if len(found.statement) > 1 else None
    if number is None or token.type not in ("NUMBER", "INTEGER", "FRACTION", "MIXED"):
        return None
    behind = _UNIT.match(found.source.text, token.end_pos)
    one, other = find_unit(str(unit)), find_unit(behind[1]) if behind else None
    if one is None or other is None or one.dimension != other.dimension or one.factor <= other.factor:
        return None
    text = found.source.text[number.start_pos : behind.end() if behind else token.end_pos]
    first, second = (
        " ".join(part.split()) for part in (f"{number} {unit}", text[len(number) :].split(unit, 1)[1])
    )
    return found.error(
        "unexpected-text", "two measures beside each other are no sum", found.here(), f"write {first} + {second}"
    )  # fmt: skip
