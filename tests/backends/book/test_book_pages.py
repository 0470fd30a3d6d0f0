"""The book on paper: what follows what, what stays together, and where its bookmarks lead."""

import io

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.backends.book.blocks import Book, Chapter, Heading, Job, Table, Words
from ringwright.backends.book.content import book_of
from ringwright.backends.book.html import html_text
from ringwright.backends.book.paper import pages_of
from ringwright.backends.book.pictures import part_picture, scale_of, three_view_picture
from ringwright.backends.drawing import Stroke, Text, collisions
from ringwright.backends.paper import paper_of
from ringwright.backends.pdf import pdf_bytes
from ringwright.backends.record import Piece
from ringwright.backends.viewer.scene import scene_of
from ringwright.backends.views.model_views import solids_in
from ringwright.geometry.path import bounds, closed
from ringwright.geometry.place import side_frame, top_frame

A4 = paper_of("a4")


def texts(page):
    return [item for group in page.groups for item in group.items if isinstance(item, Text)]


def words_of(pages):
    return [text.text for page in pages for text in texts(page)]


def book(*blocks, fresh=False):
    return Book("T", "A", "", (Chapter("one", "One", ()), Chapter("two", "Two", blocks, fresh)))


def test_chapters_follow_on_the_page_unless_they_are_fresh():
    assert len(pages_of(book(Words("a")), A4)) == 1
    assert len(pages_of(book(Words("a"), fresh=True), A4)) == 2


@given(st.lists(st.integers(1, 60), min_size=1, max_size=30))
def test_nothing_is_lost_and_nothing_leaves_its_page(lengths):
    blocks = [
        Words(" ".join(f"w{i}.{j}" for j in range(length)), f"h{i}") for i, length in enumerate(lengths)
    ]
    pages = pages_of(book(*blocks), A4)
    said = " ".join(words_of(pages)).split()
    for i, length in enumerate(lengths):
        assert all(f"w{i}.{j}" in said for j in range(length))
    assert all(collisions(page) == [] for page in pages)


def test_a_table_repeats_its_head_on_each_page():
    rows = tuple((f"part {i}", "12") for i in range(120))
    pages = pages_of(book(Table(("name", "mass"), (0.5, 0.5), rows, (1,))), A4)
    assert len(pages) > 2
    assert all("mass" in [text.text for text in texts(page)] for page in pages)


def test_a_heading_is_never_last_on_its_page():
    for count in range(40, 60):
        blocks = [Words(f"w{i}") for i in range(count)]
        pages = pages_of(book(*blocks, Heading("head"), Words("below it")), A4)
        (page,) = [page for page in pages if "head" in [text.text for text in texts(page)]]
        assert "below it" in [text.text for text in texts(page)]


def test_a_step_is_not_broken():
    jobs = [Job(i, f"step {i}", ("do it " * 40,) * 3, (("Glue", "white"),), (), None) for i in range(1, 12)]
    for page in pages_of(book(*jobs), A4):
        said = " ".join(text.text for text in texts(page))
        assert said.count("Glue") == said.count("step ")


def test_bookmarks_lead_to_chapters_and_headings():
    pages = pages_of(book(Heading("cowl"), Words("a"), Heading("tail"), Words("b")), A4)
    read = pypdf.PdfReader(io.BytesIO(pdf_bytes(pages, "T", "")), strict=True)
    first, second, below = read.outline
    assert (first.title, second.title) == ("T", "Two")
    assert [entry.title for entry in below] == ["cowl", "tail"]
    assert first.top > second.top > below[0].top > below[1].top


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "roll"])
def test_pages_are_upright_and_as_large_as_the_paper(paper):
    (page,) = pages_of(book(Words("a")), paper_of(paper))
    assert page.width < page.height
    size = {"letter": (215.9, 279.4), "a3": (297.0, 420.0)}.get(paper, (210.0, 297.0))
    assert (page.width, page.height) == size


def test_a_picture_is_to_scale(make_part):
    part = make_part("strip", closed([(0, 0), (20, 0), (20, 300), (0, 300)]))
    scale = scale_of([part], 66.0, 45.0)
    assert scale == 5.0
    drawn = part_picture(part, scale)
    (outline,) = [item for item in drawn.items if isinstance(item, Stroke)]
    left, low, right, high = bounds(outline.path)
    assert (right - left, high - low) == pytest.approx((60.0, 4.0))


def test_every_part_has_its_row_and_its_blank(bench):
    made = book_of(bench, "")
    said = " ".join(words_of(pages_of(made, A4)))
    page = html_text(made, scene_of(bench))
    for part in bench.parts:
        assert part.name.split()[0] in said
        assert f'data-keep="done {part.id}"' in page
        assert f'data-keep="weighed {part.id}"' in page
    assert "300 × 8" in said


def test_strip_is_in_the_cut_list(bench):
    leg = Piece("carbon.leg", "carbon", 2, 74.9, (4.0, 4.0), 0.5, (1,))
    said = " ".join(words_of(pages_of(book_of(bench._replace(pieces=(leg,)), ""), A4)))
    assert all(
        words in said for words in ("strip, cut to length", "carbon.leg · 2 ×", "4 × 4", "74.9", "carbon 1")
    )


def test_three_views_fill_what_room_there_is(make_part, make_record):
    """700 mm long and 700 mm wide go into 180 mm by 130 mm at 1:12; the next scale of ISO 5455 would be 1:20."""
    hull = make_part("hull", closed([(0, -30), (700, -30), (700, 30), (0, 30)]), placement=side_frame(0.0))
    wing = make_part(
        "wing", closed([(100, -350), (250, -350), (250, 350), (100, 350)]), placement=top_frame(0.0)
    )
    record = make_record([hull, wing], [])
    made = three_view_picture(record, solids_in(record), 180.0)
    spots = [spot for item in made.items if isinstance(item, Stroke) for spot in item.path.points]
    assert any("scale 1:12" in item.text for item in made.items if isinstance(item, Text))
    assert all(0 <= x <= 180.0 and 0 <= y <= made.height for x, y in spots)


def test_the_page_asks_for_nothing(bench):
    page = html_text(book_of(bench, ""), scene_of(bench))
    assert "default-src 'none'" in page
    asking = page.replace("http://www.w3.org/2000/svg", "")  # a name, which nobody asks for
    assert not [word for word in ("http:", "https:", "src=", "@import", "url(") if word in asking]
