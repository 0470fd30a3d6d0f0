"""A design and its sheets as the plain values that files are written from."""

import hashlib
from collections.abc import Iterable

from ringwright.backends.record import BuildRecord, Dimension, Finding, Load, Model, Piece, SourceFile
from ringwright.geometry.part import Sheet
from ringwright.lang.components.project import Project
from ringwright.lang.design.design import Design
from ringwright.lang.diagnostics.diagnostic import Diagnostic
from ringwright.lang.pipeline import Compiled
from ringwright.lang.solve.terms import Equation
from ringwright.lang.units import ANGLE, AREA, LENGTH, MASS, NUMBER
from ringwright.lang.version import VERSION

UNITS = {LENGTH: "mm", ANGLE: "rad", MASS: "g", AREA: "mm2", NUMBER: ""}


def record_of(compiled: Compiled, design: Design, sheets: tuple[Sheet, ...]) -> BuildRecord:
    """Return all that is written of a build."""
    about = design.about
    return BuildRecord(
        VERSION,
        Model(about.name, about.title, about.revision, design.scale.along, about.unit, about.fraction),
        tuple(
            SourceFile(path, hashlib.sha256(data).hexdigest())
            for path, data in sorted(compiled.project.data.items())
        ),
        dimensions_of(design, compiled.project),
        design.defaults,
        design.parts,
        sheets,
        design.cutting,
        findings_of(compiled.findings, compiled.project),
        loads_of(design),
        colours=design.colours,
        pieces=tuple(Piece(*piece) for piece in design.pieces),
    )


def loads_of(design: Design) -> tuple[Load, ...]:
    """Return all that weighs and is not cut: loads, allowances, ballast."""
    if design.weighed is None:
        return ()
    return tuple(
        Load(entry.name, entry.mass, entry.at)
        for entry in sorted(design.weighed.entries, key=lambda entry: entry.name)
        if entry.sort != "part"
    )


def dimensions_of(design: Design, project: Project) -> tuple[Dimension, ...]:
    """Return every solved name with its value, where it comes from, and its ±."""
    return tuple(_dimension(design, project, name) for name in sorted(design.values))


def _dimension(design: Design, project: Project, name: str) -> Dimension:
    unit = UNITS.get(design.dimensions[name], "")
    because = design.solution.because.get(name)
    if because is None:
        return Dimension(name, design.values[name], unit, "derived", "from the finished part", "", None)
    origin = because.equation.origin
    spread = design.solution.plus_minus(name)
    at = ""
    if (
        isinstance(because.equation, Equation)
        and origin.span is not None
        and origin.kind in ("stated", "given")
    ):
        line, column = project.sources[origin.span.source].position(origin.span.start)
        at = f"{origin.span.source}:{line}:{column}"
    return Dimension(name, design.values[name], unit, because.provenance, origin.text, at, spread)


def findings_of(findings: Iterable[Diagnostic], project: Project) -> tuple[Finding, ...]:
    """Return findings as plain values, in the order of the text."""
    found = []
    for finding in findings:
        file, line, column, end_line, end_column = "", 0, 0, 0, 0
        if finding.span is not None:
            file = finding.span.source
            source = project.sources[file]
            line, column = source.position(finding.span.start)
            end_line, end_column = source.position(finding.span.end)
        found.append(
            Finding(
                finding.code,
                finding.severity,
                finding.message,
                file,
                line,
                column,
                end_line,
                end_column,
                finding.help,
            )
        )
    return tuple(sorted(found, key=lambda f: (f.file, f.line, f.column, f.code, f.message)))
