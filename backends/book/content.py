"""What a build's book says, chapter by chapter."""

from collections.abc import Iterator, Sequence

from ringwright.backends.book.blocks import (
    Blank,
    Block,
    Book,
    Box,
    Cell,
    Chapter,
    Heading,
    Job,
    Lines,
    Name,
    Table,
    Words,
)
from ringwright.backends.book.cautions import CAUTIONS
from ringwright.backends.book.pictures import (
    joint_picture,
    part_picture,
    scale_of,
    scale_words,
    three_view_picture,
)
from ringwright.backends.label import name_row
from ringwright.backends.record import BuildRecord, Model, Notes, Piece, Place, sheets_of_parts
from ringwright.backends.sizes import bare_words, stock_words
from ringwright.backends.views.model_views import solids_in
from ringwright.geometry.blank_size import blank_size
from ringwright.geometry.numbers import counted, fixed, short, total
from ringwright.geometry.part import Part, number_of
from ringwright.geometry.solid.mesh import Solid

ROOM = 180.0
"""Width of a page of A4 within its margins, mm."""
PICTURE = (57.0, 42.0)
"""The field of a part's picture in the cut list, mm."""


def book_of(record: BuildRecord, date: str, width: float = ROOM) -> Book:
    """The book of a build; date: 'YYYY-MM-DD', '' for none. width: for pictures of the whole, mm."""
    notes = record.notes
    solids = solids_in(record)
    chapters = (
        Chapter("start", "The model", tuple(_start(record, notes, solids, width))),
        Chapter("care", "Take care", tuple(_care())),
        Chapter("buy", "What to buy", tuple(_buy(notes))),
        Chapter("parts", "Cut list", tuple(_cut_list(record, notes)), fresh=True),
        Chapter("steps", "Building it", tuple(_steps(notes, solids)), fresh=True),
        Chapter("balance", "Mass and balance", tuple(_balance(notes))),
        Chapter("sums", "Dimensions and their sums", tuple(_sums(notes)), fresh=True),
    )
    model = record.model
    return Book(model.called, model.revision, date, tuple(each for each in chapters if each.blocks))


def _start(record: BuildRecord, notes: Notes, solids: Sequence[Solid], width: float) -> Iterator[Block]:
    """The cover: what is built, and of how much."""
    views = three_view_picture(record, solids, width)
    if views is not None:
        yield views
    copies = sum(part.quantity for part in record.parts)
    masses = [p.properties.mass * p.quantity for p in record.parts if p.properties.mass is not None]
    yield Words(
        f"{counted(copies, 'piece')} of {counted(len(record.parts), 'part')} on {counted(len(record.sheets), 'sheet')}"
        + (f", {fixed(total(masses), 0)} g cut" if masses else ""),
        "Cut",
    )
    if record.model.plan_scale != 1.0:
        yield Words(f"100 mm on the plan are {short(100 * record.model.plan_scale, 2)} mm here", "Plan")
    for head, words in notes.account:
        yield Words(words, head.capitalize())
    if notes.cost:
        yield Words(notes.cost, "Price")
    yield Words(
        "Tick what is done, weigh each part and write it down; put what the scale says into the spec as weighed, and"
        " the balance follows it.",
        "How to",
    )


def _care() -> Iterator[Block]:
    yield from (Words(words, head) for head, words in CAUTIONS)


def _buy(notes: Notes) -> Iterator[Block]:
    if not notes.bought:
        return
    rows = [
        (Box(f"buy {i}"), f"{each.count} ×", each.title, each.size, each.price, each.cost)
        for i, each in enumerate(notes.bought, 1)
    ]
    heads = ("", "", "what", "size of a sheet", "price of one", "price")
    count = len(heads) if any(each.price for each in notes.bought) else 4
    widths = (0.06, 0.08, 0.4, 0.2, 0.13, 0.13)[:count]
    yield Table(heads[:count], widths, tuple(row[:count] for row in rows), (1, 4, 5))
    if notes.cost:
        yield Words(notes.cost, "In all")


# -- the cut list ---------------------------------------------------------------------------------


def _cut_list(record: BuildRecord, notes: Notes) -> Iterator[Block]:
    parts = {part.id: part for part in record.parts}
    sheets = sheets_of_parts(record.sheets)
    unit = record.model.unit
    yield Words(
        "The blank is the smallest piece of sheet that one can be cut from, longer side first; along the grain first where"
        f" the grain matters. Lengths are in {unit}."
    )
    for name, ids in notes.assemblies or (("parts", tuple(parts)),):
        own = [parts[id] for id in ids]
        scale = scale_of(own, *PICTURE)
        yield Heading(f"{name}, {scale_words(scale)}")
        yield Table(
            ("", "part", "picture", f"stock, {unit}", "mass, g", "weighed, g", "sheet"),
            (0.04, 0.2, 0.33, 0.155, 0.09, 0.12, 0.065),
            tuple(_row(part, scale, record.model, sheets.get(part.id, ())) for part in own),
            (4,),
        )
    yield from _strips(record.pieces, record.model)


def _strips(pieces: Sequence[Piece], model: Model) -> Iterator[Block]:
    """What is cut off strip, to length."""
    if not pieces:
        return
    yield Heading("strip, cut to length")
    rows = tuple(
        (
            Box(piece.id),
            f"{piece.id}{f' · {piece.quantity} ×' if piece.quantity > 1 else ''}",
            " × ".join(bare_words(side, model.unit, model.fraction) for side in piece.section),
            bare_words(piece.long, model.unit, model.fraction),
            "–" if piece.mass is None else fixed(piece.mass, 1),
            Blank(piece.id, "g"),
            ", ".join(f"{piece.strip} {number}" for number in piece.bars),
        )
        for piece in pieces
    )
    heads = ("", "piece", "section", "long", "mass, g", "weighed, g", "cut from")
    yield Table(heads, (0.04, 0.3, 0.15, 0.12, 0.09, 0.12, 0.18), rows, (3, 4))


def _row(part: Part, scale: float, model: Model, sheets: tuple[Place, ...]) -> tuple[Cell, ...]:
    copies = f" · {part.quantity} ×" if part.quantity > 1 else ""
    turns = part.grain == "free" or part.stock.grain == "none"
    sides = blank_size(part.outline, turns)
    if part.grain == "across":
        sides = (sides[1], sides[0])
    mass = part.properties.mass
    return (
        Box(part.id),
        Name(part.id, f"{name_row(part)}{copies}"),
        part_picture(part, scale),
        Lines(
            (
                stock_words(part.stock, model.unit, model.fraction),
                " × ".join(
                    bare_words(side, model.unit, model.fraction).removesuffix(" in") for side in sides
                ),
            )
        ),
        "–" if mass is None else fixed(mass, 1),
        Blank(part.id, "g"),
        ", ".join(map(number_of, sheets)),
    )


# -- building -------------------------------------------------------------------------------------


def _steps(notes: Notes, solids: Sequence[Solid]) -> Iterator[Block]:
    assembly = ""
    for number, step in enumerate(notes.steps, 1):
        if step.assembly != assembly and step.assembly not in ("", step.title):
            yield Heading(step.assembly)
        assembly = step.assembly
        heads = (("Glue", step.glue), ("Check", step.check))
        yield Job(
            number,
            step.title,
            step.lines,
            tuple((head, words) for head, words in heads if words),
            step.parts,
            joint_picture(solids, step.parts, step.onto, f"step {number}: {step.title}"),
        )


# -- mass, balance and sums -----------------------------------------------------------------------


def _balance(notes: Notes) -> Iterator[Block]:
    if notes.weights:
        yield Table(
            ("what", "mass", "middle at x", "weighed, g"),
            (0.44, 0.16, 0.2, 0.2),
            tuple((each.name, each.mass, each.x, Blank(f"of {each.name}", "g")) for each in notes.weights),
            (1, 2),
        )
    yield from (Words(words, head.capitalize()) for head, words in notes.account)


def _sums(notes: Notes) -> Iterator[Block]:
    """All dimensions, those of a component and of what is in it together."""
    groups: dict[str, list[tuple[Cell, ...]]] = {}
    for each in notes.sums:
        owner, _, name = each.name.partition(".")
        how = ": ".join(words for words in (_sum_words(each.rows), each.why) if words)
        groups.setdefault(owner, []).append((name or owner, each.value, how))
    for owner, rows in groups.items():
        yield Heading(owner)
        yield Table((), (0.22, 0.26, 0.52), tuple(rows), ruled=False)


def _sum_words(rows: tuple[str, ...]) -> str:
    return " ".join(f"= {row}" for row in rows)
