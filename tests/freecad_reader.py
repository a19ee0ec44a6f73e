"""Debian's FreeCAD, a different build of another version of the kernel, as an independent reader of STEP files."""

from __future__ import annotations

import json
import subprocess
from functools import cache
from pathlib import Path

import pytest

PYTHON = Path("/usr/bin/python3")
MODULES = ("/usr/lib/freecad-python3/lib", "/usr/lib/freecad/lib")

SCRIPT = f"""
import json, sys
sys.path += {MODULES!r}
import FreeCAD, Part
shape = Part.Shape()
if len(sys.argv) > 1:
    shape.read(sys.argv[1])
    box = shape.BoundBox
    print(json.dumps({{
        "valid": shape.isValid(),
        "volumes": [solid.Volume for solid in shape.Solids],
        "solids_valid": [solid.isValid() for solid in shape.Solids],
        "box": [box.XMin, box.YMin, box.ZMin, box.XMax, box.YMax, box.ZMax],
    }}))
"""


@cache
def _missing() -> bool:
    return (
        not PYTHON.exists() or subprocess.run([PYTHON, "-c", SCRIPT], capture_output=True, check=False).returncode != 0
    )


def read_by_freecad(path: Path) -> dict[str, object]:
    """What FreeCAD finds in the file; the calling test is skipped where this system has none."""
    if _missing():
        pytest.skip("this system has no FreeCAD")
    answer = subprocess.run([PYTHON, "-c", SCRIPT, str(path)], capture_output=True, check=True, text=True).stdout
    found: dict[str, object] = json.loads(answer.splitlines()[-1])
    return found
