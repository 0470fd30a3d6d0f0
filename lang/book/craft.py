"""What a builder does to a part before it is joined, and with what it is joined: in words.

All of it is common practice, no published source.
"""

import math
from collections.abc import Collection, Iterator

from ringwright.geometry.numbers import short
from ringwright.geometry.part import Flat, Part
from ringwright.lang.book.words import listed

SOFT = ("foamboard", "foam")
PAPER = ("card", "paper")
WOOD = ("balsa", "ply")

BENDING = {
    "peeled": "Prick the match marks through, take the inner paper off, and draw the sheet over the edge of the table"
    " until it nearly closes by itself.",
    "scored": "Bend it at its scores, a little at each, until it nearly closes by itself.",
    "plain": "Draw it over the edge of the table, or round a tube, until it keeps the curve by itself.",
}
DAMP = "Damp its outer face, bend it round a tube of nearly its size, and let it dry there."
SEAMS = {
    "flap": "Close its seam: the paper of the flap goes outside over the other end, inside edges flush.",
    "lap": "Close its seam: the lap goes outside, over the other end.",
    "strap": "Close its seam edge to edge, with the strap inside across it.",
    "butt": "Close its seam edge to edge; tape outside holds it until the glue has set.",
}


def preparing(part: Part) -> Iterator[str]:
    """Yield what is done to a part while it lies flat, in the order in which it is done."""
    openings = len(part.holes)
    if openings:
        which = "the opening" if openings == 1 else f"the {openings} openings"
        yield f"Cut {which} first, the outline last."
    bevels = list(dict.fromkeys(_bevels(part)))
    if bevels:
        yield f"Bevel while it lies flat: {'; '.join(bevels)}."
    if part.grooves:
        count = len(part.grooves)
        yield f"Cut the {'channel' if count == 1 else f'{count} channels'} down to the far paper."
    if part.peels:
        yield "Take the foam off where it is hatched, down to the far paper."
    angles = [f"{short(_degrees(score.angle), 0)}°" for score in part.scores if score.angle]
    if part.scores and isinstance(part.placement, Flat | None):
        yield f"Score along the dashed lines{f' and bend by {listed(angles)}' if angles else ''}."
    elif part.scores:
        yield f"Score along {'its dashed line' if len(part.scores) == 1 else 'its dashed lines'}."


def bending(part: Part, gently: bool) -> str:
    """What bends a part that is not flat; '' of a flat one. gently: along formers, as it is glued."""
    if isinstance(part.placement, Flat | None):
        return ""
    if gently:
        return "Bend it along what it is glued to, from the middle out; it needs no peeling."
    if part.stock.kind in WOOD and part.stock.bend == "plain":
        return DAMP
    return BENDING[part.stock.bend]


def seam(part: Part) -> str:
    """How the seam of a bent part is closed; '' where it has none."""
    if all(edge.name != "seam" for edge in part.edges):
        return ""
    said = [note.removeprefix("seam on a ").partition(" ")[0] for note in part.notes]
    sort = next((word for word in said if word in SEAMS), "butt")
    return SEAMS[sort]


def glue(kinds: Collection[str]) -> str:
    """What joins sheets of some kinds of stock."""
    soft, wood, paper = (any(kind in family for kind in kinds) for family in (SOFT, WOOD, PAPER))
    if soft and wood:
        return "epoxy or polyurethane glue: thin instant glue and solvents eat foam"
    if soft:
        return "hot glue, no hotter than it must be, or foam-safe contact glue; try it on a scrap first"
    if wood and paper:
        return "white glue, thinly, under a weight"
    if wood:
        return "wood glue, clamped; epoxy at the firewall"
    if paper:
        return "white glue, spread thinly to the edge; too much of it warps"
    return "what the maker of the sheet names; try it on a scrap first"


def _bevels(part: Part) -> Iterator[str]:
    for note in part.notes:
        _, found, words = note.partition("bevel ")
        if found:
            yield words


def _degrees(angle: float) -> float:
    return abs(math.degrees(angle))
