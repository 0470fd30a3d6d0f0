"""The outline of a section from the few sizes that a table of offsets gives there: half breadths and heights, mm."""

from collections.abc import Sequence
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.numbers import short
from ringwright.geometry.outline import ellipse, half, half_curve, moved, superellipse
from ringwright.geometry.path import Path, Point

OVAL = 2.5
"""Power of the superellipse that an oval is unless it is given: common practice, no published source."""

NEEDS = {
    "box": ("half", "top", "bottom"),
    "round": ("half",),
    "oval": ("half",),
    "curve": ("top", "bottom"),
}
"""What each shape of section cannot do without; round and oval take top and bottom in place of half, too."""


class Sizes(NamedTuple):
    """What is known of a section: half its width, the heights of its top and bottom, half its width at the
    bottom, and (half breadth, height) of the points between. All mm, None where nothing is known.
    """

    half: float | None = None
    top: float | None = None
    bottom: float | None = None
    half_bottom: float | None = None
    points: tuple[Point, ...] = ()


def section_outline(shape: str, sizes: Sizes, power: float = OVAL) -> Path:
    """Outline (y, z) of a section: canonical.

    shape: 'box', a trapezium as wide as `half` at its top and as `half_bottom`, or `half`, at its bottom;
    'round', an ellipse of that width and height, a circle where only one of them is known; 'oval', the same as
    a superellipse of that power; 'curve', smooth from the top through the points, from above down, to the
    bottom, which is flat where there is a `half_bottom`; without points `half` stands at mid height.
    GeometryError 'no-size', 'missing-size', and those of the outlines.
    """
    for name in NEEDS[shape]:
        if getattr(sizes, name) is None and not (
            shape in ("round", "oval") and None not in (sizes.top, sizes.bottom)
        ):
            raise GeometryError("missing-size", f"a {shape} section needs its '{name}'")
    if shape == "box":
        return _box(sizes)
    if shape == "curve":
        return half_curve(*_curve(sizes))
    width, height, middle = _round(sizes)
    drawn = ellipse(width, height) if shape == "round" else superellipse(width, height, power)
    return moved(drawn, (0.0, middle))


def _above(value: float, what: str) -> float:
    if value <= 1e-6:
        raise GeometryError("no-size", f"the section would be {short(value, 2)} mm {what}")
    return value


def _box(sizes: Sizes) -> Path:
    assert sizes.half is not None
    assert sizes.top is not None
    assert sizes.bottom is not None
    _above(sizes.top - sizes.bottom, "high")
    below = sizes.half if sizes.half_bottom is None else sizes.half_bottom
    _above(2 * max(sizes.half, below), "wide")
    return half([(0.0, sizes.top), (sizes.half, sizes.top), (below, sizes.bottom), (0.0, sizes.bottom)])


def _round(sizes: Sizes) -> tuple[float, float, float]:
    """Width, height and height of the middle."""
    if sizes.top is None or sizes.bottom is None:
        assert sizes.half is not None
        width = _above(2 * sizes.half, "wide")
        return width, width, 0.0
    height = _above(sizes.top - sizes.bottom, "high")
    width = height if sizes.half is None else _above(2 * sizes.half, "wide")
    return width, height, (sizes.top + sizes.bottom) / 2


def _curve(sizes: Sizes) -> tuple[Sequence[Point], Sequence[int]]:
    """The right half from the top down, and which of its points are corners."""
    assert sizes.top is not None
    assert sizes.bottom is not None
    _above(sizes.top - sizes.bottom, "high")
    points = sorted(sizes.points, key=lambda point: (-point[1], point[0]))
    if not points and sizes.half is not None:
        points = [(sizes.half, (sizes.top + sizes.bottom) / 2)]
    right = [(0.0, sizes.top), *points]
    corners = []
    if sizes.half_bottom is not None:
        corners.append(len(right))
        right.append((sizes.half_bottom, sizes.bottom))
    return [*right, (0.0, sizes.bottom)], corners
