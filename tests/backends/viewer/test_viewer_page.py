"""The viewer in a real browser, from a file: turned, zoomed, exploded, picked by mouse and by keys, light and dark."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ringwright.backends.record import BuildRecord, Load
from ringwright.backends.viewer.scene import scene_of
from ringwright.backends.viewer.viewer import page
from ringwright.geometry.part import Part
from ringwright.geometry.path import closed
from ringwright.geometry.place import section_frame, top_frame

SQUARE = closed([(-30, -20), (30, -20), (30, 20), (-30, 20)])
STATE = "document.querySelector('.viewer').viewer.state()"
STILL = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 4"><path d="M0 0H4V4Z"/></svg>'


@pytest.fixture
def shown(
    make_part: Callable[..., Part], make_record: Callable[..., BuildRecord], browser: Any, tmp_path: Path
) -> Any:
    """Three plates in a page, just opened."""
    parts = [
        make_part("fore", SQUARE, placement=section_frame(0.0)),
        make_part("keel", closed([(0, -40), (300, -40), (300, 40), (0, 40)]), placement=top_frame(-25.0)),
        make_part("aft", SQUARE, placement=section_frame(300.0), notes=("aft face up", "<b>&</b>")),
    ]
    record = make_record(parts, [])._replace(loads=(Load("battery", 30.0, (40.0, 0.0, 0.0)),))
    file = tmp_path / "model.html"
    file.write_text(page(scene_of(record), STILL), encoding="utf-8")
    browser.said.clear()
    browser.asked.clear()
    browser.dark(False)
    browser.open(file)
    browser.settle()
    yield browser
    assert browser.said == []
    assert all(address.startswith(("file:", "data:")) for address in browser.asked), browser.asked


def middle(page: Any) -> tuple[float, float]:
    box = page.value("(() => { const b = document.querySelector('.viewer canvas').getBoundingClientRect(); return [b.x, b.y, b.width, b.height] })()")  # fmt: skip
    return box[0] + box[2] / 2, box[1] + box[3] / 2


def test_it_shows_all_that_it_is_given(shown: Any) -> None:
    state = shown.value(STATE)
    assert state["gl"]
    assert state["triangles"] == 3 * 12
    assert not shown.value("Boolean(document.querySelector('.still'))")
    assert shown.value("[...document.querySelectorAll('.viewer option')].map((o) => o.textContent)") == [
        "no part picked", "aft", "fore", "keel",
    ]  # fmt: skip
    assert shown.value("[...document.querySelectorAll('.viewer .mark')].map((m) => m.textContent)") == [
        "centre of gravity", "battery",
    ]  # fmt: skip


def test_dragging_turns_and_the_wheel_zooms(shown: Any) -> None:
    before, (x, y) = shown.value(STATE), middle(shown)
    shown.drag((x, y), (x + 60, y + 30))
    after = shown.value(STATE)
    assert after["yaw"] == pytest.approx(before["yaw"] - 24)
    assert after["pitch"] == pytest.approx(before["pitch"] + 12)
    assert after["picked"] is None
    shown.tell("Input.dispatchMouseEvent", type="mouseWheel", x=x, y=y, deltaX=0, deltaY=-200)
    shown.settle()
    assert shown.value(STATE)["zoom"] > 1.2


def test_a_click_picks_what_is_seen_there(shown: Any) -> None:
    shown.value("document.querySelector('.viewer').viewer.look('top')")
    shown.settle()
    x, y = middle(shown)
    shown.drag((x, y), (x, y))
    assert shown.value(STATE)["picked"] == "keel"
    assert shown.value("document.querySelector('.viewer h3').textContent") == "keel"
    assert (
        shown.value("document.querySelector('.viewer .sheet-cut').getAttribute('d')")
        == "M0 40L300 40L300 -40L0 -40Z"
    )
    assert shown.value("document.querySelector('.viewer [role=status]').textContent") == "keel picked"
    shown.drag((x - 380, y - 200), (x - 380, y - 200))
    assert shown.value(STATE)["picked"] is None


def test_all_of_it_by_keys(shown: Any) -> None:
    shown.value("document.querySelector('.viewer canvas').focus()")
    before = shown.value(STATE)
    shown.press("ArrowLeft")
    shown.press("ArrowUp")
    after = shown.value(STATE)
    assert (after["yaw"], after["pitch"]) == (before["yaw"] + 7.5, before["pitch"] - 7.5)
    shown.press("ArrowRight", shift=True)
    assert shown.value(STATE)["pan"][0] > 0
    for key in ("+", "e", "e", "w", "n", "n"):
        shown.press(key)
    state = shown.value(STATE)
    assert (state["zoom"], state["exploded"], state["picked"]) == (pytest.approx(1.2), 10, "fore")
    shown.press("p")
    assert shown.value(STATE)["picked"] == "aft"
    shown.press("Escape")
    assert shown.value(STATE)["picked"] is None
    shown.press("2")
    assert (shown.value(STATE)["yaw"], shown.value(STATE)["pitch"]) == (90, 0)
    shown.press("0")
    state = shown.value(STATE)
    assert (state["yaw"], state["zoom"], state["exploded"]) == (45, 1, 0)


def test_everything_is_reached_by_the_tab_key(shown: Any) -> None:
    shown.value("document.querySelector('.viewer canvas').focus()")
    reached = []
    for _ in range(9):
        shown.press("Tab")
        reached.append(
            shown.value(
                "document.activeElement.textContent.trim().slice(0, 9) || document.activeElement.className"
            )
        )
    assert reached == [
        "Isometric",
        "Side",
        "Top",
        "Front",
        "explode",
        "alone",
        "marked",
        "no part p",
        "Previous",
    ]


def colours(page: Any) -> set[tuple[int, ...]]:
    from PIL import Image

    picture = Image.open(io.BytesIO(page.picture())).convert("RGB").resize((300, 225))
    return {colour for _, colour in picture.getcolors(300 * 225)}


def test_a_picked_part_is_seen_and_can_stand_alone(shown: Any) -> None:
    shown.value("document.querySelector('.viewer').viewer.pick('keel')")
    shown.settle()
    assert any(r > b + 100 for r, _, b in colours(shown))  # orange
    shown.value("document.querySelector('.viewer').viewer.pick('fore')")
    shown.value("document.querySelector('.viewer').viewer.look('top')")
    shown.value("document.querySelector('.alone').click()")
    shown.settle()
    x, y = middle(shown)
    shown.drag((x, y), (x, y))  # there is the keel, unless the fore plate stands alone
    assert shown.value(STATE)["picked"] is None


def test_light_and_dark(shown: Any) -> None:
    ground = "getComputedStyle(document.querySelector('.stage')).backgroundColor"
    light, seen = shown.value(ground), colours(shown)
    shown.dark()
    assert shown.value(ground) != light
    assert min(map(sum, colours(shown))) < 200
    assert (242, 244, 245) in seen
    assert (242, 244, 245) not in colours(shown)


def test_texts_stay_texts_and_a_new_scene_keeps_the_view(shown: Any) -> None:
    shown.value("document.querySelector('.viewer').viewer.pick('aft')")
    assert "<b>&</b>" in shown.value("document.querySelector('.viewer dl').textContent")
    assert not shown.value("Boolean(document.querySelector('.viewer dl b'))")
    shown.value("document.querySelector('.viewer').viewer.look('side')")
    script = (
        "(() => { const root = document.querySelector('.viewer');"
        " const scene = JSON.parse(root.querySelector('script').textContent);"
        " scene.parts = scene.parts.slice(0, 2); root.viewer.update(scene); })()"
    )
    shown.value(script)
    shown.settle()
    state = shown.value(STATE)
    assert (state["picked"], state["triangles"], state["yaw"]) == ("aft", 24, 90)


def test_without_3d_the_still_picture_and_the_flats_remain(shown: Any, tmp_path: Path) -> None:
    file = tmp_path / "model.html"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('"webgl2"', '"none"'), encoding="utf-8")
    shown.open(file)
    assert not shown.value(STATE)["gl"]
    assert shown.value("Boolean(document.querySelector('.stage .still svg'))")
    shown.value("document.querySelector('.viewer').viewer.pick('fore')")
    assert shown.value("Boolean(document.querySelector('.viewer .sheet-cut'))")
