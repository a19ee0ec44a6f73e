"""A folder that appears whole or not at all: written beside its place, then exchanged with what stood there."""

from __future__ import annotations

import ctypes
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from generator.errors import OutputError

#: Linux: exchange two names in one step, so that at no moment there is neither.
_AT_FDCWD = -100
_RENAME_EXCHANGE = 2


@contextmanager
def whole_folder(target: Path) -> Iterator[Path]:
    """Yield an empty folder to write into; it takes the place of `target` when the block ends without an error.

    Until then whatever stood at `target` stays as it was, and after an error nothing of the new folder is left.
    Raises OutputError when the folder cannot be made or put in place.
    """
    draft = target.with_name(f".{target.name}.{os.getpid()}.draft")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _discard_drafts(target)
        draft.mkdir()
    except OSError as error:
        raise OutputError(f"{target}: the folder cannot be made here ({error.strerror})") from error
    try:
        yield draft
        _put_in_place(draft, target)
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _discard_drafts(target: Path) -> None:
    """Drop drafts of this folder that a process no longer running left behind."""
    for old in target.parent.glob(f".{target.name}.*.draft"):
        owner = old.name.rsplit(".", 2)[-2]
        if owner.isdigit() and not _running(int(owner)):
            shutil.rmtree(old, ignore_errors=True)


def _running(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _put_in_place(draft: Path, target: Path) -> None:
    try:
        if not target.exists():
            draft.rename(target)
        elif target.is_symlink() or not target.is_dir():
            raise OutputError(f"{target}: something that is not a folder has this name")
        elif not _exchange(draft, target):
            _swap_by_steps(draft, target)
    except OSError as error:
        raise OutputError(
            f"{target}: the finished folder could not be put in place ({error.strerror or error})"
        ) from error


def _exchange(a: Path, b: Path) -> bool:
    """Exchange two folders' names at once; False where the system cannot."""
    if not sys.platform.startswith("linux"):
        return False
    rename = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if rename is None:
        return False
    done: int = rename(_AT_FDCWD, os.fsencode(a), _AT_FDCWD, os.fsencode(b), _RENAME_EXCHANGE)
    return done == 0


def _swap_by_steps(draft: Path, target: Path) -> None:
    """Two renames, undone when the second fails."""
    aside = draft.with_suffix(".old")
    target.rename(aside)
    try:
        draft.rename(target)
    except OSError:
        aside.rename(target)
        raise
    shutil.rmtree(aside, ignore_errors=True)
