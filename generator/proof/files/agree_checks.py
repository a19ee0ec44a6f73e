"""The checks that results.json states: those of its numbers, worked out again, and those of its files."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from generator import __version__
from generator.jig.buildability import with_standing
from generator.jig.results import checks_list
from generator.joint.checks.base import Check, CheckStatus
from generator.proof.files.differences import by_name, differences
from generator.proof.findings import Topic
from generator.proof.kit_files import Kit

#: Groups of the proof's checks that say the same of the same files, whenever they are made.
_AS_PROVED = ("cut", "fit", "error")
#: So many odd checks are named in the message at most.
_TOLD = 5


def check_differences(kit: Kit) -> Iterator[str]:
    """Checks of the numbers, worked out again; those of the proof stand in the results as well and are left out."""
    stated = by_name(list(kit.results.get("checks", ())))
    for check in checks_list(with_standing(kit.solution).checks):
        name = check["name"]
        if name not in stated:
            yield f"checks.{name} is missing"
        else:
            yield from differences(f"checks.{name}", stated[name], check)


def stated_checks(kit: Kit, own: Collection[Check]) -> Check:
    """The checks that results.json states: each is one of the numbers or one that the proof makes too, and none failed.

    `own` are the checks of this proof; what results.json says of the cut, the jig and the joint is what they say.
    """
    numbers = {check.name for check in with_standing(kit.solution).checks}
    proofs = {check.name: check for check in own}
    of_files = {kind.value for kind in Topic}  # which of these a proof makes hangs on the groups in the folder
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
    return not list(differences("", dict(entry), made))
