"""What has been worked out is remembered within one run: of equal numbers the same comes again, and an edit changes few
of them.

`recall.py` keeps results from one build to the next. The two have nothing in common but the idea: here a key is the
values themselves, found by a hash in no time, so that small and frequent work gains, and whatever it made is handed out
as it is; there a key is a digest of all that went in, results must be plain values that can be written down, and only
what takes much longer than that is worth it. A function that is asked for often and is costly has both.
"""

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
