"""What the solver found wrong, and how it is said to the builder: in lengths and statements, never in
matrices."""

import math
from collections.abc import Callable
from typing import NamedTuple, TypeAlias

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.solve.algebra import evaluate_or_nan, unknowns_of
from ringwright.lang.solve.terms import Equation, Quantity, Share, Unknown
from ringwright.lang.source import Span

Show: TypeAlias = Callable[[str, float], str]
"""Takes a dimension ('length') and a number (mm, rad, g), returns it as the builder reads it ('104 mm')."""

MOST_NAMES = 6
"""Dimensions listed in a sentence; of more, the rest are counted."""

MOST_LABELS = 8
"""Further places shown."""


class Fault(NamedTuple):
    """One thing wrong with a system.

    code: under-determined, over-determined, impossible-dimension, no-solution, two-solutions, one-way,
    too-many-tied, or the code of a GeometryError. quantities: the dimensions it is about, the most telling
    first. values: their values, or the two that disagree, or all solutions. missing: how many dimensions are
    too few. equations: what it follows from: the equation found wanting first, then the statements that drove
    it, nearest first. detail: more words, from the geometry.
    """

    code: str
    quantities: tuple[Quantity, ...]
    values: tuple[float, ...] = ()
    missing: int = 0
    equations: tuple[Equation | Share, ...] = ()
    detail: str = ""


def show_plain(dimension: str, value: float) -> str:
    """Return a value in mm, degrees, grams or bare, to four decimals, without trailing noughts."""
    unit = {"length": " mm", "angle": "°", "mass": " g", "area": " mm2"}.get(dimension, "")
    number = math.degrees(value) if dimension == "angle" else value
    text = f"{number:.4f}".rstrip("0").rstrip(".")
    return ("0" if text == "-0" else text) + unit


def diagnose(fault: Fault, show: Show = show_plain) -> Diagnostic:
    """Return a fault in the builder's words."""
    speak = _SPEAKERS.get(fault.code, _geometry)
    return speak(fault, show)


def _name(fault: Fault) -> str:
    return fault.quantities[0].name if fault.quantities else "this"


def _listed(names: list[str], word: str) -> str:
    if len(names) > MOST_NAMES:
        names = [*names[:MOST_NAMES], f"{len(names) - MOST_NAMES} others"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {word} {names[-1]}"


def _span(fault: Fault) -> Span | None:
    """Return the first place in the text that the fault rests on."""
    for equation in fault.equations:
        if equation.origin.span is not None:
            return equation.origin.span
    return next((quantity.span for quantity in fault.quantities if quantity.span is not None), None)


def _says(equation: Equation | Share, show: Show) -> str:
    """Return what a statement says, its value shown where it simply states one."""
    if (
        isinstance(equation, Equation)
        and isinstance(equation.left, Unknown)
        and equation.origin.kind == "stated"
    ):
        if not unknowns_of(equation.right):
            value = evaluate_or_nan(equation.right, {})
            return f"{equation.left.name} = {show(equation.dimension, value)}"
    return equation.origin.text


def _cause_labels(fault: Fault, besides: Span | None, show: Show) -> tuple[Label, ...]:
    labels: dict[Span, str] = {}
    for equation in fault.equations:
        span = equation.origin.span
        if span is not None and span != besides and span not in labels:
            labels[span] = _says(equation, show)
    return tuple(Label(span, text) for span, text in list(labels.items())[:MOST_LABELS])


def _owner(name: str) -> str:
    return name.rpartition(".")[0]


def _common_owner(names: list[str]) -> str:
    """Return the component that holds all the names: `cowl` for cowl.mid.length and cowl.lip.length."""
    paths = [_owner(name).split(".") for name in names]
    shared = paths[0]
    for path in paths[1:]:
        length = next((i for i, (a, b) in enumerate(zip(shared, path, strict=False)) if a != b), None)
        shared = shared[: min(len(shared), len(path)) if length is None else length]
    return ".".join(shared)


_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_PLURALS = {"length": "lengths", "angle": "angles", "mass": "masses", "area": "areas", "number": "numbers"}


def _under(fault: Fault, show: Show) -> Diagnostic:
    writable = [quantity for quantity in fault.quantities if quantity.hint] or list(fault.quantities)
    dimensions = {quantity.dimension for quantity in writable}
    singular = writable[0].dimension if len(dimensions) == 1 else "dimension"
    noun = singular if fault.missing == 1 else _PLURALS.get(singular, "dimensions")
    count = _COUNTS[fault.missing] if fault.missing < len(_COUNTS) else str(fault.missing)
    hints = list(dict.fromkeys(quantity.hint or quantity.name for quantity in writable))
    owner = _common_owner([quantity.name for quantity in writable])
    place = f" in {owner}" if owner else ""
    lead = "give" if fault.missing == 1 or len(hints) <= fault.missing else f"give {count} of"
    joint = "and" if lead == "give" and fault.missing > 1 else "or"
    message = f"{count} {noun} too few{place}: {lead} {_listed(hints, joint)}"
    spans = list(dict.fromkeys(quantity.span for quantity in writable if quantity.span is not None))
    labels = tuple(
        Label(span, _free_here([q for q in writable if q.span == span])) for span in spans[:MOST_LABELS]
    )
    first = hints[0]
    cure = f"writing {first} would settle it" if fault.missing == 1 else f"start with {first}"
    return Diagnostic("under-determined", "error", message, spans[0] if spans else None, labels, cure)


def _free_here(quantities: list[Quantity]) -> str:
    names = [quantity.name.rpartition(".")[2] for quantity in quantities]
    return f"nothing settles its {_listed(names, 'and')}"


def _over(fault: Fault, show: Show) -> Diagnostic:
    span = _span(fault)
    if not fault.quantities or len(fault.values) < 2:
        by = f": they differ by {show(_dimension(fault), abs(fault.values[0]))}" if fault.values else ""
        message = f"these statements cannot all hold{by}"
        labels = _cause_labels(fault, span, show)
        return Diagnostic("over-determined", "error", message, span, labels, "take one of them out")
    quantity = fault.quantities[0]
    here, there = (show(quantity.dimension, value) for value in fault.values[:2])
    apart = show(quantity.dimension, abs(fault.values[0] - fault.values[1]))
    first = fault.equations[0] if fault.equations else None
    if first is not None and first.origin.span is not None and first.origin.kind in ("stated", "given"):
        at_span = f"{here} here"
    else:
        at_span = f"{here} by this"
    message = f"these say different things about {quantity.name}: {here} and {there}; they differ by {apart}"
    others = _cause_labels(fault, span, show)
    places = [Label(others[0].span, f"{there} here")] if len(others) == 1 else list(others)
    if span is not None:
        why = "" if first is None or first.origin.kind in ("stated", "given") else f" ({first.origin.text})"
        places.insert(0, Label(span, at_span + why))
    cure = "take one of them out, or correct it"
    return Diagnostic("over-determined", "error", message, span, tuple(places), cure)


def _dimension(fault: Fault) -> str:
    first = fault.equations[0] if fault.equations else None
    return first.dimension if isinstance(first, Equation) else "length"


def _impossible(fault: Fault, show: Show) -> Diagnostic:
    quantity = fault.quantities[0]
    span = _span(fault)
    value = fault.values[0] if fault.values else math.nan
    if not math.isfinite(value):
        message = (
            f"{quantity.name} cannot be worked out: "
            "there is a division by nought or the root of a negative number in it"
        )
    else:
        bound, side = (quantity.low, "less") if value < quantity.low else (quantity.high, "more")
        limit = show(quantity.dimension, bound)
        message = (
            f"{quantity.name} would be {show(quantity.dimension, value)}; it cannot be {side} than {limit}"
        )
    return Diagnostic(
        "impossible-dimension",
        "error",
        message,
        span,
        _cause_labels(fault, span, show),
        "change one of the statements it follows from",
    )


def _none(fault: Fault, show: Show) -> Diagnostic:
    span = _span(fault)
    names = _listed([quantity.name for quantity in fault.quantities] or ["this"], "and")
    rule = fault.equations[0].origin.text if fault.equations else ""
    message = f"no value of {names} fits: {rule}" if rule else f"no value of {names} fits"
    return Diagnostic(
        "no-solution",
        "error",
        message,
        span,
        _cause_labels(fault, span, show),
        "change one of the statements it follows from",
    )


def _two(fault: Fault, show: Show) -> Diagnostic:
    span, quantity = _span(fault), fault.quantities[0]
    values = _listed([show(quantity.dimension, value) for value in fault.values], "or")
    message = f"{quantity.name} could be {values}: say which"
    cure = f"write {quantity.hint} = {show(quantity.dimension, fault.values[0])}" if quantity.hint else ""
    return Diagnostic("two-solutions", "error", message, span, _cause_labels(fault, span, show), cure)


def _one_way(fault: Fault, show: Show) -> Diagnostic:
    span = _span(fault)
    names = _listed([quantity.name for quantity in fault.quantities] or ["a dimension"], "and")
    rule = fault.equations[0].origin.text if fault.equations else ""
    message = (
        f"{names} cannot be found backwards from '{rule}'" if rule else f"{names} cannot be found backwards"
    )
    hints = [quantity.hint for quantity in fault.quantities if quantity.hint]
    cure = f"give {_listed(hints, 'and')}" if hints else "settle it by another statement"
    return Diagnostic("one-way", "error", message, span, _cause_labels(fault, span, show), cure)


def _too_many(fault: Fault, show: Show) -> Diagnostic:
    span = _span(fault)
    message = (
        f"{len(fault.quantities)} dimensions are tied to each other around {_name(fault)}; 1000 is the most"
    )
    return Diagnostic("too-many-tied", "error", message, span, (), "state some of them")


def _geometry(fault: Fault, show: Show) -> Diagnostic:
    span = _span(fault)
    return Diagnostic(fault.code, "error", fault.detail, span, _cause_labels(fault, span, show))


_SPEAKERS: dict[str, Callable[[Fault, Show], Diagnostic]] = {
    "under-determined": _under,
    "over-determined": _over,
    "impossible-dimension": _impossible,
    "no-solution": _none,
    "two-solutions": _two,
    "one-way": _one_way,
    "too-many-tied": _too_many,
}
