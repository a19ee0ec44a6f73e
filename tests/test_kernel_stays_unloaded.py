"""The CAD kernel takes a second to load, so only what needs it loads it."""

from __future__ import annotations

import pkgutil
import subprocess
import sys

import generator

#: Importing these loads the kernel; importing anything else must not.
KERNEL = ("generator.solid", "generator.formats.step.read")


def test_importing_everything_else_leaves_the_kernel_alone() -> None:
    """All modules of the package but the solids and the STEP reader import without cadquery, OCP or VTK."""
    names = [info.name for info in pkgutil.walk_packages(generator.__path__, "generator.", onerror=lambda name: None)]
    light = [
        name
        for name in names
        if not any(name == k or name.startswith(k + ".") for k in KERNEL) and not name.endswith("__main__")
    ]
    assert "generator.drawing.picture" in light
    assert "generator.documents.scene.stage" in light
    assert "generator.formats.step.write" in light
    script = (
        f"import importlib, sys\nfor name in {light!r}: importlib.import_module(name)\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('cadquery', 'OCP', 'vtkmodules')])"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    assert run.stdout.strip() == "[]"
