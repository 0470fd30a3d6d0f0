"""What drove a change: the chain from a line that was edited to a dimension that moved."""

from collections.abc import Container, Iterator, Mapping
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, NamedTuple

from ringwright.lang.compare.side import Side
from ringwright.lang.solve.algebra import stated_of, unknowns_of
from ringwright.lang.solve.terms import Equation
from ringwright.lang.source import Source, Span

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.design import Design
    from ringwright.lang.pipeline import Compiled

SCALE = "plan_scale"
WRITTEN = ("stated", "given")
"""Kinds of equations that stand in the text."""


class Driver(NamedTuple):
    """Something that was edited.

    name: the dimension whose line it is, '' where it is text of another sort. at: 'file:line', '' where it stands in
    no line. chain: names from that dimension to the one that it drove, both among them.
    """

    name: str
    at: str
    chain: tuple[str, ...]


class Drivers:
    """Finds what drove the changes from one side to another, whose spec is at hand."""

    def __init__(self, old: Side, new: Side, changed: Container[str]) -> None:
        """Take both sides and the names whose value changed, came or went."""
        assert new.compiled is not None
        assert new.compiled.design is not None
        self._design: Design = new.compiled.design
        self._compiled: Compiled = new.compiled
        self._changed = changed
        self._paths = new.paths
        self._sizes = old.sizes
        self._edited = _edited(old.compiled, new.compiled)
        self._rescaled = old.scale is not None and new.scale is not None and _differ(old.scale, new.scale)

    def of(self, name: str) -> tuple[Driver, ...]:
        """Return what drove a dimension, the nearest first; none where nothing that is written did."""
        chains: dict[str, tuple[str, ...]] = {name: (name,)}
        found: dict[Driver, None] = {}
        for current in self._reached(chains):
            if not self._rests_on(current) or self._is_written_anew(current):
                found.update(dict.fromkeys(self._written(current, chains[current])))
        return tuple(found)

    def of_part(self, id: str) -> tuple[Driver, ...]:
        """Return what drove the shape of a part: edited lines of its own, and what drove its changed dimensions."""
        component = self._component(id)
        if component is None:
            return ()
        found: dict[tuple[str, str], Driver] = {}
        for name in self._own(component.id):
            for driver in self.of(name):
                found.setdefault((driver.name, driver.at), driver)
        places = {driver.at for driver in found.values()}
        for at in self._lines_in(component.whole):
            if at not in places:
                found.setdefault(("", at), Driver("", at, (id,)))
        return tuple(found.values())

    def _reached(self, chains: dict[str, tuple[str, ...]]) -> Iterator[str]:
        """Yield changed names from the one in `chains` backwards, and note the chain of each."""
        queue = list(chains)
        for current in queue:
            yield current
            for other in self._rests_on(current):
                if other not in chains:
                    chains[other] = (other, *chains[current])
                    queue.append(other)

    def _rests_on(self, name: str) -> tuple[str, ...]:
        """Return the changed names that a value rests on, ascending; those of its block are one with it."""
        step = self._design.solution.step_of(name)
        if step is None:
            owner = name.rpartition(".")[0]
            return tuple(
                other for other in self._own(owner) if self._design.solution.step_of(other) is not None
            )
        others = {other for row in step.rows for other in unknowns_of(row.left, row.right)}
        return tuple(sorted(other for other in others if other in self._changed and other not in step.names))

    def _own(self, id: str) -> tuple[str, ...]:
        """Return the changed names of a component, what is in it, and its stock, ascending."""
        stocks = {f"{part.stock.name}." for part in self._design.parts if part.component == id}
        around = (f"{id}.", *sorted(stocks))
        return tuple(n for n in sorted(self._design.values) if n in self._changed and n.startswith(around))

    def _written(self, name: str, chain: tuple[str, ...]) -> Iterator[Driver]:
        """Yield where the text says the value of a name whose change nothing else explains."""
        because = self._design.solution.because.get(name)
        span = self._span(name)
        if because is not None and span is not None and because.equation.origin.kind in WRITTEN:
            equation = because.equation
            leaves = stated_of(equation.left, equation.right) if isinstance(equation, Equation) else ()
            scaled = self._rescaled and any(leaf.measured for leaf in leaves)
            if scaled and not self._is_edited(span):
                yield Driver(SCALE, self._scale_at(), (SCALE, *chain))
            else:
                yield Driver(name, self._at(span), chain)
            return
        component = self._component(name.rpartition(".")[0])
        # The model's own lines say nothing of what is summed up in its name.
        apart = component is None or component.kind.name == "model"
        lines = () if apart or component is None else self._lines_in(component.whole)
        if lines:
            yield from (Driver("", at, chain) for at in lines)
        elif self._rescaled:
            yield Driver(SCALE, self._scale_at(), (SCALE, *chain))
        elif (
            component is not None
            and because is not None
            and self._was_measured(name)
            and because.provenance != "measured"
        ):
            yield Driver("", self._at(component.span), chain)  # its line was taken out

    def _was_measured(self, name: str) -> bool:
        return name in self._sizes and self._sizes[name].source == "measured"

    def _is_written_anew(self, name: str) -> bool:
        """Whether a value stands in an edited line itself; the place of a rule is only that of its component."""
        because = self._design.solution.because.get(name)
        return (
            because is not None
            and because.equation.origin.kind in WRITTEN
            and self._is_edited(self._span(name))
        )

    def _span(self, name: str) -> Span | None:
        because = self._design.solution.because.get(name)
        return None if because is None else because.equation.origin.span

    def _is_edited(self, span: Span | None) -> bool:
        return span is not None and bool(self._lines_in(span))

    def _lines_in(self, span: Span) -> tuple[str, ...]:
        """Return the edited lines of a stretch of text, as 'file:line'."""
        source = self._compiled.project.sources.get(span.source)
        edited = self._edited.get(span.source, frozenset())
        if source is None or not edited:
            return ()
        first, last = source.position(span.start)[0], source.position(max(span.start, span.end - 1))[0]
        path = self._paths.get(span.source, span.source)
        return tuple(f"{path}:{line}" for line in range(first, last + 1) if line in edited)

    def _at(self, span: Span) -> str:
        source = self._compiled.project.sources.get(span.source)
        path = self._paths.get(span.source, span.source)
        return "" if source is None else f"{path}:{source.position(span.start)[0]}"

    def _scale_at(self) -> str:
        for component in self._design.tree.components.values():
            if component.kind.name == "model":
                written = component.properties.get(SCALE)
                return self._at(component.span if written is None else written.span)
        return ""

    def _component(self, id: str) -> "Component | None":
        """Return the component of a part or of a name: the longest beginning that is one."""
        components = self._design.tree.components
        while id and id not in components:
            id = id.rpartition(".")[0]
        return components.get(id)


def _differ(old: tuple[float, float], new: tuple[float, float]) -> bool:
    return any(abs(a - b) > 1e-9 for a, b in zip(old, new, strict=True))


def _edited(old: "Compiled | None", new: "Compiled") -> Mapping[str, frozenset[int]]:
    """Return for each text the lines that its old state does not have; blanks and order do not count."""
    if old is None:
        return {}
    before = {_beside(path, old.project.main): source for path, source in old.project.sources.items()}
    return {
        path: _new_lines(before.get(_beside(path, new.project.main)), source)
        for path, source in new.project.sources.items()
    }


def _new_lines(old: Source | None, new: Source) -> frozenset[int]:
    left: dict[str, int] = {}
    for words in () if old is None else map(_words, old.text.split("\n")):
        left[words] = left.get(words, 0) + 1
    found = []
    for number, words in enumerate(map(_words, new.text.split("\n")), 1):
        if left.get(words):
            left[words] -= 1
        elif words:
            found.append(number)
    return frozenset(found)


def _words(line: str) -> str:
    """Return what a line says: without blanks, and without a comment where no text in it could hold a '#'."""
    return " ".join((line if '"' in line else line.partition("#")[0]).split())


def _beside(path: str, main: str) -> str:
    """Return a path as seen from the spec, which is '' itself, so that texts are found again in another project."""
    if path == main:
        return ""
    here, there = PurePosixPath(main).parent.parts, PurePosixPath(path).parts
    shared = 0
    while shared < min(len(here), len(there)) and here[shared] == there[shared]:
        shared += 1
    return "/".join([".."] * (len(here) - shared) + list(there[shared:]))
