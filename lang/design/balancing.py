"""The balance of a solved design: where what slides must sit, the ballast that is needed, and the names of both."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mass import ballast as ballast_for
from ringwright.geometry.numbers import snap
from ringwright.geometry.part import Part, Vector
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design.design import About
from ringwright.lang.design.ledger import (
    Entry,
    ledger,
    mass_term,
    moment_term,
    weight_of,
)
from ringwright.lang.design.making import Maker, Unsettled
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.kinds.load import along_across_up
from ringwright.lang.solve.algebra import add, divide, evaluate, multiply, subtract
from ringwright.lang.solve.terms import Constant, Equation, Origin, Term, Unknown
from ringwright.lang.source import Span
from ringwright.lang.units import LENGTH, MASS, MOMENT, NUMBER, Dimension
from ringwright.lang.units import name as dimension_name
from ringwright.lang.values.value import Amount, Pair

NEAR = 1e-6
"""How near to its target a balance point counts as there, mm."""


class Slide(NamedTuple):
    """A load that slides: where it sits, and the ends of its range, mm along x."""

    name: str
    at: float
    low: float
    high: float


class Wanted(NamedTuple):
    """What a balance asks for. low, high: of its target, mm. at: where ballast can sit, None where nothing is said.

    lower, upper: the ends of the target as terms. place: where ballast can sit, as terms.
    """

    component: Component
    low: float
    high: float
    lower: Term
    upper: Term
    at: Vector | None
    place: tuple[Term, Term, Term] | None


class Weighed(NamedTuple):
    """What all of a design weighs and where.

    entries: everything in its place, ballast last. slides: heaviest first. found: an equation and a value for each
    name, in an order in which each rests on those before it; dimensions: of these names, steps: of those among them
    that only stand in the sums of others. missed: by how much the
    balance point lies aft of its target, mm, when all is done.
    """

    entries: tuple[Entry, ...]
    slides: tuple[Slide, ...]
    wanted: Wanted | None
    found: tuple[tuple[Equation, float], ...]
    dimensions: dict[str, Dimension]
    steps: dict[str, Dimension]
    findings: tuple[Diagnostic, ...]
    missed: float = 0.0


def weighed(
    tree: Tree, maker: Maker, parts: Sequence[Part], about: About, late: Sequence[Equation]
) -> Weighed:
    """Weigh a design and balance it. late: named values that lean on what is found here."""
    work = _Work(tree, maker)
    work.entries = list(ledger(tree, maker, parts))
    work.wanted = _wanted(work)
    work.slide()
    work.balance()
    work.whole(about)
    for equation in late:
        assert isinstance(equation.left, Unknown)
        if work.has(equation.right):
            work.add(equation)
    return Weighed(
        tuple(work.entries), tuple(work.slides), work.wanted, tuple(work.found), work.dimensions,
        work.steps, tuple(work.findings), work.missed,
    )  # fmt: skip


class _Work:
    """A balance under way: entries, the names found so far, findings."""

    def __init__(self, tree: Tree, maker: Maker) -> None:
        self.tree = tree
        self.maker = maker
        self.values = dict(maker.values)
        self.entries: list[Entry] = []
        self.wanted: Wanted | None = None
        self.slides: list[Slide] = []
        self.there: Term | None = None
        self.found: list[tuple[Equation, float]] = []
        self.dimensions: dict[str, Dimension] = {}
        self.steps: dict[str, Dimension] = {}
        self.findings: list[Diagnostic] = []
        self.missed = 0.0

    def name(self, name: str, term: Term, text: str, span: Span, dimension: Dimension = LENGTH) -> float:
        """Give a name to a sum, and return its value."""
        self.dimensions[name] = dimension
        return self.add(Equation(Unknown(name), term, dimension_name(dimension), Origin("rule", text, span)))

    def sums(self, entries: Sequence[Entry], which: str, span: Span) -> tuple[Term, Term]:
        """Return the mass and the moment of entries, each under a name that says of which."""
        found = []
        for what, term, dimension in (
            ("mass", mass_term(entries), MASS),
            ("moment", moment_term(entries, 0), MOMENT),
        ):
            name = f"{what} of {which}"
            origin = Origin("rule", "all of it added up", span)
            self.steps[name] = dimension
            self.add(Equation(Unknown(name), term, dimension_name(dimension), origin))
            found.append(Unknown(name))
        return found[0], found[1]

    def add(self, equation: Equation) -> float:
        """Add an equation that gives a name its value."""
        assert isinstance(equation.left, Unknown)
        value = evaluate(equation.right, self.values) + 0.0
        self.values[equation.left.name] = value
        self.found.append((equation, value))
        return value

    def has(self, term: Term) -> bool:
        """Whether all that a term rests on has a value."""
        try:
            evaluate(term, self.values)
        except KeyError:
            return False
        return True

    def say(self, code: str, severity: str, message: str, span: Span, help: str = "") -> None:
        """Report something."""
        self.findings.append(Diagnostic(code, severity, message, span, (), help))

    @property
    def placed(self) -> list[Entry]:
        """All that has a place."""
        return [entry for entry in self.entries if entry.at is not None]

    # -- what slides ------------------------------------------------------------------------------

    def slide(self) -> None:
        """Put each load that slides where the model balances as wanted, the heaviest first; else at the middle."""
        sliding = [entry for entry in self.entries if entry.slides is not None]
        sliding.sort(key=lambda entry: (-snap(entry.mass), entry.name))
        middles: dict[str, Term] = {}
        for entry in sliding:
            assert entry.slides is not None
            low, high = (evaluate(end, self.values) for end in entry.slides)
            if low > high:
                component = self.tree.components[entry.owner]
                self.say(
                    "range-backwards", "error", "a range runs aft, from its smaller x to its larger",
                    component.properties["at"].value.span, "write its ends the other way round",
                )  # fmt: skip
            middles[entry.name] = divide(add(*entry.slides), Constant(2.0))
            self._put(entry, middles[entry.name])
        there = self.wanted is None or bool(self.findings)
        for entry in sliding:
            assert entry.slides is not None
            component = self.tree.components[entry.owner]
            low, high = (evaluate(end, self.values) for end in entry.slides)
            term, text = middles[entry.name], "in the middle of its range"
            if not there and entry.mass > 0:
                others = [other for other in self.placed if other.name != entry.name]
                mass, moment = self.sums(others, f"all but {entry.name}", component.span)
                free = _lever(mass, moment, mass_term((entry,)), self.target())
                there = low - NEAR <= evaluate(free, self.values) <= high + NEAR
                if there:
                    term, text = free, "where it brings the balance point to its target"
                    self.there = self.target()
                else:
                    aft = evaluate(free, self.values) > high
                    term, text = entry.slides[aft], f"at the {'aft' if aft else 'fore'} end of its range"
            at = self.name(f"{entry.owner}.x", term, text, component.span)
            _, y, z = self._put(entry, Unknown(f"{entry.owner}.x"))
            for name, across in ((f"{entry.owner}.y", y), (f"{entry.owner}.z", z)):
                if name not in self.values:
                    self.name(name, across, "where its range runs there", component.span)
            self.slides.append(Slide(entry.name, at, low, high))

    def target(self) -> Term:
        """Return where the model is to balance, under a name: of a range the middle."""
        assert self.wanted is not None
        name, (low, high) = f"{self.wanted.component.id}.target", (self.wanted.lower, self.wanted.upper)
        if name not in self.dimensions:
            term = low if low == high else divide(add(low, high), Constant(2.0))
            text = "what is wanted" if low == high else "the middle of what is wanted"
            self.name(name, term, text, self.wanted.component.span)
        return Unknown(name)

    def _put(self, entry: Entry, along: Term) -> tuple[Term, Term, Term]:
        """Put what slides at a place along its range; return where that is."""
        number = next(n for n, other in enumerate(self.entries) if other.name == entry.name)
        assert entry.slides is not None
        assert entry.rail is not None
        (low, high), (across, up) = entry.slides, entry.rail
        y, z = (_on_rail(along, (low, high), ends, self.values) for ends in (across, up))
        spot = (evaluate(along, self.values), evaluate(y, self.values), evaluate(z, self.values))
        self.entries[number] = entry._replace(at=spot, place=(along, y, z))
        return along, y, z

    # -- ballast ----------------------------------------------------------------------------------

    def balance(self) -> None:
        """Find what a balance asks for: the balance point without ballast, the ballast, the balance point with it."""
        wanted, placed = self.wanted, self.placed
        if wanted is None or weight_of(placed) <= 0:
            return
        id, span = wanted.component.id, wanted.component.span
        mass, moment = self.sums(placed, "all without ballast", span)
        term, text = divide(moment, mass), "moments over masses, without ballast"
        if self.there is not None:
            term, text = self.there, f"its target, with {self.slides[-1].name} where it must sit"
        before = self.name(f"{id}.before", term, text, span)
        if self.slides:
            name = Unknown(f"{self.slides[0].name}.x")
            self.name(f"{id}.slide", name, f"where {self.slides[0].name} sits", span)
        self.target()
        goal, goal_term = (wanted.low, wanted.lower) if before < wanted.low else (wanted.high, wanted.upper)
        after: Term = Unknown(f"{id}.before")
        needed = 0.0
        if not wanted.low - NEAR <= before <= wanted.high + NEAR:
            self.missed = before - goal
            if wanted.at is not None:
                needed = self._needed(wanted, goal)
        ballast: Term = Constant(0.0)
        if needed > 0:
            assert wanted.place is not None
            if wanted.lower == wanted.upper:
                goal_term = self.target()
            pull = subtract(moment, multiply(mass, goal_term))
            ballast, after, self.missed = divide(pull, subtract(goal_term, wanted.place[0])), goal_term, 0.0
        if wanted.place is not None:
            text = "brings the balance point to its target" if needed > 0 else "none needed there"
            weight = self.name(f"{id}.ballast", ballast, text, span, MASS)
            if weight > 0:
                share = ((Unknown(f"{id}.ballast"), 1.0),)
                self.entries.append(
                    Entry(f"{id}.ballast", id, "ballast", "", weight, wanted.at, share, place=wanted.place)
                )
        self.name(f"{id}.after", after, "the balance point with its ballast", span)
        self._margin(id, span)

    def _margin(self, id: str, span: Span) -> None:
        """Name how far the balance point lies ahead of the neutral point that a tail makes, in mean chords."""
        from ringwright.lang.kinds.lifting import wing_of

        for tail in self.tree.components.values():
            neutral = f"{tail.id}.neutral_point"
            if tail.kind.name != "tail" or neutral not in self.values:
                continue
            wing = wing_of(self.tree, tail, self.maker.value(tail, "wing"))
            assert wing is not None
            term = divide(
                subtract(Unknown(neutral), Unknown(f"{id}.after")), Unknown(f"{wing.id}.mean_chord")
            )
            text = "from the balance point to the neutral point, over the wing's mean chord"
            self.name(f"{id}.static_margin", term, text, span, NUMBER)
            return

    def _needed(self, wanted: Wanted, goal: float) -> float:
        """Return the ballast that brings the balance point to its goal; 0 where none does."""
        assert wanted.at is not None
        masses = [(entry.mass, entry.at[0]) for entry in self.placed if entry.at is not None]
        try:
            return ballast_for(masses, goal, wanted.at[0])
        except GeometryError as error:
            span = wanted.component.properties["ballast_at"].value.span
            self.say(
                error.code, "error", str(error), span, "put it as far from the target as the model allows"
            )
            return 0.0

    # -- the whole --------------------------------------------------------------------------------

    def whole(self, about: About) -> None:
        """Name what the whole model weighs and where it balances."""
        models = [c for c in self.tree.components.values() if c.kind.name == "model"]
        model = next((component for component in models if component.name == about.name), None)
        if model is None:
            return
        self.name(f"{model.id}.mass", mass_term(self.entries), "all that weighs something", model.span, MASS)
        placed = self.placed
        if weight_of(placed) <= 0:
            return
        for axis, name in enumerate(("balance_x", "balance_y", "balance_z")):
            term = divide(moment_term(placed, axis), mass_term(placed))
            if axis == 0 and self.wanted is not None:
                term = Unknown(f"{self.wanted.component.id}.after")
            self.name(f"{model.id}.{name}", term, "moments over masses", model.span)


def _lever(others: Term, moment: Term, mass: Term, aim: Term) -> Term:
    """Return where a load must sit for all to balance at a place; others, moment: of all else."""
    return divide(subtract(multiply(add(others, mass), aim), moment), mass)


def _on_rail(
    along: Term, slides: tuple[Term, Term], ends: tuple[Term, Term], values: Mapping[str, float]
) -> Term:
    """Return how far across or up something is that slides from one end of a straight line to the other."""
    first, last = ends
    long = subtract(slides[1], slides[0])
    if first == last or evaluate(long, values) == 0:
        return first
    share = divide(subtract(along, slides[0]), long)
    return add(first, multiply(share, subtract(last, first)))


def _wanted(work: _Work) -> Wanted | None:
    """Return what the balance asks for; None where there is none, or where its values have errors."""
    component = next((c for c in work.tree.components.values() if c.kind.name == "balance"), None)
    if component is None:
        return None
    try:
        target, at = work.maker.value(component, "target"), work.maker.value(component, "ballast_at")
        ends = (target.first, target.second) if isinstance(target, Pair) else (target, target)
        low, high = (work.maker.amount(end) for end in ends)
    except Unsettled:
        return None
    first, second = ends
    assert isinstance(first, Amount)
    assert isinstance(second, Amount)
    if low > high:
        span = component.properties["target"].value.span
        message = "a range runs aft, from its smaller x to its larger"
        work.say("range-backwards", "error", message, span, "write its ends the other way round")
    place = None if at is None else along_across_up(at)
    spot = None
    if place is not None:
        x, y, z = (evaluate(term, work.values) for term in place)
        spot = (x, y, z)
    return Wanted(component, low, high, first.term, second.term, spot, place)
