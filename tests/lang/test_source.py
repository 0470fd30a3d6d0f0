"""Texts as they are read: encodings, line ends, characters that may not stand in a spec, places."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.source import LIMIT, make_source, source_of

FORBIDDEN = [
    *range(0x09),
    *(0x0B, 0x0C, 0x0E, 0x1B, 0x1F, 0x7F, 0x80, 0x85, 0x9F, 0xAD),
    *range(0x200B, 0x2010),
    *(0x2028, 0x2029),
    *range(0x202A, 0x202F),
    *range(0x2066, 0x206A),
    *(0xFEFF, 0xFFFE, 0xFFFF, 0x1FFFE, 0x10FFFF, 0xE0041),
]


def test_positions_count_from_one_in_characters() -> None:
    source, found = make_source("a", "é日\n\nx𝒳y\n".encode())
    assert found == ()
    assert [source.position(at) for at in (0, 1, 2, 3, 4, 6, 8)] == [
        *((1, 1), (1, 2), (1, 3), (2, 1), (3, 1), (3, 3), (4, 1)),
    ]
    assert [source.line(number) for number in (1, 2, 3, 4)] == ["é日", "", "x𝒳y", ""]


def test_a_byte_order_mark_is_left_out() -> None:
    assert make_source("a", b"\xef\xbb\xbfx = 1") == (source_of("a", "x = 1"), ())


def test_windows_lines_stay_and_a_lone_return_does_not() -> None:
    source, found = make_source("a", b"x = 1\r\ny = 2\r\n")
    assert found == ()
    assert source.position(7) == (2, 1)
    assert source.line(1) == "x = 1"
    _, found = make_source("a", b"x\ry")
    assert [one.code for one in found] == ["forbidden-character"]


@pytest.mark.parametrize("code", FORBIDDEN)
def test_forbidden_characters_are_named_where_they_stand(code: int) -> None:
    source, found = make_source("a", f'x = 1\n# "{chr(code)}" \n'.encode())
    (one,) = found
    assert one.code == "forbidden-character"
    assert one.span is not None
    assert source.position(one.span.start) == (2, 4)
    assert one.span.end == one.span.start + 1
    assert f"U+{code:04X}" in one.message


@pytest.mark.parametrize("text", ["\t", "é", "日", "½", "ø", "𝒳", "\u00a0", "e\u0301", "±"])
def test_other_characters_may_stand(text: str) -> None:
    assert make_source("a", text.encode())[1] == ()


@pytest.mark.parametrize(
    ("data", "column"),
    [
        (b"x = \xff", 5),
        (b"\xc3\xa9\xff", 2),
        (b"ab\xe6\x97", 3),
        (b"\xed\xa0\x80", 1),
        (b"\xc0\xaf", 1),
    ],
)
def test_other_encodings_are_refused_with_their_place(data: bytes, column: int) -> None:
    source, (found,) = make_source("a", b"line\n" + data)
    assert found.code == "not-utf8"
    assert found.span is not None
    assert source.position(found.span.start)[1] == column


def test_utf16_is_refused() -> None:
    assert make_source("a", "x = 1".encode("utf-16"))[1][0].code == "not-utf8"


def test_a_file_over_the_limit_is_refused() -> None:
    assert make_source("a", b"#" * LIMIT)[1] == ()
    source, (found,) = make_source("a", b"#" * (LIMIT + 1))
    assert (found.code, found.span, source.text) == ("file-too-large", None, "")


def test_many_forbidden_characters_are_not_all_listed() -> None:
    assert len(make_source("a", b"\x00" * 1000)[1]) == 100


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    source, found = make_source("a", data)
    for one in found:
        assert one.span is not None
        assert source.position(one.span.start) <= source.position(one.span.end)


@given(st.text(alphabet=st.sampled_from("ab\n\r\t日"), max_size=50))
def test_lines_and_positions_agree(text: str) -> None:
    source = source_of("a", text)
    for offset in range(len(text) + 1):
        line, column = source.position(offset)
        assert source.line_starts[line - 1] + column - 1 == offset
    assert len(source.line_starts) == text.count("\n") + 1
