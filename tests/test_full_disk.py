"""A disk that is full, or refuses for another reason: one sentence names the file and what is missing, nothing is left.

The commands run as processes that may write a hundred bytes a file, which the system refuses as it does on a full disk.
"""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from generator.base.atomic_file import write_atomically, write_new
from generator.base.errors import OutputError, refusal_of
from generator.commands.cli import program
from generator.kit.folder import whole_folder

resource = pytest.importorskip("resource", reason="a system without limits on files")

ROOT = Path(__file__).parent.parent
LIMITED = (
    "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100)); "
    "import generator.commands.cli as c; c.main()"
)
CODES = ("ENOSPC", "EDQUOT", "EFBIG", "EROFS", "ENAMETOOLONG", "ENOENT", "EACCES", "EIO")
BUILD = '[[build]]\ndate = "2024-05-31"\ngap_final = 3.4\npredicted = {gap_final = 2.9}\n'
COMMANDS = {
    "new": ("new", "my-guitar", "--instrument", "orchestra-14"),
    "new -o": ("new", "my-guitar", "-o", "other.toml"),
    "class --template": ("class", "new.csv", "--template"),
    "class": ("class", "class.csv", "--base", "orchestra-14", "-o", "spring", "--workers", "1"),
    "make": ("make", "orchestra-14", "--only", "laser", "--no-cache", "--workers", "1"),
    "make with others": ("make", "orchestra-14", "--only", "paper", "--no-cache", "--workers", "2"),
    "make --bundle": ("make", "orchestra-14", "--only", "laser", "--bundle", "laser", "--no-cache", "--workers", "1"),
    "sweep -o": ("sweep", "orchestra-14", "--vary", "bridge_thickness=9:10:2", "-o", "a.csv"),
    "sweep --plot": ("sweep", "orchestra-14", "--vary", "bridge_thickness=9:10:2", "--plot", "a.svg"),
    "adjust --plot": ("adjust", "orchestra-14", "--gap", "3.1", "--plot", "a.pdf"),
    "reset --template": ("reset", "orchestra-14", "--clearance-now", "0.3", "--template", "a.pdf"),
    "log --plot": ("log", "orchestra-14", "--file", "builds.toml", "--plot", "a.svg"),
    "log": ("log", "orchestra-14", "--date", "2024-05-31", "--gap-final", "3.4"),
    "calibrate": ("calibrate", "stock", "birch-ply-18", "17.8", "17.9", "17.8", "17.7", "--date", "2024-05-31"),
}


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def begin_a_kit(target: Path, error: OSError) -> None:
    with whole_folder(target) as draft:
        (draft / "laser").mkdir()
        raise error


def begin_a_kit_and_move(out: Path, elsewhere: Path) -> None:
    with whole_folder(out / "kit") as draft:
        out.rename(elsewhere)
        (draft / "a.svg").write_text("x")


@pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS.keys())
def test_a_command_that_cannot_write_says_so(words: tuple[str, ...], tmp_path: Path) -> None:
    """Status 1, the file or kit and the system's reason in one line, no traceback, the folder as it was."""
    for name in ("notes.txt", "a.svg", "a.pdf", "a.csv"):
        (tmp_path / name).write_text("mine")
    (tmp_path / "class.csv").write_text("student,saddle_gap\nAda,2.9\n")
    (tmp_path / "builds.toml").write_text(
        '[[build]]\ndate = "2024-05-31"\ngap_final = 3.4\npredicted = { gap_final = 2.9 }\n'
    )
    before = files(tmp_path)
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, *words],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1, done.stderr
    (said,) = (line for line in done.stderr.splitlines() if line.startswith("refused: "))
    assert "File too large: the system lets no file grow so large here" in said
    assert "Traceback" not in done.stderr
    assert files(tmp_path) == before
    assert not [path.name for path in tmp_path.iterdir() if path.is_dir()]


@pytest.mark.parametrize("code", CODES)
def test_each_refusal_of_the_system_is_told(code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file and a kit's folder: what stood there stands, no draft is left, the words say what to do."""
    error = OSError(getattr(errno, code), os.strerror(getattr(errno, code)))

    def refuse(handle: int) -> None:
        raise error

    monkeypatch.setattr(os, "fsync", refuse)
    (tmp_path / "log.toml").write_text("mine")
    with pytest.raises(OutputError, match=r"log\.toml: could not be written") as told:
        write_atomically(tmp_path / "log.toml", "new")
    assert refusal_of(error) in str(told.value)
    with pytest.raises(OutputError, match="kit could not be written") as told:
        begin_a_kit(tmp_path / "kit", error)
    assert refusal_of(error) in str(told.value)
    assert files(tmp_path) == {"log.toml": b"mine"}
    assert [path.name for path in tmp_path.iterdir()] == ["log.toml"]
    assert (": " in refusal_of(error)) == (code != "EIO")


def test_a_folder_that_goes_away_while_writing_is_told(tmp_path: Path) -> None:
    """The folder above the kit is moved while a group is written."""
    out = tmp_path / "out"
    with pytest.raises(OutputError, match="went away meanwhile"):
        begin_a_kit_and_move(out, tmp_path / "elsewhere")


def test_a_name_too_long_is_told(tmp_path: Path) -> None:
    """As a kit's folder and as a file of its own."""
    with pytest.raises(OutputError, match="choose a shorter one"), whole_folder(tmp_path / ("n" * 260)):
        pass
    for write in (write_atomically, write_new):
        with pytest.raises(OutputError, match="choose a shorter one"):
            write(tmp_path / f"{'n' * 260}.toml", "x")
    assert list(tmp_path.iterdir()) == []


def test_a_new_file_takes_no_others_place(tmp_path: Path) -> None:
    """`new` and a class's template never write over a file."""
    (tmp_path / "a.toml").write_text("mine")
    with pytest.raises(FileExistsError):
        write_new(tmp_path / "a.toml", "new")
    assert (tmp_path / "a.toml").read_text() == "mine"


def test_every_command_that_writes_is_tried() -> None:
    """A command that comes to this program is tried here too, or is one that writes nothing of the user's."""
    writes_nothing = {"solve", "presets", "keys", "prove", "bench"}
    known = {command.name for command in program().registered_commands}
    known |= {group.name for group in program().registered_groups}
    assert known == writes_nothing | {words[0] for words in COMMANDS.values()}
