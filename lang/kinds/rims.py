"""What a plate inside meets at a rim of a bow or of a dome of cones, as terms: known once its cones are."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from ringwright.lang.kinds import bows, hoops, profile
from ringwright.lang.kinds.hoops import Rim
from ringwright.lang.solve.terms import Term, Unknown

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration
    from ringwright.lang.design.making import Maker


def inside(elaboration: "Elaboration", host: "Component", end: str) -> Term:
    """Return the inside diameter at the 'start' or 'end' of a bow or dome."""
    return _term(elaboration, host, end, "inside diameter", lambda rim: rim.inside)


def taper(elaboration: "Elaboration", host: "Component", end: str) -> Term:
    """Return how much wider a bow or dome gets for each mm that one goes in from its 'start' or 'end'."""
    return _term(elaboration, host, end, "taper", lambda rim: rim.taper)


def half_angle(elaboration: "Elaboration", host: "Component", end: str) -> Term:
    """Return the half angle of the cone at the 'start' or 'end' of a bow or dome."""
    return _term(elaboration, host, end, "half angle", lambda rim: rim.half_angle)


def _term(
    elaboration: "Elaboration", host: "Component", end: str, what: str, read: Callable[[Rim], float]
) -> Term:
    thickness = elaboration.thickness(host)
    assert isinstance(thickness, Unknown)
    count = elaboration.unknown(host, "count").name

    def found(maker: "Maker") -> float:
        return read(hoops.rim_of(maker, host, end == "end", maker.values[thickness.name]))

    inputs = (*bows.own_inputs(elaboration, host), count, thickness.name)
    return profile.forward(elaboration, f"the {what} of {host.id} at its {end}", inputs, found)
