"""Lark without its grammar compiler, which only the making of the grammar's table asks for.

`import lark` loads that compiler too, and it takes as long as all that a parse needs. Nothing is taken away:
whoever asks lark for `Lark` gets it.
"""

import sys
from importlib import import_module
from types import ModuleType
from typing import Any

_COMPILER = "lark.lark"


def load() -> None:
    """Import lark and leave its compiler to the first who asks for it; nothing where lark is there already."""
    if "lark" in sys.modules:
        return
    placeholder: Any = ModuleType(_COMPILER)
    placeholder.Lark = None
    sys.modules[_COMPILER] = placeholder
    try:
        package: Any = import_module("lark")
    finally:
        del sys.modules[_COMPILER]
    del package.Lark
    package.__getattr__ = _asked


def _asked(name: str) -> Any:
    """Return what lark is asked for and does not hold: Python calls this by the module's `__getattr__` (PEP 562)."""
    if name not in ("Lark", "lark"):
        raise AttributeError(f"module 'lark' has no attribute {name!r}")
    compiler = import_module(_COMPILER)
    return compiler if name == "lark" else compiler.Lark
