"""What `make` shows while it works, on a terminal and in a pipe."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from generator.commands.progress import Bar, Lines
from generator.kit.groups import Group
from generator.kit.pipeline import kit_steps

ROOT = Path(__file__).parent.parent


def command(out: Path, *more: str) -> list[str]:
    return [sys.executable, "-m", "generator", "make", "ukulele-tenor", "-o", str(out), "--only", "laser", *more]


def on_terminal(out: Path) -> tuple[str, str]:
    """What `make` puts on its standard output, which is a pipe, and on its standard error, which is a terminal."""
    pty = pytest.importorskip("pty")
    ours, theirs = pty.openpty()
    made = subprocess.Popen(command(out, "--workers", "1"), cwd=ROOT, stdout=subprocess.PIPE, stderr=theirs, text=True)
    os.close(theirs)
    shown = b""
    while True:
        try:
            piece = os.read(ours, 65536)
        except OSError:  # how Linux says that the other end is closed
            break
        if not piece:
            break
        shown += piece
    said, _ = made.communicate()
    os.close(ours)
    assert made.returncode == 0
    return said, shown.decode()


def test_a_terminal_gets_one_bar(tmp_path: Path) -> None:
    """The bar names job and step and tells a share, and is gone at the end; the result is not drawn into it."""
    said, shown = on_terminal(tmp_path)
    plain = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", shown)
    assert "ukulele-tenor: writing laser" in plain
    assert re.search(r"\d+%", plain)
    assert shown.rstrip().endswith("\x1b[2K")
    assert said.startswith("wrote ")
    assert "\x1b" not in said


def test_the_first_sign_comes_before_anything_is_loaded() -> None:
    """On a terminal `make` says a word before its own libraries load, wipes it, and says none with --json or a pipe."""
    script = (
        "import io, sys\n"
        "class Terminal(io.StringIO):\n"
        "    def isatty(self): return TERMINAL\n"
        "    def write(self, words):\n"
        "        said.append((words, 'pydantic' in sys.modules))\n"
        "said = []\n"
        "sys.argv, sys.stderr = ['heelwright', *ARGUMENTS], Terminal()\n"
        "from generator.commands.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "print(said[:2])"
    )
    for terminal, arguments, wanted in (
        (True, ["make"], [("make: loading", False), ("\r\x1b[2K", True)]),
        (True, ["class", "--json", "--help"], []),
        (False, ["make", "--help"], []),
    ):
        told = f"TERMINAL, ARGUMENTS = {terminal}, {arguments}\n{script}"
        run = subprocess.run([sys.executable, "-c", told], cwd=ROOT, capture_output=True, text=True, check=True)
        assert ast.literal_eval(run.stdout.splitlines()[-1]) == wanted


def test_a_pipe_gets_plain_lines(tmp_path: Path) -> None:
    """Where standard error is no terminal each step is a line of its own, without any code."""
    made = subprocess.run(command(tmp_path), cwd=ROOT, capture_output=True, text=True, check=True)
    assert made.stderr.splitlines() == [
        f"ukulele-tenor: {step}" for step in ("solving", "writing laser", "drawing the jig in use", "proving")
    ]


class Recorded:
    """Stands in for the library's bar: what it was told."""

    def __init__(self) -> None:
        self.total = self.reached = 0.0
        self.described: list[str] = []
        self.console = self
        self.lines: list[str] = []

    def add_task(self, description: str, total: float | None) -> int:
        return 0

    def update(self, row: int, total: float | None = None, description: str = "") -> None:
        self.total = total or self.total
        self.described += [description] if description else []

    def advance(self, row: int, by: float) -> None:
        self.reached += by

    def print(self, words: str, **look: bool) -> None:
        self.lines.append(words)


def test_the_bar_adds_up() -> None:
    """Steps of several jobs, at the same time, end at the whole; a message is a line above the bar."""
    recorded = Recorded()
    bar: Lines = Bar(recorded)
    steps = kit_steps(tuple(Group))
    for job in ("one", "two"):
        bar.expect(job, steps)
        for step in steps:
            bar.say(job, step)
    assert "one: solving, drawing the jig in use, writing step, laser, " in recorded.described[-1]
    bar.done("one", "solving")
    assert "one: drawing the jig in use, writing step, laser, " in recorded.described[-1]
    bar.say("one", "notes.txt was changed by hand")
    for job in ("one", "two"):
        for step in steps:
            if (job, step) != ("one", "solving"):
                bar.done(job, step)
    assert recorded.total == pytest.approx(2.0 * sum(steps.values()))
    assert recorded.reached == pytest.approx(recorded.total)
    assert recorded.lines == ["one: notes.txt was changed by hand"]
