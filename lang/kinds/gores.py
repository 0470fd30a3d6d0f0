"""A dome of gores to its part: one petal, cut as often as the dome needs it."""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from ringwright.geometry.bow.balance import centre_along
from ringwright.geometry.bow.gore import Gore
from ringwright.geometry.bow.petals import petals
from ringwright.geometry.mark import TICK
from ringwright.geometry.mass import measure
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bent, Edge, Mark, Part, Score, Vector
from ringwright.geometry.path import canonical, length, line, point_at
from ringwright.geometry.wrap.vector import plus, times
from ringwright.lang.kinds import bows, stacked

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker

PITCH = 3.0
"""How far apart the ticks of a group are, mm."""


def parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield the gore of a dome, of which it takes several. Raises GeometryError."""
    bows.counted(maker, component)
    made = bows.petal(maker, component)
    _report(maker, component, made)
    yield _part(maker, component, made)


def _part(maker: "Maker", component: "Component", made: Gore) -> Part:
    stock = maker.stock(component)
    id = f"{component.id}.gore"
    mate = stacked.mates(maker, component)[bows.closes_start(maker.tree, component)]
    scores = () if made.edge is None else (Score(made.edge, 2 * math.pi / made.number, "face"),)
    outline = canonical(made.outline)
    found = measure(outline, (), (), (), stock)._replace(centroid=_centre(maker, component, made))
    first, *others = _places(maker, component, made) or (None,)
    seam = Edge("seam", component.name, math.pi / made.number, made.seam)
    return Part(
        id=id, name=id, component=component.id, hand="", stock=stock,
        quantity=made.number * (maker.count(maker.parent(component), "quantity") or 1), outline=outline, holes=(), far=(),
        scores=scores, peels=(), marks=tuple(_marks(made, mate)), centres=(), notes=_notes(made, stock.thickness),
        edges=(Edge("rim", mate, 0.0, made.width), seam, seam), grain="free", placement=first, properties=found,
        others=tuple(filter(None, others)),
    )  # fmt: skip


def _notes(made: Gore, thickness: float) -> tuple[str, ...]:
    notes = ["inside up", f"{made.number} make the dome"]
    if made.edge is not None:
        notes.append("fold the tabs and glue them under the next")
    elif thickness >= 1.0:
        notes.append(f"seams bevelled {short(math.degrees(math.pi / made.number), 1)}°")
    return tuple(notes)


def _marks(made: Gore, mate: str) -> Iterator[Mark]:
    """Yield ticks at the same lengths along both seams, in groups of one, two and three, and one amid the rim."""
    right = made.side
    whole = length(right)
    said = f"to {mate}" if mate else ""
    yield Mark(line([(0.0, 0.0), (0.0, TICK)]), "notch", said)
    for group in (1, 2, 3):
        for tick in range(group):
            run = whole * group / 4 + (tick - (group - 1) / 2) * PITCH
            (x, y), (dx, dy) = point_at(right, run)
            if x < TICK:
                continue  # too narrow there for two ticks that can be told apart
            long = min(TICK, x / 3)
            inner = (x - long * dy, y + long * dx)
            yield Mark(line([(x, y), inner]), "notch")
            yield Mark(line([(-x, y), (-inner[0], inner[1])]), "notch")


def _centre(maker: "Maker", component: "Component", made: Gore) -> Vector | None:
    """Return where the mass of all gores lies: on the axis."""
    stack = maker.parent(component)
    stand = stacked.stand(maker, stack)
    if not stand.placed:
        return None
    stock = maker.stock(component)
    along = centre_along(
        bows.path_of(maker, component), made.number, made.fit, stock.thickness, stock.neutral
    )
    origin, way = _origin(maker, component, stand)
    return plus(origin, times(stand.axis, way * along))


def _places(maker: "Maker", component: "Component", made: Gore) -> tuple[Bent, ...]:
    """Return where all gores sit; nowhere where their stack has no place."""
    stand = stacked.stand(maker, maker.parent(component))
    if not stand.placed:
        return ()
    stock = maker.stock(component)
    origin, way = _origin(maker, component, stand)
    depth = (1.0 - stock.neutral) * stock.thickness
    return petals(
        made, bows.path_of(maker, component), depth, origin, times(stand.axis, way), stand.top, stand.right
    )


def _origin(maker: "Maker", component: "Component", stand: stacked.Stand) -> tuple[Vector, float]:
    """Return where a dome's profile has its 0, and whether it runs with its stack (+1) or against it (-1)."""
    start, end = stacked.places(maker, component)
    closes_start = bows.closes_start(maker.tree, component)
    return stand.at(end if closes_start else start), -1.0 if closes_start else 1.0


def _report(maker: "Maker", component: "Component", made: Gore) -> None:
    said = bows.how_near(made.inside, made.outside, "the dome")
    where = {
        "middles": "at their corners",
        "corners": "at their middles",
        "balanced": "at middles and corners",
    }
    other = bows.by_rings(bows.path_of(maker, component), max(made.inside, made.outside))
    maker.note(
        "how-near",
        f"the {made.number} gores of '{component.id}' lie {said}, {where[made.fit]}{other}",
        component.span,
    )


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return how near the gores come, and what all of them are together."""
    made = bows.petal(maker, component)
    part = _part(maker, component, made)
    found = {
        "worst_deviation": max(made.inside, made.outside),
        "area": made.number * part.properties.area,
        "cut_length": made.number * part.properties.cut_length,
    }
    if part.properties.mass is not None:
        found["mass"] = made.number * part.properties.mass
    return found
