"""What is bought for a model and what it costs, by the price of a sheet or of a piece."""

from typing import NamedTuple

from ringwright.lang.components.tree import Tree
from ringwright.lang.design.making import Maker, Unsettled
from ringwright.lang.values.value import Amount


class Bought(NamedTuple):
    """Something to buy.

    id: of a stock or a `buy`. title: what to ask for. count: how many pieces; of sheets the layout says. price: of one;
    None where it is not said. currency: its ISO 4217 code, '' without a price.
    """

    id: str
    title: str
    sheet: bool
    count: int  # type: ignore[assignment]
    price: float | None
    currency: str


def shopping(tree: Tree, maker: Maker) -> tuple[Bought, ...]:
    """Return stocks and bought parts, in the order of the text."""
    found = []
    for component in tree.components.values():
        sheet = component.kind.name == "stock"
        if not sheet and component.kind.name != "buy":
            continue
        try:
            value = maker.value(component, "price")
            price = maker.amount(value) if isinstance(value, Amount) else None
            currency = value.dimension.currency if isinstance(value, Amount) else ""
            count = 0 if sheet else maker.count(component, "count") or 1
            title = maker.text(component, "title") or component.name
        except Unsettled:
            continue
        found.append(Bought(component.id, title, sheet, count, price, currency))
    return tuple(found)
