"""No kind: where the ribs of a surface stand."""

from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.numbers import ceil_safe, short
from ringwright.geometry.part import Stock
from ringwright.geometry.wing.planform import Panel, at
from ringwright.lang.design.making import Refusal
from ringwright.lang.kinds.surface import Lifted, beyond
from ringwright.lang.values.value import Amount, Items

if TYPE_CHECKING:
    from ringwright.lang.design.making import Maker

MOST_RIBS = 200
CLOSE = 1e-6


class Rib(NamedTuple):
    """A rib. number: of its panel, from 0. along: of its middle plane along the panel, mm. lean: of its plane, rad; None
    where it stands square to the panel.
    """

    number: int
    along: float
    lean: float | None


def ribs_of(maker: "Maker", of: Lifted) -> list[Rib]:
    """Return where ribs stand, root first; none in what is folded, unless it is given some. Raises GeometryError."""
    stock = maker.stock(of.component)
    value = maker.value(of.component, "ribs")
    if isinstance(value, Items):
        return _listed(maker, of, stock, value)
    if not isinstance(value, Amount):
        if maker.word(of.component, "build") == "folded":
            return []
        message = f"nothing says where the ribs of '{of.component.id}' stand"
        raise Refusal(
            "missing-property", f"{message}: write ribs = 60 mm, or ribs = [0, 60, 120] mm", of.component.span
        )
    apart = maker.amount(value)
    span = of.component.properties["ribs"].value.span
    if apart <= stock.thickness:
        raise Refusal("no-size", f"ribs {short(apart, 2)} mm apart leave nothing between them", span)
    found: list[Rib] = []
    half = stock.thickness / 2
    for number, panel in enumerate(of.panels):
        count = max(1, ceil_safe(panel.long / apart))
        if count > MOST_RIBS:
            raise Refusal("too-many-parts", f"a panel has at most {MOST_RIBS} ribs, not {count}", span)
        kinked_in = number == 0 or abs(of.panels[number - 1].rise - panel.rise) > CLOSE
        last = number + 1 == len(of.panels)
        kinked_out = last or abs(of.panels[number + 1].rise - panel.rise) > CLOSE
        found.append(Rib(number, half, panel.lean_in) if kinked_in else Rib(number, 0.0, None))
        found += [Rib(number, panel.long * k / count, None) for k in range(1, count)]
        if kinked_out:
            found.append(Rib(number, panel.long - half, panel.lean_out))
    return found


def _listed(maker: "Maker", of: Lifted, stock: Stock, listed: Items) -> list[Rib]:
    found: list[Rib] = []
    half = stock.thickness / 2
    for y in sorted(maker.amount(item) for item in listed.items):
        if y > of.half + CLOSE:
            raise beyond("a rib", y, of.half, of.component.properties["ribs"].value.span)
        if y < -CLOSE:
            span = of.component.properties["ribs"].value.span
            raise Refusal("beyond-span", f"a rib is {short(-y, 2)} mm on the other side of the root", span)
        panel, along = at(of.panels, min(y, of.half))
        number = of.panels.index(panel)
        if along <= half + CLOSE and number == 0:
            found.append(Rib(number, half, panel.lean_in))
        elif along >= panel.long - half - CLOSE and number + 1 == len(of.panels):
            found.append(Rib(number, panel.long - half, panel.lean_out))
        elif along >= panel.long - CLOSE and abs(of.panels[number + 1].rise - panel.rise) > CLOSE:
            found.append(Rib(number, panel.long - half, panel.lean_out))
            found.append(Rib(number + 1, half, of.panels[number + 1].lean_in))
        else:
            found.append(Rib(number, along, None))
    return found


def is_twisted(panel: Panel) -> bool:
    """Whether a sheet over a panel lies elsewhere than straight lines between like places of its two sections."""
    a, b = panel.inner, panel.outer
    return abs(a.twist - b.twist) > CLOSE or a.profile != b.profile
