"""Writing one file so that it is either the old or the new, never half of one, and by one process at a time.

Standard library only.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from generator.base.bounded_file import STRANGE
from generator.base.errors import Fault, InputError, OutputError, refusal_of

#: Seconds between two tries for a lock, where the system does not wait by itself.
_WAIT = 0.05


def refuse_irregular(path: Path) -> None:
    """Raise InputError where something stands at `path` that is no regular file: a folder, pipe, socket or device."""
    with contextlib.suppress(OSError):
        found = STRANGE.get(stat.S_IFMT(path.stat().st_mode))
        if found is not None:
            raise InputError([Fault(str(path), "", found, "a regular file, or a name not yet taken")])


def write_atomically(path: Path, content: bytes | str) -> None:
    """Write `content` (text as UTF-8) in place of `path`; a link is followed, mode and owner of the file are kept.

    InputError where something else than a regular file stands there, OutputError when the system refuses; what stood
    there before then still stands.
    """
    refuse_irregular(path)
    target = path.resolve()
    data = _bytes(path, content)
    draft = ""
    try:
        handle, draft = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".draft", dir=target.parent)
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        _like(target, Path(draft))
        os.replace(draft, target)
    except OSError as error:
        with contextlib.suppress(OSError):
            if draft:
                os.unlink(draft)
        raise OutputError(f"{path}: could not be written ({refusal_of(error)})") from error


def _bytes(path: Path, content: bytes | str) -> bytes:
    try:
        return content.encode("utf-8") if isinstance(content, str) else content
    except UnicodeEncodeError:
        raise OutputError(f"{path}: could not be written (half a character, which no file can hold)") from None


def write_new(path: Path, text: str) -> None:
    """Write `text` as UTF-8, with the line ends it has, where nothing stands yet; whole or not at all.

    FileExistsError where something stands there, OutputError when the system refuses.
    """
    try:
        handle = path.open("x", encoding="utf-8", newline="")
        try:
            with handle:
                handle.write(text)
        except BaseException:
            path.unlink(missing_ok=True)
            raise
    except FileExistsError:
        raise
    except OSError as error:
        raise OutputError(f"{path}: could not be written ({refusal_of(error)})") from error


def _like(target: Path, draft: Path) -> None:
    """Give the draft the mode of the file it replaces, and its owner where the system allows that."""
    if not target.exists():
        draft.chmod(0o644)
        return
    was = target.stat()
    if hasattr(os, "chown"):
        with contextlib.suppress(OSError):
            os.chown(draft, was.st_uid, was.st_gid)
    draft.chmod(stat.S_IMODE(was.st_mode))


@contextmanager
def alone(target: Path) -> Iterator[bool]:
    """Hold the lock of a file or folder that is about to be read and written; another process that wants it waits.

    The system frees the lock when a process dies. Where it has no such locks the block runs without, and is told False.
    """
    path = target.with_name(f".{target.name}.lock")
    while True:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            _lock(handle)
        except OSError:  # a file system without locks
            held = False
            break
        held = True
        with contextlib.suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(handle), path.stat()):
                break
        os.close(handle)  # the one before us took the lock's file away: take the new one
    try:
        yield held
    finally:
        _drop_lock(path, handle)


def _lock(handle: int) -> None:
    """Wait for the lock of an open file. OSError where there are no locks."""
    try:
        import fcntl
    except ImportError:
        _lock_on_windows(handle)
    else:
        fcntl.flock(handle, fcntl.LOCK_EX)


def _lock_on_windows(handle: int) -> None:
    """The same by the first byte of the file; the system's own waiting gives up after ten tries."""
    msvcrt = importlib.import_module("msvcrt")
    while True:
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except PermissionError:  # another process has it
            time.sleep(_WAIT)
        else:
            return


def _drop_lock(path: Path, handle: int) -> None:
    if os.name == "nt":  # there an open file cannot be taken away, and another's open one neither
        os.close(handle)
        with contextlib.suppress(OSError):
            path.unlink()
        return
    path.unlink(missing_ok=True)
    os.close(handle)
