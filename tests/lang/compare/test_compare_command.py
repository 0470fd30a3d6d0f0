"""`ringwright compare` and `build --since` as a builder meets them: usage, formats, exit codes, folders."""

import json
from html.parser import HTMLParser
from pathlib import Path

import pytest
from ringwright.lang.commands.main import main
from ringwright.lang.compare.render import as_html, as_markdown, as_text
from ringwright.lang.compare.sections import Report, Section

HEAD = 'model kite { title = "Kite <b>| _x_" }\nstock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm, density = 680 kg/m3 }\n'
OLD = HEAD + (
    "panel wide { stock = ply, outline = rect(90 mm, 60 mm), hole h { diameter = 10 mm } }\n"
    "panel slim { stock = ply, outline = rect(30 mm, 60 mm) }\n"
    "panel pair { stock = ply, outline = rect(40 mm, 20 mm), quantity = 2 }\n"
    "panel keep { stock = ply, outline = rect(44 mm, 20 mm) }\n"
)
NEW = (
    OLD.replace("rect(90 mm, 60 mm)", "rect(94 mm, 54 mm)")
    .replace("rect(30 mm", "rect(28 mm")
    .replace("quantity = 2", "quantity = 5")
)


@pytest.fixture
def two(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a model as it was and as it is."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old.wright").write_text(OLD, encoding="utf-8")
    (tmp_path / "new.wright").write_text(NEW, encoding="utf-8")
    return tmp_path


def test_text_says_it_in_the_builders_order(two, capsys) -> None:
    assert main(["compare", "old.wright", "new.wright"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    lines = said.out.splitlines()
    assert lines[0] == "1 recut, 1 trim, 1 more, 1 keep"
    order = [
        lines.index(title)
        for title in ("compared", "dimensions", "parts", "mass and balance", "sheets to cut from")
    ]
    assert order == sorted(order)
    assert "  recut  wide  its outline differs by up to 3 mm  new.wright:3" in lines
    assert "  trim   slim  it only shrank, by up to 1 mm      new.wright:4" in lines
    assert "  more   pair  3 more: 5, were 2" in lines
    assert "  keep 1 as they are: keep" in lines
    assert "  ply 1  wide, pair" in lines
    assert "not known" not in said.out, "nothing has a place here, which is no news"
    assert all(line == line.rstrip() for line in lines)


@pytest.mark.parametrize(("new", "code"), [("old.wright", 0), ("new.wright", 1)])
def test_exit_code(two, new: str, code: int) -> None:
    assert main(["compare", "old.wright", new]) == 0
    assert main(["compare", "old.wright", new, "--exit-code"]) == code


def test_the_same_bytes_twice_and_sound_json(two, capsys) -> None:
    said = []
    for format in ("text", "json", "markdown", "html", "json"):
        assert main(["compare", "old.wright", "new.wright", "--format", format]) == 0
        said.append(capsys.readouterr().out)
    assert said[1] == said[4]
    found = json.loads(said[1])
    assert found["verdicts"] == {"wide": "recut", "slim": "trim", "pair": "more", "keep": "keep"}
    assert found["sheets"] == [{"stock": "ply", "index": 1}]
    assert {size["name"] for size in found["dimensions"]} >= {"wide.area", "slim.mass", "kite.mass"}
    assert said[0] != said[2] != said[3]


def test_markdown_and_html_show_what_a_text_says_and_obey_nothing(two, capsys) -> None:
    main(["compare", "old.wright", "new.wright", "--format", "markdown"])
    text = capsys.readouterr().out
    assert "Kite \\<b\\>\\| \\_x\\_" in text
    rows = [line for line in text.splitlines() if line.startswith("|")]
    assert {row.replace("\\|", "").count("|") for row in rows} == {3, 5, 6}
    main(["compare", "old.wright", "new.wright", "--format", "html"])
    tags: list[str] = []

    class Reader(HTMLParser):
        def handle_starttag(self, tag: str, attributes: object) -> None:
            tags.append(tag)

    page = capsys.readouterr().out
    Reader().feed(page)
    assert set(tags) == {
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "h1",
        "h2",
        "p",
        "table",
        "tr",
        "th",
        "td",
    }
    assert "Kite &lt;b&gt;| _x_" in page
    assert "http" not in page


def test_no_format_lets_a_word_through_that_is_obeyed() -> None:
    evil = "\x1b[31m</td><script>alert(1)</script>\n| a ![x](y) `b` \u202e"
    found = Report(evil, evil, (evil,), (Section(evil, (evil, "b"), ((evil, evil),), (evil,), True),))
    for render in (as_text, as_markdown, as_html):
        said = render(found)
        assert "\x1b" not in said
        assert "\u202e" not in said
    assert "<script" not in as_html(found)
    assert "\n<script" not in as_markdown(found)
    assert "![x]" not in as_markdown(found)
    assert "</td><script" not in as_markdown(found).replace("\\<", "")


@pytest.mark.parametrize(
    "arguments",
    [
        [], ["old.wright"], ["old.wright", "new.wright", "old.wright"], ["--history"], ["--history", "old.wright", "new.wright"],
        ["--tags", "old.wright", "new.wright"], ["old.wright", "new.wright", "--format", "xml"], ["old.wright", "--git"],
        ["--history", "--exit-code", "old.wright"], ["old.wright", "new.wright", "--formt"],
    ],
)  # fmt: skip
def test_wrong_usage(two, capsys, arguments: list[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["compare", *arguments])
    assert left.value.code == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("ringwright compare: ")


@pytest.mark.parametrize("name", ["none.wright", ".", "/dev/null", "\0", "a:b:c", "", "/dev/zero"])
def test_a_side_that_is_none(two, capsys, name: str) -> None:
    for sides in ((name, "new.wright"), ("old.wright", name)):
        assert main(["compare", *sides]) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.splitlines()[-1].startswith("ringwright compare: ")


def test_a_side_with_errors_shows_them(two, capsys) -> None:
    (two / "new.wright").write_text(NEW.replace("94 mm", "94 g"), encoding="utf-8")
    assert main(["compare", "old.wright", "new.wright", "--exit-code"]) == 2
    said = capsys.readouterr()
    assert said.err.startswith("new.wright:3:")
    assert said.err.endswith("'new.wright' has 1 error and cannot be compared\n")


def test_a_history_needs_a_repository(two, capsys, monkeypatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(two.parent))
    assert main(["compare", "--history", "old.wright"]) == 2
    assert "git" in capsys.readouterr().err


# -- build --since --------------------------------------------------------------------------------


def test_only_what_must_be_cut_is_laid_out_with_its_old_lines(two, capsys) -> None:
    (two / "spec.wright").write_text(OLD, encoding="utf-8")
    assert main(["build", "spec.wright", "--formats", "svg"]) == 0
    (two / "spec.wright").write_text(NEW, encoding="utf-8")
    before = (two / "build" / "kite" / "manifest.json").read_bytes()
    capsys.readouterr()
    assert main(["build", "spec.wright", "--since", "build/kite", "--formats", "svg"]) == 0
    out = capsys.readouterr().out
    assert out.startswith(
        "since   build/kite: 1 recut, 1 trim, 1 more, 1 keep\ntrim    slim: it only shrank, by up to 1 mm\n"
    )
    assert (two / "build" / "kite" / "manifest.json").read_bytes() == before
    found = json.loads((two / "build" / "kite-recut" / "manifest.json").read_text("utf-8"))
    assert {part["id"]: part["quantity"] for part in found["parts"]} == {"wide": 1, "pair": 3}
    assert [placed["part"] for sheet in found["sheets"] for placed in sheet["placements"]].count("pair") == 3
    wide = next(part for part in found["parts"] if part["id"] == "wide")
    # The old one was 4 mm narrower: of its outline both upright sides run in the new one.
    was = [mark["line"] for mark in wide["marks"] if mark["kind"] == "was"]
    assert [mark["text"] for mark in wide["marks"] if mark["kind"] == "was"].count("old line") == 1
    assert sorted(round(abs(line[0][0]), 3) for line in was) == [45.0, 45.0]
    assert not [
        mark
        for part in found["parts"]
        if part["id"] == "pair"
        for mark in part["marks"]
        if mark["kind"] == "was"
    ]


def test_where_nothing_is_to_be_cut_nothing_is_written(two, capsys) -> None:
    assert main(["build", "old.wright", "--since", "old.wright"]) == 0
    assert capsys.readouterr().out.endswith("nothing is to be cut, nothing was written\n")
    assert not (two / "build").exists()


@pytest.mark.parametrize("since", ["none.wright", "HEAD~1:old.wright", "build/kite", "--format"])
def test_since_nothing_is_trouble(two, capsys, monkeypatch, since: str) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(two.parent))
    assert main(["build", "old.wright", f"--since={since}"]) == 2
    assert capsys.readouterr().err.startswith("ringwright build: ")
    assert not (two / "build").exists()


def test_since_is_for_one_spec(two) -> None:
    with pytest.raises(SystemExit) as left:
        main(["build", "old.wright", "new.wright", "--since", "old.wright"])
    assert left.value.code == 2
