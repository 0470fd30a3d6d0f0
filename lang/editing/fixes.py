"""What can be done about a finding, as edits of the text: the help that it gives, carried out."""

import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from ringwright.lang.components.tree import Component, find_property
from ringwright.lang.design.design import Design
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.editing.analysis import Analysis
from ringwright.lang.editing.hover import innermost
from ringwright.lang.editing.text import Edit
from ringwright.lang.kinds.kind import Property
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes


class Fix(NamedTuple):
    """One thing that can be done. edits: by file. sure: it is what was most probably meant."""

    title: str
    finding: Diagnostic
    edits: Mapping[Path, tuple[Edit, ...]]
    sure: bool = False


MOST_OFFERED = 4
_MEANT = re.compile(r"^did you mean '([^'\n]+)'\?$")
_QUOTED = re.compile(r"'([^'\n]+)'")
_WRITE_PROPERTY = re.compile(r"^(?:[^:]*: )?write ([a-z_]+) = ([^…;]+?)(, or in)?$")
_WRITE = re.compile(r"^write ([^\s…][^…]*?)(?:, with a .*)?$")
_UNIT = re.compile(r"^write the unit behind the number, such as (\S+)$")
_NEEDED = re.compile(r"^write, for example: ([a-z_]+ = [^…;]+)")
_FREE = re.compile(r"too few(?: in ([\w.]+))?: give (?:\w+ of )?(.+)$")
_LEAVE_OUT = re.compile(r"^leave '([a-z_]+)' out$")
# A slip whose help says in full what to write in its place.
_SLIPS = (
    "decimal-comma", "inch-mark", "foot-mark", "mixed-fraction", "fraction-sign", "bad-number", "diameter-mark",
    "unexpected-character",
)  # fmt: skip
_GLYPHS = frozenset("-*/<=>!")


def fixes(analysis: Analysis, finding: Diagnostic) -> tuple[Fix, ...]:
    """Return what can be done about a finding, the likeliest first."""
    span = finding.span
    if span is None or span.source not in analysis.compiled.project.sources:
        return ()
    found: dict[tuple[str, tuple[Edit, ...]], Fix] = {}
    for make in _MAKERS:
        for title, edit in make(analysis, finding, span):
            fix = Fix(title, finding, {analysis.root / span.source: (edit,)}, not found)
            found.setdefault((title, (edit,)), fix)
    found_all = [*found.values()]
    for title, where, edit in _free(analysis, finding):
        found_all.append(Fix(title, finding, {analysis.root / where: (edit,)}, not found_all))
    if finding.severity == "warning":
        for title, edit in _accept(analysis, finding, span):
            found_all.append(Fix(title, finding, {analysis.root / span.source: (edit,)}))
    return tuple(found_all)


def _text(analysis: Analysis, span: Span) -> str:
    return analysis.compiled.project.sources[span.source].text


def _meant(analysis: Analysis, finding: Diagnostic, span: Span) -> Iterator[tuple[str, Edit]]:
    """Put the name that was probably meant in place of the one that is written."""
    match = _MEANT.match(finding.help)
    if match is None:
        return
    meant, written = match[1], _text(analysis, span)[span.start : span.end]
    if "." in meant and "." in written:
        wrong: str | None = written
    else:
        named = [
            word
            for word in _QUOTED.findall(finding.message)
            if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", written)
        ]
        wrong = named[-1].rpartition("/")[2] if named else (written if written.isidentifier() else None)
    if wrong is None:
        return
    for place in (span, *(label.span for label in finding.labels if label.text == "and here")):
        if place.source != span.source:
            continue
        text = _text(analysis, place)[place.start : place.end]
        at = [m.start() for m in re.finditer(rf"(?<!\w){re.escape(wrong)}(?!\w)", text)]
        if at:
            start = place.start + at[-1]
            yield f"write '{meant}'", Edit(start, start + len(wrong), meant)


def _slip(analysis: Analysis, finding: Diagnostic, span: Span) -> Iterator[tuple[str, Edit]]:
    """Write a number, or a sign, as it is spelt here."""
    match = _WRITE.match(finding.help) if finding.code in _SLIPS else None
    if match is None:
        return
    text = _text(analysis, span)
    for written in match[1].split(" or "):
        word = written.rstrip(",;")
        if "=" in word and finding.code == "diameter-mark":
            word = word.partition("=")[2].strip()
        if " " in word and not word[0].isdigit():
            continue
        end = span.end
        # The unit that stands behind it already is not written twice.
        behind = re.match(r"[ \t]*([A-Za-z%°]+)", text[end:])
        number, _, unit = word.rpartition(" ")
        if number and behind and behind[1] == unit:
            word = number
        if finding.code != "unexpected-character" or set(word) <= _GLYPHS:
            yield f"write {word}", Edit(span.start, end, word)


def _unit(analysis: Analysis, finding: Diagnostic, span: Span) -> Iterator[tuple[str, Edit]]:
    """Write the unit that is missing."""
    match = _UNIT.match(finding.help)
    if match is None:
        return
    for unit in dict.fromkeys((match[1], *({"mm": ("in", "cm")}.get(match[1], ())))):
        words = _text(analysis, span)[span.start : span.end]
        yield (
            f"write {words} {unit}" if len(words) < 20 else f"write the unit: {unit}",
            Edit(span.end, span.end, f" {unit}"),
        )


def _property(analysis: Analysis, finding: Diagnostic, span: Span) -> Iterator[tuple[str, Edit]]:
    """Write a property as the help spells it."""
    match = _WRITE_PROPERTY.match(finding.help)
    file = analysis.compiled.project.files[span.source]
    if match is None:
        return
    for node in _statements_at(file, span.start):
        if isinstance(node, nodes.Property) and node.name == match[1]:
            value = match[2]
            yield f"write {match[1]} = {value}", Edit(node.value.span.start, node.value.span.end, value)
            if match[3]:
                inches = value.removesuffix(" mm") + " in"
                yield f"write {match[1]} = {inches}", Edit(node.value.span.start, node.value.span.end, inches)


def _leave_out(analysis: Analysis, finding: Diagnostic, span: Span) -> Iterator[tuple[str, Edit]]:
    """Take out a property from which nothing follows."""
    match = _LEAVE_OUT.match(finding.help)
    text = _text(analysis, span)
    for node in _statements_at(analysis.compiled.project.files[span.source], span.start) if match else ():
        if isinstance(node, nodes.Property) and match and node.name == match[1]:
            start, end = node.span.start, node.span.end
            if (behind := re.match(r"[ \t]*,[ \t]*", text[end:])) is not None:
                end += behind.end()
            elif (before := re.search(r"[ \t]*,[ \t]*$", text[:start])) is not None:
                start = before.start()
            elif re.match(r"[ \t]*(\r?\n|$)", text[end:]) and re.search(r"(^|\n)[ \t]*$", text[:start]):
                start = text.rfind("\n", 0, start) + 1
                end = text.find("\n", end) + 1 or len(text)
            yield f"leave '{match[1]}' out", Edit(start, end, "")


def _needed(analysis: Analysis, finding: Diagnostic, span: Span) -> Iterator[tuple[str, Edit]]:
    """Write a property that is needed, with its example to begin with."""
    match = _NEEDED.match(finding.help) if finding.code == "missing-property" else None
    if match is None:
        return
    for component in analysis.tree.components.values():
        if component.span == span and (edit := into(analysis, component, match[1].strip())) is not None:
            yield f"write {match[1].strip()}", edit
            return


_Maker = Callable[[Analysis, Diagnostic, Span], Iterator[tuple[str, Edit]]]
_MAKERS: tuple[_Maker, ...] = (_meant, _slip, _unit, _property, _leave_out, _needed)


def _free(analysis: Analysis, finding: Diagnostic) -> Iterator[tuple[str, str, Edit]]:
    """Give one of the dimensions that nothing settles: as it was when the spec was sound, else as its example has it."""
    match = _FREE.search(finding.message) if finding.code == "under-determined" else None
    if match is None:
        return
    names = [name for name in re.split(r", | or | and ", match[2]) if name]
    for short in names[:MOST_OFFERED]:
        full = f"{match[1]}.{short}" if match[1] else short
        owner, _, name = full.rpartition(".")
        component = analysis.tree.components.get(owner)
        property = find_property(component.kind, name) if component is not None else None
        if component is None or property is None:
            continue
        statement = f"{name} = {_beginning(analysis, full, property)}"
        edit = into(analysis, component, statement)
        if edit is not None:
            yield f"give {owner}: {statement}", component.whole.source, edit


def _beginning(analysis: Analysis, full: str, property: Property) -> str:
    design = analysis.good
    if design is not None and full in design.values:
        return _written(design, full)
    return property.example.partition("=")[2].strip()


def _written(design: Design, name: str) -> str:
    """Return a solved value as one would write it in a spec."""
    return design.about.shown(design.values[name], design.dimensions[name]).replace("°", " deg")


def _accept(analysis: Analysis, finding: Diagnostic, span: Span) -> Iterator[tuple[str, Edit]]:
    """Accept a warning in the component that it stands in, for a reason that is the builder's to give."""
    inside = [c for c in analysis.tree.components.values() if c.whole.holds(span) and c.made is None]
    component = max(inside, key=lambda c: (c.whole.start, -c.whole.end), default=None)
    if component is not None:
        edit = into(analysis, component, f'accept {finding.code} because "…"')
        if edit is not None:
            yield f"accept this in {component.id}", edit


def into(analysis: Analysis, component: Component, statement: str) -> Edit | None:
    """Return the edit that writes a statement first in a component's braces; None where it has none to write in."""
    text = _text(analysis, component.whole)
    brace = text.find("{", component.span.end, component.whole.end)
    if brace < 0:
        return None
    rest = text[brace + 1 : component.whole.end]
    if not rest.rstrip("}").strip():
        return Edit(brace + 1, component.whole.end - 1, f" {statement} ")
    line = re.match(r"[ \t]*(#[^\n]*)?\r?\n", rest)
    if line is None:
        return Edit(brace + 1, brace + 1, f" {statement},")
    inner = re.search(r"\n([ \t]+)\S", rest[line.end() - 1 :])
    indent = inner[1] if inner else "    "
    at = brace + 1 + line.end()
    return Edit(at, at, f"{indent}{statement}\n")


def _statements_at(file: nodes.File, offset: int) -> Iterator[nodes.Statement]:
    """Yield the innermost statements at an offset, with what stands around them."""
    waiting: list[nodes.Statement] = list(file.statements)
    while waiting:
        node = waiting.pop()
        if node.span.start <= offset <= node.span.end:
            yield node
            if isinstance(node, nodes.Component | nodes.Recipe | nodes.Make):
                waiting.extend(node.body)


def solved_here(analysis: Analysis, path: str, offset: int) -> Fix | None:
    """Offer to write the value that was found in place of an `auto`."""
    file = analysis.compiled.project.files.get(path)
    node = innermost(file, offset) if file is not None else None
    if (
        not isinstance(node, nodes.Property)
        or not isinstance(node.value, nodes.Constant)
        or node.value.name != "auto"
    ):
        return None
    holders = [
        c for c in analysis.tree.components.values() if node in c.properties.values() and c.made is None
    ]
    known = analysis.compiled.design
    if not holders or known is None or f"{holders[0].id}.{node.name}" not in known.values:
        return None
    full = f"{holders[0].id}.{node.name}"
    written = _written(known, full)
    edit = Edit(node.value.span.start, node.value.span.end, written)
    title = f"write {node.name} = {written} in place of auto"
    finding = Diagnostic(code="", severity="note", message="", span=node.span)
    return Fix(title, finding, {analysis.root / path: (edit,)})
