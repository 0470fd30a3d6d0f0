"""A build in plain values: the build command fills it, manifest, cut list and title blocks read it."""

from collections.abc import Iterable
from typing import NamedTuple, TypeAlias

from ringwright.geometry.part import Cutting, Part, Sheet, Vector

Place: TypeAlias = tuple[str, int, str]
"""What tells a sheet from all others: its stock, its number, the name of an offcut; see `Sheet.place`."""


class Model(NamedTuple):
    """The aircraft. name: as the spec calls it; unit: 'mm' or 'in', for what people read; fraction: of an inch, or None."""

    name: str
    title: str
    revision: str
    plan_scale: float
    unit: str
    fraction: int | None = None

    @property
    def called(self) -> str:
        """What people call it: by its title, else by its name."""
        return self.title or self.name

    @property
    def heading(self) -> str:
        """What it is called, and its revision: 'Marsh Heron rev B'."""
        return f"{self.called} rev {self.revision}" if self.revision else self.called


class SourceFile(NamedTuple):
    """A text that was read; path relative to the project's folder, with '/'."""

    path: str
    sha256: str


class Dimension(NamedTuple):
    """One solved name. value in mm, rad, g, mm2 or a plain number by `unit` ('mm', 'rad', 'g', 'mm2', '').

    source: 'measured', 'default' or 'derived'. because: one line. at: 'file:line:column' or ''.
    plus_minus: (root sum of squares, worst case) or None.
    """

    name: str
    value: float
    unit: str
    source: str
    because: str
    at: str
    plus_minus: tuple[float, float] | None


class Finding(NamedTuple):
    """A diagnostic as plain values; line and column from 1, 0 where there is no place."""

    code: str
    severity: str
    message: str
    file: str
    line: int
    column: int
    end_line: int
    end_column: int
    help: str


class Load(NamedTuple):
    """What weighs but is not cut, such as a battery or ballast.

    mass: g. at: (x, y, z) in the aircraft, mm; None where it has no place.
    """

    name: str
    mass: float
    at: Vector | None


class Piece(NamedTuple):
    """A piece of strip, cut by its length. long: mm; section: width and height, mm. mass: g of one, None where unknown.

    bars: the lengths as bought, by number from 1, that copies are cut from. runs: of each hand the places along its middle,
    mm; () where nothing says where it lies. is_bent: it lies along a line.
    """

    id: str
    strip: str
    quantity: int
    long: float
    section: tuple[float, float]
    mass: float | None
    bars: tuple[int, ...]
    runs: tuple[tuple[Vector, ...], ...] = ()
    is_bent: bool = False


class Step(NamedTuple):
    """One step of building.

    assembly: to which it belongs, ''. lines: what is done, in turn. glue: what joins, or ''. check: what to measure
    afterwards, or ''. parts: ids of those that are new in it; onto: ids of those that they are joined to. written:
    whether the spec says it, or it follows from the parts.
    """

    title: str
    assembly: str
    lines: tuple[str, ...]
    glue: str
    check: str
    parts: tuple[str, ...]
    onto: tuple[str, ...]
    written: bool


class Sum(NamedTuple):
    """A dimension as a builder reads it. rows: its sum in names and in numbers. why: in words, or its place."""

    name: str
    value: str
    rows: tuple[str, ...]
    why: str


class Bought(NamedTuple):
    """What is bought. count: of sheets or pieces. size: of a sheet, ''. price, cost: of one and of all, ''."""

    title: str
    count: int  # type: ignore[assignment]
    size: str
    price: str
    cost: str


class Weight(NamedTuple):
    """What something weighs, '' for the place of what has none."""

    name: str
    mass: str
    x: str


class Notes(NamedTuple):
    """What only the build book says. assemblies: names of assemblies in turn, each with the ids of its parts.

    account: mass and balance, as head and words. cost: the sum of all prices, ''.
    """

    assemblies: tuple[tuple[str, tuple[str, ...]], ...] = ()
    steps: tuple[Step, ...] = ()
    sums: tuple[Sum, ...] = ()
    bought: tuple[Bought, ...] = ()
    cost: str = ""
    weights: tuple[Weight, ...] = ()
    account: tuple[tuple[str, str], ...] = ()


class BuildRecord(NamedTuple):
    """All that is written of one build: parts sorted by id, sheets by stock and index, dimensions by name.

    defaults: name to the default that was used, as text. loads: sorted by name. notes: empty unless a build book is
    asked for. colours: layers that are not black in files for a cutter, each with the name of its colour.
    pieces: of strip, sorted by id.
    """

    version: str
    model: Model
    sources: tuple[SourceFile, ...]
    dimensions: tuple[Dimension, ...]
    defaults: tuple[tuple[str, str], ...]
    parts: tuple[Part, ...]
    sheets: tuple[Sheet, ...]
    cutting: Cutting
    findings: tuple[Finding, ...]
    loads: tuple[Load, ...] = ()
    notes: Notes = Notes()
    colours: tuple[tuple[str, str], ...] = ()
    pieces: tuple[Piece, ...] = ()


def sheets_of_parts(sheets: Iterable[Sheet]) -> dict[str, tuple[Place, ...]]:
    """By id of each part the places of the sheets that hold a copy of it, in their order."""
    found: dict[str, dict[Place, None]] = {}
    for sheet in sheets:
        for placed in sheet.placements:
            found.setdefault(placed.part, {})[sheet.place] = None
    return {part: tuple(places) for part, places in found.items()}


def loads_in_place(record: BuildRecord) -> tuple[Load, ...]:
    """What is put in at one place; what is spread over many, as glue is, has no place of its own."""
    names = [load.name for load in record.loads]
    return tuple(load for load in record.loads if load.at is not None and names.count(load.name) == 1)
