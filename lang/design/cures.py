"""What to write instead where the solver finds something wrong and the kind of a component knows better than it."""

from ringwright.lang.components.tree import Component, Tree
from ringwright.lang.diagnostics.diagnostic import Diagnostic, Label
from ringwright.lang.solve.faults import Fault, Show
from ringwright.lang.syntax import nodes


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
