"""Syntax nodes: what stands in the text, with its span, before anything is understood.

Offsets are enough to print any node back from its source. Nodes are NamedTuples: a spec has thousands.
"""

from typing import NamedTuple, TypeAlias

from ringwright.lang.source import Span

# -- values ---------------------------------------------------------------------------------------


class Number(NamedTuple):
    """`40`, `3/16 in`, `1 3/16 in`, `132 ± 0.5 mm`: unit and plus_minus None where not written.

    In `132 ± 0.5 mm` the unit covers both; plus_minus is a Number of its own (unit may differ from the
    first's).
    """

    value: float
    unit: str | None
    plus_minus: "Number | None"
    span: Span


class Measured(NamedTuple):
    """`@…`: as measured on the plan. operand is a Number, Shape, Call, ListOf, Group (a point) or Sign."""

    operand: "Expression"
    span: Span


class Text(NamedTuple):
    """`"…"`, escapes undone."""

    value: str
    span: Span


class Constant(NamedTuple):
    """`yes`, `no` or `auto`."""

    name: str
    span: Span


class Name(NamedTuple):
    """A dotted path: `cowl.mid.length`."""

    parts: tuple[str, ...]
    span: Span


class Argument(NamedTuple):
    """One argument of a call; name None where it is given by position."""

    name: str | None
    value: "Expression"
    span: Span


class Call(NamedTuple):
    """`circle(40 mm)`, `rect(w, h, corner = r)`, `fuselage.half(118 mm)`."""

    function: Name
    arguments: tuple[Argument, ...]
    span: Span


class ListOf(NamedTuple):
    """`[…]`, with the unit that may stand behind it."""

    items: tuple["Expression", ...]
    unit: str | None
    span: Span


class Group(NamedTuple):
    """`(…)`: one item is a parenthesised expression, two or three are a point; a unit may stand behind."""

    items: tuple["Expression", ...]
    unit: str | None
    span: Span


class Shape(NamedTuple):
    """`half[…]`: a constructor with a list."""

    constructor: Name
    points: ListOf
    span: Span


class Operation(NamedTuple):
    """`left op right`, op one of + - * / ^."""

    op: str
    left: "Expression"
    right: "Expression"
    span: Span


class Sign(NamedTuple):
    """`-x` or `+x`."""

    op: str
    operand: "Expression"
    span: Span


class Compare(NamedTuple):
    """`left op right`, op one of == != < <= > >=."""

    op: str
    left: "Expression"
    right: "Expression"
    span: Span


class Size(NamedTuple):
    """`762 mm by 508 mm`."""

    first: "Expression"
    second: "Expression"
    span: Span


class Range(NamedTuple):
    """`10 mm to 85 mm`."""

    first: "Expression"
    second: "Expression"
    span: Span


Expression: TypeAlias = (
    Number
    | Measured
    | Text
    | Constant
    | Name
    | Call
    | ListOf
    | Group
    | Shape
    | Operation
    | Sign
    | Compare
    | Size
    | Range
)

# -- statements -----------------------------------------------------------------------------------


class Use(NamedTuple):
    """`use "file.wright" as alias`."""

    file: Text
    alias: str | None
    span: Span


class Let(NamedTuple):
    """`let name = value`."""

    name: str
    name_span: Span
    value: Expression
    span: Span


class Require(NamedTuple):
    """`require condition else "message"`."""

    condition: Expression
    message: Text | None
    span: Span


class Given(NamedTuple):
    """`given left == right`; the parser has checked that condition is an == comparison."""

    condition: Compare
    span: Span


class Accept(NamedTuple):
    """`accept code because "reason"`."""

    code: str
    code_span: Span
    reason: Text | None
    span: Span


class Parameter(NamedTuple):
    """One parameter of a recipe."""

    name: str
    default: Expression | None
    span: Span


class Recipe(NamedTuple):
    """`recipe name(a, b = 3 mm) { … }`."""

    name: str
    name_span: Span
    parameters: tuple[Parameter, ...]
    body: tuple["Statement", ...]
    span: Span


class Make(NamedTuple):
    """`make recipe name { a = … }`."""

    recipe: Name
    name: str
    name_span: Span
    body: tuple["Statement", ...]
    span: Span


class Property(NamedTuple):
    """`name = value`, of the component it stands in."""

    name: str
    name_span: Span
    value: Expression
    span: Span


class Cell(NamedTuple):
    """One cell of a table; value None where it is empty."""

    value: Expression | None
    span: Span


class Column(NamedTuple):
    """A column's head: `longeron.half [@mm]`; unit None where there is no bracket."""

    name: str
    unit: str | None
    measured: bool
    span: Span


class Table(NamedTuple):
    """Lines of bars that follow each other; the first is the head."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    span: Span


class Component(NamedTuple):
    """`kind name { … }`; name '' where it is left out (name_span is then the kind's)."""

    kind: str
    kind_span: Span
    name: str
    name_span: Span
    body: tuple["Statement", ...]
    span: Span


Statement: TypeAlias = Use | Let | Require | Given | Accept | Recipe | Make | Component | Property | Table


class File(NamedTuple):
    """All statements of one source.

    unread: where statements stood that could not be read; each has been reported. Who misses something
    inside a component may hold its tongue where one of these lies in it.
    """

    statements: tuple[Statement, ...]
    span: Span
    unread: tuple[Span, ...] = ()


def deeper_than(node: Statement | Expression | Parameter, levels: int) -> bool:
    """Say whether a node goes more levels deep, itself included (an argument and its value are one level)."""
    waiting: list[tuple[object, int]] = [(node, 1)]
    while waiting:
        part, level = waiting.pop()
        if level > levels:
            return True
        if isinstance(part, tuple) and not isinstance(part, Span):
            # A bare tuple holds nodes and is no level of its own.
            step = 1 if hasattr(part, "_fields") and not isinstance(part, Argument) else 0
            waiting.extend((child, level + step) for child in part if isinstance(child, tuple))
    return False
