"""Costly pure functions whose results may be kept from one build to the next.

Geometry keeps nothing itself: who runs a build hands in a memory for as long as it lasts. What a function gave is
found again by all that went into it, to the last bit, so that what is recalled is what would be worked out.
`remember.py` does the like within one run, for any values and at next to no cost, and says how the two differ; where a
function has both, this stands outside, so that all is kept.
"""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from functools import wraps
from importlib import import_module
from typing import Any, ParamSpec, Protocol, TypeVar

_Given = ParamSpec("_Given")
_Result = TypeVar("_Result")


class Memory(Protocol):
    """Texts by key. digests: marks of large values that were asked about, each kept with the value itself, by `id`."""

    digests: dict[int, tuple[object, str]]

    def recall(self, key: str) -> str | None:
        """What was kept under a key; None where nothing was, or it is damaged."""

    def keep(self, key: str, text: str) -> None:
        """Keep a text under a key."""


_MAKERS = ("ringwright.geometry.", "ringwright.backends.")
"""Where the classes come from that results may be of."""

_MEMORY: ContextVar[Memory | None] = ContextVar("memory", default=None)


@contextmanager
def recalling(memory: Memory | None) -> Iterator[None]:
    """Keep in `memory` what recalled functions give, and take it from there."""
    token = _MEMORY.set(memory)
    try:
        yield
    finally:
        _MEMORY.reset(token)


def recalled(function: Callable[_Given, _Result]) -> Callable[_Given, _Result]:
    """A function that is worked out once for each set of arguments that a memory has not met.

    Arguments and results: numbers, texts, None, tuples and NamedTuples of them. What it raises is not kept.
    """
    name = f"{function.__module__}.{function.__qualname__}"

    @wraps(function)
    def called(*args: _Given.args, **more: _Given.kwargs) -> _Result:
        if _MEMORY.get() is None:
            return function(*args, **more)
        named = [part for item in sorted(more.items()) for part in item]
        return known(name, (len(args), *args, *named), lambda: function(*args, **more))

    return called


def known(name: str, values: tuple[object, ...], work: Callable[[], _Result]) -> _Result:
    """What `work` gives, or gave when the same values went into it. values: as the arguments of `recalled`."""
    memory = _MEMORY.get()
    if memory is None:
        return work()
    try:
        words = [_digest(value, memory) for value in values]
    except (TypeError, ValueError):
        return work()
    key = _mark(" ".join((name, *words)))
    text = memory.recall(key)
    if text is not None:
        try:
            found: _Result = _decoded(json.loads(text))
        except (ValueError, TypeError, KeyError, AttributeError, ImportError, RecursionError):
            pass
        else:
            memory.keep(key, text)
            return found
    result = work()
    with suppress(TypeError, ValueError):
        memory.keep(key, json.dumps(_encoded(result), allow_nan=False, separators=(",", ":")))
    return result


def _digest(value: object, memory: Memory) -> str:
    """What tells an argument from all others. Raises TypeError for what is no plain value, ValueError for NaN."""
    if not isinstance(value, tuple | list):
        return f"{type(value).__name__}:{json.dumps(value, allow_nan=False)}"
    known = memory.digests.get(id(value))
    if known is None or known[0] is not value:
        text = f"{type(value).__name__}:{json.dumps(value, allow_nan=False)}"
        known = (value, _mark(text))
        # A list may change; a tuple that is kept here stays what it is, and its id its own.
        if isinstance(value, tuple):
            memory.digests[id(value)] = known
    return known[1]


def _mark(text: str) -> str:
    """What stands for a text. Loaded late: a check recalls nothing, and the library takes long to start."""
    import hashlib

    return hashlib.sha256(text.encode()).hexdigest()


def _encoded(value: Any) -> Any:
    """A value as JSON has it: a tuple as a list, a NamedTuple with the name of its class."""
    if isinstance(value, tuple):
        fields = [_encoded(each) for each in value]
        if type(value) is tuple:
            return fields
        if not hasattr(value, "_fields"):
            raise TypeError
        return {"is": f"{type(value).__module__}:{type(value).__qualname__}", "of": fields}
    if value is None or isinstance(value, str | bool | int | float):
        return value
    raise TypeError


def _decoded(value: Any) -> Any:
    """The value again. Raises what a damaged one leads to; nothing but a NamedTuple of ours is ever made."""
    if isinstance(value, list):
        return tuple([_decoded(each) for each in value])
    if isinstance(value, dict):
        module, _, name = value["is"].partition(":")
        if not module.startswith(_MAKERS):
            raise ValueError
        kind = getattr(import_module(module), name)
        if not (isinstance(kind, type) and issubclass(kind, tuple) and hasattr(kind, "_fields")):
            raise TypeError
        return kind(*(_decoded(each) for each in value["of"]))
    return value
