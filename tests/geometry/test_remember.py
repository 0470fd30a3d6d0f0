"""What is remembered is what would be worked out again."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ringwright.geometry.errors import GeometryError
from ringwright.geometry.remember import remembered


@given(st.lists(st.lists(st.integers(-2, 2), max_size=3), max_size=3), st.integers(-2, 2))
def test_it_is_the_same_as_without(points: list[list[int]], by: int) -> None:
    def work(points: list[list[int]], by: int = 0) -> int:
        return sum(map(sum, points)) * by

    known = remembered(4)(work)
    for _ in range(2):
        assert known(points, by=by) == work(points, by=by)
        assert known([*points, [by]], by) == work([*points, [by]], by)


def test_equal_values_are_worked_out_once_and_no_more_are_kept_than_asked_for() -> None:
    asked = []

    @remembered(2)
    def work(at: list[float]) -> float:
        asked.append(at)
        return at[0]

    for value in (1.0, 1.0, 2.0, 1.0, 3.0, 2.0):
        assert work([value]) == value
    assert len(asked) == 4


def test_what_cannot_be_told_apart_is_worked_out_each_time_and_errors_come_again() -> None:
    @remembered(2)
    def work(at: dict[str, float]) -> float:
        if not at:
            raise GeometryError("no-size", "nothing is left")
        return at["x"]

    assert work({"x": 1.0}) == 1.0
    for _ in range(2):
        with pytest.raises(GeometryError, match="nothing is left"):
            work({})
