"""The revisions of a spec in git, each compiled from what the repository held then."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Trouble, counted, errors_of, find_spec
from ringwright.lang.commands.sides import (
    compile_at,
    compile_read,
    repository_here,
    side_of_spec,
    spec_in_repository,
)
from ringwright.lang.compare.git import GitTrouble, Repository, Revision, named
from ringwright.lang.compare.history import State
from ringwright.lang.components.project import reader

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringwright.lang.compare.side import Side
    from ringwright.lang.components.project import Reader
    from ringwright.lang.pipeline import Compiled

MOST = 200
"""Revisions of which a history is made; the earlier ones are left out, and it says so."""


def states_of(argument: str, tags: bool) -> tuple[list[State], int]:
    """Return the revisions of a spec, the oldest first, and how many earlier ones are left out. Raises Trouble.

    Of a spec on the disk these are the commits up to HEAD, and last the spec as it is now, where that is another. tags:
    only those that have one; else those that touched any file that the spec reads.
    """
    revision = None if os.path.lexists(argument) else named(argument)
    try:
        if revision is None:
            repository, path = spec_in_repository(argument)
            commit = repository.commit("HEAD")
            read = reader(find_spec(argument).root)
            now = compile_read(path, read)
        else:
            repository = repository_here(Path())
            commit, path = repository.commit(revision[0]), repository.path(revision[1])
            read = repository.reader(commit)
            now = compile_at(repository, commit, path)
        found = repository.tagged(commit) if tags else repository.touching(commit, tuple(now.project.data))
    except GitTrouble as trouble:
        raise Trouble(str(trouble)) from None
    states = []
    data: Mapping[str, bytes] = {}
    for one in found[-MOST:]:
        state, data = _state(repository, one, path)
        states.append(state)
    if revision is None and states and data != now.project.data:
        states.append(State("now", "", "", _side_or_why(now, argument, read)))
    return states, max(0, len(found) - MOST)


def _state(repository: Repository, one: Revision, path: str) -> "tuple[State, Mapping[str, bytes]]":
    try:
        compiled = compile_at(repository, one.id, path)
    except Trouble as trouble:
        return State(one.name, one.id, one.date, str(trouble)), {}
    side = _side_or_why(compiled, one.name, repository.reader(one.id))
    return State(one.name, one.id, one.date, side), compiled.project.data


def _side_or_why(compiled: "Compiled", name: str, read: "Reader") -> "Side | str":
    """Return the side of a compiled spec, or why there is none."""
    if compiled.failed or compiled.design is None:
        errors = len(errors_of(compiled))
        return f"not built: {counted(errors, 'error')}"
    try:
        return side_of_spec(compiled, name, read=read)
    except Trouble as trouble:
        return str(trouble)
