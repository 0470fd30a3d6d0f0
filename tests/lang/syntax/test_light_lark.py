"""Lark's compiler is loaded when it is asked for, and then is the real one."""

import subprocess
import sys


def said(code: str) -> str:
    """What a program prints in a Python of its own."""
    done = subprocess.run(
        [sys.executable, "-c", f"import sys\nimport ringwright.lang.syntax.machine\n{code}"],
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def test_a_parse_leaves_the_compiler_alone() -> None:
    assert said("print('lark.lexer' in sys.modules, 'lark.lark' in sys.modules)") == "True False"


def test_who_asks_for_the_compiler_gets_it() -> None:
    assert said("from lark import Lark; print(Lark('start: \"a\"').parse('a').data)") == "start"
    assert said("import lark; print(lark.Lark is lark.lark.Lark, lark.lark is sys.modules['lark.lark'])") == (
        "True True"
    )
    assert said("import lark.lark as compiler; import lark; print(compiler.Lark is lark.Lark)") == "True"
    assert said("from lark import *; print(issubclass(Lark, object), Tree.__name__)") == "True Tree"


def test_what_lark_lacks_is_still_lacking() -> None:
    assert said("import lark; print(hasattr(lark, 'heron'))") == "False"


def test_a_lark_that_is_there_is_left_as_it_is() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import lark, ringwright.lang.syntax; print(hasattr(lark, '__getattr__'))"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "False"
