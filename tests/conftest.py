"""What holds for every test: the same examples at each run, no limit of time, a store of the run's own.

The load of the machine alone decides how long an example takes, so none has a limit. What commands and kits make is
kept from test to test in one store (`generator.base.store`), that all processes of the run share and that goes with it:
so a kit of a job that another test has made is put together from what that test made, and the user's store is left
alone. A test of what is made, not of what is kept, asks for no store, as `write_kit` does of itself.
"""

from __future__ import annotations

import gc
import os
import shutil
import tempfile
from collections.abc import Iterator

import pytest
from hypothesis import settings

from generator.commands.cli import COLLECT_AFTER

settings.register_profile("heelwright", derandomize=True, deadline=None, database=None)
settings.load_profile("heelwright")


def pytest_configure(config: pytest.Config) -> None:
    """Open the run's store in the first process; the others, and what they start, find it in the environment.

    At once, not by a fixture, so that fixtures of any scope find it too.
    """
    if hasattr(config, "workerinput"):
        return
    folder = tempfile.mkdtemp(prefix="heelwright-tests-")
    os.environ["HEELWRIGHT_CACHE"] = folder
    config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))


def pytest_collection_finish(session: pytest.Session) -> None:
    """What stands now, thousands of tests and all libraries, stays to the end: no search for cycles looks at it again.

    And Python searches as seldom as in the command itself (`generator.commands.cli`); at its own pace it takes a tenth
    of all time.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(COLLECT_AFTER)


@pytest.fixture(scope="module")
def one_process() -> Iterator[None]:
    """The computer has one processor, so commands do all in this process, whose libraries are loaded already."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "sched_getaffinity", lambda process: {0}, raising=False)
        yield


@pytest.fixture(scope="module")
def proved_once() -> Iterator[None]:
    """What was proved of some files is not proved again while they are the same, nor read again; what a proof draws to
    compare comes from the run's store.

    For files whose tests make or prove a kit many times over, and look at something else each time.
    """
    import proved_once as once

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("generator.proof.prove.prove_joint", once.joint_once)
        patch.setattr("generator.proof.prove.prove_files", once.files_once)
        patch.setattr("generator.proof.prove.prove_folder", once.folder_once)
        patch.setattr("generator.kit.anew.anew_checks", once.anew_once)
        once.draw_from_the_store(patch)
        for reader in ("proof.kit_files", "proof.files.agree"):
            patch.setattr(f"generator.{reader}.read_dxf", once.read_once)
        patch.setattr("generator.proof.files.sheet_files._read", once.sheet_once)
        yield
