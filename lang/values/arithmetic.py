"""Sums, products and functions of amounts, with their dimensions checked. Knows no names and no text."""

from ringwright.lang.solve.algebra import apply, unknowns_of
from ringwright.lang.solve.terms import Apply, Constant, Stated
from ringwright.lang.units import ANGLE, LENGTH, NUMBER, Dimension, divide, multiply, power, with_article
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.value import Amount


class Mismatch(ValueError):
    """Dimensions that do not go together; code and help as for a diagnostic."""

    def __init__(self, code: str, message: str, help: str = "") -> None:
        super().__init__(message)
        self.code = code
        self.help = help


def a(dimension: Dimension) -> str:
    """Return a dimension's name with its article: 'a length', 'an angle'."""
    return "a bare number" if dimension == NUMBER else with_article(dimension_name(dimension))


def operate(op: str, left: Amount, right: Amount) -> Amount:
    """Return `left op right` for one of + - * / ^. Raises Mismatch."""
    if op in "+-":
        _same(left, right, "added to" if op == "+" else "taken from", turn=op == "-")
        return Amount(apply(op, left.term, right.term), left.dimension)
    if op == "*":
        return Amount(apply(op, left.term, right.term), _product(left.dimension, right.dimension))
    if op == "/":
        if isinstance(right.term, Constant) and right.term.value == 0.0:
            raise Mismatch("not-a-number", "this divides by zero")
        return Amount(apply(op, left.term, right.term), _quotient(left.dimension, right.dimension))
    if right.dimension == NUMBER and isinstance(right.term, Apply) and not unknowns_of(right.term):
        raise Mismatch("not-finite", "this power is beyond what can be reckoned with")
    if not isinstance(right.term, Constant) or right.dimension != NUMBER:
        raise Mismatch("unit-mismatch", "a power must be a plain number")
    return Amount(apply("^", left.term, right.term), power(left.dimension, right.term.value))


def negate(operand: Amount) -> Amount:
    """Return the amount with its sign changed."""
    term = operand.term
    if isinstance(term, Stated):
        return Amount(term._replace(value=-term.value), operand.dimension)
    return Amount(apply("neg", term), operand.dimension)


def call(function: str, given: tuple[Amount, ...]) -> Amount:
    """Return a numeric function of amounts. Raises Mismatch."""
    first = given[0]
    terms = tuple(amount.term for amount in given)
    if function in ("sin", "cos", "tan"):
        if first.dimension != ANGLE:
            raise Mismatch(
                "unit-mismatch",
                f"{function} takes an angle, not {a(first.dimension)}",
                "write the unit: deg or rad",
            )
        return Amount(apply(function, *terms), NUMBER)
    if function in ("asin", "acos"):
        if first.dimension != NUMBER:
            raise Mismatch("unit-mismatch", f"{function} takes a plain number, not {a(first.dimension)}")
        return Amount(apply(function, *terms), ANGLE)
    if function == "sqrt":
        return Amount(apply("sqrt", *terms), power(first.dimension, 0.5))
    if len(given) == 2 and first.dimension != given[1].dimension:
        raise Mismatch(
            "unit-mismatch",
            f"{function} takes two of one dimension, not {a(first.dimension)} and {a(given[1].dimension)}",
        )
    return Amount(apply(function, *terms), ANGLE if function == "atan2" else first.dimension)


def with_unit(amount: Amount, factor: float, dimension: Dimension) -> Amount:
    """Return a bare number as a quantity of a unit (one that has a unit stays as it is)."""
    if amount.dimension != NUMBER:
        return amount
    term = amount.term
    if isinstance(term, Stated):
        spread = None if term.plus_minus is None else term.plus_minus * factor
        return Amount(term._replace(value=term.value * factor, plus_minus=spread), dimension)
    return Amount(apply("*", term, Constant(factor)), dimension)


def _same(left: Amount, right: Amount, verb: str, turn: bool) -> None:
    if left.dimension == right.dimension:
        return
    one, other = (right, left) if turn else (left, right)
    bare = NUMBER in (left.dimension, right.dimension)
    known = left.dimension if right.dimension == NUMBER else right.dimension
    raise Mismatch(
        "unit-mismatch",
        f"{a(one.dimension)} cannot be {verb} {a(other.dimension)}",
        unit_help(known) if bare else "",
    )


def unit_help(dimension: Dimension) -> str:
    """Return what a bare number lacks where a quantity of that dimension is meant."""
    if dimension == LENGTH:
        return "give the bare number a unit: mm, cm, m, in or ft"
    if dimension == ANGLE:
        return "give the bare number a unit: deg or rad"
    return "give the bare number a unit"


def _product(left: Dimension, right: Dimension) -> Dimension:
    # In a product an angle is a plain number (radians), so that r * a is a length; twice an angle is an angle still.
    if left == NUMBER:
        return right
    if right == NUMBER:
        return left
    return multiply(_plain(left), _plain(right))


def _quotient(left: Dimension, right: Dimension) -> Dimension:
    if right == NUMBER:
        return left
    return divide(_plain(left), _plain(right))


def _plain(dimension: Dimension) -> Dimension:
    return NUMBER if dimension == ANGLE else dimension
