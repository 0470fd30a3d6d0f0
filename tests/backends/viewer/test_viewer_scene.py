"""What the viewer is given: corners to a few hundredths, all lines of the flat, and texts that stay texts."""

import base64
import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from ringwright.backends.record import BuildRecord, Load, Piece
from ringwright.backends.viewer.scene import scene_of
from ringwright.backends.viewer.viewer import as_json, fragment, page
from ringwright.geometry.part import Flat, MassProperties, Part
from ringwright.geometry.path import closed, line
from ringwright.geometry.place import section_frame
from ringwright.geometry.solid.mesh import solids_of

SQUARE = closed([(-30, -20), (30, -20), (30, 20), (-30, 20)])


def unpacked(text: str) -> "np.ndarray[Any, np.dtype[np.uint16]]":
    return np.frombuffer(base64.b64decode(text), dtype="<u2")


@pytest.fixture
def plates(make_part: Callable[..., Part], make_record: Callable[..., BuildRecord]) -> BuildRecord:
    """Two plates in their places, one of them with a bend, and one without a place."""
    fore = make_part("fore", SQUARE, placement=section_frame(0.0), far=(line([(-30, 0), (30, 0)]),))
    fore = fore._replace(properties=MassProperties(2400, 10.0, 200, (-2.4, 0.0, 0.0)), notes=("aft face up",))
    aft = make_part("aft </script>", SQUARE, placement=section_frame(300.0), hand="left")
    loose = make_part("loose", SQUARE)
    return make_record([fore, aft, loose], [])._replace(loads=(Load("battery", 30.0, (41.6, 0.0, 0.0)),))


def test_corners_are_those_of_the_solids(plates: BuildRecord) -> None:
    scene = scene_of(plates)
    assert [part["id"] for part in scene["parts"]] == ["aft </script>", "fore", "loose"]
    assert [len(part["solids"]) for part in scene["parts"]] == [1, 1, 0]
    for part, shown in zip(sorted(plates.parts), scene["parts"], strict=True):
        for solid, packed in zip(solids_of(part), shown["solids"], strict=True):
            at = unpacked(packed["at"]).reshape(-1, 3) * scene["step"] + np.array(scene["origin"])
            assert np.abs(at - np.array(solid.vertices)).max() <= scene["step"] / 2 + 1e-6
            assert unpacked(packed["faces"]).reshape(-1, 3).tolist() == [list(t) for t in solid.triangles]
            assert len(unpacked(packed["edges"])) == 2 * 12  # a box has twelve edges
    assert scene["step"] < 0.01


def test_balance_and_loads(plates: BuildRecord) -> None:
    scene = scene_of(plates)
    assert scene["balance"] == [30.6, 0, 0]  # (10 g at -2.4 mm, 30 g at 41.6 mm)
    assert scene["loads"] == [{"name": "battery", "at": [41.6, 0, 0]}]
    assert ["mass", "40 g"] in scene["facts"]


def test_a_strip_is_a_solid_and_no_cross(plates: BuildRecord) -> None:
    run = ((10.0, 0.0, 0.0), (10.0, 0.0, -60.0))
    piece = Piece("spruce.leg", "spruce", 1, 60.0, (5.0, 4.0), 0.6, (1,), (run,))
    load = Load("spruce.leg", 0.6, (10.0, 0.0, -30.0))
    scene = scene_of(plates._replace(pieces=(piece,), loads=(*plates.loads, load)))
    leg = scene["parts"][-1]
    assert (leg["id"], leg["kind"], len(leg["solids"])) == ("spruce.leg", "strip", 1)
    assert len(unpacked(leg["solids"][0]["edges"])) == 2 * 12
    assert leg["flat"]["box"] == [0, -5, 60, 5]
    assert [load["name"] for load in scene["loads"]] == ["battery"]


def test_flats_and_facts(plates: BuildRecord) -> None:
    aft, fore, _ = scene_of(plates)["parts"]
    assert fore["flat"] == {
        "box": [-30, -20, 60, 40],
        "lines": {"cut": "M-30 20L30 20L30 -20L-30 -20Z", "far": "M-30 0L30 0"},
    }
    assert ["size", "60 mm × 40 mm"] in fore["facts"]
    assert ["notes", "aft face up"] in fore["facts"]
    assert ["mass", "10 g"] in fore["facts"]
    assert aft["label"] == "aft </script> (left)"


def test_no_text_ends_the_script(plates: BuildRecord) -> None:
    scene = scene_of(plates)
    text = as_json(scene)
    assert "<" not in text
    assert json.loads(text) == json.loads(json.dumps(scene))
    assert fragment(scene, "<svg></svg>", "a < b").count("</script>") == 1
    assert "a &lt; b" in fragment(scene, "<svg></svg>", "a < b")


def test_nothing_asks_for_the_network(plates: BuildRecord) -> None:
    text = page(scene_of(plates)).replace("http://www.w3.org/2000/svg", "")
    for word in (
        "http:",
        "https:",
        "//cdn",
        "import(",
        "fetch(",
        "XMLHttp",
        "WebSocket",
        "url(",
        "@import",
        "eval(",
    ):
        assert word not in text, word


def test_the_same_bytes(plates: BuildRecord) -> None:
    assert page(scene_of(plates)) == page(scene_of(plates._replace(parts=plates.parts[::-1])))


def test_a_model_without_places_has_flats_alone(plates: BuildRecord) -> None:
    bare = plates._replace(parts=tuple(part._replace(placement=None) for part in plates.parts), loads=())
    scene = scene_of(bare)
    assert all(not part["solids"] for part in scene["parts"])
    assert scene["parts"][0]["flat"]["lines"]["cut"]


def test_a_flat_part_leans(make_part: Callable[..., Part], make_record: Callable[..., BuildRecord]) -> None:
    """A plate at 45°: its far corner lies where the frame says."""
    leaning = Flat((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.5**0.5, 0.5**0.5))
    scene = scene_of(
        make_record([make_part("roof", closed([(0, 0), (50, 0), (50, 40), (0, 40)]), placement=leaning)], [])
    )
    at = unpacked(scene["parts"][0]["solids"][0]["at"]).reshape(-1, 3) * scene["step"] + np.array(
        scene["origin"]
    )
    assert at[:, 2].max() == pytest.approx(40 * 0.5**0.5, abs=0.01)
