"""The kit's lists and words: the manifest's hashes, what files say they are of, whether the results still hold."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Mapping
from itertools import zip_longest
from typing import Any

from generator import __version__
from generator.base.bounded_file import read_bounded
from generator.base.errors import Fault, InputError, OutputError
from generator.jig.buildability import with_standing
from generator.jig.results import checks_list
from generator.job.effective import job_copy
from generator.joint.checks.base import Check, CheckStatus
from generator.proof.findings import Finding, Kind
from generator.proof.kit_files import Kit
from generator.proof.listing import JOB_COPY, RESULTS

#: Numbers worked out again agree within this share, or this much, mm or degrees.
_SAME = 1e-6
_PROGRAM = "Heelwright"
#: Where a value can come from.
_SOURCE = re.compile(r"job|shop|default|preset [a-z]+/[\w .+-]+")
_COMMAND_LINE = 2
#: Groups of the proof's checks that say the same of the same files, whenever they are made.
_AS_PROVED = ("cut", "fit", "error")
_TOLD = 5
_SECTIONS = ("neck_set", "joint", "router", "cradle", "template", "parts", "uncertainty")


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
    for words in (*_head_differences(kit), *_check_differences(kit), *_source_differences(kit)):
        yield Finding(Kind.RESULTS, "results.json", words, warns=other)
    yield from _job_copy_findings(kit, warns=other)


def _head_differences(kit: Kit) -> Iterator[str]:
    """What the results say they are, and that nothing stands in them that nobody works out."""
    for key in ("schema", "program"):
        yield from _differences(key, kit.results.get(key), kit.expected[key])
    for key in sorted(set(kit.results) - set(kit.expected)):
        yield f"{key[:40]} is strange"


def _source_differences(kit: Kit) -> Iterator[str]:
    """Sources of inputs that are none of those that a value can have."""
    for table, keys in kit.results["inputs"].items():
        for key, entry in keys.items():
            if set(entry) != {"value", "source"} or not _SOURCE.fullmatch(str(entry["source"])):
                yield f'inputs.{table}.{key} has the source "{str(entry.get("source"))[:40]}"'


def _job_copy_findings(kit: Kit, *, warns: bool) -> Iterator[Finding]:
    """The kit's own job.toml says the inputs of results.json, value for value and source for source."""
    path = kit.folder / JOB_COPY
    if not path.exists() and (kit.listed is None or JOB_COPY not in kit.listed):
        return
    try:
        found = read_bounded(path).decode("utf-8").splitlines()
    except (OutputError, UnicodeDecodeError) as error:
        yield Finding(Kind.UNREADABLE, JOB_COPY, str(error))
        return
    job = kit.solution.job.model_copy(update={"inputs": kit.results["inputs"]})
    wanted = job_copy(job, "").splitlines()
    pairs = list(zip_longest(found, wanted, fillvalue="nothing"))
    # The second line is the command that made the kit, which says where it was made.
    odd = [(number, pair) for number, pair in enumerate(pairs, 1) if pair[0] != pair[1] and number != _COMMAND_LINE]
    if odd:
        number, (has, want) = odd[0]
        words = f'line {number} is "{_plain(has)}"; the inputs of results.json give "{_plain(want)}"'
        more = f"; and {len(odd) - 1} lines more" if len(odd) > 1 else ""
        yield Finding(Kind.RESULTS, JOB_COPY, words + more, warns=warns)


def _plain(line: str) -> str:
    return " ".join(line.split())[:80]


def stated_checks(kit: Kit, own: Collection[Check]) -> Check:
    """The checks that results.json states: each is one of the numbers or one that the proof makes too, and none failed.

    `own` are the checks of this proof; what results.json says of the cut, the jig and the joint is what they say.
    """
    numbers = {check.name for check in with_standing(kit.solution).checks}
    proofs = {check.name: check for check in own}
    of_files = {kind.value for kind in Kind}  # which of these a proof makes hangs on the groups in the folder
    odd = []
    for entry in kit.results.get("checks", ()):
        name = str(entry["name"])
        proved = proofs.get(name)
        if name not in numbers and proved is None and name not in of_files:
            odd.append(f'"{name[:40]}", which no proof makes')
        elif entry.get("status") not in ("ok", "warn"):
            odd.append(f'{name[:40]}, of status "{str(entry.get("status"))[:20]}"')
        elif proved is not None and name.partition(":")[0] in _AS_PROVED and not _states(entry, proved):
            odd.append(f"{name}, which states another number than its files give")
    words = "; ".join(odd[:_TOLD]) or "the checks that results.json states are those of its numbers and its files"
    status = CheckStatus.FAIL if odd and str(kit.results["version"]) == __version__ else CheckStatus.OK
    return Check("files: checks of the results", status, float(len(odd)), 0.0, words, "faults")


def _states(entry: Mapping[str, Any], proved: Check) -> bool:
    """Whether a stated check has the numbers and the words of the same check made anew."""
    made = checks_list([proved])[0]
    if made["status"] == CheckStatus.FAIL.value or "stand" in proved.name:
        return True  # told by itself; how far a router stands is looked for more closely here than while writing
    return not list(_differences("", dict(entry), made))


def refuse_misshapen(kit: Kit) -> None:
    """Raise InputError naming every value of the results that is not of the kind it should be, or is not there.

    What the proof reads of them is then sure to be a number, a text or a list of such.
    """
    faults = [
        Fault(str(kit.folder / RESULTS), path, found, allowed)
        for section in _SECTIONS
        for path, found, allowed in _misshapen(section, kit.results.get(section), kit.expected[section])
    ]
    checks = kit.results.get("checks", [])
    if not isinstance(checks, list) or not all(
        isinstance(c, Mapping) and isinstance(c.get("name"), str) for c in checks
    ):
        faults.append(
            Fault(str(kit.folder / RESULTS), "checks", _kind_of(checks), "a list of checks, each with its name")
        )
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
