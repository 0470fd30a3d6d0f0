"""All files of a build, by their paths below its folder: the one place that knows which format makes which."""

from collections.abc import Callable, Iterator
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from ringwright.backends.cut_list import cut_list_csv
from ringwright.backends.drawing import Drawing
from ringwright.backends.file_names import file_word, file_words
from ringwright.backends.manifest import MANIFEST, manifest
from ringwright.backends.paper import Paper, paper_of
from ringwright.backends.record import BuildRecord, Place
from ringwright.backends.sheet import (
    Content,
    Drawn,
    drawn,
    for_eyes,
    for_machines,
    sheet_content,
    template_of,
)

if TYPE_CHECKING:
    from ringwright.backends.book.blocks import Book

FORMATS = ("svg", "pdf", "dxf", "tiles", "plan", "gauge", "views", "book")


class Choices(NamedTuple):
    """What else a build was asked for.

    outlines: text in SVG as outlines. dimensions: sizes drawn on the sheets. paper: what templates,
    plan and gauge are printed on.
    """

    outlines: bool = False
    dimensions: bool = False
    paper: Paper = paper_of("a4")


PLAIN = Choices()


class _Job:
    """What every format is made from. stem: what all names of files begin with."""

    def __init__(
        self, record: BuildRecord, formats: tuple[str, ...], date: str, choices: Choices, stem: str
    ) -> None:
        self.record, self.date, self.choices, self.stem = record, date, choices, stem
        self._wanted = ("svg" in formats or "dxf" in formats, "pdf" in formats)

    @cached_property
    def drawn(self) -> tuple[Drawn, ...]:
        """Every sheet as the cutter gets it and as people do, as far as it is asked for, drawn once."""
        given = (self._wanted, self.choices.dimensions, self.date)
        return tuple(drawn(self.record, sheet, *given) for sheet in self.record.sheets)

    def machines(self) -> tuple[Drawing, ...]:
        """Every sheet as the cutter gets it."""
        return tuple(pair.machine for pair in self.drawn if pair.machine is not None)

    @cached_property
    def book(self) -> "Book":
        """The build book, settled once for both of its files."""
        from ringwright.backends.book.content import book_of

        return book_of(self.record, self.date)

    def gauges(self) -> tuple[BuildRecord, tuple[Content, ...]]:
        """The fit gauges of all stocks, as sheets of their own."""
        from ringwright.backends.gauge import gauges

        return gauges(self.record)


def build_files(
    record: BuildRecord, formats: tuple[str, ...], date: str, choices: Choices = PLAIN
) -> dict[str, bytes]:
    """Every file of a build folder by its path below it.

    date: 'YYYY-MM-DD' for title blocks and headers, '' for none. GeometryError where the kerf does not go into a part.
    """
    model = record.model
    stem = "-".join(file_word(word) for word in (model.name, model.revision) if word)
    words = file_words(sheet.stock.name for sheet in record.sheets)
    job = _Job(record, formats, date, choices, stem)
    files: dict[str, bytes] = {"cut-list.csv": cut_list_csv(record).encode()}
    made = {"cut_list": "cut-list.csv"}
    of_sheets: dict[Place, dict[str, str]] = {}
    for format, write in _WRITERS.items():
        if format in formats:
            for sheet, drawing in zip(record.sheets, job.machines(), strict=True):
                name = f"sheets/{stem}-{words[sheet.stock.name]}-{sheet.number.replace(' ', '-')}.{format}"
                files[name] = write(job, drawing)
                of_sheets.setdefault(sheet.place, {})[format] = name
            if "gauge" in formats:
                for use, path, gauge in _gauge_sheets(job, words, format):
                    made[use], files[path] = path, gauge
    for use, (format, ending, make) in _BOOKS.items():
        if format in formats:
            data = make(job)
            if data is not None:
                made[use] = f"{stem}{ending.format(paper=choices.paper.name)}"
                files[made[use]] = data
    if "views" in formats:
        for use, ending, drawing in _views(job):
            made[use] = f"{stem}-{ending}.svg"
            files[made[use]] = _svg(job, drawing)
    files[MANIFEST] = manifest(record, made, of_sheets).encode()
    return files


def _sheets_pdf(job: _Job) -> bytes:
    from ringwright.backends.pdf import pdf_bytes

    pages = tuple(pair.eyes for pair in job.drawn if pair.eyes is not None)
    return pdf_bytes(pages, job.record.model.title, job.date)


def _tiles_pdf(job: _Job) -> bytes:
    from ringwright.backends.pdf import pdf_bytes
    from ringwright.backends.tiles import tiled

    # Drawn afresh: of what is kept of sheets for the cutter and for people, nothing is a template.
    contents = (
        (sheet, sheet_content(job.record, sheet, job.choices.dimensions)) for sheet in job.record.sheets
    )
    templates = (template_of(job.record, sheet, content, job.date) for sheet, content in contents)
    pages = tuple(page for template in templates for page in tiled(template, job.choices.paper))
    return pdf_bytes(pages, f"{job.record.model.title}: templates", job.date)


def _plan_pdf(job: _Job) -> bytes | None:
    from ringwright.backends.pdf import pdf_bytes
    from ringwright.backends.plan import plan_of
    from ringwright.backends.tiles import tiled

    plan = plan_of(job.record, job.date)
    if plan is None:
        return None
    return pdf_bytes(tiled(plan, job.choices.paper), f"{job.record.model.title}: plan", job.date)


def _gauge_pdf(job: _Job) -> bytes:
    from ringwright.backends.pdf import pdf_bytes

    record, contents = job.gauges()
    sheets = zip(record.sheets, contents, strict=True)
    pages = (for_eyes(record, sheet, content, job.date) for sheet, content in sheets)
    stretched = tuple(page._replace(stretch=job.choices.paper.stretch) for page in pages)
    return pdf_bytes(stretched, record.model.title, job.date)


def _views(job: _Job) -> Iterator[tuple[str, str, Drawing]]:
    """Pictures of the assembled model: their use in the manifest, how their name ends, and what they show."""
    from ringwright.backends.views.model_views import isometric, solids_in, three_views

    solids = solids_in(job.record)
    for use, ending, drawing in (
        ("three_view", "three-view", three_views(job.record, solids, job.date)),
        ("isometric", "isometric", isometric(job.record, solids, job.date)),
    ):
        if drawing is not None:
            yield use, ending, drawing


def _book_pdf(job: _Job) -> bytes:
    from ringwright.backends.book.paper import pages_of
    from ringwright.backends.pdf import pdf_bytes

    book = job.book
    return pdf_bytes(pages_of(book, job.choices.paper), f"{book.title}: build book", job.date)


def _book_page(job: _Job) -> bytes:
    from ringwright.backends.book.html import html_text
    from ringwright.backends.viewer.scene import scene_of

    return html_text(job.book, scene_of(job.record)).encode()


def _gauge_sheets(job: _Job, words: dict[str, str], format: str) -> Iterator[tuple[str, str, bytes]]:
    """The gauges for a cutter: their use in the manifest, their path and their bytes."""
    record, contents = job.gauges()
    for sheet, content in zip(record.sheets, contents, strict=True):
        word = words[sheet.stock.name]
        drawing = for_machines(record, sheet, content)
        yield (
            f"gauge-{word}-{format}",
            f"sheets/{job.stem}-gauge-{word}.{format}",
            _WRITERS[format](job, drawing),
        )


def _svg(job: _Job, drawing: Drawing) -> bytes:
    from ringwright.backends.svg import svg_text

    return svg_text(drawing, job.choices.outlines).encode()


def _dxf(job: _Job, drawing: Drawing) -> bytes:
    from ringwright.backends.dxf import dxf_bytes

    return dxf_bytes(drawing, job.date)


_WRITERS: dict[str, Callable[[_Job, Drawing], bytes]] = {"svg": _svg, "dxf": _dxf}
"""Formats with a file a sheet, for cutters."""

_BOOKS: dict[str, tuple[str, str, Callable[[_Job], bytes | None]]] = {
    "pdf": ("pdf", ".pdf", _sheets_pdf),
    "tiles": ("tiles", "-tiles-{paper}.pdf", _tiles_pdf),
    "plan": ("plan", "-plan-{paper}.pdf", _plan_pdf),
    "gauge": ("gauge", "-gauge.pdf", _gauge_pdf),
    "book": ("book", "-book.pdf", _book_pdf),
    "page": ("book", "-book.html", _book_page),
}
"""Files about the whole, by their use in the manifest: the format that they belong to, and how the name ends."""
