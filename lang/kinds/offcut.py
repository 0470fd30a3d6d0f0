"""What is left of a sheet and worth cutting from: its size or its outline, and the damage in it."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from ringwright.geometry import outline as shapes
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Offcut
from ringwright.geometry.path import Path, as_hole, bounds, canonical, moved
from ringwright.lang.design.making import Refusal, blaming
from ringwright.lang.kinds import openings
from ringwright.lang.kinds.kind import Kind, Property

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.making import Maker
    from ringwright.lang.source import Span


def measures(maker: "Maker", component: "Component") -> Mapping[str, float]:
    """Judge an offcut, whether anything is cut from it or not; it has no measures. Raises GeometryError."""
    offcut_of(maker, component)
    return {}


def offcut_of(maker: "Maker", component: "Component") -> Offcut:
    """Return what an offcut says, its lower left corner at the origin. Raises GeometryError."""
    outline = _outline(maker, component)
    holes: list[Path] = []
    waiting = list(_damage(maker, component, outline))
    while waiting:
        damage, span = waiting.pop(0)
        for hole in [hole for hole in holes if shapes.meet(hole, damage)]:
            holes.remove(hole)
            damage = shapes.joined(damage, hole)
        if not openings.crosses(damage, outline):
            holes.append(damage)
            continue
        outline = _without(component, outline, damage, span)
        waiting += [(hole, span) for hole in holes if openings.crosses(hole, outline)]
        holes = [hole for hole in holes if not openings.crosses(hole, outline)]
    left, low, _, _ = bounds(outline)
    shift = (-left, -low)
    return Offcut(
        component.name,
        canonical(moved(outline, shift)),
        tuple(as_hole(canonical(moved(hole, shift))) for hole in holes),
    )


def _damage(maker: "Maker", component: "Component", outline: Path) -> "Iterator[tuple[Path, Span]]":
    """Yield what is missing within an offcut, by its drawing or as a hole, and who says so. Raises GeometryError."""
    for hole in maker.holes(component, "outline"):
        yield canonical(hole), component.properties["outline"].span
    for child in maker.children(component, "hole"):
        with blaming(child.span):
            for opening in openings.openings(maker, child, outline):
                if not shapes.meet(opening.outline, outline):
                    raise GeometryError(
                        "hole-outside", f"hole '{child.name}' lies beside its offcut, where nothing is"
                    )
                yield opening.outline, child.span


def _without(component: "Component", outline: Path, damage: Path, span: "Span") -> Path:
    try:
        return canonical(shapes.minus(outline, damage))
    except GeometryError as error:
        said = (
            f"damage cuts offcut '{component.name}' in pieces: write each of them as an offcut of its own"
            if error.code == "apart"
            else str(error)
        )
        raise Refusal(error.code, said, span) from None


def _outline(maker: "Maker", component: "Component") -> Path:
    said = [name for name in ("size", "outline") if name in component.properties]
    if len(said) != 1:
        raise GeometryError(
            "offcut-form",
            f"offcut '{component.name}' needs one of size and outline, and has {' and '.join(said) or 'none'}",
        )
    if said == ["outline"]:
        drawn = maker.shape(component, "outline")
        assert drawn is not None
        return canonical(drawn)
    width, height = maker.size(component, "size")
    if width <= 0.0 or height <= 0.0:
        raise GeometryError("no-size", f"an offcut of {short(width, 2)} by {short(height, 2)} mm has no area")
    return moved(shapes.rect(width, height), (width / 2.0, height / 2.0))


KIND = Kind(
    "offcut",
    "what is left of a sheet and worth cutting from; holes in it are damage",
    (
        Property(
            "size",
            "size",
            "of one that is a rectangle, width by height; holes in it count from its lower left corner",
            "size = 320 mm by 180 mm",
        ),
        Property(
            "outline",
            "shape",
            "of one of any form, as it lies on the table with the stock's grain as in a whole sheet",
            "outline = polygon[(0, 0), (240, 0), (180, 120), (0, 120)] mm",
            axis="across",
        ),
    ),
    inside=("stock",),
    children=("hole",),
    measures=measures,
    example=(
        "stock scrap {\n    kind = foamboard\n    thickness = 4.8 mm\n    sheet = 762 mm by 508 mm\n    on_hand = 1\n"
        "    offcut corner { size = 320 mm by 180 mm\n"
        "        hole dent { diameter = 30 mm, at = (60 mm, 40 mm) } }\n}\n"
    ),
)
