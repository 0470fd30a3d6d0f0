"""A book on pages of paper: rows fill them from above."""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ringwright.backends.book.blocks import Book, Chapter
from ringwright.backends.book.rows import BODY, PITCH, Row, chapter_rows
from ringwright.backends.drawing import NARROW, Bookmark, Drawing, Group, Item, Stroke, lettering, moved_item
from ringwright.backends.lettering import shortened, text_width
from ringwright.backends.paper import PAPERS, Paper
from ringwright.geometry.path import line

LEFT, EDGE, FOOT = 18.0, 12.0, 18.0
"""Margins: at the left, where the book is bound; at the right and above; below, mm."""


def pages_of(book: Book, paper: Paper) -> tuple[Drawing, ...]:
    """The pages of a book, upright; of a roll and of very large paper pieces as large as A4."""
    width, height = min(paper.width, paper.height), max(paper.width, paper.height)
    if paper.is_roll or width > PAPERS["a3"][0] + 1.0:
        width, height = PAPERS["a4"]
    room = width - LEFT - EDGE
    found: list[_Filled] = []
    for run in _fresh(book.chapters):
        rows = [
            row for chapter in run for row in chapter_rows(book, chapter, chapter is book.chapters[0], room)
        ]
        found += _filled(rows, height - EDGE - FOOT)
    return tuple(
        _page(book, filled, (width, height), (number, len(found)), paper.stretch)
        for number, filled in enumerate(found, 1)
    )


def _fresh(chapters: Sequence[Chapter]) -> Iterator[list[Chapter]]:
    """Chapters that follow one another on the same pages."""
    run: list[Chapter] = []
    for chapter in chapters:
        if run and chapter.fresh:
            yield run
            run = []
        run.append(chapter)
    yield run


def _page(
    book: Book,
    filled: "_Filled",
    size: tuple[float, float],
    number: tuple[int, int],
    stretch: float,
) -> Drawing:
    width, height = size
    left, right, y = LEFT, width - EDGE, FOOT - 8.0
    said = f"page {number[0]} of {number[1]}"
    name = " · ".join(
        word for word in (book.title, book.revision and f"revision {book.revision}", book.date) if word
    )
    foot: list[Item] = [
        Stroke("info", line([(left, y + PITCH), (right, y + PITCH)]), NARROW),
        lettering(
            "info", (left, y), shortened(name, BODY, right - left - text_width(said, BODY) - 6.0), BODY
        ),
        lettering("info", (right, y), said, BODY, 0.0, "end"),
    ]
    drawn = tuple(moved_item(item, (left, height - EDGE)) for item in filled.items)
    marks = tuple(Bookmark(title, level, height - EDGE - y) for title, level, y in filled.marks)
    return Drawing(width, height, said, "", (Group("page", said, "", (*drawn, *foot)),), 0, stretch, marks)


class _Filled(NamedTuple):
    """What is on a page, y from 0 at its top downwards: items, and bookmarks with their depth."""

    items: list[Item]
    marks: list[Bookmark]


def _filled(rows: Iterable[Row], height: float) -> Iterator[_Filled]:
    """Rows on pages."""
    page = _Filled([], [])
    y = 0.0
    for run in _runs(rows):
        if y and y + sum(row.height for row in run) > height:
            yield page
            page, y = _Filled([], []), 0.0
            above = run[0].above
            if above is not None:
                page.items.extend(above.items)
                y = above.height
        for row in run:
            if y and y + row.height > height:
                yield page
                page, y = _Filled([], []), 0.0
            if row.mark is not None:
                page.marks.append(row.mark._replace(y=y))
            page.items.extend(moved_item(item, (0.0, -y)) for item in row.items)
            y += row.height
    yield page


def _runs(rows: Iterable[Row]) -> Iterator[list[Row]]:
    """Rows that stay together."""
    run: list[Row] = []
    for row in rows:
        run.append(row)
        if not row.keep:
            yield run
            run = []
    if run:
        yield run
