"""All files of a build, by their paths below its folder: the one place that knows which format makes which."""

from collections.abc import Callable
from typing import NamedTuple

from ringwright.backends.cut_list import cut_list_csv
from ringwright.backends.drawing import Drawing
from ringwright.backends.file_names import file_word, file_words
from ringwright.backends.manifest import MANIFEST, manifest
from ringwright.backends.paper import Paper, paper_of
from ringwright.backends.record import BuildRecord
from ringwright.backends.sheet import for_eyes, for_machines, sheet_content, template_of

FORMATS = ("svg", "pdf", "dxf", "tiles")


class Choices(NamedTuple):
    """What else a build was asked for.

    outlines: text in SVG as outlines. paper: what templates, plan and gauge are printed on.
    """

    outlines: bool = False
    paper: Paper = paper_of("a4")


PLAIN = Choices()


class _Job:
    """What every format is made from. stem: what all names of files begin with."""

    def __init__(self, record: BuildRecord, date: str, choices: Choices, stem: str) -> None:
        self.record, self.date, self.choices, self.stem = record, date, choices, stem
        self.contents = tuple((sheet, sheet_content(record, sheet)) for sheet in record.sheets)
        self._machines: tuple[Drawing, ...] = ()

    def machines(self) -> tuple[Drawing, ...]:
        """Every sheet as the cutter gets it, drawn once for all formats that ask."""
        if not self._machines:
            drawn = (for_machines(self.record, sheet, content) for sheet, content in self.contents)
            self._machines = tuple(drawn)
        return self._machines


def build_files(
    record: BuildRecord, formats: tuple[str, ...], date: str, choices: Choices = PLAIN
) -> dict[str, bytes]:
    """Every file of a build folder by its path below it.

    date: 'YYYY-MM-DD' for title blocks and headers, '' for none. GeometryError where the kerf does not go into a part.
    """
    model = record.model
    stem = "-".join(file_word(word) for word in (model.name, model.revision) if word)
    words = file_words(sheet.stock.name for sheet in record.sheets)
    job = _Job(record, date, choices, stem)
    files: dict[str, bytes] = {"cut-list.csv": cut_list_csv(record).encode()}
    made = {"cut_list": "cut-list.csv"}
    of_sheets: dict[tuple[str, int], dict[str, str]] = {}
    for format, write in _SHEETS.items():
        if format in formats:
            for sheet, data in zip(record.sheets, write(job), strict=True):
                name = f"sheets/{stem}-{words[sheet.stock.name]}-{sheet.index}.{format}"
                files[name] = data
                of_sheets.setdefault((sheet.stock.name, sheet.index), {})[format] = name
    for format, (ending, make) in _BOOKS.items():
        if format in formats:
            made[format] = f"{stem}{ending.format(paper=choices.paper.name)}.pdf"
            files[made[format]] = make(job)
    files[MANIFEST] = manifest(record, made, of_sheets).encode()
    return files


def _svgs(job: _Job) -> list[bytes]:
    from ringwright.backends.svg import svg_text

    return [svg_text(drawing, job.choices.outlines).encode() for drawing in job.machines()]


def _dxfs(job: _Job) -> list[bytes]:
    from ringwright.backends.dxf import dxf_bytes

    return [dxf_bytes(drawing, job.date) for drawing in job.machines()]


def _sheets_pdf(job: _Job) -> bytes:
    from ringwright.backends.pdf import pdf_bytes

    pages = tuple(for_eyes(job.record, sheet, content, job.date) for sheet, content in job.contents)
    return pdf_bytes(pages, job.record.model.title, job.date)


def _tiles_pdf(job: _Job) -> bytes:
    from ringwright.backends.pdf import pdf_bytes
    from ringwright.backends.tiles import tiled

    templates = (template_of(job.record, sheet, content, job.date) for sheet, content in job.contents)
    pages = tuple(page for template in templates for page in tiled(template, job.choices.paper))
    return pdf_bytes(pages, f"{job.record.model.title}: templates", job.date)


_SHEETS: dict[str, Callable[[_Job], list[bytes]]] = {"svg": _svgs, "dxf": _dxfs}
"""Formats with a file a sheet."""

_BOOKS: dict[str, tuple[str, Callable[[_Job], bytes]]] = {
    "pdf": ("", _sheets_pdf),
    "tiles": ("-tiles-{paper}", _tiles_pdf),
}
"""Formats with one file, and how its name ends."""
