"""Outlines from files: which are read, where they may lie, what becomes of their lines, and what is refused."""

import hashlib
import os
from pathlib import Path

import pytest
from ringwright.geometry.path import bounds, signed_area
from ringwright.lang.commands.main import main as ringwright
from ringwright.lang.components.project import MOST_FILES, Refused, reader
from ringwright.lang.pipeline import compile_spec

BEFORE = (
    'model test { title = "Test" }\n'
    "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
)
POD = (
    '<svg xmlns="http://www.w3.org/2000/svg"><path id="pod" d="M0 0H100V60H0Z M20 20H40V40H20Z"/>'
    '<path id="plain" d="M0 0H100V60H0Z"/><path id="open" d="M0 0H10V10"/></svg>'
)
LENS = "a lens\n1.00 0.000\n0.75 0.045\n0.50 0.060\n0.25 0.045\n0 0\n0.25 -0.045\n0.50 -0.060\n0.75 -0.045\n1 0\n"


class Outcome:
    """A spec compiled beside other files; what was read, in order."""

    def __init__(self, text: str, files: dict[str, str | bytes]) -> None:
        self.texts = {"main.wright": BEFORE + text, "pod.svg": POD, "lens.dat": LENS, **files}
        self.read: list[str] = []
        self.compiled = compile_spec("main.wright", self._read)

    def _read(self, name: str) -> bytes:
        self.read.append(name)
        if name not in self.texts:
            raise Refused("missing-file", f"there is no file '{name}'", tuple(self.texts))
        text = self.texts[name]
        return text if isinstance(text, bytes) else text.encode()

    @property
    def said(self) -> list[str]:
        return [f.code for f in self.compiled.findings if f.severity != "note"]

    def the(self, code: str):
        (found,) = [finding for finding in self.compiled.findings if finding.code == code]
        return found

    def underlined(self, code: str) -> str:
        span = self.the(code).span
        return self.compiled.project.sources[span.source].text[span.start : span.end]

    @property
    def part(self):
        assert self.compiled.design is not None
        (part,) = self.compiled.design.parts
        return part


def panel(outline: str, more: str = "", **files: str | bytes) -> Outcome:
    return Outcome(f"panel p {{ outline = {outline}, stock = board{more} }}\n", files)


# -- what comes out -------------------------------------------------------------------------------


def test_a_drawing_is_brought_to_its_width_and_says_so() -> None:
    outcome = panel('traced("pod.svg", id = "pod", width = 132 mm)')
    assert outcome.said == []
    assert bounds(outcome.part.outline) == pytest.approx((-66, -39.6, 66, 39.6))
    message = outcome.the("drawing-traced").message
    assert "'pod' of pod.svg: one unit of the drawing is 1.32 mm, so that it is 132 by 79.2 mm" in message
    assert "1 of its lines lies within the largest and becomes a hole" in message
    (hole,) = outcome.part.holes
    assert signed_area(hole) == pytest.approx(-(26.4**2))
    assert outcome.part.properties.area == pytest.approx(132 * 79.2 - 26.4**2)


def test_two_known_points_settle_size_turn_and_place() -> None:
    outcome = panel(
        'traced("pod.svg", id = "plain", known = [(0, 0) to (10, 50) mm, (0, 60) to (10, -70) mm])'
    )
    assert outcome.said == []
    assert bounds(outcome.part.outline) == pytest.approx((10, -70, 210, 50))
    assert "one unit of the drawing is 2 mm" in outcome.the("drawing-traced").message


def test_a_measured_width_follows_the_plans_scale_and_a_drawings_own_numbers_do_not() -> None:
    plan = BEFORE.replace('"Test"', '"Test", plan_scale = 50 %')
    for shape, width in (
        ('@traced("pod.svg", id = "plain", width = 132 mm)', 66),
        ('traced("pod.svg", id = "plain", width = @132 mm)', 66),
        ('@traced("pod.svg", id = "plain", known = [(0, 0) to (0, 0) mm, (100, 0) to (132, 0) mm])', 66),
        ('traced("pod.svg", id = "plain", width = 132 mm)', 132),
    ):
        text = plan + f"panel p {{ outline = {shape}, stock = board }}\n"
        outcome = Outcome("", {"main.wright": text})
        x0, _, x1, _ = bounds(outcome.part.outline)
        assert x1 - x0 == pytest.approx(width)


def test_a_drawing_cannot_follow_a_plan_that_is_stretched() -> None:
    plan = BEFORE.replace('"Test"', '"Test", plan_scale = 50 % by 60 %')
    for size in ("width = 132 mm", "known = [(0, 0) to (0, 0) mm, (100, 0) to (132, 0) mm]"):
        for view, said in (("side", ["scale-direction"]), ("section", [])):
            shape = f'@traced("pod.svg", id = "plain", {size})'
            text = plan + f"panel p {{ outline = {shape}, stock = board, view = {view} }}\n"
            assert Outcome("", {"main.wright": text}).said == said


@pytest.mark.parametrize(
    ("outline", "holes"),
    [
        ("turned({}, 90 deg)", 1),
        ("moved(mirrored(scaled({}, 0.5)), (20 mm, 5 mm))", 1),
        ("inset({}, 3 mm)", 1),
        ("joined({}, moved(rect(20 mm, 20 mm), (70 mm, 0 mm)))", 1),
        ("minus({}, moved(circle(20 mm), (66 mm, 0 mm)))", 1),
        ("minus(rect(200 mm, 200 mm), moved({}, (60 mm, 70 mm)))", 0),
    ],
)
def test_holes_go_where_their_outline_goes(outline: str, holes: int) -> None:
    outcome = panel(outline.format('traced("pod.svg", id = "pod", width = 132 mm)'))
    assert outcome.said == []
    assert len(outcome.part.holes) == holes
    left, low, right, high = bounds(outcome.part.outline)
    for hole in outcome.part.holes:
        x0, y0, x1, y1 = bounds(hole)
        assert left < x0 < x1 < right
        assert low < y0 < y1 < high


def test_a_thin_rim_beside_a_drawn_hole_is_said_at_the_drawing() -> None:
    outcome = panel('traced("pod.svg", id = "pod", width = 15 mm)')
    assert outcome.said == ["thin-rim"]
    assert "between a hole of the drawing and the edge" in outcome.the("thin-rim").message
    assert "traced(" in outcome.underlined("thin-rim")


def test_an_aerofoil_by_its_ordinates() -> None:
    outcome = panel('aerofoil_file("lens.dat", chord = 180 mm)', ", view = side")
    assert outcome.said == []
    assert outcome.compiled.findings == ()
    x0, y0, x1, y1 = bounds(outcome.part.outline)
    assert (x0, x1, y0, y1) == pytest.approx((0, 180, -10.8, 10.8), abs=0.05)


def test_what_was_mended_in_ordinates_is_said() -> None:
    percent = "\n".join(" ".join(str(100 * float(v)) for v in line.split()) for line in LENS.splitlines()[1:])
    outcome = panel('aerofoil_file("lens.dat", chord = 180 mm)', **{"lens.dat": percent})
    assert outcome.said == []
    assert outcome.the("ordinates-mended").message.endswith("percent of the chord")
    assert outcome.underlined("ordinates-mended") == '"lens.dat"'


def test_a_recipe_traces_one_id_after_another() -> None:
    text = (
        'recipe plate(line) { panel p { outline = traced("pod.svg", id = line, width = 60 mm), stock = board } }\n'
        'make plate a { line = "pod" }\nmake plate b { line = "plain" }\n'
    )
    outcome = Outcome(text, {})
    assert outcome.said == []
    assert outcome.compiled.design is not None
    assert [len(part.holes) for part in outcome.compiled.design.parts] == [1, 0]
    assert outcome.read == ["main.wright", "pod.svg"]


# -- which files are read -------------------------------------------------------------------------


def test_a_file_is_read_once_and_stands_among_the_sources() -> None:
    outcome = panel(
        'joined(traced("pod.svg", id = "plain", width = 60 mm), traced("./pod.svg", id = "plain", width = 80 mm))'
    )
    assert outcome.read == ["main.wright", "pod.svg"]
    assert outcome.compiled.project.data["pod.svg"] == POD.encode()
    assert "pod.svg" not in outcome.compiled.project.sources


def test_a_path_is_relative_to_the_file_that_names_it() -> None:
    shelf = 'let pod = traced("../drawings/pod.svg", id = "plain", width = 60 mm)\n'
    outcome = Outcome(
        'use "lib/shelf.wright"\npanel p { outline = pod, stock = board }\n',
        {"lib/shelf.wright": shelf, "drawings/pod.svg": POD},
    )
    assert outcome.said == []
    assert outcome.read == ["main.wright", "lib/shelf.wright", "drawings/pod.svg"]


@pytest.mark.parametrize("name", ["../pod.svg", "/etc/passwd", "lib/../../pod.svg", "C:/pod.svg", "", "."])
def test_what_lies_outside_is_refused_without_being_read(name: str) -> None:
    outcome = panel(f'traced("{name}", id = "pod", width = 60 mm)')
    assert outcome.said == ["outside-project"]
    assert outcome.underlined("outside-project") == f'"{name}"'
    assert outcome.read == ["main.wright"]


def test_a_near_name_is_suggested_and_other_mistakes_are_said_too() -> None:
    outcome = Outcome(
        'panel p { outline = traced("pods.svg", id = "pod", width = 60 mm), stock = board }\n'
        'panel q { outline = aerofoil_file("lenz.dat", chord = 90 mm), stock = board }\n'
        "panel r { outline = circle_fit[(0, 0), (1, 1), (2, 2)] mm, stock = board }\n",
        {},
    )
    assert outcome.said == ["missing-file", "missing-file", "points-in-line"]
    helps = [finding.help for finding in outcome.compiled.findings[:2]]
    assert helps == ["did you mean 'pod.svg'?", "did you mean 'lens.dat'?"]


def test_a_near_id_is_suggested() -> None:
    outcome = panel('traced("pod.svg", id = "pud", width = 60 mm)')
    assert outcome.said == ["no-such-id"]
    assert 'did you mean "pod"' in outcome.the("no-such-id").message
    assert outcome.underlined("no-such-id") == '"pud"'


def test_files_for_shapes_count_among_those_that_are_read() -> None:
    panels = "".join(
        f'panel p{n} {{ outline = traced("d{n}.svg", id = "plain", width = 60 mm), stock = board }}\n'
        for n in range(MOST_FILES + 2)
    )
    outcome = Outcome(panels, {f"d{n}.svg": POD for n in range(MOST_FILES + 2)})
    assert len(outcome.read) == MOST_FILES
    assert outcome.said == ["too-many-files"] * 3
    missing = Outcome(panels, {})
    assert len(missing.read) == MOST_FILES
    assert set(missing.said) == {"missing-file", "too-many-files"}


def test_the_file_is_named_where_it_is_drawn() -> None:
    outcome = Outcome(
        'let file = "pod.svg"\npanel p { outline = traced(file, id = "pod", width = 60 mm), stock = board }\n',
        {},
    )
    assert outcome.said == ["wrong-type"]
    assert outcome.read == ["main.wright"]


@pytest.mark.parametrize("first", ['file = "pod.svg", id = "plain"', 'id = "plain", file = "pod.svg"'])
def test_a_file_may_be_given_by_name(first: str) -> None:
    outcome = panel(f"traced({first}, width = 60 mm)")
    assert (outcome.said, outcome.read) == ([], ["main.wright", "pod.svg"])


def test_only_what_is_asked_for_is_judged() -> None:
    texts = {
        "main.wright": BEFORE
        + 'panel p { outline = traced("pod.svg", id = "plain", width = 60 mm), stock = board }\n'
        + 'panel q { outline = traced("gone.svg", id = "plain", width = 60 mm), stock = board }\n',
        "pod.svg": POD,
    }

    def read(name: str) -> bytes:
        if name not in texts:
            raise Refused("missing-file", f"there is no file '{name}'")
        return texts[name].encode()

    compiled = compile_spec("main.wright", read, ["p"])
    assert not compiled.failed
    assert compile_spec("main.wright", read, ["q"]).failed


# -- on a disk ------------------------------------------------------------------------------------


def on_disk(folder: Path, name: str) -> list[str]:
    spec = f'panel p {{ outline = traced("{name}", id = "plain", width = 60 mm), stock = board }}\n'
    (folder / "main.wright").write_text(BEFORE + spec)
    found = compile_spec("main.wright", reader(folder)).findings
    return [finding.code for finding in found if finding.severity != "note"]


def test_links_pipes_and_folders(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    (tmp_path / "out.svg").write_text(POD)
    (home / "pod.svg").write_text(POD)
    (home / "link.svg").symlink_to(home / "pod.svg")
    (home / "out.svg").symlink_to(tmp_path / "out.svg")
    (home / "folder.svg").mkdir()
    os.mkfifo(home / "pipe.svg")
    (home / "big.svg").write_bytes(b" " * (8 * 1024 * 1024 + 1))
    assert on_disk(home, "pod.svg") == []
    assert on_disk(home, "link.svg") == []
    assert on_disk(home, "out.svg") == ["outside-project"]
    assert on_disk(home, "folder.svg") == ["unreadable-file"]
    assert on_disk(home, "pipe.svg") == ["unreadable-file"]
    assert on_disk(home, "big.svg") == ["file-too-large"]


def test_the_manifest_names_the_drawing_and_what_was_made_of_it(tmp_path: Path, capsys) -> None:
    (tmp_path / "pod.svg").write_text(POD)
    spec = tmp_path / "pod.wright"
    spec.write_text(
        BEFORE + 'panel p { outline = traced("pod.svg", id = "pod", width = 60 mm), stock = board }\n'
    )
    assert ringwright(["build", str(spec), "-o", str(tmp_path / "made")]) == 0
    manifest = next((tmp_path / "made").rglob("manifest.json")).read_text("utf-8")
    assert hashlib.sha256(POD.encode()).hexdigest() in manifest
    assert '"drawing-traced"' in manifest
    assert "drawing-traced" in capsys.readouterr().err


# -- drawings from a stranger ---------------------------------------------------------------------

RECT = '<rect id="a" width="4" height="3"/>'
LAUGHS = "".join(f'<!ENTITY l{k} "{f"&l{k - 1};" * 10}">' for k in range(1, 6))
HOSTILE = {
    "entities": f'<!DOCTYPE svg [<!ENTITY l0 "lol">{LAUGHS}]><svg><text>&l5;</text>{RECT}</svg>',
    "a file": '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg><text>&x;</text></svg>',
    "a script": f"<svg><script>x()</script>{RECT}</svg>",
    "a reference": f'<svg><image href="file:///etc/passwd"/>{RECT}</svg>',
    "depth": "<svg>" + "<g>" * 100_000,
    "elements": f"<svg>{'<g/>' * 100_001}{RECT}</svg>",
    "an escape": f"<svg>\x1b]0;x\x07{RECT}</svg>",
    "no drawing": "\x00\x01\x02",
    "nothing": "",
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_drawings_are_refused_at_their_name(text: str) -> None:
    outcome = panel('traced("pod.svg", id = "a", width = 60 mm)', **{"pod.svg": text})
    assert outcome.said == ["drawing-refused"]
    assert outcome.underlined("drawing-refused") == '"pod.svg"'
    assert "\x1b" not in outcome.the("drawing-refused").message


@pytest.mark.parametrize(
    "data", [b"\x1f\x8b\x08\x00rest", b"<svg>\xff</svg>", b"\xff\xfe<\x00s\x00v\x00g\x00"]
)
def test_what_is_no_text(data: bytes) -> None:
    outcome = panel('traced("pod.svg", id = "a", width = 60 mm)', **{"pod.svg": data})
    assert outcome.said == ["not-utf8"]
    assert outcome.underlined("not-utf8") == '"pod.svg"'


@pytest.mark.parametrize(
    ("shape", "code", "under"),
    [
        ('traced("pod.svg", id = "open", width = 60 mm)', "open-outline", '"open"'),
        ('traced("pod.svg", id = "pod", width = 0 mm)', "no-size", None),
        ('traced("pod.svg", id = "pod", width = 1e9 mm)', "not-finite", "1e9 mm"),
        ('traced("pod.svg", id = "pod")', "wrong-arguments", None),
        (
            'traced("pod.svg", id = "pod", width = 6 mm, known = [(0, 0) to (0, 0) mm])',
            "wrong-arguments",
            None,
        ),
        ('traced("pod.svg", id = "pod", known = [(0, 0) to (0, 0) mm])', "wrong-type", None),
        ('traced("pod.svg", id = "pod", known = [(0, 0), (1, 1)])', "wrong-type", "(0, 0)"),
        (
            'traced("pod.svg", id = "pod", known = [(0, 0) to (0, 0), (1, 1) to (2, 2)] mm)',
            "missing-unit",
            None,
        ),
        (
            'traced("pod.svg", id = "pod", known = [(0, 0) mm to (0, 0) mm, (1, 1) to (2, 2) mm])',
            "wrong-type",
            None,
        ),
        (
            'traced("pod.svg", id = "pod", known = [(0, 0) to (0, 0) mm, (0, 0) to (2, 2) mm])',
            "no-size",
            None,
        ),
        ('traced("pod.svg", id = pod, width = 60 mm)', "wrong-type", "pod"),
        ('traced("pod.svg", width = 60 mm)', "wrong-arguments", None),
        ("traced(id = 3 mm, width = 60 mm)", "wrong-arguments", None),
        ('aerofoil_file("pod.svg", chord = 60 mm)', "not-an-aerofoil", '"pod.svg"'),
        ('aerofoil_file("lens.dat", chord = 0 mm)', "no-size", "0 mm"),
        ('aerofoil_file("lens.dat")', "wrong-arguments", None),
    ],
)
def test_mistakes_are_said_once_and_in_their_place(shape: str, code: str, under: str | None) -> None:
    outcome = panel(shape)
    assert outcome.said == [code], [finding.message for finding in outcome.compiled.findings]
    if under is not None:
        assert outcome.underlined(code) == under


@pytest.mark.parametrize(
    "text", ["", "title only", "1 0\n" * 5000, "1 nan\n" * 20, "\x1b[2J\n1 x\n", "9" * 300_000]
)
def test_ordinates_from_a_stranger(text: str) -> None:
    outcome = panel('aerofoil_file("lens.dat", chord = 90 mm)', **{"lens.dat": text})
    assert outcome.said == ["not-an-aerofoil"]
    assert outcome.underlined("not-an-aerofoil") == '"lens.dat"'
