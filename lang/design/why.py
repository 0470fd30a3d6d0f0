"""How a dimension came about, as a worked sum with its sources: the back of the envelope, printed."""

from collections.abc import Callable, Mapping
from typing import NamedTuple, TypeAlias

from ringwright.geometry.numbers import short
from ringwright.lang.solve.algebra import (
    add,
    divide,
    evaluate_or_nan,
    multiply,
    nodes_of,
    stated_of,
    subtract,
    unknowns_of,
)
from ringwright.lang.solve.rearrange import isolate
from ringwright.lang.solve.rows import Row
from ringwright.lang.solve.solution import Because, Solution
from ringwright.lang.solve.terms import Constant, Equation, Forward, Share, Stated, Term, Unknown
from ringwright.lang.solve.wording import aligned, is_plain_sum, plain, words
from ringwright.lang.source import Source, Span

Display: TypeAlias = Callable[[str, float], str]
"""Takes a name and its value (mm, rad, g), returns the value as the builder reads it: '30.6 mm'."""

DEEPEST_INDENT = 12
"""Levels by which a tree is indented; what is deeper stays at that margin."""


class Derivation(NamedTuple):
    """How one value follows from others.

    term: the sum rearranged for it, None where several values were found together. text: the reason in words.
    operands: the values it rests on. leaves: stated quantities that stand in the sum itself. together: the
    equations of the block, where there is no sum for one value alone.
    """

    term: Term | None
    text: str
    operands: tuple[str, ...]
    leaves: tuple[Stated, ...]
    together: tuple[Row, ...]


def why(
    solution: Solution, name: str, sources: Mapping[str, Source], display: Display, tree: bool = False
) -> str:
    """Return how a solved value came about, down to what was measured if `tree`.

    sources: the texts by their path. Raises KeyError for a name without a value.
    """
    solution.values[name]
    lines: list[str] = []
    told: set[str] = set()
    waiting = [(name, 0)]
    while waiting:
        current, depth = waiting.pop()
        if current in told:
            continue
        told.add(current)
        derivation = derive(solution, current)
        margin = "  " * min(depth, DEEPEST_INDENT)
        told_lines = _one(solution, current, derivation, sources, display)
        lines.extend((margin + line).rstrip() for line in told_lines)
        if tree:
            following = (*derivation.operands, *_partners(solution, current, derivation))
            waiting.extend((operand, depth + 1) for operand in reversed(following))
    return "\n".join(lines) + "\n"


def derive(solution: Solution, name: str) -> Derivation:
    """Return how a solved value follows from others; raises KeyError for a name without a value."""
    because = solution.because[name]
    step = solution.step_of(name)
    rows = () if step is None else step.rows
    text = because.equation.origin.text
    if because.others:
        folded = _shared(because, rows)
        if folded is None:
            outside = tuple(other for row in rows for other in unknowns_of(row.left, row.right))
            operands = tuple(o for o in dict.fromkeys(outside) if o != name and o not in because.others)
            return Derivation(None, text, operands, stated_of(*_sides(rows)), rows)
        term, rule = folded
        return Derivation(term, rule, unknowns_of(term), stated_of(term), ())
    (row,) = rows
    found = _rearranged(row, name, solution.values)
    if found is None:
        operands = tuple(other for other in unknowns_of(row.left, row.right) if other != name)
        return Derivation(None, text, operands, stated_of(row.left, row.right), rows)
    return Derivation(found, text, unknowns_of(found), stated_of(found), ())


def _sides(rows: tuple[Row, ...]) -> tuple[Term, ...]:
    return tuple(side for row in rows for side in (row.left, row.right))


def _rearranged(row: Row, name: str, values: Mapping[str, float]) -> Term | None:
    """Return the row's other side rearranged for a name: of several branches the one that gives its value."""
    branches = isolate(row.left, row.right, name)
    if not branches:
        return None
    value = values[name]
    errors = [abs(evaluate_or_nan(branch, values) - value) for branch in branches]
    best = min(range(len(branches)), key=lambda i: (errors[i] != errors[i], errors[i]))
    return branches[best]


def _shared(because: Because, rows: tuple[Row, ...]) -> tuple[Term, str] | None:
    """Return a shared length as its part of what the others leave, the pool folded away; else None."""
    shares = [row.cause for row in rows if isinstance(row.cause, Share)]
    sums = [row for row in rows if isinstance(row.cause, Equation)]
    own = next((share for share in shares if share.target == because.name), None)
    if own is None or len(sums) != 1 or sums[0].known_form is None:
        return None
    coefficients, constant = sums[0].known_form
    weights = {coefficients.get(share.target) for share in shares}
    inside = {share.target for share in shares} | {share.pool for share in shares}
    weight = weights.pop()
    if (
        constant
        or weights
        or not weight
        or {because.name, *because.others} != inside
        or own.pool in coefficients
    ):
        return None
    left: Term = Constant(0.0)
    parts = [(name, -c / weight) for name, c in coefficients.items() if name not in inside]
    for name, part in sorted(parts, key=lambda item: item[1] < 0):
        size = multiply(Constant(abs(part)), Unknown(name))
        left = add(left, size) if part > 0 else subtract(left, size)
    total = sum(share.share for share in shares)
    term = divide(multiply(Constant(own.share), left), Constant(total))
    return term, f"{sums[0].cause.origin.text}; {own.origin.text}"


def _partners(solution: Solution, name: str, derivation: Derivation) -> tuple[str, ...]:
    return solution.because[name].others if derivation.together else ()


def _one(
    solution: Solution, name: str, derivation: Derivation, sources: Mapping[str, Source], display: Display
) -> list[str]:
    """Return the lines about one value."""
    because = solution.because[name]
    lines = [f"{name} = {value_text(solution, name, display)}"]
    if because.provenance != "derived":
        lines.append(
            "  " + "  ".join(cell for cell in (_kind(solution, name), *_place(because, sources)) if cell)
        )
        return lines
    if derivation.term is not None:
        lines.extend(sum_lines(solution, name, derivation.term, sources, display))
        if because.equation.origin.kind == "stated":
            lines.append("  " + "  ".join(("stated", *_place(because, sources))))
        else:
            lines.append(f"  {derivation.text}")
    else:
        together = because.others
        if together:
            lines.append(f"  found together with {', '.join(together)}:")
        equations = [
            (
                f"    {_in_names(row.left, sources)} == {_in_names(row.right, sources)}",
                _text_of(row),
                at(row.cause.origin.span, sources)[0],
            )
            for row in derivation.together
        ]
        lines.extend(aligned(equations))
    cells = [
        (
            f"    {operand}",
            value_text(solution, operand, display),
            _kind(solution, operand),
            *_place(solution.because[operand], sources),
        )
        for operand in derivation.operands
        if operand in solution.because
    ]
    cells.extend(
        (
            f"    {written(leaf, sources)}",
            "",
            "measured" if leaf.measured else "stated",
            *at(leaf.span, sources),
        )
        for leaf in derivation.leaves
        if leaf.span is not None
    )
    lines.extend(aligned(cells))
    return lines


def value_text(solution: Solution, name: str, display: Display) -> str:
    """Return a value with its ±, root sum of squares first, worst case where that differs."""
    text = display(name, solution.values[name])
    spread = solution.plus_minus(name)
    if spread is None:
        return text
    likely, worst = (display(name, part) for part in spread)
    return f"{text} ± {likely}" if likely == worst else f"{text} ± {likely} (at worst {worst})"


def sum_lines(
    solution: Solution, name: str, term: Term, sources: Mapping[str, Source], display: Display
) -> list[str]:
    """Return the rearranged equation of a value in names, then in numbers."""
    in_names = _in_names(term, sources)

    def number(node: Term) -> str:
        if isinstance(node, Unknown):
            return display(node.name, solution.values[node.name])
        if isinstance(node, Stated) and node.scale != 1.0:
            return f"{written(node, sources).removeprefix('@')} * {short(100 * node.scale, 3)} %"
        return _leaf(node, sources)

    if isinstance(term, Unknown | Forward):
        return [f"  = {in_names}"]
    shown = [display(n.name, solution.values[n.name]) for n in nodes_of(term) if isinstance(n, Unknown)]
    unit = display(name, solution.values[name]).rpartition(" ")[2]
    one_unit = is_plain_sum(term) and not stated_of(term) and all(text.endswith(" " + unit) for text in shown)
    if one_unit and shown:
        numbers = words(term, lambda node: number(node).removesuffix(" " + unit)) + f" {unit}"
    else:
        numbers = words(term, number)
    return [f"  = {in_names}", f"  = {numbers}"] if numbers != in_names else [f"  = {in_names}"]


def _in_names(term: Term, sources: Mapping[str, Source]) -> str:
    return words(term, lambda node: _leaf(node, sources))


def _leaf(node: Term, sources: Mapping[str, Source]) -> str:
    if isinstance(node, Unknown):
        return node.name
    if isinstance(node, Forward):
        return node.text
    return written(node, sources) if isinstance(node, Stated) else ""


def written(leaf: Stated, sources: Mapping[str, Source]) -> str:
    """Return a stated quantity as it is read in the text, with the sign and the '@' that stand before it: '@-36 mm'."""
    source = None if leaf.span is None else sources.get(leaf.span.source)
    if source is None or leaf.span is None:
        return plain(leaf.value)
    size = source.words(leaf.span).lstrip("@-+ ")
    return f"{'@' if leaf.measured else ''}{'-' if leaf.value < 0 else ''}{size}"


def _text_of(row: Row) -> str:
    origin = row.cause.origin
    return origin.text if isinstance(row.cause, Share) or origin.kind != "given" else "given"


def _kind(solution: Solution, name: str) -> str:
    """Return what a value is: measured, stated, default, or derived and how."""
    because = solution.because[name]
    if because.provenance == "derived":
        if because.equation.origin.kind == "stated":
            return "stated as a sum"
        return f"derived: {because.equation.origin.text}"
    if because.provenance == "default":
        return "default"
    equation = because.equation
    leaves = stated_of(equation.left, equation.right) if isinstance(equation, Equation) else ()
    return "measured" if any(leaf.measured for leaf in leaves) else "stated"


def origin_word(solution: Solution, name: str) -> str:
    """Return in a word where a value is from: measured on the plan, stated, default or derived."""
    if name not in solution.because or solution.because[name].provenance == "derived":
        return "derived"
    return _kind(solution, name)


def _place(because: Because, sources: Mapping[str, Source]) -> tuple[str, str]:
    return at(because.equation.origin.span, sources)


def at(span: Span | None, sources: Mapping[str, Source]) -> tuple[str, str]:
    """Return where a span starts, 'file:line:column', and the text of that line."""
    source = None if span is None else sources.get(span.source)
    if span is None or source is None:
        return ("", "")
    line, column = source.position(span.start)
    return (f"{source.path}:{line}:{column}", source.line(line).strip())
