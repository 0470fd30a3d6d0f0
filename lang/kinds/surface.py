"""No kind: a wing, tail or fin once solved: its stations in space, and what its parts have in common."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mass import measure
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bevel, Centre, Edge, Flat, Mark, Part, Score, Stock
from ringwright.geometry.path import Path
from ringwright.geometry.wing.planform import Mount, Panel, Station, level, panels, upright
from ringwright.geometry.wing.profile import Profile, profile_of
from ringwright.lang.design.hands import hands_of, in_hands
from ringwright.lang.design.making import Refusal, Unsettled, blaming
from ringwright.lang.kinds import slot
from ringwright.lang.kinds.former import grain_of
from ringwright.lang.units import NUMBER
from ringwright.lang.values.value import Amount, Reference, ShapeOf

if TYPE_CHECKING:
    from ringwright.geometry.takeoff.aerofoil import Aerofoil
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from ringwright.lang.source import Span

TRACED_AT = 1000.0
"""Chord at which an aerofoil is taken down as points, mm."""


class Lifted(NamedTuple):
    """A surface as solved. mount: where its frame sits. panels: root first. twofold: it has two halves that meet."""

    component: "Component"
    mount: Mount
    stations: tuple[Station, ...]
    panels: tuple[Panel, ...]
    twofold: bool

    @property
    def half(self) -> float:
        """How far out its tip is, mm."""
        return self.stations[-1].y


def parts(maker: "Maker", component: "Component") -> Iterable[Part]:
    """Yield all that a surface is cut as. Raises GeometryError, Unsettled."""
    of = lifted(maker, component)
    if maker.word(component, "build") == "plate":
        from ringwright.lang.kinds import plates

        yield from plates.parts(maker, of)
    else:
        from ringwright.lang.kinds import ribbed

        yield from ribbed.parts(maker, of)


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Return how much the skins of a surface would have to stretch, where it has any."""
    if maker.word(component, "build") == "plate":
        return {}
    from ringwright.lang.kinds import covered

    strains = [one.made.strain for one in covered.covers(maker, lifted(maker, component))]
    return {"worst_strain": max(strains)} if strains else {}


def lifted(maker: "Maker", component: "Component") -> Lifted:
    """Return a surface with its stations in space, once however often it is asked for. Raises GeometryError, Unsettled."""
    if component.id not in maker.lifted:
        maker.lifted[component.id] = _lifted(maker, component)
    return maker.lifted[component.id]


def _lifted(maker: "Maker", component: "Component") -> Lifted:
    twofold = component.kind.name != "fin"
    half = maker.number(component, "span") / 2 if twofold else maker.number(component, "height")
    plate = maker.word(component, "build") == "plate"
    own = None if plate else aerofoil(maker, component)
    if not plate and own is None:
        raise GeometryError(
            "missing-property",
            f"{component.kind.name} '{component.id}' is built to a section, and nothing says which:"
            ' aerofoil = aerofoil("2412")',
        )
    stations = [Station("root", 0.0, maker.number(component, "root"), 0.0, 0.0, 0.0, own)]
    for section in maker.children(component, "section"):
        other = None if plate else aerofoil(maker, section)
        up = maker.number(section, "up") if twofold else 0.0
        y, chord, back, out = (maker.number(section, name) for name in ("at", "chord", "back", "washout"))
        _in_order(section, y, stations[-1], half)
        stations.append(Station(section.name, y, chord, back, up, -out, other or stations[-1].profile))
    washout = maker.number(component, "washout")
    up = maker.number(component, "tip_up") if twofold else 0.0
    stations.append(
        Station(
            "tip", half, maker.number(component, "tip"), maker.number(component, "tip_back"), up, -washout,
            stations[-1].profile,
        )
    )  # fmt: skip
    x, y, z = (maker.number(component, name) for name in ("x", "y", "z"))
    if plate and any(station.twist for station in stations):
        span = (
            component.properties["washout"].name_span if "washout" in component.properties else component.span
        )
        maker.warn(
            "without-effect",
            "a plate is flat: it takes no washout",
            span,
            "leave 'washout' out, or build it from ribs",
        )
    mount = level((x, y, z), maker.number(component, "incidence")) if twofold else upright((x, y, z))
    return Lifted(component, mount, tuple(stations), panels(stations, twofold), twofold)


def _in_order(section: "Component", y: float, before: Station, half: float) -> None:
    at = section.properties["at"].value.span
    if y >= half - 1e-6:
        raise Refusal(
            "beyond-span",
            f"section '{section.name}' is {short(y, 2)} mm out, {short(y - half, 2)} mm beyond the tip at {short(half, 2)} mm",
            at,
        )
    if y <= before.y + 1e-6:
        raise Refusal(
            "section-order",
            f"section '{section.name}' at {short(y, 2)} mm lies {short(before.y - y, 2)} mm further in than"
            f" '{before.name}', after which it is written",
            at,
        )


def aerofoil(maker: "Maker", component: "Component") -> Profile | None:
    """Return the section that a component is given, as points; None where it has none. Raises GeometryError."""
    found = maker.value(component, "aerofoil")
    if not isinstance(found, ShapeOf):
        return None
    with blaming(found.places[0] if found.places else found.span):
        return profile_of(_drawn(maker, component, found))


def _drawn(maker: "Maker", component: "Component", found: ShapeOf) -> "Aerofoil":
    name = found.arguments[0]
    assert isinstance(name, str)
    if found.function == "aerofoil":
        from ringwright.geometry.takeoff.naca import naca

        return naca(name, TRACED_AT)
    from ringwright.geometry.takeoff.ordinates import aerofoil_text

    section = aerofoil_text(maker.tree.attached[name].text, TRACED_AT)
    if section.notes:
        maker.note(
            "ordinates-mended", f"of the aerofoil in {name}, " + "; ".join(section.notes), found.places[0]
        )
    return section


# -- places ---------------------------------------------------------------------------------------


def behind_edge(maker: "Maker", component: "Component", name: str, chord: float) -> float:
    """Return how far a place lies behind the leading edge where the chord is so long: a length, or its share. mm."""
    value = maker.value(component, name)
    if not isinstance(value, Amount):
        raise Unsettled(f"{component.id}.{name}")
    number = maker.number(component, name)
    return number * chord if value.dimension == NUMBER else number


def stock_named(maker: "Maker", component: "Component", name: str) -> Stock | None:
    """Return the stock that a property names; None where it names none."""
    found = maker.value(component, name)
    return maker.of_stock(maker.tree.components[found.id]) if isinstance(found, Reference) else None


def fit_of(maker: "Maker", component: "Component", stock: Stock) -> float:
    """Return the room in slots for a bar: as given, or the habit of its stock, mm."""
    if maker.has(component, "fit"):
        return maker.number(component, "fit")
    fit = slot.fit_of(maker, maker.tree.components[stock.name])
    maker.default(component, "fit", f"{short(fit, 2)} mm")
    return fit


def beyond(what: str, y: float, half: float, span: "Span") -> Refusal:
    """Return what is said of something that lies further out than the tip."""
    return Refusal(
        "beyond-span",
        f"{what} is {short(y, 2)} mm out, {short(y - half, 2)} mm beyond the tip at {short(half, 2)} mm",
        span,
    )


# -- parts ----------------------------------------------------------------------------------------


class Piece(NamedTuple):
    """What is drawn of a flat piece before it is a part. id: behind that of its component."""

    id: str
    outline: Path
    holes: tuple[Path, ...] = ()
    scores: tuple[Score, ...] = ()
    marks: tuple[Mark, ...] = ()
    centres: tuple[Centre, ...] = ()
    notes: tuple[str, ...] = ()
    edges: tuple[Edge, ...] = ()
    bevels: tuple[Bevel, ...] = ()


def flat_part(of: Lifted, piece: Piece, stock: Stock, placement: Flat) -> Part:
    """Return a flat piece of a surface as a part."""
    id = of.component.id + (f".{piece.id}" if piece.id else "")
    return Part(
        id=id, name=id, component=of.component.id, hand="", stock=stock, quantity=1, outline=piece.outline,
        holes=piece.holes, far=(), scores=piece.scores, peels=(), marks=piece.marks, centres=piece.centres,
        notes=piece.notes, edges=piece.edges, grain=grain_of(stock.grain, piece.outline), placement=placement,
        properties=measure(piece.outline, piece.holes, (), (), stock, placement), bevels=piece.bevels,
    )  # fmt: skip


def handed(maker: "Maker", of: Lifted, part: Part) -> list[Part]:
    """Return a part of one half in the hands that are wanted: it is drawn as the right one."""
    if hands_of(maker, of.component.id):
        return [part]
    wanted = maker.word(of.component, "hand")
    return in_hands(part, "right", wanted) if wanted else [part]


def degrees(angle: float) -> str:
    """Return an angle as it stands on a part."""
    return f"{short(math.degrees(abs(angle)), 1)}°"
