"""Comments at the ends of lines brought into line."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from ringwright.lang.tidy.lines import PUSH, Line
from ringwright.lang.tidy.scan import width

# Lines longer than this, or than the shortest and PUSH, do not push the comments of the others; and a column
# further out is not where a builder set the comments, but how long a line was.
REACH = 60
BLANKS = 2


def text_of(lines: Sequence[Line]) -> str:
    """Return the text of a file; what stands between two blank lines has its comments in one column."""
    pieces: list[str] = []
    for paragraph in _paragraphs(lines):
        if paragraph[0].blank:
            pieces.append("")
        pieces += _paragraph(paragraph)
    return "".join(f"{piece}\n" for piece in pieces)


def _paragraphs(lines: Sequence[Line]) -> Iterator[list[Line]]:
    paragraph: list[Line] = []
    for line in lines:
        if line.blank and paragraph:
            yield paragraph
            paragraph = []
        paragraph.append(line)
    if paragraph:
        yield paragraph


def _paragraph(lines: Sequence[Line]) -> Iterator[str]:
    common = _column([line for line in lines if not line.follows])
    column = common
    for line in lines:
        if line.comment is None:
            yield line.code
            continue
        room = width(line.code)
        if not line.follows:
            column = max(common, room + BLANKS)
        yield f"{line.code}{' ' * (column - room)}{line.comment.text}"


def _column(lines: Sequence[Line]) -> int:
    """Return the column for the comments of these lines: where most of them were set, if there is room."""
    rooms = [(width(line.code), line.comment) for line in lines if line.comment is not None]
    if not rooms:
        return 0
    limit = max(REACH, min(room for room, _ in rooms) + PUSH)
    near = [(room, comment) for room, comment in rooms if room <= limit]
    # One that stands a single blank behind its line was not set anywhere.
    found = sorted(c.column for _, c in near if c.blanks >= BLANKS and c.column <= REACH)
    runs = [list(run) for _, run in groupby(found)]
    needed = max(room for room, _ in near) + BLANKS
    return max(needed, max(runs, key=len)[0]) if runs else needed
