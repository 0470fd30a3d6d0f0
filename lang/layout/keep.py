"""Which places of a layout file still hold, and why the others do not."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ringwright.geometry.nest.nest import area_of
from ringwright.geometry.nest.verify import Fault, faults
from ringwright.geometry.numbers import total
from ringwright.geometry.part import Cutting, Offcut, Part, Placed, Sheet, Stock
from ringwright.lang.layout.layout_file import Lay, On, shape_mark


class Lost(NamedTuple):
    """A place that does not hold, and why, in words that follow 'F2: '. gone: the part itself is there no more."""

    lay: Lay
    why: str
    gone: bool = False


class Kept(NamedTuple):
    """sheets: with all that stays where it lies. lost: what does not, by part and copy."""

    sheets: tuple[Sheet, ...]
    lost: tuple[Lost, ...]

    def missing(self, parts: Iterable[Part]) -> tuple[tuple[str, int], ...]:
        """Return the copies that lie nowhere yet."""
        laid = {(placed.part, placed.copy) for sheet in self.sheets for placed in sheet.placements}
        asked = ((part.id, copy) for part in parts for copy in range(1, part.quantity + 1))
        return tuple(case for case in asked if case not in laid)


def keep(
    lays: Sequence[Lay],
    parts: Sequence[Part],
    cutting: Cutting,
    offcuts: Mapping[Stock, Sequence[Offcut]],
) -> Kept:
    """Return what of a layout stays: all that lies soundly, measured exactly.

    Of two that are in each other's way the one stays whose shape is what it was; of two that both are, or are not, the
    larger one.
    """
    known = {part.id: part for part in parts}
    boards = {(stock.name, offcut.name): offcut for stock, those in offcuts.items() for offcut in those}
    lost: list[Lost] = []
    sound: list[Lay] = []
    for lay in lays:
        why, gone = _unfit(lay, known, boards)
        if why:
            lost.append(Lost(lay, why, gone))
        else:
            sound.append(lay)
    found = faults(_sheets(sound, known, boards), parts, cutting)
    dropped = _dropped(found, {(lay.part, lay.copy): lay for lay in sound}, known)
    lost += [Lost(lay, why) for lay, why in dropped]
    gone_ones = {lay for lay, _ in dropped}
    kept = _sheets([lay for lay in sound if lay not in gone_ones], known, boards)
    return Kept(kept, tuple(sorted(lost, key=lambda one: (one.lay.part, one.lay.copy))))


def lays_of(sheets: Iterable[Sheet], parts: Iterable[Part]) -> tuple[Lay, ...]:
    """Return where everything on some sheets lies, as a layout file says it."""
    marks = {part.id: shape_mark(part) for part in parts}
    found = [
        Lay(placed.part, placed.copy, on_of(sheet), placed.x, placed.y, placed.rotation, marks[placed.part])
        for sheet in sheets
        for placed in sheet.placements
    ]
    return tuple(sorted(found, key=lambda lay: (lay.part, lay.copy)))


def on_of(sheet: Sheet) -> On:
    """Return what a layout file calls a sheet."""
    return On(sheet.stock.name, sheet.index, "" if sheet.offcut is None else sheet.offcut.name)


def _unfit(lay: Lay, known: Mapping[str, Part], boards: Mapping[tuple[str, str], Offcut]) -> tuple[str, bool]:
    """Return why a place is none, whatever lies beside it, '' where it may be one; and whether its part is gone."""
    part = known.get(lay.part)
    if part is None:
        return "the model has it no more", True
    if lay.copy > part.quantity:
        return f"copy {lay.copy} is not asked for any more", True
    if lay.on.stock != part.stock.name:
        return f"it is cut from {part.stock.name} now, and lay on {lay.on}", False
    if lay.on.offcut and (lay.on.stock, lay.on.offcut) not in boards:
        return f"there is no {lay.on} any more", False
    return "", False


def _sheets(
    lays: Iterable[Lay], known: Mapping[str, Part], boards: Mapping[tuple[str, str], Offcut]
) -> tuple[Sheet, ...]:
    """Return the sheets that some lays make, offcuts of a stock before its whole sheets."""
    by_sheet: dict[On, list[Lay]] = {}
    for lay in lays:
        by_sheet.setdefault(lay.on, []).append(lay)
    found = []
    for on, there in sorted(by_sheet.items()):
        stock = known[there[0].part].stock
        offcut = boards[on.stock, on.offcut] if on.offcut else None
        area = stock.width * stock.height if offcut is None else area_of(offcut)
        used = total(area_of(known[lay.part]) for lay in there) / area
        placements = tuple(sorted(Placed(lay.part, lay.copy, lay.x, lay.y, lay.turn) for lay in there))
        found.append(Sheet(stock, on.number, placements, used, offcut))
    return tuple(found)


def _dropped(
    found: Iterable[Fault], sound: Mapping[tuple[str, int], Lay], known: Mapping[str, Part]
) -> list[tuple[Lay, str]]:
    """Return what must go for the rest to be sound, with the fault for which it goes."""
    dropped: dict[Lay, str] = {}
    pairs: list[tuple[Lay, Lay, str]] = []
    for fault in found:
        about = [sound[placed.part, placed.copy] for placed in fault.placed]
        if len(about) == 1:
            dropped.setdefault(about[0], fault.text)
        elif len(about) == 2:
            pairs.append((about[0], about[1], fault.text))
    marks = {id: shape_mark(known[id]) for id in {lay.part for one, two, _ in pairs for lay in (one, two)}}

    def stays(lay: Lay) -> tuple[bool, float, str, int]:
        return lay.shape != marks[lay.part], -area_of(known[lay.part]), lay.part, lay.copy

    # Those that stay first: whatever is in the way of one of them goes.
    for one, two, text in sorted(pairs, key=lambda pair: sorted((stays(pair[0]), stays(pair[1])))):
        if one not in dropped and two not in dropped:
            dropped[max(one, two, key=stays)] = text
    return list(dropped.items())
