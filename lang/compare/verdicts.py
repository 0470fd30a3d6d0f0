"""What becomes of a part that is cut already: one word, and the reason."""

from collections.abc import Callable
from typing import NamedTuple

from ringwright.geometry.compare import SAME, Change, Tagged, changed, unmatched
from ringwright.geometry.numbers import same
from ringwright.lang.compare.side import Piece, on_a_level

WORDS = ("recut", "trim", "open", "fill", "mark", "more", "relabel", "weight", "keep")
"""All verdicts, what takes most work first."""

SHAPED = ("recut", "trim", "open", "fill", "mark")
"""Those that say that the part itself is another."""

ANGLE = 0.001
"""Bevels within so many degrees are the same."""

MASS = 0.005
"""Masses within so many grams are the same: what a reader would not see."""


class Verdict(NamedTuple):
    """What becomes of a part.

    was: its id on the old side, '' for a new part. by: greatest distance, mm, by which a line of it moved. moved: its
    place in the aircraft is another. shape: whether the part itself is another, not only what is written on it.
    """

    id: str
    was: str
    word: str
    reason: str
    by: float = 0.0
    moved: bool = False

    @property
    def shape(self) -> bool:
        """Whether an old part was there and is another now."""
        return bool(self.was) and self.word in SHAPED


Length = Callable[[float], str]
"""Shows a length as people read it."""


def new_part(piece: Piece) -> Verdict:
    """Return the verdict on a part that the old side does not have."""
    return Verdict(piece.id, "", "recut", "new" if piece.quantity == 1 else f"new, {piece.quantity} of them")


def alike(old: Piece, new: Piece) -> bool:
    """Whether two parts of any name are the same thing, cut from the same sheet."""
    if old.stock != new.stock or old.quantity != new.quantity:
        return False
    old, new = on_a_level(old, new)
    change = changed(old.cut, new.cut)
    return change.same and _stale(old, new, change, str) is None


def verdict(old: Piece, new: Piece, shown: Length) -> Verdict:
    """Judge a part by its old state; shown: shows a length as exactly as both are known."""
    old, new = on_a_level(old, new)
    change = changed(old.cut, new.cut)
    moved = _moved(old, new)
    found = _stale(old, new, change, shown) or _light(old, new) or ("keep", "")
    word, reason = found
    remarks = [reason] if reason else []
    if word != "recut" and old.quantity > new.quantity:
        remarks.append(f"{old.quantity - new.quantity} fewer: {new.quantity}, were {old.quantity}")
    if word not in ("more", "recut") and new.quantity > old.quantity:
        remarks.append(f"and {new.quantity - old.quantity} more of them")
    if word in ("keep", "weight", "relabel") and moved:
        remarks.append("only its place in the aircraft moved")
    by = max((change.outline, *change.holes))
    return Verdict(new.id, old.id, word, "; ".join(remarks), by, moved)


def _stale(old: Piece, new: Piece, change: Change, shown: Length) -> tuple[str, str] | None:
    """Return the verdict on a part whose shape, or what is drawn on it, changed; else None."""
    other_sheet = _of_other_sheet(old, new, shown)
    word, reason = ("", "its shape is the same") if change.same else _cut(change, shown)
    if other_sheet:
        return "recut", f"{other_sheet}; {reason}"
    if word == "recut":
        return word, reason
    bevel = _bevels(old, new, word == "trim")
    gone, come = _lines(old.half, new.half, change)
    lost = bevel or (f"{_listed(gone)} no longer there, or elsewhere" if gone else "")
    if lost:
        return "recut", f"{reason}; {lost}" if word else lost
    added = f"{_listed(come)} to be added" if come else ""
    if word or added:
        return word or "mark", "; ".join(filter(None, (reason if word else "", added)))
    gone, come = _lines(old.marks, new.marks, change)
    # The words beside a mark are lettering: where its line stands as it did, the part is only labelled anew.
    gone, come = unmatched(_without_words(gone), _without_words(come), change.shift)
    return ("mark", f"marks moved: {_listed(come or gone)}") if gone or come else None


def _without_words(marks: tuple[Tagged, ...]) -> tuple[Tagged, ...]:
    return tuple((tag.split(": ")[0], path) for tag, path in marks)


def _light(old: Piece, new: Piece) -> tuple[str, str] | None:
    """Return the verdict on a part that is the same thing: on its number, its label and its mass; None to keep it."""
    if new.quantity > old.quantity:
        return "more", f"{new.quantity - old.quantity} more: {new.quantity}, were {old.quantity}"
    if old.id != new.id:
        return "relabel", f"was called {old.id}"
    if old.label != new.label:
        return "relabel", f"said '{old.label}'"
    words = [sorted(tag for tag, _ in piece.marks or ()) for piece in (old, new)]
    if words[0] != words[1] and old.marks is not None and new.marks is not None:
        return "relabel", "what is written beside its marks changed"
    if old.mass is not None and new.mass is not None and not same(old.mass, new.mass, MASS):
        return "weight", f"{new.mass:.2f} g, was {old.mass:.2f} g"
    return None


def _of_other_sheet(old: Piece, new: Piece, shown: Length) -> str:
    if old.stock != new.stock:
        return f"of {new.stock}, was of {old.stock}"
    thick, before = new.thickness, old.thickness
    if thick is not None and before is not None and not same(thick, before, SAME):
        return f"{new.stock} is {shown(thick)} thick, was {shown(before)}"
    return ""


def _cut(change: Change, shown: Length) -> tuple[str, str]:
    """Return the verdict on a part that is cut otherwise."""
    holes = _holes(change, shown)
    if change.outline and change.less:
        also = f"; {holes}" if holes else ""
        return "trim", f"it only shrank, by up to {shown(change.outline)}{also}"
    if change.outline:
        also = f"; {holes}" if holes else ""
        return "recut", f"its outline differs by up to {shown(change.outline)}{also}"
    if change.less:
        return "open", holes
    return "fill", holes


def _holes(change: Change, shown: Length) -> str:
    """Say in words how holes changed."""
    found = []
    if change.holes:
        verb = "grew" if change.less and not change.outline else "moved or changed"
        what = "a hole" if len(change.holes) == 1 else f"{len(change.holes)} holes"
        found.append(f"{what} {verb} by up to {shown(change.holes[0])}")
    if change.more:
        found.append("a hole more" if change.more == 1 else f"{change.more} holes more")
    if change.fewer:
        found.append("a hole fewer" if change.fewer == 1 else f"{change.fewer} holes fewer")
    return ", ".join(found)


def _bevels(old: Piece, new: Piece, trimmed: bool) -> str:
    """Say which bevel changed, '' for none. A rim that is trimmed may get a steeper one: that only takes more away."""
    if len(old.bevels) != len(new.bevels):
        return "its edges are others"
    for (edge, before), (_, now) in zip(sorted(old.bevels), sorted(new.bevels), strict=True):
        steeper = trimmed and edge == "rim" and before * now >= 0 and abs(now) > abs(before)
        if not same(before, now, ANGLE) and not steeper:
            return f"bevel of its {edge} is {now:.1f}°, was {before:.1f}°"
    return ""


def _lines(
    old: tuple[Tagged, ...] | None, new: tuple[Tagged, ...] | None, change: Change
) -> tuple[tuple[Tagged, ...], tuple[Tagged, ...]]:
    """Return the lines that went and those that came; none where one side does not know its own."""
    return ((), ()) if old is None or new is None else unmatched(old, new, change.shift)


def _listed(lines: tuple[Tagged, ...]) -> str:
    """Return '2 × score 24° inside, far cut'."""
    counts: dict[str, int] = {}
    for tag, _ in lines:
        counts[tag] = counts.get(tag, 0) + 1
    return ", ".join(tag if count == 1 else f"{count} × {tag}" for tag, count in sorted(counts.items()))


def _moved(old: Piece, new: Piece) -> bool:
    """Whether a part sits elsewhere. Of one that only weighs otherwise the centre of gravity alone does not say so."""
    lighter = old.mass is not None and new.mass is not None and not same(old.mass, new.mass, MASS)
    return _apart(old.at, new.at) and not (lighter and not _apart(old.placement, new.placement))


def _apart(old: tuple[float, ...] | None, new: tuple[float, ...] | None) -> bool:
    if old is None or new is None:
        return old is not new
    return len(old) != len(new) or any(not same(a, b, SAME) for a, b in zip(old, new, strict=True))
