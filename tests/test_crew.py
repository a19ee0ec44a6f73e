"""Processes side by side: the same files, the same refusals, and nothing left behind when they are stopped."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from crew_tasks import die, fail, leave, own_number
from made_once import store

from generator.base.errors import LayoutError, OutputError
from generator.job.load import load_job
from generator.kit.crew import Crew, Task, crew_of
from generator.kit.groups import Group
from generator.kit.pipeline import write_kit

ROOT = Path(__file__).parent.parent
GROUPS = (Group.LASER, Group.DRAWINGS)


def silent(name: str) -> None:
    pass


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_files_do_not_depend_on_the_number_of_processes(tmp_path: Path) -> None:
    """The same kit, byte for byte, from one process and from two, at one place: its first page names the folder."""
    job = load_job("ukulele-tenor")
    folder = write_kit(job, tmp_path, GROUPS, store=store()).folder  # the same bytes as without one (test_store_kits)
    alone = files(folder)
    shutil.rmtree(folder)
    with crew_of(2) as crew:
        write_kit(job, tmp_path, GROUPS, crew=crew)
    assert files(folder) == alone
    assert any(name.startswith("drawings/") for name in alone)


def test_several_do_the_work_elsewhere_and_one_does_it_here() -> None:
    """A crew of one works in this process, a crew of two in others; results come in the order of the tasks."""
    task = Task("", own_number, ())
    assert Crew().do_all([task], silent) == [os.getpid()]
    with crew_of(2) as crew:
        assert os.getpid() not in crew.do_all([task, task], silent)
        numbers = [Task("", divmod, (7, i), weight=i) for i in (1, 2, 3)]
        assert crew.do_all(numbers, silent) == [(7, 0), (3, 1), (2, 1)]


def test_the_first_failure_in_order_is_reported(tmp_path: Path) -> None:
    """Of several failures that of the first task is raised, as in one process, though another comes sooner."""
    mark = tmp_path / "mark"
    tasks = [Task("", fail, ("the first", mark)), Task("", leave, (mark, "the second"), weight=1.0)]
    with crew_of(2) as crew, pytest.raises(LayoutError, match="the first"):
        crew.do_all(tasks, silent)


def test_a_process_that_dies_is_a_refusal() -> None:
    """A process that the system ends is an error of this program, not a hang and not a traceback."""
    with pytest.raises(OutputError, match="ended early"), crew_of(2) as crew:
        crew.do_all([Task("", die, ())], silent)


@pytest.mark.parametrize("number", [1, 2])
def test_many_kits_report_in_the_order_of_the_jobs(number: int) -> None:
    """What is said of several jobs comes in the order in which they were named."""
    with crew_of(number) as crew:
        found = crew.for_each(range(5), lambda i: (i, crew.do_all([Task("", divmod, (i, 2))], silent)))
        assert list(found) == [(i, [divmod(i, 2)]) for i in range(5)]


def until(true: Callable[[], bool]) -> bool:
    """Waits for what must come; False when it has not come after a minute."""
    for _ in range(6000):
        if true():
            return True
        time.sleep(0.01)
    return False


def children(number: int) -> list[int]:
    return [int(text) for text in Path(f"/proc/{number}/task/{number}/children").read_text().split()]


def running(number: int) -> bool:
    try:
        return "\nState:\tZ" not in Path(f"/proc/{number}/status").read_text()
    except OSError:
        return False


@pytest.fixture
def busy(tmp_path: Path) -> tuple[subprocess.Popen[str], list[int]]:
    """`make` with two processes that write by now, and the numbers of those."""
    command = [sys.executable, "-m", "generator", "make", "orchestra-14", "-o", str(tmp_path), "--workers", "2"]
    pipe = subprocess.PIPE
    # A shell's background job ignores interrupts, and so would all it starts: `make` is to hear them.
    hears = partial(signal.signal, signal.SIGINT, signal.SIG_DFL)
    made = subprocess.Popen(command, cwd=ROOT, stderr=pipe, stdout=pipe, text=True, preexec_fn=hears)
    assert until(lambda: any(tmp_path.glob(".orchestra-14.*.draft/*/*")))
    return made, children(made.pid)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks for processes in /proc")
@pytest.mark.parametrize("asked", [signal.SIGINT, signal.SIGTERM])
def test_an_interrupt_ends_all_and_leaves_nothing(
    asked: signal.Signals, busy: tuple[subprocess.Popen[str], list[int]], tmp_path: Path
) -> None:
    """Ctrl-C, and the system's request to end, end every process; neither a kit nor a half one is left."""
    made, others = busy
    assert len(others) >= 2
    made.send_signal(asked)
    _, said = made.communicate(timeout=60)
    assert made.returncode != 0
    assert "Traceback" not in said
    assert until(lambda: not any(map(running, others)))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks for processes in /proc")
def test_no_process_outlives_the_first(busy: tuple[subprocess.Popen[str], list[int]]) -> None:
    """When the first process is killed outright the others end of themselves."""
    made, others = busy
    made.kill()
    made.communicate()
    assert until(lambda: not any(map(running, others)))
