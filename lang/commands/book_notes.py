"""What the build book says beside parts and sheets: steps, sums, what to buy, mass and balance. As plain values."""

from collections.abc import Iterator, Mapping, Sequence

from ringwright.backends.record import Bought, Notes, Step, Sum, Weight
from ringwright.backends.sizes import size_words
from ringwright.geometry.numbers import fixed, total
from ringwright.geometry.part import Sheet
from ringwright.lang.book.steps import steps_of
from ringwright.lang.book.sums import sums_of
from ringwright.lang.book.surfaces import KINDS
from ringwright.lang.commands.balance_lines import grams, grouped, lines, place
from ringwright.lang.commands.bill import cost_of, titled, to_buy
from ringwright.lang.design.account import by_owner
from ringwright.lang.design.design import Design
from ringwright.lang.design.ledger import weight_of
from ringwright.lang.pipeline import Compiled


def notes_of(compiled: Compiled, design: Design, sheets: Sequence[Sheet]) -> Notes:
    """Return all that only the book says."""
    steps = tuple(Step(*step) for step in steps_of(design))
    counts = to_buy(design.shopping, sheets, design.on_hand)
    weighed = design.weighed
    return Notes(
        tuple(_assemblies(design, steps)),
        steps,
        tuple(Sum(*each) for each in sums_of(design, compiled.project.sources)),
        tuple(_bought(design, sheets, counts)),
        cost_of(design.shopping, counts),
        tuple(_weights(design)),
        () if weighed is None else tuple(grouped(lines(design, weighed), "; ")),
    )


def _assemblies(design: Design, steps: Sequence[Step]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the assemblies in the order of building; single panels stand together at the end, by whatever name."""
    sheet = {part.id for part in design.parts}
    found: dict[str, list[str]] = {}
    for step in steps:
        own = [part for part in step.parts if part in sheet]
        if own:
            found.setdefault(step.assembly, []).extend(own)
    surfaces = {part.id for part in design.parts if _of_surface(design, part.component)}
    single = {name for name, parts in found.items() if len(parts) < 3 and not surfaces & set(parts)}
    for name, parts in found.items():
        if name not in single:
            yield name, tuple(parts)
    rest = [part for name, parts in found.items() if name in single for part in parts]
    if rest:
        yield "other parts" if len(rest) < len(design.parts) else "parts", tuple(rest)


def _of_surface(design: Design, id: str) -> bool:
    """Whether a component is a wing, a tail or a fin, which has a heading of its own however few its parts."""
    return design.tree.components[id].kind.name in KINDS


def _bought(design: Design, sheets: Sequence[Sheet], counts: Mapping[str, int]) -> Iterator[Bought]:
    """Yield the stocks of which the layout takes more sheets than are there, and the bought parts."""
    stocks = {sheet.stock.name: sheet.stock for sheet in sheets}
    for each in design.shopping:
        count = counts[each.id]
        if not count:
            continue
        stock = stocks.get(each.id)
        size = "" if stock is None else size_words(stock.width, stock.height, design.about.unit)
        price = cost = ""
        if each.price is not None:
            price = f"{fixed(each.price, 2)} {each.currency}"
            cost = f"{fixed(each.price * count, 2)} {each.currency}"
        yield Bought(titled(each, design.about.unit), count, size, price, cost)


def _weights(design: Design) -> Iterator[Weight]:
    """Yield what each component weighs and where its middle lies, along x."""
    if design.weighed is None:
        return
    rows = []
    for id, own in by_owner(list(design.weighed.entries)):
        mass = weight_of(own)
        placed = [entry for entry in own if entry.at is not None]
        held = weight_of(placed)
        x = total(e.mass * e.at[0] for e in placed if e.at is not None) / held if held else None
        rows.append((x is None, x or 0.0, id, mass))
    for unplaced, x, id, mass in sorted(rows):
        yield Weight(id, grams(mass), "" if unplaced else place(design, x))
