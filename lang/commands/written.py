"""Single files written whole or not at all."""

import os
from contextlib import suppress
from pathlib import Path

from ringwright.backends.folder_lock import Busy, held

NEW_MODE = 0o644
PATIENCE = 10.0  # s that a second run waits for the first


def replace_file(path: Path, data: bytes) -> None:
    """Make a file hold `data`, with the permissions that it has: whoever looks sees all of the old content or of the new.

    A link is written through; into what is no file, such as a pipe, is written as it is. While a run lasts `.NAME.new`
    and `.NAME.lock` lie beside the file; what a killed one leaves of them the next takes over. Raises OSError.
    """
    path = Path(os.path.realpath(path))
    mode = NEW_MODE
    if path.exists():
        if not path.is_file():
            path.write_bytes(data)
            return
        mode = path.stat().st_mode & 0o7777
        # A folder that may be written would let a file be replaced that may not.
        path.open("r+b").close()
    try:
        with held(path.with_name(f".{path.name}.lock"), PATIENCE):
            _replace(path, path.with_name(f".{path.name}.new"), data, mode)
    except Busy as busy:
        raise OSError(f"{busy} is writing it") from None


def _replace(path: Path, beside: Path, data: bytes, mode: int) -> None:
    with suppress(FileNotFoundError):
        beside.unlink()
    try:
        with open(beside, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        with suppress(PermissionError):  # file systems without modes
            os.chmod(beside, mode)
        os.replace(beside, path)
    except BaseException:
        with suppress(OSError):
            beside.unlink()
        raise
