"""Debian's FreeCAD, a different build of another version of the kernel, as an independent reader of STEP files."""

from __future__ import annotations

import json
import subprocess
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

PYTHON = Path("/usr/bin/python3")
MODULES = ("/usr/lib/freecad-python3/lib", "/usr/lib/freecad/lib")

SCRIPT = f"""
import json, sys
sys.path += {MODULES!r}
import FreeCAD, Part
found = []
for path in sys.argv[1:]:
    shape = Part.Shape()
    shape.read(path)
    box = shape.BoundBox
    found.append({{
        "valid": shape.isValid() and all(solid.isValid() for solid in shape.Solids),
        "volumes": [solid.Volume for solid in shape.Solids],
        "box": [box.XMin, box.YMin, box.ZMin, box.XMax, box.YMax, box.ZMax],
    }})
print(json.dumps(found))
"""


@dataclass(frozen=True)
class Found:
    """What FreeCAD says of one file: no fault in any solid, each solid's volume (mm³), the box of all (mm)."""

    valid: bool
    volumes: list[float]
    box: list[float]


@cache
def _missing() -> bool:
    if not PYTHON.exists():
        return True
    return subprocess.run([PYTHON, "-c", SCRIPT], capture_output=True, check=False).returncode != 0


def read_by_freecad(*paths: Path) -> list[Found]:
    """What FreeCAD finds in the files; the calling test is skipped where this system has none."""
    if _missing():
        pytest.skip("this system has no FreeCAD")
    run = subprocess.run([PYTHON, "-c", SCRIPT, *map(str, paths)], capture_output=True, check=True, text=True)
    return [Found(**one) for one in json.loads(run.stdout.splitlines()[-1])]
