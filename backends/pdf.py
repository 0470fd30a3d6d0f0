"""Drawings as a PDF: a page each, true size, real text in an embedded font, layers that can be switched off.

The file is not compressed, so that its bytes do not depend on the machine's compression library, and holds no
date but the one that is handed in. Lines are written as path operators in millimetres; reportlab does the
rest.
"""

import io
import math
import os
from collections.abc import Iterator
from functools import cache
from itertools import groupby
from operator import itemgetter
from typing import Any

from ringwright.backends.drawing import LAYERS, Drawing, Item, Rectangle, Text, short_pieces
from ringwright.backends.later import put_off
from ringwright.backends.lettering import drawable, font_size, plain
from ringwright.geometry.numbers import short
from ringwright.geometry.path import Path, Piece, piece_radius, pieces, sweep_of

POINTS = 72 / 25.4
"""Points in a millimetre (ISO 32000-1: a point is 1/72 inch)."""

CURVE_ERROR = 0.0005
"""How far a Bézier curve may lie from its arc, mm."""

_UNUSED: dict[str, tuple[str, ...]] = {"PIL.Image": ()}
"""What reportlab imports for pictures."""

_FONT = "RingwrightLettering"


def pdf_bytes(drawings: tuple[Drawing, ...], title: str, date: str) -> bytes:
    """The file of some drawings.

    title: of the whole. date: 'YYYY-MM-DD' for the file's information, '' for none.
    """
    with put_off(_UNUSED):
        from reportlab.pdfgen.canvas import Canvas

    _register()
    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=0, invariant=1, pdfVersion=(1, 5), lang="en")
    _describe(canvas, plain(title), date)
    layers = _Layers(canvas)
    for number, drawing in enumerate(drawings, 1):
        unit = POINTS * drawing.stretch
        canvas.setPageSize((drawing.width * unit, drawing.height * unit))
        _mark(canvas, drawing, number)
        canvas._code.append(f"{unit:.12f} 0 0 {unit:.12f} 0 0 cm 0 J 1 j")
        for layer in LAYERS:
            runs = [(clip, list(items)) for clip, items in _runs(drawing, layer)]
            if runs:
                layers.begin(layer)
                for clip, items in runs:
                    _draw_within(canvas, clip, items)
                layers.end()
        canvas.showPage()
        layers.give_to_page(number)
    canvas.save()
    return out.getvalue()


def _mark(canvas: Any, drawing: Drawing, number: int) -> None:
    """Put the page, or the places on it that are marked, among the bookmarks."""
    if drawing.bookmarks is None:
        canvas.bookmarkPage(f"page{number}")
        canvas.addOutlineEntry(plain(drawing.title), f"page{number}", drawing.level)
        return
    for count, (title, level, y) in enumerate(drawing.bookmarks, 1):
        key = f"page{number}.{count}"
        canvas.bookmarkPage(key, fit="FitH", top=y * POINTS * drawing.stretch)
        canvas.addOutlineEntry(plain(title), key, level, closed=level == 0)


def path_operators(path: Path) -> str:
    """A path in PDF's operators, mm; arcs as Bézier curves."""
    words = [f"{_xy(path.points[0])} m"]
    for piece in _curves(path):
        start, end, bulge = piece
        if not bulge:
            words.append(f"{_xy(end)} l")
            continue
        sweep = sweep_of(bulge)
        # A handle stands square to the radius, 4/3 tan(sweep / 4) of it long; the chord gives both.
        handle = 4 / 3 * bulge * piece_radius(piece) if bulge else 0.0
        slope = math.atan2(end[1] - start[1], end[0] - start[0])
        reach = abs(handle)
        first, last = slope - sweep / 2, slope + sweep / 2
        one = (start[0] + reach * math.cos(first), start[1] + reach * math.sin(first))
        two = (end[0] - reach * math.cos(last), end[1] - reach * math.sin(last))
        words.append(f"{_xy(one)} {_xy(two)} {_xy(end)} c")
    if path.closed:
        words.append("h")
    return " ".join(words)


def _curves(path: Path) -> Iterator[Piece]:
    """Pieces short enough for one curve each; its error is about r (2/27) sin(a/4)^6 / cos(a/4)^2."""
    radius = max((piece_radius(piece) for piece in pieces(path) if piece[2]), default=1.0)
    most = math.pi / 2
    while radius * 2 / 27 * math.sin(most / 4) ** 6 / math.cos(most / 4) ** 2 > CURVE_ERROR:
        most /= 2
    return short_pieces(path, most)


def _runs(drawing: Drawing, layer: str) -> Iterator[tuple[Rectangle | None, Iterator[Item]]]:
    """What lies on a layer, groups in turn that are shown within the same rectangle together."""
    items = ((group.clip, item) for group in drawing.groups for item in group.items if item.layer == layer)
    for clip, found in groupby(items, key=itemgetter(0)):
        yield clip, (item for _, item in found)


def _draw_within(canvas: Any, clip: Rectangle | None, items: list[Item]) -> None:
    if clip is None:
        _draw(canvas, items)
        return
    left, low, right, high = clip
    canvas._code.append(f"q {_xy((left, low))} {_xy((right - left, high - low))} re W n")
    _draw(canvas, items)
    canvas._code.append("Q")


def _draw(canvas: Any, items: list[Item]) -> None:
    code = canvas._code
    pen: tuple[object, ...] = ()
    for item in items:
        if isinstance(item, Text):
            _write(canvas, item)
            continue
        if pen != (item.width, item.dashes, item.phase):
            pen = (item.width, item.dashes, item.phase)
            dashes = " ".join(map(_number, item.dashes))
            code.append(f"{_number(item.width)} w [{dashes}] {_number(item.phase)} d")
        code.append(f"{path_operators(item.path)} {'B' if item.filled else 'S'}")


def _write(canvas: Any, text: Text) -> None:
    size = font_size(text.height)
    angle = math.radians(text.rotation)
    c, s = math.cos(angle), math.sin(angle)
    back = {"start": 0.0, "middle": text.width / 2, "end": text.width}[text.anchor]
    x, y = text.at[0] - back * c, text.at[1] - back * s
    row = canvas.beginText()
    row.setFont(_FONT, size)
    row.setTextTransform(*(float(short(value, 6)) for value in (c, s, -s, c, x, y)))
    row.textOut(drawable(plain(text.text)))
    canvas.drawText(row)


class _Layers:
    """Optional content groups (ISO 32000-1, 8.11): the layers that a viewer can switch off.

    reportlab has no public call for them, so this class alone reaches into its page code, catalogue and
    pages.
    """

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas
        self._groups: dict[str, Any] = {}

    def begin(self, layer: str) -> None:
        """What is drawn from here on lies on a layer."""
        from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFString

        if layer not in self._groups:
            group = PDFDictionary({"Type": PDFName("OCG"), "Name": PDFString(layer)})
            self._groups[layer] = self._canvas._doc.Reference(group)
        self._canvas._code.append(f"/OC /{layer} BDC")

    def end(self) -> None:
        """What is drawn from here on lies on no layer."""
        self._canvas._code.append("EMC")

    def give_to_page(self, number: int) -> None:
        """Name the layers in a finished page's resources, and in the catalogue."""
        from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFResourceDictionary

        document = self._canvas._doc
        resources = PDFResourceDictionary()
        resources.basicFonts()
        resources.Properties = dict(self._groups)
        document.idToObject[f"Page{number}"].Resources = resources
        groups = PDFArray(list(self._groups.values()))
        catalogue = document.Catalog
        catalogue.OCProperties = PDFDictionary({"OCGs": groups, "D": PDFDictionary({"Order": groups})})
        catalogue.__NoDefault__ = [*type(catalogue).__NoDefault__, "OCProperties"]


def _describe(canvas: Any, title: str, date: str) -> None:
    """Title and, where one is given, date; nothing from the clock or the environment."""
    import hashlib

    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFString

    class Information(PDFInfo):  # type: ignore[misc]
        def format(self, document: Any) -> Any:
            fields = {"Title": PDFString(title), "Creator": PDFString("ringwright")}
            if date:
                stamp = PDFString(f"D:{date.replace('-', '')}000000Z")
                fields.update(CreationDate=stamp, ModDate=stamp)
            return PDFDictionary(fields).format(document)

    document = canvas._doc
    document.info = Information()
    document.signature = hashlib.md5(f"{title}\n{date}\n".encode(), usedforsecurity=False)
    canvas.setTitle(title)


@cache
def _register() -> None:
    """Make the font that comes with reportlab known under a name of our own."""
    import reportlab
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = os.path.join(os.path.dirname(reportlab.__file__), "fonts")
    pdfmetrics.registerFont(TTFont(_FONT, os.path.join(folder, "Vera.ttf")))


def _number(value: float) -> str:
    return short(value, 4)


def _xy(point: tuple[float, float]) -> str:
    return f"{short(point[0], 4)} {short(point[1], 4)}"
