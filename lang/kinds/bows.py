"""What bows and domes have in common: how many cones or gores come how near to a profile."""

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, bounds, mirrored, moved, reversed_path
from ringwright.lang.design.making import Maker
from ringwright.lang.kinds import element, profile
from ringwright.lang.kinds.kind import Property
from ringwright.lang.units import NUMBER

# Every stack asks whether it has bows in it; how they are worked out is loaded where one has.
if TYPE_CHECKING:
    from ringwright.geometry.bow.cones import Bow
    from ringwright.geometry.bow.gore import Gore
    from ringwright.lang.components.tree import Component, Tree
    from ringwright.lang.design.elaborate import Elaboration

TABS: Mapping[str, float] = {"card": 5.0, "paper": 5.0}
"""Depth of the tabs on gores by the kind of their stock, mm; all else is butted. Common practice, no published source."""

PITCH = 6.0


def count_of(doc: str, high: int) -> Property:
    """Return the property that says how many pieces there are."""
    return Property("count", "amount", doc, "count = 4", NUMBER, low=1.0, high=float(high))


TOLERANCE = Property(
    "tolerance",
    "amount",
    "how near they must come: there are as many as that takes, and no more",
    "tolerance = 0.5 mm",
    optional=True,
    low=1e-3,
    high=1e3,
)
NEAREST = Property(
    "nearest",
    "flag",
    "whether joints may leave the profile, which brings the cones nearer to it by a third to a half",
    "nearest = yes",
    default=False,
    shown="no",
)


def bends(component: "Component") -> bool:
    """Return whether an element is made as several cones."""
    build = component.properties.get("build")
    return component.kind.name == "cones" or (
        build is not None and getattr(build.value, "parts", ()) == ("cones",)
    )


def closes_start(tree: "Tree", component: "Component") -> bool:
    """Return whether a dome closes the start of its stack, so that its rim is its end."""
    stack = tree.components[component.parent]
    passing = [name for name in stack.children if tree.components[f"{stack.id}.{name}"].kind.name != "plate"]
    return len(passing) > 1 and passing[0] == component.name


# -- before solving ---------------------------------------------------------------------------------


def own_inputs(elaboration: "Elaboration", component: "Component") -> tuple[str, ...]:
    """Return the unknowns that a bow or dome follows from, that of its count apart."""
    own = ["length", "start", "end"]
    if component.kind.name == "dome" and is_ellipsoid(elaboration.tree, component):
        own.append("depth")
    if elaboration.states(component, "tolerance"):
        own.append("tolerance")
    names = [elaboration.unknown(component, name).name for name in own]
    if profile.given(component):
        return (*names, *profile.inputs(elaboration, component))
    stack = elaboration.tree.components[component.parent]
    before = element.before(elaboration, stack, component)
    lengths = (elaboration.unknown(other, "length").name for other in before)
    return (*lengths, *names, *profile.inputs(elaboration, stack))


def is_ellipsoid(tree: "Tree", component: "Component") -> bool:
    """Return whether neither a dome nor its stack has a profile: then it is half an ellipsoid."""
    return not any(profile.given(c) for c in (component, tree.components[component.parent]))


# -- what is made -----------------------------------------------------------------------------------


def path_of(maker: Maker, component: "Component") -> Path:
    """Return the profile that a bow or a dome follows, begun at 0; a dome's from its rim. Raises GeometryError."""
    if component.kind.name == "cones":
        return profile.of_element(maker, component)
    if profile.given(component):
        own = profile.of(maker, component)
        return moved(own, (-own.points[0][0], 0.0))
    if not is_ellipsoid(maker.tree, component):
        path = profile.of_element(maker, component)
        return turned_round(path) if closes_start(maker.tree, component) else path
    rim, tip = ("end", "start") if closes_start(maker.tree, component) else ("start", "end")
    from ringwright.geometry.bow.dome import dome

    return dome(maker.number(component, rim), maker.number(component, "depth"), maker.number(component, tip))


def turned_round(path: Path) -> Path:
    """Return a profile as it is seen from its other end."""
    return moved(reversed_path(mirrored(path)), (path.points[0][0] + path.points[-1][0], 0.0))


def asked(maker: Maker, component: "Component") -> tuple[int | None, float | None]:
    """Return the count that is asked for, or the tolerance. Raises Unsettled."""
    if maker.value(component, "tolerance") is not None:
        return None, maker.number(component, "tolerance")
    # Where the solver asks what a change would do, a count may come a hair off.
    return max(1, round(maker.number(component, "count"))), None


def counted(maker: Maker, component: "Component") -> None:
    """Refuse a count that came out as no whole number. Raises GeometryError."""
    count = maker.number(component, "count")
    if abs(count - round(count)) > 1e-6:
        raise GeometryError("not-whole", f"'{component.id}' would be made of {short(count, 3)} pieces")


def bow(maker: Maker, component: "Component") -> "Bow":
    """Return the cones of a bow or dome, a dome's from its rim. Raises GeometryError."""
    count, tolerance = asked(maker, component)
    nearest = component.kind.name == "cones" and maker.flag(component, "nearest")
    path = path_of(maker, component)
    if path.points[-1][1] < 1e-6 or path.points[0][1] < 1e-6:
        raise GeometryError(
            "closed-bow",
            f"'{component.id}' comes to a point, and a ring of sheet cannot: leave an opening there,"
            " and close it with a plate",
        )
    return nearest_cones(path, count, tolerance, nearest)


@lru_cache(maxsize=64)
def nearest_cones(path: Path, count: int | None, tolerance: float | None, nearest: bool = False) -> "Bow":
    """Return the cones that come nearest to a profile, found once however often they are asked for."""
    from ringwright.geometry.bow.cones import cones

    return cones(path, count, tolerance, nearest)


def sizes(maker: Maker, component: "Component") -> tuple[tuple[float, float, float], ...]:
    """Return (start, end, length) of each cone of a bow or dome, mm, in the order of the stack. Raises GeometryError."""
    joints = bow(maker, component).joints
    if component.kind.name == "dome" and closes_start(maker.tree, component):
        joints = tuple((joints[-1][0] - along, radius) for along, radius in reversed(joints))
    # Its ends are those that its neighbours have, to the last digit.
    places = [*(along for along, _ in joints[:-1]), maker.number(component, "length")]
    diameters = [2 * radius for _, radius in joints]
    diameters[0], diameters[-1] = (maker.number(component, name) for name in ("start", "end"))
    every = range(len(joints) - 1)
    return tuple((diameters[i], diameters[i + 1], places[i + 1] - places[i]) for i in every)


def petal(maker: Maker, component: "Component") -> "Gore":
    """Return one of the gores of a dome. Raises GeometryError."""
    from ringwright.geometry.bow.gore import FITS

    count, tolerance = asked(maker, component)
    stock = maker.stock(component)
    fit = maker.word(component, "fit")
    assert fit in FITS
    given = maker.has(component, "tab")
    tab = maker.number(component, "tab") if given else TABS.get(stock.kind, 0.0)
    if not given and "tab" not in component.properties:
        maker.default(component, "tab", f"{short(tab, 1)} mm")
    depth = (1.0 - stock.neutral) * stock.thickness
    return _gore(path_of(maker, component), count, tolerance, fit, depth, tab)


@lru_cache(maxsize=64)
def _gore(
    path: Path, count: int | None, tolerance: float | None, fit: str, depth: float, tab: float
) -> "Gore":
    from ringwright.geometry.bow.gore import gore

    return gore(path, count, tolerance, fit, depth, tab, PITCH)


def how_near(inside: float, outside: float, what: str) -> str:
    """Return how near cones or gores come to what they follow."""
    said = [
        f"up to {short(off, 2)} mm {side}" for off, side in ((inside, "inside"), (outside, "outside")) if off
    ]
    return f"{' and '.join(said)} {what}" if said else f"on {what}"


def by_rings(path: Path, near: float) -> str:
    """Return what a dome of gores would take as rings within the same distance, in words."""
    from ringwright.geometry.bow.cones import MOST

    if near < 1e-3:
        return ""
    try:
        found = nearest_cones(path, None, near)
    except GeometryError:
        return f"; as rings it would take more than {MOST} within that"
    return f"; as rings it would take {found.number} within that"


def by_gores(path: Path, near: float, fit: str) -> str:
    """Return what a dome of rings would take as gores within the same distance, in words."""
    from ringwright.geometry.bow.gore import MOST, gore_count

    if near < 1e-3:
        return ""
    try:
        return f"; as gores it would take {gore_count(bounds(path)[3], near, fit)} within that"
    except GeometryError:
        return f"; as gores it would take more than {MOST} within that"
