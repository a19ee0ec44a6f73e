"""How long things take, against a bare script of the CAD kernel that runs in between: `python -m tests.benchmarks`.

Every command runs in a fresh process, `--runs` times in turn with all others, so that what else the machine does falls
on all alike. Printed are medians: seconds of processor time (with all processes a command starts) and of the clock, and
how many times the bare script's own that is. The second table is of a warm process, in milliseconds. Nothing is judged:
seconds belong to a machine, and ratios to its load.
"""

from __future__ import annotations

import argparse
import os
import platform
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from generator.drawing.sheet import Sheet
    from generator.job.model.job import Paper

ROOT = Path(__file__).parent.parent

#: What anyone pays who lets the kernel make six plain parts: import it, extrude, write STEP.
BARE_KERNEL = """
import sys
import cadquery as cq

for i in range(6):
    plate = cq.Workplane("XY").rect(200 + 10 * i, 80).extrude(12).faces(">Z").workplane()
    part = plate.rarray(40, 30, 4, 2).hole(5.5)
    cq.exporters.export(part, f"{sys.argv[1]}/part{i}.step")
"""

JIG = """
import sys
from generator.job.load import load_job
from generator.jig.build import build_jig
from generator.joint.solution import solve

build_jig(solve(load_job(sys.argv[1])))
"""


@dataclass
class Case:
    """One command, run in a folder of its own with a copy of the `store`, or none. Its times so far, s."""

    name: str
    command: list[str]
    store: Path | None = None
    cpu: list[float] = field(default_factory=list)
    clock: list[float] = field(default_factory=list)

    def run(self) -> None:
        with tempfile.TemporaryDirectory() as out, tempfile.TemporaryDirectory() as store:
            if self.store is not None:
                shutil.copytree(self.store, store, dirs_exist_ok=True)
            before, start = _children(), time.perf_counter()
            _run(self.command, Path(out), "off" if self.store is None else store)
            self.clock.append(time.perf_counter() - start)
            self.cpu.append(_children() - before)


def _run(command: list[str], folder: Path, store: str) -> None:
    """Run Python with `command` in `folder`, its modules compiled beforehand as those of an installed program are."""
    compiled = {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": tempfile.gettempdir() + "/heelwright-benchmarks"}
    where = os.environ | compiled | {"HEELWRIGHT_CACHE": store, "PYTHONPATH": str(ROOT)}
    quiet = subprocess.DEVNULL
    subprocess.run([sys.executable, *command], cwd=folder, env=where, check=True, stdout=quiet, stderr=quiet)


def _children() -> float:
    """Processor seconds that ended children have used."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def cases(job: str, workers: int, folder: Path) -> list[Case]:
    """Every case. What two of them need stands in `folder`: a store that knows the kit, a job with another target."""
    store, other = folder / "store", str(_with_another_target(job, folder))
    make = ["-m", "generator", "make", job, "--workers"]
    groups = ("laser", "step", "paper", "drawings", "sheet")
    return [
        Case("bare kernel script", ["-c", BARE_KERNEL, "."]),
        Case("solve", ["-m", "generator", "solve", job]),
        Case("jig", ["-c", JIG, job]),
        *(Case(f"{group} alone", [*make, "1", "--only", group]) for group in groups),
        Case("whole kit, 1 process", [*make, "1"]),
        Case(f"whole kit, {workers} processes", [*make, str(workers)]),
        Case("the same kit again", [*make, "1"], store),
        Case("another target only", ["-m", "generator", "make", other, "--workers", "1"], store),
    ]


def _with_another_target(name: str, folder: Path) -> Path:
    """A file in `folder` with the job, its gap at the saddle 0.1 mm larger."""
    from generator.job.load import load_job
    from generator.job.toml_edit import change_table, read_text

    job = load_job(name)
    gap = job.target.saddle_gap
    assert job.source_path is not None
    assert gap is not None
    path = folder / "other" / f"{job.name}.toml"  # a folder that no case runs in: a job file there would be taken
    path.parent.mkdir()
    text = change_table(read_text(job.source_path), ("target",), {"saddle_gap": gap + 0.1})
    path.write_text(text, encoding="utf-8")
    return path


def warm(job_name: str, runs: int) -> list[tuple[str, float]]:
    """Milliseconds of what a warm process does without the kernel, each after one run that is not counted."""
    from generator.documents.paper import paper_sheets
    from generator.documents.paper.rooms import page_rooms
    from generator.documents.paper.side_elevation import side_elevation
    from generator.formats.svg.write import svg_text
    from generator.jig.build import build_jig
    from generator.jig.buildability import with_standing
    from generator.job.load import load_job
    from generator.joint.solution import solve
    from generator.kit.groups import Group
    from generator.kit.pipeline import write_kit
    from generator.proof.prove import prove_template_of

    job = load_job(job_name)
    solution = solve(job)
    jig = build_jig(solution)
    sheets, paper = paper_sheets(solution, jig), job.output.paper[0]
    sheet, rooms = sheets[-1], page_rooms(job, job.output.paper)
    with tempfile.TemporaryDirectory() as folder:
        kit = write_kit(job, Path(folder), [Group.LASER]).folder
        return [
            ("solve with all checks", _median_ms(lambda: with_standing(solve(job)), runs)),
            ("all parts", _median_ms(lambda: build_jig(solution), runs)),
            ("virtual cut from the files", _median_ms(lambda: prove_template_of(kit), runs)),
            ("side elevation as SVG", _median_ms(lambda: svg_text(side_elevation(solution, rooms)), runs)),
            ("a paper sheet laid out", _median_ms(lambda: paper_sheets(solution, jig), runs) / len(sheets)),
            ("a paper sheet as PDF", _median_ms(lambda: _as_pdf(sheet, paper), runs)),
        ]


def _as_pdf(sheet: Sheet, paper: Paper) -> bytes:
    from generator.drawing.booklet import tiled_document
    from generator.drawing.tiling import both_plans
    from generator.formats.pdf.write import pdf_bytes

    return pdf_bytes(tiled_document(both_plans(sheet, paper)), sheet.title, sheet.job)


def _median_ms(work: Callable[[], object], runs: int) -> float:
    work()
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(1000.0 * (time.process_time() - start))
    return statistics.median(times)


def _table(found: list[Case]) -> str:
    bare = found[0]
    cpu, clock = statistics.median(bare.cpu), statistics.median(bare.clock)
    lines = [f"{'':26}{'CPU s':>8}{'ratio':>8}{'clock s':>10}{'ratio':>8}"]
    for case in found:
        mine, by_clock = statistics.median(case.cpu), statistics.median(case.clock)
        lines.append(f"{case.name:26}{mine:8.2f}{mine / cpu:8.2f}{by_clock:10.2f}{by_clock / clock:8.2f}")
    return "\n".join(lines)


def main() -> None:
    options = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=(__doc__ or "").split("\n\n")[0])
    options.add_argument("--job", default="orchestra-14")
    options.add_argument("--runs", type=int, default=5)
    options.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        found = cases(chosen.job, chosen.workers, place)
        _run(["-m", "generator", "make", chosen.job, "--workers", "1"], place, str(place / "store"))
        for _ in range(chosen.runs):
            for case in found:
                case.run()
    machine = f"{platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}"
    sys.stdout.write(f"{machine}, medians of {chosen.runs}, job {chosen.job}\n\n{_table(found)}\n\n")
    for name, milliseconds in warm(chosen.job, chosen.runs):
        sys.stdout.write(f"{name:42}{milliseconds:8.0f} ms\n")


if __name__ == "__main__":
    main()
