"""Pictures against ISO 5456-3 and ISO 5455."""

import math

import pytest
from ringwright.backends.views.looking import FRONT, ISOMETRIC, SIDE, TOP
from ringwright.backends.views.model_views import SCALES


def test_isometric_axes() -> None:
    """ISO 5456-3:1996, 5.2: the axes at 30°, 30° and upright, all three to scale 1; seen from 35.264° (asin √(1/3))."""
    origin = ISOMETRIC.at((0, 0, 0))
    for axis, degrees in (((1, 0, 0), 30), ((0, 1, 0), 150), ((0, 0, 1), 90)):
        x, y = ISOMETRIC.at(axis)
        assert math.hypot(x, y) == pytest.approx(1)
        assert math.degrees(math.atan2(y, x)) == pytest.approx(degrees)
    assert origin == (0, 0)
    assert math.degrees(math.asin(ISOMETRIC.eye[2])) == pytest.approx(35.26438968, abs=1e-8)


def test_looks_are_frames() -> None:
    """Right, up and eye are square to each other and right-handed: a picture, no mirror image."""
    for look in (SIDE, TOP, FRONT, ISOMETRIC):
        (a, b, c), (d, e, f) = look.right, look.up
        assert (b * f - c * e, c * d - a * f, a * e - b * d) == pytest.approx(look.eye)


def test_scales() -> None:
    """ISO 5455:1979, table: reductions 1:2, 1:5, 1:10 and tenfold."""
    assert SCALES == (1, 2, 5, 10, 20, 50, 100)
