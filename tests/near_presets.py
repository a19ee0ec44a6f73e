"""Jobs near those that ship, from seeds: every length and angle of instrument and joint within a tenth.

`python -m tests.near_presets 1000` draws that many and prints what share is refused, and by which checks and rules.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from pathlib import Path
from typing import Any

from generator.base.errors import Fault, InputError
from generator.jig.buildability import with_standing
from generator.job.load import job_from_tables
from generator.job.model.field_types import AngleType, LengthType
from generator.job.presets import PresetKind, list_presets
from generator.job.shop import Shop
from generator.job.tables import KEYS
from generator.joint.checks import Check, CheckStatus
from generator.joint.solution import Solution, solve

NEAR = 0.1
#: The tables that are moved; a router kit and sheet stock are what they are.
_MOVED = ("instrument", "joint")


def near_tables(seed: int) -> dict[str, Any]:
    """The job file of a seed: an instrument, a router kit that goes with it, and their values moved."""
    draw = random.Random(f"near {seed}")
    instrument = draw.choice(list_presets(PresetKind.INSTRUMENTS))
    tables = instrument.tables()
    job: dict[str, Any] = {
        "schema": 2,
        "job": {"name": f"near-{seed}"},
        "instrument": {"preset": instrument.name},
        "router": {"preset": tables["start"]["router"]},
    }
    for table in _MOVED:
        for key, value in tables.get(table, {}).items():
            kind = KEYS[table].get(key)
            if isinstance(kind, LengthType | AngleType) and value != "auto":
                read = kind.read(value)
                if isinstance(read, float | int):
                    moved = read * draw.uniform(1.0 - NEAR, 1.0 + NEAR)
                    job.setdefault(table, {})[key] = round(min(max(moved, kind.low), kind.high), 3)
    return job


def near_job(seed: int) -> tuple[Solution | None, tuple[Fault, ...], tuple[Check, ...]]:
    """The job of a seed solved, the faults that refuse it as it is read, and the checks that refuse it solved."""
    try:
        solution = with_standing(solve(job_from_tables(near_tables(seed), Path(f"near-{seed}.toml"), Shop())))
    except InputError as error:
        return None, error.faults, ()
    return solution, (), tuple(check for check in solution.checks if check.status is CheckStatus.FAIL)


def main(count: int) -> None:
    refused, by = 0, Counter[str]()
    for seed in range(count):
        _, faults, checks = near_job(seed)
        refused += bool(faults or checks)
        by.update({*(fault.key for fault in faults), *(check.name for check in checks)})
    rows = [f"{refused} of {count} refused: {100.0 * refused / count:.1f} %"]
    rows += [f"{times:6d}  {name}" for name, times in by.most_common()]
    sys.stdout.write("\n".join(rows) + "\n")


if __name__ == "__main__":
    main(int(sys.argv[1]))
