"""The functions of the language: what each takes and gives. The reference is made from this table."""

from typing import NamedTuple


class Parameter(NamedTuple):
    """One parameter.

    type: 'amount' (any dimension), 'length', 'angle', 'number', 'shape', 'point', 'points', 'text', 'file' (its name),
    'component' or 'known' (points of a drawing and where they are). side: which coordinate of a drawing a length runs along, 0 or
    1; None where it runs along neither alone.
    """

    name: str
    type: str
    optional: bool = False
    side: int | None = None


class Function(NamedTuple):
    """A function.

    gives: 'amount', 'shape' or 'point'. listed: it is written with a list in brackets, `polygon[…]`. one_of: of these
    parameters exactly one is given.
    """

    name: str
    parameters: tuple[Parameter, ...]
    gives: str
    doc: str
    listed: bool = False
    one_of: tuple[str, ...] = ()


def _amounts(*names: str) -> tuple[Parameter, ...]:
    return tuple(Parameter(name, "amount") for name in names)


def _shape(name: str, doc: str, *parameters: Parameter) -> Function:
    return Function(name, parameters, "shape", doc)


def _list(name: str, doc: str) -> Function:
    return Function(name, (Parameter("points", "points"),), "shape", doc, listed=True)


_SHAPE = Parameter("shape", "shape")
_WIDTH = Parameter("width", "length", side=0)
_HEIGHT = Parameter("height", "length", side=1)
_FILE = Parameter("file", "file")
_CHORD = Parameter("chord", "length", side=0)
_OWN_CHORD = Parameter("chord", "length", optional=True, side=0)

FUNCTIONS = {
    function.name: function
    for function in (
        Function("sqrt", _amounts("x"), "amount", "square root"),
        Function(
            "abs", _amounts("x"), "amount", "size without the sign; solved backward where one sign alone fits"
        ),
        Function("min", _amounts("a", "b"), "amount", "the smaller; one way only"),
        Function("max", _amounts("a", "b"), "amount", "the larger; one way only"),
        Function("sin", _amounts("angle"), "amount", "sine of an angle"),
        Function("cos", _amounts("angle"), "amount", "cosine of an angle"),
        Function("tan", _amounts("angle"), "amount", "tangent of an angle"),
        Function("asin", _amounts("x"), "amount", "angle whose sine is x"),
        Function("acos", _amounts("x"), "amount", "angle whose cosine is x"),
        Function("atan2", _amounts("opposite", "adjacent"), "amount", "angle from two sides"),
        Function("hypot", _amounts("a", "b"), "amount", "long side of a right-angled triangle"),
        Function("round_to", _amounts("x", "step"), "amount", "x to the nearest step; one way only"),
        Function(
            "behind",
            (Parameter("wing", "component"), Parameter("distance", "amount")),
            "amount",
            "the place along x so far behind the leading edge of a wing's mean chord: a length, or a % of that chord",
        ),
        _shape("circle", "circle by its diameter, centred", Parameter("diameter", "length")),
        _shape(
            "ellipse",
            "ellipse by its width and height",
            _WIDTH,
            _HEIGHT,
        ),
        _shape(
            "superellipse",
            "superellipse by width, height and exponent (2 is an ellipse)",
            _WIDTH,
            _HEIGHT,
            Parameter("n", "number"),
        ),
        _shape(
            "rect",
            "rectangle by width and height, centred, its corners rounded with `corner`",
            _WIDTH,
            _HEIGHT,
            Parameter("corner", "length", optional=True),
        ),
        _list("polygon", "straight lines from point to point, closed"),
        _list("curve", "a smooth closed line through the points; corner(y, z) breaks it"),
        _list("half", "one side from top to bottom with straight lines, mirrored"),
        _list("half_curve", "one side from top to bottom, mirrored, with a smooth line through the points"),
        _list(
            "both", "both sides from top to bottom, left and right in turn: straight lines through their mean"
        ),
        _list("both_curve", "the same, with a smooth line"),
        _shape(
            "circle_through",
            "the circle through three points",
            *(Parameter(name, "point") for name in ("p", "q", "r")),
        ),
        _list("circle_fit", "the circle nearest to the points"),
        _list("ellipse_fit", "the ellipse nearest to the points, turned as they lie"),
        _shape(
            "arc",
            "the outline between a chord, its middle in the origin, and the arc that rises above it",
            _CHORD,
            Parameter("rise", "length", side=1),
        ),
        _shape(
            "quarter_ellipse",
            "for a profile: a line from one radius to another, square to the axis where it is smaller",
            Parameter("depth", "length", side=0),
            Parameter("from", "length", side=1),
            Parameter("to", "length", side=1),
        ),
        _shape(
            "aerofoil",
            "an aerofoil of four or five digits, leading edge in the origin, x aft; a wing has chords of its own",
            Parameter("digits", "text"),
            _OWN_CHORD,
        ),
        _shape("aerofoil_file", "an aerofoil by a file of ordinates", _FILE, _OWN_CHORD),
        Function(
            "traced",
            (
                _FILE,
                Parameter("id", "text"),
                Parameter("width", "length", optional=True),
                Parameter("known", "known", optional=True),
            ),
            "shape",
            "an outline of an SVG file by its id; known = [(x, y) to (y, z) mm, …] is two points and where they are",
            one_of=("width", "known"),
        ),
        _shape("inset", "the shape smaller all round by a distance", _SHAPE, Parameter("distance", "length")),
        _shape("outset", "the shape larger all round by a distance", _SHAPE, Parameter("distance", "length")),
        _shape("moved", "the shape moved", _SHAPE, Parameter("by", "point")),
        _shape(
            "turned", "the shape turned anticlockwise about the origin", _SHAPE, Parameter("angle", "angle")
        ),
        _shape("scaled", "the shape scaled about the origin", _SHAPE, Parameter("factor", "number")),
        _shape("mirrored", "the shape with right and left changed over", _SHAPE),
        _shape("joined", "two shapes as one", _SHAPE, Parameter("other", "shape")),
        _shape("minus", "the first shape less the second", _SHAPE, Parameter("other", "shape")),
        _shape("common", "what two shapes have in common", _SHAPE, Parameter("other", "shape")),
        Function(
            "corner",
            (Parameter("y", "length", side=0), Parameter("z", "length", side=1)),
            "point",
            "a point where a curve breaks",
        ),
    )
}
