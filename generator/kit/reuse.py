"""A kit already made against a new job: which parts serve, which to make new; the `--have` of `heelwright solve`."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import Any

from generator.base.plain_text import LINE_WIDTH
from generator.jig.build import build_jig
from generator.jig.compare import PartVerdict, Verdict, compare_jigs, shared_jig
from generator.joint.solution import Solution
from generator.proof.kit_files import open_kit

#: Columns of a part's title.
_TITLE = 26


class Having:
    """The comparison of the kit in `folder` with the job of `solution`; InputError where there is no kit."""

    def __init__(self, folder: Path, solution: Solution) -> None:
        kit = open_kit(folder)
        self.folder, self.job = folder, kit.name
        volumes = {name: float(entry.volume) for name, entry in kit.part_entries.items()}
        shared = shared_jig(kit.solution, solution)
        self.parts = compare_jigs(kit.jig, build_jig(solution), solution.job.jig, volumes, shared)

    def content(self) -> dict[str, Any]:
        """For --json."""
        return {
            "folder": str(self.folder),
            "job": self.job,
            "parts": [{"name": one.name, "verdict": one.verdict.value, "why": one.why} for one in self.parts],
        }

    def lines(self) -> list[str]:
        """For people: what to make first, then what serves."""
        make = [one for one in self.parts if one.verdict in (Verdict.MAKE_NEW, Verdict.ADD, Verdict.CHECK)]
        serve = [one for one in self.parts if one.verdict is Verdict.SERVES]
        title = f"With the kit of {self.job}: {len(serve)} of {len(make) + len(serve)} parts serve as they are"
        lines = [title, "-" * len(title)]
        lines += [line for one in make for line in _row(one)] if make else ["  Nothing is to be made new."]
        marked = [one for one in serve if one.why]
        plain = ", ".join(one.title.lower() for one in serve if not one.why)
        if plain:
            lines += textwrap.wrap(f"serve: {plain}", LINE_WIDTH, initial_indent="  ", subsequent_indent="    ")
        return (
            lines
            + [line for one in marked for line in _row(one)]
            + [line for one in self.parts if one.verdict is Verdict.NOT_NEEDED for line in _row(one)]
        )


def _row(one: PartVerdict) -> list[str]:
    lead = f"  {one.verdict.value:<11}{one.title:<{_TITLE}}"
    return textwrap.wrap(one.why, LINE_WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead)) or [lead.rstrip()]
