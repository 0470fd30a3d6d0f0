"""The files that a build is made from, and the waiting until one of them is another."""

import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ringwright.lang.commands.common import Spec
from ringwright.lang.components.project import resolve
from ringwright.lang.syntax import nodes

if TYPE_CHECKING:
    from ringwright.lang.pipeline import Compiled

QUIET = 0.06
"""Seconds without another change after which a burst of saves is over."""
LONGEST = 1.0
"""Seconds after which a burst is not waited for any more."""
LOOK = 0.4
"""Seconds after which the files are looked at though nothing was heard of them: folders vanish and return unheard."""

Look = tuple[tuple[str, int, int, int], ...]
"""What tells that a file is another: path, when it was changed, ns, how long it is, bytes, and which it is."""


def files_of(spec: Spec, compiled: "Compiled | None") -> tuple[Path, ...]:
    """Return all files that a build rests on, and those that it asks for and that are missing."""
    found = {spec.path: None, spec.layout: None}
    if compiled is not None:
        project = compiled.project
        found.update(dict.fromkeys(spec.root / path for path in (*project.data, *project.attached)))
        for path, file in project.files.items():
            for name in _used(file):
                target = resolve(path, name)
                if target is not None:
                    found[spec.root / target] = None
    return tuple(sorted(found))


def _used(file: nodes.File) -> Iterator[str]:
    return (node.file.value for node in file.statements if isinstance(node, nodes.Use))


def look(files: tuple[Path, ...]) -> Look:
    """Return how the files stand; one that is missing has no time and no length."""
    found = []
    for path in files:
        try:
            at = os.stat(path)
        except OSError:
            found.append((str(path), 0, -1, 0))
        else:
            found.append((str(path), at.st_mtime_ns, at.st_size, at.st_ino))
    return tuple(found)


def folders_of(files: tuple[Path, ...]) -> tuple[Path, ...]:
    """Return the folders to listen to: those of the files, or the nearest above that there is."""
    found: dict[Path, None] = {}
    for path in files:
        folder = path.parent
        while not folder.is_dir() and folder != folder.parent:
            folder = folder.parent
        found[folder] = None
    return tuple(sorted(found))


def wait(files: tuple[Path, ...], before: Look) -> Look:
    """Wait until the files stand otherwise than before, and have come to rest; return how they stand then."""
    import watchfiles

    now = before
    while now == before:
        folders = folders_of(files)
        heard = watchfiles.watch(
            *folders,
            watch_filter=None,
            debounce=50,
            step=10,
            rust_timeout=int(1000 * LOOK),
            yield_on_timeout=True,
            recursive=False,
            raise_interrupt=True,
            ignore_permission_denied=True,
        )
        try:
            for _ in heard:
                now = look(files)
                if now != before or folders_of(files) != folders or not all(map(Path.is_dir, folders)):
                    break
        except (FileNotFoundError, OSError):
            time.sleep(LOOK / 4)  # a folder went between being looked for and being listened to
            now = look(files)
        finally:
            heard.close()
    end = time.monotonic() + LONGEST
    while time.monotonic() < end:
        time.sleep(QUIET)
        then, now = now, look(files)
        if now == then:
            break
    return now
