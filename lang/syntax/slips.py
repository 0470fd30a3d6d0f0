"""The words for what people type by habit and this language spells otherwise."""

import math
from collections.abc import Mapping
from typing import NamedTuple

MAX_DEPTH = 200
MAX_NAME = 64
MAX_NUMBER = 64
NEXT_LINE = "NEXT_LINE_"
SLIPS = frozenset(
    (
        "DECIMAL_COMMA",
        "INCH_MARK",
        "FOOT_MARK",
        "DIAMETER_MARK",
        "MIXED_DASH",
        "FRACTION_SIGN",
        "BAD_NUMBER",
        "BAD_STRING",
    )
)

_FRACTIONS = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}


class Slip(NamedTuple):
    """A fault's code, one sentence, and what to write instead."""

    code: str
    message: str
    help: str


def plain_number(text: str) -> float | None:
    """Return the value of `40`, `4.5e-1`, `3/16` or `1 3/16`; None where there is none that is finite."""
    *whole, last = text.split()
    over, slash, under = last.partition("/")
    if slash and int(under) == 0:
        return None
    value = float(whole[0] if whole else 0) + (int(over) / int(under) if slash else float(over))
    return value if math.isfinite(value) else None


def explain_slip(terminal: str, text: str) -> Slip:
    """Return what to say of a token of one of the grammar's slip terminals."""
    if len(text) > MAX_NUMBER and terminal != "BAD_STRING":
        return Slip("number-too-long", f"a number has at most {MAX_NUMBER} characters", "")
    if terminal == "DECIMAL_COMMA":
        return Slip(
            "decimal-comma",
            f"{quote(text)} has a decimal comma",
            f"write {text.replace(',', '.')}, with a point; two values need a blank behind the comma",
        )
    if terminal == "INCH_MARK":
        number = text.rstrip("\"'″”“ \t")
        return Slip("inch-mark", 'inches are not written with " here', f"write {_mixed(number)} in")
    if terminal == "FOOT_MARK":
        number = text.rstrip("'′’ \t")
        return Slip("foot-mark", "feet are not written with ' here", f"write {number} ft")
    if terminal == "DIAMETER_MARK":
        number = text[1:].strip(" \t.,/")
        return Slip(
            "diameter-mark",
            f"there is no '{text[0]}' here: every size has its name",
            f"write diameter = {number or 40} mm"
            if not number.count(",")
            else "write diameter = and the size",
        )
    if terminal == "MIXED_DASH":
        return Slip(
            "mixed-fraction", f"{quote(text)} is a subtraction here", f"write {_mixed(text)}, with a blank"
        )
    if terminal == "FRACTION_SIGN":
        number = f"{text[:-1].strip()} {_FRACTIONS[text[-1]]}".strip()
        return Slip("fraction-sign", f"'{text[-1]}' is not read as a number", f"write {number}")
    if terminal == "BAD_STRING":
        return Slip("unterminated-string", "this string is not closed on its line", 'close it with "')
    return Slip("bad-number", f"{quote(text)} is no number", _number_help(text))


def _mixed(text: str) -> str:
    return " ".join(text.replace("-", " ").split())


def _number_help(text: str) -> str:
    if text.startswith("."):
        return f"write 0{short(text)}"
    if "_" in text:
        return f"write {short(text.replace('_', ''))}"
    if text.endswith(".") and text.count(".") == 1:
        return f"write {text}0 or {text[:-1]}"
    return "a number has one decimal point at most"


def short(text: str) -> str:
    """Return a piece of the text for a message, cut where it is long."""
    return text if len(text) <= 24 else text[:23] + "…"


def quote(text: str) -> str:
    """Return a piece of the text for a message, in quotes and cut where it is long."""
    return f"'{short(text)}'"


# Characters that no token begins with, and what people mean by them.
CHARACTERS: Mapping[str, Slip] = {
    ":": Slip("unexpected-character", "a colon gives no value here", "write name = value"),
    ";": Slip(
        "unexpected-character",
        "a semicolon ends nothing here",
        "a new line ends a statement, inside braces a comma, too",
    ),
    "'": Slip("unexpected-character", "strings stand in double quotes", 'write "…"'),
    "“": Slip("unexpected-character", "strings stand in straight quotes", 'write "…"'),
    "”": Slip("unexpected-character", "strings stand in straight quotes", 'write "…"'),
    "„": Slip("unexpected-character", "strings stand in straight quotes", 'write "…"'),
    "−": Slip("unexpected-character", "this is a typographer's minus sign", "write -"),
    "–": Slip("unexpected-character", "this is a dash, not a minus sign", "write -"),
    "—": Slip("unexpected-character", "this is a dash, not a minus sign", "write -"),
    "×": Slip("unexpected-character", "× is not known here", "write a by b for a size, a * b for a product"),
    "·": Slip("unexpected-character", "· is not known here", "write *"),
    "÷": Slip("unexpected-character", "÷ is not known here", "write /"),
    "≤": Slip("unexpected-character", "≤ is not known here", "write <="),
    "≥": Slip("unexpected-character", "≥ is not known here", "write >="),
    "≠": Slip("unexpected-character", "≠ is not known here", "write !="),
    "!": Slip("unexpected-character", "! stands for nothing by itself", "write != for 'is not equal to'"),
    "&": Slip("unexpected-character", "& is not known here", "two conditions are two require statements"),
    "\N{NO-BREAK SPACE}": Slip("unexpected-character", "this is a no-break space", "write an ordinary blank"),
}
