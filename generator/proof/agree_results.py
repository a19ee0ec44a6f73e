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
from generator.errors import Fault, InputError
from generator.parts.standing import with_standing
from generator.proof.findings import Finding, Kind
from generator.proof.kitfiles import MANIFEST, RESULTS, Kit
from generator.results import checks_list

#: Numbers worked out again agree within this share, or this much, mm or degrees.
_SAME = 1e-6
_PROGRAM = "Heelwright"
_SECTIONS = ("neck_set", "joint", "router", "cradle", "template", "parts", "uncertainty")


def manifest_findings(folder: Path) -> Iterator[Finding]:
    """Every file that manifest.json lists: there, of that size and SHA-256. Any other file is the user's own."""
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


def stale_findings(folder: Path) -> Iterator[Finding]:
    """Every group that the manifest marks as made of another job than the results."""
    try:
        stale = json.loads((folder / MANIFEST).read_text(encoding="utf-8")).get("stale", [])
        names = [str(group) for group in stale]
    except (OSError, ValueError, TypeError, AttributeError):
        return
    for group in names:
        words = f"stale, made of an earlier job than the results: make it again with --only {group}"
        yield Finding(Kind.STALE, f"the group {group}", words)


def results_findings(kit: Kit) -> Iterator[Finding]:
    """results.json against what its own inputs give when this program works them out again.

    A kit of another version may differ; then that is only told.
    """
    version = str(kit.results["version"])
    other = version != __version__
    if other:
        yield Finding(Kind.RESULTS, "results.json", f"made by version {version}, read by {__version__}", warns=True)
    for section in _SECTIONS:
        for words in _differences(section, kit.results.get(section), kit.expected[section]):
            yield Finding(Kind.RESULTS, "results.json", words, warns=other)
    for words in _check_differences(kit):
        yield Finding(Kind.RESULTS, "results.json", words, warns=other)


def refuse_misshapen(kit: Kit) -> None:
    """Raise InputError naming every value of the results that is not of the kind it should be, or is not there.

    What the proof reads of them is then sure to be a number, a text or a list of such.
    """
    faults = [
        Fault(str(kit.folder / RESULTS), path, found, allowed)
        for section in _SECTIONS
        for path, found, allowed in _misshapen(section, kit.results.get(section), kit.expected[section])
    ]
    if faults:
        raise InputError(faults)


def _misshapen(path: str, found: Any, wanted: Any) -> Iterator[tuple[str, str, str]]:
    """Path, what was found and what is allowed, of every value that is of another kind."""
    if wanted is None:
        # A value that these inputs leave open; what stands there is compared, but nothing is worked out of it.
        if not (found is None or _is_number(found)):
            yield path, _kind_of(found), "a number, or null"
    elif isinstance(wanted, bool | str):
        if type(found) is not type(wanted):
            yield path, _kind_of(found), "a text" if isinstance(wanted, str) else "true or false"
    elif isinstance(wanted, int | float):
        if not _is_number(found):
            yield path, _kind_of(found), "a number"
    elif isinstance(wanted, list):
        if not isinstance(found, list):
            yield path, _kind_of(found), "a list"
        elif wanted:
            for i, item in enumerate(found):
                yield from _misshapen(f"{path}.{i + 1}", item, wanted[min(i, len(wanted) - 1)])
    elif not isinstance(found, Mapping):
        yield path, _kind_of(found), "a table"
    else:
        for key in wanted:
            yield from _misshapen(f"{path}.{key}", found.get(key), wanted[key])


def _is_number(found: Any) -> bool:
    return isinstance(found, int | float) and not isinstance(found, bool) and math.isfinite(found)


def _kind_of(found: Any) -> str:
    return "nothing" if found is None else f"{found!r}"[:40]


def _differences(path: str, found: Any, wanted: Any) -> Iterator[str]:
    """In words, every value of `found` that is not the wanted one; lists of named things go by their names."""
    if isinstance(wanted, dict) and isinstance(found, Mapping):
        for key in sorted({*found, *wanted}):
            if key in wanted and key in found:
                yield from _differences(f"{path}.{key}", found[key], wanted[key])
            else:
                yield f"{path}.{key} is {'strange' if key in found else 'missing'}"
    elif isinstance(wanted, list) and isinstance(found, list):
        yield from _list_differences(path, found, wanted)
    elif isinstance(wanted, int | float) and isinstance(found, int | float):
        if not _alike(float(found), float(wanted)):
            yield f"{path} is {found:.6g}, its inputs give {wanted:.6g}"
    elif found != wanted:
        yield f"{path} is {found}, its inputs give {wanted}"


def _list_differences(path: str, found: list[Any], wanted: list[Any]) -> Iterator[str]:
    a, b = _by_name(found), _by_name(wanted)
    odd = sorted(set(a) ^ set(b))
    if odd:
        yield f"{path}: other ones than its inputs give: {', '.join(odd)}"
    for name in a:
        if name in b:
            yield from _differences(f"{path}.{name}", a[name], b[name])


def _by_name(items: list[Any]) -> dict[str, Any]:
    """The items of a list by their names, or by their places from 1."""
    names = (str(item.get("name", i)) if isinstance(item, Mapping) else str(i) for i, item in enumerate(items, 1))
    return dict(zip(names, items, strict=True))


def _check_differences(kit: Kit) -> Iterator[str]:
    """Checks of the numbers, worked out again; those of the proof stand in the results as well and are left out."""
    stated = _by_name(list(kit.results.get("checks", ())))
    for check in checks_list(with_standing(kit.solution).checks):
        name = check["name"]
        if name not in stated:
            yield f"checks.{name} is missing"
        else:
            yield from _differences(f"checks.{name}", stated[name], check)


def _alike(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=_SAME, abs_tol=_SAME)


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
