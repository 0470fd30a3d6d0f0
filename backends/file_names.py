"""Names of files that every file system takes and keeps apart, from names and texts of a spec."""

from collections.abc import Iterable

LONGEST = 64
# Names that stand for devices where file names have their rules from DOS, with any ending.
DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10)))
)


def file_word(word: str) -> str:
    """A word for a file's name: other letters become '_', a device's name gets one before it."""
    kept = "".join(c if c.isascii() and (c.isalnum() or c in "._") else "_" for c in word[:LONGEST])
    kept = kept.strip(".") or "_"
    return f"_{kept}" if kept.partition(".")[0].lower() in DEVICES else kept


def file_words(words: Iterable[str]) -> dict[str, str]:
    """Such a word for each, no two alike: some file systems do not tell A from a."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for word in sorted(set(words)):
        plain = name = file_word(word)
        number = 1
        while name.lower() in taken:
            number += 1
            name = f"{plain}_{number}"
        taken.add(name.lower())
        found[word] = name
    return found
