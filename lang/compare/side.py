"""One side of a comparison in plain values, read from a manifest; of a spec also its exact lines and its text."""

import math
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from ringwright.geometry.compare import Cut, Tagged
from ringwright.geometry.numbers import rounded, short
from ringwright.geometry.part import Part, Vector
from ringwright.geometry.path import Path, closed, flattened, line
from ringwright.lang.units import ANGLE, AREA, LENGTH, MASS, NUMBER, Dimension, display

if TYPE_CHECKING:
    from ringwright.lang.pipeline import Compiled

_DIMENSIONS = {"mm": LENGTH, "rad": ANGLE, "g": MASS, "mm2": AREA, "": NUMBER}
_LARGEST = 1e9

CHORDS = 0.02
"""How far the lines of a manifest may miss an arc, mm."""

_CORNERS = 3
"""Decimals of the corners in a manifest."""


class Unfit(Exception):
    """A manifest that does not say what it should; the message says where, without a full stop."""


class Size(NamedTuple):
    """One solved name: its value in mm, rad, g by `unit`, where it comes from, and where it stands, 'file:line:column'."""

    value: float
    unit: str
    source: str
    because: str
    at: str


class Piece(NamedTuple):
    """What is compared of a part.

    thickness: mm of its stock, None where not known. half: what is cut part of the way: scores, far cuts, peels,
    grooves. marks: what is drawn. Both are None where an older manifest does not say. bevels: of its edges, degrees.
    mass: g, at: its centre of gravity in the aircraft, mm; placement: the numbers that say where it sits; None where
    not known. chords: whether its lines are those of a manifest, with chords in place of arcs.
    """

    id: str
    label: str
    stock: str
    thickness: float | None
    quantity: int
    cut: Cut
    half: tuple[Tagged, ...] | None
    marks: tuple[Tagged, ...] | None
    bevels: tuple[tuple[str, float], ...]
    mass: float | None
    at: Vector | None
    placement: tuple[float, ...] | None = None
    chords: bool = False


Place = tuple[str, int, str]
"""A sheet: its stock, its index, and the name of an offcut, '' for a whole one."""


class Side(NamedTuple):
    """One state of a model.

    name: what it is called on the command line. unit: 'mm' or 'in', for people. scale: model over plan, along and
    across, None where not known. sizes, pieces: by name and by id. mass: g, balance: mm; None where not known. sheets: those on which
    each part lies; none where it has no layout. defaults: those that were used, as text. compiled: the spec, where there is one.
    paths: what messages call its texts, where that is not their path in the project.
    """

    name: str
    title: str
    revision: str
    unit: str
    scale: tuple[float, float] | None
    sizes: Mapping[str, Size]
    pieces: Mapping[str, Piece]
    mass: float | None
    balance: Vector | None
    sheets: Mapping[str, tuple[Place, ...]]
    defaults: Mapping[str, str]
    compiled: "Compiled | None" = None
    paths: Mapping[str, str] = MappingProxyType({})

    @property
    def sheet_count(self) -> int:
        """How many sheets it takes, 0 where it has no layout."""
        return len({place for places in self.sheets.values() for place in places})

    def shown(self, name: str, value: float) -> str:
        """Return a value of one of its names as people read it."""
        design = None if self.compiled is None else self.compiled.design
        if design is not None and name in design.dimensions:
            return design.about.shown(value, design.dimensions[name])
        size = self.sizes.get(name)
        return self.measure(value, _DIMENSIONS[size.unit] if size else NUMBER)

    def measure(self, value: float, dimension: Dimension) -> str:
        """Return any value as people read it."""
        design = None if self.compiled is None else self.compiled.design
        if design is not None:
            return design.about.shown(value, dimension)
        return display(value, dimension, self.unit)


def side_of(found: Mapping[str, Any], name: str, compiled: "Compiled | None" = None) -> Side:
    """Return a side from a manifest, and from the spec behind it where that was compiled. Raises Unfit."""
    reading = _Reading(name)
    model = reading.block(found, "model")
    sizes = {
        key: reading.size(key, value) for key, value in sorted(reading.block(found, "dimensions").items())
    }
    pieces = [reading.piece(item, sizes) for item in reading.rows(found, "parts")]
    mass = reading.block(found, "mass")
    scale = reading.maybe(model.get("plan_scale"))
    side = Side(
        name,
        reading.text(model, "title"),
        reading.text(model, "revision"),
        "in" if model.get("unit") == "in" else "mm",
        None if scale is None else (scale, scale),
        sizes,
        {piece.id: piece for piece in sorted(pieces, key=lambda piece: piece.id)},
        reading.maybe(mass.get("total_g")),
        reading.place(mass.get("cg_mm")),
        reading.sheets(found),
        {
            key: value
            for key, value in sorted(reading.block(found, "defaults").items())
            if isinstance(value, str)
        },
        compiled,
    )
    design = None if compiled is None else compiled.design
    if design is None:
        return side
    exact = {part.id: _exact(part, side.pieces[part.id]) for part in sorted(design.parts, key=lambda p: p.id)}
    return side._replace(pieces=exact, scale=(design.scale.along, design.scale.across))


def _exact(part: Part, piece: Piece) -> Piece:
    """Return a piece with the part's own lines in place of chords."""
    half = (
        *((_score(rounded(math.degrees(s.angle), 6), s.side), s.path) for s in part.scores),
        *(("far cut", path) for path in part.far),
        *(("peel", path) for path in part.peels),
        *(("paper off", path) for path in part.bared),
        *((_groove(rounded(g.depth, 6), rounded(g.width, 6)), g.path) for g in part.grooves),
    )
    marks = tuple((_mark(mark.kind, mark.text), mark.path) for mark in part.marks)
    return piece._replace(
        cut=Cut(part.outline, part.holes),
        half=half,
        marks=marks,
        thickness=part.stock.thickness,
        placement=None if part.placement is None else tuple(_numbers(part.placement)),
        chords=False,
    )


def on_a_level(a: Piece, b: Piece) -> tuple[Piece, Piece]:
    """Return two pieces to compare: where one has chords in place of arcs, the other as a manifest would have it."""
    if a.chords == b.chords:
        return a, b
    return (a, _in_chords(b)) if a.chords else (_in_chords(a), b)


def _in_chords(piece: Piece) -> Piece:
    """Return a piece as a manifest says it, to the last decimal."""

    def drawn(path: Path) -> list[tuple[float, float]]:
        return [(rounded(x, _CORNERS), rounded(y, _CORNERS)) for x, y in flattened(path, CHORDS)]

    def tagged(lines: tuple[Tagged, ...] | None) -> tuple[Tagged, ...] | None:
        return None if lines is None else tuple((tag, line(drawn(path))) for tag, path in lines)

    return piece._replace(
        cut=Cut(closed(drawn(piece.cut.outline)), tuple(closed(drawn(hole)) for hole in piece.cut.holes)),
        half=tagged(piece.half),
        marks=tagged(piece.marks),
        placement=None,
        chords=True,
    )


def _numbers(value: object) -> Iterator[float]:
    """Yield all numbers in nested tuples."""
    if isinstance(value, tuple):
        for inner in value:
            yield from _numbers(inner)
    elif isinstance(value, float):
        yield value


def _score(angle: float, side: str) -> str:
    return f"score {short(angle, 2)}° {side}".rstrip()


def _groove(depth: float, width: float) -> str:
    return f"groove {short(width, 3)} mm wide, {short(depth, 3)} mm deep"


def _mark(kind: str, text: str) -> str:
    return f"{kind}: {text}" if text else kind


class _Reading:
    """Reads values that anybody may have written; everything that is not as it should be raises Unfit."""

    def __init__(self, name: str) -> None:
        self.name = name

    def wrong(self, what: str) -> Unfit:
        return Unfit(f"the manifest of '{self.name}' {what}")

    def block(self, found: Mapping[str, Any], key: str) -> dict[str, Any]:
        value = found.get(key)
        if not isinstance(value, dict):
            raise self.wrong(f"has no '{key}'")
        return value

    def rows(self, found: Mapping[str, Any], key: str) -> list[dict[str, Any]]:
        value = found.get(key)
        if not isinstance(value, list) or not all(isinstance(row, dict) for row in value):
            raise self.wrong(f"has no list of '{key}'")
        return value

    def text(self, found: Mapping[str, Any], key: str) -> str:
        value = found.get(key)
        if not isinstance(value, str):
            raise self.wrong(f"lacks the text '{key}'")
        return value

    def number(self, value: object, what: str) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.wrong(f"has no number for {what}")
        if not abs(value) <= _LARGEST:
            raise self.wrong(f"has {what} beyond all measure")
        return float(value)

    def maybe(self, value: object) -> float | None:
        return None if value is None else self.number(value, "a mass or a scale")

    def place(self, value: object) -> Vector | None:
        if value is None:
            return None
        if not isinstance(value, list) or len(value) != 3:
            raise self.wrong("has a place that is none")
        x, y, z = (self.number(one, "a place") for one in value)
        return x, y, z

    def size(self, name: str, found: object) -> Size:
        if not isinstance(found, dict) or found.get("unit") not in _DIMENSIONS:
            raise self.wrong(f"has a dimension {name!a} that is none")
        value = self.number(found.get("value"), f"{name!a}")
        return Size(value, found["unit"], *(self.text(found, key) for key in ("from", "because", "at")))

    def points(self, found: object) -> list[tuple[float, float]]:
        if not isinstance(found, list) or len(found) < 2:
            raise self.wrong("has a line without points")
        points = []
        for point in found:
            if not isinstance(point, list) or len(point) != 2:
                raise self.wrong("has a point that is none")
            points.append((self.number(point[0], "a point"), self.number(point[1], "a point")))
        return points

    def lines(self, found: Mapping[str, Any], key: str) -> Iterator[tuple[dict[str, Any], Path]]:
        for row in self.rows(found, key):
            yield row, line(self.points(row.get("line")))

    def paths(self, found: Mapping[str, Any], key: str, kind: Any = closed) -> tuple[Path, ...]:
        value = found.get(key)
        if not isinstance(value, list):
            raise self.wrong(f"has no list of '{key}'")
        return tuple(kind(self.points(points)) for points in value)

    def piece(self, found: dict[str, Any], sizes: Mapping[str, Size]) -> Piece:
        id, stock = self.text(found, "id"), self.text(found, "stock")
        thickness = sizes.get(f"{stock}.thickness")
        quantity = found.get("quantity")
        if isinstance(quantity, bool) or not isinstance(quantity, int) or quantity < 1:
            raise self.wrong(f"has no quantity of {id!a}")
        return Piece(
            id,
            self.text(found, "label"),
            stock,
            None if thickness is None else thickness.value,
            quantity,
            Cut(closed(self.points(found.get("outline"))), self.paths(found, "holes")),
            self.half(found) if "far" in found else None,
            self.marks(found) if "marks" in found else None,
            tuple(
                (self.text(edge, "name"), self.number(edge.get("bevel_deg"), "a bevel"))
                for edge in self.rows(found, "edges")
            ),
            self.maybe(found.get("mass_g")),
            self.place(found.get("centroid_mm")),
            chords=True,
        )

    def half(self, found: Mapping[str, Any]) -> tuple[Tagged, ...]:
        scores = (
            (_score(self.number(row.get("angle_deg"), "an angle"), self.text(row, "side")), path)
            for row, path in self.lines(found, "scores")
        )
        grooves = (
            (
                _groove(
                    self.number(row.get("depth_mm"), "a depth"), self.number(row.get("width_mm"), "a width")
                ),
                path,
            )
            for row, path in self.lines(found, "grooves")
        )
        far = (("far cut", path) for path in self.paths(found, "far", line))
        areas = (
            (word, path)
            for word, name in (("peel", "peels"), ("paper off", "bared"))
            # Older manifests know no paper off.
            for path in (self.paths(found, name, line) if name == "peels" or name in found else ())
        )
        return (*scores, *far, *areas, *grooves)

    def marks(self, found: Mapping[str, Any]) -> tuple[Tagged, ...]:
        return tuple(
            (_mark(self.text(row, "kind"), self.text(row, "text")), path)
            for row, path in self.lines(found, "marks")
        )

    def offcut(self, sheet: Mapping[str, Any]) -> str:
        """Return the name of an offcut, '' for a whole sheet: older manifests know none."""
        found = sheet.get("offcut")
        if found is not None and not isinstance(found, dict):
            raise self.wrong("has an offcut that is none")
        return "" if found is None else self.text(found, "name")

    def sheets(self, found: Mapping[str, Any]) -> dict[str, tuple[Place, ...]]:
        places: dict[str, dict[Place, None]] = {}
        for sheet in self.rows(found, "sheets"):
            index = sheet.get("index")
            if isinstance(index, bool) or not isinstance(index, int):
                raise self.wrong("has a sheet without its number")
            for placed in self.rows(sheet, "placements"):
                place = (self.text(sheet, "stock"), index, self.offcut(sheet))
                places.setdefault(self.text(placed, "part"), {})[place] = None
        return {id: tuple(sorted(found)) for id, found in sorted(places.items())}
