"""What is to be bought and what all of it costs, as `build` says it. Currencies are summed, never converted."""

from collections.abc import Iterator, Mapping, Sequence

from ringwright.geometry.numbers import fixed, total
from ringwright.lang.commands.balance_lines import Line
from ringwright.lang.design.shopping import Bought


def bill(bought: Sequence[Bought], sheets: Mapping[str, int]) -> Iterator[Line]:
    """Yield the bought parts and the sum of all prices; sheets: how many of each stock the layout takes."""
    pieces = [each for each in bought if not each.sheet]
    for each in pieces:
        price = "" if each.price is None else f", {fixed(each.price * each.count, 2)} {each.currency}"
        yield Line("buy" if each is pieces[0] else "", f"{each.count} × {each.title}{price}")
    sums: dict[str, list[float]] = {}
    unpriced = []
    for each in bought:
        count = sheets.get(each.id, 0) if each.sheet else each.count
        if count and each.price is not None:
            sums.setdefault(each.currency, []).append(each.price * count)
        elif count:
            unpriced.append(each.id)
    if sums:
        whole = ", ".join(
            f"{fixed(total(prices), 2)} {currency}" for currency, prices in sorted(sums.items())
        )
        left = f"; no price is given for {', '.join(unpriced)}" if unpriced else ""
        yield Line("price", f"{whole} for whole sheets and bought parts{left}")
