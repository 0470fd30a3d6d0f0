"""Rings and plates on one axis: a cowl, a spinner, a wheel."""

from itertools import pairwise
from typing import TYPE_CHECKING

from ringwright.lang.kinds import element, plate, profile
from ringwright.lang.kinds.kind import Kind, Property
from ringwright.lang.solve.algebra import add, apply, divide, multiply, subtract
from ringwright.lang.solve.terms import Constant, Term
from ringwright.lang.units import ANGLE

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component
    from ringwright.lang.design.elaborate import Elaboration

SHARING = ("barrel", "cone", "cones", "dome")


def equations(elaboration: "Elaboration", component: "Component") -> None:
    """Lengths add up, diameters pass on, and where the stack stands its elements stand."""
    children = elaboration.children(component)
    if not children:
        elaboration.say(
            "empty-stack",
            "this stack has no elements",
            component.span,
            "write plates, barrels, cones, rings or a dome in it, in their order",
        )
        elaboration.breaks(component, "overall")
        return
    overall = elaboration.unknown(component, "overall")
    if all(_sits_inside(elaboration, child) for child in children):
        elaboration.breaks(component, "overall")  # each plate says that it has nothing to sit in
        return
    elaboration.rule(
        component,
        overall,
        add(
            *(
                elaboration.unknown(child, "length")
                for child in children
                if not _sits_inside(elaboration, child)
            )
        ),
        "the lengths of a stack add up to its overall",
    )
    _pass_diameters(elaboration, children)
    if profile.given(component):
        _take_from_profile(elaboration, component, children)
    for child in children:
        if (
            child.kind.name in SHARING
            and not elaboration.states(child, "length")
            and not profile.given(child)
        ):
            elaboration.share(child, "length", f"{component.id}.share")
    run = _run(elaboration, component, overall)
    if run is not None:
        _place(elaboration, component, children, run)


def _sits_inside(elaboration: "Elaboration", child: "Component") -> bool:
    """Whether an element is a plate that adds no length."""
    return child.kind.name == "plate" and elaboration.word(child, "seat") != "cap"


def _pass_diameters(elaboration: "Elaboration", children: "tuple[Component, ...]") -> None:
    passing = [child for child in children if child.kind.name in element.PASSING]
    for before, after in pairwise(passing):
        elaboration.rule(
            after,
            elaboration.unknown(after, "start"),
            elaboration.unknown(before, "end"),
            "an element starts at the diameter at which the last one ended",
        )


def _take_from_profile(
    elaboration: "Elaboration", component: "Component", children: "tuple[Component, ...]"
) -> None:
    """Add the profile's diameter wherever two elements meet, or one ends, that none of them says."""
    profile.look(elaboration, component)
    row = [child for child in children if child.kind.name in element.PASSING]
    joint = 0
    while joint <= len(row):
        # A barrel ties the joints at both its ends: one of them is enough.
        last = joint
        while last < len(row) and row[last].kind.name == "barrel":
            last += 1
        sides = [(child, True) for child in row[joint - 1 : joint] if joint]
        sides += [(child, False) for child in row[joint : last + 1]]
        if sides and not any(_says_diameter(elaboration, child, at_end) for child, at_end in sides):
            _add_profile(elaboration, component, row, joint)
        joint = last + 1


def _says_diameter(elaboration: "Elaboration", child: "Component", at_end: bool) -> bool:
    """Whether an element needs no profile for its start, or its end: it says that itself, or asks the solver for it."""
    end = "end" if at_end else "start"
    if child.kind.name == "barrel":
        return any(name in child.properties for name in ("diameter", "start_inside", "end_inside"))
    if child.kind.name == "cone":
        return any(name in child.properties for name in (end, f"{end}_inside"))
    return True  # a ring, a dome and cones see to their own


def _add_profile(elaboration: "Elaboration", stack: "Component", row: "list[Component]", joint: int) -> None:
    if joint < len(row):
        child, name = row[joint], "start"
        before = element.before(elaboration, stack, child)
    else:
        child, name = row[-1], "end"
        before = (*element.before(elaboration, stack, child), child)
    elaboration.rule(
        child,
        elaboration.unknown(child, name),
        profile.diameter(elaboration, stack, before, f"where {child.name} {name}s"),
        "diameters left out are the profile's at that place",
    )


def _run(elaboration: "Elaboration", component: "Component", overall: Term) -> Term | None:
    """Return +1 or -1 as a term, the way in which the stack runs along its axis; None where it has no place."""
    has_from, has_to = (name in component.properties for name in ("from", "to"))
    runs = elaboration.word(component, "runs")
    if not has_from and not has_to:
        return None
    origin, target = elaboration.unknown(component, "from"), elaboration.unknown(component, "to")
    if has_from and has_to:
        elaboration.rule(
            component, overall, apply("abs", subtract(target, origin)), "a stack reaches from `from` to `to`"
        )
        if runs:
            _runs_on(elaboration, component, origin, target, overall, runs)
        return divide(subtract(target, origin), overall)
    if not runs:
        missing = "to" if has_from else "from"
        elaboration.say(
            "no-direction",
            f"this stack has no '{missing}': which way does it run?",
            component.span,
            f"give '{missing}', or 'overall' and runs = fore or runs = aft",
        )
        elaboration.breaks(component, "from", "to")
        return None
    return _runs_on(elaboration, component, origin, target, overall, runs)


def _runs_on(
    elaboration: "Elaboration", component: "Component", origin: Term, target: Term, overall: Term, runs: str
) -> Term:
    way = Constant(1.0 if runs == "aft" else -1.0)
    text = f"a stack that runs {runs} ends its overall {runs} of its start"
    elaboration.rule(component, target, add(origin, multiply(way, overall)), text)
    return way


def _place(
    elaboration: "Elaboration", component: "Component", children: "tuple[Component, ...]", run: Term
) -> None:
    """Add where every element starts and ends along the axis."""
    at: Term = elaboration.unknown(component, "from")
    text = "an element stands where the last one ended"
    for child in children:
        if _sits_inside(elaboration, child):
            continue
        start, end = elaboration.unknown(child, "x_start"), elaboration.unknown(child, "x_end")
        elaboration.rule(child, start, at, text)
        elaboration.rule(child, end, add(start, multiply(elaboration.unknown(child, "length"), run)), text)
        at = end
    for child in children:
        if _sits_inside(elaboration, child):
            _place_inside(elaboration, child, run)


def _place_inside(elaboration: "Elaboration", child: "Component", run: Term) -> None:
    start, end, depth = (elaboration.unknown(child, name) for name in ("x_start", "x_end", "depth"))
    text = "a plate inside stands at the end of its element"
    deep = multiply(depth, run)
    if elaboration.word(child, "seat") == "straddle":
        before = element.neighbours(elaboration.tree, child).before
        if before is None:
            elaboration.breaks(child, "x_start", "x_end")
            return
        joint = elaboration.unknown(before, "x_end")
        elaboration.rule(
            child, start, subtract(joint, divide(deep, Constant(2.0))), "half of it lies before the joint"
        )
    else:
        host, at_end = element.seat_of(elaboration.tree, child, plate.within(elaboration, child))
        if host is None:
            elaboration.breaks(child, "x_start", "x_end")
            return
        back = multiply(plate.set_back_of(elaboration, child), run)
        if at_end:
            elaboration.rule(
                child, start, subtract(subtract(elaboration.unknown(host, "x_end"), back), deep), text
            )
        else:
            elaboration.rule(child, start, add(elaboration.unknown(host, "x_start"), back), text)
    elaboration.rule(child, end, add(start, deep), "a plate is as deep as its stock is thick")


KIND = Kind(
    "stack",
    "rings and plates on one axis, in the order in which they stand",
    (
        Property(
            "from",
            "place",
            "where it starts: a station or a place",
            "from = firewall",
            axis="along",
            optional=True,
        ),
        Property("to", "place", "where it ends", "to = spinner", axis="along", optional=True),
        Property(
            "overall",
            "amount",
            "its whole length",
            "overall = @104 mm",
            axis="along",
            low=element.LEAST,
            high=element.WIDEST,
        ),
        Property(
            "runs",
            "word",
            "which way it runs where only one end is given",
            "runs = fore",
            choices=("fore", "aft"),
        ),
        Property(
            "axis",
            "word",
            "which way its axis lies: along the aircraft, across it, or up",
            "axis = across",
            default="along",
            shown="along",
            choices=("along", "across", "up"),
        ),
        Property(
            "centre",
            "point",
            "where its axis lies: (y, z), for an axis across (x, z), up (x, y)",
            "centre = (0 mm, -12 mm)",
            axis="across",
        ),
        Property("stock", "stock", "what its elements are cut from unless they say", "stock = board"),
        Property("seam", "seam", "how its rings close unless they say", "seam = flap(15 mm)"),
        Property(
            "seam_at",
            "bearing",
            "where its seams are",
            "seam_at = bottom",
            default="bottom",
            shown="bottom",
            choices=element.SIDES,
        ),
        Property(
            "stagger",
            "amount",
            "how far the seams of neighbours are turned against each other",
            "stagger = 15 deg",
            ANGLE,
            default=0.2617993877991494,
            shown="15 deg",
            low=-3.1416,
            high=3.1416,
        ),
        profile.PROFILE,
        Property(
            "bore",
            "amount",
            "diameter of one hole through every plate",
            "bore = 8 mm",
            optional=True,
            low=element.LEAST,
            high=element.WIDEST,
        ),
        Property(
            "hand",
            "word",
            "left, right, or both: as it stands and its mirror image",
            "hand = both",
            choices=("left", "right", "both"),
        ),
        Property("quantity", "count", "how many of it", "quantity = 2", default=1.0, shown="1", high=1000.0),
    ),
    children=("plate", "barrel", "cone", "cones", "ring", "dome"),
    equations=equations,
    example="stack cowl {\n    from = firewall\n    to = spinner\n    stock = board\n    barrel drum { diameter = @132 mm }\n}\n",
)
