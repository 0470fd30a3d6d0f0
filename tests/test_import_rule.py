"""Who may import whom, what is imported when, and what a command loads.

Every rule is tried on a copy of the project in which one line has been planted that breaks it.
"""

import ast
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parents[1]
FOLDERS = ("geometry", "lang", "backends")
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "lang",
    "geometry",
    "backends",
    "tests",
    "specs",
}

# What each folder may import at all, beside the standard library and itself.
MAY = {
    "geometry": {"numpy", "shapely"},
    "lang": {"ringwright.geometry", "lark", "numpy", "shapely"},
    "backends": {"ringwright.geometry", "numpy", "shapely", "svgwrite", "reportlab", "ezdxf", "fontTools"},
}
ONLY_COMMANDS = "ringwright.backends"
KNOWS_LARK = "lang/syntax/grammar_table.py"
# One way through the language: a room knows those that the text has passed before it, and what all share.
# Kinds and the design know each other: a kind gives equations to the one and parts to the other.
SHARED = {"source", "units", "version", "diagnostics"}
ROOMS = {
    "source": {"diagnostics"},
    "units": set(),
    "diagnostics": SHARED,
    "syntax": SHARED,
    "tidy": SHARED | {"syntax"},
    "solve": SHARED,
    "components": SHARED | {"syntax", "kinds"},
    "values": SHARED | {"syntax", "components", "kinds", "solve"},
    "layout": SHARED | {"compare"},
    "book": SHARED | {"syntax", "components", "kinds", "design", "solve"},
    "compare": SHARED | {"components", "design", "solve", "pipeline"},
    "editing": SHARED
    | {"syntax", "tidy", "components", "values", "design", "kinds", "solve", "pipeline", "reference"},
    "design": SHARED | {"syntax", "components", "values", "kinds", "solve"},
    "kinds": SHARED | {"syntax", "components", "values", "design", "solve"},
}
EMITTERS = {
    "svgwrite": "backends/svg.py",
    "reportlab": "backends/pdf.py",
    "ezdxf": "backends/dxf.py",
    "fontTools": "backends/glyphs.py",
}
# The protocol of editors, the watching of files, the other packer: each known to the files that use it alone.
SPOKEN = {
    "spyrrow": {"geometry/nest/packed.py"},
    "pygls": {"lang/commands/serve.py", "lang/commands/protocol.py", "lang/commands/answers.py"},
    "lsprotocol": {"lang/commands/protocol.py", "lang/commands/answers.py"},
    "watchfiles": {"lang/commands/watch.py", "lang/commands/watched.py"},
}
# Costly to import: only inside functions, or for the type checker.
LATE = {"numpy", "shapely", "svgwrite", "reportlab", "ezdxf", "fontTools", "lark"}
# Nothing of the machine, the hour or of chance reaches geometry.
OUTSIDE_WORLD = {
    "asyncio", "ctypes", "datetime", "fileinput", "glob", "io", "locale", "multiprocessing", "os",
    "pathlib", "platform", "random", "secrets", "shutil", "signal", "socket", "subprocess", "sys",
    "tempfile", "threading", "time", "uuid",
}  # fmt: skip
OUTSIDE_CALLS = {"open", "print", "input", "exec", "eval", "__import__"}
# numpy's linear algebra and its vector code differ from processor to processor, and its random is random.
UNEVEN = {
    "arccos", "arcsin", "arctan", "arctan2", "cos", "cosh", "cross", "dot", "einsum", "exp", "expm1",
    "fft", "inner", "linalg", "log", "log10", "log1p", "log2", "matmul", "power", "random", "sin", "sinh",
    "tan", "tanh", "tensordot", "vdot",
}  # fmt: skip


class Import(NamedTuple):
    """A module that a line imports. late: inside a function, or only for the type checker."""

    module: str
    line: int
    late: bool


def imports(tree: ast.Module, package: str) -> Iterator[Import]:
    """Yield the imports of a file; of `from a import b` both a and a.b, for b may be a module."""
    yield from _imports(tree, package, late=False)


def _imports(node: ast.AST, package: str, late: bool) -> Iterator[Import]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Import):
            yield from (Import(name.name, child.lineno, late) for name in child.names)
        elif isinstance(child, ast.ImportFrom):
            above = package.split(".")[: len(package.split(".")) - child.level + 1] if child.level else []
            module = ".".join([*above, *([child.module] if child.module else [])])
            yield Import(module, child.lineno, late)
            yield from (Import(f"{module}.{name.name}", child.lineno, late) for name in child.names)
        elif isinstance(child, ast.If) and "TYPE_CHECKING" in ast.dump(child.test):
            for part in child.body:
                yield from _imports(ast.Module([part], []), package, late=True)
            for part in child.orelse:
                yield from _imports(ast.Module([part], []), package, late)
        else:
            inner = late or isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
            yield from _imports(child, package, inner)


def within(module: str, package: str) -> bool:
    """Return whether a module is a package or stands in it."""
    return module == package or module.startswith(package + ".")


def breaches(root: Path) -> list[str]:
    """Return every line that breaks a rule, as 'file:line: what is wrong', in the order of the files."""
    found = []
    for folder in FOLDERS:
        for path in sorted((root / folder).rglob("*.py")):
            file = path.relative_to(root).as_posix()
            tree = ast.parse(path.read_text("utf-8"), file)
            package = "ringwright." + ".".join(path.relative_to(root).parent.parts)
            for one in imports(tree, package):
                found += [f"{file}:{one.line}: {wrong}" for wrong in _wrong_import(file, folder, one)]
            found += [f"{file}:{line}: {wrong}" for line, wrong in _wrong_code(tree, folder)]
    return sorted(set(found))


def room_of(path: str) -> str:
    """Return the room of lang/ that a file or a module is in, or which of the files beside them it is; else ''."""
    parts = path.removesuffix(".py").split("/")
    return parts[1] if parts[0] == "lang" and len(parts) > 1 else ""


def _wrong_import(file: str, folder: str, one: Import) -> Iterator[str]:
    first = one.module.split(".")[0]
    allowed = {*MAY[folder], f"ringwright.{folder}"}
    if file.startswith("lang/commands/"):
        allowed.add(ONLY_COMMANDS)
    if first == "ringwright" or first in FOLDERS or first in LATE:
        if one.module != "ringwright" and not any(within(one.module, package) for package in allowed):
            yield f"{folder} does not import {'.'.join(one.module.split('.')[:2])}"
    elif first in SPOKEN:
        if file not in SPOKEN[first]:
            yield f"only {' and '.join(sorted(SPOKEN[first]))} may know {first}"
    elif first not in sys.stdlib_module_names:
        yield f"{first} is no dependency"
    room, other = room_of(file), room_of(one.module.replace(".", "/").removeprefix("ringwright/"))
    if room in ROOMS and other and other not in {room, *ROOMS[room]}:
        yield f"lang/{room} does not import lang/{other}"
    if first == "lark" and file != KNOWS_LARK:
        yield "only the maker of the grammar's table knows lark"
    if first in EMITTERS and file != EMITTERS[first]:
        yield f"only {EMITTERS[first]} writes with {first}"
    if first in LATE and not one.late:
        yield f"{first} is imported inside the function that needs it"
    if folder == "geometry" and first in OUTSIDE_WORLD:
        yield f"geometry knows nothing of {first}"


def _wrong_code(tree: ast.Module, folder: str) -> Iterator[tuple[int, str]]:
    """Yield what numpy and the outside world are not asked: no BLAS anywhere, no file in geometry."""
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.MatMult):
            yield node.lineno, "@ on numbers differs from processor to processor"
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            if node.value.id in ("np", "numpy") and node.attr in UNEVEN:
                yield node.lineno, f"numpy.{node.attr} differs from processor to processor"
        elif folder == "geometry" and isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            called = node.func.id
            if called in OUTSIDE_CALLS:
                yield node.lineno, f"geometry calls no {called}()"


def test_the_house_keeps_its_rules() -> None:
    found = breaches(ROOT)
    assert not found, "\n".join(found)


# What is said, and where which line is planted that it must be said of.
PLANTED = {
    "geometry does not import ringwright.lang": [
        ("geometry/part.py", "from ringwright.lang.source import Span"),
        ("geometry/part.py", "def f():\n    import ringwright.lang.units"),
        ("geometry/nest/nest.py", "from ...lang import source"),
    ],
    "geometry does not import ringwright.backends": [("geometry/part.py", "from ringwright import backends")],
    "geometry does not import lang.units": [("geometry/part.py", "import lang.units")],
    "geometry does not import lark": [("geometry/part.py", "import lark")],
    "geometry knows nothing of os": [("geometry/ring.py", "def f():\n    import os")],
    "geometry knows nothing of random": [("geometry/ring.py", "from random import random")],
    "geometry knows nothing of time": [("geometry/ring.py", "import time")],
    "geometry calls no open()": [("geometry/ring.py", "def f():\n    open('x')")],
    "backends does not import ringwright.lang": [
        ("backends/sheet.py", "from ringwright.lang.design.design import Design"),
    ],
    "lang does not import ringwright.backends": [
        ("lang/pipeline.py", "def f():\n    from ringwright.backends import svg"),
        ("lang/kinds/panel.py", "if TYPE_CHECKING:\n    from ringwright.backends.record import Model"),
    ],
    "lang/syntax does not import lang/components": [
        ("lang/syntax/parse.py", "from ringwright.lang.components.tree import Tree"),
        ("lang/syntax/nodes.py", "if TYPE_CHECKING:\n    from ..components import names"),
    ],
    "lang/syntax does not import lang/tidy": [
        ("lang/syntax/nodes.py", "def f():\n    from ringwright.lang import tidy"),
    ],
    "lang/tidy does not import lang/values": [("lang/tidy/lines.py", "import ringwright.lang.values.value")],
    "lang/components does not import lang/values": [
        ("lang/components/names.py", "from ringwright.lang.values.value import Amount"),
    ],
    "lang/values does not import lang/design": [
        ("lang/values/offsets.py", "from ringwright.lang.design.making import Maker"),
    ],
    "lang/editing does not import lang/commands": [
        ("lang/editing/text.py", "from ringwright.lang.commands.common import plain")
    ],
    "only lang/commands/answers.py and lang/commands/protocol.py may know lsprotocol": [
        ("lang/editing/hover.py", "def f():\n    from lsprotocol import types")
    ],
    "only lang/commands/watch.py and lang/commands/watched.py may know watchfiles": [
        ("lang/commands/build.py", "def f():\n    import watchfiles")
    ],
    "lang/solve does not import lang/kinds": [
        ("lang/solve/rows.py", "def f():\n    import ringwright.lang.kinds")
    ],
    "lang/compare does not import lang/values": [
        ("lang/compare/side.py", "from ringwright.lang.values.value import Amount"),
    ],
    "lang/book does not import lang/commands": [
        ("lang/book/steps.py", "def f():\n    from ringwright.lang.commands import bill"),
    ],
    "lang/design does not import lang/pipeline": [
        ("lang/design/checks.py", "from ringwright.lang.pipeline import Compiled"),
    ],
    "lang/source does not import lang/units": [("lang/source.py", "from ringwright.lang import units")],
    "lang does not import reportlab": [("lang/kinds/panel.py", "def f():\n    import reportlab")],
    "scipy is no dependency": [("geometry/ring.py", "def f():\n    import scipy")],
    "only the maker of the grammar's table knows lark": [
        ("lang/components/names.py", "def f():\n    from lark import Token")
    ],
    "only backends/svg.py writes with svgwrite": [("backends/sheet.py", "def f():\n    import svgwrite")],
    "svgwrite is imported inside the function that needs it": [("backends/svg.py", "import svgwrite")],
    "reportlab is imported inside the function that needs it": [
        ("backends/pdf.py", "try:\n    import reportlab\nfinally:\n    pass"),
    ],
    "numpy is imported inside the function that needs it": [("geometry/ring.py", "import numpy as np")],
    "shapely is imported inside the function that needs it": [
        ("geometry/ring.py", "class A:\n    import shapely"),
        ("lang/pipeline.py", "from shapely.geometry import Polygon"),
    ],
    "@ on numbers differs from processor to processor": [
        ("geometry/ring.py", "def f(a, b):\n    return a @ b"),
        ("lang/pipeline.py", "def f(a):\n    a @= a"),
    ],
    "numpy.exp differs from processor to processor": [
        ("geometry/ring.py", "def f():\n    import numpy as np\n\n    return np.exp(1)"),
    ],
}

HARMLESS = [
    ("lang/commands/build.py", "from ringwright.backends import svg"),
    ("geometry/ring.py", "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import numpy as np"),
    ("geometry/ring.py", "def f():\n    import shapely\n    return 'open(random)'"),
    ("lang/pipeline.py", "from ringwright.geometry import ring"),
    ("lang/pipeline.py", "from ringwright.lang.syntax import nodes"),
    ("lang/tidy/lines.py", "from ringwright.lang.syntax.nodes import File"),
    ("lang/kinds/ring.py", "from ringwright.lang.design.making import Maker"),
]


@pytest.mark.parametrize("said", PLANTED)
def test_a_planted_breach_is_caught(said: str, tmp_path: Path) -> None:
    for file, text in PLANTED[said]:
        before = alone(tmp_path, file)
        assert said not in before
        plant(tmp_path, file, text)
        after = [line for line in breaches(tmp_path) if line not in before]
        assert {line.split(": ", 1)[1] for line in after} >= {said}, (file, text)
        assert all(line.startswith(f"{file}:") for line in after)


@pytest.mark.parametrize(("file", "text"), HARMLESS)
def test_what_is_allowed_passes(tmp_path: Path, file: str, text: str) -> None:
    before = alone(tmp_path, file)
    plant(tmp_path, file, text)
    assert breaches(tmp_path) == before


def alone(root: Path, file: str) -> list[str]:
    """Make a project that holds a copy of one file only; return its breaches."""
    shutil.rmtree(root)
    (root / file).parent.mkdir(parents=True)
    shutil.copy(ROOT / file, root / file)
    return breaches(root)


def plant(root: Path, file: str, text: str) -> None:
    """Add text to the end of a file."""
    path = root / file
    path.write_text(path.read_text("utf-8") + text + "\n", "utf-8")


# -- what is loaded when a command runs ------------------------------------------------------------


HEAVY = ("numpy", "shapely", "svgwrite", "reportlab", "ezdxf", "fontTools", "pygls", "watchfiles")
NOT_LOADED = {
    "--version": (*HEAVY, "lark", "argparse", "json", "dataclasses", "re"),
    "--help": (*HEAVY, "lark", "argparse", "json", "dataclasses", "re"),
    "chekc": (*HEAVY, "lark"),
    "build --formats stone x.wright": (*HEAVY, "lark"),
    "check broken.wright": (*HEAVY, "lark"),
    "check stack.wright": (*HEAVY, "lark"),
}


@pytest.mark.parametrize("command", NOT_LOADED)
def test_what_a_command_does_not_load(command: str, tmp_path: Path) -> None:
    """Start-up is kept short by loading nothing before it is needed."""
    (tmp_path / "broken.wright").write_text("model broken {\n    title = = \n", "utf-8")
    (tmp_path / "stack.wright").write_text(STACK, "utf-8")
    code = (
        "import sys; before = set(sys.modules)\n"
        "from ringwright.lang.commands.main import main\n"
        "try: main(sys.argv[1:])\n"
        "except SystemExit: pass\n"
        "sys.stdout.write('\\nloaded ' + ' '.join(sorted(set(sys.modules) - before)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *command.split()],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    )
    loaded = done.stdout.rsplit("\nloaded ", 1)[1].split()
    assert "ringwright.lang.commands.main" in loaded
    assert sorted(set(NOT_LOADED[command]) & set(loaded)) == []


STACK = """\
model plain { title = "Plain" }
stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm }
station firewall { x = 0 mm }
station spinner { x = -104 mm }
stack cowl {
    from = firewall
    to = spinner
    stock = board
    plate back { }
    barrel drum { diameter = 132 mm, length = 38 mm }
    cone mid { end = 116 mm }
    cone lip { end = 92 mm }
}
"""
