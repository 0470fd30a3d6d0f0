"""A system made ready: unknowns and equations numbered by name and rank, never by place in the text."""

from collections.abc import Mapping
from typing import NamedTuple

from ringwright.geometry.errors import GeometryError
from ringwright.lang.solve.algebra import Affine, affine, multiply, nodes_of, occurrences
from ringwright.lang.solve.terms import (
    Apply,
    Constant,
    Equation,
    Forward,
    Quantity,
    Share,
    System,
    Term,
    Unknown,
)

RANKS = {"stated": 0, "given": 1, "rule": 3, "default": 4}
"""Who is heard first. A typed share stands between (2), a share that nobody typed comes last (5)."""

TYPED_SHARE, DEFAULT, SOFT_SHARE = 2, 4, 5

ANGLED = frozenset(("sin", "cos", "tan", "asin", "acos", "atan2"))


class Row(NamedTuple):
    """One equation with its numbers.

    unknowns: all that stand in it, ascending. edges: those that it could find. known_form: its coefficients,
    where it is a plain sum whatever the values. cause: the Equation or Share it was made from.
    """

    left: Term
    right: Term
    rank: int
    unknowns: tuple[int, ...]
    edges: tuple[int, ...]
    known_form: Affine | None
    cause: Equation | Share

    @property
    def dimension(self) -> str:
        """The dimension of both sides."""
        return self.cause.dimension if isinstance(self.cause, Equation) else "length"


class Problem(NamedTuple):
    """All rows in order of rank, all unknowns in order of name. pools: unknowns that are pools of shares."""

    quantities: tuple[Quantity, ...]
    names: tuple[str, ...]
    number_of: Mapping[str, int]
    rows: tuple[Row, ...]
    pools: frozenset[int]


def prepare(system: System) -> Problem:
    """Number a system. Pools that are no unknowns of it are added, as are names that only equations know."""
    by_name = {quantity.name: quantity for quantity in system.unknowns}
    pool_names = {share.pool for share in system.shares}
    for share in sorted(system.shares, key=lambda share: share.target):
        by_name.setdefault(share.pool, _stranger(share.pool, "number"))
        by_name.setdefault(share.target, _stranger(share.target, "length"))
    drafts: list[tuple[Term, Term, int, Equation | Share]] = [
        (equation.left, equation.right, RANKS[equation.origin.kind], equation)
        for equation in system.equations
    ]
    drafts.extend(
        (
            Unknown(share.target),
            multiply(Constant(share.share), Unknown(share.pool)),
            TYPED_SHARE if share.typed else SOFT_SHARE,
            share,
        )
        for share in system.shares
    )
    read = [_read(left, right) for left, right, _, _ in drafts]
    for names, _, _ in read:
        for name in names:
            if name not in by_name:
                by_name[name] = _stranger(name, "number")
    ordered = tuple(by_name[name] for name in sorted(by_name))
    names = tuple(quantity.name for quantity in ordered)
    number_of = {name: number for number, name in enumerate(names)}
    rows: list[Row] = []
    for (left, right, rank, cause), (found, sealed, form) in zip(drafts, read, strict=True):
        unknowns = tuple(sorted(number_of[name] for name in found))
        edges = tuple(u for u in unknowns if names[u] not in sealed) if sealed else unknowns
        rows.append(Row(left, right, rank, unknowns, edges, form, cause))
    pools = frozenset(number_of[name] for name in pool_names)
    return Problem(ordered, names, number_of, _in_order(rows), pools)


def _stranger(name: str, dimension: str) -> Quantity:
    return Quantity(name, dimension, float("-inf"), float("inf"), 1.0, None, "")


def _read(left: Term, right: Term) -> tuple[tuple[str, ...], set[str], Affine | None]:
    """Return the names in an equation, those of them it cannot find, and its form as a sum."""
    try:
        form = affine(left, right, {})
    except GeometryError:
        form = None
    if form is not None and form[0]:
        return tuple(form[0]), set(), form
    found: dict[str, None] = {}
    sealed: set[str] = set()
    for name, behind in occurrences((left, right)):
        found[name] = None
        if behind:
            sealed.add(name)
    return tuple(found), sealed, form


def _in_order(rows: list[Row]) -> tuple[Row, ...]:
    """Sort rows by rank and names; those alike in both by what is written in them, and only then by place.

    Of the rules those with an angle in them are heard last: where too much is said it is better to hear that a cone's
    angle does not fit its diameters than that a diameter does not fit its neighbour.
    """
    standings = [(_standing(row), row) for row in rows]
    standings.sort(key=lambda pair: pair[0])
    rows = [row for _, row in standings]
    start = 0
    for end in range(1, len(rows) + 1):
        if end < len(rows) and standings[end][0] == standings[start][0]:
            continue
        if end - start > 1:
            rows[start:end] = sorted(rows[start:end], key=_fingerprint)
        start = end
    return tuple(rows)


def _standing(row: Row) -> tuple[int, bool, tuple[int, ...]]:
    angled = row.known_form is None and any(
        isinstance(node, Apply) and node.op in ANGLED for node in nodes_of(Apply("==", (row.left, row.right)))
    )
    return row.rank, angled, row.unknowns


def _fingerprint(row: Row) -> tuple[str, ...]:
    span = row.cause.origin.span
    place = "" if span is None else f"{span.source}:{span.start:012d}:{span.end:012d}"
    return (row.cause.origin.text, *map(_node_text, nodes_of(Apply("==", (row.left, row.right)))), place)


def _node_text(node: Term) -> str:
    if isinstance(node, Apply):
        return node.op
    if isinstance(node, Forward):
        return node.text
    return node.name if isinstance(node, Unknown) else repr(node.value)
