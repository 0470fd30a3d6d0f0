"""Keeps what leans on a broken statement away from the solver, so that one mistake is not reported as many."""

from collections.abc import Iterable

from ringwright.lang.solve.algebra import unknowns_of
from ringwright.lang.solve.terms import Constant, Equation, Share, Stated, System, Unknown


def sound_part(system: System, broken: Iterable[str]) -> System:
    """Return the system without all that could be reached from a broken name.

    One does not pass through a name that the text states outright: what it says stands, whoever else uses it.
    """
    tainted = set(broken)
    if not tainted:
        return system
    settled = {
        equation.left.name
        for equation in system.equations
        if isinstance(equation.left, Unknown) and isinstance(equation.right, Stated | Constant)
    }
    links = [(_names(equation), equation) for equation in system.equations]
    shares = [((share.target, share.pool), share) for share in system.shares]
    members: dict[str, list[tuple[str, ...]]] = {}
    for names, _ in (*links, *shares):
        for name in names:
            members.setdefault(name, []).append(names)
    waiting = sorted(tainted)
    while waiting:
        for names in members.get(waiting.pop(), ()):
            for name in names:
                if name not in tainted and name not in settled:
                    tainted.add(name)
                    waiting.append(name)
    return System(
        tuple(unknown for unknown in system.unknowns if unknown.name not in tainted),
        tuple(equation for names, equation in links if not tainted.intersection(names)),
        tuple(share for names, share in shares if not tainted.intersection(names)),
    )


def _names(item: Equation | Share) -> tuple[str, ...]:
    if isinstance(item, Share):
        return item.target, item.pool
    return unknowns_of(item.left, item.right)
