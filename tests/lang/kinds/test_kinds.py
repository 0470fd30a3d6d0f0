"""The table of kinds: each can be read by itself, and what its page shows is true."""

import subprocess
import sys

import pytest
from ringwright.lang.kinds import FILES, NAMES, kind_of


def test_each_kind_can_be_the_first_that_is_read(tmp_path):
    code = (
        "import sys, importlib\n"
        f"for name in {sorted(FILES)!r}:\n"
        "    for module in [m for m in sys.modules if m.startswith('ringwright.lang.kinds')]:\n"
        "        del sys.modules[module]\n"
        "    importlib.import_module('ringwright.lang.kinds').kind_of(name)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_there_is_no_kind_of_another_name():
    assert kind_of("biplane") is None


@pytest.mark.parametrize("name", NAMES)
def test_a_kind_says_what_it_is(name):
    kind = kind_of(name)
    assert kind is not None
    assert kind.name == name
    assert kind.doc
    names = [entry.name for entry in (*kind.properties, *kind.solved, *kind.forward)]
    assert len(names) == len(set(names))
    for property in kind.properties:
        assert property.doc
        assert property.example.startswith(f"{property.name} = ")
        assert (property.default is None) == (property.shown == "")
    for inner in kind.children:
        inside = kind_of(inner)
        assert inside is not None
        assert name in inside.inside
