"""Files of the user's own that a command writes into: only regular files, and what a person wrote in them stays."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from generator.base.atomic_file import write_atomically
from generator.commands.cli import program


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def run(*words: str) -> Any:
    return CliRunner().invoke(program(words[0]), list(words))


BUILD = ("log", "orchestra-14", "--date", "2024-05-31", "--gap-final", "3.4")
PAPER = ("calibrate", "printer", "--bar-x", "99.7", "--bar-y", "100.2", "--date", "2024-05-31")
WRITES = {
    "log --file": (*BUILD, "--file"),
    "log --plot": (*BUILD, "--plot"),
    "calibrate --shop": (*PAPER, "--shop"),
    "adjust --plot": ("adjust", "orchestra-14", "--gap", "3", "--plot"),
    "reset --template": ("reset", "orchestra-14", "--clearance-now", "0.3", "--template"),
}


@pytest.mark.parametrize("words", WRITES.values(), ids=WRITES.keys())
def test_a_pipe_stays_a_pipe(words: tuple[str, ...]) -> None:
    """A FIFO is refused by name and stays one, without waiting for a reader; so is a folder of that name."""
    for make in (os.mkfifo, os.mkdir):
        path = Path(f"{make.__name__}.svg")
        make(path)
        kind = stat.S_IFMT(path.lstat().st_mode)
        refused = run(*words, str(path))
        assert refused.exit_code == 1
        assert str(path) in refused.stderr
        assert stat.S_IFMT(path.lstat().st_mode) == kind


@pytest.mark.parametrize("words", [WRITES["log --file"], WRITES["calibrate --shop"]])
def test_a_device_stays_a_device(words: tuple[str, ...]) -> None:
    """A device node, reached by a link of an ordinary name, is refused and not replaced by a file."""
    Path("node.toml").symlink_to("/dev/null")
    before = Path("/dev/null").stat()
    refused = run(*words, "node.toml")
    assert refused.exit_code == 1
    assert "device" in refused.stderr
    assert Path("/dev/null").stat().st_ino == before.st_ino
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)


SHOP = (
    '# ours, kept by hand\r\n\r\n[printer]   # the office one\r\nnote = "slow"  # yes\r\nx_factor = 1.001  # old\r\n'
    "# end\r\n"
)
LOG = '# two builds so far\n\n[[build]]  # the first\ndate = "2024-01-02"  # snow\ngap_final = 3.6\n'


@pytest.mark.parametrize(("name", "text", "words"), [("shop.toml", SHOP, PAPER), ("orchestra-14.log.toml", LOG, BUILD)])
def test_what_a_person_wrote_stays(name: str, text: str, words: tuple[str, ...]) -> None:
    """Comments, order, line ends, mode, owner and a link survive; a changed value keeps its comment."""
    real = Path("kept", name)
    real.parent.mkdir()
    real.write_bytes(text.encode())
    real.chmod(0o660)
    Path(name).symlink_to(real)
    before = real.stat()
    done = run(*words)
    assert done.exit_code == 0, done.output
    after = real.read_bytes().decode()
    assert Path(name).is_symlink()
    assert (real.stat().st_mode, real.stat().st_uid, real.stat().st_gid) == (
        before.st_mode,
        before.st_uid,
        before.st_gid,
    )
    kept = [line.partition("x_factor = 1.001")[2] or line for line in text.splitlines(keepends=True)]
    at = 0
    for line in kept:
        assert line in after[at:], line
        at = after.index(line, at) + len(line)
    assert ("\r\n" in after) == ("\r\n" in text)


def test_a_refused_write_leaves_the_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk is full the old text stands and no draft is left."""
    path = Path("mine.txt")
    path.write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_atomically(path, "new")
    assert path.read_text() == "old"
    assert list(Path().iterdir()) == [path]
