"""Reading files that somebody names: whole, and only what comes to an end."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

__all__ = ["MOST_BYTES", "is_file", "read_whole"]

MOST_BYTES = 64 << 20
"""Far more than any source; a larger one is a mistake, or made to fill the memory."""


def read_whole(path: Path) -> bytes:
    """The content of a regular file, without ever waiting for it.

    Raises OSError, also for a pipe, a device, and a file of more than ``MOST_BYTES``.
    """
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    with os.fdopen(descriptor, "rb") as file:
        kind = os.fstat(descriptor).st_mode
        if stat.S_ISDIR(kind):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
        if not stat.S_ISREG(kind):
            raise OSError(errno.EINVAL, "it is a pipe or a device, not a regular file", str(path))
        content: bytes | None = file.read(MOST_BYTES + 1)
        if content is None:
            raise OSError(errno.EAGAIN, "it does not come to an end", str(path))
        if len(content) > MOST_BYTES:
            raise OSError(errno.EFBIG, f"it is more than {MOST_BYTES >> 20} MB long", str(path))
        return content


def is_file(path: Path) -> bool:
    """Whether there is a regular file of that name; not where the name cannot be one."""
    try:
        return path.is_file()
    except OSError:  # such as a name that is too long
        return False
