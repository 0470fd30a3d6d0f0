"""What to write instead where the solver finds something wrong and the kind of a component knows better than it."""

from ringwright.geometry.errors import GeometryError
from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.solve.faults import Fault, Show
from ringwright.lang.syntax import nodes

# What helps where geometry cannot make a part; a part-too-big that is a ring may be made of several pieces.
HELPS = {
    "part-too-big": "make it smaller or in two parts, or give its stock a larger sheet",
    "sheet-too-small": "give its stock a larger sheet",
    "wall-too-thick": "make it wider, or take a thinner stock; a cone may be longer, too",
    "plate-too-thick": "take a thinner stock for the plate, or make the ring longer",
    "inset-too-deep": "take less of it, or make the outline larger",
    "waist-too-narrow": "take less of it, or make the waist wider",
}


def helped(finding: Diagnostic) -> Diagnostic:
    """Return a finding of geometry with what helps against it in general, where nothing better has been said."""
    if finding.code == "part-too-big" and "margin of" in finding.message:
        return finding._replace(help="give its stock a larger sheet, or cutting a smaller margin")
    return finding if finding.help else finding._replace(help=HELPS.get(finding.code, ""))


def cured(tree: Tree, fault: Fault, found: Diagnostic, show: Show) -> Diagnostic:
    """Return what is said of a fault, with the help of the kind of component that it is about."""
    if fault.code == "two-solutions":
        return _either_taper(tree, fault, found, show)
    if fault.code == "impossible-dimension":
        return _other_taper(tree, fault, found)
    return found


def _either_taper(tree: Tree, fault: Fault, found: Diagnostic, show: Show) -> Diagnostic:
    """A cone that may go either way is told so by its taper."""
    quantity = fault.quantities[0]
    owner, _, last = quantity.name.rpartition(".")
    cone = _cone(tree, owner)
    if cone is None or "taper" in cone.properties or last not in ("start", "end") or len(fault.values) != 2:
        return found
    small, large = (show(quantity.dimension, value) for value in sorted(fault.values))
    narrows, widens = (small, large) if last == "end" else (large, small)
    help = f"write taper = narrows in {owner} for {narrows}, taper = widens for {widens}"
    return found._replace(help=help)


def _other_taper(tree: Tree, fault: Fault, found: Diagnostic) -> Diagnostic:
    """A cone that cannot go the way that its taper says shows where that is said."""
    quantity = fault.quantities[0]
    cone = _cone(tree, quantity.name.rpartition(".")[0])
    taper = cone.properties.get("taper") if cone is not None else None
    if cone is None or taper is None or not isinstance(taper.value, nodes.Name):
        return found
    if not any(e.origin.kind == "rule" and e.origin.span == cone.span for e in fault.equations[:1]):
        return found
    word = taper.value.parts[0]
    other = "widens" if word == "narrows" else "narrows"
    labels = (*found.labels, Label(taper.span, f"it {word}, as said here"))
    if quantity.name.rpartition(".")[2] in ("half_angle", "length") and fault.values[0] < 0:
        return found._replace(labels=labels, help=f"write taper = {other}, or change what it follows from")
    return found._replace(labels=labels)


def _cone(tree: Tree, id: str) -> Component | None:
    component = tree.components.get(id)
    return component if component is not None and component.kind.name == "cone" else None


def given_hands(tree: Tree, id: str, error: GeometryError) -> Diagnostic:
    """Return what is said of a part with a hand in two places: both are shown, the inner one first."""
    places = []
    current = tree.components.get(id)
    while current is not None:
        own = current.properties.get("hand")
        if own is not None:
            places.append(Label(own.span, "a hand here"))
        if current.made is not None and current.made.hand:
            places.append(Label(current.span, f"made with hand = {current.made.hand}"))
        current = tree.components.get(current.parent)
    first, *others = places or [Label(tree.components[id].span, "")]
    help = "leave one of them out: the make's hand is that of all it makes"
    return Diagnostic(error.code, "error", str(error), first.span, tuple(others), help)
