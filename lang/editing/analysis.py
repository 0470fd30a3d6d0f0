"""A spec as an editor sees it: compiled, with the last values that were good for what a mistake leaves open."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

from ringwright.lang.components.planting import plant
from ringwright.lang.components.project import Parse, Reader
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design.design import Design
from ringwright.lang.design.why import value_text
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.pipeline import Compiled, compile_spec
from ringwright.lang.source import Span
from ringwright.lang.syntax.again import alike


class Known(NamedTuple):
    """A value for the reader: '30.6 mm ± 0.3 mm'. old: it is the last that was found, before a mistake."""

    text: str
    old: bool

    @property
    def marked(self) -> str:
        """The value, with a mark where it is an old one."""
        return f"{self.text} (before the mistake)" if self.old else self.text


class Since(NamedTuple):
    """What has become of a text since the last analysis without an error.

    first: offset up to which it is as it was. end: offset, as it is now, from which on it is so again. moved: by how much
    that end has moved.
    """

    before: "Analysis"
    first: int
    end: int
    moved: int


class Analysis(NamedTuple):
    """One spec.

    root: the project's folder. main: path of the spec in it. tree: its components as the text has them now. before: the
    last one without an error, where this one has errors; None where there was none. by_whole: ids of the components that stand at a place in
    the text; several where a recipe is made more than once.
    """

    root: Path
    main: str
    compiled: Compiled
    tree: Tree
    before: "Analysis | None"
    by_whole: Mapping[Span, tuple[str, ...]]

    @property
    def good(self) -> Design | None:
        """The last design without an error, None where there was none."""
        if not self.compiled.failed:
            return self.compiled.design
        return self.before.compiled.design if self.before is not None else None

    @property
    def findings(self) -> tuple[Diagnostic, ...]:
        """What is wrong, accepted warnings left out."""
        return tuple(finding for finding in self.compiled.findings if finding.severity != "accepted")

    def design_of(self, name: str) -> Design | None:
        """Return the design that knows a solved name: of the text as it stands, else the last good one."""
        now = self.compiled.design
        if now is not None and name in now.values:
            return now
        return self.good if self.good is not None and name in self.good.values else None

    def value(self, name: str) -> Known | None:
        """Return what a solved name comes to; None where nothing has been found for it."""
        design = self.design_of(name)
        if design is None:
            return None
        return Known(shown(design, name), design is not self.compiled.design)

    def back(self, path: str, offset: int) -> "tuple[Analysis, int, int] | None":
        """Return the last one without an error, an offset of a text as it was there, and how far that has moved since.

        None where there was none, or where what stands at the offset has been written since.
        """
        since = self.since(path)
        if since is None:
            return None
        if offset <= since.first:
            return since.before, offset, 0
        return (since.before, offset - since.moved, since.moved) if offset >= since.end else None

    def since(self, path: str) -> Since | None:
        """Return what has become of a text since the last analysis without an error; None where there was none."""
        now = self.compiled.project.sources.get(path)
        then = None if self.before is None else self.before.compiled.project.sources.get(path)
        if self.before is None or now is None or then is None:
            return None
        first, tail = alike(then.text, now.text)
        return Since(self.before, first, len(now.text) - tail, len(now.text) - len(then.text))

    def component_at(self, whole: Span) -> Component | None:
        """Return the component that stands at a place, the first of several."""
        ids = self.by_whole.get(whole)
        return self.tree.components.get(ids[0]) if ids else None


def analyse(
    root: Path,
    main: str,
    read: Reader,
    parse: Parse,
    before: Analysis | None,
    compile: Callable[..., Compiled] = compile_spec,
) -> Analysis:
    """Compile a spec. before: what it was, for the values that were good. Raises Refused where it cannot be read.

    compile: `compile_spec`, with what else is to be found.
    """
    compiled = compile(main, read, parse=parse)
    design = compiled.design
    tree = plant(compiled.project)[0] if design is None else design.tree
    if before is not None:
        before = before if not before.compiled.failed else before.before
    by_whole: dict[Span, tuple[str, ...]] = {}
    for component in tree.components.values():
        by_whole[component.whole] = (*by_whole.get(component.whole, ()), component.id)
    return Analysis(root, main, compiled, tree, before if compiled.failed else None, by_whole)


def shown(design: Design, name: str) -> str:
    """Return a value of a design with its ±, as the model shows it."""
    display = displayed(design)
    if name in design.solution.because:
        return value_text(design.solution, name, display)
    return display(name, design.values[name])


def displayed(design: Design) -> Callable[[str, float], str]:
    """Return what shows a name's value in the model's units."""
    return lambda name, value: design.about.shown(value, design.dimensions[name])
