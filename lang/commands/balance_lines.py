"""Mass, balance and ballast in a few plain lines, as `build` and `weigh` print them."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.numbers import fixed, total
from ringwright.lang.design.account import by_owner
from ringwright.lang.design.balancing import Slide, Weighed
from ringwright.lang.design.doubts import on_chord
from ringwright.lang.design.ledger import Entry, weight_of
from ringwright.lang.units import AREA, LENGTH, MASS, Dimension

if TYPE_CHECKING:
    from ringwright.lang.design.design import Design

INCH = 25.4
LIFTING = ("wing", "tail", "fin")
ORDER = {"part": 0, "strip": 1, "load": 2, "allowance": 3, "ballast": 4}
POISON = "lead is poisonous: gloves or washed hands, no sanding, not for children"
FLIGHT = "check balance on the finished model; first fly with experienced help"
POWER = "batteries burn, propellers cut: mind their makers and the local rules"


class Line(NamedTuple):
    """A line of a summary: its head and what it says."""

    head: str
    text: str


def has_loads(weighed: Weighed) -> bool:
    """Whether a spec says more of its mass than what its sheets weigh."""
    return weighed.wanted is not None or any(entry.sort not in ("part", "strip") for entry in weighed.entries)


def lines(design: "Design", weighed: Weighed) -> Iterator[Line]:
    """Yield what a design weighs and where it balances."""
    yield Line("mass", _mass(design, weighed))
    yield from _balance(design, weighed)


def cares(weighed: Weighed) -> Iterator[Line]:
    """Yield the usual cautions, where there is something to be careful with."""
    if weighed.wanted is not None:
        yield Line("care", FLIGHT)
        if _material(weighed) == "lead":
            yield Line("", POISON)
    if any(entry.sort == "load" for entry in weighed.entries):
        yield Line("" if weighed.wanted is not None else "care", POWER)


def grams(mass: float) -> str:
    """Return a mass as a workshop says it: whole grams, below ten with one decimal."""
    return f"{fixed(mass, 0 if abs(mass) >= 9.95 or abs(mass) < 0.05 else 1)} g"


def place(design: "Design", length: float) -> str:
    """Return a length as one measures it on a model: whole millimetres, or hundredths of an inch."""
    if design.about.unit == "in":
        return (
            design.about.shown(length, LENGTH) if design.about.fraction else f"{fixed(length / INCH, 2)} in"
        )
    return f"{fixed(length, 0)} mm"


def _spread(design: "Design", name: str, dimension: Dimension) -> str:
    """Return ' ± 5 g', '' where nothing is said of how well a value is known, or that is too little to show."""
    found = design.solution.plus_minus(name)
    if found is None:
        return ""
    shown = grams(found[0]) if dimension == MASS else place(design, found[0])
    return "" if shown.startswith(("0 ", "0.0 ", "0.00 ")) else f" ± {shown}"


def _mass(design: "Design", weighed: Weighed) -> str:
    name = f"{design.about.name}.mass"
    sorts: dict[str, list[Entry]] = {}
    for entry in sorted(weighed.entries, key=lambda entry: (ORDER[entry.sort], entry.stock)):
        sorts.setdefault(entry.stock or ("loads" if entry.sort == "load" else entry.name), []).append(entry)
    parts = [f"{_last(sort)} {grams(weight_of(own))}" for sort, own in sorts.items()]
    return f"{grams(weight_of(weighed.entries))}{_spread(design, name, MASS)}: {', '.join(parts)}"


def _last(name: str) -> str:
    return name.rpartition(".")[2]


def _balance(design: "Design", weighed: Weighed) -> Iterator[Line]:
    name = f"{design.about.name}.balance_x"
    if name not in design.values:
        return
    at = f"{place(design, design.values[name])} along x{_spread(design, name, LENGTH)}"
    wanted = weighed.wanted
    if wanted is None:
        yield Line("balance", at)
        yield from (Line("", _slid(design, slide, False)) for slide in weighed.slides)
        return
    target = place(design, wanted.low)
    if wanted.high != wanted.low:
        target += f" to {place(design, wanted.high)}"
    aft = "behind" if weighed.missed > 0 else "ahead of"
    met = "as wanted" if wanted.high == wanted.low else f"as wanted, {target}"
    if weighed.missed:
        met = f"{place(design, abs(weighed.missed))} {aft} its target, {target}"
    yield Line("balance", f"{at}, {met}")
    yield from (Line("", said) for said in _on_chord(design, weighed))
    yield from (Line("", _slid(design, slide, True)) for slide in weighed.slides)
    yield from _ballast(design, weighed)


def _on_chord(design: "Design", weighed: Weighed) -> Iterator[str]:
    """Yield at what share of a wing's mean chord a model balances, and its static margin where that is known."""
    wanted = weighed.wanted
    assert wanted is not None
    found = on_chord(design.tree, design.values, weighed)
    if found is None:
        return
    said = f"{fixed(100 * found[1], 1)} % of the mean chord of {found[0]}"
    margin = design.values.get(f"{wanted.component.id}.static_margin")
    if margin is not None:
        said += f", static margin {fixed(100 * margin, 1)} %"
    yield said


def surfaces(design: "Design") -> Iterator[Line]:
    """Yield what wings, tails and fins come to: area, mean chord and where it lies, aspect ratio, tail volume."""
    found = [
        c
        for c in design.tree.components.values()
        if f"{c.id}.mean_chord" in design.values and c.kind.name in LIFTING
    ]
    for component in found:
        area, chord, edge, ratio = (
            design.values[f"{component.id}.{name}"]
            for name in ("area", "mean_chord", "mean_chord_x", "aspect_ratio")
        )
        said = (
            f"{component.id}: {design.about.shown(area, AREA)}, mean chord {place(design, chord)} from"
            f" {place(design, edge)} along x, aspect ratio {fixed(ratio, 1)}"
        )
        volume = design.values.get(f"{component.id}.volume")
        if volume is not None:
            said += f", volume {fixed(volume, 3 if component.kind.name == 'fin' else 2)}"
        yield Line(component.kind.name, said)


def _slid(design: "Design", slide: Slide, found: bool) -> str:
    at = place(design, slide.at)
    if not found:
        return f"{slide.name} taken at {at}, the middle of its range"
    fore, aft = slide.at - slide.low, slide.high - slide.at
    left = [
        f"{place(design, room)} of slide left {way}"
        for room, way in ((fore, "fore"), (aft, "aft"))
        if room > 0.5
    ]
    if len(left) == 2:
        left[1] = left[1].replace(" of slide left", "")
    return ", ".join((f"{slide.name} centre at {at}", *left))


def _ballast(design: "Design", weighed: Weighed) -> Iterator[Line]:
    wanted = weighed.wanted
    assert wanted is not None
    id = wanted.component.id
    if wanted.at is None:
        return
    where = place(design, wanted.at[0])
    mass = design.values[f"{id}.ballast"]
    if mass <= 0:
        yield Line("ballast", f"none needed at {where}")
        return
    volume = mass / design.values[f"{id}.density"]
    side = volume ** (1 / 3)
    said = "" if "density" in wanted.component.properties else f" of {_material(weighed)}"
    size = f"{fixed(volume / 1000, 1)} cm3{said}, a cube of {place(design, side)}"
    yield Line("ballast", f"{grams(mass)}{_spread(design, f'{id}.ballast', MASS)} at {where}: {size}")


def _material(weighed: Weighed) -> str:
    assert weighed.wanted is not None
    node = weighed.wanted.component.properties.get("material")
    parts = getattr(getattr(node, "value", None), "parts", ("steel",))
    return str(parts[0])


# -- heaviest -------------------------------------------------------------------------------------


def heaviest(design: "Design", weighed: Weighed, most: int) -> list[str]:
    """Return a table of what pulls most on the balance, by its moment about the balance point or the target."""
    placed = [entry for entry in weighed.entries if entry.at is not None]
    if not placed:
        return []
    wanted = weighed.wanted
    about = design.values[f"{design.about.name}.balance_x"]
    if wanted is not None:
        about = min(max(about, wanted.low), wanted.high)
    rows: list[tuple[float, str, float, float]] = []
    for id, own in by_owner(placed):
        mass = weight_of(own)
        at = total(e.mass * e.at[0] for e in own if e.at is not None) / mass if mass else about
        rows.append((mass * (at - about), id, mass, at))
    rows.sort(key=lambda row: (-round(abs(row[0]), 3), row[1]))
    head = ("what", "mass", "x", f"moment about {place(design, about)}")
    cells = [
        head,
        *((id, grams(mass), place(design, at), _moment(moment)) for moment, id, mass, at in rows[:most]),
    ]
    if len(rows) > most:
        rest = rows[most:]
        cells.append(
            (
                f"and {len(rest)} more",
                grams(total(row[2] for row in rest)),
                "",
                _moment(total(r[0] for r in rest)),
            )
        )
    widths = [max(len(row[column]) for row in cells) for column in range(4)]
    return [
        f"{row[0]:<{widths[0]}}  "
        + "  ".join(f"{cell:>{width}}" for cell, width in zip(row[1:], widths[1:], strict=True))
        for row in cells
    ]


def _moment(moment: float) -> str:
    """Return a moment in g m: aft of the balance point it is positive."""
    return f"{fixed(moment / 1000, 2)} g m"


def grouped(rows: Iterable[Line], between: str) -> list[tuple[str, str]]:
    """Return heads with their words, those of lines without a head behind those of the one before them."""
    found: list[tuple[str, str]] = []
    for row in rows:
        if row.head or not found:
            found.append((row.head, row.text))
        else:
            found[-1] = (found[-1][0], f"{found[-1][1]}{between}{row.text}")
    return found


def aligned(rows: Iterable[Line]) -> list[str]:
    """Return a summary's lines, what they say in one column."""
    return [f"{row.head:<8}{row.text}" if row.head or row.text else "" for row in rows]
