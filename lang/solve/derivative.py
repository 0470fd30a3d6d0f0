"""Derivatives of terms: one pass up for the numbers, one down for the derivatives."""

import math
from collections.abc import Iterator, Mapping, Sequence

from ringwright.lang.solve.algebra import leaf_value, nodes_of, operate
from ringwright.lang.solve.terms import Apply, Forward, Stated, Term, Unknown

FORWARD_STEP = 1e-4
"""Half width of the central difference through a Forward term (mm or rad)."""


def _partials(op: str, arguments: Sequence[float], value: float) -> list[float]:
    """Return the derivatives of an operation by its arguments; round_to passes a change on as it is."""
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
            by_base = arguments[1] * operate("^", (first, arguments[1] - 1)) if arguments[1] else 0.0
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
            numbers[index] = operate(node.op, [numbers[child] for child in children[index]])
        else:
            numbers[index] = leaf_value(node, values)
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
