"""What is to be said of the word under the cursor: values with their sums, kinds, functions, units, codes."""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from ringwright.geometry.numbers import short
from ringwright.lang.components.tree import Component, entries_of
from ringwright.lang.design.account import account, is_accounted
from ringwright.lang.design.why import origin_word, why
from ringwright.lang.diagnostics.catalogue import CATALOGUE
from ringwright.lang.editing.analysis import Analysis, displayed
from ringwright.lang.editing.desk import Desk
from ringwright.lang.editing.mentions import Mention, mention_at, mentions
from ringwright.lang.kinds import kind_of
from ringwright.lang.kinds.kind import Kind
from ringwright.lang.reference import call, default_of, sentence, stands, takes
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import LENGTH, find_unit, shown_in, with_article
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.functions import FUNCTIONS

MOST_VALUES = 24
OLD = "*The text has a mistake now: this is the last value that was good.*"


class Told(NamedTuple):
    """What is said of a stretch of the text, in Markdown."""

    span: Span
    text: str


def hover(desk: Desk, path: Path, offset: int) -> Told | None:
    """Return what is to be said at an offset; None where nothing is."""
    analysis = desk.analysis(path)
    if analysis is None:
        return None
    name = path.relative_to(analysis.root).as_posix()
    found = mention_at(mentions(analysis, name), offset)
    if found is not None:
        text = "\n\n".join(_of_mention(analysis, found))
        return Told(found.span, text) if text else None
    told = _of_number(analysis, name, offset)
    back = analysis.back(name, offset) if told is None else None
    return told if back is None else _as_it_was(name, *back)


def _as_it_was(path: str, before: Analysis, offset: int, moved: int) -> Told | None:
    """Say what was to be said before a mistake that hides what stands at an offset."""
    found = mention_at(mentions(before, path), offset)
    text = "\n\n".join(_of_mention(before, found)) if found is not None else ""
    if found is None or not text:
        return None
    span = Span(path, found.span.start + moved, found.span.end + moved)
    return Told(span, f"{text}\n\n{OLD}")


def _of_mention(analysis: Analysis, found: Mention) -> Iterator[str]:
    component = analysis.tree.components.get(found.name)
    match found.sort:
        case "kind":
            kind = kind_of(found.name)
            if kind is not None:
                yield from _kind(kind)
        case "function":
            function = FUNCTIONS[found.name]
            yield f"`{call(function)}`"
            yield sentence(function.doc)
        case "component" | "station" if component is not None:
            yield from _component(analysis, component)
        case "file":
            yield f"`{found.name}` stands for a used file"
        case "recipe":
            yield f"recipe **{found.name}**"
        case "line":
            yield f"**{found.name}**, a line of the offsets"
        case _:
            yield from _value(analysis, found)


def _kind(kind: Kind) -> Iterator[str]:
    yield f"**{kind.name}**: {kind.doc}"
    yield stands(kind)
    needed = [f"`{p.name}`" for p in kind.properties if p.required]
    others = [f"`{p.name}`" for p in kind.properties if not p.required]
    if needed:
        yield f"Needs {', '.join(needed)}"
    if others:
        yield f"Takes {', '.join(others)}"
    if kind.example:
        yield f"```wright\n{kind.example.rstrip()}\n```"


def _component(analysis: Analysis, component: Component) -> Iterator[str]:
    """Yield what a component is, and all that is known of it."""
    yield f"{component.kind.name} **{component.id.removeprefix('station.')}**: {component.kind.doc}"
    names = [each.name for each in entries_of(component.kind)]
    rows, old = [], False
    for name in dict.fromkeys((*component.lets, *names)):
        known = analysis.value(f"{component.id}.{name}")
        design = analysis.design_of(f"{component.id}.{name}")
        if known is None or design is None:
            continue
        old = old or known.old
        rows.append((name, known.text, origin_word(design.solution, f"{component.id}.{name}")))
    if rows:
        wide = [max(len(row[i]) for row in rows) for i in range(2)]
        lines = [
            f"{name:<{wide[0]}}  {value:<{wide[1]}}  {origin}" for name, value, origin in rows[:MOST_VALUES]
        ]
        more = len(rows) - MOST_VALUES
        yield "```text\n" + "\n".join((*lines, *([f"and {more} more"] if more > 0 else []))) + "\n```"
    if old:
        yield OLD


def _value(analysis: Analysis, found: Mention) -> Iterator[str]:
    """Yield a value with its sum, and what it is."""
    owner, _, last = found.name.rpartition(".")
    component = analysis.tree.components.get(owner)
    known, design = analysis.value(found.name), analysis.design_of(found.name)
    if known is not None and design is not None:
        yield f"**{found.name}** = {known.text}"
        if known.old:
            yield OLD
        weighed = design.weighed
        if weighed is not None and is_accounted(weighed, found.name):
            text = account(weighed, found.name, design.about.shown)
        elif found.name in design.solution.because:
            text = why(design.solution, found.name, design.tree.sources, displayed(design))
        else:
            text = ""
        if text:
            yield f"```text\n{text.rstrip()}\n```"
    elif component is None:
        yield f"**{last}**"
    if component is None:
        return
    for each in component.kind.properties:
        if each.name == last:
            yield f"`{last}` of {component.kind.called}: {each.doc}; takes {takes(each)}"
            default = default_of(component.kind, each)
            if default not in ("–", "**required**"):
                yield f"Default: {default}"
            return
    for other in entries_of(component.kind)[len(component.kind.properties) :]:
        if other.name == last:
            yield f"`{last}` of {component.kind.called}: {other.doc}"


def _of_number(analysis: Analysis, path: str, offset: int) -> Told | None:
    """Say what a quantity is in the model's unit, what a measure of the plan is on the model, what a code means."""
    file = analysis.compiled.project.files.get(path)
    node = innermost(file, offset) if file is not None else None
    if isinstance(node, nodes.Accept):
        entry = CATALOGUE.get(node.code)
        return Told(node.code_span, f"**{node.code}**: {entry.meaning}") if entry is not None else None
    if isinstance(node, nodes.Measured) and isinstance(node.operand, nodes.Number):
        number, scaled = node.operand, True
    elif isinstance(node, nodes.Number):
        number, scaled = node, False
    else:
        return None
    unit = find_unit(number.unit) if number.unit else None
    design = analysis.compiled.design or analysis.good
    if unit is None or design is None:
        return None
    value = number.value * unit.factor
    lines = [f"{short(number.value, 6)} {unit.name}, {with_article(dimension_name(unit.dimension))}"]
    if unit.name != shown_in(unit.dimension, design.about.unit).name:
        lines.append(f"= {design.about.shown(value, unit.dimension)}")
    if scaled and unit.dimension == LENGTH:
        along, across = design.scale
        if along == across:
            lines.append(
                f"as measured on the plan: {design.about.shown(value * along, LENGTH)} on the model, at {short(100 * along, 3)} %"
            )
        else:
            both = (design.about.shown(value * each, LENGTH) for each in (along, across))
            lines.append("as measured on the plan: {} along, {} across".format(*both))
    return Told(node.span, "\n\n".join(lines))


def innermost(node: object, offset: int) -> object:
    """Return the innermost statement, or quantity as written, whose stretch holds an offset."""
    found: object = None
    waiting: list[object] = [node]
    while waiting:
        current = waiting.pop()
        if not isinstance(current, tuple) or isinstance(current, Span):
            continue
        span = getattr(current, "span", None)
        if span is not None and not span.start <= offset <= span.end:
            continue
        # A number behind its `@` is read together with it.
        if isinstance(
            current, nodes.Measured | nodes.Number | nodes.Accept | nodes.Component | nodes.Property
        ) and not isinstance(found, nodes.Measured):
            found = current
        waiting.extend(reversed(current))
    return found
