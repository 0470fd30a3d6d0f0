"""What became of a model, revision by revision: a table."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from ringwright.geometry.numbers import rounded
from ringwright.lang.compare.comparison import Comparison, compare
from ringwright.lang.compare.sections import Report, Section, summary
from ringwright.lang.compare.side import Side
from ringwright.lang.units import LENGTH, MASS

HEAD = ("revision", "date", "parts", "mass", "balance x", "sheets")


class State(NamedTuple):
    """A revision. name: for people; commit: its number, '' for what is not committed; date: YYYY-MM-DD or ''.

    side: the model, or why there is none, as a sentence.
    """

    name: str
    commit: str
    date: str
    side: Side | str


class Row(NamedTuple):
    """A revision and what changed since the last one that could be built; None for the first of those."""

    state: State
    found: Comparison | None


def rows(states: Sequence[State]) -> tuple[Row, ...]:
    """Compare each revision with the last one before it that could be built."""
    found = []
    last: Side | None = None
    for state in states:
        if isinstance(state.side, str):
            found.append(Row(state, None))
            continue
        found.append(Row(state, None if last is None else compare(last, state.side)))
        last = state.side
    return tuple(found)


def as_report(title: str, table: Sequence[Row], notes: tuple[str, ...] = ()) -> Report:
    """Return the table as people read it."""
    cells = tuple(_cells(row) for row in table)
    summary = "1 revision" if len(cells) == 1 else f"{len(cells)} revisions"
    return Report(title, summary, notes, (Section("history", HEAD, cells, headed=True),))


def _cells(row: Row) -> tuple[str, ...]:
    state, side = row.state, row.state.side
    if isinstance(side, str):
        return state.name, state.date, side, "", "", ""
    said = f"{len(side.pieces)} parts to begin with" if row.found is None else _said(row.found)
    mass = "" if side.mass is None else side.measure(side.mass, MASS)
    balance = "" if side.balance is None else side.measure(rounded(side.balance[0], 1), LENGTH)
    return state.name, state.date, said, mass, balance, str(side.sheet_count)


def _said(found: Comparison) -> str:
    """Return what changed in few words; what is kept goes without saying."""
    words = [word for word in summary(found).split(", ") if not word.endswith(" keep")]
    if not found.same and not words:
        return "sizes or places only, no part"
    return ", ".join(words) if not found.same else "no part"


def as_facts(table: Sequence[Row]) -> dict[str, Any]:
    """Return the table as plain values; what is not known is None."""
    return {"history": [_facts(row) for row in table]}


def _facts(row: Row) -> dict[str, Any]:
    state, side, found = row.state, row.state.side, row.found
    sound = not isinstance(side, str)
    return {
        "revision": state.name,
        "commit": state.commit,
        "date": state.date,
        "trouble": "" if sound else side,
        "parts": None
        if found is None
        else {
            "added": list(found.added),
            "removed": list(found.removed),
            "changed": list(found.changed),
            "renamed": [{"old": old, "new": new} for old, new in found.renamed],
            "moved": list(found.moved),
        },
        "mass_g": None if isinstance(side, str) else side.mass,
        "balance_mm": None if isinstance(side, str) or side.balance is None else list(side.balance),
        "sheets": None if isinstance(side, str) else side.sheet_count,
    }
