"""Three views and the isometric picture: true to scale, in their places, with the centre of gravity and main sizes."""

import json
from collections.abc import Callable

import pytest
from ringwright.backends.drawing import Drawing, Stroke, Text, collisions
from ringwright.backends.files import build_files
from ringwright.backends.record import BuildRecord, Load, Piece
from ringwright.backends.svg import svg_text
from ringwright.backends.views.model_views import isometric, solids_in, three_views
from ringwright.geometry.part import Part, Placed
from ringwright.geometry.path import closed
from ringwright.geometry.place import section_frame, top_frame


@pytest.fixture
def model(make_part: Callable[..., Part], make_record: Callable[..., BuildRecord]) -> BuildRecord:
    """A plate 4.8 mm thick that stands 60 high at x = 0, and a tail 500 mm aft, 200 mm wide."""
    parts = [
        make_part("fore", closed([(-30, -40), (30, -40), (30, 20), (-30, 20)]), placement=section_frame(0.0)),
        make_part(
            "tail", closed([(480, -100), (520, -100), (520, 100), (480, 100)]), placement=top_frame(10.0)
        ),
    ]
    record = make_record(parts, [Placed("fore", 1, 40, 40, 0)])
    return record._replace(loads=(Load("battery", 30.0, (100.0, 0.0, -10.0)),))


def texts(drawing: Drawing) -> list[str]:
    return [item.text for group in drawing.groups for item in group.items if isinstance(item, Text)]


def reach(drawing: Drawing, group: str) -> tuple[float, float, float, float]:
    """How far the outlines of a view reach."""
    (found,) = (each for each in drawing.groups if each.id == group)
    points = [p for s in found.items if isinstance(s, Stroke) and s.width > 0.3 for p in s.path.points]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def test_views_are_true_to_scale_and_in_line(model: BuildRecord) -> None:
    drawing = three_views(model, solids_in(model), "2026-01-02")
    assert drawing is not None
    side, top, front = (reach(drawing, f"view-{name}") for name in ("side", "top", "front"))
    assert any("scale 1:2 " in text for text in texts(drawing))
    assert side[2] - side[0] == pytest.approx(524.8 / 2, abs=0.02)
    assert side[3] - side[1] == pytest.approx(60 / 2, abs=0.02)
    assert top[3] - top[1] == pytest.approx(200 / 2, abs=0.02)
    assert front[2] - front[0] == pytest.approx(200 / 2, abs=0.02)
    # First-angle projection, as in ISO 5456-2: from above below, from the left (the nose) at the right.
    assert top[0] == pytest.approx(side[0])
    assert top[3] < side[1]
    assert front[0] > side[2]
    assert front[1] == pytest.approx(side[1])


def test_strips_are_seen(model: BuildRecord) -> None:
    """A leg of 4 mm by 4 mm that reaches 60 mm below the plate: the front view is that much higher."""
    legs = tuple(((0.0, y, -40.0), (0.0, y, -100.0)) for y in (20.0, -20.0))
    piece = Piece("strip.leg", "strip", 2, 60.0, (4.0, 4.0), None, (1,), legs)
    solids = solids_in(model._replace(pieces=(piece,)))
    assert [solid.part for solid in solids] == ["fore", "tail", "strip.leg", "strip.leg"]
    plain, legged = three_views(model, solids_in(model)), three_views(model, solids)
    assert plain is not None
    assert legged is not None
    heights = [
        reach(drawing, "view-front")[3] - reach(drawing, "view-front")[1] for drawing in (plain, legged)
    ]
    assert heights[1] - heights[0] == pytest.approx(60 / 2, abs=0.02)


def test_the_main_sizes_and_the_balance_are_said(model: BuildRecord) -> None:
    drawing = three_views(model, solids_in(model))
    assert drawing is not None
    said = texts(drawing)
    for words in ("524.8", "60.0", "200.0", "100.0", "side view, from port", "top view", "front view"):
        assert words in said
    assert any("centre of gravity at x = 100 mm" in text for text in said)
    assert collisions(drawing) == []
    inches = model._replace(model=model.model._replace(unit="in"))
    drawing = three_views(inches, solids_in(inches))
    assert drawing is not None
    assert "20.66 in" in texts(drawing)


def test_the_sign_of_the_balance_lies_where_it_is(model: BuildRecord) -> None:
    drawing = three_views(model, solids_in(model))
    assert drawing is not None
    (side,) = (group for group in drawing.groups if group.id == "view-side")
    signs = [each for each in side.items if isinstance(each, Stroke) and each.path.bulges == (1.0, 1.0)]
    (x0, y), (x1, _) = signs[0].path.points
    left, low, _, _ = reach(drawing, "view-side")
    assert ((x0 + x1) / 2 - left, y - low) == pytest.approx(((100 + 4.8) / 2, 30 / 2), abs=0.02)


def test_an_isometric_picture(model: BuildRecord) -> None:
    drawing = isometric(model, solids_in(model))
    assert drawing is not None
    assert collisions(drawing) == []
    assert any("isometric view" in text for text in texts(drawing))
    assert drawing.width < 300


def test_the_files_are_listed_and_the_same_again(model: BuildRecord) -> None:
    first, again = build_files(model, ("views",), ""), build_files(model, ("views",), "")
    assert first == again
    listed = json.loads(first["manifest.json"])["files"]
    assert listed["three_view"] == "heron-B-three-view.svg"
    assert listed["isometric"] == "heron-B-isometric.svg"
    assert first["heron-B-isometric.svg"].startswith(b"<?xml")
    assert not any("three-view" in name for name in build_files(model, ("svg",), ""))


def test_a_model_without_places_has_no_pictures(model: BuildRecord) -> None:
    bare = model._replace(parts=tuple(part._replace(placement=None) for part in model.parts))
    assert three_views(bare, ()) is None
    assert set(build_files(bare, ("views",), "")) == {"manifest.json", "cut-list.csv"}


def test_titles_are_escaped(model: BuildRecord) -> None:
    named = model._replace(model=model.model._replace(title="<script>&"))
    drawing = isometric(named, solids_in(named))
    assert drawing is not None
    assert "<script>" not in svg_text(drawing)
