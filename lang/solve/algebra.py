"""What can be done with terms: build them, evaluate them, read them as sums.

Nothing here recurses more than a few levels: a sum of ten thousand terms is as deep as it is long.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TypeAlias

from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.terms import Apply, Constant, Forward, Stated, Term, Unknown

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


def operate(op: str, arguments: Sequence[float]) -> float:
    """Return an operation's number, nan where it has none."""
    try:
        return OPERATIONS[op](*arguments)
    except (ValueError, ZeroDivisionError, OverflowError):
        return math.nan


def apply(op: str, *arguments: Term) -> Term:
    """Return `op` on the arguments, folded to a Constant where all of them are (and the result is finite)."""
    numbers = [argument.value for argument in arguments if isinstance(argument, Constant)]
    if len(numbers) == len(arguments):
        folded = operate(op, numbers)
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
    """Return left * right, factors of one left out; nought if either is the constant nought."""
    if (0.0,) in (left, right):
        return Constant(0.0)
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
    """Return all nodes of a term, each before its arguments; backwards, arguments come first, in order."""
    nodes: list[Term] = []
    stack: list[Term] = [term]
    while stack:
        node = stack.pop()
        nodes.append(node)
        if type(node) is Apply:
            stack.extend(node.arguments)
    return nodes


def unknowns_of(*terms: Term) -> tuple[str, ...]:
    """Return the names of all unknowns in the terms, inputs of Forward too, each once, in reading order."""
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


def leaf_value(node: Term, values: Mapping[str, float]) -> float:
    """Return the number of a node that is no operation. Raises KeyError, GeometryError as `evaluate` does."""
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
        return leaf_value(term, values)
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
            results.append(operate(node.op, arguments))
        else:
            results.append(leaf_value(node, values))
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
            stack.append((node.arguments[0], operate("/", (factor, divisor))))
        else:
            number = _settled(node, values)
            if number is None:
                return None
            constant += factor * number
    return coefficients, constant
