"""Terms and equations: what the solver is given. Numbers are mm, rad, g; no text here but spans.

A term is one of five values, built by `lang/values/evaluate.py` and the kinds, folded where constant.
"""

from collections.abc import Callable, Mapping
from typing import NamedTuple, TypeAlias

from ringwright.lang.source import Span


class Constant(NamedTuple):
    """A number that nobody measured: the 2 of `2 * a`."""

    value: float


class Stated(NamedTuple):
    """A quantity that stands in the text, in mm, rad, g.

    plus_minus: how well it was measured (half range, same unit), or None. span: where it stands (None: a
    default). measured: it was marked `@` (value is already multiplied by plan_scale; plan_scale's own term is
    not in here). scale: by what the written number was multiplied: plan_scale, along or across; else 1.
    """

    value: float
    plus_minus: float | None
    span: Span | None
    measured: bool
    scale: float = 1.0


class Unknown(NamedTuple):
    """A dimension that the solver finds, by its full name: `cowl.mid.length`."""

    name: str


class Apply(NamedTuple):
    """`op` on terms: + - * / ^ neg sqrt abs min max sin cos tan asin acos atan atan2 hypot round_to.

    One way only (evaluated forward): round_to, min, max. An abs is solved where one root lies in bounds.
    """

    op: str
    arguments: tuple["Term", ...]


class Forward(NamedTuple):
    """A function of other unknowns, known only forward: the width of an outline, the mass of a part.

    inputs: names of all unknowns that it needs. compute: takes values by name, returns the number (mm, rad,
    g); it may raise `ringwright.geometry.errors.GeometryError`. text: what it is, for `why` ('width of F2').
    """

    text: str
    inputs: tuple[str, ...]
    compute: Callable[[Mapping[str, float]], float]


Term: TypeAlias = Constant | Stated | Unknown | Apply | Forward


class Quantity(NamedTuple):
    """What the solver knows of an unknown before it solves.

    name: full name. dimension: 'length', 'angle', 'mass', 'area', 'number', …
    low, high: physical bounds in mm, rad, g (inclusive; -inf, inf where there is none). start: where a root
    finder begins. span: where the thing it belongs to stands in the text (the component's name), None for
    none. hint: what would settle it when it stays free: the property to write, e.g. 'cowl.lip.length': its
    own, or one that a builder would rather measure if that is free, too; '' when nobody can write it (then
    its neighbours are named instead).
    """

    name: str
    dimension: str
    low: float
    high: float
    start: float
    span: Span | None
    hint: str


class Origin(NamedTuple):
    """Where an equation came from.

    kind: 'stated' (a property or let in the text), 'given' (a `given` statement), 'default' (a default
    value), 'rule' (a kind's own equation). text: in the builder's words ('the lengths of a stack add up to
    its overall'). span: the place in the text that caused it (None only for a default).
    """

    kind: str
    text: str
    span: Span | None


class Equation(NamedTuple):
    """left == right, both of one dimension."""

    left: Term
    right: Term
    dimension: str
    origin: Origin


class Share(NamedTuple):
    """A soft rule: `target` takes `share` parts of what `pool` (an unknown of its own) leaves.

    It gives way where the hard equations settle the target already or a 'stated' or 'given' equation mentions
    it. typed: the builder wrote the share; then it is hard.
    """

    target: str
    share: float
    pool: str
    typed: bool
    origin: Origin


class System(NamedTuple):
    """All that the solver is given."""

    unknowns: tuple[Quantity, ...]
    equations: tuple[Equation, ...]
    shares: tuple[Share, ...]
