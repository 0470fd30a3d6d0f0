"""How a wing, a tail or a fin is built: which of its parts belong together, in which order, and what is done to them.

Common practice, no published source.
"""

from collections.abc import Iterator, Sequence

from ringwright.geometry.part import Part
from ringwright.lang.components.tree import Tree
from ringwright.lang.design.design import Design
from ringwright.lang.units import ANGLE, LENGTH

KINDS = ("wing", "tail", "fin")
ORDER = ("spar", "plates", "ribs", "joiner", "skin", "control")
"""What comes first: skins close the ribs in, and what moves is hung on last."""
WORDS = {"rib": "ribs", "skin": "skins"}
DONE = {
    "spar": "Lay it on the plan, straight along its line.",
    "ribs": "Stand each on the spar at its number, inner face inwards, square to the spar and to the plan.",
    "skin": "Glue it from the nose back, and hold the wing straight until it has set: with its skin on, a twist stays.",
}


def split(tree: Tree, id: str, parts: Sequence[Part]) -> dict[str, tuple[str, list[Part]]]:
    """Return the parts of a surface as it is built: ids of what belongs together, with its kind and its parts."""
    found: dict[str, tuple[str, list[Part]]] = {}
    for part in parts:
        word = part.name.removeprefix(f"{id}.").partition(".")[0] if part.name != id else ""
        child = tree.components.get(f"{id}.{word}")
        kind = {"": "plates", "rib": "ribs", "skin": "skin"}.get(word) or (
            child.kind.name if child is not None and child.kind.name in ORDER else "plates"
        )
        name = f"{id}.{word}" if word and kind != "plates" else id
        found.setdefault(name, (kind, []))[1].append(part)
    return found


def title(design: Design, id: str, surface: str) -> str:
    """Return what a step about parts of a surface is called: 'wing main: ribs'."""
    word = id.removeprefix(surface).lstrip(".")
    kind = design.tree.components[surface].kind.name
    name = surface if kind in surface.lower() else f"{kind} {surface}"
    return f"{name}: {WORDS.get(word, word)}" if word else name


def doing(design: Design, kind: str, surface: str, stays: str) -> Iterator[str]:
    """Yield what is done to parts of a surface, beyond what is done to any part. stays: names of what they meet, ''."""
    if kind in DONE:
        yield DONE[kind]
    if kind == "control":
        where = f" on {stays}" if stays else ""
        yield f"Hang it{where} by its hinge, last of all and without glue between; see that it moves freely both ways."
    rise = design.values.get(f"{surface}.tip_up", 0.0)
    if kind == "joiner" and rise > 0.05:
        up = design.about.shown(round(rise, 1), LENGTH)
        yield f"Prop both tips up while it sets, each {up} above the middle."
    washout = design.values.get(f"{surface}.washout", 0.0)
    if kind == "skin" and abs(washout) > 1e-4:
        yield f"Pack the rear edge up towards the tip: washout {design.about.shown(round(washout, 6), ANGLE)}."
