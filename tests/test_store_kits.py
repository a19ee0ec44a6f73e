"""Kits with a store and without one: the same bytes, and nothing made that was made before."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest

from generator.base.errors import CheckFailed
from generator.base.packed import pack
from generator.base.store import NO_STORE, Store, _write, program_digest
from generator.formats.dxf.write import part_dxf
from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.job.model.job import Job
from generator.joint.solution import solve
from generator.kit.groups import Group
from generator.kit.pipeline import write_kit

ROOT = Path(__file__).parent.parent
JOB = "ukulele-tenor"
pytestmark = pytest.mark.usefixtures("proved_once")


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def under(found: dict[str, bytes], *folders: str) -> dict[str, bytes]:
    """The files of these folders of a kit."""
    return {name: data for name, data in found.items() if name.startswith(folders)}


@dataclass(frozen=True)
class Watched(Store):
    """A store that tells which functions it was asked for in vain, and so had to make, and where each answer went."""

    made: list[tuple[str, Path]] = field(default_factory=list)

    def kept(self, function: Any, *given: Any, **named: Any) -> Any:
        path = self._path(f"{function.__module__}.{function.__qualname__}", given, named)
        if not path.is_file():
            self.made.append((function.__name__, path))
        return super().kept(function, *given, **named)

    def counts(self) -> Counter[str]:
        """How often each function had to be asked."""
        return Counter(name for name, _ in self.made)


@dataclass(frozen=True)
class Kept:
    """A whole kit: its files as made without a store, at `place`, and a store full of what was made for it."""

    place: Path
    files: dict[str, bytes]
    store: Watched


def kit_files(
    job: Job, out: Path, store: Store = NO_STORE, groups: tuple[Group, ...] = tuple(Group)
) -> dict[str, bytes]:
    """Every file of a kit that stands at the same place each time."""
    found = files(write_kit(job, out, groups, store=store).folder)
    shutil.rmtree(out)
    return found


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory, proved_once: None) -> Kept:
    """A ready job's kit, made without a store and then with an empty one: the same bytes."""
    place = tmp_path_factory.mktemp("kits")
    store = Watched(place / "store", program_digest(ROOT / "generator"))
    made = kit_files(load_job(JOB), place / "out")
    assert kit_files(load_job(JOB), place / "out", store) == made
    return Kept(place / "out", made, store)


@pytest.fixture
def watched(first: Kept, tmp_path: Path) -> Watched:
    """A copy of the full store."""
    assert first.store.folder is not None
    return replace(first.store, folder=shutil.copytree(first.store.folder, tmp_path / "store"), made=[])


def test_a_kit_is_the_same_with_and_without_a_store(first: Kept, watched: Watched) -> None:
    """A whole kit without a store, with an empty one and with a full one: the same bytes, the last all kept."""
    assert set(first.store.counts()) >= {
        "part_step",
        "jig_step",
        "part_dxf",
        "sheet_dxf",
        "side_elevation",
        "_captioned",
        "paper_files",
        "assembly_drawing",
        "drawing_files",
        "jig_glb",
        "both_pictures",
        "sheet_figures",
        "setup_sheet_files",
    }
    assert kit_files(load_job(JOB), first.place, watched) == first.files
    assert watched.made == []


def test_another_target_makes_only_what_shows_it(first: Kept, watched: Watched) -> None:
    """A kit of another target, with the store of the first: its own bytes, and parts that stayed are not made again."""
    groups = (Group.STEP, Group.LASER, Group.PAPER)
    job = load_job(JOB)
    second = job.model_copy(update={"target": job.target.model_copy(update={"bridge_clearance": 0.6})})
    made = kit_files(second, first.place, watched, groups)
    assert made == kit_files(second, first.place, groups=groups)
    folders = ("step/", "laser/", "paper/")
    assert under(made, *folders) != under(first.files, *folders)
    once, again = first.store.counts(), watched.counts()
    assert again["side_elevation"] == once["side_elevation"] == 1
    for function in ("part_step", "part_dxf"):
        assert 0 < again[function] < once[function], function
    assert again["_captioned"] < once["_captioned"]


def test_where_the_job_lies_changes_no_drawing(first: Kept, watched: Watched, tmp_path: Path) -> None:
    """The same job from a file: only the sheet that prints its commands is set again, and prints the new ones."""
    (tmp_path / "there").mkdir()
    path = shutil.copy(ROOT / "presets" / "jobs" / f"{JOB}.toml", tmp_path / "there")
    found = kit_files(load_job(path), first.place, watched, (Group.PAPER, Group.DRAWINGS, Group.SHEET))
    assert [name for name, _ in watched.made] == ["setup_sheet_files"]
    assert under(found, "paper/", "drawings/") == under(first.files, "paper/", "drawings/")
    alone = kit_files(load_job(path), first.place, groups=(Group.SHEET,))
    sheets = [name for name in alone if name.startswith(("setup_sheet", "bench_card"))]
    assert len(sheets) >= 3
    assert [name for name in sheets if found[name] != alone[name]] == []
    assert found["setup_sheet.html"] != first.files["setup_sheet.html"]
    assert str(tmp_path / "there").encode() in found["setup_sheet.html"]


def test_the_kernel_stays_out_where_every_step_file_is_kept(first: Kept, watched: Watched, tmp_path: Path) -> None:
    """`make` loads the CAD kernel for a kit of which the store lacks a solid, and not for one that it knows."""
    script = (
        "import sys\nfrom generator.commands.cli import program\n"
        f"try: program(['make'])(['make', '{JOB}', '-o', sys.argv[1], '--only', 'step', '--workers', '1'])\n"
        "except SystemExit: pass\n"
        "print('OCP' in sys.modules)"
    )
    env = os.environ | {"PYTHONPATH": str(ROOT), "HEELWRIGHT_CACHE": str(watched.folder)}

    def loaded(out: str) -> str:
        command = [sys.executable, "-c", script, str(tmp_path / out)]
        run = subprocess.run(command, capture_output=True, text=True, check=True, cwd=tmp_path, env=env)
        assert files(tmp_path / out / JOB / "step") == {
            name.removeprefix("step/"): data for name, data in under(first.files, "step/").items()
        }
        return run.stdout.split()[-1]

    assert loaded("one") == "False"
    solid = next(path for name, path in first.store.made if name == "part_step")
    assert watched.folder is not None
    assert first.store.folder is not None
    (watched.folder / solid.relative_to(first.store.folder)).unlink()
    assert loaded("two") == "True"


def test_a_store_full_of_lies_does_not_pass_the_proof(watched: Watched, tmp_path: Path) -> None:
    """The proof reads the written files: a cutting file that the store gives back wrong is found out."""
    job = load_job(JOB)
    plate = build_jig(solve(job)).part("template_plate")
    lie = part_dxf(replace(plate, openings=plate.openings[:1]), job.name)
    path = watched._path("generator.formats.dxf.write.part_dxf", (plate, job.name), {})
    assert path.is_file()
    _write(path, pack(lie))
    with pytest.raises(CheckFailed, match="template_plate"):
        write_kit(job, tmp_path / "out", (Group.LASER,), store=watched)
    assert not (tmp_path / "out" / job.name).exists()
