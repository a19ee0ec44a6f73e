"""Work in a process of its own, told step by step, whose folder is sent as one zip.

The process changes into an empty folder and writes there what a command would write into the working folder. It is
killed when nobody reads any more, and the folder goes with it.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import shutil
import signal
import tempfile
import threading
import zipfile
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import Any

import anyio

from generator.base.errors import Fault, HeelwrightError, refusal_of
from generator.page.refusals import faults_of
from generator.proof.listing import MANIFEST

#: A zip without a clock: the first moment the format knows.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
#: Name of the zip of what was made.
_ZIP = "made.zip"
#: Name of the folder that the work is done in.
_WORK = "work"
#: The zip is read in pieces of so many bytes.
_CHUNK = 1 << 20
#: The folder's removal is tried at most so often.
_TRIES = 20


@dataclass(frozen=True)
class Made:
    """What came of the work: a folder in the working folder, and the faults of what could not be made."""

    folder: Path
    faults: tuple[Fault, ...] = ()


class Teller:
    """Says in the process what is being done and, where it is known, which share of all is done (0 to 1)."""

    def __init__(self, to: Connection) -> None:
        self._to = to
        self._lock = threading.Lock()  # those who work side by side report from threads of their own

    def step(self, words: str, share: float | None = None) -> None:
        self.say({"step": words} if share is None else {"step": words, "share": round(share, 4)})

    def say(self, content: dict[str, Any]) -> None:
        with self._lock:
            self._to.send(content)


async def told_apart(work: Callable[..., Made], *given: object) -> AsyncIterator[dict[str, Any] | bytes]:
    """What `work`, a module's own function of a Teller and what is given, says as it goes: {"step", "share"} for every
    step; then {"errors"} where it was refused, or {"zip", "name", "errors"}, the zip's size and name and what could not
    be made, and the zip itself in pieces."""
    try:
        folder = Path(tempfile.mkdtemp(prefix="heelwright-"))
        (folder / _WORK).mkdir()
    except OSError as error:
        yield _refused(error)
        return
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(work, given, folder, theirs))
    try:
        process.start()
        theirs.close()
        async for content in _told(ours):
            yield content
            if "zip" in content:
                async for piece in _pieces(folder / _ZIP):
                    yield piece
    finally:
        with anyio.CancelScope(shield=True):
            _kill(process)
            await anyio.to_thread.run_sync(process.join)
            ours.close()
            await _removed(folder)


def _kill(process: SpawnProcess) -> None:
    """End the process, and at once with it those that it leads."""
    if hasattr(os, "killpg") and process.pid is not None:
        with contextlib.suppress(OSError):  # it is gone, or has not come to lead a group yet
            os.killpg(process.pid, signal.SIGKILL)
    process.kill()


async def _removed(folder: Path) -> None:
    """Remove the folder; a writer that outlived its leader by a moment may still put a file into it."""
    for _ in range(_TRIES):
        await anyio.to_thread.run_sync(shutil.rmtree, folder, True)
        if not folder.exists():
            return
        await anyio.sleep(0.1)


async def _told(ours: Connection) -> AsyncIterator[dict[str, Any]]:
    """What the process says, until it has said its last; a process that ends without that is a fault."""
    while True:
        while not ours.poll():
            await anyio.sleep(0.05)
        try:
            content = ours.recv()
        except EOFError:
            content = {"errors": [vars(Fault("", "", "the making ended early", ""))]}
        yield content
        if "errors" in content:
            return


async def _pieces(path: Path) -> AsyncIterator[bytes]:
    async with await anyio.open_file(path, "rb") as file:
        while piece := await file.read(_CHUNK):
            yield piece


def _work(work: Callable[..., Made], given: tuple[object, ...], folder: Path, theirs: Connection) -> None:
    """In the process."""
    if hasattr(os, "setpgid"):
        os.setpgid(0, 0)
    os.chdir(folder / _WORK)
    teller = Teller(theirs)
    try:
        made = work(teller, *given)
        zip_folder(made.folder, folder / _ZIP)
    except HeelwrightError as error:
        teller.say({"errors": [vars(fault) for fault in faults_of(error)]})
        return
    except OSError as error:
        teller.say(_refused(error))
        return
    about = {"zip": (folder / _ZIP).stat().st_size, "name": made.folder.name}
    teller.say(about | {"errors": [vars(fault) for fault in made.faults]})


def _refused(error: OSError) -> dict[str, Any]:
    """What the system refused, as a fault that the page shows."""
    return {"errors": [vars(Fault("", "", f"it could not be written ({refusal_of(error)})", ""))]}


def zip_folder(folder: Path, path: Path) -> None:
    """The folder's files as a zip at `path`, under the folder's name: the same files give the same bytes."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        files = sorted(one for one in folder.rglob("*") if one.is_file())
        for one in sorted(files, key=lambda one: one.name != MANIFEST):
            info = zipfile.ZipInfo(f"{folder.name}/{one.relative_to(folder).as_posix()}", _NO_TIME)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o644 << 16
            archive.writestr(info, one.read_bytes())
