"""What the last build of a spec worked out, in a file beside its build folder that may be deleted at any time.

Each line is a key, a digest and a result. A key is made of all that went into a result, and the head names the code
and the libraries that gave it: what does not fit is worked out again.
"""

import hashlib
import os
from contextlib import suppress
from pathlib import Path

import ringwright.backends
import ringwright.geometry
from ringwright.lang.version import VERSION

LARGEST = 256 * 1024 * 1024


class BuildMemory:
    """Results of geometry by key. Nothing is read before the first is asked for, nothing written where none was."""

    def __init__(self, path: Path) -> None:
        self.digests: dict[int, tuple[object, str]] = {}
        self._path = path
        self._head = ""
        self._known: dict[str, str] = {}
        self._used: dict[str, str] = {}
        self._data = b""

    def recall(self, key: str) -> str | None:
        """Return what was kept under a key in this build or the last, None where nothing sound was."""
        if not self._head:
            self._read()
        if key in self._used:
            return self._used[key]
        mark, _, text = self._known.get(key, "").partition(" ")
        return text if text and mark == _mark(text) else None

    def keep(self, key: str, text: str) -> None:
        """Keep a result for the next build."""
        self._used[key] = text

    def save(self) -> None:
        """Write what this build used, where that is not what the file holds; that it cannot be written is no fault."""
        if not self._used or self._path.is_symlink():
            return
        lines = [f"{key} {_mark(text)} {text}\n" for key, text in sorted(self._used.items())]
        data = "".join((self._head, *lines)).encode()
        if data != self._data:
            from ringwright.lang.commands.written import replace_file

            with suppress(OSError):
                replace_file(self._path, data)

    def _read(self) -> None:
        self._head = f"ringwright memory {VERSION} {_makers()}\n"
        try:
            if self._path.is_symlink() or self._path.stat().st_size > LARGEST:
                return
            self._data = self._path.read_bytes()
            head, *lines = self._data.decode("ascii").splitlines(keepends=True)
        except (OSError, ValueError):
            return
        if head == self._head:
            for line in lines:
                key, _, rest = line.rstrip("\n").partition(" ")
                self._known[key] = rest


def memory_of(spec: Path, target: Path | None) -> BuildMemory:
    """Return the memory of a spec's builds. target: the build folder, None for the usual one."""
    place = spec.parent / "build" / spec.stem if target is None else target
    place = Path(os.path.abspath(place))
    return BuildMemory(place.parent / f".{place.name}.memory")


def _mark(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _makers() -> str:
    """Return a digest of all that results depend on beside their arguments: the code of what remembers, and its libraries."""
    import numpy as np
    import shapely

    found = hashlib.sha256(f"{np.__version__} {shapely.__version__} {shapely.geos_version}".encode())
    for top in (*ringwright.geometry.__path__, *ringwright.backends.__path__):
        for folder, folders, names in os.walk(top):
            folders.sort()
            for name in sorted(name for name in names if name.endswith((".py", ".json"))):
                status = os.stat(os.path.join(folder, name))
                found.update(f"{name} {status.st_size} {status.st_mtime_ns}\n".encode())
    return found.hexdigest()[:16]
