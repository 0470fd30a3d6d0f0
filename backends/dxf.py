"""A drawing as DXF R2010: true millimetres, one layer an operation, true arcs, text as entities.

Paths become polylines with bulges, which keep an arc an arc; full circles and single straight lines become what they
are. A text is fitted between the two ends of its baseline, so that it takes the space that was measured for it
whatever font draws it. ezdxf writes dates, random ids and an order that follows the hash seed: all three are put
right here.
"""

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from ringwright.backends.drawing import (
    CUTTING_ORDER,
    NARROW,
    WIDE,
    Drawing,
    Stroke,
    Text,
    dashed,
    dashed_spaced,
    long_dash_dot,
)
from ringwright.backends.lettering import drawable, plain
from ringwright.geometry.numbers import rounded, short
from ringwright.geometry.path import Path, Point

DECIMALS = 4
_LINE_TYPES = {
    dashed(NARROW): "dashed",
    dashed_spaced(NARROW): "dashed spaced",
    long_dash_dot(NARROW): "centre",
}
_LAYER_WIDTHS = {"cut": WIDE, "far": WIDE}
_STYLE = "lettering"
_BLACK = 7
_COLOURS = {"red": 1, "yellow": 2, "green": 3, "cyan": 4, "blue": 5, "magenta": 6}
"""The first colours of DXF's index (group code 62)."""
_DATES = ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE")


def dxf_bytes(drawing: Drawing, date: str = "") -> bytes:
    """The file of a drawing.

    date: 'YYYY-MM-DD' for the file's header, '' for none. ValueError where a title or text holds a control
    character.
    """
    import ezdxf
    from ezdxf.lldxf.tagwriter import TagWriter

    with _nothing_from_the_clock():
        document = ezdxf.new("R2010", units=ezdxf.units.MM)
        _set_up(document, drawing)
        space = document.modelspace()
        for layer in CUTTING_ORDER:
            for group in drawing.groups:
                for item in group.items:
                    if item.layer == layer:
                        if isinstance(item, Stroke):
                            _stroke(space, item)
                        else:
                            _text(space, item)
        document.commit_pending_changes()
        document.update_all()
        _put_right(document, date)
        out = io.StringIO()
        document.export_sections(TagWriter(out, write_handles=True, dxfversion=document.dxfversion))
    return bytes(document.encode(out.getvalue()))


@contextmanager
def _nothing_from_the_clock() -> Iterator[None]:
    """While this lasts, ezdxf takes neither dates nor random ids."""
    from ezdxf import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _set_up(document: Any, drawing: Drawing) -> None:
    """Units, size, title, layers, line types and the style of lettering."""
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 1.0
    document.header["$LIMMAX"] = (rounded(drawing.width, DECIMALS), rounded(drawing.height, DECIMALS))
    space = document.modelspace()
    space.reset_limits((0, 0), (drawing.width, drawing.height))
    space.reset_extents((0, 0, 0), (drawing.width, drawing.height, 0))
    document.set_modelspace_vport(drawing.height, (drawing.width / 2, drawing.height / 2))
    for name, words in (("Title", drawing.title), ("Description", drawing.description)):
        if words:
            document.header.custom_vars.append(name, plain(words))
    colours = dict(drawing.colours)
    used = {item.layer for group in drawing.groups for item in group.items}
    for layer in CUTTING_ORDER:
        if layer in used:
            width = _LAYER_WIDTHS.get(layer, NARROW)
            colour = _COLOURS.get(colours.get(layer, ""), _BLACK)
            document.layers.add(layer, color=colour, lineweight=round(100 * width))
    patterns = {
        item.dashes: None
        for group in drawing.groups
        for item in group.items
        if isinstance(item, Stroke) and item.dashes
    }
    for dashes in patterns:
        lengths = [length if i % 2 == 0 else -length for i, length in enumerate(dashes)]
        document.linetypes.add(_line_type(dashes), [sum(dashes), *lengths])
    document.styles.add(_STYLE, font="Vera.ttf")


def _put_right(document: Any, date: str) -> None:
    """Give the file its date or none, and an order that does not follow the hash seed."""
    from ezdxf.tools.juliandate import juliandate

    for name in _DATES:
        if date:
            document.header[name] = juliandate(datetime.fromisoformat(date))
        else:
            del document.header[name]
    marks = document.ezdxf_metadata()
    for name in ("CREATED_BY_EZDXF", "WRITTEN_BY_EZDXF"):
        marks.discard(name)
    document.classes.classes = dict(sorted(document.classes.classes.items()))


def _stroke(space: Any, stroke: Stroke) -> None:
    path = stroke.path
    attributes: dict[str, Any] = {"layer": stroke.layer}
    if stroke.width != _LAYER_WIDTHS.get(stroke.layer, NARROW):
        attributes["lineweight"] = round(100 * stroke.width)
    if stroke.dashes:
        attributes["linetype"] = _line_type(stroke.dashes)
    rows = list(_rows(path))
    if path.closed and [bulge for _, _, bulge in rows] in ([1.0, 1.0], [-1.0, -1.0]):
        (x0, y0, _), (x1, y1, _) = rows
        radius = rounded(math.dist(*path.points) / 2, DECIMALS)
        space.add_circle(((x0 + x1) / 2, (y0 + y1) / 2), radius, attributes)
    elif len(rows) == 2 and not path.closed and not rows[0][2]:
        space.add_line(rows[0][:2], rows[1][:2], attributes)
    else:
        space.add_lwpolyline(rows, "xyb", close=path.closed, dxfattribs=attributes)
    if stroke.filled:
        hatch = space.add_hatch(_BLACK, {"layer": stroke.layer})
        hatch.paths.add_polyline_path(rows, is_closed=True)


def _rows(path: Path) -> Iterator[tuple[float, float, float]]:
    """Corners with the bulge of the piece that starts there; an open path ends without one."""
    bulges = path.bulges if path.closed else (*path.bulges, 0.0)
    for (x, y), bulge in zip(path.points, bulges, strict=True):
        yield rounded(x, DECIMALS), rounded(y, DECIMALS), rounded(bulge, 9)


def _text(space: Any, text: Text) -> None:
    from ezdxf.enums import TextEntityAlignment

    words = drawable(plain(text.text))
    if not words.strip():
        return
    back = {"start": 0.0, "middle": text.width / 2, "end": text.width}[text.anchor]
    c, s = math.cos(math.radians(text.rotation)), math.sin(math.radians(text.rotation))

    def along(distance: float) -> Point:
        x, y = text.at[0] + distance * c, text.at[1] + distance * s
        return rounded(x, DECIMALS), rounded(y, DECIMALS)

    attributes = {"layer": text.layer, "style": _STYLE, "rotation": rounded(text.rotation, DECIMALS)}
    entity = space.add_text(_coded(words), height=rounded(text.height, DECIMALS), dxfattribs=attributes)
    entity.set_placement(along(-back), along(text.width - back), TextEntityAlignment.FIT)


def _coded(words: str) -> str:
    r"""Words so that no reader takes a part of them for a code.

    '%%c' is a diameter sign to readers, '^J' a line break, '\\U+0041' an A. Where one would begin, '%' is written
    '%%%', '^' with a blank behind it, and the stroke by its number, as the format has it.
    """
    coded = []
    for before, character, after in zip(" " + words, words, words[1:] + " ", strict=False):
        if character == "%" and "%" in (before, after):
            coded.append("%%%")
        elif character == "^":
            coded.append("^ ")
        elif character == "\\" and after in "UuMm":
            coded.append("\\U+005C")
        else:
            coded.append(character)
    return "".join(coded)


def _line_type(dashes: tuple[float, ...]) -> str:
    name = _LINE_TYPES.get(dashes)
    return name or "dashes " + " ".join(short(length, 2).replace(".", "_") for length in dashes)
