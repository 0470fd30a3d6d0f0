"""One run at a time: a lock file that the operating system holds, and so lets go when its holder dies."""

import errno
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

_PAUSE = 0.05  # s between two tries
_UNKNOWN_HERE = {errno.ENOLCK, errno.ENOTSUP, errno.ENOSYS}  # what shares without locks answer


class Busy(Exception):
    """Somebody else holds the lock; the message says who, as far as the lock file tells."""


@contextmanager
def held(path: Path, patience: float) -> Iterator[None]:
    """Hold the lock file at `path`, waiting up to `patience` seconds for it; it is gone afterwards.

    A file left behind by a killed run is no lock and is taken over. On a file system that knows no locks the
    work is done without one. Raises Busy, and OSError where the file cannot be made.
    """
    deadline = time.monotonic() + patience
    while (handle := _taken(path)) is None:
        if time.monotonic() >= deadline:
            raise Busy(_holder(path))
        time.sleep(_PAUSE)
    try:
        with suppress(OSError):  # the name is a courtesy
            os.truncate(handle, 0)
            os.write(handle, str(os.getpid()).encode())
        yield
    finally:
        _let_go(handle, path)


def _taken(path: Path) -> int | None:
    """The handle of the lock file, or None while another run holds it."""
    handle = _opened(path)
    try:
        # The holder removes the file before it lets go: what was locked may be a file without a name.
        if _locked(handle) and _still_named(handle, path):
            return handle
    except BaseException:
        os.close(handle)
        raise
    os.close(handle)
    return None


def _opened(path: Path) -> int:
    flags = os.O_CREAT | getattr(os, "O_NOFOLLOW", 0)
    try:
        return os.open(path, flags | os.O_RDWR, 0o644)
    except PermissionError:  # left by another person's killed run: reading is enough to lock it
        return os.open(path, flags | os.O_RDONLY, 0o644)


def _still_named(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), os.stat(path, follow_symlinks=False))
    except FileNotFoundError:
        return False


def _holder(path: Path) -> str:
    try:
        number = path.read_text("ascii", "replace")[:20]
    except OSError:
        number = ""
    return f"process {number}" if number.isdigit() else "another run"


if sys.platform == "win32":
    import msvcrt

    _LOCKED_BYTE = 1 << 20  # past what the file holds, which others may then read

    def _locked(handle: int) -> bool:
        os.lseek(handle, _LOCKED_BYTE, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        os.lseek(handle, 0, os.SEEK_SET)
        return True

    def _let_go(handle: int, path: Path) -> None:
        os.close(handle)
        with suppress(OSError):  # an open file cannot be removed there: then it is the next run's
            os.unlink(path)

else:
    import fcntl

    def _locked(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as error:
            return error.errno in _UNKNOWN_HERE
        return True

    def _let_go(handle: int, path: Path) -> None:
        with suppress(OSError):
            os.unlink(path)
        os.close(handle)
