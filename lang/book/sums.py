"""Every solved dimension with its sum, in as few rows as say it: what `why` prints, without the lines of the spec."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ringwright.lang.design.account import is_accounted
from ringwright.lang.design.design import Design
from ringwright.lang.design.why import derive, origin_word, sum_lines, value_text
from ringwright.lang.design.why_blank import blank_sum
from ringwright.lang.source import Source, Span

FOUND = "found on the finished part"
SUMMED = "summed over all that weighs"


class Sum(NamedTuple):
    """A dimension. value: as the builder reads it, with its ±. rows: its sum in names and in numbers. why: the reason in
    words, or where it stands in the spec.
    """

    name: str
    value: str
    rows: tuple[str, ...]
    why: str


def sums_of(design: Design, sources: Mapping[str, Source]) -> tuple[Sum, ...]:
    """Return all dimensions, sorted by name. sources: the texts by path."""
    return tuple(_sum_of(design, sources, name) for name in sorted(design.values))


def _sum_of(design: Design, sources: Mapping[str, Source], name: str) -> Sum:
    def shown(of: str, value: float) -> str:
        return design.about.shown(value, design.dimensions.get(of, design.dimensions[name]))

    solution = design.solution
    if name not in solution.because:
        rows = blank_sum(design.values, name, shown)
        return Sum(name, shown(name, design.values[name]), rows, "" if rows else FOUND)
    value = value_text(solution, name, shown)
    if design.weighed is not None and is_accounted(design.weighed, name):
        return Sum(name, value, (), SUMMED)
    because = solution.because[name]
    place = _line(because.equation.origin.span, sources)
    if because.provenance != "derived":
        return Sum(name, value, (), ", ".join(word for word in (origin_word(solution, name), place) if word))
    derivation = derive(solution, name)
    if derivation.term is None:
        others = ", ".join(because.others)
        return Sum(
            name,
            value,
            tuple(_together(design, name)),
            f"found together with {others}" if others else derivation.text,
        )
    told = sum_lines(solution, name, derivation.term, sources, shown)
    why = f"stated, {place}" if because.equation.origin.kind == "stated" else derivation.text
    return Sum(name, value, tuple(line.strip().removeprefix("= ") for line in told), why)


def _line(span: Span | None, sources: Mapping[str, Source]) -> str:
    """Return the line of the text where something is stated: 'line 30 of heron.wright'."""
    source = None if span is None else sources.get(span.source)
    if span is None or source is None:
        return ""
    return f"line {source.position(span.start)[0]} of {source.path.rpartition('/')[2]}"


def _together(design: Design, name: str) -> Iterator[str]:
    """Yield the reasons of the equations that settle several values at once."""
    for row in derive(design.solution, name).together:
        yield row.cause.origin.text
