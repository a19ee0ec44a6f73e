"""A kit's folder that changes over whole or not at all, and keeps everything in it that is not the kit's.

The new kit is written into a draft beside its place. Then the files of the user's own are linked into the draft, so
they stay the very same files, and the two folders exchange their names. On Linux that is one step of the system: who
opens the kit by its path, at any moment, finds the whole old kit or the whole new one, and a file already open stays
readable to its end. On other systems it is two renames, between which for a moment the name is not there; a failure of
the second undoes the first. What a killed process leaves is cleared, or put back, by the next `make` of that kit.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import re
import shutil
import sys
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from pathlib import Path

from generator.base.atomic_file import alone
from generator.base.errors import Fault, HeelwrightError, InputError, OutputError, refusal_of
from generator.kit.manifest import Manifest, read_manifest
from generator.proof.listing import MANIFEST

#: Linux: a relative name is looked up from the working folder.
_AT_FDCWD = -100
#: Linux: exchange two names in one step, so that at no moment there is neither.
_RENAME_EXCHANGE = 2
#: So many strange files are named in a refusal.
_NAMED = 5
#: Where a file of the kit that somebody changed is kept when it is written anew.
SET_ASIDE = "changed-by-hand"


def held_at(target: Path) -> Manifest:
    """What `make` owns at `target`: the files its manifest lists, none where there is no folder or an empty one.

    InputError, naming what stands there, for a folder that holds anything and has no manifest of a kit, and for
    something that is no folder.
    """
    if not os.path.lexists(target):
        return Manifest()
    if target.is_symlink() or not target.is_dir():
        raise InputError(
            [Fault(str(target), "", "something that is not a folder", "a folder, or a name not yet taken")]
        )
    manifest = read_manifest(target)
    if manifest is not None:
        return manifest
    names = sorted(path.name for path in target.iterdir())
    if not names:
        return Manifest()
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    found = f"a folder that is no kit and holds {', '.join(names[:_NAMED])}{more}"
    allowed = "a kit, an empty folder, or none: choose another folder with -o, for example -o kits"
    raise InputError([Fault(str(target), "", found, allowed)])


@contextmanager
def whole_folder(target: Path, told: Callable[[str], None] = lambda words: None) -> Iterator[Path]:
    """Yield an empty folder to write the kit into; it takes the place of `target` when the block ends without an error.

    The block leaves a manifest in it. Files at `target` that the manifest there does not list go along untouched; those
    it lists are replaced, and one that was changed by hand is first set aside, which `told` hears of. Until then
    whatever stood at `target` stays as it was, and after an error nothing of the new folder is left. Of two processes
    the second waits. InputError as `held_at`, or where a file of the user's own stands in the way; OutputError when the
    folder cannot be written or put in place.
    """
    draft = target.with_name(f".{target.name}.{os.getpid()}.draft")
    with _as_output_error(target), contextlib.ExitStack() as stack:
        target.parent.mkdir(parents=True, exist_ok=True)
        _recover(target, alone=stack.enter_context(alone(target)))
        held_at(target)
        draft.mkdir()
        try:
            yield draft
            held = held_at(target)
            _take_along(draft, target, held, told)
        except BaseException:
            shutil.rmtree(draft, ignore_errors=True)
            raise
        if target.is_dir():
            shutil.copymode(target, draft)
        _put_in_place(draft, target)
        with contextlib.suppress(OSError):  # the kit stands; what cannot be cleared now the next one clears
            _clear(draft, target, originals=True)


@contextmanager
def _as_output_error(target: Path) -> Iterator[None]:
    """A refusal of the system, a full disk for one, as an error of this program that names the folder."""
    try:
        yield
    except HeelwrightError:
        raise
    except OSError as error:
        raise OutputError(
            f"{target}: the kit could not be written ({refusal_of(error)}); what stood there stands"
        ) from error


# --- the files of the user's own -----------------------------------------------------------------------------------


def _files(folder: Path, under: str = "") -> Iterator[str]:
    """Every file, link and device under `folder` by its posix path, and every empty folder with a / at its end."""
    entries = sorted(os.scandir(folder / under), key=lambda entry: entry.name)
    if under and not entries:
        yield under
    for entry in entries:
        if entry.is_dir(follow_symlinks=False):
            yield from _files(folder, f"{under}{entry.name}/")
        else:
            yield f"{under}{entry.name}"


def _take_along(draft: Path, target: Path, held: Manifest, told: Callable[[str], None]) -> None:
    """Link into `draft` whatever stands at `target` and is not the kit's."""
    if not target.is_dir():
        return
    in_the_way: list[Fault] = []
    for name in _files(target):
        if name == MANIFEST:
            continue
        entry = held.files.get(name)
        place = name
        if entry is not None:
            if _is_same(target / name, draft / name) or entry.unchanged(target):
                continue
            place = _free(draft, f"{SET_ASIDE}/{name}")
            told(f"{name} was changed by hand since it was made: your version is kept as {place}")
        try:
            _link(target / name, draft / place)
        except (FileExistsError, NotADirectoryError):
            found = "a file or folder of your own where the kit has one of that name"
            in_the_way.append(Fault(str(target / name), "", found, "another name: move it away, then make the kit"))
    if in_the_way:
        raise InputError(in_the_way)


def _free(folder: Path, name: str) -> str:
    """`name`, or with a number behind it the first that is not taken."""
    stem, dot, ending = name.rpartition(".") if "." in name.rpartition("/")[2] else (name, "", "")
    number, found = 1, name
    while os.path.lexists(folder / found):
        number += 1
        found = f"{stem}-{number}{dot}{ending}"
    return found


def _link(source: Path, place: Path) -> None:
    """The same file at a second place; a copy where the file system has no links. FileExistsError when taken."""
    if source.is_dir() and not source.is_symlink():
        place.mkdir(parents=True, exist_ok=True)
        return
    place.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(source, place, follow_symlinks=False)
    except (FileExistsError, NotADirectoryError):
        raise
    except OSError:
        if os.path.lexists(place):
            raise FileExistsError(place) from None
        shutil.copy2(source, place, follow_symlinks=False)


def carry(source: Path, draft: Path, names: Collection[str]) -> tuple[str, ...]:
    """Link files of the kit at `source` into `draft`; the names of those that were there."""
    found = tuple(name for name in names if (source / name).is_file())
    for name in found:
        _link(source / name, draft / name)
    return found


def _is_same(one: Path, other: Path) -> bool:
    with contextlib.suppress(OSError):
        return os.path.samestat(one.lstat(), other.lstat())
    return False


# --- changing over -------------------------------------------------------------------------------------------------


def _put_in_place(draft: Path, target: Path) -> None:
    if not target.exists():
        draft.rename(target)
    elif not _exchange(draft, target):
        _swap_by_steps(draft, target)


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
    """Three renames that end as the exchange does, undone when the second fails."""
    aside = draft.with_suffix(".old")
    target.rename(aside)
    try:
        draft.rename(target)
    except OSError:
        aside.rename(target)
        raise
    aside.rename(draft)


def _clear(old: Path, target: Path, *, originals: bool = False) -> None:
    """Remove the folder `old` that a kit left, without losing a file of the user's own that came in meanwhile.

    With `originals` its files are the first ones and those at `target` copies, where the file system has no links.
    """
    if not old.is_dir():
        return
    try:
        owned = read_manifest(old) or Manifest()
        listed = read_manifest(target) or Manifest()
    except InputError:
        return
    for name in list(_files(old)):
        mine, there = old / name, target / name
        if name.endswith("/"):
            continue
        if name == MANIFEST or name in owned.files or _is_same(mine, there):
            mine.unlink()
        elif not os.path.lexists(there):
            there.parent.mkdir(parents=True, exist_ok=True)
            mine.rename(there)
        elif name not in listed.files and not there.is_dir():
            if originals or mine.lstat().st_mtime > there.lstat().st_mtime:
                mine.replace(there)
            else:
                mine.unlink()
    for folder, _, _ in os.walk(old, topdown=False):
        with contextlib.suppress(OSError):
            os.rmdir(folder)


def _recover(target: Path, *, alone: bool) -> None:
    """Put back or drop what a process no longer running left of this kit.

    Who is `alone` with the kit, by its lock, needs to ask of none whether it runs: what lies there was left. A number
    of a process says less: another may have it by now, and where every run is a container's first, this one itself.
    """
    own = re.compile(rf"\.{re.escape(target.name)}\.([0-9]{{1,10}})\.(draft|old)", re.ASCII)
    found = [(path, own.fullmatch(path.name)) for path in sorted(target.parent.iterdir())]
    left = [(path, m[2]) for path, m in found if m and path.is_dir() and (alone or not _running(int(m[1])))]
    for aside, kind in left:
        if kind == "old" and not os.path.lexists(target):
            aside.rename(target)
    for old, kind in left:
        if (old / MANIFEST).is_file():
            _clear(old, target)
        elif kind == "draft":  # unfinished: what is the user's in it is a link, and stands at its own place
            shutil.rmtree(old, ignore_errors=True)


def recover(target: Path) -> None:
    """Put back or drop what a killed process left of this kit, which may not be made again.

    Another process that makes it is waited for. OSError when the system refuses.
    """
    with alone(target) as held:
        _recover(target, alone=held)


def _running(pid: int) -> bool:
    if os.name == "nt":  # there signal 0 is a key press to the process, not a question
        return True
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
