"""The command line as a builder meets it: exit codes, streams, files and folders, help and colour."""

import json
import os
import subprocess
import sys

import pytest
from ringwright.lang.commands.main import COMMANDS, main
from ringwright.lang.version import VERSION

MODEL = 'model heron { title = "Heron" }\n'
BOARD = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
STACK = "stack s { stock = board\n barrel b { diameter = @90 mm, length = @20 mm }\n plate p { } }\n"
SOUND = MODEL + BOARD + STACK
BROKEN = MODEL + BOARD + STACK.replace("@90 mm", "90 g")
WARNED = MODEL + BOARD + STACK.replace("90 mm", "40 mm")


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """An empty folder to work in, without colours."""
    monkeypatch.chdir(tmp_path)
    for name in ("NO_COLOR", "FORCE_COLOR", "SOURCE_DATE_EPOCH"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


def ringwright(*arguments, cwd=None, **more):
    """Run the program as a shell would."""
    environment = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR")}
    return subprocess.run(
        [sys.executable, "-m", "ringwright.lang", *arguments], cwd=cwd, capture_output=True, text=True, timeout=120,
        env=environment | more.pop("env", {}), check=False, **more,
    )  # fmt: skip


def spec(shop, text, name="heron.wright"):
    path = shop / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return name


def files_below(folder):
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


# -- check ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "code", "out"),
    [
        (SOUND, 0, "heron.wright: sound, 2 parts\n"),
        (WARNED, 0, "heron.wright: sound, 2 parts, 1 warning\n"),
        (BROKEN, 1, "heron.wright: 1 error\n"),
    ],
)
def test_check_says_how_a_spec_stands(shop, capsys, text, code, out):
    assert main(["check", spec(shop, text)]) == code
    said = capsys.readouterr()
    assert said.out == out
    assert ("heron.wright:4:" in said.err) == (text != SOUND)
    assert files_below(shop) == ["heron.wright"]


def test_findings_go_to_standard_error_with_the_path_from_here(shop, capsys, monkeypatch):
    spec(shop, 'use "lib/shop.wright"\n' + MODEL + STACK, "models/heron.wright")
    spec(shop, BOARD.replace("4.8 mm", "4.8 g"), "models/lib/shop.wright")
    assert main(["check", "models/heron.wright"]) == 1
    assert capsys.readouterr().err.startswith("models/lib/shop.wright:1:")
    monkeypatch.chdir(shop / "models" / "lib")
    assert main(["check", "../heron.wright"]) == 1
    assert capsys.readouterr().err.startswith("shop.wright:1:")
    (shop / "other").mkdir()
    monkeypatch.chdir(shop / "other")
    assert main(["check", "../models/heron.wright"]) == 1
    assert capsys.readouterr().err.startswith("../models/lib/shop.wright:1:")


def test_several_specs_are_all_checked(shop, capsys):
    sound, broken = spec(shop, SOUND, "a.wright"), spec(shop, BROKEN, "b.wright")
    assert main(["check", broken, sound]) == 1
    assert capsys.readouterr().out == "b.wright: 1 error\na.wright: sound, 2 parts\n"


@pytest.mark.parametrize("command", ["check", "build", "list", "why"])
@pytest.mark.parametrize("name", ["none.wright", ".", "/dev/null", "below/none.wright", "\0"])
def test_a_spec_that_cannot_be_read_is_trouble(shop, capsys, command, name):
    arguments = [command, name] + (["x"] if command == "why" else [])
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"ringwright {command}: ")
    assert said.err.count("\n") == 1
    assert files_below(shop) == []


@pytest.mark.parametrize("format", ["json", "sarif", "github"])
def test_a_spec_that_is_not_there_stands_in_the_document(shop, capsys, format):
    assert main(["check", spec(shop, SOUND), "none.wright", "--format", format]) == 2
    said = capsys.readouterr().out
    assert "there is no file 'none.wright'" in said
    assert "missing-file" in said
    if format == "sarif":
        (run,) = json.loads(said)["runs"]
        assert run["invocations"][0]["executionSuccessful"] is False
        (place,) = (each["physicalLocation"] for each in run["results"][0]["locations"])
        assert place == {"artifactLocation": {"uri": "none.wright"}}
    if format == "json":
        (found,) = json.loads(said)["diagnostics"]
        assert (found["file"], found["line"]) == ("none.wright", None)
    assert main(["check", "heron.wright", "--format", "sarif"]) == 0
    assert '"executionSuccessful": true' in capsys.readouterr().out


def test_a_spec_named_without_its_ending_is_told(shop, capsys):
    spec(shop, SOUND)
    assert main(["check", "heron"]) == 2
    assert "there is no file 'heron': did you mean 'heron.wright'?" in capsys.readouterr().err


def test_only_takes_what_follows_and_says_what_there_is(shop, capsys):
    spec(shop, SOUND)
    with pytest.raises(SystemExit) as left:
        main(["check", "--only", "s", "heron.wright"])
    assert left.value.code == 2
    assert "what follows --only is taken for names; put the spec before it" in capsys.readouterr().err
    assert main(["check", "heron.wright", "--only", "nothing"]) == 2
    assert capsys.readouterr().err.endswith("is called 'nothing': name a component or a part, such as s\n")


def test_files_are_named_in_messages_as_from_here(shop, capsys):
    (shop / ".git").mkdir()
    spec(shop, 'use "b.wright"\n' + SOUND, "e/a.wright")
    spec(shop, 'use "a.wright"\nuse "c.wright"\nuse ""\n', "e/b.wright")
    assert main(["check", "e/a.wright"]) == 1
    said = capsys.readouterr().err
    assert "'e/b.wright' uses the next here" in said or "'e/a.wright' uses the next here" in said
    assert "there is no file 'c.wright' [missing-file]" in said
    assert "this file has no name [missing-file]" in said


def test_the_project_is_explained_to_who_leaves_it(shop, capsys):
    assert main(["check", spec(shop, 'use "../b.wright"\n' + SOUND)]) == 1
    help = "that is the nearest folder above the spec with a .git, else the spec's own"
    assert help in capsys.readouterr().err


def test_a_spec_that_is_a_link_out_of_its_folder_is_still_a_spec(shop, capsys):
    spec(shop, SOUND, "real/heron.wright")
    (shop / "link.wright").symlink_to(shop / "real" / "heron.wright")
    assert main(["check", "link.wright"]) == 0


def test_a_folder_is_told_which_specs_are_in_it(shop, capsys):
    spec(shop, SOUND)
    assert main(["check", "."]) == 2
    assert "heron.wright" in capsys.readouterr().err


def test_a_spec_that_is_no_utf8(shop, capsys):
    (shop / "heron.wright").write_bytes(SOUND.encode() + b'let a1 = "\xe9"\n')
    assert main(["check", "heron.wright"]) == 1
    assert "[not-utf8]" in capsys.readouterr().err


# -- build ----------------------------------------------------------------------------------------


def test_build_writes_its_folder_beside_the_spec_and_says_so(shop, capsys):
    assert main(["build", spec(shop, SOUND, "models/heron.wright")]) == 0
    said = capsys.readouterr()
    build = shop / "models" / "build" / "heron"
    assert files_below(build) == [
        "cut-list.csv",
        "heron-A.pdf",
        "manifest.json",
        "sheets",
        "sheets/heron-A-board-1.svg",
    ]
    for words in (
        "plan    100 mm on the plan are 100 mm on the model; 2 lengths follow it",
        "wrote   4 files",
        "care  ",
    ):
        assert words in said.out
    assert said.err == ""
    manifest = json.loads((build / "manifest.json").read_text("utf-8"))
    assert [part["id"] for part in manifest["parts"]] == ["s.b", "s.p"]
    assert str(shop) not in (build / "manifest.json").read_text("utf-8")


def test_two_specs_of_one_model_do_not_overwrite_each_other(shop, capsys):
    assert main(["build", spec(shop, SOUND)]) == 0
    before = (shop / "build" / "heron" / "manifest.json").read_bytes()
    capsys.readouterr()
    assert main(["build", spec(shop, SOUND, "other.wright")]) == 2
    said = capsys.readouterr().err
    assert "'build/heron' holds a build of another spec (heron.wright)" in said
    assert "-o" in said
    assert (shop / "build" / "heron" / "manifest.json").read_bytes() == before
    assert main(["build", "other.wright", "-o", "build/heron"]) == 0  # asked for by name


def test_a_build_says_where_no_length_follows_the_plan(shop, capsys):
    assert main(["build", spec(shop, SOUND.replace("@", ""))]) == 0
    assert "on the model; no length is marked '@' to follow it" in capsys.readouterr().out


def test_a_second_build_is_the_same_bytes(shop):
    name = spec(shop, SOUND)
    built = []
    for target in ("one", "two", "two"):
        assert main(["build", name, "-o", target]) == 0
        folder = shop / target
        built.append(
            {path: (folder / path).read_bytes() for path in files_below(folder) if (folder / path).is_file()}
        )
    assert built[0] == built[1] == built[2]


@pytest.mark.parametrize(
    ("formats", "kinds"),
    [("svg", {".svg"}), ("pdf", {".pdf"}), (" pdf , svg", {".svg", ".pdf"}), ("dxf", {".dxf"})],
)
def test_formats_are_as_asked_for(shop, formats, kinds):
    assert main(["build", spec(shop, SOUND), "-o", "out", "--formats", formats]) == 0
    found = {path.suffix for path in (shop / "out").rglob("*") if path.is_file()}
    assert found == kinds | {".csv", ".json"}


def test_an_unknown_format_is_wrong_usage(shop, capsys):
    with pytest.raises(SystemExit) as left:
        main(["build", spec(shop, SOUND), "--formats", "dfx"])
    assert left.value.code == 2
    assert "'dfx'" in capsys.readouterr().err
    assert files_below(shop) == ["heron.wright"]


def test_errors_leave_the_last_good_build_whole(shop, capsys):
    name = spec(shop, SOUND)
    assert main(["build", name]) == 0
    before = {
        path: (shop / path).read_bytes()
        for path in files_below(shop)
        if path.startswith("build") and (shop / path).is_file()
    }
    spec(shop, BROKEN)
    capsys.readouterr()
    assert main(["build", name]) == 1
    assert capsys.readouterr().out == "heron.wright: 1 error, nothing was written\n"
    after = {
        path: (shop / path).read_bytes()
        for path in files_below(shop)
        if path.startswith("build") and (shop / path).is_file()
    }
    assert after == before


def test_a_first_build_with_errors_leaves_no_trace(shop):
    assert main(["build", spec(shop, BROKEN)]) == 1
    assert files_below(shop) == ["heron.wright"]


def test_a_foreign_folder_is_never_overwritten(shop, capsys):
    (shop / "out").mkdir()
    (shop / "out" / "letter.txt").write_text("mine")
    assert main(["build", spec(shop, SOUND), "-o", "out"]) == 2
    assert capsys.readouterr().out == ""
    assert files_below(shop / "out") == ["letter.txt"]
    assert files_below(shop) == ["heron.wright", "out", "out/letter.txt"]


def test_a_file_in_the_way_is_never_overwritten(shop):
    (shop / "out").write_text("mine")
    assert main(["build", spec(shop, SOUND), "-o", "out"]) == 2
    assert (shop / "out").read_text() == "mine"
    assert main(["build", "heron.wright", "-o", "out/below"]) == 2


def test_one_target_is_for_one_spec(shop, capsys):
    with pytest.raises(SystemExit) as left:
        main(["build", spec(shop, SOUND, "a.wright"), spec(shop, SOUND, "b.wright"), "-o", "out"])
    assert left.value.code == 2
    assert files_below(shop) == ["a.wright", "b.wright"]


def test_a_spec_without_parts_has_nothing_to_build(shop, capsys):
    assert main(["build", spec(shop, MODEL)]) != 0
    assert "no parts" in capsys.readouterr().err
    assert files_below(shop) == ["heron.wright"]


@pytest.mark.parametrize("epoch", ["yesterday", "-5", "1e9", "999999999999999"])
def test_a_date_that_is_none_is_wrong_usage(shop, monkeypatch, epoch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
    with pytest.raises(SystemExit) as left:
        main(["build", spec(shop, SOUND)])
    assert left.value.code == 2


# -- list and why ---------------------------------------------------------------------------------


def test_list_prints_every_solved_name(shop, capsys):
    assert main(["list", spec(shop, SOUND + "let n1 = 4\n")]) == 0
    rows = [line.split()[0] for line in capsys.readouterr().out.splitlines()]
    assert {"s.b.diameter", "s.b.mass", "s.overall", "board.thickness", "n1"} <= set(rows)
    assert rows == sorted(rows)


def test_list_and_why_use_one_word_and_show_errors_alone(shop, capsys):
    spec(shop, WARNED.replace("length = @20 mm", "length = 20 mm"))
    for arguments, words in ((["list"], ("measured", "stated")), (["why"], ("measured", "stated"))):
        for name, word in zip(("s.b.diameter", "s.b.length"), words, strict=True):
            assert main([*arguments, "heron.wright", *([name] if arguments == ["why"] else [])]) == 0
            said = capsys.readouterr()
            assert said.err == ""
            (line,) = [
                each
                for each in said.out.splitlines()
                if word in each and (name in each or arguments == ["why"])
            ]
            assert word in line


def test_list_as_json(shop, capsys):
    assert main(["list", spec(shop, SOUND), "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)["dimensions"]
    assert found["s.b.length"] | {"because": ""} == {
        "value": 20.0, "unit": "mm", "plus_minus": None, "from": "measured", "because": "", "at": "heron.wright:4:32",
    }  # fmt: skip
    assert found["s.overall"]["value"] == 24.8


def test_list_shows_what_was_solved_beside_errors(shop, capsys):
    assert main(["list", spec(shop, SOUND + "let a1 = 3 mm + 3 g")]) == 1
    said = capsys.readouterr()
    assert "s.b.diameter" in said.out
    assert "[unit-mismatch]" in said.err


def test_why_shows_the_sum_and_the_lines(shop, capsys):
    assert main(["why", spec(shop, SOUND), "s.overall"]) == 0
    out = capsys.readouterr().out
    for words in ("s.overall", "24.8 mm", "20 mm", "4.8 mm", "heron.wright:4"):
        assert words in out


def test_why_shows_the_sum_of_a_blank(shop, capsys):
    cone = "stack s { stock = board\n barrel b { diameter = 90 mm, length = 20 mm }\n cone k { end = 60 mm, length = 40 mm } }\n"
    spec(shop, MODEL + BOARD + cone)
    for name, sums in (
        ("s.k.blank_angle", ("360° * sin(half_angle)", "360° * sin(20.556°)")),
        ("s.k.blank_outer_radius", ("(90 mm / 2 - (1 - 1) * 4.8 mm / cos(20.556°)) / sin(20.556°)",)),
        ("s.k.blank_inner_radius", ("smaller diameter / 2", "(60 mm / 2 - ")),
        ("s.b.blank_length", ("pi * (90 mm - 2 * (1 - 1) * 4.8 mm)",)),
        ("s.b.blank_width", ("= length", "= 20 mm")),
    ):
        assert main(["why", "heron.wright", name]) == 0
        said = capsys.readouterr().out
        assert all(each in said for each in sums), said
        assert said.startswith(f"{name} = ")


@pytest.mark.parametrize("neutral", ["0", "0.5", "0.8"])
def test_the_sum_of_a_blank_comes_to_its_size(shop, capsys, neutral):
    import math

    cone = "stack s { stock = board\n barrel b { diameter = 90 mm, length = 20 mm }\n cone k { end = 60 mm, length = 40 mm } }\n"
    spec(shop, MODEL + BOARD.replace("mass", f"neutral = {neutral}, mass") + cone)
    names = {"pi": math.pi, "sin": math.sin, "cos": math.cos}
    for name in ("s.k.blank_outer_radius", "s.k.blank_inner_radius", "s.k.blank_angle", "s.b.blank_length"):
        assert main(["why", "heron.wright", name]) == 0
        first, _, last = capsys.readouterr().out.splitlines()
        assert f"(1 - {neutral})" in last or "angle" in name
        plain = last.strip(" =").replace(" mm", "")
        plain = plain.replace("°", " * pi / 180")
        size = eval(plain, names)  # our own sum
        value = first.split(" = ")[1].replace(" mm", "").replace("°", " * pi / 180")
        assert size == pytest.approx(eval(value, names), rel=1e-4)


def test_why_of_a_component_offers_its_dimensions(shop, capsys):
    hands = (
        "panel e { stock = board, hand = both, view = top, outline = rect(60 mm, 40 mm, corner = 2 mm) }\n"
    )
    spec(shop, SOUND + hands)
    for name, said in (
        ("s", "'s' is a stack: name one of its dimensions: s."),
        ("s.b", "'s.b' is a barrel: name one of its dimensions: s.b.area, "),
        ("board", "'board' is a stock: name one of its dimensions: board."),
        ("s.bb", "nothing is called 's.bb': did you mean 's.b'?"),
    ):
        assert main(["why", "heron.wright", name]) == 2
        assert said in capsys.readouterr().err
    assert main(["why", "heron.wright", "e.left.width"]) == 0
    assert capsys.readouterr().out.startswith("e.width = 60 mm\n")


def test_why_of_a_station_a_measure_and_nothing(shop, capsys):
    name = spec(shop, SOUND + "station nose { x = -3 mm }\n")
    assert main(["why", name, "nose.x"]) == 0
    assert main(["why", name, "s.b.mass"]) == 0
    assert "finished part" in capsys.readouterr().out
    assert main(["why", name, "s.b.lenght"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "did you mean 's.b.length'?" in said.err


# -- new ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["heron", "marsh-heron", "mm", "use"])
def test_new_makes_a_model_that_builds_at_once(shop, capsys, name):
    assert main(["new", name]) == 0
    out = capsys.readouterr().out
    assert out.endswith(f"next: ringwright build {name}/{name}.wright\n")
    assert main(["check", f"{name}/{name}.wright"]) == 0
    said = capsys.readouterr()
    assert "sound" in said.out
    assert said.err == ""
    assert main(["build", f"{name}/{name}.wright"]) == 0


@pytest.mark.parametrize("name", ["board", "card", "cowl", "F1", "nose", "station"])
def test_new_keeps_out_of_the_way_of_its_own_names(shop, capsys, name):
    assert main(["new", name]) == 0
    assert main(["check", f"{name}/{name}.wright"]) == 0
    assert capsys.readouterr().err == ""


def test_new_never_overwrites(shop, capsys):
    assert main(["new", "heron"]) == 0
    (shop / "heron" / "heron.wright").write_text("mine")
    assert main(["new", "heron"]) == 2
    assert (shop / "heron" / "heron.wright").read_text() == "mine"
    (shop / "plover").write_text("a file")
    assert main(["new", "plover"]) == 2
    assert (shop / "plover").read_text() == "a file"


def test_new_keeps_the_stock_file_that_is_there(shop):
    (shop / "heron").mkdir()
    (shop / "heron" / "workshop-stock.wright").write_text("# mine\n")
    assert main(["new", "heron"]) == 0
    assert (shop / "heron" / "workshop-stock.wright").read_text() == "# mine\n"


@pytest.mark.parametrize("name", ["", "../heron", "a/b", "3heron", "hé", ".heron", "a b"])
def test_new_takes_plain_names_only(shop, name):
    assert main(["new", name]) == 2
    assert files_below(shop) == []


# -- usage ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("arguments", [["--help"], ["-h"], *([name, "--help"] for name in COMMANDS)])
def test_help_begins_with_an_example_and_fits_a_terminal(shop, capsys, monkeypatch, arguments):
    monkeypatch.setenv("COLUMNS", "80")
    code = 0
    try:
        code = main(arguments)
    except SystemExit as left:
        code = left.code
    assert code == 0
    said = capsys.readouterr()
    assert said.err == ""
    lines = said.out.splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[0].startswith("ringwright ")


def test_without_a_command_it_says_how(capsys):
    assert main([]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "COMMAND" in said.err


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        (["chekc"], "did you mean 'check'?"),
        (["--verison"], "there is no option"),
        (["zzzzz"], "`ringwright --help` lists the commands"),
    ],
)
def test_a_mistyped_command_is_told_what_was_meant(capsys, arguments, hint):
    assert main(arguments) == 2
    assert hint in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments", [["build"], ["check"], ["why", "x"], ["check", "x", "--colour"], ["build", "x", "--format", "svg"], ["list", "x", "--format", "xml"], ["build", "x", "-o"]]
)  # fmt: skip
def test_wrong_usage_is_said_in_two_lines(capsys, arguments):
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"ringwright {arguments[0]}: ")
    assert said.err.count("\n") == 2


def test_a_mistyped_option_is_told_what_was_meant(capsys):
    with pytest.raises(SystemExit):
        main(["build", "x", "--fromats", "svg"])
    assert "did you mean '--formats'?" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("environment", "option", "coloured"),
    [
        ({}, [], False),
        ({"FORCE_COLOR": "1"}, [], True),
        ({"FORCE_COLOR": "1", "NO_COLOR": "1"}, [], False),
        ({"NO_COLOR": "1"}, ["--color", "always"], True),
        ({"FORCE_COLOR": "1"}, ["--color", "never"], False),
    ],
)
def test_colour_is_as_asked_for(shop, capsys, monkeypatch, environment, option, coloured):
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert main(["check", spec(shop, BROKEN), *option]) == 1
    said = capsys.readouterr()
    assert ("\033[" in said.err) == coloured
    assert "\033[" not in said.out


# -- as a program ---------------------------------------------------------------------------------


def test_the_version_is_there_at_once(tmp_path):
    heavy = ["numpy", "shapely", "lark", "svgwrite", "reportlab"]
    code = (
        "import sys; from ringwright.lang.commands.main import main; main(['--version']); "
        f"sys.exit(sum(name in sys.modules for name in {heavy}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (0, f"ringwright {VERSION}\n")


def test_a_program_leaves_with_its_code(tmp_path):
    spec(tmp_path, BROKEN)
    done = ringwright("check", "heron.wright", cwd=tmp_path)
    assert done.returncode == 1
    assert done.stdout == "heron.wright: 1 error\n"
    assert done.stderr.startswith("heron.wright:4:")


def test_a_reader_that_goes_away_is_no_trouble(tmp_path):
    lets = "".join(f"let v{i} = {i} mm\n" for i in range(3000))
    spec(tmp_path, SOUND + lets)
    child = subprocess.Popen(
        [sys.executable, "-m", "ringwright.lang", "list", "heron.wright"],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert child.stdout is not None
    assert child.stderr is not None
    child.stdout.readline()
    child.stdout.close()
    said = child.stderr.read().decode()
    child.stderr.close()
    assert child.wait(timeout=60) == 0
    assert said == ""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a device that is always full")
@pytest.mark.parametrize("command", ["list", "build", "check"])
def test_a_full_disk_behind_the_output_is_said(shop, command):
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "ringwright.lang", command, spec(shop, SOUND)],
            cwd=shop, stdout=full, stderr=subprocess.PIPE, text=True, timeout=120, check=False,
        )  # fmt: skip
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert done.stderr.startswith("ringwright: this cannot be written: ")


def test_an_interrupt_is_said_in_a_line(tmp_path, monkeypatch, capsys):
    from ringwright.lang.commands import main as program

    def interrupted(arguments):
        raise KeyboardInterrupt

    monkeypatch.setattr(program, "main", interrupted)
    with pytest.raises(SystemExit) as left:
        program.run()
    assert left.value.code == 130
    assert "stopped" in capsys.readouterr().err


def test_letters_that_the_terminal_lacks_are_no_trouble(tmp_path):
    spec(tmp_path, SOUND + 'require s.b.length > 99 mm else "für die Tür → zu kurz"')
    done = ringwright(
        "check",
        "heron.wright",
        cwd=tmp_path,
        env={"PYTHONIOENCODING": "ascii", "LC_ALL": "C", "PYTHONUTF8": "0"},
    )
    assert done.returncode == 1
    assert "zu kurz" in done.stderr


FORMER = "former F9 { at = 40 mm, stock = board, outline = circle(90 mm) }\n"


def printed(shop, *arguments, text=SOUND + FORMER):
    """The pages of the one PDF that a build writes: their sizes in mm."""
    import pypdf

    assert main(["build", spec(shop, text), "-o", "out", *arguments]) == 0
    (path,) = (shop / "out").glob("*.pdf")
    pages = pypdf.PdfReader(path).pages
    return path.name, [tuple(sorted(float(s) * 25.4 / 72 for s in page.mediabox[2:])) for page in pages]


@pytest.mark.parametrize(
    ("arguments", "ending", "size"),
    [
        (("--formats", "tiles"), "-tiles-a4.pdf", (210.0, 297.0)),
        (("--formats", "tiles", "--paper", "Letter"), "-tiles-letter.pdf", (215.9, 279.4)),
        (("--formats", "plan", "--paper", "330x483"), "-plan-330x483.pdf", (330.0, 483.0)),
    ],
)
def test_templates_and_plan_come_on_the_paper_that_is_asked_for(shop, arguments, ending, size):
    name, pages = printed(shop, *arguments)
    assert name.endswith(ending)
    assert len(pages) >= 2
    assert all(page == pytest.approx(size, abs=0.01) for page in pages)


def test_the_spec_says_what_is_printed_on_and_the_command_line_comes_first(shop):
    text = SOUND + "printing { paper = legal, measured_bar = 99 mm }\n"
    assert printed(shop, "--formats", "tiles", text=text)[0].endswith("-tiles-legal.pdf")
    shop.joinpath("out").rename(shop / "before")
    assert printed(shop, "--formats", "tiles", "--paper", "a3", text=text)[0].endswith("-tiles-a3.pdf")


def test_a_gauge_for_each_stock(shop):
    name, pages = printed(shop, "--formats", "gauge")
    assert name.endswith("-gauge.pdf")
    assert len(pages) == 1


@pytest.mark.parametrize("paper", ["a5", "100x100", "roll x 3"])
def test_unknown_paper_is_wrong_usage(shop, paper, capsys):
    with pytest.raises(SystemExit) as left:
        main(["build", spec(shop, SOUND), "--formats", "tiles", "--paper", paper])
    assert left.value.code == 2
    assert "there is no paper" in capsys.readouterr().err


def test_text_as_outlines_and_dimensions(shop):
    assert main(["build", spec(shop, SOUND), "-o", "out", "--formats", "svg", "--text", "outlines"]) == 0
    (sheet,) = (shop / "out" / "sheets").glob("*.svg")
    plain = sheet.read_text("utf-8")
    assert "<text" not in plain
    assert 'aria-label="' in plain
    arguments = [
        "build",
        spec(shop, SOUND),
        "-o",
        "out",
        "--formats",
        "svg",
        "--text",
        "outlines",
        "--dimensions",
    ]
    assert main(arguments) == 0
    assert len(sheet.read_text("utf-8")) > len(plain)


def test_a_kerf_that_does_not_go_in_is_said(shop, capsys):
    text = (
        SOUND
        + "panel tiny { stock = board, outline = circle(20 mm), hole pin { diameter = 1 mm } }\ncutting { kerf = 2 mm }\n"
    )
    assert main(["build", spec(shop, text), "-o", "out", "--formats", "svg"]) == 1
    assert "a kerf of 2 mm does not go into tiny" in capsys.readouterr().err


def test_of_a_folder_the_models_are_offered(tmp_path):
    """A store of stocks is no spec to build, unless there is nothing else."""
    from ringwright.lang.commands.common import _specs_in

    (tmp_path / "shop.wright").write_text("stock ply { kind = ply }\n")
    assert _specs_in(tmp_path) == "shop.wright"
    (tmp_path / "kite.wright").write_text('use "shop.wright"\nmodel kite { title = "Kite" }\n')
    assert _specs_in(tmp_path) == "kite.wright"
