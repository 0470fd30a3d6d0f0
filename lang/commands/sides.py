"""What `compare` and `build --since` lay side by side: a spec, a build folder, or either at a revision in git."""

import os
import sys
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any

from ringwright.geometry.errors import GeometryError
from ringwright.lang.commands.common import (
    LAYOUT,
    Trouble,
    coloured,
    compile_argument,
    counted,
    errors_of,
    find_spec,
    renamed,
    sources_shown,
)
from ringwright.lang.compare.git import GitTrouble, Repository, named
from ringwright.lang.compare.side import Side, Unfit, side_of

LARGEST = 256_000_000
"""Bytes of a manifest that are read."""

if TYPE_CHECKING:
    from ringwright.lang.components.project import Reader
    from ringwright.lang.pipeline import Compiled


def read_side(argument: str, color: str) -> Side:
    """Return the side that a command line names. Raises Trouble; errors of a spec are shown first."""
    there = _exists(argument)
    revision = None if there else named(argument)
    if revision is not None:
        return _at_revision(argument, *revision, color)
    if there and (os.path.isdir(argument) or argument.endswith(".json")):
        return manifest_side(_manifest_bytes(Path(argument)), argument)
    from ringwright.lang.components.project import reader

    if there and argument.endswith(LAYOUT):
        return wall_side(Path(argument), argument)
    spec, compiled = compile_argument(argument)
    shown = sources_shown(spec, compiled.project.sources)
    return spec_side(compiled, argument, shown, color, reader(spec.root))


def spec_side(compiled: "Compiled", name: str, shown: Mapping[str, str], color: str, read: "Reader") -> Side:
    """Return the side of a compiled spec. shown: its texts as messages name them; read: reads more of them. Raises Trouble."""
    design = compiled.design
    if compiled.failed or design is None:
        from ringwright.lang.diagnostics.text import render_text

        errors = errors_of(compiled)
        sys.stderr.write(render_text(*renamed(errors, compiled.project.sources, shown), coloured(color)))
        raise Trouble(f"'{name}' has {counted(len(errors), 'error')} and cannot be compared")
    return side_of_spec(compiled, name, read=read)._replace(paths=shown)


def side_of_spec(
    compiled: "Compiled", name: str, laid_out: bool = True, read: "Reader | None" = None
) -> Side:
    """Return the side of a sound spec, laid out as a build would unless not asked for. Raises Trouble.

    read: what reads the layout file beside the spec; None where that is of no interest.
    """
    import json

    from ringwright.backends.manifest import manifest
    from ringwright.lang.commands.lay_out import sheets_as_kept
    from ringwright.lang.commands.record import record_of

    design = compiled.design
    assert design is not None
    try:
        sheets = sheets_as_kept(design, _layout(compiled, read)) if laid_out else ()
        text = manifest(record_of(compiled, design, sheets), {})
    except GeometryError as error:
        raise Trouble(f"'{name}' cannot be laid out: {error} [{error.code}]") from None
    return side_of(json.loads(text), name, compiled)


def _layout(compiled: "Compiled", read: "Reader | None") -> bytes | None:
    """Return the content of the layout file beside a spec, None where there is none."""
    from ringwright.lang.components.project import Refused

    if read is None:
        return None
    try:
        return read(PurePosixPath(compiled.project.main).with_suffix(LAYOUT).as_posix())
    except Refused:
        return None


def wall_side(path: Path, name: str) -> Side:
    """Return what a layout file says that hangs on the wall. Raises Trouble."""
    from ringwright.lang.components.project import Refused, read_regular
    from ringwright.lang.layout.built import pieces_built, wall
    from ringwright.lang.layout.layout_file import NoLayout, read_layout

    try:
        layout, _ = read_layout(read_regular(path, name, LARGEST))
    except Refused as refused:
        raise Trouble(str(refused)) from None
    except NoLayout as none:
        raise Trouble(f"'{name}' is no layout file: {none}") from None
    pieces, spoiled = pieces_built(layout.built)
    if spoiled:
        raise Trouble(spoiled[0])
    if not pieces:
        raise Trouble(f"'{name}' records nothing as built: `ringwright built SPEC` does")
    return wall(name, pieces)


def manifest_side(data: bytes, name: str) -> Side:
    """Return the side of a manifest. Raises Trouble."""
    import json

    from ringwright.backends.manifest import SCHEMA

    try:
        found: Any = json.loads(data)
    except (ValueError, RecursionError):
        raise Trouble(f"the manifest of '{name}' cannot be read: it is no JSON") from None
    if not isinstance(found, dict) or found.get("schema") != SCHEMA:
        raise Trouble(f"'{name}' holds no manifest of {SCHEMA}")
    try:
        return side_of(found, name)
    except Unfit as unfit:
        raise Trouble(str(unfit)) from None


def compile_at(repository: Repository, commit: str, path: str) -> "Compiled":
    """Compile the spec at a path of a commit; all that it reads comes from that commit. Raises Trouble."""
    return compile_read(path, repository.reader(commit))


def compile_read(path: str, read: "Reader") -> "Compiled":
    """Compile a spec from a reader. Raises Trouble."""
    from ringwright.lang.components.project import Refused
    from ringwright.lang.pipeline import compile_spec

    try:
        return compile_spec(path, read)
    except Refused as refused:
        from ringwright.lang.diagnostics.suggest import suggest

        near = suggest(path.rpartition("/")[2], refused.nearby)
        raise Trouble(f"{refused}{f': did you mean {near!r}?' if near else ''}") from None


def repository_here(folder: Path) -> Repository:
    """Return the repository around a folder. Raises Trouble."""
    try:
        return Repository(folder)
    except GitTrouble as trouble:
        raise Trouble(str(trouble)) from None


def spec_in_repository(argument: str) -> tuple[Repository, str]:
    """Return the repository that a spec on the disk lies in, and its path from the top. Raises Trouble."""
    spec = find_spec(argument)
    if not spec.path.is_file():
        raise Trouble(f"there is no file '{argument}'")
    return repository_here(spec.path.parent), spec.name


def _at_revision(argument: str, revision: str, written: str, color: str) -> Side:
    repository = repository_here(Path())
    try:
        commit = repository.commit(revision)
        path = repository.path(written)
        folder = repository.is_folder(commit, path)
        if folder or path.endswith(".json"):
            from ringwright.backends.manifest import MANIFEST

            return manifest_side(
                _at_commit(repository, commit, f"{path}/{MANIFEST}" if folder else path), argument
            )
    except GitTrouble as trouble:
        raise Trouble(str(trouble)) from None
    try:
        compiled = compile_at(repository, commit, path)
    except Trouble as trouble:
        here = f"{repository.prefix}{written}"
        hint = (
            f"; paths count from the top: '{revision}:./{written}' counts from here"
            if repository.prefix
            else ""
        )
        raise Trouble(f"{trouble}{hint if here != path else ''}") from None
    return spec_side(
        compiled,
        argument,
        {name: f"{revision}:{name}" for name in compiled.project.sources},
        color,
        repository.reader(commit),
    )


def _at_commit(repository: Repository, commit: str, path: str) -> bytes:
    from ringwright.lang.components.project import Refused

    try:
        return repository.read(commit, path)
    except Refused as refused:
        raise Trouble(str(refused)) from None


def _exists(argument: str) -> bool:
    try:
        return os.path.lexists(argument)
    except ValueError:
        return False


def _manifest_bytes(path: Path) -> bytes:
    """Return the manifest of a build folder, or a file that is one. Raises Trouble."""
    from ringwright.backends.manifest import MANIFEST
    from ringwright.lang.components.project import Refused, read_regular

    file = path / MANIFEST if path.is_dir() else path
    if path.is_dir() and not file.exists():
        raise Trouble(f"'{path}' is a folder without {MANIFEST}; name a build folder, or a spec")
    try:
        return read_regular(file, str(file), LARGEST)
    except Refused as refused:
        raise Trouble(str(refused)) from None
