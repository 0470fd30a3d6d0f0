"""No kind: what wings, tails and fins share: their properties, their solved names and their equations."""

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from ringwright.lang.kinds.kind import Measure, Property, Solved, tilt
from ringwright.lang.kinds.load import PLACES, along_across_up
from ringwright.lang.solve.algebra import add, apply, divide, multiply, subtract
from ringwright.lang.solve.terms import Constant, Term, Unknown
from ringwright.lang.units import ANGLE, AREA, LENGTH, MASS, NUMBER
from ringwright.lang.values.value import Reference

if TYPE_CHECKING:
    from ringwright.lang.components.tree import Component, Tree
    from ringwright.lang.design.elaborate import Elaboration

LEAST = 1.0
LARGEST = 1e5
STEEPEST = 1.4
"""No panel rises or sweeps more, rad: 80°."""
NOUGHT = Constant(0.0)
TWO = Constant(2.0)
BUILDS = ("plate", "ribs", "folded")
CHILDREN = ("section", "spar", "control", "joiner", "hole", "holes", "slot")


def chords(root: str, tip: str) -> tuple[Property, ...]:
    """Return the properties of the planform, but for how far it reaches."""
    return (
        Property(
            "root", "amount", f"chord at the {root}", "root = @180 mm", axis="along", low=LEAST, high=LARGEST
        ),
        Property(
            "tip",
            "amount",
            f"chord at the {tip}; unless given the root's",
            "tip = @130 mm",
            axis="along",
            low=0.0,
            high=LARGEST,
        ),
        Property(
            "sweep",
            "amount",
            f"of the leading edge, aft towards the {tip}; of the outermost panel, where there are several",
            "sweep = 4 deg",
            ANGLE,
            rather="tip_back",
            low=-STEEPEST,
            high=STEEPEST,
        ),
        Property(
            "tip_back",
            "amount",
            f"how far the leading edge lies further aft at the {tip} than at the root",
            "tip_back = @20 mm",
            axis="along",
        ),
    )


RISING = (
    Property(
        "dihedral",
        "amount",
        "how far a half rises, against level; the outermost panel, where there are several",
        "dihedral = 3 deg",
        ANGLE,
        rather="tip_up",
        low=-STEEPEST,
        high=STEEPEST,
    ),
    Property(
        "tip_up",
        "amount",
        "how far the leading edge lies higher at the tips than at the root",
        "tip_up = 40 mm",
        axis="across",
    ),
)
WASHOUT = tilt("washout", "how far the tip is turned nose down against the root", "washout = 2 deg", 0.6)
INCIDENCE = tilt(
    "incidence", "how far all of it is set nose up, about its root's leading edge", "incidence = 2 deg", 0.6
)
BEHIND = Property(
    "at",
    "amount",
    "where it is behind the leading edge: a length, or a share of the chord",
    "at = 30 %",
    axis="along",
    required=True,
    low=0.0,
    high=LARGEST,
    also=(NUMBER,),
)
FIT = Property(
    "fit",
    "amount",
    "room in its slots; unless given what its stock is used to",
    "fit = 0.2 mm",
    optional=True,
    low=-5.0,
    high=5.0,
)
BUILT = (
    Property(
        "aerofoil", "aerofoil", "its section: aerofoil, or aerofoil_file", 'aerofoil = aerofoil("2412")'
    ),
    Property(
        "build",
        "word",
        "how it is built: a flat plate, ribs, or one sheet folded at the leading edge",
        "build = ribs",
        default="plate",
        shown="plate",
        choices=BUILDS,
    ),
    Property("stock", "stock", "what its plate, its ribs or its folded sheet are cut from", "stock = board"),
    Property(
        "ribs",
        "places",
        "how far apart its ribs stand at most, or where they stand, out from the root",
        "ribs = [0, 60, 120, 200] mm",
    ),
    Property("skin", "stock", "what its skins are cut from; with none it is left open", "skin = card"),
    Property(
        "skins",
        "word",
        "where skins lie: one round the leading edge, an upper and a lower one, or the upper one alone",
        "skins = upper",
        default="around",
        shown="around",
        choices=("around", "both", "upper"),
    ),
    Property(
        "corner",
        "amount",
        "radius of the outer corners of a plate",
        "corner = 20 mm",
        default=0.0,
        shown="0 mm",
        low=0.0,
        high=LARGEST,
    ),
)
AT = Property(
    "at",
    "where",
    "where the leading edge of its root is: a place along x, or a point in the aircraft",
    "at = (@40 mm, 0 mm, @60 mm)",
    axis="along",
    required=True,
    choices=("place", "point"),
)
WING = Property(
    "wing", "wing", "the wing that its volume is reckoned with; the only one unless given", "wing = main"
)
SOLVED = (
    *PLACES,
    Solved("area", "of its planform, both halves", AREA, low=0.0),
    Solved("mean_chord", "its mean aerodynamic chord", low=0.0),
    Solved("mean_chord_x", "where the leading edge of the mean chord lies along x"),
    Solved("mean_chord_y", "how far out from the root the mean chord lies"),
    Solved("aspect_ratio", "its span over its mean width: span² / area", NUMBER, low=0.0),
)
OF_TAIL = (
    Solved("arm", "from the quarter of the wing's mean chord to that of its own, along x"),
    Solved("volume", "tail volume: its area times its arm, over the wing's area and mean chord", NUMBER),
)
MEASURES = (
    Measure("mass", "mass of one half, or of all where it is in one", MASS),
    Measure("cut_length", "length of all its cuts", LENGTH),
    Measure("worst_strain", "how much a skin would have to stretch, at most", NUMBER),
)


class Ends(NamedTuple):
    """A station as the equations see it: how far out it is, its chord, and where its leading edge is."""

    y: Term
    chord: Term
    back: Term
    up: Term


def planform(elaboration: "Elaboration", component: "Component", half: Term, meets: bool) -> tuple[Ends, ...]:
    """Tie chords, leading edge and washout of all stations, root first. half: how far out the tip is.

    meets: it has dihedral. What a section leaves out lies on the straight line between its neighbours that say it.
    """
    sections = [child for child in elaboration.children(component) if child.kind.name == "section"]
    root, tip, back = (elaboration.unknown(component, name) for name in ("root", "tip", "tip_back"))
    up: Term = elaboration.unknown(component, "tip_up") if meets else NOUGHT
    if "tip" not in component.properties:
        elaboration.rule(component, tip, root, "the tip's chord is the root's unless given")
    places: list[Term] = [NOUGHT, *(elaboration.unknown(s, "at") for s in sections), half]
    lines: dict[str, list[Term]] = {}
    for name, first, last, angle in (
        ("chord", root, tip, ""),
        ("back", NOUGHT, back, "sweep"),
        ("up", NOUGHT, up, "dihedral"),
        ("washout", NOUGHT, elaboration.unknown(component, "washout"), ""),
    ):
        if name == "up" and not meets:
            lines[name] = [NOUGHT] * len(places)
            continue
        lines[name] = [first, *(elaboration.unknown(section, name) for section in sections), last]
        said = [True, *(_says(section, name, angle) for section in sections), True]
        for number, section in enumerate(sections, 1):
            _station(elaboration, section, name, angle, number, places, lines[name], said)
    _edge(elaboration, component, "sweep", "tip_back", places, lines["back"])
    if meets:
        _edge(elaboration, component, "dihedral", "tip_up", places, lines["up"])
    return tuple(Ends(*each) for each in zip(places, lines["chord"], lines["back"], lines["up"], strict=True))


def _says(section: "Component", name: str, angle: str) -> bool:
    return name in section.properties or (bool(angle) and angle in section.properties)


def _station(
    elaboration: "Elaboration",
    section: "Component",
    name: str,
    angle: str,
    number: int,
    places: list[Term],
    line: list[Term],
    said: list[bool],
) -> None:
    """Say what a section's chord, leading edge or washout follows from."""
    if angle and angle in section.properties:
        run = multiply(
            subtract(places[number], places[number - 1]), apply("tan", elaboration.unknown(section, angle))
        )
        text = f"the panel up to it has this {angle}"
        elaboration.rule(section, line[number], add(line[number - 1], run), text)
        return
    if name in section.properties:
        return
    low = max(k for k in range(number) if said[k])
    high = min(k for k in range(number + 1, len(said)) if said[k])
    share = divide(subtract(places[number], places[low]), subtract(places[high], places[low]))
    value = add(line[low], multiply(share, subtract(line[high], line[low])))
    dimension = ANGLE if name == "washout" else LENGTH
    elaboration.rule(section, line[number], value, "it lies straight between its neighbours", dimension)


def _edge(
    elaboration: "Elaboration",
    component: "Component",
    angle: str,
    off: str,
    places: list[Term],
    line: list[Term],
) -> None:
    """Tie the angle of the outermost panel to how far its edge has run at the tip; neither given it is nought."""
    run = multiply(subtract(places[-1], places[-2]), apply("tan", elaboration.unknown(component, angle)))
    text = f"the outermost panel has this {angle}"
    elaboration.rule(component, line[-1], add(line[-2], run), text)
    if angle not in component.properties and off not in component.properties:
        spec = next(property for property in component.kind.properties if property.name == angle)
        elaboration.default(component, spec._replace(shown="0 deg"), 0.0)


def reckoned(
    elaboration: "Elaboration", component: "Component", ends: tuple[Ends, ...], halves: int, reach: Term
) -> None:
    """Add area, mean chord and aspect ratio. halves: how many of them there are; reach: the span, or a fin's height."""

    def name(which: str) -> Unknown:
        return elaboration.unknown(component, which)

    times = Constant(float(halves))
    pairs = tuple(pairwise(ends))
    area, chord = name("area"), name("mean_chord")
    widths = (
        multiply(subtract(b.y, a.y), divide(add(a.chord, b.chord), TWO)) if a.chord != b.chord
        else multiply(subtract(b.y, a.y), a.chord)
        for a, b in pairs
    )  # fmt: skip
    elaboration.rule(
        component, area, multiply(times, add(*widths)), "spans of its panels by their mean chords", AREA
    )
    text = "chords squared over the span, and that over the area"
    elaboration.rule(component, chord, _mean(pairs, "chord", times, area), text)
    text = "leading edges by the chords there, over the span, and that over the area"
    back = _mean(pairs, "back", times, area)
    elaboration.rule(component, name("mean_chord_x"), add(Unknown(f"{component.id}.x"), back), text)
    text = "places out by the chords there, over the span, and that over the area"
    elaboration.rule(component, name("mean_chord_y"), _mean(pairs, "y", times, area), text)
    ratio = divide(multiply(reach, reach), area)
    elaboration.rule(component, name("aspect_ratio"), ratio, "span squared over the area", NUMBER)


def _mean(pairs: tuple[tuple[Ends, Ends], ...], which: str, times: Term, area: Term) -> Term:
    """Return the mean of something straight between stations, weighed with the chord: the integral of c f over the area."""
    sums = []
    for a, b in pairs:
        f, g = getattr(a, which), getattr(b, which)
        if which == "chord":
            squares = (
                add(multiply(f, f), multiply(f, g), multiply(g, g))
                if f != g
                else multiply(Constant(3.0), multiply(f, f))
            )
            sums.append(divide(multiply(subtract(b.y, a.y), squares), Constant(3.0)))
            continue
        inner = add(
            multiply(TWO, multiply(a.chord, f)), multiply(a.chord, g), multiply(b.chord, f),
            multiply(TWO, multiply(b.chord, g)),
        )  # fmt: skip
        sums.append(divide(multiply(subtract(b.y, a.y), inner), Constant(6.0)))
    return divide(multiply(times, add(*sums)), area)


def placed(elaboration: "Elaboration", component: "Component") -> None:
    """Say where its root's leading edge lies."""
    at = elaboration.value(component, "at")
    terms = None if at is None else along_across_up(at)
    if terms is None and "at" in component.properties:
        elaboration.breaks(component, *(solved.name for solved in PLACES))
    for solved, term in zip(PLACES, terms or (), strict=False):
        unknown = elaboration.unknown(component, solved.name)
        elaboration.rule(component, unknown, term, f"{solved.name} of where {component.id} is", LENGTH)


def tail_volume(elaboration: "Elaboration", component: "Component", over: str, times: float = 1.0) -> None:
    """Add arm and volume, over the wing's area and its mean chord or its span; nothing where there is no wing.

    times: how many of it there are.
    """
    wing = wing_of(elaboration.tree, component, elaboration.value(component, "wing"))
    if wing is None:
        return
    own, other = (
        add(Unknown(f"{id}.mean_chord_x"), multiply(Constant(0.25), Unknown(f"{id}.mean_chord")))
        for id in (component.id, wing.id)
    )
    arm = elaboration.unknown(component, "arm")
    elaboration.rule(component, arm, subtract(own, other), "from quarter chord to quarter chord")
    of_wing = multiply(Unknown(f"{wing.id}.area"), Unknown(f"{wing.id}.{over}"))
    area = multiply(Constant(times), Unknown(f"{component.id}.area"))
    value = divide(multiply(area, arm), of_wing)
    text = f"area by arm, over the wing's area by its {over.replace('_', ' ')}"
    elaboration.rule(component, elaboration.unknown(component, "volume"), value, text, NUMBER)


def wing_of(tree: "Tree", component: "Component", given: object) -> "Component | None":
    """Return the wing that a tail is reckoned with: the one named, or the only one; None where there is none."""
    if isinstance(given, Reference):
        return tree.components[given.id]
    wings = [other for other in tree.components.values() if other.kind.name == "wing"]
    return wings[0] if len(wings) == 1 and "wing" not in component.properties else None
