"""The blanks between the words of one line."""

from collections.abc import Sequence

from ringwright.lang.tidy.scan import Word

_NONE_BEHIND = frozenset(("(", "[", "@", ".", "prefix"))
_NONE_BEFORE = frozenset((")", "]", ",", "."))


def gap(left: Word, right: Word) -> str:
    """Return what stands between two words of a line: one blank or nothing."""
    if left.kind in _NONE_BEHIND or right.kind in _NONE_BEFORE:
        return ""
    if right.kind in ("(", "[") and left.kind == "name":
        return ""
    if right.text == "°" and left.kind == "number":
        return ""
    return " "


def spaced(words: Sequence[Word]) -> str:
    """Return words as the text of one line, without commas that separate nothing."""
    pieces: list[str] = []
    before: Word | None = None
    for word, after in zip(words, [*words[1:], None], strict=False):
        if is_idle(word, after):
            continue
        if before is not None:
            pieces.append(gap(before, word))
        pieces.append(word.text)
        before = word
    return "".join(pieces)


def is_idle(word: Word, after: Word | None) -> bool:
    """Say whether a word is a comma that separates nothing on its line."""
    return word.kind == "," and after is not None and after.kind in (")", "]")
