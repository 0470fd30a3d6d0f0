"""A drawing as SVG: true millimetres, one group a layer, true arcs, real text.

The page's unit is the millimetre (`width="762mm"` with a view box of 762). y runs down in SVG, so heights are
taken from the top. A cutter's software finds the operations as the groups `cut`, `far`, `score` and so on, in
the order in which they are to be done, and in each the parts by their titles.
"""

from collections.abc import Callable
from typing import Any

from ringwright.backends.drawing import CUTTING_ORDER, Drawing, Group, Item, Stroke, Text, short_pieces
from ringwright.backends.later import put_off
from ringwright.backends.lettering import FAMILIES, drawable, font_size, plain
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, piece_radius, sagitta

DECIMALS = 3
COLOURS = {
    "red": "#ff0000", "yellow": "#ffff00", "green": "#00ff00", "cyan": "#00ffff", "blue": "#0000ff", "magenta": "#ff00ff",
}  # fmt: skip
"""Pure colours, by which a cutter's software tells operations apart."""
FLAT = 0.0005
"""An arc that stands out less from its chord than this, mm, is written as a straight piece."""

_UNUSED = {
    "urllib.request": ("urlopen",),
    "svgwrite.data.svgparser": ("is_valid_transferlist", "is_valid_pathdata", "is_valid_animation_timing"),
}
"""What svgwrite imports for web fonts, and for the checks that `debug=False` turns off."""


def svg_text(drawing: Drawing, outlines: bool = False) -> str:
    """The file's text.

    outlines: lettering as outlines, for machines without fonts; its words stay as labels. ValueError where a title or text holds a control character, which XML cannot carry."""
    with put_off(_UNUSED):
        import svgwrite

    width, height = _number(drawing.width), _number(drawing.height)
    page = svgwrite.Drawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
    page.set_desc(title=plain(drawing.title), desc=plain(drawing.description) or None)
    write = _outlined if outlines else _text
    colours = {layer: COLOURS[name] for layer, name in drawing.colours}
    for layer in CUTTING_ORDER:
        members = [(group, [item for item in group.items if item.layer == layer]) for group in drawing.groups]
        if any(items for _, items in members):
            paint = colours.get(layer, "black")
            page.add(_layer(page, (layer, paint), members, drawing.height, write))
    # An element a line: builds can then be compared line by line.
    body = page.tostring().replace("><", ">\n<")
    return f'<?xml version="1.0" encoding="utf-8"?>\n{body}\n'


def path_data(path: Path, height: float) -> str:
    """A path's `d`, y down on a page of this height.

    Arcs are written in quarters at most: see `short_pieces`.
    """
    x, y = path.points[0]
    words = [f"M{_number(x)} {_number(height - y)}"]
    for piece in short_pieces(path):
        x, y = piece[1]
        end = f"{_number(x)} {_number(height - y)}"
        if piece[2] and abs(sagitta(piece)) >= FLAT:
            radius = _number(piece_radius(piece))
            words.append(f"A{radius} {radius} 0 0 {0 if piece[2] > 0 else 1} {end}")
        else:
            words.append(f"L{end}")
    if path.closed:
        if words[-1].startswith("L"):
            words.pop()
        words.append("Z")
    return "".join(words)


def _layer(
    page: Any,
    painted: tuple[str, str],
    members: list[tuple[Group, list[Item]]],
    height: float,
    write: Callable[[Any, Text, float, str], Any],
) -> Any:
    layer, paint = painted
    whole = page.g(id=layer, fill="none", stroke=paint)
    for group, items in members:
        if not items:
            continue
        part = page.g(id=f"{layer}-{group.id}")
        part.set_desc(title=plain(group.title), desc=plain(group.description) if layer == "cut" else None)
        for item in items:
            made = (
                _stroke(page, item, height, paint)
                if isinstance(item, Stroke)
                else write(page, item, height, paint)
            )
            part.add(made)
        whole.add(part)
    return whole


def _stroke(page: Any, stroke: Stroke, height: float, paint: str) -> Any:
    more: dict[str, str] = {}
    if stroke.dashes:
        more["stroke_dasharray"] = " ".join(map(_number, stroke.dashes))
        if stroke.phase:
            more["stroke_dashoffset"] = _number(stroke.phase)
    if stroke.filled:
        more["fill"] = paint
    return page.path(d=path_data(stroke.path, height), stroke_width=_number(stroke.width), **more)


def _text(page: Any, text: Text, height: float, paint: str) -> Any:
    x, y = _number(text.at[0]), _number(height - text.at[1])
    more: dict[str, str] = {}
    if text.rotation:
        more["transform"] = f"rotate({_number(-text.rotation)} {x} {y})"
    if text.anchor != "start":
        more["text_anchor"] = text.anchor
    return page.text(
        drawable(plain(text.text)),
        x=[x],
        y=[y],
        font_family=FAMILIES,
        font_size=_number(font_size(text.height)),
        textLength=_number(text.width),
        lengthAdjust="spacingAndGlyphs",
        fill=paint,
        stroke="none",
        **more,
    )


def _outlined(page: Any, text: Text, height: float, paint: str) -> Any:
    from ringwright.backends.glyphs import text_outline

    words = [
        way + " ".join(f"{_number(x)} {_number(height - y)}" for x, y in points)
        for way, points in text_outline(text)
    ]
    return page.path(d="".join(words), fill=paint, stroke="none", aria_label=drawable(plain(text.text)))


def _number(value: float) -> str:
    return short(value, DECIMALS)
