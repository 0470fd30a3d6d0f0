"""Rings of layers that follow their stack's profile."""

import math

import pytest

PROFILE = "profile = quarter_ellipse(24 mm, 60 mm, 36 mm)"


def radius(place):
    return 36 + 24 * math.sqrt(1 - (place / 24) ** 2)


def nose(inside):
    return f"stack s {{ from = 0 mm, runs = fore, stock = board, {PROFILE}\nring nose {{ layers = 5, {inside} }} }}"


def test_each_layer_is_as_large_as_it_will_be_and_what_is_carved_away(built):
    outcome = built(nose("rim = 14 mm, carve = 1.5 mm"))
    for number in range(1, 6):
        part = outcome.part(f"s.nose.{number}")
        place = 4.8 * (number - 1)
        xs = [x for x, _ in part.outline.points]
        assert max(xs) - min(xs) == pytest.approx(2 * radius(place) + 3, abs=1e-2)
        assert part.placement.origin[0] == pytest.approx(-place, abs=1e-9)
        (hole,) = part.holes
        xs = [x for x, _ in hole.points]
        assert max(xs) - min(xs) == pytest.approx(2 * radius(place + 4.8 - 1e-9) - 28, abs=1e-2)


def test_layers_name_one_another(built):
    outcome = built(nose("rim = 14 mm"))
    assert [outcome.part(f"s.nose.{n}").edges[0].mate for n in range(1, 6)] == [
        "nose.2",
        "nose.1 nose.3",
        "nose.2 nose.4",
        "nose.3 nose.5",
        "nose.4",
    ]
    assert "layer 2 of 5" in outcome.part("s.nose.2").notes
    assert any("to nose.1" in note and "to nose.3" in note for note in outcome.part("s.nose.2").notes)
    (line,) = [mark for mark in outcome.part("s.nose.3").marks if mark.kind == "mate"]
    assert line.text == "nose.4"


def test_a_ring_without_rim_is_of_whole_discs(built):
    outcome = built(nose("carve = 1 mm"))
    assert all(part.holes == () for part in outcome.design.parts)
    assert outcome.value("s.nose.mass") == pytest.approx(
        sum(part.properties.mass for part in outcome.design.parts)
    )


def test_one_opening_through_all_layers(built):
    outcome = built(nose("inside = 50 mm"))
    assert {round(max(x for x, _ in part.holes[0].points), 6) for part in outcome.design.parts} == {25.0}


def test_an_opening_that_would_reach_through(judged):
    outcome = judged(nose("inside = 80 mm"))
    assert outcome.errors == ["hole-outside"]
    assert "reaches through layer 5" in outcome.the("hole-outside").message


def test_a_diameter_of_its_own_leaves_the_profile(built):
    outcome = built(nose("rim = 14 mm, diameter = 100 mm"))
    assert outcome.part("s.nose").quantity == 5


def test_a_cone_meets_the_first_layer(built):
    outcome = built(
        f"stack s {{ stock = board, {PROFILE}\nbarrel drum {{ length = 12 mm }}\nring nose {{ layers = 2, rim = 12 mm }} }}"
    )
    assert outcome.value("s.drum.diameter") == pytest.approx(2 * radius(12), abs=2e-3)
    assert outcome.part("s.drum").edges[1].mate == "nose.1"
