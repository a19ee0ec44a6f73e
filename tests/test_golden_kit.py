"""The committed kit in output/ is what the program makes today.

Run this file as a program to make the committed kit anew after a wanted change; then read the diff.
"""

from __future__ import annotations

import builtins
import shutil
import sys
import tempfile
from collections.abc import Iterable
from contextlib import chdir
from pathlib import Path
from typing import Any

import pytest
from made_once import write

from generator.job.load import load_job
from generator.kit.groups import Group
from generator.kit.pipeline import write_kit

JOB = "orchestra-14"
OUTPUT = Path(__file__).resolve().parent.parent / "output"
#: Text files only: what a reader can look at in the repository, and a diff can show.
KEPT = {".json", ".svg", ".dxf", ".html"}
GROUPS = tuple(group for group in Group if group is not Group.STEP)


def committed(folder: Path) -> dict[str, bytes]:
    """Every kept file under `folder` by its path; the manifest also lists files that are not kept, so it is not."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.suffix in KEPT and path.name != "manifest.json"
    }


#: Lines of the program that summed floats by `sum` while the kit was made.
FLOAT_SUMS: set[str] = set()


def watched(items: Iterable[Any], /, start: Any = 0) -> Any:
    """`sum`, noting the program's own lines that sum floats with it."""
    total = builtin_sum(items, start)
    caller = sys._getframe(1)
    if isinstance(total, float) and caller.f_globals["__name__"].startswith("generator."):
        FLOAT_SUMS.add(f"{caller.f_globals['__name__']}:{caller.f_lineno}")
    return total


#: `sum` as Python has it.
builtin_sum = sum


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    with chdir(tmp_path_factory.mktemp("golden")), pytest.MonkeyPatch.context() as patch:
        patch.setattr(builtins, "sum", watched)
        return committed(write(load_job(JOB), Path("kits"), GROUPS).folder)  # a store changes no byte: test_store_kits


def test_same_files(fresh: dict[str, bytes]) -> None:
    """The kit made today has exactly the files of the committed one."""
    assert sorted(fresh) == sorted(committed(OUTPUT / JOB))


def test_same_bytes(fresh: dict[str, bytes]) -> None:
    """Every text file of the kit is byte for byte the committed one."""
    kept = committed(OUTPUT / JOB)
    changed = [name for name, data in fresh.items() if kept.get(name) != data]
    assert changed == []


def test_floats_are_summed_alike_by_every_python(fresh: dict[str, bytes]) -> None:
    """No line of the program sums floats by `sum`: its last digits differ between Python 3.11 and 3.12."""
    assert fresh
    assert sorted(FLOAT_SUMS) == []


def test_no_path_of_a_machine(fresh: dict[str, bytes]) -> None:
    """No file of a kit carries a path, a user's name or a clock's year."""
    for name, data in fresh.items():
        for trace in (b"/home/", b"/root", b"/tmp", str(Path.cwd()).encode()):
            assert trace not in data, (name, trace)


def _told(step: str) -> None:
    print(step, file=sys.stderr)  # noqa: T201


def refresh() -> None:
    """Make the committed kit anew."""
    with tempfile.TemporaryDirectory() as scratch, chdir(scratch):
        made = write_kit(load_job(JOB), Path("kits"), GROUPS, progress=_told).folder
        shutil.rmtree(OUTPUT / JOB, ignore_errors=True)
        for name, data in committed(made).items():
            target = OUTPUT / JOB / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)


if __name__ == "__main__":
    refresh()
