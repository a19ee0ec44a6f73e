"""The shape of the house: imports go down only, and heavy libraries load only where they are used."""

from __future__ import annotations

import ast
import sys
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "generator"

#: From the ground up. A module may import its own room and every room before it.
ROOMS = [
    "base",
    "job",
    "joint",
    "jig",
    "solid",
    "drawing",
    "cutting",
    "documents",
    "formats",
    "proof",
    "kit",
    "classes",
    "page",
    "commands",
]
#: What stands beside the rooms.
DOOR = {"__init__.py", "__main__.py", "py.typed"}
#: Rooms that know nothing of some rooms below them, and why.
STRANGERS = {
    "drawing": ("jig", "joint"),  # a sheet shows anything that has lines: what a part is, documents know
    "solid": ("drawing",),
}
#: Rooms of the standard library only.
PLAIN = ("base",)

#: Library -> the only modules that may name it.
HEAVY = {
    "cadquery": [],
    "OCP": ["solid", "formats.step"],
    "ezdxf": ["formats.dxf"],
    "mapbox_earcut": ["drawing.facets.triangles"],
    "svgwrite": ["formats.svg.write"],
    "starlette": ["page.app", "page.classview", "page.guard", "page.handlers", "page.serve"],
    "uvicorn": ["page.serve"],
    "segno": ["page.handlers"],
    "reportlab": ["formats.pdf.write", "formats.setup_sheet"],
    "svgelements": ["formats.svg.read"],
    "pypdfium2": ["formats.pdf.read"],
    "python_calamine": ["classes.cells"],
    "tomlkit": ["job.toml_edit"],
}


@cache
def modules() -> list[tuple[str, Path]]:
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        name = ".".join(path.relative_to(PACKAGE).with_suffix("").parts)
        if name != "__init__":
            found.append((name.removesuffix(".__init__"), path))
    return found


def rank(module: str) -> int:
    room = module.split(".")[0]
    assert room in ROOMS, f"generator.{module} stands in no room"
    return ROOMS.index(room)


@cache
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
    """A module imports nothing from a room above its own."""
    below = rank(module) if module != "__main__" else len(ROOMS)
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


def test_the_root_holds_rooms_only() -> None:
    """`ls generator` shows the rooms and the door, nothing else."""
    entries = {path.name for path in PACKAGE.iterdir()} - {"__pycache__"}
    assert entries == {*ROOMS, *DOOR}


@pytest.mark.parametrize("room", STRANGERS)
def test_strangers_stay_strangers(room: str) -> None:
    """A room that knows nothing of another one imports nothing from it."""
    for module, path in modules():
        if module.split(".")[0] == room:
            for name in imported(path):
                for other in STRANGERS[room]:
                    assert not (name + ".").startswith(f"generator.{other}."), f"generator.{module} imports {name}"


@pytest.mark.parametrize("room", PLAIN)
def test_the_ground_is_the_standard_library(room: str) -> None:
    """The ground needs nothing that must be installed."""
    for module, path in modules():
        if module.split(".")[0] == room:
            outside = {name.split(".")[0] for name in imported(path)} - sys.stdlib_module_names - {"generator"}
            assert not outside, f"generator.{module} imports {outside}"
