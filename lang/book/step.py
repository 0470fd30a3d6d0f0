"""One step of building, in words and by its parts."""

from typing import NamedTuple


class Step(NamedTuple):
    """One thing to do.

    assembly: to which it belongs, ''. lines: what is done, in turn. glue: what joins, '' where nothing is joined. check:
    what to measure afterwards, ''. parts: ids of those that are new in it. onto: ids of those that they are joined to.
    written: whether it stands in the spec.
    """

    title: str
    assembly: str
    lines: tuple[str, ...]
    glue: str
    check: str
    parts: tuple[str, ...]
    onto: tuple[str, ...]
    written: bool
