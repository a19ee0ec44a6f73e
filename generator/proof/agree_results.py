"""The kit's lists and words: the manifest's hashes, what files say they are of, whether the results still hold."""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from generator import __version__
from generator.proof.findings import Finding, Kind
from generator.proof.kitfiles import MANIFEST, Kit

#: Numbers worked out again agree within this share, or this much, mm or degrees.
_SAME = 1e-6
_PROGRAM = "Heelwright"
_SECTIONS = ("neck_set", "joint", "router", "cradle")
_UNITS = ("_mm", "_deg")


def manifest_findings(folder: Path) -> Iterator[Finding]:
    """Every file of the folder against manifest.json: size and SHA-256, nothing missing, nothing beside it."""
    path = folder / MANIFEST
    try:
        entries = json.loads(path.read_text(encoding="utf-8"))["files"]
        listed = {str(entry["path"]): (int(entry["bytes"]), str(entry["sha256"])) for entry in entries}
    except (OSError, ValueError, KeyError, TypeError) as error:
        yield Finding(Kind.LISTED, MANIFEST, f"cannot be read ({error})")
        return
    for name, (size, digest) in sorted(listed.items()):
        file = folder / name
        if not file.is_file():
            yield Finding(Kind.LISTED, name, "listed, but not there")
            continue
        data = file.read_bytes()
        if len(data) != size or hashlib.sha256(data).hexdigest() != digest:
            yield Finding(Kind.LISTED, name, f"changed since it was made: {len(data)} bytes, listed with {size}")
    for file in sorted(path for path in folder.rglob("*") if path.is_file()):
        name = file.relative_to(folder).as_posix()
        if name != MANIFEST and name not in listed:
            yield Finding(Kind.LISTED, name, "not listed", warns=True)


def results_findings(kit: Kit) -> Iterator[Finding]:
    """results.json against what its own inputs give when this program works them out again.

    A kit of another version may differ; then that is only told.
    """
    version = str(kit.results["version"])
    other = version != __version__
    if other:
        yield Finding(Kind.RESULTS, "results.json", f"made by version {version}, read by {__version__}", warns=True)
    solution = kit.solution
    objects = (solution.neck_set, solution.joint, solution.routing, solution.cradle)
    for section in _SECTIONS:
        for key, value in kit.results[section].items():
            wanted = _looked_up(objects, key)
            if wanted is not None and isinstance(value, int | float) and not _alike(float(value), wanted):
                words = f"{section}.{key} is {value:.6g}, its inputs give {wanted:.6g}"
                yield Finding(Kind.RESULTS, "results.json", words, warns=other)
    yield from _part_findings(kit, other)


def _looked_up(objects: tuple[Any, ...], key: str) -> float | None:
    """The number that a key of the results stands for: the attribute of its name, without the unit."""
    unit = next((unit for unit in _UNITS if key.endswith(unit)), None)
    name = key.removesuffix(unit) if unit else key
    for item in objects:
        value = getattr(item, name, None)
        if isinstance(value, int | float):
            return float(value)
    return None


def _part_findings(kit: Kit, other: bool) -> Iterator[Finding]:
    built = {part.name: part for part in kit.jig.parts}
    odd = sorted(set(built) ^ set(kit.part_entries))
    if odd:
        yield Finding(Kind.RESULTS, "results.json", f"other parts than its inputs give: {', '.join(odd)}", warns=other)
    for name, entry in kit.part_entries.items():
        if name not in built:
            continue
        found = (*entry["size_mm"], entry["thickness_mm"])
        wanted = (*built[name].size, built[name].thickness)
        if not all(_alike(float(a), b) for a, b in zip(found, wanted, strict=True)):
            words = f"{name} is {_sizes(found)} mm, its inputs give {_sizes(wanted)}"
            yield Finding(Kind.RESULTS, "results.json", words, warns=other)


def _alike(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=_SAME, abs_tol=_SAME)


def _sizes(sizes: tuple[float, ...]) -> str:
    return " × ".join(f"{size:.3f}" for size in sizes[:3])


def claim_findings(kit: Kit, name: str, job: str | None, program: str | None) -> Iterator[Finding]:
    """What a file says of its job and of the program that wrote it, against results.json; None is not said."""
    if job is not None and job != kit.name:
        yield Finding(Kind.STALE, name, f"of job {job or '(not said)'}; results.json is of {kit.name}")
    version = str(kit.results["version"])
    if program is not None and program != f"{_PROGRAM} {version}":
        yield Finding(Kind.STALE, name, f"written by {program or '(not said)'}; results.json by version {version}")


def cutting_claims(properties: Mapping[str, str]) -> tuple[str, str]:
    """Job and program that a cutting file's properties name."""
    return properties.get("Job", ""), properties.get("Program", "")


def svg_claims(description: str) -> tuple[str, str]:
    """Job and program that a drawing's description names."""
    said = re.match(rf"({_PROGRAM} \S+), job (.+?), sheet ", description)
    return (said.group(2), said.group(1)) if said else ("", "")


def pdf_claims(subject: str, creator: str) -> tuple[str, str]:
    """Job and program that a document's properties name."""
    return subject.removeprefix("job "), creator
