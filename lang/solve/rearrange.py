"""An equation rearranged for one of its unknowns, as one does on the back of an envelope."""

from ringwright.lang.solve.algebra import add, apply, divide, multiply, negate, occurrences, subtract
from ringwright.lang.solve.terms import Apply, Constant, Term, Unknown

PI = Constant(3.141592653589793)


def isolate(left: Term, right: Term, name: str) -> tuple[Term, ...] | None:
    """Return what `name` may be, one term for each branch (two for a square or an abs), or None.

    None where the name stands in the equation more than once, or behind an operation that has no way back.
    Not every branch need solve the equation (the root of a negative number does not): put it in and see.
    """
    places = [occurrence for occurrence in occurrences((left, right)) if occurrence[0] == name]
    if len(places) != 1 or places[0][1]:
        return None
    in_left = any(found == name for found, _ in occurrences((left,)))
    side: Term = left if in_left else right
    branches: tuple[Term, ...] = (right if in_left else left,)
    while type(side) is not Unknown:
        if type(side) is not Apply:
            return None
        place = next(
            i
            for i, part in enumerate(side.arguments)
            if any(found == name for found, _ in occurrences((part,)))
        )
        others = side.arguments[:place] + side.arguments[place + 1 :]
        turned = [_turn(side.op, place, others, branch) for branch in branches]
        if any(found is None for found in turned):
            return None
        branches = tuple(term for found in turned if found is not None for term in found)
        side = side.arguments[place]
    return branches


def _turn(op: str, place: int, others: tuple[Term, ...], other: Term) -> tuple[Term, ...] | None:
    """Return what the argument at `place` is when the operation on it and `others` gives `other`."""
    first = place == 0
    match op:
        case "+":
            for term in others:
                other = subtract(other, term)
            return (other,)
        case "-":
            return (add(other, others[0]) if first else subtract(others[0], other),)
        case "*":
            for term in others:
                other = divide(other, term)
            return (other,)
        case "/":
            return (multiply(other, others[0]) if first else divide(others[0], other),)
        case "neg":
            return (negate(other),)
        case "^" if first:
            return _root(other, others[0])
        case "sqrt":
            return (apply("^", other, Constant(2.0)),)
        case "abs":
            return (other, negate(other))
        case "sin":
            angle = apply("asin", other)
            return (angle, subtract(PI, angle), subtract(negate(PI), angle))
        case "cos":
            angle = apply("acos", other)
            return (angle, negate(angle))
        case "tan":
            angle = apply("atan", other)
            return (angle, add(angle, PI), subtract(angle, PI))
        case "asin" | "acos" | "atan":
            return (apply(op[1:], other),)
        case "hypot" if len(others) == 1:
            square = subtract(apply("^", other, Constant(2.0)), apply("^", others[0], Constant(2.0)))
            root = apply("sqrt", square)
            return (root, negate(root))
        case _:
            return None


def _root(power: Term, exponent: Term) -> tuple[Term, ...] | None:
    if type(exponent) is not Constant or exponent.value == 0:
        return None
    root = apply("sqrt", power) if exponent.value == 2 else apply("^", power, Constant(1 / exponent.value))
    if not exponent.value.is_integer():
        return (root,)
    # An odd power of a negative number: the root of its size, with the sign put back.
    if exponent.value % 2:
        return (root, negate(apply("^", negate(power), Constant(1 / exponent.value))))
    return (root, negate(root))
