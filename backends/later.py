"""Modules that a library imports for what we never ask of it, put off until something does ask.

A sheet loads no web font and no picture, and its values need no checking; yet svgwrite and reportlab import
the network, the image and the checking modules for those as soon as they are imported themselves, which takes
longer than to write the sheet. Nothing is taken away: whoever asks gets the real module.
"""

import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from types import ModuleType
from typing import Any


@contextmanager
def put_off(modules: Mapping[str, tuple[str, ...]]) -> Iterator[None]:
    """While this lasts, importing one of these modules does not load it.

    modules: by name, with the functions that are taken from it by name. Those load it when they are called;
    whatever else is asked of it loads it at once. A module that is already there is left alone.
    """
    absent = [name for name in modules if name not in sys.modules]
    for name in absent:
        sys.modules[name] = _Later(name, modules[name])
    try:
        yield
    finally:
        for name in absent:
            _clear(name)


class _Later(ModuleType):
    """Stands for a module until something is asked of it."""

    def __init__(self, name: str, functions: tuple[str, ...]) -> None:
        super().__init__(name)
        for function in functions:
            setattr(self, function, _calling(name, function))

    def __getattr__(self, attribute: str) -> Any:
        if attribute.startswith("__"):
            raise AttributeError(attribute)
        return getattr(_real(self.__name__), attribute)


def _calling(module: str, function: str) -> Callable[..., Any]:
    def call(*arguments: Any, **named: Any) -> Any:
        return getattr(_real(module), function)(*arguments, **named)

    return call


def _real(name: str) -> ModuleType:
    from importlib import import_module

    _clear(name)
    return import_module(name)


def _clear(name: str) -> None:
    """Let the next import of a module find the real one."""
    if isinstance(sys.modules.get(name), _Later):
        del sys.modules[name]
