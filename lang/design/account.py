"""What a mass or a balance point is made up of, line by line, as `why` shows it."""

from collections.abc import Callable, Sequence

from ringwright.lang.design.balancing import Weighed
from ringwright.lang.design.ledger import Entry, weight_of
from ringwright.lang.solve.wording import aligned
from ringwright.lang.units import LENGTH, MASS, Dimension

AXES = {"balance_x": 0, "before": 0, "after": 0, "balance_y": 1, "balance_z": 2}

Shown = Callable[[float, Dimension], str]
"""Takes a value (mm, rad, g) and its dimension, returns it as the builder reads it."""


def is_accounted(weighed: Weighed, name: str) -> bool:
    """Whether a name is a sum over all that weighs something."""
    return name in weighed.dimensions and name.rpartition(".")[2] in ("mass", *AXES)


def account(weighed: Weighed, name: str, shown: Shown) -> str:
    """Return the sum behind such a name: masses by stock and part, or masses with their places."""
    last = name.rpartition(".")[2]
    if last == "mass":
        return "".join(f"{line}\n" for line in _masses(weighed, shown))
    return "".join(f"{line}\n" for line in _places(weighed, AXES[last], last != "before", shown))


def _masses(weighed: Weighed, shown: Shown) -> list[str]:
    stocks = dict.fromkeys(entry.stock for entry in weighed.entries if entry.sort == "part")
    rows: list[tuple[str, ...]] = []
    for stock in sorted(stocks):
        cut = [entry for entry in weighed.entries if entry.stock == stock]
        rows.append(
            (f"    {stock}", shown(weight_of(cut), MASS), f"{len(cut)} part{'' if len(cut) == 1 else 's'}")
        )
        rows += [(f"      {id}", "", shown(weight_of(own), MASS)) for id, own in by_owner(cut)]
    others = [entry for entry in weighed.entries if entry.sort != "part"]
    rows += [(f"    {id}", shown(weight_of(own), MASS)) for id, own in by_owner(others)]
    return ["  = the sum of all that weighs something", *aligned(rows)]


def _places(weighed: Weighed, axis: int, ballast: bool, shown: Shown) -> list[str]:
    placed = [entry for entry in weighed.entries if entry.at is not None]
    if not ballast:
        placed = [entry for entry in placed if entry.sort != "ballast"]
    rows: list[tuple[str, ...]] = []
    for id, own in by_owner(placed):
        mass = weight_of(own)
        at = sum(entry.mass * entry.at[axis] for entry in own if entry.at is not None) / mass if mass else 0.0
        rows.append((f"    {id}", shown(mass, MASS), f"at {shown(at, LENGTH)}"))
    whole = shown(weight_of(placed), MASS)
    return [f"  = moments over masses, {whole} in all", *aligned(rows)]


def by_owner(entries: Sequence[Entry]) -> list[tuple[str, list[Entry]]]:
    """Return entries by the component that they belong to, in the order of their names."""
    found: dict[str, list[Entry]] = {}
    for entry in entries:
        found.setdefault(entry.name if entry.sort == "ballast" else entry.owner, []).append(entry)
    return sorted(found.items())
