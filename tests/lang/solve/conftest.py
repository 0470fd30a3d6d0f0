"""A pencil for systems of equations, so that tests read like sums."""

import math
from typing import Any

import pytest
from ringwright.lang.solve.algebra import add, apply, divide, multiply, subtract
from ringwright.lang.solve.terms import (
    Constant,
    Equation,
    Origin,
    Quantity,
    Share,
    Stated,
    System,
    Term,
    Unknown,
)
from ringwright.lang.source import Span

TEXT = "plan.wright"


class Draft:
    """A system in the making. Every statement gets the next ten characters of an imaginary text as its
    place."""

    def __init__(self) -> None:
        self.quantities: list[Quantity] = []
        self.equations: list[Equation] = []
        self.shares: list[Share] = []
        self.here = 0

    def span(self) -> Span:
        self.here += 10
        return Span(TEXT, self.here, self.here + 8)

    def unknown(
        self,
        name: str,
        dimension: str = "length",
        low: float = 0.0,
        high: float = math.inf,
        start: float = 50.0,
    ) -> Unknown:
        self.quantities.append(Quantity(name, dimension, low, high, start, None, name))
        return Unknown(name)

    def anywhere(self, name: str) -> Unknown:
        return self.unknown(name, low=-math.inf)

    def angle(self, name: str) -> Unknown:
        return self.unknown(name, "angle", 0.0, 1.55, 0.3)

    def state(self, unknown: Unknown, value: float, plus_minus: float | None = None) -> Span:
        span = self.span()
        stated = Stated(value, plus_minus, span, True)
        self.equations.append(Equation(unknown, stated, "length", Origin("stated", unknown.name, span)))
        return span

    def equate(
        self, left: Term, right: Term, kind: str = "rule", text: str = "a rule", dimension: str = "length"
    ) -> Span:
        span = self.span()
        self.equations.append(Equation(left, right, dimension, Origin(kind, text, span)))
        return span

    def default(self, unknown: Unknown, value: float) -> None:
        origin = Origin("default", "unless given", None)
        self.equations.append(Equation(unknown, Stated(value, None, None, False), "length", origin))

    def share(self, target: Unknown, pool: str, share: float = 1.0, typed: bool = False) -> None:
        origin = Origin("rule", "lengths left out are shared equally", self.span())
        self.shares.append(Share(target.name, share, pool, typed, origin))

    def system(self) -> System:
        return System(tuple(self.quantities), tuple(self.equations), tuple(self.shares))

    def cowl(self, name: str = "cowl", tied: bool = True) -> None:
        """Write the first spec of the language's description, with board 5 mm thick."""
        back, drum, mid, lip = (
            self.unknown(f"{name}.{part}.length") for part in ("back", "drum", "mid", "lip")
        )
        self.state(start := self.anywhere(f"{name}.from"), 0.0)
        self.state(end := self.anywhere(f"{name}.to"), -104.0)
        overall = self.unknown(f"{name}.overall")
        self.equate(overall, apply("abs", subtract(end, start)), text="a stack reaches from `from` to `to`")
        self.equate(overall, add(back, drum, mid, lip), text="the lengths of a stack add up to its overall")
        self.equate(
            back, Stated(5.0, None, self.span(), False), text="a cap is as long as its stock is thick"
        )
        self.state(drum, 38.0)
        previous = self.unknown(f"{name}.drum.diameter")
        self.state(previous, 132.0, 0.5)
        angles = []
        for part, length, diameter in (("mid", mid, 116.0), ("lip", lip, 92.0)):
            self.state(rim := self.unknown(f"{name}.{part}.end"), diameter)
            angles.append(angle := self.angle(f"{name}.{part}.half_angle"))
            taper = divide(apply("abs", subtract(previous, rim)), Constant(2.0))
            self.equate(multiply(length, apply("tan", angle)), taper, text="the tie of a cone")
            self.share(length, f"{name}.share")
            previous = rim
        if tied:
            twice = multiply(Constant(2.0), angles[0])
            self.equate(angles[1], twice, "given", "given", "angle")


@pytest.fixture(scope="session")
def new_draft() -> Any:
    return Draft
