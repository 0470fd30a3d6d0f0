"""What has been worked out is remembered: of equal numbers the same comes again, and an edit changes few of them."""

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import ParamSpec, TypeVar

Given = ParamSpec("Given")
Made = TypeVar("Made")


def remembered(most: int) -> Callable[[Callable[Given, Made]], Callable[Given, Made]]:
    """Let a pure function remember what it made of the last `most` values that it was given.

    Lists are taken as tuples; what cannot be told from others by its value is worked out each time. What is made must
    not be changed by whoever gets it.
    """

    def decorate(work: Callable[Given, Made]) -> Callable[Given, Made]:
        known = lru_cache(maxsize=most)(work)

        @wraps(work)
        def ask(*given: Given.args, **named: Given.kwargs) -> Made:
            key = tuple(_fixed(each) for each in given)
            more = {name: _fixed(each) for name, each in named.items()}
            try:
                hash((key, *more.values()))
            except TypeError:
                return work(*given, **named)
            return known(*key, **more)

        return ask

    return decorate


def _fixed(value: object) -> object:
    return tuple(map(_fixed, value)) if isinstance(value, list) else value
