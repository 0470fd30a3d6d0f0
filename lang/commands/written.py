"""Single files written whole or not at all."""

import os
from contextlib import suppress
from pathlib import Path

NEW_MODE = 0o644


def replace_file(path: Path, data: bytes) -> None:
    """Make a file hold `data`, with the permissions that it has: whoever looks sees all of the old content or of the new.

    A link is written through; into what is no file, such as a pipe, is written as it is. Raises OSError.
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
    beside = path.with_name(f".{path.name}.{os.getpid()}")
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
