"""A book as one page of HTML that needs nothing else: pictures as SVG in it, no request to anywhere.

Every text is escaped; the page's policy forbids whatever it does not hold itself. Ticks and weights are kept by the
browser, where it lets a file keep anything.
"""

from collections.abc import Iterator, Mapping
from html import escape
from typing import Any

from ringwright.backends.book.blocks import (
    Blank,
    Block,
    Book,
    Box,
    Cell,
    Chapter,
    Heading,
    Job,
    Lines,
    Name,
    Picture,
    Table,
    Words,
)
from ringwright.backends.book.style import KEEPING, STYLE
from ringwright.backends.drawing import Stroke
from ringwright.backends.lettering import FAMILIES, font_size, plain
from ringwright.backends.svg import path_data
from ringwright.backends.viewer import viewer
from ringwright.geometry.numbers import short

POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:"


def html_text(book: Book, scene: Mapping[str, Any]) -> str:
    """The page. scene: of the viewer. ValueError where a text holds a control character."""
    return "\n".join(_page(book, scene)) + "\n"


def _page(book: Book, scene: Mapping[str, Any]) -> Iterator[str]:
    title = _said(book.title)
    more = " · ".join(word for word in (book.revision and f"revision {book.revision}", book.date) if word)
    yield "<!doctype html>"
    yield '<html lang="en">'
    yield "<head>"
    yield '<meta charset="utf-8">'
    yield f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield f"<title>{title}: build book</title>"
    yield f"<style>\n{STYLE}{viewer.style()}</style>"
    yield "</head>"
    yield f'<body data-book="{_said(f"{book.title} {book.revision}")}">'
    yield f"<header><h1>{title}</h1><p>{_said(more or 'Build book')}</p></header>"
    yield '<nav aria-label="Chapters"><ul>'
    for chapter in book.chapters:
        yield f'<li><a href="#{chapter.id}">{_said(chapter.title)}</a></li>'
    yield "</ul></nav>"
    yield "<main>"
    for chapter in book.chapters:
        yield from _chapter(chapter, scene if chapter is book.chapters[0] else None)
    yield "</main>"
    yield f"<script>\n{viewer.script()}</script>"
    yield f"<script>\n{KEEPING}</script>"
    yield "</body>"
    yield "</html>"


def _chapter(chapter: Chapter, scene: Mapping[str, Any] | None) -> Iterator[str]:
    yield f'<section id="{chapter.id}">'
    yield f"<h2>{_said(chapter.title)}</h2>"
    if scene is not None:
        still = next((block for block in chapter.blocks if isinstance(block, Picture)), None)
        yield viewer.fragment(
            scene, "" if still is None else picture(still), "" if still is None else still.name
        )
    words: list[Words] = []
    for block in (*chapter.blocks, None):
        if isinstance(block, Words) and block.head:
            words.append(block)
            continue
        if words:
            yield "<dl>"
            yield from (f"<dt>{_said(each.head)}</dt><dd>{_said(each.text)}</dd>" for each in words)
            yield "</dl>"
            words = []
        if block is not None:
            yield from _block(block)
    yield "</section>"


def _block(block: Block) -> Iterator[str]:
    if isinstance(block, Heading):
        yield f"<h3>{_said(block.text)}</h3>"
    elif isinstance(block, Words):
        yield f"<p>{_said(block.text)}</p>"
    elif isinstance(block, Picture):
        yield f"<figure>{picture(block)}<figcaption>{_said(block.name)}</figcaption></figure>"
    elif isinstance(block, Table):
        yield from _table(block)
    else:
        yield from _job(block)


def _table(table: Table) -> Iterator[str]:
    heads = (f'<th scope="col">{_said(head)}</th>' for head in table.heads)
    columns = "".join(f'<col style="width: {short(100 * share, 1)}%">' for share in table.widths)
    head = f"<thead><tr>{''.join(heads)}</tr></thead>" if table.heads else ""
    yield f'<div class="wide"><table><colgroup>{columns}</colgroup>{head}<tbody>'
    for row in table.rows:
        cells = (
            ('<td class="figure">' if i in table.right else "<td>") + _cell(cell) + "</td>"
            for i, cell in enumerate(row)
        )
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</tbody></table></div>"


def _cell(cell: Cell) -> str:
    if isinstance(cell, Picture):
        return picture(cell)
    if isinstance(cell, Box):
        name = _said(cell.of)
        return f'<input type="checkbox" data-keep="done {name}" aria-label="done: {name}">'
    if isinstance(cell, Lines):
        return "<br>".join(map(_said, cell.rows))
    if isinstance(cell, Name):
        return f'<button type="button" data-pick="{_said(cell.part)}">{_said(cell.text)}</button>'
    if isinstance(cell, Blank):
        name = _said(cell.of)
        label = f"what {name} weighed, {cell.unit}"
        return f'<input type="number" step="0.1" min="0" data-keep="weighed {name}" aria-label="{label}">'
    return _said(cell)


def _job(job: Job) -> Iterator[str]:
    yield f'<article class="step" id="step-{job.number}">'
    yield "<div>"
    box = f'<input type="checkbox" data-keep="step {job.number}">'
    yield f"<h4><label>{box} {job.number} {_said(job.title)}</label></h4>"
    yield "<ul>"
    yield from (f"<li>{_said(line)}</li>" for line in job.lines)
    yield "</ul>"
    yield from (f"<p><strong>{head}</strong> {_said(words)}</p>" for head, words in job.heads)
    yield "</div>"
    if job.picture is not None:
        yield picture(job.picture)
    yield "</article>"


def picture(drawn: Picture) -> str:
    """A picture as SVG within the page, in true millimetres."""
    width, height = short(drawn.width, 3), short(drawn.height, 3)
    words = [
        f'<svg class="drawn" role="img" aria-label="{_said(drawn.name)}" width="{width}mm" height="{height}mm"'
        f' viewBox="0 0 {width} {height}">'
    ]
    for item in drawn.items:
        if isinstance(item, Stroke):
            dashes = (
                f' stroke-dasharray="{" ".join(short(d, 3) for d in item.dashes)}"' if item.dashes else ""
            )
            fill = ' fill="currentColor"' if item.filled else ""
            data = path_data(item.path, drawn.height)
            words.append(f'<path d="{data}" stroke-width="{short(item.width, 3)}"{dashes}{fill}/>')
        else:
            x, y = short(item.at[0], 3), short(drawn.height - item.at[1], 3)
            turn = f' transform="rotate({short(-item.rotation, 3)} {x} {y})"' if item.rotation else ""
            words.append(
                f'<text x="{x}" y="{y}" font-family="{FAMILIES}" font-size="{short(font_size(item.height), 3)}"'
                f' text-anchor="{item.anchor}"{turn}>{_said(item.text)}</text>'
            )
    return "".join((*words, "</svg>"))


def _said(text: str) -> str:
    return escape(plain(text), quote=True)
