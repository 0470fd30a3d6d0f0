"""The step in which a piece of strip is cut and put in its place. Common practice, no published source."""

from collections.abc import Sequence

from ringwright.geometry.part import Vector
from ringwright.lang.book.craft import glue
from ringwright.lang.book.step import Step
from ringwright.lang.book.touching import Touching
from ringwright.lang.book.units import Unit
from ringwright.lang.book.words import named, title
from ringwright.lang.design.design import Design
from ringwright.lang.design.shopping import Piece
from ringwright.lang.units import LENGTH


def strip_step(design: Design, piece: Piece, built: Sequence[Unit], touch: Touching) -> Step:
    """Return the step about a piece of strip. built: what stands by then."""
    shown = [design.about.shown(round(size, 1), LENGTH) for size in (*piece.section, piece.long)]
    count = f"{piece.quantity} × " if piece.quantity > 1 else ""
    own, it = title(design, piece.strip), "them" if piece.quantity > 1 else "it"
    lines = [f"Cut {count}{shown[2]} from {own} ({shown[0]} by {shown[1]})."]
    onto = touch.met(piece.id, [part for unit in built for part in unit.parts]) if piece.runs else ()
    if piece.runs and piece.is_bent:
        lines.append("Bend it along its line dry first; damp wood that does not follow by itself.")
    elif piece.runs:
        run = piece.runs[0]
        sides = "; the other as in a mirror" if len(piece.runs) > 1 else ""
        lines.append(f"It runs from {_place(design, run[0])} to {_place(design, run[-1])}{sides}.")
    if onto:
        lines.append(f"Join {it} to {named(onto)}.")
    # What a strip is made of nobody says: it is glued as wood is.
    joint = glue({"ply", *(part.stock.kind for part in onto)}) if onto else ""
    return Step(
        title(design, piece.id),
        own,
        tuple(lines),
        joint,
        "",
        (piece.id,),
        tuple(part.id for part in onto),
        False,
    )


def _place(design: Design, at: Vector) -> str:
    return ", ".join(
        f"{axis} {design.about.shown(round(value, 1), LENGTH)}" for axis, value in zip("xyz", at, strict=True)
    )
