"""What is judged once the design is solved: requirements, marks left out, warnings that were accepted."""

import operator
from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Mapping, Sequence

from ringwright.geometry.errors import GeometryError
from ringwright.lang.components.project import Project
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design.design import About
from ringwright.lang.design.elaborate import Elaborated
from ringwright.lang.design.statements import Requirement
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.diagnostics.suggest import suggest
from ringwright.lang.solve.algebra import evaluate
from ringwright.lang.source import Span
from ringwright.lang.syntax import nodes
from ringwright.lang.units import ANGLE, LENGTH, MASS, Dimension, find_unit
from ringwright.lang.values.evaluate import Evaluator

# Findings that a statement lost to a syntax mistake may explain.
MISSING = ("missing-property", "empty-stack", "unknown-name", "unknown-recipe")
# What stands for itself wherever it is missed, and how many of the other places are shown.
ONCE_A_FILE = ("unknown-name", "unknown-recipe", "beyond-line")
MOST_PLACES = 3
# What leaves a component out, and what one is said to lack.
LOSING = ("name-taken", "unknown-kind", "misplaced", "given-twice")
MOST_MEANT = 100
LACKING = ("missing-property", "under-determined", "not-known")
# How well things said twice agree: mm, rad, g; the language page's rule of agreement.
AGREE: Mapping[Dimension, float] = {LENGTH: 0.01, ANGLE: 0.001 * 3.141592653589793 / 180, MASS: 1e-4}
COMPARE = {"<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge}


def requirements(elaborated: Elaborated, values: Mapping[str, float], about: About) -> Iterator[Diagnostic]:
    """Yield what is required and does not hold; what could not be solved is not judged."""
    for requirement in elaborated.requirements:
        try:
            left = evaluate(requirement.left.term, values)
            right = evaluate(requirement.right.term, values)
        except GeometryError:
            continue
        except KeyError as missing:
            yield from _unknown(requirement, str(missing.args[0]), elaborated)
            continue
        if not _holds(requirement, left, right):
            yield _broken(requirement, left, right, about)


def _unknown(requirement: Requirement, name: str, elaborated: Elaborated) -> Iterator[Diagnostic]:
    """Say that a requirement names what nothing says; what is broken or could not be solved has been reported."""
    around = name.rpartition(".")[0] + "."
    if name not in elaborated.dimensions and not any(other.startswith(around) for other in elaborated.broken):
        yield Diagnostic(
            "not-known",
            "error",
            f"'{name}' is required here, but nothing says what it is",
            requirement.node.condition.span,
            (),
            "give it a value, or leave the requirement out",
        )


def _holds(requirement: Requirement, left: float, right: float) -> bool:
    near = AGREE.get(requirement.left.dimension, 1e-9 * max(1.0, abs(left), abs(right)))
    if requirement.op == "==":
        return abs(left - right) <= near
    if requirement.op == "!=":
        return abs(left - right) > near
    # A hair of slack where equality is allowed, so that what is meant to be equal passes.
    if requirement.op in ("<=", ">=") and abs(left - right) <= 1e-9 * max(1.0, abs(left), abs(right)):
        return True
    return bool(COMPARE[requirement.op](left, right))


def _broken(requirement: Requirement, left: float, right: float, about: About) -> Diagnostic:
    dimension = requirement.left.dimension

    def show(value: float) -> str:
        return about.shown(value, dimension)

    node = requirement.node
    condition = node.condition
    assert isinstance(condition, nodes.Compare)
    said = node.message.value if node.message is not None else "what is required here does not hold"
    return Diagnostic(
        "requirement",
        "error",
        f"{said}: {show(left)} is not {requirement.op} {show(right)}; the difference is {show(abs(left - right))}",
        condition.span,
        (Label(condition.left.span, show(left)), Label(condition.right.span, show(right))),
    )


def misspelt(tree: Tree, findings: Iterable[Diagnostic]) -> Iterator[str]:
    """Yield the dimensions that an unknown property may have been meant for: their lack is no second mistake."""
    for finding in findings:
        if finding.code != "unknown-property" or finding.span is None:
            continue
        around = [c for c in tree.components.values() if _holds_span(c, finding.span)]
        if around:
            component = max(around, key=lambda c: (c.whole.start, c.id))
            for property in component.kind.properties:
                if property.name not in component.properties:
                    yield f"{component.id}.{property.name}"


def consequences(
    project: Project, tree: Tree, planted: Iterable[Diagnostic], found: Iterable[Diagnostic]
) -> Iterator[Diagnostic]:
    """Yield the findings that only follow from a component that could not be placed, or from a misspelt property.

    That is a name that such a component holds, and what a component lacks whose property has another's name.
    """
    planted = tuple(planted)
    refused = {finding.span for finding in planted if finding.code in LOSING}
    lost = set(_lost(project, refused)) if refused else set()
    meant = [
        (finding.span, finding.help.split("'")[1])
        for finding in planted
        if finding.code == "unknown-property" and finding.help.startswith("did you mean")
    ]
    lame = _lame(tree, meant[:MOST_MEANT])
    for finding in found:
        named = finding.code == "unknown-name" and not lost.isdisjoint(finding.message.split("'")[1::2])
        lacked = finding.code in LACKING and lame.get(finding.span or Span("", 0, 0), "\0") in finding.help
        if named or lacked:
            yield finding


def hollow(found: Iterable[Diagnostic]) -> Iterator[Diagnostic]:
    """Yield the warnings that may only follow from an error: of a seat in what could not be made, and of all sizes
    where the plan's scale is misspelt.
    """
    found = tuple(found)
    errors = [finding for finding in found if finding.severity == "error"]
    unscaled = any(e.code == "unknown-property" and "'plan_scale'" in e.help for e in errors)
    for finding in found:
        if finding.severity == "warning" and errors and (unscaled or finding.code == "saddle-misses"):
            yield finding


def _lame(tree: Tree, meant: Iterable[tuple[Span | None, str]]) -> dict[Span, str]:
    """Return where the components stand that have a misspelt property or stand in one that has, and what these lack."""
    found: dict[Span, str] = {}
    for span, name in meant:
        around = [c for c in tree.components.values() if _holds_span(c, span)]
        own = max(around, key=lambda c: (c.whole.start, c.id), default=None)
        if own is not None:
            within = (c for c in tree.components.values() if c.id.startswith(f"{own.id}."))
            found |= {own.span: "", **{c.span: f"{name} = " for c in within}}
    return found


def _lost(project: Project, refused: Collection[Span | None]) -> Iterator[str]:
    """Yield the names in the components whose name or kind is refused, their own among them."""
    waiting = [statement for file in project.files.values() for statement in file.statements]
    while waiting:
        node = waiting.pop()
        if isinstance(node, nodes.Component) and not {node.name_span, node.kind_span}.isdisjoint(refused):
            yield from _names_within(node)
        elif isinstance(node, nodes.Make) and node.name_span in refused:
            yield node.name
        elif isinstance(node, nodes.Component | nodes.Recipe):
            waiting += node.body


def _names_within(component: nodes.Component) -> Iterator[str]:
    waiting: list[nodes.Statement] = [component]
    while waiting:
        node = waiting.pop()
        if isinstance(node, nodes.Component | nodes.Make | nodes.Let):
            yield node.name
        waiting += node.body if isinstance(node, nodes.Component) else ()


def mixed_marks(tree: Tree, evaluator: Evaluator) -> Iterator[Diagnostic]:
    """Warn where a component takes some of its lengths off the plan and others not: an '@' may be forgotten."""
    for component in tree.components.values():
        marked, plain = _marks(component, evaluator)
        profile = component.properties.get("profile")
        if profile is not None and not _is_scaled(profile.value, evaluator):
            # A curve without an '@' among lengths with one: those of its elements count, too.
            elements = (tree.components[f"{component.id}.{name}"] for name in component.children)
            marked += [span for element in elements for span in _marks(element, evaluator)[0]]
            plain = [profile.value.span]
        if marked and plain:
            yield Diagnostic(
                "mixed-marks",
                "warning",
                f"'{component.name}' has lengths with '@', which follow the plan scale, and lengths without",
                plain[0],
                (Label(marked[0], "this one follows the plan scale"),),
                "write '@' before what was measured on the plan; where both are meant: accept mixed-marks because \"…\"",
            )


def _is_scaled(node: nodes.Expression, evaluator: Evaluator) -> bool:
    """Whether anything in an expression follows the plan scale; what stands elsewhere is taken to."""
    written = isinstance(node, nodes.Shape | nodes.Call | nodes.Measured)
    return not written or any(node.span.holds(span) for span in evaluator.scaled)


def _marks(component: Component, evaluator: Evaluator) -> tuple[list[Span], list[Span]]:
    """Return where the lengths of a component stand that follow the plan scale, and where those that do not."""
    marked: list[Span] = []
    plain: list[Span] = []
    for property in component.kind.properties:
        node = component.properties.get(property.name)
        if node is not None and property.axis:
            for span in _lengths(node.value):
                (marked if span in evaluator.scaled else plain).append(span)
    return marked, plain


def _lengths(node: nodes.Expression) -> Iterator[Span]:
    """Yield the spans of plain lengths other than 0 that stand in an expression by themselves."""
    operand = node.operand if isinstance(node, nodes.Measured) else node
    if isinstance(operand, nodes.Sign):
        operand = operand.operand
    if isinstance(operand, nodes.Number) and operand.value != 0 and operand.unit is not None:
        unit = find_unit(operand.unit)
        if unit is not None and unit.dimension == LENGTH:
            yield operand.span


def model(tree: Tree) -> Iterator[Diagnostic]:
    """Check that there is one model, in the spec itself."""
    models = [component for component in tree.components.values() if component.kind.name == "model"]
    if not models:
        yield Diagnostic(
            "no-model",
            "error",
            "this spec has no model",
            Span(tree.main, 0, 0),
            (),
            'begin it with: model heron { title = "…" }',
        )
    for other in models[1:]:
        yield Diagnostic(
            "given-twice",
            "error",
            "a spec builds one model",
            other.span,
            (Label(models[0].span, "the first stands here"),),
            "give each model a spec of its own, and what they share a file that both use",
        )


def letters(tree: Tree, undrawable: Callable[[str], Sequence[str]]) -> Iterator[Diagnostic]:
    """Say of the texts of components which of their letters no sheet can show."""
    for component in tree.components.values():
        for property in component.properties.values():
            value = property.value
            if not isinstance(value, nodes.Text) or value.value.isascii():
                continue
            lacking = undrawable(value.value)
            if lacking:
                named = ", ".join(f"'{letter}' (U+{ord(letter):04X})" for letter in lacking[:MOST_PLACES])
                more = f" and {len(lacking) - MOST_PLACES} more" if len(lacking) > MOST_PLACES else ""
                yield Diagnostic(
                    "letter-not-drawn",
                    "warning",
                    f"the lettering of sheets has no {named}{more}",
                    value.span,
                    (),
                    "manifest, titles and page keep them; on sheets a like letter stands, or '?'",
                )


def once(findings: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """Return the findings without those that say the same twice; a name that is missing is missed once in a file."""
    kept: dict[Hashable, Diagnostic] = {}
    also: dict[Hashable, list[Span]] = {}
    for finding in sorted(findings, key=_place):
        key: Hashable = finding._replace(labels=())
        if finding.code in ONCE_A_FILE and finding.span is not None:
            key = (finding.code, finding.message, finding.span.source)
        if key not in kept:
            kept[key] = finding
        elif finding.span == kept[key].span:
            kept[key] = _with_places(kept[key], finding.labels)
        elif finding.span is not None and finding.span != kept[key].span:
            also.setdefault(key, []).append(finding.span)
    for key, spans in also.items():
        shown = [Label(span, "and here") for span in spans[:MOST_PLACES]]
        if len(spans) > MOST_PLACES:
            shown[-1] = Label(shown[-1].span, f"and here, and {len(spans) - MOST_PLACES} more")
        kept[key] = kept[key]._replace(labels=(*kept[key].labels, *shown))
    return tuple(kept.values())


def _with_places(finding: Diagnostic, labels: tuple[Label, ...]) -> Diagnostic:
    """Return a finding with the places where it was found as well, the first few of them: each `make` of a recipe."""
    new = tuple(label for label in labels if label not in finding.labels)
    room = MOST_PLACES + 1 - len(finding.labels)
    return finding._replace(labels=(*finding.labels, *new[: max(0, room)]))


def _place(finding: Diagnostic) -> tuple[str, int]:
    return ("", 0) if finding.span is None else (finding.span.source, finding.span.start)


ASSEMBLED = ("parts-overlap", "slot-empty")
"""Warnings of how parts lie together, which not every compile looks at."""


def accepted(
    tree: Tree, findings: tuple[Diagnostic, ...], whole: bool, assembled: bool
) -> tuple[Diagnostic, ...]:
    """Return the findings, warnings that the component they stand in accepts as accepted, and what accepts are for nothing.

    whole: the whole spec was judged, so that a warning that is accepted and not found is there no more. assembled: so was
    how its parts lie together.
    """
    accepts = [(accept, component) for component in tree.components.values() for accept in component.accepts]
    if not accepts:
        return findings
    judged: list[Diagnostic] = []
    heard: set[nodes.Accept] = set()
    for finding in findings:
        for accept, component in accepts if finding.severity == "warning" else ():
            if accept.code == finding.code and _holds_span(component, finding.span):
                finding = finding._replace(severity="accepted")
                heard.add(accept)
        judged.append(finding)
    broken = any(finding.severity == "error" for finding in findings)
    for accept in dict.fromkeys(accept for accept, _ in accepts):
        unjudged = broken or not whole or (accept.code in ASSEMBLED and not assembled)
        judged += _of_accept(accept, accept in heard or unjudged)
    return tuple(judged)


def _of_accept(accept: nodes.Accept, is_heard: bool) -> Iterator[Diagnostic]:
    from ringwright.lang.diagnostics.catalogue import CATALOGUE

    warnings = [code for code, entry in CATALOGUE.items() if entry.severity == "warning"]
    if accept.code not in warnings:
        near = suggest(accept.code, warnings)
        said = "is an error, and cannot be accepted" if accept.code in CATALOGUE else "is no warning"
        help = f"did you mean '{near}'?" if near else f"the warnings are {', '.join(warnings)}"
        yield Diagnostic("unknown-code", "error", f"'{accept.code}' {said}", accept.code_span, (), help)
    elif not is_heard:
        yield Diagnostic(
            "nothing-to-accept",
            "note",
            f"there is no '{accept.code}' here any more",
            accept.code_span,
            (),
            "leave this accept out",
        )


def _holds_span(component: Component, span: Span | None) -> bool:
    """Whether a place lies within a component, or in the recipe that it was made from."""
    texts = (component.whole, *((component.made.recipe,) if component.made else ()))
    return span is not None and any(text.holds(span) for text in texts)
