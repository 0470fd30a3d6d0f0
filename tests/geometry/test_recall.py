"""What a recalled function gives is what it would work out, whatever the memory holds."""

import json
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry import recall
from ringwright.geometry.part import Placed
from ringwright.geometry.path import Path, closed
from ringwright.geometry.recall import recalled, recalling


class Shelf:
    """A memory in a dict."""

    def __init__(self) -> None:
        self.digests: dict[int, tuple[object, str]] = {}
        self.kept: dict[str, str] = {}

    def recall(self, key: str) -> str | None:
        return self.kept.get(key)

    def keep(self, key: str, text: str) -> None:
        self.kept[key] = text


calls: list[object] = []


@recalled
def told(*values: object, **more: object) -> object:
    calls.append((values, more))
    return values[0] if values else tuple(more.items())


plain = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=5)
)
paths = st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=3, max_size=5).map(closed)
placed = st.builds(Placed, st.text(max_size=3), st.integers(), *[st.floats(-9, 9)] * 3)
values = st.recursive(
    plain | paths | placed, lambda inner: st.lists(inner, max_size=3).map(tuple), max_leaves=8
)


def same(one: object, other: object) -> bool:
    """Equal to the bit, of the same types all the way down: 1, 1.0 and True are not the same."""
    if type(one) is not type(other):
        return False
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(same, one, other))
    return repr(one) == repr(other)


@given(values)
def test_what_is_recalled_is_what_was_given(value: object) -> None:
    shelf = Shelf()
    for _ in range(2):
        with recalling(shelf):
            assert same(told(value), value)
    calls.clear()
    fresh = Shelf()
    fresh.kept = dict(shelf.kept)
    with recalling(fresh):
        assert same(told(value), value)
    assert calls == []


@given(st.lists(values, min_size=2, max_size=4))
def test_other_arguments_have_other_results(found: list[object]) -> None:
    shelf = Shelf()
    with recalling(shelf):
        assert all(same(told(value), value) for value in found)
        assert all(same(told(value), value) for value in found)


def test_without_a_memory_it_is_worked_out_each_time() -> None:
    calls.clear()
    told(1.0)
    told(1.0)
    assert len(calls) == 2


def test_how_arguments_are_given_matters() -> None:
    with recalling(Shelf()):
        calls.clear()
        assert told(1.0, 2.0) == 1.0
        assert told(1.0, a=2.0) == 1.0
        assert told(a=2.0) == (("a", 2.0),)
        assert len(calls) == 3


@pytest.mark.parametrize(
    "text",
    [
        "", "{", "[1", '{"is": "os:system", "of": ["true"]}', '{"is": "ringwright.geometry.path:closed", "of": [[]]}',
        '{"is": "ringwright.geometry.path:Nothing", "of": []}', '{"is": "ringwright.geometry.path:Path", "of": []}',
        '{"is": "ringwright.geometry.none:Path", "of": []}', '{"is": 7}', "{}", "[" * 5000 + "]" * 5000,
    ],
)  # fmt: skip
def test_what_is_damaged_is_worked_out_again(text: str) -> None:
    shelf = Shelf()
    value = closed([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)])
    with recalling(shelf):
        told(value)
    for key in shelf.kept:
        shelf.kept[key] = text
    with recalling(shelf):
        assert same(told(value), value)


def test_only_our_own_values_are_made() -> None:
    class Stranger(NamedTuple):
        x: float

    shelf = Shelf()
    with recalling(shelf):
        assert told(Stranger(1.0)) == Stranger(1.0)
        assert told([1.0]) == [1.0]
        assert told(float("nan")) != told(float("nan"))
        assert told({1.0}) == {1.0}
    for text in shelf.kept.values():
        with pytest.raises((ValueError, TypeError, AttributeError)):
            recall._decoded(json.loads(text))


def test_an_error_is_not_kept() -> None:
    @recalled
    def fails(path: Path) -> Path:
        raise ValueError(path)

    shelf = Shelf()
    with recalling(shelf), pytest.raises(ValueError, match="Path"):
        fails(closed([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]))
    assert shelf.kept == {}
