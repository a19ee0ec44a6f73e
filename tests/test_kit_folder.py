"""A kit's folder appears whole or not at all, and its manifest lists what is in it."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import threading
import time
import types
from collections.abc import Collection
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from made_once import kit as make_kit
from made_once import write as write_kit
from proof_kits import compared
from typer.testing import CliRunner

from generator.base import atomic_file
from generator.base.atomic_file import alone
from generator.base.errors import CheckFailed, InputError, OutputError
from generator.commands.cli import program
from generator.job.load import load_job
from generator.job.presets import PresetKind, list_presets, read_text, shipped_folder
from generator.job.tables import SCHEMA
from generator.kit import folder
from generator.kit.folder import whole_folder
from generator.kit.groups import Group
from generator.kit.manifest import write_manifest

pytestmark = pytest.mark.usefixtures("one_process", "proved_once")
#: One process alone: it is at work sooner, and what several do side by side is no matter here.
MAKE = (sys.executable, "-m", "generator", "make", "--workers", "1")


def write(folder: Path, text: str) -> None:
    """A small kit: one file and a manifest that lists it."""
    (folder / "laser").mkdir()
    (folder / "laser" / "a.dxf").write_text(text)
    write_manifest(folder)


def made(target: Path, text: str) -> None:
    with whole_folder(target) as draft:
        write(draft, text)


def held(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


# --- the folder ----------------------------------------------------------------------------------------------------


def test_new_folder_takes_the_old_ones_place(tmp_path: Path) -> None:
    """After a good end the new content stands there, and nothing else is left beside it."""
    for text in ("one", "two"):
        made(tmp_path / "kit", text)
    assert (tmp_path / "kit" / "laser" / "a.dxf").read_text() == "two"
    assert [path.name for path in tmp_path.iterdir()] == ["kit"]


def test_an_error_leaves_what_was_there(tmp_path: Path) -> None:
    """When writing fails, for one on a full disk, the old folder is untouched, the draft gone, the error names it."""
    made(tmp_path / "kit", "old")

    def fail() -> None:
        with whole_folder(tmp_path / "kit") as draft:
            write(draft, "new")
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(OutputError, match=r"kit.*No space left"):
        fail()
    assert (tmp_path / "kit" / "laser" / "a.dxf").read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["kit"]


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    """A file that has the kit's name is not overwritten."""
    (tmp_path / "kit").write_text("mine")
    with pytest.raises(InputError, match="not a folder"):
        made(tmp_path / "kit", "new")
    assert (tmp_path / "kit").read_text() == "mine"


@pytest.mark.parametrize("manifest", [None, "{}", '{"schema": 1, "files": [{"path": "index.html"}]}', "no json"])
def test_a_folder_that_is_no_kit_is_refused_and_named(tmp_path: Path, manifest: str | None) -> None:
    """A folder that holds files and no manifest of ours stays as it is; what stands in it and what to do is said."""
    place = tmp_path / "kit"
    place.mkdir()
    (place / "photo.jpg").write_bytes(b"photo")
    if manifest is not None:
        (place / "manifest.json").write_text(manifest)
    before = held(place)
    with pytest.raises(InputError) as refused:
        made(place, "new")
    assert "-o" in str(refused.value)
    assert ("photo.jpg" if manifest is None else "manifest.json") in str(refused.value)
    assert held(place) == before
    assert [path.name for path in tmp_path.iterdir()] == ["kit"]


def test_an_empty_folder_may_become_a_kit(tmp_path: Path) -> None:
    """A folder with nothing in it is nobody's loss."""
    (tmp_path / "kit").mkdir()
    made(tmp_path / "kit", "new")
    assert (tmp_path / "kit" / "laser" / "a.dxf").read_text() == "new"


def test_the_users_own_files_stay_the_same_files(tmp_path: Path) -> None:
    """Notes, links, empty folders and a FIFO inside a kit go along: the same inode, mode and time."""
    kit = tmp_path / "kit"
    made(kit, "old")
    (kit / "laser" / "note.txt").write_text("mine")
    (kit / "laser" / "note.txt").chmod(0o640)
    (kit / "shop.toml").symlink_to("laser/note.txt")
    (kit / "photos" / "june").mkdir(parents=True)
    os.mkfifo(kit / "pipe")
    names = ("laser/note.txt", "shop.toml", "pipe")
    before = [(kit / name).lstat() for name in names]
    made(kit, "new")
    for name, was in zip(names, before, strict=True):
        now = (kit / name).lstat()
        assert (now.st_ino, now.st_mode, now.st_mtime_ns) == (was.st_ino, was.st_mode, was.st_mtime_ns)
        assert now.st_nlink == 1
    assert (kit / "photos" / "june").is_dir()
    assert (kit / "laser" / "a.dxf").read_text() == "new"


def test_files_go_along_where_there_are_no_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a file system without hard links the user's files are there all the same, the first ones, not copies."""

    def no_links(*_: object, **__: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", no_links)
    made(tmp_path / "kit", "old")
    (tmp_path / "kit" / "note.txt").write_text("mine")
    inode = (tmp_path / "kit" / "note.txt").stat().st_ino
    made(tmp_path / "kit", "new")
    assert (tmp_path / "kit" / "note.txt").read_text() == "mine"
    assert (tmp_path / "kit" / "note.txt").stat().st_ino == inode


def test_a_file_that_came_in_meanwhile_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A note laid into the kit between the linking and the exchange is not cleared away with the old folder."""
    kit = tmp_path / "kit"
    made(kit, "old")
    exchange = folder._exchange

    def late(draft: Path, target: Path) -> bool:
        (target / "laser" / "late.txt").write_text("mine")
        return exchange(draft, target)

    monkeypatch.setattr(folder, "_exchange", late)
    made(kit, "new")
    assert (kit / "laser" / "late.txt").read_text() == "mine"
    assert (kit / "laser" / "a.dxf").read_text() == "new"
    assert [path.name for path in tmp_path.iterdir()] == ["kit"]


def test_a_file_in_the_place_of_a_new_one_is_refused(tmp_path: Path) -> None:
    """A file of the user's own where the new kit has one of that name is never overwritten: refused, naming it."""
    kit = tmp_path / "kit"
    made(kit, "old")
    (kit / "setup_sheet.pdf").write_text("mine")

    def fail() -> None:
        with whole_folder(kit) as draft:
            (draft / "setup_sheet.pdf").write_text("ours")
            write(draft, "new")

    with pytest.raises(InputError, match=r"setup_sheet\.pdf"):
        fail()
    assert (kit / "setup_sheet.pdf").read_text() == "mine"
    assert (kit / "laser" / "a.dxf").read_text() == "old"


def test_a_file_of_the_kit_changed_by_hand_is_set_aside(tmp_path: Path) -> None:
    """What somebody wrote into a file of the kit is kept when that file is made anew, and said."""
    kit, said = tmp_path / "kit", []
    made(kit, "old")
    (kit / "laser" / "a.dxf").write_text("edited")
    with whole_folder(kit, said.append) as draft:
        write(draft, "new")
    assert (kit / "changed-by-hand" / "laser" / "a.dxf").read_text() == "edited"
    assert (kit / "laser" / "a.dxf").read_text() == "new"
    assert "changed-by-hand/laser/a.dxf" in said[0]


@pytest.mark.parametrize("at_once", [True, False])
def test_a_process_killed_while_changing_over_loses_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at_once: bool
) -> None:
    """Killed after the exchange, or between two renames: the next make puts back or clears, the note is there."""
    kit = tmp_path / "kit"
    made(kit, "old")
    (kit / "note.txt").write_text("mine")
    child = os.fork()
    if child == 0:
        if at_once:
            monkeypatch.setattr(folder, "_clear", lambda *_, **__: os._exit(9))
        else:
            monkeypatch.setattr(folder, "_put_in_place", lambda _, target: _leave_aside(target))
        made(kit, "new")
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    assert kit.is_dir() == at_once
    made(kit, "newest")
    assert held(kit).keys() == {"laser/a.dxf", "manifest.json", "note.txt"}
    assert (kit / "laser" / "a.dxf").read_text() == "newest"
    assert [path.name for path in tmp_path.iterdir()] == ["kit"]


def _leave_aside(target: Path) -> None:
    target.rename(target.with_name(f".{target.name}.{os.getpid()}.old"))
    os._exit(9)


def test_of_two_processes_the_second_waits(tmp_path: Path) -> None:
    """Two makes of one kit at the same time: both succeed one after the other, and the kit is whole with the note."""
    make_kit(load_job("ukulele-tenor"), tmp_path, [Group.LASER])
    kit = tmp_path / "ukulele-tenor"
    (kit / "note.txt").write_text("mine")
    command = [*MAKE, "ukulele-tenor", "-o", str(tmp_path), "--only"]
    both = [subprocess.Popen([*command, group], stderr=subprocess.DEVNULL) for group in ("laser", "sheet")]
    assert [process.wait() for process in both] == [0, 0]
    assert_whole(kit, {"note.txt"})
    assert {entry["group"] for entry in listed(kit)} == {"laser", "sheet", "results"}
    assert [path.name for path in tmp_path.iterdir()] == ["ukulele-tenor"]


def test_a_reader_finds_the_old_kit_or_the_new_one(tmp_path: Path) -> None:
    """While kits change over, whoever opens a file by its path always finds one, of the old kit or of the new."""
    kit = tmp_path / "kit"
    made(kit, "text 0")
    child = os.fork()
    if child == 0:
        for number in range(1, 60):
            made(kit, f"text {number}")
        os._exit(0)
    seen = set()
    while os.waitpid(child, os.WNOHANG) == (0, 0):
        seen.add((kit / "laser" / "a.dxf").read_text())
    assert all(text.startswith("text ") for text in seen)
    assert len(seen) > 1


# --- the kit -------------------------------------------------------------------------------------------------------


def listed(kit: Path) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads((kit / "manifest.json").read_text())["files"]
    return found


def assert_whole(kit: Path, own: Collection[str] = ()) -> None:
    """Every file that the manifest lists is there unharmed, and nothing else but the user's `own`."""
    for entry in listed(kit):
        data = (kit / entry["path"]).read_bytes()
        assert len(data) == entry["bytes"]
        assert hashlib.sha256(data).hexdigest() == entry["sha256"]
    found = {path.relative_to(kit).as_posix() for path in kit.rglob("*") if path.is_file()}
    assert found == {entry["path"] for entry in listed(kit)} | {"manifest.json", *own}
    assert [entry["path"] for entry in listed(kit)] == sorted(entry["path"] for entry in listed(kit))


def job_at(path: Path, **instrument: float) -> Path:
    """A job file for an orchestra model, written at `path`."""
    path.parent.mkdir(parents=True, exist_ok=True)
    own = "".join(f"{key} = {value}\n" for key, value in instrument.items())
    path.write_text(
        f'schema = {SCHEMA}\n[job]\nname = "{path.stem}"\n[instrument]\npreset = "orchestra-14"\n{own}'
        '[target]\nsaddle_gap = 3.5\n[router]\npreset = "inch-half"\n'
    )
    return path


def cli(*arguments: str) -> Any:
    return CliRunner().invoke(program("make"), ["make", *arguments])


@pytest.mark.parametrize("owner", [os.getpid(), os.getppid(), 1], ids=["own", "parent", "first"])
def test_a_draft_of_a_number_that_runs_again_is_cleared(owner: int, tmp_path: Path) -> None:
    """Process numbers come again, in a container the same each time: who holds the kit's lock knows what was left."""
    made(tmp_path / "kit", "old")
    (tmp_path / f".kit.{owner}.draft" / "laser").mkdir(parents=True)
    made(tmp_path / "kit", "new")
    assert held(tmp_path / "kit")["laser/a.dxf"] == b"new"
    assert [path.name for path in tmp_path.iterdir()] == ["kit"]


def test_another_kits_draft_is_not_touched(tmp_path: Path) -> None:
    """A name may begin as another does, with a full stop behind it."""
    others = [tmp_path / f".kit.{name}.77.draft" for name in ("b", "5", "5.draft")]
    for draft in others:
        (draft / "laser").mkdir(parents=True)
    made(tmp_path / "kit", "new")
    assert all(draft.is_dir() for draft in others)


def test_where_there_are_no_locks_a_running_owners_draft_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some network disks have none: there the number of the process decides."""

    def none(handle: int) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(atomic_file, "_lock", none)
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    (tmp_path / ".kit.1.draft").mkdir()
    (tmp_path / f".kit.{gone.pid}.draft").mkdir()
    made(tmp_path / "kit", "new")
    assert sorted(path.name for path in tmp_path.iterdir()) == [".kit.1.draft", "kit"]


def test_windows_locks_make_the_second_wait_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By its way of locking, stood in for here: one after the other, and the lock's file is taken away."""
    fcntl = pytest.importorskip("fcntl", reason="stands in for the other system's locks")

    def locking(handle: int, mode: int, count: int) -> None:
        try:
            fcntl.flock(handle, mode)
        except BlockingIOError:
            raise PermissionError(errno.EACCES, "Permission denied") from None

    stand_in = types.SimpleNamespace(LK_NBLCK=fcntl.LOCK_EX | fcntl.LOCK_NB, locking=locking)
    monkeypatch.setitem(sys.modules, "msvcrt", stand_in)
    monkeypatch.setattr(atomic_file, "_lock", atomic_file._lock_on_windows)
    said = []

    def second() -> None:
        with alone(tmp_path / "kit") as is_alone:
            said.append(("second", is_alone))

    with alone(tmp_path / "kit") as is_alone:
        other = threading.Thread(target=second)
        other.start()
        time.sleep(4.0 * atomic_file._WAIT)
        said.append(("first", is_alone))
    other.join()
    assert said == [("first", True), ("second", True)]
    assert list(tmp_path.iterdir()) == []


def test_the_jobs_own_folder_is_never_emptied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`make my-parlour/my-parlour.toml` without -o is refused: job, log, shop file and photo stay, and -o is named."""
    monkeypatch.chdir(tmp_path)
    job_at(Path("my-parlour/my-parlour.toml"))
    for name in ("my-parlour.log.toml", "shop.toml", "photo.jpg"):
        Path("my-parlour", name).write_text("")
    before = held(tmp_path)
    refused = cli("my-parlour/my-parlour.toml", "--only", "sheet")
    assert refused.exit_code == 1
    assert "photo.jpg" in refused.stderr
    assert "-o kits" in refused.stderr
    assert held(tmp_path) == before


def test_only_replaces_its_group_and_keeps_the_rest(tmp_path: Path) -> None:
    """--only sheet over a kit with cutting files: those stay byte for byte, the proof is made, nothing is stale."""
    kit = make_kit(load_job("ukulele-tenor"), tmp_path, [Group.LASER])
    cutting = {name: data for name, data in held(kit).items() if name.startswith("laser/")}
    (kit / "note.txt").write_text("mine")
    found = write_kit(load_job("ukulele-tenor"), tmp_path, [Group.SHEET])
    assert not found.stale
    assert found.proof
    assert {name: data for name, data in held(kit).items() if name.startswith("laser/")} == cutting
    assert_whole(kit, {"note.txt"})
    assert {entry["group"] for entry in listed(kit)} == {"laser", "sheet", "results"}


def test_groups_of_an_earlier_job_are_marked_and_named(tmp_path: Path) -> None:
    """After a change of the job --only marks the other groups stale, `prove` fails naming them; made anew all is well.

    The printer's factors are in the paper alone: a new calibration makes no cutting file stale.
    """
    job = tmp_path / "jobs" / "orchestra-14.toml"
    job.parent.mkdir()
    shutil.copy(shipped_folder() / "jobs" / job.name, job)  # the ready job, much of which is in the run's store
    kit = make_kit(load_job(job), tmp_path, [Group.LASER])
    job.write_text(job.read_text().replace("[instrument]", "[instrument]\nbody_depth_at_neck = 96"))
    changed = cli(str(job), "-o", str(tmp_path), "--only", "sheet")
    assert changed.exit_code == 0, changed.output
    assert "laser" in changed.stdout.partition("STALE")[2]
    assert json.loads((kit / "manifest.json").read_text())["stale"] == ["laser"]
    proof = compared(kit)
    stale = next(check for check in proof.failed if check.name == "files: of one job and version")
    assert "laser" in stale.message
    assert "stale" in stale.message
    again = write_kit(load_job(job), tmp_path, [Group.LASER])
    assert not again.stale
    assert json.loads((kit / "manifest.json").read_text())["stale"] == []
    (tmp_path / "shop.toml").write_text("[printer]\nx_factor = 1.004\n")
    assert not write_kit(load_job(job, tmp_path / "shop.toml"), tmp_path, [Group.SHEET]).stale
    assert not write_kit(load_job(job), tmp_path, [Group.SHEET], full_size=True).stale


def test_full_size_goes_from_the_command_line_into_the_booklet(tmp_path: Path) -> None:
    """Without --full-size the elevation is one page at 1:2. With it the line from join to saddle mark, 289.89 mm
    (arithmetic of 645.16 + 2.5 less 357.77), is drawn as long as it is, on more pages than one, and job.toml says so.
    """
    first = cli("orchestra-14", "-o", str(tmp_path), "--only", "paper")
    assert first.exit_code == 0, first.output
    kit = tmp_path / "orchestra-14"
    half = _elevation(kit)
    second = cli("orchestra-14", "-o", str(tmp_path), "--only", "paper", "--full-size")
    assert second.exit_code == 0, second.output
    full = _elevation(kit)
    assert (half[0], "Scale 1:2." in half[1], "Scale 1:1." in full[1]) == (1, True, True)
    assert full[0] > 1
    assert full[2] > 645.16 + 2.5 - 645.16 * (1 - 2 ** (-14 / 12)) > half[2]
    assert re.search(r"^full_size = true", (kit / "job.toml").read_text(), flags=re.MULTILINE)


def _elevation(kit: Path) -> tuple[int, str, float]:
    """The side elevation in a kit: its pages in the booklet, its words, and the longer side of its sheet in mm."""
    pages = pypdfium2.PdfDocument(kit / "paper" / "booklet.A4.pdf")
    texts = [" ".join(page.get_textpage().get_text_range().split()) for page in pages]
    shown = [text for text in texts if "Side elevation of the neck set" in text and "What is in here" not in text]
    own = [text for text in shown if "page map" not in text]
    svg = (kit / "paper" / "side_elevation.svg").read_text()
    sides = [float(side) for side in re.findall(r'(?:width|height)="([\d.]+)mm"', svg)[:2]]
    return len(own), " ".join(own), max(sides)


def test_the_whole_kit_can_be_made_again_from_its_own_job(tmp_path: Path) -> None:
    """job.toml is the effective job: what shop file and own presets gave is in it; the same files come of it."""
    jobs = tmp_path / "jobs"
    job = job_at(jobs / "bench.toml", relief=0.2)
    (jobs / "presets" / "stock").mkdir(parents=True)
    stock = next(preset for preset in list_presets(PresetKind.STOCK) if preset.name == "birch-ply-18")
    (jobs / "presets" / "stock" / "shop-ply.toml").write_text(read_text(stock))
    job.write_text(job.read_text() + '[jig]\nplate_stock = "shop-ply"\n')
    (jobs / "shop.toml").write_text(
        "[printer]\nx_factor = 1.004\n[stock.shop-ply]\nmeasured_thickness = 17.8\n"
        "[router.inch-half]\nedge_offset = 3.2\n"
    )
    first = make_kit(load_job(job), tmp_path / "one", [Group.LASER])
    copy = shutil.copytree(first, tmp_path / "elsewhere" / "bench")
    shutil.rmtree(jobs)
    second = make_kit(load_job(copy), tmp_path / "two", [Group.LASER])
    for name, data in held(first).items():
        if name.startswith("laser/"):
            assert held(second)[name] == data, name
    results = [json.loads((kit / "results.json").read_text()) for kit in (first, second)]
    for section in ("neck_set", "joint", "router", "cradle", "parts", "checks"):
        assert results[0][section] == results[1][section]
    assert load_job(second).printer.x_factor == 1.004


def test_a_kits_own_job_edited_in_place_is_not_overwritten(tmp_path: Path) -> None:
    """A kit's job.toml makes the kit again; changed by hand it is refused with the way out."""
    kit = make_kit(load_job("ukulele-tenor"), tmp_path, [Group.LASER])
    make_kit(load_job(kit), tmp_path, [Group.LASER])
    (kit / "job.toml").write_text((kit / "job.toml").read_text() + "\n# my own words\n")
    with pytest.raises(InputError, match="copy it out"):
        make_kit(load_job(kit), tmp_path, [Group.LASER])
    assert "my own words" in (kit / "job.toml").read_text()


def test_a_full_disk_leaves_the_kit_as_it_was(tmp_path: Path) -> None:
    """With a limit on the size of written files `make` refuses with a message, and the kit stands as before."""
    kit = make_kit(load_job("ukulele-tenor"), tmp_path, [Group.LASER])
    (kit / "note.txt").write_text("mine")
    before = held(kit)
    code = (
        "import resource, signal, sys\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (15000, 15000))\n"
        "from generator.commands.cli import program\n"
        f"program('make')(['make', 'ukulele-tenor', '-o', {str(tmp_path)!r}, '--only', 'laser'])\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "ukulele-tenor: the kit could not be written" in done.stderr
    assert "Traceback" not in done.stderr
    assert held(kit) == before
    assert [path.name for path in tmp_path.iterdir()] == ["ukulele-tenor"]


def test_a_failed_check_writes_nothing(tmp_path: Path) -> None:
    """A job whose numbers fail a check is refused by name and leaves no folder."""
    job = tmp_path / "weak.toml"
    job.write_text(
        'schema = 2\n[job]\nname = "weak"\n[instrument]\npreset = "orchestra-14"\n'
        '[router]\npreset = "inch-half"\nhold_back = 5\n[jig]\npreset = "plywood"\n'
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
