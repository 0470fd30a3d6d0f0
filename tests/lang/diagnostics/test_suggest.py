"""'Did you mean …?'"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.lang.diagnostics.suggest import distance, suggest

_NAMES = """
diameter length start end seam seam_at stagger stock share from to at outline inset hole quantity hand kind
title thickness sheet mass density grain bend neutral min_radius price revision plan_scale half_angle
aerofoil incidence
"""
NAMES = _NAMES.split()


@pytest.mark.parametrize(
    ("word", "wanted"),
    [
        *(("lenght", "length"), ("diametre", "diameter"), ("Length", "length"), ("lengths", "length")),
        *(("outlin", "outline"), ("ouline", "outline"), ("thicknes", "thickness"), ("qty", "quantity")),
        *(("dia", "diameter"), ("weight", "mass"), ("thk", "thickness"), ("airfoil", "aerofoil")),
        *(("revison", "revision"), ("denisty", "density"), ("ta", "at"), ("seam-at", "seam_at")),
        *(("plan_scal", "plan_scale"), ("sotck", "stock"), ("radius", "diameter"), ("begin", "start")),
    ],
)
def test_slips_and_the_trades_other_words(word: str, wanted: str) -> None:
    assert suggest(word, NAMES) == wanted


@pytest.mark.parametrize("word", ["banana", "x", "", "propeller", "zzzzzz"])
def test_no_guess_where_nothing_is_near(word: str) -> None:
    assert suggest(word, NAMES) is None


def test_a_synonym_counts_only_among_the_candidates() -> None:
    assert suggest("qty", ["length", "count"]) == "count"
    assert suggest("qty", ["length"]) is None


def test_the_order_of_candidates_does_not_matter() -> None:
    assert suggest("hat", ["cat", "bat", "hut"]) == suggest("hat", ["hut", "bat", "cat"]) == "hut"
    assert suggest("a1", {"a2", "a3"}) == "a2"


@pytest.mark.parametrize(
    ("one", "other", "slips"),
    [
        ("", "abc", 3),
        ("ab", "ba", 1),
        ("abc", "abc", 0),
        ("kitten", "sitting", 3),
        ("ca", "abc", 3),
        ("a", "", 1),
    ],
)
def test_distances(one: str, other: str, slips: int) -> None:
    assert distance(one, other) == slips


SHORT = st.text(alphabet="abc", max_size=6)


@given(SHORT, SHORT)
def test_distance_is_symmetric_and_bounded(one: str, other: str) -> None:
    assert distance(one, other) == distance(other, one)
    assert abs(len(one) - len(other)) <= distance(one, other) <= max(len(one), len(other))
    assert (distance(one, other) == 0) == (one == other)


@given(SHORT, st.lists(SHORT, max_size=5))
def test_a_suggestion_is_another_candidate(word: str, candidates: list[str]) -> None:
    assert suggest(word, candidates) in {None, *candidates} - {word}
