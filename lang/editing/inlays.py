"""Values that were found, to be shown in the text beside what asks for them."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from ringwright.lang.components.tree import Component
from ringwright.lang.editing.analysis import Analysis, Known
from ringwright.lang.kinds.kind import Property
from ringwright.lang.syntax import nodes

MOST_LEFT_OUT = 3
"""Dimensions left out that are shown of one component: hovering shows the others."""


class Inlay(NamedTuple):
    """A value shown at an offset. name: whose it is. old: it is the last good one, before a mistake."""

    offset: int
    text: str
    name: str
    old: bool


def inlays(analysis: Analysis, path: str, start: int, end: int) -> tuple[Inlay, ...]:
    """Return the values to be shown in a stretch of a text, in its order; those before a mistake where it hides them."""
    if analysis.compiled.design is None and analysis.before is not None:
        return _as_they_were(analysis, path, start, end)
    found = [
        inlay
        for component in analysis.tree.components.values()
        if component.file == path
        and component.made is None
        and component.whole.start < end
        and component.whole.end > start
        for inlay in _of_component(analysis, component)
    ]
    file = analysis.tree.files.get(path)
    if file is not None:
        found.extend(_of_lets(analysis, file.prefix, file.lets.values()))
    return tuple(sorted({inlay for inlay in found if start <= inlay.offset <= end}))


def _as_they_were(analysis: Analysis, path: str, start: int, end: int) -> tuple[Inlay, ...]:
    """Return the values before a mistake, where the text still stands beside which they were shown."""
    since = analysis.since(path)
    if since is None:
        return ()
    found = []
    for inlay in inlays(since.before, path, 0, len(since.before.compiled.project.sources[path].text)):
        offset = inlay.offset + (0 if inlay.offset <= since.first else since.moved)
        stands = inlay.offset <= since.first or offset >= since.end
        if stands and start <= offset <= end:
            found.append(inlay._replace(offset=offset, text=f"{inlay.text} (old)", old=True))
    return tuple(found)


def _of_component(analysis: Analysis, component: Component) -> Iterator[Inlay]:
    for name, node in component.properties.items():
        if isinstance(node.value, nodes.Constant) and node.value.name == "auto":
            known = analysis.value(f"{component.id}.{name}")
            if known is not None:
                yield _inlay(node.value.span.end, "=", known, f"{component.id}.{name}")
    yield from _of_lets(analysis, f"{component.id}.", component.lets.values())
    if component.whole.source == component.span.source and component.kind.name != "station":
        found = [*_left_out(analysis, component)]
        for property, known in found[:MOST_LEFT_OUT]:
            yield _inlay(component.span.end, property.name, known, f"{component.id}.{property.name}")


def _left_out(analysis: Analysis, component: Component) -> Iterator[tuple[Property, Known]]:
    """Yield the dimensions that the text leaves to be found, those that one would rather measure."""
    for property in component.kind.properties:
        full = f"{component.id}.{property.name}"
        if (
            property.type not in ("amount", "place")
            or property.name in component.properties
            or property.rather
        ):
            continue
        design = analysis.design_of(full)
        because = design.solution.because.get(full) if design is not None else None
        known = analysis.value(full)
        if known is not None and because is not None and because.provenance == "derived":
            yield property, known


def _of_lets(analysis: Analysis, prefix: str, lets: Iterable[nodes.Let]) -> Iterator[Inlay]:
    """Yield what named values come to that are more than a quantity as written."""
    for let in lets:
        plain = isinstance(let.value, nodes.Number | nodes.Text | nodes.Constant)
        known = None if plain else analysis.value(prefix + let.name)
        if known is not None:
            yield _inlay(let.value.span.end, "=", known, prefix + let.name)


def _inlay(offset: int, lead: str, known: Known, name: str) -> Inlay:
    return Inlay(offset, f" {lead} {known.text}{' (old)' if known.old else ''}", name, known.old)
