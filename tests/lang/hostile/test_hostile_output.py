"""What a stranger's names and texts do in the files of a build: nothing."""

import csv
import json
import string

import pytest
from lxml import etree
from ringwright.backends.file_names import file_word, file_words
from ringwright.lang.commands import build
from ringwright.lang.commands.main import DONE, TROUBLE

STOCK = "stock {} {{ kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, title = {} }}\n"
PANEL = "panel {} {{ stock = {}, outline = circle(90 mm) }}\n"
TITLES = [
    "</text><script>alert(1)</script>",
    "]]><!DOCTYPE x [<!ENTITY a 'b'>]>&a;",
    "a & b < c > d ' e",
    "=1+1",
    "+1|cmd",
    "@SUM(1,1)",
    "-2+3",
    "\t=1+1",
    ") Tj ET Q 0 0 1 rg (",
    "(((((",
    "%%d ^J \\\\U+0041",
    "${HOME} $(id) `id` %n %s {0} {{x}}",
    "翼 \U0001f6e9\ufe0f مرحبا e\u0301\u0301\u0301",
    "\u00a0",
    "x" * 1000,
    "",
]
# Names that mean something to a program that reads the files of a build, or to the system they lie on.
NAMES = ["CON", "nul", "COM1", "lpt9", "constructor", "toString", "valueOf", "hasOwnProperty", "prototype", "None", "self", "class",
         "true", "null", "NaN", "inf", "Infinity", "x" * 64]  # fmt: skip


@pytest.fixture
def built(tmp_path, monkeypatch, capsys):
    """Build a text; return its folder and what was written in it, by path."""
    monkeypatch.chdir(tmp_path)

    def run(text):
        (tmp_path / "main.wright").write_text(text, "utf-8")
        done = build.run(["main.wright"])
        said = capsys.readouterr()
        assert done == DONE, said.err
        (folder,) = (tmp_path / "build").iterdir()
        return folder, {
            path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()
        }

    return run


@pytest.mark.parametrize("title", TITLES, ids=range(len(TITLES)))
def test_texts_stay_texts_in_all_files(built, title):
    quoted = '"' + title.replace('"', '\\"') + '"'
    _, files = built(
        f"model heron {{ title = {quoted}, revision = {quoted} }}\n"
        + STOCK.format("board", quoted)
        + PANEL.format("P", "board")
    )
    manifest = json.loads(files["manifest.json"].read_text("utf-8"))
    plain = title.replace("\\\\", "\\").replace("\t", " ")
    assert manifest["model"]["title"] == plain or not plain
    for name, path in files.items():
        assert set(name) <= set(string.ascii_letters + string.digits + "._-/")
        assert ".." not in name
        assert max(map(len, name.split("/"))) < 255
        if name.endswith(".svg"):
            root = etree.fromstring(
                path.read_bytes(), etree.XMLParser(resolve_entities=False, no_network=True)
            )
            assert {etree.QName(node).localname for node in root.iter(etree.Element)} <= {
                *(
                    "svg",
                    "g",
                    "path",
                    "text",
                    "title",
                    "desc",
                    "defs",
                    "rect",
                    "line",
                    "circle",
                    "tspan",
                    "use",
                    "style",
                ),
            }
            assert not list(root.iter(etree.Entity, etree.ProcessingInstruction))
        if name.endswith(".pdf"):
            assert path.read_bytes().startswith(b"%PDF-")


def test_a_text_in_an_svg_is_read_back_as_it_was(built):
    _, files = built(
        'model heron { title = "</text><script>x</script> & ]]>" }\n'
        + STOCK.format("board", '"b"')
        + PANEL.format("P", "board")
    )
    (svg,) = [path for name, path in files.items() if name.endswith(".svg")]
    texts = "".join(etree.fromstring(svg.read_bytes()).itertext())
    assert "</text><script>x</script> & ]]>" in texts


@pytest.mark.parametrize("name", NAMES)
def test_names_that_mean_something_elsewhere(built, name):
    folder, files = built(
        f'model {name} {{ title = "x" }}\n' + STOCK.format(name + "_", '"x"').replace(name + "_", name[:60] + "_s")
        + PANEL.format(name[:60] + "_p", name[:60] + "_s")
        + f"former {name[:62]} {{ at = 1 mm, stock = {name[:60]}_s, outline = circle(80 mm) }}\n".replace(f"former {name} ", f"former {name[:61]}_f ")
    )  # fmt: skip
    for word in (folder.name, *(path.name for path in files.values())):
        assert word.partition(".")[0].lower() not in {"con", "nul", "com1", "lpt9"}
        assert len(word) < 255
    assert json.loads(files["manifest.json"].read_text())["model"]["name"] == name


def test_names_of_files_are_words_that_every_system_takes():
    assert file_word("CON") == "_CON"
    assert file_word("con.pdf") == "_con.pdf"
    assert file_word("COM0") == "_COM0"
    assert file_word("cone") == "cone"
    assert file_word("..") == "_"
    assert file_word("") == "_"
    assert file_word("../../a") == "_.._a"
    assert file_word("a. ") == "a._"
    assert file_word("lib/shop:board") == "lib_shop_board"
    assert file_word("b" * 300) == "b" * 64
    assert not file_word("ends.").endswith(".")
    assert file_words(["a:b", "a_b", "A_B", "x"]) == {"A_B": "A_B", "a:b": "a_b_2", "a_b": "a_b_3", "x": "x"}


def test_stocks_that_only_a_letters_case_tells_apart_have_a_sheet_each(built):
    _, files = built(
        'model heron { title = "x" }\n'
        + STOCK.format("board", '"x"') + STOCK.format("Board", '"y"') + PANEL.format("P", "board") + PANEL.format("Q", "Board")
    )  # fmt: skip
    sheets = [name.lower() for name in files if name.endswith(".svg")]
    assert len(sheets) == 2
    assert len(set(sheets)) == 2


def test_no_cell_of_the_cut_list_is_a_formula(built):
    _, files = built(
        'model heron { title = "=1" }\n' + STOCK.format("board", '"=cmd"') + PANEL.format("P", "board")
    )
    with files["cut-list.csv"].open(encoding="utf-8", newline="") as opened:
        rows = list(csv.reader(opened))
    assert len({len(row) for row in rows}) == 1
    for cell in (cell for row in rows for cell in row):
        assert not cell.startswith(("=", "+", "@", "\t", "\r")) or cell.replace(".", "").isdigit()
        assert not cell.startswith("-") or cell[1:].replace(".", "").isdigit()


@pytest.mark.parametrize(
    "name", ["../x", "..", "a/b", "a b", "", "_x", "-x", "a.b", "__proto__", "a\\b", "a:b", "é"]
)
@pytest.mark.parametrize("kind", ["model", "stock", "station", "panel", "recipe"])
def test_paths_and_the_like_are_no_names(stood, name, kind):
    found = stood(f"{kind} {name} {{ title = 1 }}")
    assert found.errors


def test_a_model_named_like_the_folder_above_stays_in_its_folder(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "main.wright").write_text(
        'model heron { title = "x", revision = "../../up" }\n'
        + STOCK.format("board", '"x"')
        + PANEL.format("P", "board")
    )
    assert build.run(["main.wright"]) == DONE
    assert sorted(path.name for path in tmp_path.iterdir()) == ["build", "main.layout", "main.wright"]
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    assert build.run(["-o", "loop", "main.wright"]) == TROUBLE
    assert "Traceback" not in capsys.readouterr().err
