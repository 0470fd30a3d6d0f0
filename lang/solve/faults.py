"""What the solver found wrong, said to the builder in lengths and statements, never in matrices."""

import math
from collections.abc import Callable
from typing import NamedTuple, TypeAlias

from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.solve.algebra import evaluate_or_nan, unknowns_of
from ringwright.lang.solve.terms import Equation, Forward, Quantity, Share, Stated, Term, Unknown
from ringwright.lang.solve.wording import words
from ringwright.lang.source import Span

Show: TypeAlias = Callable[[str, float], str]
"""Takes a dimension ('length') and a number (mm, rad, g), returns it as the builder reads it ('104 mm')."""

MOST_NAMES = 6
"""Dimensions listed in a sentence; of more, the rest are counted."""

YIELDED = "equal shares gave way"
"""What stands in a shortage's detail where lengths would have been shared, but for a `given`."""

MOST_LABELS = 12
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
    if len(names) > MOST_NAMES + 1:
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
    if isinstance(equation, Share) or equation.origin.kind != "stated":
        return equation.origin.text
    if not isinstance(equation.left, Unknown):
        return equation.origin.text
    if unknowns_of(equation.right):
        return f"{equation.left.name} = {words(equation.right, _leaf_text(equation.dimension, show))}"
    return f"{equation.left.name} = {show(equation.dimension, evaluate_or_nan(equation.right, {}))}"


def _leaf_text(dimension: str, show: Show) -> Callable[[Term], str]:
    """Return how to word a leaf of a sum; a stated quantity is taken to have the sum's dimension."""

    def text(leaf: Term) -> str:
        if isinstance(leaf, Unknown):
            return leaf.name
        if isinstance(leaf, Forward):
            return leaf.text
        return show(dimension, leaf.value) if isinstance(leaf, Stated) else ""

    return text


def _cause_labels(fault: Fault, besides: Span | None, show: Show) -> tuple[Label, ...]:
    labels: dict[Span, str] = {}
    for equation in fault.equations:
        span = equation.origin.span
        if span is not None and span != besides and span not in labels:
            labels[span] = _says(equation, show)
    return tuple(Label(span, text) for span, text in list(labels.items())[:MOST_LABELS])


def _rule(fault: Fault) -> str:
    """Return the rule found wanting in words, '' where it is a statement, which the excerpt shows."""
    first = fault.equations[0].origin if fault.equations else None
    return first.text if first is not None and first.kind == "rule" else ""


def _owner(name: str) -> str:
    return name.rpartition(".")[0]


def _property(name: str, rest: str = "") -> str:
    """Return a dimension as one writes it, and where: 'length' in cowl.lip."""
    owner, _, last = name.rpartition(".")
    return f"'{last}{rest}' in {owner}" if owner else f"'{last}{rest}'"


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
    to_write = _to_write(fault)
    hints = list(dict.fromkeys(to_write[quantity.name] for quantity in writable))
    owner = _common_owner([quantity.name for quantity in writable])
    short = [hint.removeprefix(f"{owner}.") for hint in hints]
    place = f" in {owner}" if owner else ""
    lead = "give" if fault.missing == 1 or len(hints) <= fault.missing else f"give {count} of"
    joint = "or" if fault.missing == 1 else "and"
    message = f"{count} {noun} too few{place}: {lead} {_listed(short, joint)}"
    spans = list(dict.fromkeys(quantity.span for quantity in writable if quantity.span is not None))
    labels = tuple(
        Label(span, _free_here(list(dict.fromkeys(to_write[q.name] for q in writable if q.span == span))))
        for span in spans[:MOST_LABELS]
    )
    first = hints[0]
    cure = (
        f"writing {_property(first)} would settle it"
        if fault.missing == 1
        else f"start with {_property(first)}"
    )
    if fault.detail == YIELDED:
        given = [e.origin.span for e in fault.equations if e.origin.kind == "given" and e.origin.span]
        if given:
            labels += tuple(Label(span, "this took the place of equal shares") for span in given)
            cure = f"{cure}; or write share = 1 in those that are to be equal still"
    return Diagnostic("under-determined", "error", message, spans[0] if spans else None, labels, cure)


def _to_write(fault: Fault) -> dict[str, str]:
    """Return for each dimension what to write for it: what one would rather measure, if that is open, too."""
    names = {quantity.name for quantity in fault.quantities}
    return {q.name: q.hint if q.hint in names else q.name for q in fault.quantities}


def _free_here(names: list[str]) -> str:
    names = [name.rpartition(".")[2] for name in names]
    return f"nothing settles its {_listed(names, 'and')}"


def _over(fault: Fault, show: Show) -> Diagnostic:
    if not fault.quantities or len(fault.values) < 2:
        return _fight(fault, show)
    quantity = fault.quantities[0]
    here, there = (show(quantity.dimension, value) for value in fault.values[:2])
    apart = show(quantity.dimension, abs(fault.values[0] - fault.values[1]))
    message = f"these say different things about {quantity.name}: {here} and {there}; they differ by {apart}"
    labels: dict[Label, None] = {}
    for equation, value in zip(fault.equations, (here, there), strict=False):
        if equation.origin.span is not None:
            outright = equation.origin.kind in ("stated", "given")
            text = f"{value} here" if outright else f"{value}: {equation.origin.text}"
            labels[Label(equation.origin.span, text)] = None
    told = {label.span for label in labels}
    causes = _cause_labels(fault, None, show)
    labels.update(dict.fromkeys(label for label in causes if label.span not in told))
    cure = "take one of them out, or correct it"
    return Diagnostic("over-determined", "error", message, _span(fault), tuple(labels), cure)


def _fight(fault: Fault, show: Show) -> Diagnostic:
    """Speak of statements tied to each other that cannot all hold, where no one dimension shows it."""
    span = _span(fault)
    by = f": they differ by {show(_dimension(fault), abs(fault.values[0]))}" if fault.values else ""
    message = f"these statements cannot all hold{by}"
    labels = _cause_labels(fault, span, show)
    return Diagnostic("over-determined", "error", message, span, labels, "take one of them out")


def _dimension(fault: Fault) -> str:
    first = fault.equations[0] if fault.equations else None
    return first.dimension if isinstance(first, Equation) else "length"


def _impossible(fault: Fault, show: Show) -> Diagnostic:
    span, value = _span(fault), fault.values[0] if fault.values else math.nan
    if math.isfinite(value):
        quantity = fault.quantities[0]
        bound, side = (quantity.low, "less") if value < quantity.low else (quantity.high, "more")
        limit = show(quantity.dimension, bound)
        outright = _is_outright(fault)
        said = f"{quantity.name} {'is' if outright else 'would be'} {show(quantity.dimension, value)}"
        message = f"{said}; it cannot be {side} than {limit}"
        if outright:
            cure = f"write {'more' if side == 'less' else 'less'} here"
            if side == "less" and bound <= -value <= quantity.high:
                cure += "; is the minus sign meant?"
            return Diagnostic("impossible-dimension", "error", message, span, (), cure)
    else:
        message = (
            f"{_name(fault)} cannot be worked out: there is a division by nought or an impossible root in it"
        )
    cure = "change one of the statements it follows from"
    labels = _cause_labels(fault, None if _rule(fault) else span, show)
    return Diagnostic("impossible-dimension", "error", message, span, labels, cure)


def _is_outright(fault: Fault) -> bool:
    """Say whether a value stands in the text as it is, so that nothing else is to blame."""
    first = fault.equations[0] if len(fault.equations) == 1 else None
    if (
        not isinstance(first, Equation)
        or first.origin.kind != "stated"
        or not isinstance(first.left, Unknown)
    ):
        return False
    return first.left.name == fault.quantities[0].name and not unknowns_of(first.right)


def _none(fault: Fault, show: Show) -> Diagnostic:
    span = _span(fault)
    names = _listed([quantity.name for quantity in fault.quantities] or ["this"], "and")
    rule = _rule(fault)
    message = f"no value of {names} fits: {rule}" if rule else f"no value of {names} makes this hold"
    shared = any(isinstance(equation, Share) for equation in fault.equations)
    cure = "change one of the statements it follows from"
    if shared and any(equation.origin.kind == "given" for equation in fault.equations):
        cure = "the shares and the given do not go together: take one of them out"
    return Diagnostic("no-solution", "error", message, span, _cause_labels(fault, span, show), cure)


def _two(fault: Fault, show: Show) -> Diagnostic:
    span, quantity = _span(fault), fault.quantities[0]
    values = _listed([show(quantity.dimension, value) for value in fault.values], "or")
    message = f"{quantity.name} could be {values}: say which"
    writable = quantity.hint == quantity.name
    value = show(quantity.dimension, fault.values[0])
    cure = f"write {_property(quantity.name, f' = {value}')}" if writable else ""
    return Diagnostic("two-solutions", "error", message, span, _cause_labels(fault, span, show), cure)


def _one_way(fault: Fault, show: Show) -> Diagnostic:
    span = _span(fault)
    names = _listed([quantity.name for quantity in fault.quantities] or ["a dimension"], "and")
    rule = _rule(fault)
    message = (
        f"{names} cannot be found backwards from '{rule}'"
        if rule
        else f"{names} cannot be found backwards from this"
    )
    hints = list(dict.fromkeys(_to_write(fault)[q.name] for q in fault.quantities if q.hint))
    cure = f"give {_listed(hints, 'and')}" if hints else "settle it by another statement"
    return Diagnostic("one-way", "error", message, span, _cause_labels(fault, span, show), cure)


def _too_many(fault: Fault, show: Show) -> Diagnostic:
    span = _span(fault)
    tied = f"{len(fault.quantities)} dimensions are tied to each other around {_name(fault)}"
    message = f"{tied}, too many to find together"
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
