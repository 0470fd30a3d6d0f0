"""All parts that a solved design allows, and what is measured from them."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.nest.fits import fits
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Part
from ringwright.geometry.path import bounds
from ringwright.lang.components.names import station_of
from ringwright.lang.components.tree import Component, Tree, with_makes
from ringwright.lang.design.cures import given_hands, helped
from ringwright.lang.design.hands import handed
from ringwright.lang.design.ledger import as_weighed, stacks_as_weighed
from ringwright.lang.design.making import Maker, Refusal, Unsettled
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.kinds.kind import Measure
from ringwright.lang.units import Dimension

MOST_COPIES = 20_000
LEAST_SIZE = 0.5
"""What is narrower no tool cuts, mm. Our choice."""


def of_parts(parts: tuple[Part, ...]) -> dict[str, float]:
    """Return area, mass and cut length of one of a component: its pieces and straps, of one hand alone.

    A part in several layers is one part in several copies: of one copy, as everywhere.
    """
    if not parts:
        return {}
    parts = tuple(part for part in parts if part.hand == parts[0].hand)
    copies = min(part.quantity for part in parts)
    found = {
        "area": sum(part.properties.area * part.quantity / copies for part in parts),
        "cut_length": sum(part.properties.cut_length * part.quantity / copies for part in parts),
    }
    masses = [part.properties.mass for part in parts]
    if all(mass is not None for mass in masses):
        found["mass"] = sum((part.properties.mass or 0.0) * part.quantity / copies for part in parts)
    return found


class Products(NamedTuple):
    """What the design gave: parts by id, measures of them with their dimensions, and what was refused.

    unmade: of each component left out for want of a value, which is an error where nothing else has been said.
    """

    parts: tuple[Part, ...]
    measured: dict[str, float]
    dimensions: dict[str, Dimension]
    refused: tuple[Diagnostic, ...]
    unmade: tuple[Diagnostic, ...]


def make(tree: Tree, maker: Maker) -> Products:
    """Make all parts that the values allow, and what is measured from them."""
    parts: list[Part] = []
    measured: dict[str, float] = {}
    dimensions: dict[str, Dimension] = {}
    refused: list[Diagnostic] = []
    unmade: list[Diagnostic] = []
    for component in tree.components.values():
        said, warned = len(refused), len(maker.findings)
        made, found = _made(maker, component, refused, unmade)
        parts.extend(made)
        unfit = next(filter(None, (fits(part, maker.cutting) or _too_small(part) for part in made)), None)
        if unfit is not None:  # pieces are alike: the first says it for all
            refused.append(Diagnostic(unfit.code, "error", str(unfit), component.span))
        for measure in component.kind.forward:
            if measure.name in found:
                measured[f"{component.id}.{measure.name}"] = found[measure.name]
                dimensions[f"{component.id}.{measure.name}"] = measure.dimension
        for name, measure in _numbered(component, found):
            measured[f"{component.id}.{name}"] = found[name]
            dimensions[f"{component.id}.{name}"] = measure.dimension
        with_makes(tree.components, component, refused, said)
        with_makes(tree.components, component, maker.findings, warned)
    parts, twice = handed(maker, stacks_as_weighed(tree, maker, parts))
    refused += [given_hands(tree, id, e) for id, e in twice]
    refused[:] = map(helped, refused)
    if sum(part.quantity for part in parts) > MOST_COPIES:
        most = max(parts, key=lambda part: (part.quantity, part.id))
        refused.append(
            Diagnostic(
                "too-many-parts", "error", f"a spec is laid out with at most {MOST_COPIES} parts, copies included",
                tree.components[most.component].span,
            )
        )  # fmt: skip
    return Products(
        tuple(sorted(parts, key=lambda part: part.id)), measured, dimensions, tuple(refused), tuple(unmade)
    )


def _numbered(component: Component, found: Mapping[str, float]) -> Iterator[tuple[str, Measure]]:
    """Yield the names of what is known of each of the pieces that a component is made as: '2.slant'."""
    known = {measure.name: measure for measure in component.kind.numbered}
    for name in found:
        number, _, of_piece = name.partition(".")
        if number.isdigit() and of_piece in known:
            yield name, known[of_piece]


def _made(
    maker: Maker, component: Component, refused: list[Diagnostic], unmade: list[Diagnostic]
) -> tuple[tuple[Part, ...], dict[str, float]]:
    """Return the parts of a component and its measures; none where it is refused, or left unmade for want of a value."""
    try:
        group = _group(maker, component)
        made = as_weighed(maker, component, tuple(component.kind.parts(maker, component)))
        made = tuple(part._replace(together=group) for part in made) if group else made
        return made, {**of_parts(made), **component.kind.measures(maker, component)}
    except Unsettled as unsettled:
        message = f"'{component.id}' cannot be made: nothing says '{unsettled}'"
        unmade.append(Diagnostic("not-known", "error", message, component.span))
    except GeometryError as error:
        span = error.span if isinstance(error, Refusal) else component.span
        which, labels = _which(maker, component)
        refused.append(Diagnostic(error.code, "error", which + str(error), span, labels))
    except (ArithmeticError, ValueError):
        message = f"the sizes of this {component.kind.name} are beyond what can be reckoned with"
        refused.append(Diagnostic("not-finite", "error", message, component.span))
    return (), {}


def _which(maker: Maker, component: Component) -> tuple[str, tuple[Label, ...]]:
    """Return which former is meant, and the row of its station, where one statement stands for many of them."""
    source = maker.tree.sources.get(component.span.source)
    if component.kind.name != "former" or component.made is not None or source is None:
        return "", ()
    if source.words(component.span) == component.name:
        return "", ()
    station = station_of(maker.tree, component)
    row = () if station is None else (Label(maker.tree.components[station].span, "its station"),)
    return f"former '{component.name}': ", row


def _group(maker: Maker, component: Component) -> str:
    """Return what a component, or one that it stands in, is to be laid on one sheet with; '' for nothing."""
    while "together" not in component.properties and component.parent:
        component = maker.parent(component)
    return maker.text(component, "together") if "together" in component.properties else ""


def _too_small(part: Part) -> GeometryError | None:
    """Return what is wrong with a part that no tool cuts."""
    left, low, right, high = bounds(part.outline)
    if min(right - left, high - low) >= LEAST_SIZE:
        return None
    size = f"{short(right - left, 3)} by {short(high - low, 3)} mm"
    return GeometryError("no-size", f"'{part.id}' would be {size}: there is nothing left to cut")
