"""A comparison as a few tables, which all formats for people have in common."""

from collections.abc import Iterable
from typing import NamedTuple

from ringwright.geometry.compare import SAME
from ringwright.geometry.numbers import same
from ringwright.geometry.part import number_of
from ringwright.lang.compare.comparison import Comparison, Resized
from ringwright.lang.compare.drivers import Driver
from ringwright.lang.compare.side import Side
from ringwright.lang.compare.verdicts import WORDS, Verdict
from ringwright.lang.units import LENGTH, MASS, Dimension

MOST_DRIVERS = 3
"""Of more edits that drove something the rest are counted."""


class Section(NamedTuple):
    """A table with its title; without rows it is not shown. head: names of the columns, which a text shows where it is `headed`.
    after: lines below it.
    """

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    after: tuple[str, ...] = ()
    headed: bool = False


class Report(NamedTuple):
    """All that is said of a comparison. summary: in a line."""

    title: str
    summary: str
    notes: tuple[str, ...]
    sections: tuple[Section, ...]


def report(found: Comparison) -> Report:
    """Return a comparison as people read it, in the order of their work: sizes, parts, mass, what to cut."""
    return Report(
        f"{found.old.name} to {found.new.name}",
        summary(found),
        found.notes,
        (_sides(found), _sizes(found), _parts(found), _mass(found), _sheets(found)) if not found.same else (),
    )


def summary(found: Comparison) -> str:
    """Return in a line what changed."""
    if found.same:
        return f"nothing changed: {_counted(len(found.new.pieces), 'part')}, {_counted(len(found.new.sizes), 'dimension')}"
    words: dict[str, int] = {}
    for one in found.verdicts:
        words[one.word] = words.get(one.word, 0) + 1
    said = [f"{words[word]} {word}" for word in WORDS if word in words]
    if found.removed:
        said.append(f"{len(found.removed)} removed")
    return ", ".join(said)


def _sides(found: Comparison) -> Section:
    rows = tuple(
        (word, side.name, side.revision, side.title)
        for word, side in (("old", found.old), ("new", found.new))
    )
    return Section("compared", ("side", "is", "revision", "title"), rows)


def _sizes(found: Comparison) -> Section:
    rows = tuple(
        (
            size.name,
            found.old.shown(size.name, size.old),
            found.new.shown(size.name, size.new),
            _difference(found.new, size.name, size.old, size.new),
            _drivers(size.drivers),
        )
        for size in found.sizes
        if size.old is not None and size.new is not None
    )
    return Section(
        "dimensions", ("name", "old", "new", "difference", "driven by"), rows, _come_and_gone(found.sizes)
    )


def _come_and_gone(sizes: Iterable[Resized]) -> tuple[str, ...]:
    sizes = tuple(sizes)
    come, gone = sum(size.old is None for size in sizes), sum(size.new is None for size in sizes)
    said = [f"{_counted(count, 'name')} {word}" for count, word in ((come, "new"), (gone, "gone")) if count]
    return (f"and {', '.join(said)}",) if said else ()


def _difference(side: Side, name: str, old: float, new: float) -> str:
    sign = "+" if new > old else "-"
    return sign + side.shown(name, abs(new - old))


def _drivers(drivers: tuple[Driver, ...]) -> str:
    """Return 'a > b > c (file:line); …'."""
    said = []
    for driver in drivers[:MOST_DRIVERS]:
        # The name that it drove stands in the row already.
        chain = " > ".join(driver.chain[:-1])
        said.append(f"{chain} ({driver.at})" if chain and driver.at else chain or driver.at)
    if len(drivers) > MOST_DRIVERS:
        said.append(f"and {len(drivers) - MOST_DRIVERS} more")
    return "; ".join(filter(None, said))


def _causes(drivers: tuple[Driver, ...]) -> str:
    """Return what drove a part, each edit once."""
    said = [
        f"{driver.name} ({driver.at})" if driver.name and driver.at else driver.name or driver.at
        for driver in drivers
    ]
    said = list(dict.fromkeys(filter(None, said)))
    if len(said) > MOST_DRIVERS:
        said[MOST_DRIVERS:] = [f"and {len(said) - MOST_DRIVERS} more"]
    return "; ".join(said)


def _parts(found: Comparison) -> Section:
    kept = [one for one in found.verdicts if _is_plain(one)]
    rows = tuple(
        (one.word, one.id, one.reason, _causes(found.drivers.get(one.id, ())))
        for one in found.verdicts
        if not _is_plain(one)
    )
    rows += tuple(("removed", id, "", "") for id in found.removed)
    after = [f"keep {len(kept)} as they are: {', '.join(one.id for one in kept)}"] if kept else []
    if found.elsewhere:
        after.append(f"on another sheet, which makes none of them stale: {', '.join(found.elsewhere)}")
    return Section("parts", ("verdict", "part", "reason", "driven by"), rows, tuple(after))


def _is_plain(one: Verdict) -> bool:
    return one.word == "keep" and not one.reason


def _mass(found: Comparison) -> Section:
    old, new = found.old, found.new
    rows: list[tuple[str, ...]] = []
    if found.weight:
        rows.append(("mass", *_pair(new, old.mass, new.mass, MASS)))
        for axis, letter in enumerate("xyz"):
            before, now = (None if place is None else place[axis] for place in (old.balance, new.balance))
            if before is not now and (before is None or now is None or not same(before, now, SAME)):
                rows.append((f"balance {letter}", *_pair(new, before, now, LENGTH)))
    return Section("mass and balance", ("of all", "old", "new", "difference"), tuple(rows))


def _pair(side: Side, old: float | None, new: float | None, kind: Dimension) -> tuple[str, str, str]:
    shown = ["not known" if value is None else side.measure(value, kind) for value in (old, new)]
    if old is None or new is None:
        return shown[0], shown[1], ""
    return shown[0], shown[1], ("-" if new < old else "+") + side.measure(abs(new - old), kind)


def _sheets(found: Comparison) -> Section:
    rows = tuple(
        (
            f"{place[0]} {number_of(place)}",
            ", ".join(one.id for one in found.cut if place in found.new.sheets[one.id]),
        )
        for place in found.sheets
    )
    return Section("sheets to cut from", ("sheet", "parts"), rows)


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
