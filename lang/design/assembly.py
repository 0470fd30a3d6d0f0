"""How parts lie in the assembled aircraft: what lies in one another, and slots that nothing goes through."""

from collections.abc import Iterator, Sequence

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Bent, Flat, Part
from ringwright.geometry.path import Path, mirrored
from ringwright.lang.components.only import component_of
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design.making import Maker, Unsettled
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.values.value import Reference

FILLED = 0.5
"""A slot of which less is filled, where its stock goes through, meets no tab. Our choice."""


def assembly(
    tree: Tree, maker: Maker, parts: Sequence[Part], said: Sequence[Diagnostic]
) -> Iterator[Diagnostic]:
    """Yield what is wrong with how the parts of a design lie together.

    What stands in one stack has been held against its neighbours where the stack was made. said: what has been found
    before; of a former that is known to reach into its skin no more is said.
    """
    known = {finding.span for finding in said if finding.code == "former-in-skin"}
    told = [id for id, component in tree.components.items() if component.span in known]
    yield from _overlapping(tree, maker, [part for part in parts if part.component not in told])
    yield from _empty_slots(tree, maker, parts)


def _overlapping(tree: Tree, maker: Maker, parts: Sequence[Part]) -> Iterator[Diagnostic]:
    from ringwright.geometry.solid.overlap import Overlap, overlaps

    stacks = {part.id: _stack_of(tree, part.component) for part in parts}
    owners = {part.id: part.component for part in parts}

    def skipped(one: Part, other: Part) -> bool:
        own = bool(stacks[one.id]) and stacks[one.id] == stacks[other.id]
        return own or _shaped(tree, maker, one, other) or _shaped(tree, maker, other, one)

    of_pairs: dict[tuple[str, str], list[Overlap]] = {}
    for found in overlaps(parts, skipped=skipped):
        first, second = (found.one, found.other)
        if tree.components[owners[second]].whole.start < tree.components[owners[first]].whole.start:
            first, second = second, first
        of_pairs.setdefault((owners[first], owners[second]), []).append(found)
    for (first, second), these in of_pairs.items():
        worst = max(these, key=lambda each: each.deep)
        x, y, z = (short(value, 1) for value in worst.at)
        more = f", and {len(these) - 1} more of them" if len(these) > 1 else ""
        one, other = tree.components[first], tree.components[second]
        message = (
            f"'{worst.one}' and '{worst.other}' lie {short(worst.deep, 1 if worst.deep >= 1 else 2)} mm deep in one another"
            f" at ({x}, {y}, {z}) mm{more}"
        )
        labels = () if one.span == other.span else (Label(one.span, f"'{first}' is here"),)
        yield Diagnostic(
            "parts-overlap", "warning", message, other.span, labels,
            "move one of them, cut it back, or give it a slot or hole for the other",
        )  # fmt: skip


def _shaped(tree: Tree, maker: Maker, skin: Part, other: Part) -> bool:
    """Whether a part is a skin of a surface, and another is shaped to it on the bench: the stock of the leading edge,
    whose label says so, or the skin of the other side, which comes down on it along the trailing edge.
    """
    surface = tree.components[skin.component]
    if surface.kind.name not in ("wing", "tail", "fin") or not isinstance(skin.placement, Bent):
        return False
    if other.component != surface.id:
        return False
    if isinstance(other.placement, Bent):
        return skin.hand == other.hand and _side(skin) != _side(other)
    owner = tree.components[component_of(tree, other.id) or surface.id]
    return owner.kind.name == "spar" and maker.word(owner, "seat") == "front"


def _side(skin: Part) -> str:
    """Return the side that a skin of a surface lies on, 'upper' in 'main.skin.upper.2.left'."""
    return skin.id.removeprefix(f"{skin.component}.skin.").partition(".")[0]


def _stack_of(tree: Tree, id: str) -> str:
    """Return the stack that a component stands in, '' where it stands in none."""
    current: Component | None = tree.components.get(id)
    while current is not None:
        if current.kind.name == "stack":
            return current.id
        current = tree.components.get(current.parent)
    return ""


def _empty_slots(tree: Tree, maker: Maker, parts: Sequence[Part]) -> Iterator[Diagnostic]:
    """Yield the slots that take a sheet stock and that nothing cut from it goes through."""
    for slot in tree.components.values():
        if slot.kind.name != "slot" or "takes" not in slot.properties:
            continue
        try:
            taken = maker.value(slot, "takes")
            hosts = [
                part for part in parts if part.component == slot.parent and isinstance(part.placement, Flat)
            ]
            guests = [part for part in parts if isinstance(taken, Reference) and part.stock.name == taken.id]
            if not hosts or not guests or any(part.placement is None for part in guests):
                continue  # who knows what goes in there
            yield from _empty(maker, slot, hosts, guests)
        except (GeometryError, Unsettled):
            continue  # reported where the slot is cut


def _empty(
    maker: Maker, slot: Component, hosts: Sequence[Part], guests: Sequence[Part]
) -> Iterator[Diagnostic]:
    from ringwright.geometry.solid.overlap import filling
    from ringwright.lang.kinds import openings

    drawn = tuple(opening.outline for opening in openings.openings(maker, slot, None))
    for host in hosts:
        for outline in drawn:
            cut = _as_cut(host, outline)
            found = () if cut is None else filling(host, cut, guests)
            if cut is None or (found and found[0][1] >= FILLED):
                continue
            said = "nothing goes through it"
            if found:
                said = f"'{found[0][0]}' fills {short(100 * found[0][1], 0)} % of it"
            message = f"slot '{slot.name}' of '{host.id}' meets no tab: {said}"
            help = "move the slot, or what should go through it; what is not cut here goes into a slot with a width"
            yield Diagnostic("slot-empty", "warning", message, slot.span, (), help)
            return


def _as_cut(host: Part, outline: Path) -> Path | None:
    """Return a slot as it lies in the drawing of one hand of a part, where sheet is cut away for it; None where it is
    cut in another part of the same component.
    """
    import shapely
    from ringwright.geometry.solid.slab import region_of

    sheet = region_of(host)
    whole = shapely.convex_hull(sheet)
    for path in (outline, mirrored(outline)):
        slot = shapely.Polygon(path.points)
        within = shapely.intersection(slot, whole)
        if within.area > 0.3 * slot.area and shapely.intersection(within, sheet).area < 0.1 * within.area:
            return path
    return None
