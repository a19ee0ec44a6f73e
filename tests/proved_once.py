"""The proof of files that were proved before in this process: the same answer to the same bytes, given again.

What the proof says follows from what lies in the folder alone: the job is rebuilt from the results there, and the plan
that `make` hands over is of the same results. So an answer is kept under the content of every file that it may look at.
An error is not kept. `conftest.proved_once` puts these in the place of the program's own. What a proof draws anew, to
compare, it then takes from the run's store.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from made_once import store

from generator.formats.dxf.read import CuttingFile, read_dxf
from generator.job.shop import Shop
from generator.joint.checks import Check
from generator.kit import anew
from generator.kit.anew import anew_checks
from generator.kit.front_page import write_pictures
from generator.kit.groups import KitPlan
from generator.proof.files.sheet_files import _read
from generator.proof.findings import Finding
from generator.proof.prove import JointProof, Plan, prove_files, prove_folder, prove_joint
from generator.proof.verdict import Proof

_KEPT: dict[str, Any] = {}
#: Files that a draft's joint is proved from, besides the results.
_JOINT = ("laser/*.dxf",)
#: Files that the rest of a draft is proved from, besides the results: the cutting files and the solids.
_DRAFT = (*_JOINT, "step/*", "manifest.json")
#: Files that a whole kit is proved from.
_WHOLE = ("**/*",)


def _once(function: Callable[..., Any], key: str, *given: Any) -> Any:
    """What `function` makes of what it is given, kept under its name and `key`."""
    key = f"{function.__qualname__} {key}"
    if key not in _KEPT:
        _KEPT[key] = function(*given)
    return _KEPT[key]


def _content(folder: Path, patterns: Iterable[str]) -> str:
    """A hash of the files of these patterns, and of the results without the proof that stands in them."""
    content = hashlib.sha256(json.dumps({**_results(folder), "checks": None}).encode())
    for path in sorted({path for pattern in patterns for path in folder.glob(pattern) if path.is_file()}):
        data = path.read_bytes()
        content.update(f"\n{path.relative_to(folder).as_posix()} {len(data)}\n".encode() + data)
    return content.hexdigest()


def _results(folder: Path) -> dict[str, Any]:
    try:
        return dict(json.loads((folder / "results.json").read_bytes()))
    except (OSError, ValueError, TypeError):
        return {}  # refused, each time


def joint_once(folder: Path, plan: Plan) -> JointProof:
    """`prove_joint`."""
    proof: JointProof = _once(prove_joint, _content(folder, _JOINT), folder, plan)
    return proof


def files_once(folder: Path, plan: Plan, read: Mapping[str, CuttingFile | str] | None = None) -> tuple[Check, ...]:
    """`prove_files`."""
    checks: tuple[Check, ...] = _once(prove_files, _content(folder, _DRAFT), folder, plan, read)
    return checks


def folder_once(folder: Path, shop: Shop | None = None) -> Proof:
    """`prove_folder`."""
    proof: Proof = _once(prove_folder, f"{_content(folder, _WHOLE)} {shop!r}", folder, shop)
    return proof


def anew_once(folder: Path, room: Path) -> tuple[Check, ...]:
    """`anew_checks`."""
    checks: tuple[Check, ...] = _once(anew_checks, f"{_content(folder, _WHOLE)} {folder.name}", folder, room)
    return checks


def read_once(path: Path) -> CuttingFile:
    """`read_dxf`, of files too that lie elsewhere now."""
    file: CuttingFile = _once(read_dxf, f"{path.name} {hashlib.sha256(path.read_bytes()).hexdigest()}", path)
    return file


def sheet_once(reader: Callable[[Path], Any], path: Path, group: str) -> tuple[Any, tuple[Finding, ...]]:
    """What the proof of drawn sheets makes of a file with one of its readers."""
    content = hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else "not there"
    key = f"{reader.__qualname__} {group}/{path.name} {content}"
    found: tuple[Any, tuple[Finding, ...]] = _once(_read, key, reader, path, group)
    return found


def draw_from_the_store(patch: pytest.MonkeyPatch) -> None:
    """What is drawn anew comes from the run's store; `test_anew` shows that it is drawn alike without one."""
    patch.setattr(anew, "KitPlan", partial(KitPlan, store=store()))
    patch.setattr(anew, "write_pictures", partial(write_pictures, store=store()))
