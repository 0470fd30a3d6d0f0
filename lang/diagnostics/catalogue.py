"""All codes that a diagnostic can have, one line each: its severity and what it means.

A new fault is one more line here; a test finds codes that are used and not listed, and listed and not used.
"""

from collections.abc import Mapping
from typing import NamedTuple


class Entry(NamedTuple):
    """severity: 'error', 'warning' or 'note'. meaning: one sentence without a full stop."""

    severity: str
    meaning: str


_LINES = (
    # -- files and their characters
    ("file-too-large", "error", "a file is larger than what is read, 8 MB"),
    ("forbidden-character", "error", "a character that does not show, or changes how the text looks"),
    ("missing-file", "error", "a file that is used does not exist"),
    ("not-utf8", "error", "a file holds bytes that are no UTF-8"),
    ("outside-project", "error", "a file lies outside the project's folder"),
    ("too-many-files", "error", "a spec uses more files than are read"),
    ("unreadable-file", "error", "a file cannot be read"),
    ("use-cycle", "error", "files use one another in a circle"),
    # -- numbers and units as they are written
    ("bad-number", "error", "what begins with a digit is no number that can be measured"),
    ("decimal-comma", "error", "a number is written with a decimal comma"),
    ("diameter-mark", "error", "a diameter is marked with a sign instead of its name"),
    ("foot-mark", "error", "feet are written with a prime instead of ft"),
    ("fraction-sign", "error", "a fraction is written as one sign, as ½"),
    ("inch-mark", "error", "inches are written with a double prime instead of in"),
    ("mixed-fraction", "error", "a mixed fraction is written with a dash instead of a blank"),
    ("number-too-long", "error", "a number has more than 64 characters"),
    ("unknown-unit", "error", "there is no such unit"),
    # -- how statements are written
    ("bad-column", "error", "a column of a table has no head that can be read"),
    ("bad-escape", "error", "a backslash in a string stands before another character than \" and \\"),
    ("brace-on-next-line", "error", "the brace that opens a block stands on a line of its own"),
    ("dotted-statement", "error", "a statement gives a value to another component's property"),
    ("extra-brace", "error", "a closing brace closes nothing"),
    ("extra-bracket", "error", "a closing bracket closes nothing"),
    ("given-needs-equality", "error", "a given states something else than that two things are equal"),
    ("incomplete-statement", "error", "a name stands alone on its line"),
    ("measured-name", "error", "@ stands before a name, which would be scaled twice"),
    ("mismatched-bracket", "error", "a bracket is closed by one of another form"),
    ("missing-brace", "error", "a component has no braces"),
    ("missing-comma", "error", "a comma is missing between two values"),
    ("missing-equals", "error", "an = is missing between a name and its value"),
    ("missing-name", "error", "a name is missing"),
    ("missing-value", "error", "a value is missing"),
    ("not-a-statement", "error", "a line begins with what begins no statement"),
    ("one-statement-a-line", "error", "two statements stand on one line"),
    ("operator-on-next-line", "error", "a line starts with an operator"),
    ("ragged-row", "error", "a row of a table has more or fewer cells than its head"),
    ("reserved-word", "error", "a word of the language, or a unit, is used as a name"),
    ("row-not-closed", "error", "a row of a table does not end with a bar"),
    ("single-equals", "error", "a comparison is written with one sign"),
    ("too-deep", "error", "something is nested more than 200 deep"),
    ("unclosed-brace", "error", "a block is not closed"),
    ("unclosed-bracket", "error", "a bracket is not closed"),
    ("unexpected-character", "error", "a character that has no meaning here"),
    ("unexpected-end", "error", "the text ends in the middle of a statement"),
    ("unexpected-text", "error", "what stands here does not belong here"),
    ("unit-on-next-line", "error", "a unit stands on the line after its number"),
    ("unterminated-string", "error", "a string is not closed on its line"),
    # -- names, kinds and properties
    ("ambiguous-name", "error", "a name means two things at once"),
    ("circular-value", "error", "values are given by means of one another, in a circle"),
    ("given-twice", "error", "something is given twice"),
    ("hidden-name", "note", "a name hides the same name further out"),
    ("misplaced", "error", "a statement stands where it has no meaning"),
    ("missing-property", "error", "a component lacks what its kind needs"),
    ("name-taken", "error", "a name is taken already"),
    ("no-model", "error", "a spec has no model"),
    ("no-table-here", "error", "a component that takes no table has one"),
    ("not-in-this-version", "error", "a word is reserved for a later version of the language"),
    ("not-known", "error", "a dimension is used that nothing says"),
    ("unknown-function", "error", "there is no such function"),
    ("unknown-kind", "error", "there is no such kind of component"),
    ("unknown-name", "error", "nothing has this name"),
    ("unknown-property", "error", "the kind has no such property"),
    ("unknown-word", "error", "a property takes one of a few words, and this is none of them"),
    # -- values and dimensions
    ("missing-unit", "error", "a number needs a unit"),
    ("mixed-marks", "warning", "a component has lengths that follow the plan's scale and some that do not"),
    ("not-a-comparison", "error", "a require holds something else than a comparison"),
    ("not-a-number", "error", "a sum has no finite result"),
    ("not-a-value", "error", "a quantity is wanted where none stands"),
    ("not-finite", "error", "a dimension has no finite value"),
    ("plan-scale", "error", "the plan's scale cannot be used"),
    ("requirement", "error", "a require does not hold"),
    ("scale-direction", "error", "a plan stretched one way, and a length that may run either way"),
    ("scale-misplaced", "error", "@ marks what is no length"),
    ("unit-mismatch", "error", "quantities of different dimensions are put together"),
    ("wrong-arguments", "error", "a function is given other values than it takes"),
    ("wrong-type", "error", "a value of another sort is wanted here"),
    # -- solving
    ("impossible-dimension", "error", "a dimension comes out beyond what can be built"),
    ("no-solution", "error", "no values satisfy all that is said"),
    ("one-way", "error", "an unknown stands behind a function that is evaluated one way only"),
    ("over-determined", "error", "statements disagree"),
    ("too-many-tied", "error", "more unknowns depend on one another than can be solved at once"),
    ("two-solutions", "error", "two different designs satisfy all that is said"),
    ("under-determined", "error", "something is missing to settle a dimension"),
    # -- stacks and rings
    ("diameters-differ", "error", "two elements meet with different diameters"),
    ("empty-stack", "error", "a stack has no elements"),
    ("impossible-cone", "error", "no cone has these dimensions"),
    ("no-direction", "error", "nothing says which way a stack runs"),
    ("no-neighbour", "error", "a plate has no element to sit in"),
    ("plate-too-thick", "error", "a plate reaches through the element that it sits in"),
    ("seam-too-wide", "error", "a seam is too wide for its ring"),
    ("sheet-too-small", "error", "a ring fits its sheet in no number of pieces"),
    ("tight-bend", "warning", "a sheet is bent more tightly than it takes"),
    ("too-few-pieces", "error", "a blank would overlap itself"),
    ("wall-too-thick", "error", "a wall leaves nothing inside"),
    # -- shapes and openings
    ("beyond-line", "error", "a place lies beyond the end of its line"),
    ("corner-too-big", "error", "a rounded corner does not fit its rectangle"),
    ("crosses-itself", "error", "an outline crosses itself"),
    ("gap-closes", "error", "an outset closes a gap in its outline"),
    ("hole-form", "error", "a hole's form is not said in one way"),
    ("hole-inside", "error", "an outline lies within the one that it is joined with"),
    ("hole-outside", "error", "a hole leaves nothing around it"),
    ("hollow-superellipse", "error", "a superellipse's power is 1 or less"),
    ("inset-too-deep", "error", "an inset leaves nothing of its outline"),
    ("left-of-centre", "error", "a half outline has points on its other side"),
    ("no-area", "error", "an outline has no area"),
    ("no-length", "error", "a path has no length"),
    ("no-size", "error", "a size is not above 0"),
    ("nothing-left", "error", "nothing is left of two outlines"),
    ("places-not-in-order", "error", "the stations of a line do not follow one another"),
    ("score-outside", "error", "a score runs over its part's edge"),
    ("slot-width", "error", "a slot's width is not said in one way"),
    ("thin-rim", "warning", "little is left between an opening and what it lies beside"),
    ("too-few-points", "error", "a shape has too few points"),
    ("waist-too-narrow", "error", "an inset cuts its outline in pieces"),
    # -- mass and sheets
    ("ballast-at-target", "error", "ballast lies where it can move nothing"),
    ("no-mass", "error", "nothing has both a mass and a place"),
    ("part-too-big", "error", "a part does not fit its sheet"),
)  # fmt: skip

CATALOGUE: Mapping[str, Entry] = {code: Entry(severity, meaning) for code, severity, meaning in _LINES}
