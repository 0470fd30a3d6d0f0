"""What is said of a part that no sheet can hold; sizes worked out by hand."""

import math

import pytest
from ringwright.geometry.nest.fits import fits
from ringwright.geometry.nest.nest import nest
from ringwright.geometry.part import Cutting, MassProperties, Part, Stock
from ringwright.geometry.path import Path, bounds, closed, turned

CUTTING = Cutting(margin=5.0, gap=2.0, kerf=0.0)


def stock(width: float = 762.0, height: float = 508.0, grain: str = "none") -> Stock:
    return Stock("board", "board", "foamboard", 5.0, width, height, grain, None, 0.0, None, "plain", 0.5, 0.0)


def part(outline: Path, of: Stock, grain: str = "free", name: str = "cowl.mid") -> Part:
    return Part(
        name, name, "cowl", "", of, 1, outline, (), (), (), (), (), (), (), (), grain, None,
        MassProperties(0.0, None, 0.0, None),
    )  # fmt: skip


def plate(width: float, height: float) -> Path:
    return closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)])


def said(outline: Path, of: Stock, grain: str = "free", cutting: Cutting = CUTTING) -> str:
    error = fits(part(outline, of, grain), cutting)
    assert error is not None
    assert error.code == "part-too-big"
    return str(error)


def test_too_long() -> None:
    assert said(plate(812.0, 310.0), stock()) == (
        "cowl.mid is 812.0 x 310.0 mm, the sheet of board leaves 752 x 498 mm inside its margins: "
        "60 mm too long"
    )


def test_too_wide_and_too_long() -> None:
    assert said(plate(510.5, 800.0), stock()).endswith("48 mm too long and 12.5 mm too wide")


def test_a_little_too_long_is_not_said_to_be_nothing() -> None:
    assert said(plate(752.01, 498.0), stock()).endswith(": 0.01 mm too long")


def test_enlarging_the_sheet_by_what_is_said_cures_it() -> None:
    message = said(plate(812.347, 310.0), stock())
    assert message.endswith("60.4 mm too long")
    assert fits(part(plate(812.347, 310.0), stock(762.0 + 60.4)), CUTTING) is None


@pytest.mark.parametrize(("width", "height"), [(752.0, 498.0), (498.0, 752.0), (1.0, 1.0)])
def test_what_just_fits_fits(width: float, height: float) -> None:
    assert fits(part(plate(width, height), stock()), CUTTING) is None


def test_a_disc_fits_by_its_true_size() -> None:
    def disc(radius: float) -> Path:
        return Path(((-radius, 0.0), (radius, 0.0)), (1.0, 1.0), True)

    assert fits(part(disc(249.0), stock()), CUTTING) is None
    assert said(disc(249.5), stock()).endswith("1 mm too wide")


@pytest.mark.parametrize(
    ("sheet", "own", "fitting"),
    [
        ("along_width", "along", (700.0, 100.0)),
        ("along_width", "across", (100.0, 700.0)),
        ("along_height", "along", (100.0, 700.0)),
        ("along_height", "across", (700.0, 100.0)),
    ],
)
def test_grain_rules_out_turns(sheet: str, own: str, fitting: tuple[float, float]) -> None:
    grained = stock(grain=sheet)
    assert fits(part(plate(*fitting), grained, own), CUTTING) is None
    message = said(plate(*fitting[::-1]), grained, own)
    assert message.endswith(f"202 mm too long with its grain {own} the sheet's; turned by 90° it would fit")
    assert fits(part(plate(*fitting[::-1]), grained), CUTTING) is None


def test_a_strip_that_fits_only_aslant_fits_and_is_laid_so() -> None:
    strip = part(plate(850.0, 20.0), stock())
    assert fits(strip, CUTTING) is None
    (sheet,) = nest([strip], CUTTING)
    (placed,) = sheet.placements
    assert placed.rotation % 90.0 != 0.0
    x0, y0, x1, y1 = bounds(turned(strip.outline, math.radians(placed.rotation)))
    assert min(x0 + placed.x, y0 + placed.y) >= 5.0 - 1e-6
    assert x1 + placed.x <= 757.0 + 1e-6
    assert y1 + placed.y <= 503.0 + 1e-6


def test_grain_allows_no_slant() -> None:
    assert "98 mm too long" in said(plate(850.0, 20.0), stock(grain="along_width"), "along")


def test_a_margin_that_leaves_nothing() -> None:
    message = said(plate(10.0, 10.0), stock(100.0, 60.0), cutting=Cutting(30.0, 2.0, 0.0))
    assert message == "cowl.mid has no room: a margin of 30 mm leaves nothing of a 100 x 60 mm sheet of board"
