"""A kit's folder appears whole or not at all, and its manifest lists what is in it."""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from generator.errors import CheckFailed, OutputError
from generator.kit.folder import whole_folder
from generator.kit.groups import Group
from generator.load import load_job
from generator.pipeline import make_kit


def write(folder: Path, text: str) -> None:
    (folder / "sub").mkdir()
    (folder / "sub" / "a.txt").write_text(text)


def test_new_folder_takes_the_old_ones_place(tmp_path: Path) -> None:
    """After a good end the new content stands there, and nothing else is left beside it."""
    for text in ("one", "two"):
        with whole_folder(tmp_path / "kit") as draft:
            write(draft, text)
    assert (tmp_path / "kit" / "sub" / "a.txt").read_text() == "two"
    assert [path.name for path in tmp_path.iterdir()] == ["kit"]


def test_an_error_leaves_what_was_there(tmp_path: Path) -> None:
    """When writing fails the old folder is untouched and the draft is gone."""
    with whole_folder(tmp_path / "kit") as draft:
        write(draft, "old")

    def fail() -> None:
        with whole_folder(tmp_path / "kit") as draft:
            write(draft, "new")
            raise OutputError("disk full")

    with pytest.raises(OutputError):
        fail()
    assert (tmp_path / "kit" / "sub" / "a.txt").read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["kit"]


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    """A file that has the kit's name is not overwritten."""
    (tmp_path / "kit").write_text("mine")
    with pytest.raises(OutputError), whole_folder(tmp_path / "kit") as draft:
        write(draft, "new")
    assert (tmp_path / "kit").read_text() == "mine"


def test_a_process_killed_at_any_moment_leaves_a_whole_kit(tmp_path: Path) -> None:
    """Killed at a random moment, `make` leaves the old kit or the new one: every file its manifest lists, unharmed."""
    make_kit(load_job("orchestra-14"), tmp_path, [Group.LASER])
    command = [sys.executable, "-m", "generator", "make", "orchestra-14", "-o", str(tmp_path), "--only", "laser"]
    moments = random.Random(7)
    for _ in range(6):
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(moments.uniform(0.1, 1.6))
        process.send_signal(signal.SIGKILL)
        process.wait()
        assert_whole(tmp_path / "orchestra-14")
    make_kit(load_job("orchestra-14"), tmp_path, [Group.LASER])
    assert [path.name for path in tmp_path.iterdir()] == ["orchestra-14"]


def assert_whole(kit: Path) -> None:
    listed = json.loads((kit / "manifest.json").read_text())["files"]
    for entry in listed:
        data = (kit / entry["path"]).read_bytes()
        assert len(data) == entry["bytes"]
        assert hashlib.sha256(data).hexdigest() == entry["sha256"]
    found = {path.relative_to(kit).as_posix() for path in kit.rglob("*") if path.is_file()}
    assert found == {entry["path"] for entry in listed} | {"manifest.json"}
    assert [entry["path"] for entry in listed] == sorted(entry["path"] for entry in listed)


def test_only_holds_those_groups(tmp_path: Path) -> None:
    """With --only laser the folder holds that group, results.json and manifest.json, and nothing carried over."""
    make_kit(load_job("ukulele-tenor"), tmp_path, [Group.STEP])
    kit = make_kit(load_job("ukulele-tenor"), tmp_path, [Group.LASER])
    assert {path.name for path in kit.iterdir()} == {"laser", "results.json", "manifest.json"}
    groups = {entry["group"] for entry in json.loads((kit / "manifest.json").read_text())["files"]}
    assert groups == {"laser", "results"}
    assert_whole(kit)


def test_a_failed_check_writes_nothing(tmp_path: Path) -> None:
    """A job whose numbers fail a check is refused by name and leaves no folder."""
    job = tmp_path / "weak.toml"
    job.write_text(
        'schema = 1\n[job]\nname = "weak"\n[instrument]\npreset = "orchestra-14"\n'
        '[router]\npreset = "inch-half"\nhold_back = 5\n[jig]\npreset = "sheet"\n'
    )
    with pytest.raises(CheckFailed) as refused:
        make_kit(load_job(job), tmp_path / "out", [Group.LASER])
    assert any(fault.key == "deepest pass" for fault in refused.value.faults)
    assert not (tmp_path / "out" / "weak").exists()


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    """An output folder without write permission is refused, naming it."""
    tmp_path.chmod(0o500)
    with pytest.raises(OutputError, match="kit"), whole_folder(tmp_path / "kit"):
        pass
