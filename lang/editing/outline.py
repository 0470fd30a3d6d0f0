"""A text in outline: its components under one another, what can be folded, and all names of a project."""

import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from ringwright.lang.editing.analysis import Analysis
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes

_REMARKS = re.compile(r"(?:^[ \t]*#[^\n]*(?:\n|\Z)){2,}", re.MULTILINE)


class Symbol(NamedTuple):
    """Something that is named. sort: 'component', 'station', 'let', 'recipe' or 'file'. whole: all of it; span: its name."""

    name: str
    sort: str
    detail: str
    whole: Span
    span: Span
    children: tuple["Symbol", ...] = ()


class Fold(NamedTuple):
    """Lines, from 0, that can be shown as their first alone. remark: they are comments."""

    first: int
    last: int
    remark: bool = False


class Found(NamedTuple):
    """A name of a project: where it is, and in what."""

    symbol: Symbol
    path: Path
    inside: str


def symbols(file: nodes.File) -> tuple[Symbol, ...]:
    """Return what a text names, in its order."""
    return tuple(_symbols(file.statements))


def _symbols(statements: Iterable[nodes.Statement]) -> Iterator[Symbol]:
    for node in statements:
        match node:
            case nodes.Component():
                sort = "station" if node.kind == "station" else "component"
                children = tuple(_symbols(node.body))
                yield Symbol(node.name or node.kind, sort, node.kind, node.span, node.name_span, children)
            case nodes.Let():
                yield Symbol(node.name, "let", "let", node.span, node.name_span)
            case nodes.Recipe():
                listed = ", ".join(each.name for each in node.parameters)
                yield Symbol(
                    node.name,
                    "recipe",
                    f"recipe({listed})",
                    node.span,
                    node.name_span,
                    tuple(_symbols(node.body)),
                )
            case nodes.Make():
                yield Symbol(
                    node.name, "component", f"make {'.'.join(node.recipe.parts)}", node.span, node.name_span
                )
            case nodes.Use():
                yield Symbol(node.alias or node.file.value, "file", "use", node.span, node.file.span)
            case nodes.Table():
                names = [i for i, column in enumerate(node.columns) if column.name == "station"]
                for row in node.rows:
                    for i in names:
                        cell = row[i].value if i < len(row) else None
                        if isinstance(cell, nodes.Name):
                            yield Symbol(cell.parts[0], "station", "station", row[i].span, cell.span)


def all_symbols(analyses: Iterable[Analysis], query: str) -> tuple[Found, ...]:
    """Return the names of some specs whose letters hold those of a query, in their order."""
    found: dict[tuple[Path, Span], Found] = {}
    for analysis in analyses:
        for path, file in analysis.compiled.project.files.items():
            waiting = [(symbol, "") for symbol in symbols(file)]
            for symbol, inside in waiting:
                if symbol.sort != "file" and _holds(symbol.name, query):
                    at = analysis.root / path
                    found.setdefault((at, symbol.span), Found(symbol, at, inside or symbol.detail))
                full = f"{inside}.{symbol.name}" if inside else symbol.name
                waiting.extend((child, full) for child in symbol.children)
    return tuple(sorted(found.values(), key=lambda each: (each.path, each.symbol.span.start)))


def _holds(name: str, query: str) -> bool:
    letters = iter(name.casefold())
    return all(letter in letters for letter in query.casefold() if not letter.isspace())


def folds(file: nodes.File, text: str, starts: tuple[int, ...]) -> tuple[Fold, ...]:
    """Return what can be folded in a text. starts: offsets at which its lines start."""
    from bisect import bisect_right

    def line(offset: int) -> int:
        return bisect_right(starts, offset) - 1

    found: set[Fold] = set()
    waiting: list[object] = list(file.statements)
    while waiting:
        node = waiting.pop()
        if not isinstance(node, tuple) or isinstance(node, Span):
            continue
        span = getattr(node, "span", None)
        if isinstance(
            node, nodes.Component | nodes.Recipe | nodes.Make | nodes.Table | nodes.ListOf | nodes.Group
        ):
            assert span is not None
            last = line(span.end - 1) - (0 if isinstance(node, nodes.Table) else 1)
            if last > line(span.start):
                found.add(Fold(line(span.start), last))
        waiting.extend(node)
    for match in _REMARKS.finditer(text):
        found.add(Fold(line(match.start()), line(match.end() - 1), True))
    return tuple(sorted(found))
