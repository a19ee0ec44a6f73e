"""The kit for the page: made by a process of its own in a folder of its own, told step by step, sent as one zip.

The process changes into an empty folder and writes there what `make` would write into the working folder. It is killed
when nobody reads any more, and the folder goes with it.
"""

from __future__ import annotations

import io
import multiprocessing
import os
import shutil
import tempfile
import zipfile
from collections.abc import AsyncIterator
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import anyio

from generator.base.errors import Fault, HeelwrightError, refusal_of
from generator.base.store import users_store
from generator.job.model.job import Job
from generator.kit.crew import crew_of, processors
from generator.page.answers import faults_of
from generator.proof.listing import MANIFEST

#: A zip without a clock: the first moment the format knows.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
_STEP, _FAULTS, _DONE = "step", "faults", "done"
_TRIES = 20


async def made_kit(job: Job) -> AsyncIterator[tuple[str, Any]]:
    """("step", words) for every step, then ("faults", faults) or ("zip", bytes)."""
    try:
        folder = Path(tempfile.mkdtemp(prefix="heelwright-"))
    except OSError as error:
        yield _FAULTS, [_refused(error)]
        return
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_make, args=(job, folder, theirs))
    try:
        process.start()
        theirs.close()
        async for kind, content in _told(ours):
            yield (
                (kind, content) if kind != _DONE else ("zip", await anyio.to_thread.run_sync(zipped, folder / content))
            )
    finally:
        with anyio.CancelScope(shield=True):
            process.kill()
            await anyio.to_thread.run_sync(process.join)
            ours.close()
            await _removed(folder)


async def _removed(folder: Path) -> None:
    """Remove the folder; a writer that outlived its leader by a moment may still put a file into it."""
    for _ in range(_TRIES):
        shutil.rmtree(folder, ignore_errors=True)
        if not folder.exists():
            return
        await anyio.sleep(0.1)


async def _told(ours: Connection) -> AsyncIterator[tuple[str, Any]]:
    """What the process says, until it has said its last; a process that ends without that is a fault."""
    while True:
        while not ours.poll():
            await anyio.sleep(0.05)
        try:
            message = ours.recv()
        except EOFError:
            yield _FAULTS, [{"file": "", "key": "", "found": "the making ended early", "allowed": ""}]
            return
        yield message
        if message[0] in (_FAULTS, _DONE):
            return


def _make(job: Job, folder: Path, theirs: Connection) -> None:
    """In the process: the kit of `job` in `folder`."""
    from generator.kit.pipeline import write_kit

    os.chdir(folder)
    try:
        with crew_of(processors()) as crew:
            say = partial(_say, theirs)
            made = write_kit(job, Path(), progress=say, crew=crew, store=users_store(os.environ))
        theirs.send((_DONE, str(made.folder)))
    except HeelwrightError as error:
        theirs.send((_FAULTS, [vars(fault) for fault in faults_of(error)]))
    except OSError as error:
        theirs.send((_FAULTS, [_refused(error)]))


def _refused(error: OSError) -> dict[str, str]:
    """What the system refused, as a fault that the page shows."""
    return vars(Fault("", "", f"the kit could not be written ({refusal_of(error)})", ""))


def _say(theirs: Connection, step: str) -> None:
    theirs.send((_STEP, step))


def zipped(folder: Path) -> bytes:
    """The folder's files as a zip under the folder's name: the same files give the same bytes."""
    found = io.BytesIO()
    with zipfile.ZipFile(found, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        paths = sorted(path for path in folder.rglob("*") if path.is_file())
        for path in sorted(paths, key=lambda path: path.name != MANIFEST):
            info = zipfile.ZipInfo(f"{folder.name}/{path.relative_to(folder).as_posix()}", _NO_TIME)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o644 << 16
            archive.writestr(info, path.read_bytes())
    return found.getvalue()
