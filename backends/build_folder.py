"""The build folder: written beside its place and swapped in; a failure leaves the last good build whole.

For a build `heron` its parent holds, while a run lasts, `.heron.lock`, `.heron.new` (being written, or the
old build after the swap) and, where the system cannot exchange two folders in one step, `.heron.old`. A
killed run leaves some of them; the next run puts that right first. Only ringwright uses these names.
"""

import errno
import os
import stat
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import NamedTuple, NoReturn

from ringwright.backends.folder_lock import Busy, held
from ringwright.backends.folder_swap import exchanged
from ringwright.backends.manifest import MANIFEST, listed_files, read_manifest

PATIENCE = 10.0  # s that a second run waits for the first
FILE_MODE = 0o644
FOLDER_MODE = 0o755
_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


class BuildFolderError(Exception):
    """The build folder was not written; what stood there before still stands.

    code: 'foreign-folder', 'target-is-file', 'target-is-link', 'target-unwritable', 'target-busy',
    'disk-full' or 'bad-file-name'. The message is one sentence with a way out, without a full stop.
    """

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code


class _Places(NamedTuple):
    """Where a build and its working files lie. The parent is free of links; build itself may be one."""

    build: Path
    new: Path
    old: Path
    lock: Path


def write_build(target: Path, files: Mapping[str, bytes]) -> None:
    """Make `target` the build folder that holds `files`: names with '/' below it, manifest.json among them.

    Whoever looks sees the whole old build or the whole new one. What people put into the old folder, that
    is, what its manifest does not list, stays with the new one. Files get the mode 0644 and folders 0755,
    whatever the umask. Raises BuildFolderError.
    """
    _refuse_bad_names(files)
    places = _places(target)
    with _explained(target):
        made = _make_parents(places.build.parent)
        try:
            with held(places.lock, PATIENCE):
                _settle(places)
                listed = _listed_there(places.build, target)
                try:
                    _stage(places.new, files)
                    if places.build.is_dir():
                        _carry_over(places.build, places.new, listed)
                    _sync_tree(places.new)
                    _swap(places)
                finally:
                    _settle(places)
        except BaseException:
            with suppress(OSError):  # a folder that is not empty is somebody's
                for folder in made:
                    os.rmdir(folder)
            raise


def recover(target: Path) -> None:
    """Put right what a killed run left beside `target`: its last whole build is there, nothing else is.

    Does nothing while another run is at work. Raises BuildFolderError.
    """
    places = _places(target)
    if os.path.lexists(places.new) or os.path.lexists(places.old):
        with _explained(target), suppress(Busy), held(places.lock, 0):
            _settle(places)


def _file_above(target: Path) -> Path | None:
    """The nearest of the folders that `target` would lie in that is a file."""
    return next((above for above in target.parents if os.path.lexists(above) and not above.is_dir()), None)


def _places(target: Path) -> _Places:
    if target.name in ("", ".."):  # '.', 'a/..': no name to replace, so look what it is called
        target = Path(os.path.realpath(target))
    parent, name = Path(os.path.realpath(target.parent)), target.name
    if not name:
        raise BuildFolderError(
            "target-unwritable", f"'{target}' is no place for a build; name a folder below it"
        )
    return _Places(parent / name, *(parent / f".{name}.{use}" for use in ("new", "old", "lock")))


def _refuse_bad_names(files: Mapping[str, bytes]) -> None:
    for name in files:
        if any(part in ("", ".", "..") for part in name.split("/")) or set(name) & set("\\:\0"):
            raise BuildFolderError("bad-file-name", f"{name!r} is no name for a file below the build folder")
    if MANIFEST not in files:
        raise ValueError(f"a build folder without {MANIFEST} would not be known again")


def _listed_there(build: Path, target: Path) -> frozenset[str]:
    """The files that the build in place lists as its own. Refuses what ringwright did not write."""
    elsewhere = "name another place with -o, or move it away"
    try:
        mode = os.lstat(build).st_mode
    except FileNotFoundError:
        return frozenset()
    if stat.S_ISLNK(mode):
        raise BuildFolderError(
            "target-is-link",
            f"'{target}' is a link, which a build never follows; name the folder itself with -o",
        )
    if not stat.S_ISDIR(mode):
        raise BuildFolderError("target-is-file", f"'{target}' is not a folder; {elsewhere}")
    manifest = read_manifest(build)
    if manifest is not None:
        return listed_files(manifest)
    if os.listdir(build):
        raise BuildFolderError(
            "foreign-folder",
            f"'{target}' holds files but no {MANIFEST} of ringwright, so it is not overwritten; {elsewhere}",
        )
    return frozenset()


def _make_parents(folder: Path) -> list[Path]:
    """Make what is missing down to `folder`; what was made, deepest first."""
    missing = []
    while not folder.exists():
        missing.append(folder)
        folder = folder.parent
    for path in reversed(missing):
        with suppress(FileExistsError):  # another run was quicker
            os.mkdir(path)
    return missing


def _stage(new: Path, files: Mapping[str, bytes]) -> None:
    _make_folder(new)
    for name, content in sorted(files.items()):
        path = _below(new, name)
        with open(path, "xb") as file:
            file.write(content)
            file.flush()
            _set_mode(path, FILE_MODE)
            os.fsync(file.fileno())


def _carry_over(build: Path, new: Path, listed: frozenset[str]) -> None:
    """Bring along what people put into the build: by a second name for it, else as a copy."""
    import shutil

    for folder, folders, names in os.walk(build, onerror=_fail):
        for path in sorted(Path(folder, name) for name in names + folders):
            name = path.relative_to(build).as_posix()
            if name == MANIFEST or name in listed or (path.is_dir() and not path.is_symlink()):
                continue
            copy = _below(new, name)
            if os.path.lexists(copy):
                continue
            try:
                os.link(path, copy, follow_symlinks=False)
            except (OSError, NotImplementedError):
                shutil.copy2(path, copy, follow_symlinks=False)


def _fail(error: OSError) -> NoReturn:
    raise error


def _below(folder: Path, name: str) -> Path:
    """The path of `name` below `folder`; folders on the way are made."""
    *folders, last = name.split("/")
    for part in folders:
        folder = folder / part
        if not folder.is_dir():
            _make_folder(folder)
    return folder / last


def _make_folder(folder: Path) -> None:
    os.mkdir(folder, 0o700)
    _set_mode(folder, FOLDER_MODE)


def _set_mode(path: Path, mode: int) -> None:
    with suppress(PermissionError):  # file systems without modes, such as those of memory cards
        os.chmod(path, mode)


def _sync_tree(top: Path) -> None:
    for folder, _, _ in os.walk(top, topdown=False):
        _sync_folder(Path(folder))


def _sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk, where the system knows how."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise
    finally:
        os.close(handle)


def _swap(places: _Places) -> None:
    """Put the new folder in place of the build; what was there is then called new, or old."""
    if not os.path.lexists(places.build):
        os.rename(places.new, places.build)
    elif not exchanged(places.new, places.build):
        os.rename(places.build, places.old)
        os.rename(places.new, places.build)
    _sync_folder(places.build.parent)


def _settle(places: _Places) -> None:
    """Leave one whole build in place and nothing beside it, whatever moment the work stopped at."""
    if os.path.lexists(places.old) and not os.path.lexists(places.build):
        os.rename(places.old, places.build)
    for rest in (places.old, places.new):
        _remove(rest)


def _remove(path: Path) -> None:
    """Remove a working folder as far as that goes: the next run tries again. No link is followed."""
    import shutil

    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        with suppress(OSError):
            path.unlink()


@contextmanager
def _explained(target: Path) -> Iterator[None]:
    """Turn what the system says into a sentence for a builder."""
    try:
        yield
    except Busy as busy:
        raise BuildFolderError(
            "target-busy",
            f"{busy} is writing '{target}' and did not end within {PATIENCE:.0f} s; wait for it, or name "
            "another place with -o",
        ) from busy
    except OSError as error:
        if error.errno in _FULL:
            raise BuildFolderError(
                "disk-full",
                f"there is no room to write '{target}', and what was there stands as it was; make room, or "
                "name a place on another disk with -o",
            ) from error
        if error.errno in (errno.ENOTDIR, errno.EEXIST) and (file := _file_above(target)) is not None:
            raise BuildFolderError(
                "target-is-file",
                f"'{file}' is a file where a folder is needed; move it away, or name another place with -o",
            ) from error
        at = f" at '{error.filename}'" if error.filename else ""
        raise BuildFolderError(
            "target-unwritable",
            f"'{target}' cannot be written ({error.strerror or error}{at}); see who may write there and "
            "whether a program holds its files open, or name another place with -o",
        ) from error
