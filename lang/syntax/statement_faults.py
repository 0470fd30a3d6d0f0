"""The words for statements that begin, go on or break off as none does."""

import re

from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.source import Span
from ringwright.lang.syntax.found import ENDS, Found, shown
from ringwright.lang.syntax.skipping import indent
from ringwright.lang.syntax.slips import quote, short
from ringwright.lang.syntax.tokens import Token
from ringwright.lang.units import UNITS

_OPERATORS = ("PLUS", "TIMES", "POWER", "COMPARE", "PLUS_MINUS")
_DASHED = re.compile(r"([A-Za-z][A-Za-z0-9_]*([-.][A-Za-z0-9_]+)+)[ \t]*\{")
# `title = Marsh Heron, low-wing`: a text that goes on behind a comma as no list of properties does.
_BARE_TEXT = re.compile(
    r"[ \t]*([A-Za-z]\w*)[ \t]*=[ \t]*([A-Za-z][^\"=|#{}()\[\]\r\n]*[^\"=|#{}()\[\]\s])[ \t]*$", re.M
)
_TO_ITS_END = re.compile(r"[^,#{}\r\n]+")
# The kinds of components, by which a head without its brace is told from a property without its '='.
KINDS = frozenset((
    "allowance", "balance", "barrel", "body", "buy", "cone", "cones", "control", "cutting", "deck", "dome",
    "fin", "floor", "former", "formers", "hole", "holes", "joiner", "load", "model", "offcut", "offsets",
    "panel", "piece", "plate", "printing", "ring", "saddle", "score", "section", "side", "slot", "spar",
    "splice", "stack", "station", "step", "stock", "strip", "tail", "thrust", "wing", "wrap",
))  # fmt: skip
_EQUALS = re.compile(r"[ \t]*=(?!=)")
_KEYWORDS = ("USE", "LET", "REQUIRE", "GIVEN", "ACCEPT", "RECIPE", "MAKE")


def explain_neighbour(found: Found) -> Diagnostic:
    """Return what to say of a word that begins a second statement on a line."""
    if found.token in ("by", "to") and not _EQUALS.match(found.source.text, found.token.end_pos):
        what, help = (
            ("size", "three lengths are a point: (70 mm, 35 mm, 22 mm)")
            if found.token == "by"
            else ("range", "write its two ends only")
        )
        return found.error("unexpected-text", f"a {what} has two values, not three", found.here(), help)
    return found.error(
        "one-statement-a-line",
        f"{quote(found.token)} begins another statement on the same line",
        found.here(),
        "put it on a line of its own" + (", or a comma before it" if found.braces else ""),
    )


def explain_open_line(found: Found) -> Diagnostic:
    """Return what to say of an operator that ends a line behind which another statement begins."""
    operator = found.statement[-2]
    return found.error("missing-value", f"a value is missing behind '{operator}'", found.over(operator))


def of_statements(found: Found) -> Diagnostic | None:
    """Return what to say of a statement that goes wrong here; None where it is something else that does."""
    token, statement = found.token, found.statement
    word = str(token)
    kinds = [one.type for one in statement[:3]]
    if not kinds:
        return _of_first_words(found)
    first = statement[0]
    if kinds == ["LET"] and token.type == "EQUALS":
        return found.error(
            "missing-name", "a name is missing behind 'let'", found.over(first), "write let NAME = …"
        )
    if kinds[0] in ("MAKE", "RECIPE") and (of_recipes := _of_recipes(found)) is not None:
        return of_recipes
    if len(kinds) == 1 and kinds[0] in _KEYWORDS and token.type == "EQUALS":
        return found.error(
            "reserved-word",
            f"{quote(first)} begins a statement and cannot be a name",
            found.over(first),
            f"call it something else, {first}_1 for instance",
        )
    if kinds == ["NAME"]:
        return _of_second_words(found)
    if kinds == ["LET", "NAME"] and token.type in ENDS:
        name = statement[1]
        return found.error(
            "missing-value", f"{quote(name)} has no value", found.over(name), f"write let {short(name)} = …"
        )
    if kinds == ["NAME", "NAME"] and len(statement) == 2:
        if token.type != "EQUALS" and not _may_be_kind(first) and token.type != "LBRACE":
            return _of_no_equals(found, first, statement[1])
        if token.type == "EQUALS":
            return found.error(
                "unexpected-text",
                f"a property has one name, '{short(first)} {short(statement[1])}' are two",
                found.over(first, statement[1]),
                f"write {short(statement[1])} = … inside the braces of a {short(first)}",
            )
        return found.error(
            "missing-brace",
            f"'{short(first)} {short(statement[1])}' has no {'opening brace' if (opened := opens_block(found)) else 'braces'}",
            found.over(first, statement[1]),
            f"write {short(first)} {short(statement[1])} {{{'' if opened else ' }'}",
        )
    if token.type == "EQUALS" and "COMPARE" in found.expected and not found.brackets:
        return found.error(
            "single-equals", "a comparison is written with two signs", found.here(), "write =="
        )
    if "_NL" in found.expected and not found.brackets and (token.type == "NAME" or token.type in _KEYWORDS):
        if first.type in ("REQUIRE", "GIVEN"):
            # Behind a bare number the word comes as its unit.
            joint = next((one for one in (token, found.previous) if str(one) in ("and", "or")), None)
            if joint is not None:
                help = "write two statements" if joint == "and" else "each statement compares two values"
                return found.error(
                    "unexpected-text", f"'{joint}' joins no comparisons", found.over(joint), help
                )
        if word in ("x", "X"):
            return found.error("unexpected-text", f"'{word}' joins no sizes here", found.here(), "write by")
        return (_of_units(found) if word in UNITS else None) or explain_neighbour(found)
    return None


def _of_units(found: Found) -> Diagnostic | None:
    """Return what to say of a unit that stands behind what takes none."""
    token, previous, text = found.token, found.previous, found.source.text
    equals = _EQUALS.match(text, token.end_pos)
    if equals and found.statement[0].type in ("REQUIRE", "GIVEN"):
        place = Span(found.source.path, equals.end() - 1, equals.end())
        return found.error("single-equals", "a comparison is written with two signs", place, "write ==")
    if equals or previous is None:
        return None
    if previous.type == "RSQB":
        return found.error("unexpected-text", f"there is nothing here for the unit '{token}'", found.here())
    if previous.type == "RPAR":
        return found.error(
            "unexpected-text",
            f"the unit '{token}' behind the brackets of a function is none of its values'",
            found.here(),
            "write the unit behind each length in the brackets",
        )
    return None


def _of_recipes(found: Found) -> Diagnostic | None:
    """Return what to say of the head of a `recipe` or a `make` that is written in another way."""
    token, kinds = found.token, [one.type for one in found.statement]
    name = str(found.statement[1]) if kinds[1:] == ["NAME"] else ""
    if kinds[0] == "RECIPE" and name and token.type == "LBRACE":
        return found.error(
            "unexpected-text",
            "the parameters of a recipe stand in brackets, where it has none, too",
            found.here(),
            f"write recipe {short(name)}() {{",
        )
    if kinds[0] == "MAKE" and name and token.type in ("EQUALS", "LPAR", "LBRACE"):
        other = re.compile(r"=[ \t]*([A-Za-z]\w*)").match(found.source.text, token.start_pos)
        recipe, made = (short(other[1]), short(name)) if other else (short(name), "NAME")
        return found.error(
            "unexpected-text",
            "a make names the recipe, then what it makes, and gives the values in braces",
            found.here(),
            f"write make {recipe} {made} {{ … }}",
        )
    return None


def _of_first_words(found: Found) -> Diagnostic | None:
    token = found.token
    word = str(token)
    if (token.type in _OPERATORS or word in ("else", "because")) and found.previous is not None:
        return found.error(
            "operator-on-next-line",
            f"a line cannot start with '{word}'",
            found.here(),
            f"put {word} at the end of the line before",
        )
    if token.type == "$END":
        return None
    if token.type == "LBRACE":
        return found.error(
            "not-a-statement", "no component stands before this {", found.here(), "write kind name {"
        )
    return found.error(
        "not-a-statement",
        f"no statement begins with {shown(token)}",
        found.here(),
        "write name = value, or kind name { }",
    )


def _of_second_words(found: Found) -> Diagnostic:
    token, first = found.token, found.statement[0]
    word = str(first)
    if token.type in ENDS:
        if word in UNITS:
            return found.error(
                "unit-on-next-line",
                f"the unit '{word}' stands on a line of its own",
                found.over(first),
                f"put {word} behind its number",
            )
        if word in ("else", "because"):
            return _of_misplaced(found, first)
        return found.error(
            "incomplete-statement",
            f"{quote(word)} alone says nothing",
            found.over(first),
            f"write {short(word)} = value, or {short(word)} name {{ }}",
        )
    if word in ("else", "because") and token.type == "STRING":
        return _of_misplaced(found, first)
    if token.type == "COMPARE":
        return found.error(
            "unexpected-text", f"'{token}' gives no value", found.here(), f"write {short(word)} ="
        )
    if token.type == "DOT":
        return found.error(
            "dotted-statement",
            "a statement gives no value to another component's property",
            found.here(),
            f"write it inside the braces of {short(word)}; what must be equal is a given",
        )
    line_end = found.source.text.find("\n", token.start_pos)
    has_brace = "{" in found.source.text[token.start_pos : line_end if line_end > 0 else None]
    if token.type == "STRING" and has_brace and _may_be_kind(first):
        word_of = str(token)[1:-1].strip()
        name = re.sub(r"\W+", "_", word_of, flags=re.ASCII).strip("_") if word_of.isascii() else ""
        return found.error(
            "missing-name",
            f"the name of a component stands without quotes: {quote(word_of)}",
            found.over(token),
            f"write {short(word)} {short(name)} {{"
            if name[:1].isalpha()
            else "names have the letters a to z, digits and _",
        )
    if token.type == "NUMBER" and has_brace:
        return found.error(
            "missing-name", f"{shown(token)} begins no name", found.here(), "names begin with a letter"
        )
    return _of_no_equals(found, first, token)


def _of_no_equals(found: Found, name: Token, value: Token) -> Diagnostic:
    text = found.source.text
    start = text.rfind("\n", 0, name.start_pos) + 1
    bare = _BARE_TEXT.match(text, start) if value.type == "PLUS" else None
    if bare is not None and name.start_pos > bare.start(2):
        place = Span(found.source.path, *bare.span(2))
        return found.error(
            "unexpected-text",
            "a text stands in quotes",
            place,
            f'write {short(bare[1])} = "{short(bare[2])}"',
        )
    whole = _TO_ITS_END.match(text, value.start_pos)
    written = " ".join(whole[0].split()) if whole is not None and value.type != "STRING" else str(value)
    return found.error(
        "missing-equals",
        f"an '=' is missing between {quote(name)} and {shown(value)}",
        Span(found.source.path, name.start_pos, max(value.end_pos, name.end_pos)),
        f"write {short(name)} = {short(written.strip())}",
    )


def _may_be_kind(word: Token) -> bool:
    return word in KINDS or suggest(word, KINDS) is not None


def of_names(found: Found) -> Diagnostic | None:
    """Return what to say of a component's name such as F-7 or F.2; None where it is something else that goes wrong."""
    if [one.type for one in found.statement] != ["NAME", "NAME"]:
        return None
    begun, sign = found.statement[1], str(found.token)[:1]
    name = _DASHED.match(found.source.text, begun.start_pos)
    if name is None or found.token.start_pos != begun.end_pos:
        return None
    span = Span(found.source.path, begun.start_pos, name.end(1))
    help = f"write {short(re.sub(r'[-.]', '_', name[1]))}"
    return found.error("unexpected-text", f"a name has no '{sign}' in it", span, help)


def opens_block(found: Found) -> bool:
    """Say whether a component's head without its brace is followed by its block, which another brace closes.

    It goes on, and is closed, on the line, or the lines below stand further right down to a closing brace.
    """
    text, start = found.source.text, found.statement[0].start_pos
    line_start = text.rfind("\n", 0, start) + 1
    line_end = text.find("\n", start)
    line = text[found.statement[-1].end_pos : line_end if line_end >= 0 else len(text)].partition("#")[0]
    if line.strip():
        return line.count("}") > line.count("{") + text.count("{", line_start, start)
    own, inner = indent(text, start), False
    if found.braces and indent(text, max(0, found.braces[-1].end_pos - 1)) >= own:
        return False
    for other in text[line_end + 1 :].split("\n") if line_end >= 0 else ():
        if other.strip():
            deep = len(other) - len(other.lstrip(" \t"))
            if deep <= own:
                return inner and deep == own and other.strip() == "}"
            inner = True
    return False


def _of_misplaced(found: Found, word: Token) -> Diagnostic:
    return found.error(
        "operator-on-next-line",
        f"a line cannot start with '{word}'",
        found.over(word),
        f"put {word} on the line of its statement",
    )
