"""Reading one file that nobody vouches for: a regular file of a bounded size, and nothing else. Standard library only.

A pipe would wait for ever, a device or a link to one would never end, a link may lead out of the folder it stands in.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

from generator.base.errors import OutputError

#: A file of a kit is at most this large, bytes: the largest that a kit has is a twentieth of it.
LARGEST = 8_000_000
#: What may stand where a regular file is wanted, by the type bits of its mode.
STRANGE = {
    stat.S_IFDIR: "a folder",
    stat.S_IFIFO: "a named pipe",
    stat.S_IFSOCK: "a socket",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
    stat.S_IFLNK: "a link",
}
#: Flags a file is opened with: to read, as bytes, without waiting on a pipe, not handed to child processes.
_FLAGS = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0)


def read_bounded(path: Path, largest: int = LARGEST, *, links: bool = False) -> bytes:
    """The bytes of the regular file at `path`, at most `largest` of them; with `links` one may lead there.

    OutputError saying what stands there instead, how large it is, or what the system answered.
    """
    try:
        return _read(path, largest, links=links)
    except OutputError:
        raise
    except (OSError, ValueError) as error:  # a ValueError for a name with a NUL in it
        raise OutputError(getattr(error, "strerror", None) or str(error)) from error


def _read(path: Path, largest: int, *, links: bool) -> bytes:
    _demand_regular(path.stat() if links else path.lstat())
    # Opened without waiting and without following a link; what it is, is asked again of what was opened.
    handle = os.open(path, _FLAGS | (0 if links else getattr(os, "O_NOFOLLOW", 0)))
    with os.fdopen(handle, "rb") as file:
        found = os.fstat(file.fileno())
        _demand_regular(found)
        if found.st_size > largest:
            raise OutputError(f"{found.st_size} bytes, of which {largest} at most are read")
        data = file.read(largest + 1)
    if len(data) > largest:
        raise OutputError(f"more than {largest} bytes")
    return data


def _demand_regular(found: os.stat_result) -> None:
    strange = STRANGE.get(stat.S_IFMT(found.st_mode))
    if strange is not None:
        raise OutputError(f"{strange}, where a regular file should stand")
