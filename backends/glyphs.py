"""Lettering as outlines, for machines that have no fonts: the letters of the font that all else is drawn in."""

import math
import os
from collections.abc import Iterator
from functools import cache
from typing import Any, NamedTuple

from ringwright.backends.drawing import Text
from ringwright.backends.lettering import drawable, font_size, metrics
from ringwright.geometry.path import Point


class Step(NamedTuple):
    """A step of an outline, in fractions of the font's size, y up.

    way: 'M' to a point, 'L' straight to it, 'Q' to the second by way of the first, 'Z' back to the start.
    """

    way: str
    points: tuple[Point, ...]


def text_outline(text: Text) -> Iterator[Step]:
    """The outlines of a row of lettering where it stands on the drawing, mm; its inner ones run the other way round."""
    size = font_size(text.height)
    c, s = math.cos(math.radians(text.rotation)), math.sin(math.radians(text.rotation))
    along = {"start": 0.0, "middle": -text.width / 2, "end": -text.width}[text.anchor]
    for character in drawable(text.text):
        for way, points in _outline(character):
            places = [(along + size * u, size * v) for u, v in points]
            yield Step(
                way, tuple((text.at[0] + c * u - s * v, text.at[1] + s * u + c * v) for u, v in places)
            )
        along += size * metrics().characters[character][0]


@cache
def _outline(character: str) -> tuple[Step, ...]:
    from fontTools.pens.basePen import BasePen

    font = _font()
    em = font["head"].unitsPerEm
    steps: list[Step] = []

    class Pen(BasePen):  # type: ignore[misc]
        def _moveTo(self, point: Point) -> None:
            self._step("M", point)

        def _lineTo(self, point: Point) -> None:
            self._step("L", point)

        def _qCurveToOne(self, by: Point, point: Point) -> None:
            self._step("Q", by, point)

        def _closePath(self) -> None:
            self._step("Z")

        def _step(self, way: str, *points: Point) -> None:
            steps.append(Step(way, tuple((x / em, y / em) for x, y in points)))

    glyphs = font.getGlyphSet()
    glyphs[font.getBestCmap()[ord(character)]].draw(Pen(glyphs))
    return tuple(steps)


@cache
def _font() -> Any:
    """The font that comes with reportlab; its metrics are those of `lettering.json`."""
    from importlib.util import find_spec

    from fontTools.ttLib import TTFont

    found = find_spec("reportlab")
    assert found is not None
    assert found.origin is not None
    return TTFont(os.path.join(os.path.dirname(found.origin), "fonts", "Vera.ttf"), lazy=True)
