"""The other hand of a part: what a mirror set along the aircraft shows.

The drawing is turned over (x becomes -x) and the placement with it, so that the same face stays up; only a face that
looks sideways changes its name.
"""

from ringwright.geometry.part import (
    Bent,
    Centre,
    Facet,
    Flat,
    MassProperties,
    Part,
    Placement,
    Rolled,
    Vector,
)
from ringwright.geometry.path import Path, as_hole, canonical, mirrored, moved

SIDES = {"port face up": "starboard face up", "starboard face up": "port face up"}


def other_hand(part: Part, id: str, hand: str) -> Part:
    """Return the mirror image of a part across the aircraft's plane of symmetry, under an id and hand of its own."""
    shift = 0.0
    if isinstance(part.placement, Rolled) and part.placement.to_apex == 0.0:
        # A barrel's blank keeps its lower left corner at the origin.
        shift = part.placement.start_radius * abs(part.placement.sweep)

    def over(path: Path) -> Path:
        return moved(mirrored(path), (shift, 0.0)) if shift else mirrored(path)

    return part._replace(
        id=id,
        hand=hand,
        outline=canonical(over(part.outline)),
        holes=tuple(as_hole(over(hole)) for hole in part.holes),
        far=tuple(over(path) for path in part.far),
        scores=tuple(score._replace(path=over(score.path)) for score in part.scores),
        peels=tuple(canonical(over(path)) for path in part.peels),
        grooves=tuple(groove._replace(path=canonical(over(groove.path))) for groove in part.grooves),
        marks=tuple(mark._replace(path=over(mark.path)) for mark in part.marks),
        centres=tuple(Centre((shift - centre.at[0], centre.at[1]), centre.arm) for centre in part.centres),
        notes=tuple(SIDES.get(note, note) for note in part.notes),
        placement=None if part.placement is None else _placement(part.placement),
        properties=_properties(part.properties),
        others=tuple(map(_placement, part.others)),
        bared=tuple(canonical(over(path)) for path in part.bared),
        bevels=tuple(bevel._replace(path=over(bevel.path)) for bevel in part.bevels),
    )


def _across(vector: Vector) -> Vector:
    x, y, z = vector
    return x, -y + 0.0, z


def _placement(placement: Placement) -> Placement:
    if isinstance(placement, Flat):
        x, y, z = _across(placement.u)
        return Flat(_across(placement.origin), (-x + 0.0, -y + 0.0, -z + 0.0), _across(placement.v))
    if isinstance(placement, Bent):
        return placement._replace(facets=tuple(map(_facet, placement.facets)))
    return placement._replace(
        origin=_across(placement.origin),
        axis=_across(placement.axis),
        top=_across(placement.top),
        right=_across(placement.right),
        turn_at_seam=placement.turn_at_seam + placement.sweep,
        sweep=-placement.sweep,
    )


def _facet(facet: Facet) -> Facet:
    """A facet of the other hand: its corners the other way round, so that they stay anticlockwise."""
    (a, b, c), (p, q, r) = facet
    flat = tuple((0.0 - x, y) for x, y in (a, c, b))
    return Facet((flat[0], flat[1], flat[2]), (_across(p), _across(r), _across(q)))


def _properties(properties: MassProperties) -> MassProperties:
    centroid = properties.centroid
    return properties if centroid is None else properties._replace(centroid=_across(centroid))
