"""Two states of a model laid side by side: what changed, what drove it, and what becomes of each part."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from ringwright.geometry.compare import SAME
from ringwright.geometry.numbers import rounded, same, short
from ringwright.geometry.path import bounds
from ringwright.lang.compare.drivers import Driver, Drivers
from ringwright.lang.compare.side import Piece, Place, Side, Size
from ringwright.lang.compare.verdicts import MASS, Verdict, alike, new_part, verdict
from ringwright.lang.units import LENGTH

_TOLERANCES = {"mm": SAME, "rad": 1.7e-5, "g": MASS, "mm2": 0.5}
_SHARE = 1e-6


class Resized(NamedTuple):
    """A dimension that changed; old or new is None where that side has no such name."""

    name: str
    old: float | None
    new: float | None
    drivers: tuple[Driver, ...]


class Comparison(NamedTuple):
    """What changed from the old side to the new.

    sizes: dimensions, in the order of the spec, those that went last. verdicts: one for each part of the new side, in
    that order; removed: ids of those that it lacks. drivers: of each part that is another or new. sheets: of the new
    side, those that hold a part to cut. elsewhere: parts to keep that lie on another sheet. notes: what is said aloud.
    """

    old: Side
    new: Side
    sizes: tuple[Resized, ...]
    verdicts: tuple[Verdict, ...]
    removed: tuple[str, ...]
    drivers: Mapping[str, tuple[Driver, ...]]
    sheets: tuple[Place, ...]
    elsewhere: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def added(self) -> tuple[str, ...]:
        """Ids of new parts."""
        return tuple(found.id for found in self.verdicts if not found.was)

    @property
    def changed(self) -> tuple[str, ...]:
        """Ids of parts that are another thing now."""
        return tuple(found.id for found in self.verdicts if found.shape)

    @property
    def renamed(self) -> tuple[tuple[str, str], ...]:
        """Old and new ids of parts that are the same under another name."""
        return tuple((v.was, v.id) for v in self.verdicts if v.was and v.was != v.id)

    @property
    def moved(self) -> tuple[str, ...]:
        """Ids of parts that are the same and stand elsewhere in the aircraft."""
        return tuple(found.id for found in self.verdicts if found.was and not found.shape and found.moved)

    @property
    def cut(self) -> tuple[Verdict, ...]:
        """What must be cut: new parts, those that are others, and those of which there are more."""
        return tuple(found for found in self.verdicts if found.word in ("recut", "more"))

    @property
    def weight(self) -> bool:
        """Whether mass or balance changed, where either side is of a whole model."""
        if not (self.old.sizes and self.new.sizes):
            return False
        places = (self.old.balance or (), self.new.balance or ())
        return (
            not _alike(self.old.mass, self.new.mass, MASS)
            or len(places[0]) != len(places[1])
            or any(not same(a, b, SAME) for a, b in zip(*places, strict=False))
        )

    @property
    def same(self) -> bool:
        """Whether nothing changed."""
        parts = any(found.word != "keep" or found.moved or found.reason for found in self.verdicts)
        return not (self.sizes or self.removed or parts or self.weight or self.notes)


def compare(old: Side, new: Side) -> Comparison:
    """Compare two states of a model."""
    before, now = old.pieces, new.pieces
    pairs = _pairs(before, now)

    def judged(was: Piece, piece: Piece) -> Verdict:
        decimals = 1 if was.chords or piece.chords else 2
        return verdict(was, piece, lambda value: new.measure(rounded(value, decimals), LENGTH))

    verdicts = tuple(
        judged(before[pairs[id]], piece) if id in pairs else new_part(piece)
        for id, piece in _ordered(now, new)
    )
    kept = set(pairs.values())
    # What hangs on the wall is parts alone: it has no dimensions that could have changed.
    sizes = _resized(old, new) if old.sizes and new.sizes else ()
    drivers = _drivers(old, new, sizes)
    parts = {v.id: drivers.of_part(v.id) for v in verdicts if drivers and (v.shape or v.word == "weight")}
    cut = {found.id for found in verdicts if found.word in ("recut", "more")}
    return Comparison(
        old,
        new,
        tuple(size._replace(drivers=drivers.of(size.name)) for size in sizes) if drivers else sizes,
        verdicts,
        tuple(id for id, _ in _ordered(before, old) if id not in kept),
        parts,
        tuple(sorted({place for id, places in new.sheets.items() if id in cut for place in places})),
        tuple(
            v.id for v in verdicts
            if v.was and v.id not in cut and old.sheets and new.sheets
            and old.sheets.get(v.was) != new.sheets.get(v.id)
        ),
        tuple(_notes(old, new, verdicts)),
    )  # fmt: skip


def _pairs(old: Mapping[str, Piece], new: Mapping[str, Piece]) -> dict[str, str]:
    """Return for each new part the old one that it is: that of its id, else one of the same shape that lost its id."""
    pairs = {id: id for id in new if id in old}
    gone, come = [id for id in old if id not in new], [id for id in new if id not in old]
    # Those whose names have most in common first; the order is the same whichever side is the old one.
    likely = sorted((-_common(a, b), min(a, b), max(a, b), a, b) for a in gone for b in come)
    taken: set[str] = set()
    for *_, a, b in likely:
        if a not in taken and b not in pairs and _as_large(old[a], new[b]) and alike(old[a], new[b]):
            pairs[b] = a
            taken.add(a)
    return pairs


def _as_large(a: Piece, b: Piece) -> bool:
    """Whether two parts may be the same at all; asked first, for it costs little."""
    one, two = bounds(a.cut.outline), bounds(b.cut.outline)
    return all(abs((one[i + 2] - one[i]) - (two[i + 2] - two[i])) <= 3 * SAME for i in (0, 1))


def _common(a: str, b: str) -> int:
    """How many names two ids have in common at their ends and beginnings."""
    one, two = a.split("."), b.split(".")
    return sum(x == y for x, y in zip(one, two, strict=False)) + sum(
        x == y for x, y in zip(one[::-1], two[::-1], strict=False)
    )


def _ordered(pieces: Mapping[str, Piece], side: Side) -> list[tuple[str, Piece]]:
    """Return parts in the order in which the spec names them, else by id."""
    design = None if side.compiled is None else side.compiled.design
    if design is None:
        return sorted(pieces.items())
    place = {id: number for number, id in enumerate(design.tree.components)}
    owner = {part.id: place.get(part.component, len(place)) for part in design.parts}
    return sorted(pieces.items(), key=lambda item: (owner.get(item[0], len(place)), item[0]))


def _resized(old: Side, new: Side) -> tuple[Resized, ...]:
    """Return the dimensions that changed, without what drove them."""
    found = []
    for name in _names(new):
        before, now = old.sizes.get(name), new.sizes[name]
        if before is None or not _same_size(before, now):
            found.append(Resized(name, None if before is None else before.value, now.value, ()))
    gone = (name for name in _names(old) if name not in new.sizes)
    return (*found, *(Resized(name, old.sizes[name].value, None, ()) for name in gone))


def _names(side: Side) -> list[str]:
    """Return the names of dimensions in the order of the components that they belong to."""
    design = None if side.compiled is None else side.compiled.design
    if design is None:
        return list(side.sizes)
    place = {id: number for number, id in enumerate(design.tree.components)}
    return sorted(side.sizes, key=lambda name: (place.get(name.rpartition(".")[0], -1), name))


def _same_size(old: Size, new: Size) -> bool:
    tolerance = _TOLERANCES.get(new.unit, _SHARE * max(abs(old.value), abs(new.value)) + 1e-9)
    return old.unit == new.unit and same(old.value, new.value, tolerance)


def _drivers(old: Side, new: Side, sizes: Iterable[Resized]) -> Drivers | None:
    if new.compiled is None or new.compiled.design is None:
        return None
    return Drivers(old, new, {size.name for size in sizes if size.new is not None})


def _notes(old: Side, new: Side, verdicts: tuple[Verdict, ...]) -> Iterable[str]:
    """Yield what changed and nobody would see in the parts, or what explains many of them at once."""
    if old.scale is not None and new.scale is not None:
        before, now = old.scale, new.scale
        if not (same(before[0], now[0], 1e-9) and same(before[1], now[1], 1e-9)):
            design = None if new.compiled is None else new.compiled.design
            said = f"plan_scale is {_percent(now)}, was {_percent(before)}"
            if design is not None and design.scaled == 0:
                said += ": nothing follows it, for no length is marked '@'"
            yield said
    for name, now_said in new.defaults.items():
        if old.defaults.get(name, now_said) != now_said:
            yield f"the default of {name} is {now_said}, was {old.defaults[name]}"
    for stock in sorted({piece.stock for piece in new.pieces.values()}):
        was, size = old.sizes.get(f"{stock}.thickness"), new.sizes.get(f"{stock}.thickness")
        if was is None or size is None or same(was.value, size.value, SAME):
            continue
        alone = [
            v.id
            for v in verdicts
            if v.reason.endswith("its shape is the same") and new.pieces[v.id].stock == stock
        ]
        if alone:
            yield (
                f"{stock} is {new.measure(size.value, LENGTH)} thick, was {new.measure(was.value, LENGTH)}: if it is the "
                f"same sheet, only measured better, these may stay: {', '.join(alone)}"
            )


def _percent(scale: tuple[float, float]) -> str:
    along, across = (f"{short(100 * part, 4)} %" for part in scale)
    return along if along == across else f"{along} along by {across} across"


def _alike(a: float | None, b: float | None, tolerance: float) -> bool:
    return a is b if a is None or b is None else same(a, b, tolerance)
