"""The functions of the language: what each takes and gives. The reference is made from this table."""

from typing import NamedTuple


class Parameter(NamedTuple):
    """One parameter. type: 'amount' (any dimension), 'length', 'angle', 'number', 'shape', 'point' or 'points'."""

    name: str
    type: str
    optional: bool = False


class Function(NamedTuple):
    """A function. gives: 'amount', 'shape' or 'point'. listed: it is written with a list in brackets, `polygon[…]`."""

    name: str
    parameters: tuple[Parameter, ...]
    gives: str
    doc: str
    listed: bool = False


def _amounts(*names: str) -> tuple[Parameter, ...]:
    return tuple(Parameter(name, "amount") for name in names)


def _shape(name: str, doc: str, *parameters: Parameter) -> Function:
    return Function(name, parameters, "shape", doc)


def _list(name: str, doc: str) -> Function:
    return Function(name, (Parameter("points", "points"),), "shape", doc, listed=True)


_SHAPE = Parameter("shape", "shape")

FUNCTIONS = {
    function.name: function
    for function in (
        Function("sqrt", _amounts("x"), "amount", "square root"),
        Function("abs", _amounts("x"), "amount", "size without the sign; solved backward where one sign alone fits"),
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
        _shape("circle", "circle by its diameter, centred", Parameter("diameter", "length")),
        _shape(
            "ellipse",
            "ellipse by its width and height",
            Parameter("width", "length"),
            Parameter("height", "length"),
        ),
        _shape(
            "superellipse",
            "superellipse by width, height and exponent (2 is an ellipse)",
            Parameter("width", "length"),
            Parameter("height", "length"),
            Parameter("n", "number"),
        ),
        _shape(
            "rect",
            "rectangle by width and height, centred, its corners rounded with `corner`",
            Parameter("width", "length"),
            Parameter("height", "length"),
            Parameter("corner", "length", optional=True),
        ),
        _list("polygon", "straight lines from point to point, closed"),
        _list("curve", "a smooth closed line through the points; corner(y, z) breaks it"),
        _list("half", "one side from top to bottom with straight lines, mirrored"),
        _list("half_curve", "one side from top to bottom, mirrored, with a smooth line through the points"),
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
            (Parameter("y", "length"), Parameter("z", "length")),
            "point",
            "a point where a curve breaks",
        ),
    )
}
