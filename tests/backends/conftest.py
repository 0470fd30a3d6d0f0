"""Parts and sheets to draw: a skin with a flap, formers, plates with openings, strips, and tiny pieces."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from ringwright.backends.record import BuildRecord, Model
from ringwright.geometry.part import (
    Centre,
    Cutting,
    Flat,
    Mark,
    MassProperties,
    Part,
    Placed,
    Score,
    Sheet,
    Stock,
)
from ringwright.geometry.path import Path, as_hole, canonical, closed, line

BOARD = Stock(
    "board", "Foam board", "foamboard", 4.8, 762.0, 508.0, "none", 3.4e-4, 0.3, None, "peeled", 0.5, 30.0
)
BALSA = Stock(
    "balsa", "Balsa", "balsa", 3.0, 210.0, 297.0, "along_height", 5e-4, 0.0, None, "plain", 0.5, 30.0
)


def _part(name: str, outline: Path, stock: Stock = BOARD, quantity: int = 1, **more: Any) -> Part:
    empty: dict[str, Any] = dict.fromkeys(
        ("holes", "far", "scores", "peels", "marks", "centres", "notes", "edges"), ()
    )
    values = {"hand": "", "grain": "free", "placement": None, **empty, **more}
    return Part(
        id=name,
        name=name,
        component=name,
        stock=stock,
        quantity=quantity,
        outline=canonical(outline),
        properties=MassProperties(0.0, None, 0.0, None),
        **values,
    )


def _record(parts: list[Part], placed: list[Placed], stock: Stock = BOARD, sheets: int = 1) -> BuildRecord:
    model = Model("heron", "Marsh Heron", "B", 1.0, "mm")
    first = Sheet(stock, 1, tuple(placed), 0.5)
    rest = tuple(Sheet(stock, i, (), 0.0) for i in range(2, sheets + 1))
    return BuildRecord(
        "0.1.0", model, (), (), (), tuple(sorted(parts)), (first, *rest), Cutting(5.0, 2.0, 0.0), ()
    )


def _disc(x: float, y: float, radius: float) -> Path:
    return Path(((x - radius, y), (x + radius, y)), (1.0, 1.0), True)


def _skin(**more: Any) -> Part:
    """A cone blank of 80 degrees with a flap, a bevel, notches and a top mark."""
    half, inner, outer, flap = math.radians(40), 180.0, 260.0, 15.0

    def at(radius: float, angle: float) -> tuple[float, float]:
        return radius * math.sin(angle), radius * math.cos(angle)

    bulge = math.tan(half / 2)
    ux, uy = math.cos(half), -math.sin(half)
    a, b, c, d = at(inner, -half), at(inner, half), at(outer, half), at(outer, -half)
    e, f = (b[0] + flap * ux, b[1] + flap * uy), (c[0] + flap * ux, c[1] + flap * uy)
    return _part(
        "cowl.bow",
        Path((a, b, e, f, c, d), (-bulge, 0.0, 0.0, 0.0, bulge, 0.0), True),
        far=(line([b, c]),),
        peels=(closed([b, e, f, c]),),
        marks=(
            Mark(Path((at(257.8, -half), at(257.8, half)), (-bulge,), False), "bevel", "2.2 mm (24.4°)"),
            Mark(line([at(inner, -0.4), at(inner + 5, -0.4)]), "notch", "to drum"),
            Mark(line([at(inner, 0.0), at(inner + 8, 0.0)]), "top", "top"),
        ),
        notes=("inside up", "bevel 2.2 mm (24.4°) both rims", "flap 15 mm, to the far paper"),
        **more,
    )


def _former(name: str, **more: Any) -> Part:
    slots = tuple(as_hole(closed([(x, -10), (x + 5, -10), (x + 5, 20), (x, 20)])) for x in (-35.0, 30.0))
    return _part(
        name,
        closed([(-50, -60), (50, -60), (50, 40), (30, 60), (-30, 60), (-50, 40)]),
        holes=(as_hole(_disc(0, 0, 3)), *slots),
        marks=(Mark(line([(-50, -25), (50, -25)]), "datum", "datum"),),
        centres=(Centre((0.0, 0.0), 6.0),),
        notes=("aft face up",),
        placement=Flat((0, 0, 0), (0, 1, 0), (0, 0, 1)),
        **more,
    )


def _bench_sheet() -> BuildRecord:
    parts = [
        _skin(),
        _former("F3"),
        _former("F4", quantity=2),
        _part(
            "plate",
            _disc(0, 0, 60),
            holes=(as_hole(_disc(0, 0, 30)),),
            centres=(Centre((0.0, 0.0), 5.0),),
            notes=("to cowl.bow",),
        ),
        _part("spar", closed([(0, 0), (300, 0), (300, 8), (0, 8)]), hand="left", notes=("to rib 1",)),
        _part("gusset", closed([(0, 0), (12, 0), (12, 10), (0, 10)]), quantity=2),
        _part(
            "deck",
            closed([(0, 0), (180, 0), (180, 70), (0, 70)]),
            hand="right",
            scores=tuple(Score(line([(x, 0), (x, 70)]), math.radians(6), "inside") for x in (20, 26, 32)),
            notes=("face up", "to F3 and F4"),
        ),
    ]
    placed = [
        Placed("cowl.bow", 1, 200, -120, 0),
        Placed("plate", 1, 70, 420, 30),
        Placed("F3", 1, 220, 250, 0),
        Placed("F4", 1, 345, 250, 0),
        Placed("F4", 2, 470, 250, 90),
        Placed("spar", 1, 150, 480, 0),
        Placed("gusset", 1, 150, 455, 0),
        Placed("gusset", 2, 175, 455, 0),
        Placed("deck", 1, 545, 100, 0),
    ]
    return _record(parts, placed, sheets=3)


@pytest.fixture(name="board", scope="session")
def board_fixture() -> Stock:
    return BOARD


@pytest.fixture(name="balsa", scope="session")
def balsa_fixture() -> Stock:
    return BALSA


@pytest.fixture(scope="session")
def make_part() -> Callable[..., Part]:
    return _part


@pytest.fixture(scope="session")
def make_record() -> Callable[..., BuildRecord]:
    return _record


@pytest.fixture(scope="session")
def bench() -> BuildRecord:
    """A sheet with one of each."""
    return _bench_sheet()
