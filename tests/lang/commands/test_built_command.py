"""What hangs on the wall: recorded in the layout file, and what later recuts count from."""

import json
import subprocess

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.manifest import FLATNESS
from ringwright.geometry.compare import Cut
from ringwright.geometry.path import Path
from ringwright.lang.commands.main import main
from ringwright.lang.commands.sides import read_side
from ringwright.lang.compare.side import CHORDS, Piece, Unfit
from ringwright.lang.layout.built import pieces_built, read_record, recorded

TEXT = """
model heron {{ title = "Heron" }}
stock board {{ kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }}
panel deck {{ stock = board, outline = rect({deck} mm, 90 mm) }}
panel keel {{ stock = board, outline = rect({keel} mm, 40 mm) }}
stack cowl {{ stock = board
    barrel drum {{ diameter = {drum} mm, length = 30 mm }}
    cone lip {{ end = 70 mm, length = 30 mm }}
    plate front {{ seat = inside
        hole inlet {{ diameter = 40 mm }} }}
}}
"""
SIZES = {"deck": 200, "keel": 300, "drum": 106}


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A repository with a model that was built and committed once."""
    monkeypatch.chdir(tmp_path)
    write(tmp_path)
    git("init", "-q")
    assert main(["build", "heron.wright"]) == 0
    commit()
    return tmp_path


def write(folder, **sizes):
    (folder / "heron.wright").write_text(TEXT.format(**{**SIZES, **sizes}), "utf-8")


def git(*arguments):
    subprocess.run(["git", "-c", "user.name=a", "-c", "user.email=a@b", *arguments], check=True)


def commit():
    git("add", "heron.wright", "heron.layout")
    git("commit", "-qm", "as it is")


def recut(folder, since, capsys):
    capsys.readouterr()
    assert main(["build", "heron.wright", "--since", since]) == 0
    out = capsys.readouterr().out
    manifest = folder / "build/heron-recut/manifest.json"
    found = json.loads(manifest.read_text("utf-8"))["parts"] if "nothing is to be cut" not in out else []
    return [part["id"] for part in found], out


def test_a_recut_counts_from_what_hangs_on_the_wall(shop, capsys):
    assert main(["built", "heron.wright", "keel", "cowl"]) == 0
    assert capsys.readouterr().out.endswith(
        "recorded cowl.drum, cowl.front, cowl.lip, keel; 4 parts on the wall, in heron.layout\n"
    )
    write(shop, deck=210, keel=310)
    assert main(["build", "heron.wright"]) == 0
    commit()
    # The last commit has both as they are now; the keel on the wall is still the old one.
    ids, out = recut(shop, "HEAD:heron.wright", capsys)
    assert ids == ["keel"]
    assert "wall    4 parts as recorded in heron.layout, not as HEAD:heron.wright has it\n" in out
    assert main(["built", "heron.wright", "keel"]) == 0
    ids, out = recut(shop, "HEAD:heron.wright", capsys)
    assert ids == []
    assert "nothing is to be cut" in out


def test_the_layout_file_itself_is_a_state(shop, capsys):
    assert main(["built", "heron.wright"]) == 0
    assert recut(shop, "heron.layout", capsys)[0] == []
    assert main(["compare", "heron.layout", "heron.wright", "--exit-code"]) == 0
    write(shop, deck=190)
    assert recut(shop, "heron.layout", capsys)[0] == []
    assert main(["compare", "heron.layout", "heron.wright", "--format", "json", "--exit-code"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found["verdicts"]["deck"] == "trim"
    assert set(found["verdicts"].values()) == {"trim", "keep"}
    assert found["dimensions"] == []
    assert main(["compare", "heron.layout", "heron.wright"]) == 0
    assert "trim  deck" in capsys.readouterr().out


def test_a_record_is_exact(shop):
    assert main(["built", "heron.wright"]) == 0
    wall, now = read_side("heron.layout", "never"), read_side("heron.wright", "never")
    assert set(wall.pieces) == set(now.pieces)
    write(shop, drum=106.01)
    assert main(["compare", "heron.layout", "heron.wright", "--exit-code"]) == 1


def test_a_rebuild_keeps_the_records(shop):
    assert main(["built", "heron.wright", "deck"]) == 0
    before = [line for line in (shop / "heron.layout").read_text("utf-8").splitlines() if "built" in line[:6]]
    assert len(before) == 1
    write(shop, deck=333)
    for more in ([], ["--relayout"]):
        assert main(["build", "heron.wright", *more]) == 0
        assert before[0] in (shop / "heron.layout").read_text("utf-8").splitlines()


def test_what_is_broken_is_forgotten(shop, capsys):
    assert main(["built", "heron.wright", "deck", "keel"]) == 0
    assert main(["built", "heron.wright", "deck", "--forget"]) == 0
    assert "forgot deck; 1 part on the wall" in capsys.readouterr().out
    assert "built deck" not in (shop / "heron.layout").read_text("utf-8")


def test_parts_are_recorded_as_an_earlier_state_has_them(shop, capsys):
    write(shop, keel=310)
    assert main(["built", "heron.wright", "keel", "--as", "HEAD:heron.wright"]) == 0
    assert recut(shop, "heron.wright", capsys)[0] == ["keel"]
    assert main(["built", "heron.wright", "keel", "--as", "build/heron"]) == 0
    assert recut(shop, "heron.wright", capsys)[0] == ["keel"]


def test_corners_of_a_manifest_are_as_they_are_taken_to_be():
    assert CHORDS == FLATNESS


@pytest.mark.parametrize("cut", [[], ["--as", "build/heron"], ["--as", "HEAD:./heron.wright"]])
@pytest.mark.parametrize("since", ["heron.wright", "build/heron", "HEAD:./heron.wright", "heron.layout"])
def test_whatever_it_is_recorded_from_and_counted_from_only_what_changed_is_cut(shop, capsys, cut, since):
    assert main(["built", "heron.wright", *cut]) == 0
    ids, out = recut(shop, since, capsys)
    assert ids == []
    assert out.splitlines()[0].endswith(
        (": 5 keep", ": nothing changed: 5 parts, 56 dimensions", ": nothing changed: 5 parts, 0 dimensions")
    )
    assert not any(line.startswith(("trim", "open", "mark", "fill")) for line in out.splitlines())
    assert ("not as heron.layout has it" in out) is False

    write(shop, drum=106.004)
    assert "cowl.drum" in recut(shop, since, capsys)[0]
    write(shop, keel=300.003)
    assert recut(shop, since, capsys)[0] == ["keel"]


@pytest.mark.parametrize("cut", [[], ["--as", "build/heron"]])
@pytest.mark.parametrize("other", ["build/heron", "heron.wright"])
def test_the_wall_and_another_state_are_the_same_where_nothing_changed(shop, cut, other):
    assert main(["built", "heron.wright", *cut]) == 0
    assert main(["compare", "heron.layout", other, "--exit-code"]) == 0
    assert main(["compare", other, "heron.layout", "--exit-code"]) == 0


def test_parts_may_stand_behind_the_options(shop, capsys):
    assert main(["built", "heron.wright", "--as", "build/heron", "deck", "cowl"]) == 0
    assert "recorded cowl.drum, cowl.front, cowl.lip, deck; 4 parts on the wall" in capsys.readouterr().out
    assert main(["built", "--forget", "heron.wright", "deck"]) == 0
    assert "forgot deck; 3 parts on the wall" in capsys.readouterr().out


def test_only_some_parts_are_judged_where_only_those_are_asked_for(shop, capsys):
    assert main(["built", "heron.wright", "keel"]) == 0
    write(shop, deck=210, keel=310)
    capsys.readouterr()
    assert main(["build", "heron.wright", "--since", "build/heron", "--only", "deck", "cowl"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "since   build/heron: 1 recut, 3 keep"
    assert not any(line.startswith(("gone", "wall")) for line in lines)
    made = json.loads((shop / "build/heron-recut/manifest.json").read_text("utf-8"))
    assert made["model"]["title"].endswith(" (recut)")
    assert not json.loads((shop / "build/heron/manifest.json").read_text("utf-8"))["model"]["title"].endswith(
        ")"
    )
    assert main(["build", "heron.wright", "--since", "build/heron", "--only", "cowl"]) == 0
    assert "nothing is to be cut" in capsys.readouterr().out


def test_without_a_layout_file_one_is_begun(shop, capsys):
    (shop / "heron.layout").unlink()
    assert main(["built", "heron.wright", "deck"]) == 0
    assert main(["build", "heron.wright"]) == 0
    text = (shop / "heron.layout").read_text("utf-8")
    assert text.count("\nlay ") == 5
    assert text.count("\nbuilt ") == 1


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (
            ["heron.wright", "dekc"],
            2,
            "nothing in 'heron.wright' that is cut is called 'dekc': did you mean 'deck'?",
        ),
        (["heron.wright", "deck", "--forget"], 2, "that is recorded as built is called 'deck'"),
        (["none.wright"], 2, "there is no file 'none.wright'"),
        (["heron.wright", "--as", "nothing"], 2, "nothing"),
    ],
)
def test_what_cannot_be_recorded_is_said(shop, capsys, arguments, code, said):
    before = (shop / "heron.layout").read_bytes()
    capsys.readouterr()
    assert main(["built", *arguments]) == code
    assert said in capsys.readouterr().err
    assert (shop / "heron.layout").read_bytes() == before


def test_a_spec_with_errors_records_nothing(shop, capsys):
    write(shop, deck="x")
    before = (shop / "heron.layout").read_bytes()
    assert main(["built", "heron.wright"]) == 1
    assert (shop / "heron.layout").read_bytes() == before


def test_a_layout_file_that_is_none_is_not_overwritten(shop, capsys):
    (shop / "heron.layout").write_bytes(b"a photo")
    assert main(["built", "heron.wright"]) == 2
    assert "is no layout file of ours" in capsys.readouterr().err
    assert (shop / "heron.layout").read_bytes() == b"a photo"


def test_a_spoiled_record_counts_as_the_earlier_state_has_it(shop, capsys):
    assert main(["built", "heron.wright", "keel"]) == 0
    layout = shop / "heron.layout"
    layout.write_text(layout.read_text("utf-8").replace('"outline": [[', '"outline": [["x", '), "utf-8")
    ids, out = recut(shop, "HEAD:heron.wright", capsys)
    assert ids == []
    assert "wall    what the layout file records as built of 'keel' cannot be read" in out


def test_nothing_recorded_is_no_state(shop, capsys):
    assert main(["compare", "heron.layout", "heron.wright"]) == 2
    assert "records nothing as built" in capsys.readouterr().err


numbers = st.floats(-1e4, 1e4).map(lambda value: round(value, 6) + 0.0)
points = st.lists(st.tuples(numbers, numbers), min_size=3, max_size=6)
closed_paths = st.builds(
    lambda corners, bulge: Path(tuple(corners), (round(bulge, 9) + 0.0,) * len(corners), True),
    points,
    st.floats(-1, 1),
)
open_paths = points.map(lambda corners: Path(tuple(corners), (0.0,) * (len(corners) - 1), False))
words = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=6)
tagged = st.none() | st.lists(st.tuples(words, closed_paths | open_paths), max_size=3).map(
    lambda found: tuple(sorted(found, key=lambda one: (one[0], one[1].closed, one[1].points)))
)
pieces = st.builds(
    Piece, st.just("p"), words, words, st.none() | numbers, st.integers(1, 99),
    st.builds(Cut, closed_paths, st.lists(closed_paths, max_size=2).map(tuple)), tagged, tagged,
    st.lists(st.tuples(words, numbers), max_size=2).map(lambda found: tuple(sorted(found))),
    st.none() | numbers, st.none() | st.tuples(numbers, numbers, numbers), st.none(),
)  # fmt: skip


@given(pieces)
def test_what_was_recorded_is_read_back(piece: Piece) -> None:
    text = recorded(piece)
    assert "\n" not in text
    again = read_record("p", text)
    assert recorded(again) == text
    assert again.cut == piece.cut
    assert again._replace(half=None, marks=None) == piece._replace(half=None, marks=None)


@given(
    st.text(max_size=40)
    | st.recursive(st.none() | st.integers() | st.text(max_size=3), st.lists).map(json.dumps)
)
def test_whatever_stands_there_is_refused(text: str) -> None:
    with pytest.raises(Unfit):
        read_record("p", text)
    assert pieces_built({"p": text})[0] == {}
