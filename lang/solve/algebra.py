"""What can be done with terms: build them, evaluate them, take their derivatives, read them as sums.

Nothing here recurses more than a few levels: a sum of ten thousand terms is as deep as it is long.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.terms import Apply, Constant, Forward, Stated, Term, Unknown

FORWARD_STEP = 1e-4
"""Half width of the central difference through a Forward term (mm or rad)."""

SHALLOW = 40
"""Levels of a term that are evaluated by recursion, which is twice as fast."""

ONE_WAY = frozenset({"round_to", "min", "max"})
"""Operations that are never solved backwards."""

Affine: TypeAlias = tuple[dict[str, float], float]
"""Coefficients by name, and the constant: sum(coefficient * unknown) + constant."""


def _power(base: float, exponent: float) -> float:
    return math.nan if base < 0 and not float(exponent).is_integer() else base**exponent


def _round_to(value: float, step: float) -> float:
    # A hair is added so that what lies on the tie but for rounding goes the same way everywhere.
    return math.copysign(math.floor(abs(value / step) + 0.5 + 1e-9) * abs(step), value)


OPERATIONS: dict[str, Callable[..., float]] = {
    "+": lambda *terms: math.fsum(terms),
    "-": lambda a, b: a - b,
    "*": lambda *factors: math.prod(factors),
    "/": lambda a, b: a / b,
    "^": _power,
    "neg": lambda a: -a,
    "sqrt": math.sqrt,
    "abs": abs,
    "min": min,
    "max": max,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "asin": math.asin,
    "acos": math.acos,
    "atan": math.atan,
    "atan2": math.atan2,
    "hypot": math.hypot,
    "round_to": _round_to,
}


def _operate(op: str, arguments: Sequence[float]) -> float:
    try:
        return OPERATIONS[op](*arguments)
    except (ValueError, ZeroDivisionError, OverflowError):
        return math.nan


def apply(op: str, *arguments: Term) -> Term:
    """Return `op` on the arguments, folded to a Constant where all of them are (and the result is finite)."""
    numbers = [argument.value for argument in arguments if isinstance(argument, Constant)]
    if len(numbers) == len(arguments):
        folded = _operate(op, numbers)
        if math.isfinite(folded):
            return Constant(folded)
    return Apply(op, arguments)


def add(*terms: Term) -> Term:
    """Return the sum, nought left out."""
    kept = tuple(term for term in terms if term != (0.0,))
    if len(kept) > 1:
        return apply("+", *kept)
    return kept[0] if kept else Constant(0.0)


def subtract(left: Term, right: Term) -> Term:
    """Return left - right."""
    if right == (0.0,):
        return left
    return negate(right) if left == (0.0,) else apply("-", left, right)


def multiply(left: Term, right: Term) -> Term:
    """Return left * right, factors of one left out."""
    if left == (1.0,):
        return right
    return left if right == (1.0,) else apply("*", left, right)


def divide(left: Term, right: Term) -> Term:
    """Return left / right."""
    return left if right == (1.0,) else apply("/", left, right)


def negate(term: Term) -> Term:
    """Return -term."""
    if type(term) is Apply and term.op == "neg":
        return term.arguments[0]
    return apply("neg", term)


def nodes_of(term: Term) -> list[Term]:
    """Return all nodes of a term, each before its arguments; read backwards, arguments come first, in
    order."""
    nodes: list[Term] = []
    stack: list[Term] = [term]
    while stack:
        node = stack.pop()
        nodes.append(node)
        if type(node) is Apply:
            stack.extend(node.arguments)
    return nodes


def unknowns_of(*terms: Term) -> tuple[str, ...]:
    """Return the names of all unknowns in the terms, those of Forward inputs too, each once, in reading
    order."""
    return tuple(dict.fromkeys(name for name, _ in occurrences(terms)))


def occurrences(terms: Iterable[Term]) -> Iterator[tuple[str, bool]]:
    """Yield every occurrence of an unknown: its name, and whether it sits behind a one-way operation."""
    stack: list[tuple[Term, bool]] = [(term, False) for term in terms]
    stack.reverse()
    while stack:
        node, sealed = stack.pop()
        if type(node) is Unknown:
            yield node.name, sealed
        elif type(node) is Apply:
            sealed = sealed or node.op in ONE_WAY
            stack.extend((argument, sealed) for argument in reversed(node.arguments))
        elif type(node) is Forward:
            for name in node.inputs:
                yield name, True


def stated_of(*terms: Term) -> tuple[Stated, ...]:
    """Return the stated quantities in the terms, each once, in reading order."""
    found = (node for term in terms for node in reversed(nodes_of(term)) if isinstance(node, Stated))
    return tuple(dict.fromkeys(found))


def _leaf(node: Term, values: Mapping[str, float]) -> float:
    if isinstance(node, Unknown):
        return values[node.name]
    if isinstance(node, Forward):
        for name in node.inputs:
            values[name]  # a missing input is a KeyError of ours, not of the geometry's
        return node.compute(values)
    assert not isinstance(node, Apply)
    return node.value


def evaluate(term: Term, values: Mapping[str, float], depth: int = 0) -> float:
    """Return the term's number; nan where it has none (a division by zero, the root of a negative number).

    Raises KeyError where an unknown has no value, GeometryError where a Forward term refuses. depth is for
    its own use.
    """
    if type(term) is Unknown:
        return values[term[0]]
    if type(term) is not Apply:
        return _leaf(term, values)
    if depth > SHALLOW:
        return _evaluate_deep(term, values)
    op, arguments = term
    numbers = [evaluate(argument, values, depth + 1) for argument in arguments]
    try:
        return OPERATIONS[op](*numbers)
    except (ValueError, ZeroDivisionError, OverflowError):
        return math.nan


def _evaluate_deep(term: Term, values: Mapping[str, float]) -> float:
    """Evaluate without recursion: slower, but as deep as need be."""
    results: list[float] = []
    for node in reversed(nodes_of(term)):
        if type(node) is Apply:
            count = len(node.arguments)
            arguments = results[-count:]
            del results[-count:]
            results.append(_operate(node.op, arguments))
        else:
            results.append(_leaf(node, values))
    return results[0]


def evaluate_or_nan(term: Term, values: Mapping[str, float]) -> float:
    """Return the term's number, nan too where a Forward term refuses: for searches that only try."""
    try:
        return evaluate(term, values)
    except GeometryError:
        return math.nan


def _settled(term: Term, values: Mapping[str, float]) -> float | None:
    try:
        return evaluate(term, values)
    except KeyError:
        return None


def affine(left: Term, right: Term, values: Mapping[str, float]) -> Affine | None:
    """Return left - right as a sum in the unknowns that have no value yet; None where it is no such sum.

    A name stays in the coefficients even where they cancel. Raises GeometryError where a Forward term
    refuses.
    """
    coefficients: dict[str, float] = {}
    constant = 0.0
    stack: list[tuple[Term, float]] = [(right, -1.0), (left, 1.0)]
    while stack:
        node, factor = stack.pop()
        if type(node) is Unknown:
            known = values.get(node.name)
            if known is None:
                coefficients[node.name] = coefficients.get(node.name, 0.0) + factor
            else:
                constant += factor * known
        elif type(node) is Constant or type(node) is Stated:
            constant += factor * node.value
        elif type(node) is Apply and node.op == "+":
            stack.extend((argument, factor) for argument in reversed(node.arguments))
        elif type(node) is Apply and node.op == "-":
            stack.append((node.arguments[1], -factor))
            stack.append((node.arguments[0], factor))
        elif type(node) is Apply and node.op == "neg":
            stack.append((node.arguments[0], -factor))
        elif type(node) is Apply and node.op == "*":
            still_open: Term | None = None
            for argument in node.arguments:
                number = _settled(argument, values)
                if number is not None:
                    factor *= number
                elif still_open is None:
                    still_open = argument
                else:
                    return None
            stack.append((Constant(1.0) if still_open is None else still_open, factor))
        elif type(node) is Apply and node.op == "/":
            divisor = _settled(node.arguments[1], values)
            if divisor is None:
                return None
            stack.append((node.arguments[0], _operate("/", (factor, divisor))))
        else:
            number = _settled(node, values)
            if number is None:
                return None
            constant += factor * number
    return coefficients, constant


def _partials(op: str, arguments: Sequence[float], value: float) -> list[float]:
    """Return the derivatives of an operation by its arguments; those of round_to are those of its first
    one."""
    first = arguments[0]
    match op:
        case "+":
            return [1.0] * len(arguments)
        case "-":
            return [1.0, -1.0]
        case "*":
            return [
                math.prod(other for j, other in enumerate(arguments) if j != i) for i in range(len(arguments))
            ]
        case "/":
            return [1 / arguments[1], -first / arguments[1] ** 2]
        case "^":
            by_base = arguments[1] * _power(first, arguments[1] - 1) if arguments[1] else 0.0
            return [by_base, value * math.log(first) if first > 0 else 0.0]
        case "neg":
            return [-1.0]
        case "sqrt":
            return [0.5 / value]
        case "abs":
            return [math.copysign(1.0, first)]
        case "min" | "max":
            chosen = arguments.index(value)
            return [1.0 if i == chosen else 0.0 for i in range(len(arguments))]
        case "sin":
            return [math.cos(first)]
        case "cos":
            return [-math.sin(first)]
        case "tan":
            return [1.0 + value * value]
        case "asin":
            return [1 / math.sqrt(1 - first * first)]
        case "acos":
            return [-1 / math.sqrt(1 - first * first)]
        case "atan":
            return [1 / (1 + first * first)]
        case "atan2":
            square = first * first + arguments[1] ** 2
            return [arguments[1] / square, -first / square]
        case "hypot":
            return [argument / value for argument in arguments]
        case _:
            return [1.0] + [0.0] * (len(arguments) - 1)


def _forward_partials(node: Forward, values: Mapping[str, float]) -> Iterator[tuple[str, float]]:
    for name in dict.fromkeys(node.inputs):
        moved = dict(values)
        moved[name] = values[name] + FORWARD_STEP
        above = node.compute(moved)
        moved[name] = values[name] - FORWARD_STEP
        yield name, (above - node.compute(moved)) / (2 * FORWARD_STEP)


def gradient(term: Term, values: Mapping[str, float]) -> tuple[float, dict[str, float], dict[Stated, float]]:
    """Return a term's number and its derivatives, by unknowns and by stated quantities.

    One pass up for the numbers, one down for the derivatives. Where a derivative does not exist (the root of
    nought) it is nan. Raises KeyError and GeometryError as `evaluate` does.
    """
    nodes = nodes_of(term)
    count = len(nodes)
    numbers = [0.0] * count
    children: list[list[int]] = [[] for _ in nodes]
    pending: list[int] = []
    for index in range(count - 1, -1, -1):
        node = nodes[index]
        if type(node) is Apply:
            arity = len(node.arguments)
            children[index] = pending[-arity:]
            del pending[-arity:]
            numbers[index] = _operate(node.op, [numbers[child] for child in children[index]])
        else:
            numbers[index] = _leaf(node, values)
        pending.append(index)
    weights = [0.0] * count
    weights[0] = 1.0
    by_unknown: dict[str, float] = {}
    by_stated: dict[Stated, float] = {}
    for index, node in enumerate(nodes):
        weight = weights[index]
        if type(node) is Unknown:
            by_unknown[node.name] = by_unknown.get(node.name, 0.0) + weight
        elif type(node) is Stated:
            by_stated[node] = by_stated.get(node, 0.0) + weight
        elif type(node) is Forward:
            for name, partial in _forward_partials(node, values):
                by_unknown[name] = by_unknown.get(name, 0.0) + weight * partial
        elif type(node) is Apply:
            below = children[index]
            try:
                partials = _partials(node.op, [numbers[child] for child in below], numbers[index])
            except (ValueError, ZeroDivisionError, OverflowError):
                partials = [math.nan] * len(below)
            for child, partial in zip(below, partials, strict=True):
                weights[child] = weight * partial
    return numbers[0], by_unknown, by_stated
