"""The page of each code: what is wrong and why there is such a rule, a wrong example and the right one.

The pages stand in the files of `help/`, by subject, one section a code; its README says how they are
written. Only `explain` and the SARIF renderer read them.
"""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

SUBJECTS = (
    "files",
    "numbers",
    "statements",
    "names",
    "values",
    "solving",
    "stacks",
    "balance",
    "assembly",
    "skins",
    "wings",
    "shapes",
    "sheets",
    "writing",
)
_FOLDER = Path(__file__).parent / "help"
_SECTION = re.compile(r"^## ", re.MULTILINE)
_FENCE = re.compile(r"```(?:wright|svg|text) ?(\S*)\n(.*?)```", re.DOTALL)


class Example(NamedTuple):
    """An example: the spec, and the files that it uses, text by path.

    alone: the spec is whole; else it follows a model and the stocks board, card and ply.
    """

    spec: str
    files: Mapping[str, str]
    alone: bool


class Page(NamedTuple):
    """The page of one code.

    says: paragraphs with a blank line between them. wrong, right: None where no short text shows the fault.
    """

    code: str
    subject: str
    says: str
    wrong: Example | None
    right: Example | None


@cache
def pages() -> Mapping[str, Page]:
    """Return all pages by their codes, in the order in which they stand."""
    return {page.code: page for subject in SUBJECTS for page in _read(subject)}


def _read(subject: str) -> Iterator[Page]:
    _, *sections = _SECTION.split((_FOLDER / f"{subject}.md").read_text("utf-8"))
    for section in sections:
        code, _, text = section.partition("\n")
        says, _, examples = text.partition("\nWrong:\n")
        wrong, _, right = examples.partition("\nRight:\n")
        yield Page(code.strip(), subject, says.strip(), _example(wrong), _example(right))


def _example(text: str) -> Example | None:
    fences = _FENCE.findall(text)
    if not fences:
        return None
    (name, spec), *others = fences
    return Example(spec.removesuffix("\n"), dict(others), name == "alone")


def first_sentence(page: Page) -> str:
    """Return the first sentence of a page, on one line."""
    words = " ".join(page.says.split())
    match = re.match(r".*?[.:](?= |$)", words)
    return (match[0][:-1] if match else words) + "."
