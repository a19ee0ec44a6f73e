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

build_jig(solve(load_job(sys.argv[2])))
"""


@dataclass
class Case:
    """One command; `{out}` in it stands for a folder of its own; the store it may use. Its times so far, s."""

    name: str
    command: list[str]
    store: str = "off"
    cpu: list[float] = field(default_factory=list)
    clock: list[float] = field(default_factory=list)

    def run(self) -> None:
        with tempfile.TemporaryDirectory() as out:
            command = [sys.executable, *(part.replace("{out}", out) for part in self.command)]
            before, start = _children(), time.perf_counter()
            where = os.environ | {"HEELWRIGHT_CACHE": self.store}
            quiet = subprocess.DEVNULL
            subprocess.run(command, cwd=ROOT, env=where, check=True, stdout=quiet, stderr=quiet)
            self.clock.append(time.perf_counter() - start)
            self.cpu.append(_children() - before)


def _children() -> float:
    """Processor seconds that ended children have used."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def cases(job: str, workers: int, store: str) -> list[Case]:
    make = ["-m", "generator", "make", job, "-o", "{out}", "--workers"]
    groups = ("laser", "step", "paper", "drawings", "sheet")
    return [
        Case("bare kernel script", ["-c", BARE_KERNEL, "{out}"]),
        Case("solve", ["-m", "generator", "solve", job]),
        Case("jig", ["-c", JIG, "{out}", job]),
        *(Case(f"{group} alone", [*make, "1", "--only", group]) for group in groups),
        Case("whole kit, 1 process", [*make, "1"]),
        Case(f"whole kit, {workers} processes", [*make, str(workers)]),
        Case("whole kit, made before", [*make, "1"], store),
    ]


def warm(job_name: str, runs: int) -> list[tuple[str, float]]:
    """Milliseconds of what a warm process does without the kernel, each after one run that is not counted."""
    from generator.documents.paper import paper_sheets
    from generator.documents.paper.rooms import page_rooms
    from generator.documents.paper.side_elevation import side_elevation
    from generator.formats.svg.write import svg_text
    from generator.jig.build import build_jig
    from generator.job.load import load_job
    from generator.joint.solution import solve
    from generator.kit.groups import Group
    from generator.kit.pipeline import make_kit
    from generator.proof.prove import prove_template_of

    job = load_job(job_name)
    solution = solve(job)
    jig = build_jig(solution)
    sheets, paper = paper_sheets(solution, jig), job.output.paper[0]
    sheet, rooms = sheets[-1], page_rooms(job, job.output.paper)
    with tempfile.TemporaryDirectory() as folder:
        kit = make_kit(job, Path(folder), [Group.LASER])
        return [
            ("solve with all checks", _median_ms(lambda: solve(job), runs)),
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
    with tempfile.TemporaryDirectory() as store:
        found = cases(chosen.job, chosen.workers, store)
        for _ in range(chosen.runs):
            for case in found:
                case.run()
    machine = f"{platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}"
    sys.stdout.write(f"{machine}, medians of {chosen.runs}, job {chosen.job}\n\n{_table(found)}\n\n")
    for name, milliseconds in warm(chosen.job, chosen.runs):
        sys.stdout.write(f"{name:42}{milliseconds:8.0f} ms\n")


if __name__ == "__main__":
    main()
