"""What a builder is told of a balance: what has no place or no mass, what is missing, a target that is not met."""

from collections.abc import Iterator, Mapping, Sequence

from ringwright.geometry.errors import GeometryError
from ringwright.geometry.mass import ballast
from ringwright.geometry.numbers import short
from ringwright.geometry.part import Flat, Part, Rolled
from ringwright.geometry.path import bounds
from ringwright.geometry.place import in_space
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.design.balancing import Weighed
from ringwright.lang.design.design import About
from ringwright.lang.design.ledger import Entry, weight_of
from ringwright.lang.design.making import Maker
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.units import LENGTH, MASS
from ringwright.lang.values.value import named

USUAL = {
    "motor": ("motor", "engine"),
    "battery": ("battery", "batteries", "cell", "accu", "pack"),
    "receiver": ("receiver", "rx", "radio"),
}
"""What nearly every model carries, and the words by which it is known in names and titles."""

USUAL_SHARE = (0.20, 0.38)
"""Between which shares of the mean chord models balance: common practice, no published source."""

PLACES = {
    "panel": "give it its place: place = (x, y, z) of the drawing's origin",
    "stack": "give it a 'from' or a 'to'",
    "strip": "say of each piece where it lies: from and to, or along a line",
    "buy": "say where it is: at = 60 mm, or a point",
}


def doubts(
    tree: Tree, maker: Maker, parts: Sequence[Part], weighed: Weighed, about: About, asked: bool
) -> Iterator[Diagnostic]:
    """Yield what there is to say of the mass and the balance of a design.

    asked: the text asks for the mass or the balance of the whole. A spec that says nothing of loads is left in peace.
    """
    yield from weighed.findings
    yield from _of_allowances(tree, maker, parts)
    loads = [entry for entry in weighed.entries if entry.sort == "load"]
    if not (loads or asked or weighed.wanted):
        return
    yield from _without_mass(tree, parts)
    yield from _without_place(tree, weighed, about)
    if weighed.wanted is None:
        return
    balance = weighed.wanted.component
    if weight_of([entry for entry in weighed.entries if entry.at is not None]) <= 0:
        message = "nothing here has both a mass and a place, so nothing balances"
        help = "give the stocks a mass, and write the loads: motor, battery, receiver"
        yield Diagnostic("no-mass", "error", message, balance.span, (), help)
        return
    yield from _missing(tree, weighed, balance)
    yield from _outside(weighed, about)
    yield from _not_met(weighed, about)
    yield from _off_chord(tree, maker, weighed)


def _without_mass(tree: Tree, parts: Sequence[Part]) -> Iterator[Diagnostic]:
    for stock in dict.fromkeys(part.stock.name for part in parts if part.properties.mass is None):
        component = tree.components[stock]
        yield Diagnostic(
            "stock-without-mass",
            "warning",
            f"'{component.name}' has no mass: what is cut from it counts as nothing",
            component.span,
            (),
            "weigh a sheet, and write, for example: sheet_mass = 158 g",
        )


def _without_place(tree: Tree, weighed: Weighed, about: About) -> Iterator[Diagnostic]:
    masses: dict[str, list[Entry]] = {}
    placed = {_whole(tree, entry.owner) for entry in weighed.entries if entry.at is not None and entry.owner}
    for entry in weighed.entries:
        if entry.at is None and entry.sort != "allowance":
            # Of what has a place but for some of its pieces, those are named.
            whole = _whole(tree, entry.owner)
            masses.setdefault(entry.owner if whole in placed else whole, []).append(entry)
    for id, entries in masses.items():
        component = tree.components[id]
        mass = about.shown(weight_of(entries), MASS)
        yield Diagnostic(
            "no-place",
            "error" if weighed.wanted is not None else "warning",
            f"'{component.name if component.id == _whole(tree, id) else id}' has no place in the aircraft: its {mass} count in the mass and not in the balance",
            component.span,
            (),
            PLACES.get(tree.components[_whole(tree, id)].kind.name, ""),
        )


def _whole(tree: Tree, id: str) -> str:
    """Return the outermost of what a component belongs to, groups of a recipe apart."""
    component = tree.components[id]
    while component.parent and tree.components[component.parent].kind.name != "recipe":
        component = tree.components[component.parent]
    return component.id


def _of_allowances(tree: Tree, maker: Maker, parts: Sequence[Part]) -> Iterator[Diagnostic]:
    for component in tree.components.values():
        if component.kind.name != "allowance" or "on" not in component.properties:
            continue
        for id in named(maker.value(component, "on")):
            if not any(id in (p.stock.name, p.component) or p.component.startswith(id + ".") for p in parts):
                span = component.properties["on"].value.span
                message = (
                    f"nothing is cut from '{id}', and nothing of it: this allowance goes on nothing there"
                )
                yield Diagnostic("nothing-to-coat", "warning", message, span)


def _missing(tree: Tree, weighed: Weighed, balance: Component) -> Iterator[Diagnostic]:
    said = []
    for entry in weighed.entries:
        if entry.sort == "load":
            title = tree.components[entry.owner].properties.get("title")
            said.append(f"{entry.name} {getattr(getattr(title, 'value', None), 'value', '')}".lower())
    missing = [name for name, words in USUAL.items() if not any(w in text for text in said for w in words)]
    if missing:
        *others, last = [f"no {name}" for name in missing]
        listed = f"{', '.join(others)} and {last}" if others else last
        yield Diagnostic(
            "loads-missing",
            "warning",
            f"this balance counts {listed} among its loads",
            balance.span,
            (),
            f'write, for example: load {missing[0]} {{ mass = 90 g, at = 20 mm }}; or: accept loads-missing because "…"',
        )


def _outside(weighed: Weighed, about: About) -> Iterator[Diagnostic]:
    """Warn of ballast that would hang in the air ahead of the nose or behind the tail."""
    wanted = weighed.wanted
    assert wanted is not None
    if wanted.at is None:
        return
    low, high = reach(weighed.entries)
    at = wanted.at[0]
    if low - 1.0 <= at <= high + 1.0:
        return
    ahead = at < low
    by = about.shown(low - at if ahead else at - high, LENGTH)
    end = "ahead of the foremost" if ahead else "behind the aftmost"
    span = wanted.component.properties["ballast_at"].value.span
    message = f"ballast here would hang in the air, {by} {end} thing in this spec"
    yield Diagnostic("ballast-outside", "warning", message, span)


def reach(entries: Sequence[Entry]) -> tuple[float, float]:
    """Return the least and the greatest x of all that has a place, ballast apart, mm."""
    xs: list[float] = []
    for entry in entries:
        if entry.at is None or entry.sort in ("ballast", "allowance"):
            continue
        half = entry.size[0] / 2 if entry.size is not None else 0.0
        xs += [entry.at[0] - half, entry.at[0] + half]
        if entry.part is not None:
            xs += _xs(entry.part)
    return min(xs), max(xs)


def _xs(part: Part) -> Iterator[float]:
    placement = part.placement
    if isinstance(placement, Flat):
        left, low, right, top = bounds(part.outline)
        for corner in ((left, low), (left, top), (right, low), (right, top)):
            yield in_space(placement, corner)[0]
    elif isinstance(placement, Rolled):
        for radius, along in ((placement.start_radius, 0.0), (placement.end_radius, placement.length)):
            middle = placement.origin[0] + along * placement.axis[0]
            swing = radius * (1.0 - min(1.0, placement.axis[0] ** 2)) ** 0.5
            yield from (middle - swing, middle + swing)
    elif placement is not None:
        for facet in placement.facets:
            yield from (corner[0] for corner in facet.space)


def on_chord(tree: Tree, values: Mapping[str, float], weighed: Weighed) -> tuple[str, float] | None:
    """Return the largest wing, and at what share of its mean chord the model balances; None where there is no wing."""
    wings = [c.id for c in tree.components.values() if c.kind.name == "wing" and f"{c.id}.area" in values]
    if not wings or weighed.wanted is None:
        return None
    wing = max(wings, key=lambda id: (values[f"{id}.area"], id))
    name = f"{weighed.wanted.component.id}.after"
    after = next((value for equation, value in weighed.found if equation.left == (name,)), None)
    if after is None:
        return None
    edge, chord = values[f"{wing}.mean_chord_x"], values[f"{wing}.mean_chord"]
    return wing, (after - edge) / chord


def _off_chord(tree: Tree, maker: Maker, weighed: Weighed) -> Iterator[Diagnostic]:
    """Warn of a balance point where hardly a model flies."""
    found = on_chord(tree, maker.values, weighed)
    if found is None or weighed.wanted is None or USUAL_SHARE[0] - 5e-4 <= found[1] <= USUAL_SHARE[1] + 5e-4:
        return
    wing, share = found
    ahead = share < USUAL_SHARE[0]
    yield Diagnostic(
        "balance-off-chord",
        "warning",
        f"the model balances at {short(100 * share, 1)} % of the mean chord of '{wing}',"
        f" {'ahead of' if ahead else 'behind'} the usual {short(100 * USUAL_SHARE[0], 0)} to {short(100 * USUAL_SHARE[1], 0)} %",
        weighed.wanted.component.properties["target"].value.span,
        (),
        f"it {'answers slowly and dives' if ahead else 'may not hold its course at all'}: look at the target again, or say why"
        ' it is right: accept balance-off-chord because "…"',
    )


def _not_met(weighed: Weighed, about: About) -> Iterator[Diagnostic]:
    """Warn where the target is not met, and say what would meet it: a weight at the other end."""
    wanted = weighed.wanted
    assert wanted is not None
    if not weighed.missed or any(finding.severity == "error" for finding in weighed.findings):
        return
    aft = weighed.missed > 0
    by, side = about.shown(abs(weighed.missed), LENGTH), "behind" if aft else "ahead of"
    goal = wanted.high if aft else wanted.low
    low, high = reach(weighed.entries)
    end = low if aft else high
    message = f"the model balances {by} {side} its target"
    labels: tuple[Label, ...] = ()
    if wanted.at is not None:
        message += f", and ballast at {about.shown(wanted.at[0], LENGTH)} would take it further away"
        labels = (Label(wanted.component.properties["ballast_at"].value.span, "none is needed here"),)
    masses = [(entry.mass, entry.at[0]) for entry in weighed.entries if entry.at is not None]
    try:
        needed = ballast(masses, goal, end)
    except GeometryError:
        needed = 0.0
    help = ""
    if needed > 0:
        where = "the nose" if aft else "the tail"
        help = f"{about.shown(needed, MASS)} at {where}, {about.shown(end, LENGTH)}, would do: ballast_at = …"
    span = wanted.component.properties["target"].value.span
    yield Diagnostic("balance-missed", "warning", message, span, labels, help)
