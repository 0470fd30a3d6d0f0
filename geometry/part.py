"""Parts and sheets: the values that travel from kinds to nesting to drawings. All immutable; mm, radians,
grams.
"""

from typing import NamedTuple, TypeAlias

from ringwright.geometry.path import Path, Point, bounds

Vector: TypeAlias = tuple[float, float, float]


class Stock(NamedTuple):
    """A sheet material as bought.

    name: as the spec calls it. kind: foamboard, foam, card, paper, balsa, ply, film. thickness: mm.
    width, height: of one sheet, mm. grain: 'along_width', 'along_height' or 'none'. areal_mass: g per mm2,
    None where the text does not say. facing: thickness of the paper face, mm. facing_mass: g per mm2 of one
    paper face, None where not said. bend: 'peeled', 'scored' or 'plain'. neutral: fraction 0 (inner face) … 1
    (outer face).
    min_radius: mm, bent as it is. plain_radius: mm, tightest bend that it takes with both its papers on; 0 where it is
    never bent with one of them off.
    """

    name: str
    title: str
    kind: str
    thickness: float
    width: float
    height: float
    grain: str
    areal_mass: float | None
    facing: float
    facing_mass: float | None
    bend: str
    neutral: float
    min_radius: float
    plain_radius: float = 0.0


class Score(NamedTuple):
    """A bend line: path in the part's frame, angle of the bend (rad), side it is cut from ('inside',
    'face').
    """

    path: Path
    angle: float
    side: str


class Mark(NamedTuple):
    """A thin line that is drawn, not cut.

    kind: 'datum', 'top', 'mate', 'notch', 'bevel', 'line'. text: what stands beside it ('to drum', '2.2 mm
    (24.4°)'), or ''.
    """

    path: Path
    kind: str
    text: str = ""


class Groove(NamedTuple):
    """A channel that is cut from the side that is drawn.

    path: closed; depth: mm, to the far facing; width: greatest, mm, square to it. text: what goes in, or ''.
    """

    path: Path
    depth: float
    width: float
    text: str = ""


class Centre(NamedTuple):
    """A centre cross: place, and half length of its arms in mm."""

    at: Point
    arm: float


class Bevel(NamedTuple):
    """A stretch of a flat part's edge that is not cut square.

    path: along the outline. drawn, back: how far the edge lies inside the outline on the drawn face, and on the other
    one, mm.
    """

    path: Path
    drawn: float
    back: float


class Edge(NamedTuple):
    """One edge of a part and what it meets.

    name: 'start rim', 'end rim', 'seam', 'rim'. mate: id of the part it meets, or ''. bevel: rad against
    square. length: mm, along the edge as drawn. face: the one that a bevel takes from, 'fore' or 'aft' of a former,
    'inside' or 'outside' of a skin, '' where it is neither or is said elsewhere.
    """

    name: str
    mate: str
    bevel: float
    length: float
    face: str = ""


class Flat(NamedTuple):
    """Where a flat part sits: (x, y) of its frame goes to origin + x u + y v, all mm; u, v are unit vectors.

    That is the face that is drawn; the sheet's thickness lies behind it, against u × v.
    """

    origin: Vector
    u: Vector
    v: Vector


class Rolled(NamedTuple):
    """Where a piece of a ring's blank sits when it is bent, inside in: see `geometry/place.py`.

    A point of the blank becomes a distance along the slant from the start rim and a turn about the axis: for
    a cone from its polar form about the apex, for a barrel from (x along the circumference, y from the start
    rim). origin: centre of the start rim; axis: unit vector from start to end; top: unit vector to turn 0;
    right: to turn pi/2, so that turn grows clockwise as seen from the tail looking forward for an axis along
    the aircraft, whichever way it runs. start_radius, end_radius: mm, of the layer that is drawn. length:
    along the axis. slant: of the blank. to_apex: radius of the start rim on a cone's blank, 0 for a barrel.
    turn_at_seam: rad, turn of the piece's first straight edge (x = 0, or the start of the angle). sweep: rad
    of turn from there to its last edge (2 pi in all), + where turn grows that way.
    """

    origin: Vector
    axis: Vector
    top: Vector
    right: Vector
    start_radius: float
    end_radius: float
    length: float
    slant: float
    to_apex: float
    turn_at_seam: float
    sweep: float


class Facet(NamedTuple):
    """A flat triangle of a bent sheet: its corners in the drawing, anticlockwise, and the same ones in space."""

    flat: tuple[Point, Point, Point]
    space: tuple[Vector, Vector, Vector]


class Bent(NamedTuple):
    """Where a bent sheet sits: its triangles, each flat both in the drawing and in space, on the layer that is drawn.

    The drawn face is the one that has a triangle's corners anticlockwise in space, too. plane: normal of the planes in
    which its rims are cut, None where they are cut square to the sheet.
    """

    facets: tuple[Facet, ...]
    plane: Vector | None = (1.0, 0.0, 0.0)


Placement: TypeAlias = Flat | Rolled | Bent


class MassProperties(NamedTuple):
    """area: mm2 of one copy. mass: g of one copy, None where the stock has no mass. cut_length: mm of all cut
    lines.

    centroid: (x, y, z) in the aircraft, mm; None where the part has no place. paper: mm2 of facing that weigh with it where
    the foam is gone, less what has been taken off the sheet; 0 where the stock does not say what a facing weighs.
    """

    area: float
    mass: float | None
    cut_length: float
    centroid: Vector | None
    paper: float = 0.0


class Part(NamedTuple):
    """One piece to be cut, flat, in a frame of its own (see the language page: y right, z up for plates and
    formers; cone blanks have their apex at the origin and lie symmetric about +y; barrel blanks have their
    lower left corner at the origin and x along the circumference).

    id: path in the main file ('cowl.mid', 'cowl.mid.1'). name: what stands first on it (the id, usually).
    outline: anticlockwise, starts at its smallest (x, y). holes: clockwise. far: cut to the far paper, not
    through.
    grooves: channels cut from the drawn side. peels: areas whose foam is taken away. notes: lines for its label, most needed first ('inside up', 'bevel
    2.2 mm (24.4°) both rims'). grain: 'along' (its x runs along the stock's grain), 'across' or 'free'.
    together: id of a group that should stay together on the sheet, or ''.
    others: where further copies sit, each in a place of its own. bevels: edges that are not cut square. bared: areas of
    the drawn face whose paper is peeled off, the foam kept.
    """

    id: str
    name: str
    component: str
    hand: str
    stock: Stock
    quantity: int
    outline: Path
    holes: tuple[Path, ...]
    far: tuple[Path, ...]
    scores: tuple[Score, ...]
    peels: tuple[Path, ...]
    marks: tuple[Mark, ...]
    centres: tuple[Centre, ...]
    notes: tuple[str, ...]
    edges: tuple[Edge, ...]
    grain: str
    placement: Placement | None
    properties: MassProperties
    grooves: tuple[Groove, ...] = ()
    others: tuple[Placement, ...] = ()
    bevels: tuple[Bevel, ...] = ()
    together: str = ""
    bared: tuple[Path, ...] = ()


class Placed(NamedTuple):
    """A copy of a part on a sheet.

    The part's frame is turned anticlockwise by `rotation` (degrees) about its own origin, then moved by (x,
    y), mm. The sheet's origin is its lower left corner, x right, y up.
    """

    part: str
    copy: int
    x: float
    y: float
    rotation: float


class Offcut(NamedTuple):
    """What is left of a sheet: its name, unique within its stock, outline, and holes or damage in it.

    outline: anticlockwise; its frame is the sheet's, so that x runs along the stock's width and y along its
    height. holes: clockwise.
    """

    name: str
    outline: Path
    holes: tuple[Path, ...] = ()


class Sheet(NamedTuple):
    """One sheet of stock, or one offcut of it, with what is cut from it.

    index: counts from 1 within its stock, 0 for an offcut. used: share of its area, 0…1. Placements on an
    offcut are in the frame of its outline.
    """

    stock: Stock
    index: int  # type: ignore[assignment]
    placements: tuple[Placed, ...]
    used: float
    offcut: Offcut | None = None

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm: of the stock's sheet, or of the box about an offcut, whose corner is the origin."""
        if self.offcut is None:
            return self.stock.width, self.stock.height
        _, _, width, height = bounds(self.offcut.outline)
        return width, height

    @property
    def place(self) -> tuple[str, int, str]:
        """What tells it from all other sheets, and in which order they come: stock, number, name of the offcut."""
        return self.stock.name, self.index, "" if self.offcut is None else self.offcut.name

    @property
    def number(self) -> str:
        """What it is called among those of its stock: '2', 'offcut window'."""
        return number_of(self.place)


def number_of(place: tuple[str, int, str]) -> str:
    """What the sheet of a place is called among those of its stock: '2', 'offcut window'."""
    _, index, offcut = place
    return f"offcut {offcut}" if offcut else str(index)


class Cutting(NamedTuple):
    """What the cutter needs. All mm. margin: free edge of a sheet; gap: between parts; kerf: width of the
    cut.
    """

    margin: float
    gap: float
    kerf: float
