"""The shape of the house: imports go down only, and heavy libraries load only where they are used."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "generator"

#: From the ground up. A module may import its own layer and every layer below it.
LAYERS = [
    [
        "errors",
        "units",
        "geometry2d",
        "shapes2d",
        "geometry3d",
        "offset",
        "tomlfile",
        "tomledit",
        "wholefile",
        "boundedfile",
        "strictjson",
        "exact",
        "store",
        "linework",
        "csvtext",
    ],
    ["model"],
    [
        "presets",
        "shop",
        "jobtables",
        "jobcopy",
        "jobfile",
        "jobrules",
        "load",
        "effectivejob",
        "fasteners",
        "commandline",
        "glossary",
    ],
    ["top", "neckset", "joint", "routing", "cradle", "stiffness", "tolerance", "frame", "shoulder", "checks"],
    ["solution", "remedy", "corrections", "reset", "calibration", "readings", "buildlog", "buildreview"],
    ["parts"],
    ["compare", "results"],
    ["solid", "readers", "facets"],
    ["drawing"],
    ["cutting", "making", "nesting"],
    ["sheets", "shopdrawings", "bench", "proof", "templates"],
    ["writers"],
    ["report", "kit", "pipeline"],
    ["page"],
    ["classes", "sweep"],
    ["commands", "cli", "__main__"],
]

#: Library -> the only modules that may name it.
HEAVY = {
    "cadquery": ["solid", "readers.step", "writers.step"],
    "OCP": ["solid", "readers.step", "writers.step"],
    "ezdxf": [
        "writers.dxf",
        "writers.dxfmeta",
        "writers.dxf_drawing",
        "readers.dxf",
        "readers.dxf_drawing",
        "readers.dxftext",
    ],
    "mapbox_earcut": ["facets.triangles"],
    "svgwrite": ["writers.svg"],
    "starlette": ["page.app", "page.guard"],
    "uvicorn": ["page.serve"],
    "segno": ["page.app"],
    "reportlab": ["writers.pdf", "writers.setup_sheet"],
    "svgelements": ["readers.svg"],
    "pypdfium2": ["readers.pdf"],
    "python_calamine": ["classes.cells"],
}


def modules() -> list[tuple[str, Path]]:
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        name = ".".join(path.relative_to(PACKAGE).with_suffix("").parts)
        if name != "__init__":
            found.append((name.removesuffix(".__init__"), path))
    return found


def rank(module: str) -> int:
    for number, layer in enumerate(LAYERS):
        if module.split(".")[0] in layer:
            return number
    raise AssertionError(f"generator.{module} stands in no layer: add it to LAYERS where it belongs")


def imported(path: Path) -> list[str]:
    names = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names += [f"{node.module}.{alias.name}" for alias in node.names]
    return names


@pytest.mark.parametrize(("module", "path"), modules(), ids=[name for name, _ in modules()])
def test_imports_go_down_only(module: str, path: Path) -> None:
    """A module imports nothing from a layer above its own; kit writers may reach the writers they call."""
    below = rank(module)
    for name in imported(path):
        if name.startswith("generator.") and name != "generator.__version__":
            other = name.removeprefix("generator.")
            assert rank(other) <= below, f"generator.{module} imports {name}"


@pytest.mark.parametrize("library", HEAVY)
def test_heavy_libraries_stay_in_their_modules(library: str) -> None:
    """The CAD kernel and the file libraries are named only in the modules that wrap them."""
    for module, path in modules():
        allowed = any(module == home or module.startswith(home + ".") for home in HEAVY[library])
        used = any(name.split(".")[0] == library for name in imported(path))
        assert allowed or not used, f"generator.{module} imports {library}"
