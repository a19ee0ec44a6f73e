"""Writing one file so that it is either the old or the new, never half of one, and by one process at a time.

Standard library only.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import re
import stat
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from generator.base.bounded_file import STRANGE
from generator.base.errors import Fault, InputError, OutputError, refusal_of

#: Seconds between two tries for a lock, where the system does not wait by itself.
_WAIT = 0.05
#: How the name of a draft ends.
_DRAFTED = ".draft"
#: How the name of a lock ends.
_LOCK = ".lock"
#: The name of a file's draft: a point, the file's name, eight signs.
_DRAFT = re.compile(rf"\..+\.[a-z0-9_]{{8}}{re.escape(_DRAFTED)}", re.DOTALL)


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
    write_together([(path, content)])


def write_together(files: Sequence[tuple[Path, bytes | str]]) -> None:
    """`write_atomically` for several files: each is on the disk as a draft before the first takes its place.

    So a disk that is full, or a stop, leaves all of them as they were. They take their places in the order given; the
    same path may stand twice.
    """
    for path, _ in files:
        refuse_irregular(path)
    drafts: list[tuple[Path, str]] = []
    with contextlib.ExitStack() as stack:
        for path, content in files:
            data = _bytes(path, content)
            with _refused_for(path):
                drafts.append((path, stack.enter_context(_drafted(path.resolve(), data))))
        for path, draft in drafts:
            with _refused_for(path):
                os.replace(draft, path.resolve())


def is_leftover(name: str) -> bool:
    """True for the name of a draft or lock that this module makes, and that a killed process leaves."""
    return _DRAFT.fullmatch(name) is not None or (name.startswith(".") and name.endswith(_LOCK))


@contextmanager
def _refused_for(path: Path) -> Iterator[None]:
    """A refusal of the system as an error of this program that names the file; FileExistsError goes its way."""
    try:
        yield
    except FileExistsError:
        raise
    except OSError as error:
        raise OutputError(f"{path}: could not be written ({refusal_of(error)})") from error


@contextmanager
def _drafted(target: Path, data: bytes) -> Iterator[str]:
    """A file beside `target` that holds `data`, for the block to put in place; it is gone after the block.

    As long as a process has its draft open it holds the draft's lock, so that no other takes it for a killed one's.
    """
    clear_drafts(target)
    handle, draft = _new_draft(target)
    try:
        try:
            with os.fdopen(os.dup(handle), "wb") as out:
                out.write(data)
                out.flush()
                os.fsync(out.fileno())
            _like(target, Path(draft))
        finally:
            if os.name == "nt":  # there an open file cannot be renamed
                os.close(handle)
        yield draft
    finally:
        with contextlib.suppress(OSError):
            os.unlink(draft)
        if os.name != "nt":
            os.close(handle)


def _new_draft(target: Path) -> tuple[int, str]:
    """An empty draft that this process holds the lock of, open, and its path."""
    while True:
        handle, draft = tempfile.mkstemp(prefix=f".{target.name}.", suffix=_DRAFTED, dir=target.parent)
        _claim(handle)
        with contextlib.suppress(FileNotFoundError):
            if os.path.samestat(os.fstat(handle), os.stat(draft)):
                return handle, draft
        os.close(handle)  # another process cleared it before the lock was ours


def _claim(handle: int) -> bool:
    """Take the lock of an open draft; False where another process has it, or the system has no such locks."""
    try:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (ImportError, OSError):
        return False
    return True


def clear_drafts(target: Path) -> None:
    """Take away drafts of `target` that a killed process left: those whose lock is free. OSError without its folder."""
    own = f".{target.name}."
    for entry in os.scandir(target.parent):
        if entry.name.startswith(own) and _DRAFT.fullmatch(entry.name) and entry.is_file(follow_symlinks=False):
            with contextlib.suppress(OSError):
                handle = os.open(entry.path, os.O_RDWR)
                try:
                    if _claim(handle):
                        os.unlink(entry.path)
                finally:
                    os.close(handle)


def _bytes(path: Path, content: bytes | str) -> bytes:
    try:
        return content.encode("utf-8") if isinstance(content, str) else content
    except UnicodeEncodeError:
        raise OutputError(f"{path}: could not be written (half a character, which no file can hold)") from None


def write_new(path: Path, text: str) -> None:
    """Write `text` as UTF-8, with the line ends it has, where nothing stands yet; whole or not at all.

    FileExistsError where something stands there, OutputError when the system refuses.
    """
    data = _bytes(path, text)
    if os.path.lexists(path):
        raise FileExistsError(path)
    with _refused_for(path), _drafted(path.absolute(), data) as draft:
        try:
            os.link(draft, path)
        except FileExistsError:
            raise
        except OSError:  # a file system without links
            _write_first(path, data)


def _write_first(path: Path, data: bytes) -> None:
    """Write a file that must not be there yet; whole unless the process is killed."""
    with path.open("xb") as handle:
        try:
            handle.write(data)
        except BaseException:
            path.unlink(missing_ok=True)
            raise


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
    path = target.with_name(f".{target.name}{_LOCK}")
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
