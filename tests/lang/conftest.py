"""What the tests of the language share: specs compiled from text, without a disk."""

from collections.abc import Callable, Mapping
from typing import NamedTuple

import pytest
from ringwright.geometry.part import Part
from ringwright.lang.components.project import Refused
from ringwright.lang.design.design import Design
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.pipeline import Compiled, compile_spec

MODEL = 'model test { title = "Test" }\n'
BOARD = "stock board { kind = foamboard, thickness = 4.8 mm, sheet = 762 mm by 508 mm, mass = 410 g/m2 }\n"
CARD = "stock card { kind = card, thickness = 0.4 mm, sheet = 297 mm by 210 mm, mass = 300 g/m2 }\n"
PLY = "stock ply { kind = ply, thickness = 3 mm, sheet = 600 mm by 300 mm, density = 680 kg/m3 }\n"
USUAL = MODEL + BOARD + CARD + PLY


class Outcome(NamedTuple):
    """A spec compiled from text, with short ways to what tests ask of it."""

    compiled: Compiled

    @property
    def design(self) -> Design:
        assert self.compiled.design is not None, self.said
        return self.compiled.design

    @property
    def findings(self) -> tuple[Diagnostic, ...]:
        return self.compiled.findings

    @property
    def said(self) -> list[str]:
        """Every finding as 'code: message', for the reader of a failed test."""
        return [f"{finding.code}: {finding.message}" for finding in self.findings]

    @property
    def errors(self) -> list[str]:
        return [finding.code for finding in self.findings if finding.severity == "error"]

    @property
    def warnings(self) -> list[str]:
        return [finding.code for finding in self.findings if finding.severity == "warning"]

    def value(self, name: str) -> float:
        """A solved value, mm, rad, g."""
        assert name in self.design.values, [*self.said, *self.design.values]
        return self.design.values[name]

    def part(self, id: str) -> Part:
        """A part by its id."""
        found = {part.id: part for part in self.design.parts}
        assert id in found, [*self.said, *found]
        return found[id]

    def the(self, code: str) -> Diagnostic:
        """The one finding with a code."""
        (found,) = [finding for finding in self.findings if finding.code == code]
        return found

    def position(self, code: str) -> tuple[int, int]:
        """Line and column of the one finding with a code."""
        span = self.the(code).span
        assert span is not None
        return self.compiled.project.sources[span.source].position(span.start)

    def underlined(self, code: str) -> str:
        """The text under the one finding with a code."""
        span = self.the(code).span
        assert span is not None
        return self.compiled.project.sources[span.source].text[span.start : span.end]


Compile = Callable[..., Outcome]


def compile_texts(text: str, files: Mapping[str, str], before: str) -> Outcome:
    """Compile `before` + text as main.wright beside other files, all in memory."""
    texts = {**files, "main.wright": before + text}

    def read(path: str) -> bytes:
        if path not in texts:
            raise Refused("missing-file", f"there is no file '{path}'", tuple(sorted(texts)))
        return texts[path].encode()

    return Outcome(compile_spec("main.wright", read))


@pytest.fixture(scope="session")
def compiled() -> Compile:
    """Compile a spec's text; whether it is sound is for the test to say. The text stands by itself."""

    def run(text: str, **files: str) -> Outcome:
        return compile_texts(text, {f"{name}.wright": content for name, content in files.items()}, "")

    return run


@pytest.fixture(scope="session")
def built() -> Compile:
    """Compile a text that follows a model and the stocks board, card and ply; it must have no errors."""

    def run(text: str, **files: str) -> Outcome:
        outcome = compile_texts(text, {f"{name}.wright": content for name, content in files.items()}, USUAL)
        assert not outcome.errors, outcome.said
        return outcome

    return run


@pytest.fixture(scope="session")
def judged() -> Compile:
    """Compile a text that follows a model and the stocks board, card and ply; errors are for the test to look at."""

    def run(text: str, **files: str) -> Outcome:
        return compile_texts(text, {f"{name}.wright": content for name, content in files.items()}, USUAL)

    return run
