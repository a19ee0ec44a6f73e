"""Stopped at a random moment, by the system or by Ctrl-C, `make` and `class` leave what stood there or what was asked.

`HEELWRIGHT_FUZZ` asks for a hundredth of its number of stops, or the few of every run; the seeds are their numbers.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from test_kit_folder import assert_whole

from generator.base.atomic_file import is_leftover, write_together
from generator.base.errors import OutputError
from generator.classes.folder import RECORD, mark_of, read_record

STOPS = max(2, int(os.environ.get("HEELWRIGHT_FUZZ", "0")) // 200)
KINDS = (signal.SIGKILL, signal.SIGTERM, signal.SIGINT)
#: The job that is made, and made anew with the other target; all of it is quick but for what is in the run's store.
JOB = """schema = 2
[job]
name = "kit"
[instrument]
preset = "orchestra-14"
[target]
saddle_gap = {gap}
[router]
preset = "inch-half"
"""
#: The class that is made, and made anew with the other target.
TABLE = "student,saddle_gap\nAda,{gap}\nBo,3.0\n"
#: The two targets, mm.
GAPS = (2.9, 3.1)
#: Looks whether all is as it should be.
Whole = Callable[[], None]

pytestmark = pytest.mark.skipif(os.name == "nt", reason="other systems have no such signals")


def run(words: tuple[str, ...], folder: Path) -> subprocess.Popen[bytes]:
    # A shell's background job ignores interrupts, and so would all it starts: the command is to hear them.
    hears = partial(signal.signal, signal.SIGINT, signal.SIG_DFL)
    command = [sys.executable, "-m", "generator", *words]
    root = str(Path(__file__).parent.parent)
    environment = {**os.environ, "PYTHONPATH": root}
    quiet = subprocess.DEVNULL
    return subprocess.Popen(command, cwd=folder, env=environment, stdout=quiet, stderr=quiet, preexec_fn=hears)


def made(words: tuple[str, ...], folder: Path) -> float:
    """Run to the end in one process; how long it took, s."""
    begun = time.monotonic()
    assert run((*words, "--workers", "1"), folder).wait() == 0
    return time.monotonic() - begun


def stopped(words: tuple[str, ...], folder: Path, share: float, lasting: float, kind: signal.Signals) -> None:
    process = run(words, folder)
    time.sleep(share * lasting)
    process.send_signal(kind)
    process.wait()


def stopped_again_and_again(words: tuple[str, ...], source: Path, text: str, lasting: float, check: Whole) -> None:
    """Run with the one gap and the other in turn, by one process and by two, each stopped at a random moment and by a
    random signal; `check` looks after each. In the end one run is let through and leaves nothing but its own."""
    for seed in range(1, STOPS + 1):
        draw = random.Random(f"{words[0]} {seed}")
        source.write_text(text.format(gap=GAPS[seed % 2]))
        several = (*words, "--workers", f"{1 + seed % 2}")
        stopped(several, source.parent, draw.uniform(0.1, 1.0), lasting, draw.choice(KINDS))
        check()
    made(words, source.parent)
    check()
    assert leftovers(source.parent) == []


def leftovers(folder: Path) -> list[Path]:
    return [path for path in folder.rglob(".*") if path.name.endswith((".draft", ".lock", ".old"))]


def assert_whole_class(folder: Path) -> None:
    """Every document is as the record has it, or had it before; every kit is whole; the log is untouched."""
    record = read_record(folder)
    assert record is not None
    for name in record.files:
        assert record.owns(name, mark_of((folder / name).read_bytes())), name
    for kit in (folder / "kits").iterdir():
        if not kit.name.startswith("."):
            assert_whole(kit)
    assert (folder / "jobs" / "ada.log.toml").read_text() == "# mine"


def test_a_kit_is_the_old_one_or_the_new_one(tmp_path: Path) -> None:
    """With the user's own note in it; and the next `make` finds nothing in its way and leaves nothing else."""
    words = ("make", "kit.toml", "--only", "laser", "--bundle", "laser")
    (tmp_path / "kit.toml").write_text(JOB.format(gap=GAPS[0]))
    lasting = made(words, tmp_path)
    (tmp_path / "kit" / "note.txt").write_text("mine")
    whole = partial(assert_whole, tmp_path / "kit", {"note.txt"})
    stopped_again_and_again(words, tmp_path / "kit.toml", JOB, lasting, whole)


def test_a_class_goes_on_from_where_it_was_stopped(tmp_path: Path) -> None:
    """Made anew of a changed table: documents and kits are of the one or the other, whole, and the next run ends.

    What a run that was killed at its very beginning leaves, drafts and folders without a record, is in nobody's way.
    """
    folder = tmp_path / "class"
    for under, name in (("order", "buy.csv"), ("jobs", "ada.toml"), (".", RECORD)):
        (folder / under).mkdir(parents=True, exist_ok=True)
        (folder / under / f".{name}.abcd_123.draft").write_text("half of i")
    words = ("class", "class.csv", "--base", "orchestra-14", "--only", "laser")
    (tmp_path / "class.csv").write_text(TABLE.format(gap=GAPS[0]))
    lasting = made(words, tmp_path)
    (folder / "jobs" / "ada.log.toml").write_text("# mine")
    stopped_again_and_again(words, tmp_path / "class.csv", TABLE, lasting, partial(assert_whole_class, folder))


# --- several files -------------------------------------------------------------------------------------------------


def test_several_files_change_together_or_not_at_all(tmp_path: Path) -> None:
    """Where the last cannot be drafted none has changed; else the same path may be written twice, the last stays."""
    one, two = tmp_path / "one", tmp_path / "two"
    one.write_text("old")
    with pytest.raises(OutputError, match="missing"):
        write_together([(one, "new"), (tmp_path / "missing" / "x", "new")])
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"one": "old"}
    write_together([(one, "first"), (two, "new"), (one, "last")])
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"one": "last", "two": "new"}


def test_a_draft_in_use_is_left_alone(tmp_path: Path) -> None:
    """Of two drafts of one file the one whose process lives stays, the killed one's goes, and so does no other file."""
    fcntl = pytest.importorskip("fcntl", reason="a system without such locks")
    used, left, own = (tmp_path / name for name in (".a.txt.aaaaaaaa.draft", ".a.txt.bbbbbbbb.draft", ".a.txt.draft"))
    for path in (used, left, own):
        path.write_text("x")
    with used.open("r+") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        write_together([(tmp_path / "a.txt", "new")])
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(["a.txt", used.name, own.name])
    assert is_leftover(used.name)
    assert not is_leftover(own.name)
