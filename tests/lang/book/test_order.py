"""The order of things that wait for one another."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.book.order import ordered

NAMES = tuple("abcdefgh")
PAIRS = st.lists(st.tuples(st.sampled_from(NAMES), st.sampled_from(NAMES)), max_size=14)


def test_what_waits_comes_later_and_the_rest_stays() -> None:
    assert ordered("abcd", [("d", "b")], []) == ("a", "c", "d", "b")


def test_what_should_gives_way_to_what_must() -> None:
    assert ordered("ab", [("b", "a")], [("a", "b")]) == ("b", "a")


def test_a_ring_of_musts_is_refused() -> None:
    with pytest.raises(ValueError, match="a, b"):
        ordered("abc", [("a", "b"), ("b", "a")], [])


@given(PAIRS, st.randoms())
def test_nothing_comes_before_what_it_waits_for_and_the_order_of_pairs_is_nothing(pairs, random) -> None:
    must = [(a, b) for a, b in pairs if a < b][:5]
    should = [pair for pair in pairs if pair not in must]
    found = ordered(NAMES, must, should)
    assert sorted(found) == sorted(NAMES)
    assert all(found.index(a) < found.index(b) for a, b in must)
    shuffled = list(should)
    random.shuffle(shuffled)
    assert ordered(NAMES, must, shuffled) == found


@given(PAIRS)
def test_all_that_should_is_kept_where_it_can_be(pairs) -> None:
    should = [(b, a) for a, b in pairs if a < b]
    found = ordered(NAMES, [], should)
    assert all(found.index(first) < found.index(second) for first, second in should)
