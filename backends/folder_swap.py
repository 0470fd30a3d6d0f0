"""Two folders exchange their names in one step, where the system can do that."""

import errno
import os
import sys
from pathlib import Path

_AT_FDCWD = -100  # linux/fcntl.h: paths are relative to the working folder, or absolute
_EXCHANGE = 2  # RENAME_EXCHANGE of linux/fs.h, RENAME_SWAP of macOS's sys/stdio.h
_CANNOT = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP}  # an old system, or a file system that cannot


def exchanged(one: Path, other: Path) -> bool:
    """Exchange two existing folders of one parent; False, and nothing done, where the system cannot.

    Raises OSError where it could but must not.
    """
    if sys.platform not in ("linux", "darwin"):
        return False
    import ctypes

    names = os.fsencode(one), os.fsencode(other)
    library = ctypes.CDLL(None, use_errno=True)
    flag = ctypes.c_uint(_EXCHANGE)
    try:
        if sys.platform == "linux":
            failed = library.renameat2(_AT_FDCWD, names[0], _AT_FDCWD, names[1], flag)
        else:
            failed = library.renamex_np(*names, flag)
    except AttributeError:  # a C library older than the call
        return False
    if not failed:
        return True
    code = ctypes.get_errno()
    if code in _CANNOT:
        return False
    raise OSError(code, os.strerror(code), str(other))
