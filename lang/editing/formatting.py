"""A text laid out as `tidy` does, as the edits of single lines."""

from difflib import SequenceMatcher

from ringwright.lang.editing.text import Edit
from ringwright.lang.source import source_of
from ringwright.lang.syntax.parse import parse
from ringwright.lang.tidy.tidy import laid_out, says_the_same

MOST_COMPARED = 4000
"""Lines of a text that are compared one by one; a longer one is replaced whole."""


def tidied(path: str, text: str) -> list[Edit]:
    """Return the edits that lay a text out; none where it has mistakes, or would not say the same."""
    source = source_of(path, text)
    file, found = parse(source)
    if found:
        return []
    new = laid_out(text)
    if new == text or not says_the_same(source, file, new):
        return []
    before, after = text.splitlines(keepends=True), new.splitlines(keepends=True)
    if max(len(before), len(after)) > MOST_COMPARED:
        return [Edit(0, len(text), new)]
    starts = [0]
    for line in before:
        starts.append(starts[-1] + len(line))
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    return [
        Edit(starts[i], starts[j], "".join(after[k:m]))
        for tag, i, j, k, m in matcher.get_opcodes()
        if tag != "equal"
    ]
