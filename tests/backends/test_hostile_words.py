"""Words that want to be something else: markup, codes, other scripts, endless names, in every format."""

import io
import json
import xml.etree.ElementTree as ElementTree

import ezdxf
import lxml.html
import pypdf
import pytest
from ezdxf.audit import Auditor
from ringwright.backends.book.blocks import Book, Chapter, Words
from ringwright.backends.book.html import html_text
from ringwright.backends.drawing import Drawing, Group, lettering
from ringwright.backends.dxf import dxf_bytes
from ringwright.backends.files import FORMATS, Choices, build_files
from ringwright.backends.pdf import pdf_bytes
from ringwright.backends.record import Bought, Notes, Step, Sum, Weight
from ringwright.backends.svg import svg_text
from ringwright.geometry.part import Flat, Placed
from ringwright.geometry.path import closed

SVG = "{http://www.w3.org/2000/svg}"
TITLES = [
    "</title><script>alert(1)</script>",
    "a & b < c > d \"e\" 'f' ]]> <!-- --> <?x?>",
    "(a) \\) endobj stream \\(b",
    "50%%d ^J \\P \\U+0041 {\\fArial;x}",
    "=1+2",
    "鷺 Märsch ß \U0001f6e9 א",
    "A very long name that goes on " * 33,
    "x" * 1000,
]


@pytest.fixture(scope="module", params=TITLES, ids=range(len(TITLES)))
def made(request, make_part, make_record):
    title = request.param.strip()
    part = make_part(
        "plate",
        closed([(0, 0), (150, 0), (150, 90), (0, 90)]),
        placement=Flat((0, 0, 0), (1.0, 0, 0), (0, 0, 1.0)),
        notes=(title[:60],),
    )
    record = make_record([part._replace(name=title[:200])], [Placed("plate", 1, 20.0, 20.0, 0.0)])
    step = Step(title, title, (title,), title, title, ("plate",), (), True)
    notes = Notes(
        ((title, ("plate",)),), (step,), (Sum(title, title, (title,), title),), (Bought(title, 1, title, title, title),),
        title, (Weight(title, title, title),), ((title, title),),
    )  # fmt: skip
    record = record._replace(model=record.model._replace(title=title), notes=notes)
    return title, build_files(record, FORMATS, "")


def of_kind(files, ending):
    return {name: data for name, data in files.items() if name.endswith(ending)}


def squeezed(text):
    return "".join(text.split())


def test_svg_is_sound_and_whole(made):
    title, files = made
    for data in of_kind(files, ".svg").values():
        root = ElementTree.fromstring(data.decode().partition("?>")[2])
        titles = [element.text for element in root.iter(f"{SVG}title")]
        assert any(squeezed(title) in squeezed(text) for text in titles)
        assert root.find(f".//{SVG}script") is None
        assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {
            "svg", "defs", "g", "path", "text", "title", "desc",
        }  # fmt: skip


def test_svg_with_outlines_is_sound(made, make_record):
    title, _ = made
    drawing = Drawing(
        900.0, 100.0, title, "", (Group("a", title, title, (lettering("text", (1, 1), title, 2.5),)),)
    )
    root = ElementTree.fromstring(svg_text(drawing, True).partition("?>")[2])
    assert root.find(f"{SVG}title").text == title


def test_pdf_is_sound_and_whole(made):
    title, files = made
    pdfs = of_kind(files, ".pdf")
    assert len(pdfs) == 5
    for data in pdfs.values():
        read = pypdf.PdfReader(io.BytesIO(data), strict=True)
        assert title in read.metadata.title
        entries = [entry.title for entry in read.outline if not isinstance(entry, list)]
        assert entries[0].startswith(title)
        for page in read.pages:
            code = page.get_contents().get_data()
            assert code.count(b"BT") == code.count(b"ET")


def test_dxf_is_sound_and_whole(made):
    title, files = made
    for data in of_kind(files, ".dxf").values():
        document = ezdxf.read(io.StringIO(data.decode()))
        auditor = Auditor(document)
        auditor.run()
        assert not auditor.errors
        assert not auditor.fixes
        assert any(value.startswith(title) for _, value in document.header.custom_vars.properties)
        assert {entity.dxf.layer for entity in document.modelspace()} <= {"cut", "mark", "text", "info"}


def test_the_page_of_the_book_is_sound_and_whole(made):
    title, files = made
    (data,) = of_kind(files, ".html").values()
    root = lxml.html.document_fromstring(data)
    assert root.xpath("string(//h1)") == title
    # What a builder wrote stands there as often as it is said, and nowhere as anything but text.
    said = [element for element in root.iter() if title in (element.text or "") + (element.tail or "")]
    assert len(said) >= 10
    assert {element.tag for element in root.iter("script", "img", "iframe", "link", "object", "form")} == {
        "script"
    }
    scene, viewer, keeping = root.xpath("//script")
    assert json.loads(scene.text)["title"] == title
    assert title not in viewer.text + keeping.text
    assert not [name for element in root.iter() for name in element.attrib if name.startswith("on")]


def test_the_manifest_has_it_whole(made):
    title, files = made
    assert json.loads(files["manifest.json"])["model"]["title"] == title


def test_names_of_files_are_plain(made):
    _, files = made
    for name in files:
        assert name.isascii()
        assert all(c.isalnum() or c in "._-/" for c in name)


@pytest.mark.parametrize("character", ["\x00", "\n", "\r", "\x1b", "\x7f", "\x9b", "\ud800"])
def test_every_writer_refuses_control_characters(character):
    words = f"a{character}b"
    fine = lettering("text", (1.0, 1.0), "a", 2.5)
    drawings = [
        Drawing(90.0, 90.0, words, "", (Group("a", "a", "", (fine,)),)),
        Drawing(90.0, 90.0, "a", "", (Group("a", "a", "", (fine._replace(text=words),)),)),
    ]
    for drawing in drawings:
        for write in (svg_text, dxf_bytes, lambda drawing: pdf_bytes((drawing,), "a", "")):
            with pytest.raises(ValueError, match="control character"):
                write(drawing)
    book = Book("a", "", "", (Chapter("start", "a", (Words(words, "a"),)),))
    for wrong in (book, book._replace(title=words), book._replace(revision=words)):
        with pytest.raises(ValueError, match="control character"):
            html_text(wrong, {})
    with pytest.raises(ValueError, match="control character"):
        pdf_bytes((drawings[1]._replace(groups=()),), words, "")


def test_formats_are_those_of_the_command():
    from ringwright.lang.commands import build

    assert build.FORMATS == FORMATS


def test_dimensions_and_outlines_are_passed_on(bench):
    plain = build_files(bench, ("svg",), "")
    other = build_files(bench, ("svg",), "", Choices(outlines=True, dimensions=True))
    name = "sheets/heron-B-board-1.svg"
    assert b"<text" in plain[name]
    assert b"<text" not in other[name]
    assert b'aria-label="300.0"' in other[name] or b'aria-label="180.0"' in other[name]
