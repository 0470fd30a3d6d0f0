"""What is to be bought and what it costs, as `build` says it. Currencies are summed, never converted."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from ringwright.backends.sizes import length_words
from ringwright.geometry.lengths import Bar
from ringwright.geometry.numbers import fixed, total
from ringwright.geometry.part import Sheet
from ringwright.lang.commands.balance_lines import Line
from ringwright.lang.commands.common import counted
from ringwright.lang.design.on_hand import OnHand
from ringwright.lang.design.shopping import Bought


def bill(
    bought: Sequence[Bought], sheets: Sequence[Sheet], on_hand: Mapping[str, OnHand], unit: str
) -> Iterator[Line]:
    """Yield what is taken of what is on hand, what is to be bought beside it, and the sum of all prices.

    sheets: all that the layout takes, offcuts among them. unit: of lengths, 'mm' or 'in'.
    """
    taken = {each.id: [sheet for sheet in sheets if sheet.stock.name == each.id] for each in bought}
    counts = to_buy(bought, sheets, on_hand)
    told = [each for each in bought if each.sheet and taken[each.id] and each.id in on_hand]
    for each in told:
        head = "hand" if each is told[0] else ""
        yield Line(head, _of_hand(each.id, taken[each.id], on_hand[each.id], counts[each.id]))
    listed = [each for each in bought if counts[each.id] and (not each.sheet or each.id in on_hand)]
    for each in listed:
        count = counts[each.id]
        price = "" if each.price is None else f", {fixed(each.price * count, 2)} {each.currency}"
        yield Line("buy" if each is listed[0] else "", f"{count} × {titled(each, unit)}{price}")
        yield from (Line("", f"    {_of_bar(bar)}") for bar in each.bars)
    cost = cost_of(bought, counts)
    if cost:
        yield Line("price", cost)


def cost_of(bought: Sequence[Bought], counts: Mapping[str, int]) -> str:
    """Return the sum of all prices by currency, and what has none; '' where nothing has. counts: how many to buy, by id."""
    sums: dict[str, list[float]] = {}
    unpriced = []
    for each in bought:
        count = counts[each.id]
        if count and each.price is not None:
            sums.setdefault(each.currency, []).append(each.price * count)
        elif count:
            unpriced.append(each.id)
    if sums:
        whole = ", ".join(
            f"{fixed(total(prices), 2)} {currency}" for currency, prices in sorted(sums.items())
        )
        left = f"; no price is given for {', '.join(unpriced)}" if unpriced else ""
        return f"{whole} for whole sheets and bought parts{left}"
    return ""


def titled(each: Bought, unit: str) -> str:
    """Return what to ask for, with its thickness or its section and length: 'spruce, 4 × 4 mm, 1000 mm long'."""
    if len(each.sizes) == 3:
        width, height, long = (length_words(size, unit) for size in each.sizes)
        return f"{each.title}, {width.rpartition(' ')[0]} × {height}, {long} long"
    return ", ".join((each.title, *(length_words(size, unit) for size in each.sizes)))


def _of_bar(bar: Bar) -> str:
    """Return '2 × longeron 465, strut 76.2; 95 mm left'."""
    counts = Counter(bar.pieces)
    cut = [
        f"{f'{count} × ' if count > 1 else ''}{name} {fixed(long, 1)}"
        for (name, long), count in counts.items()
    ]
    return f"{', '.join(cut)} mm; {fixed(bar.left, 0)} mm left"


def to_buy(
    bought: Sequence[Bought], sheets: Sequence[Sheet], on_hand: Mapping[str, OnHand]
) -> dict[str, int]:
    """Return how many of each are missing, by id: of sheets those beyond what is there."""
    whole = Counter(sheet.stock.name for sheet in sheets if sheet.offcut is None)
    there = {id: hand.sheets or 0 for id, hand in on_hand.items()}
    return {
        each.id: max(0, whole[each.id] - there.get(each.id, 0)) if each.sheet else each.count
        for each in bought
    }


def _of_hand(stock: str, taken: Sequence[Sheet], hand: OnHand, missing: int) -> str:
    """Return '2 of 3 sheets of board, offcuts corner, strip' and what else there is to say of it."""
    offcuts = [sheet.offcut.name for sheet in taken if sheet.offcut is not None]
    whole = sum(1 for sheet in taken if sheet.offcut is None)
    said = []
    if hand.sheets and whole:
        said.append(f"{whole - missing} of {counted(hand.sheets, 'sheet')}")
    if offcuts:
        said.append(f"{'offcut' if len(offcuts) == 1 else 'offcuts'} {', '.join(offcuts)}")
    left = [offcut.name for offcut in hand.offcuts if offcut.name not in offcuts]
    also = f"; nothing is cut from {', '.join(left)}" if left else ""
    return f"of {stock} {' and '.join(said) if said else 'nothing'} taken{also}"
