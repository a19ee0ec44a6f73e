"""What can be wrong with the files of a kit, each kind under the name that a report gives it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from generator.joint.checks.base import Check, CheckStatus

#: So many findings of one kind are told in full.
_TOLD = 5


class Topic(Enum):
    """Kinds of fault between files, by the name of their check."""

    LISTED = "files: as listed"
    COMPLETE = "files: complete"
    RESULTS = "files: results of these inputs"
    STALE = "files: of one job and version"
    UNREADABLE = "files: readable"
    SAID = "files: what they say of themselves"
    OPEN = "files: open contour"
    DOUBLED = "files: doubled line"
    LINES = "files: clean cutting lines"
    SCALE = "files: scale"
    MIRRORED = "files: handedness"
    OUTLINE = "files: one outline"
    ENGRAVING = "files: engraving"
    THICKNESS = "files: thickness"
    SOLID = "files: solid"
    ASSEMBLY = "files: assembled jig"
    NESTING = "files: nesting"
    DIMENSIONS = "files: dimensions"
    PICTURE = "files: drawings"
    JOINT = "files: joint on paper"
    SETUP = "files: setup sheet"
    PRINT = "files: print"
    ANEW = "files: as drawn anew"


#: What each kind looks at, for the report of a kit where nothing was found.
_LOOKS_AT = {
    Topic.LISTED: "every file is as manifest.json lists it",
    Topic.COMPLETE: "every group in the folder has a file of every part",
    Topic.RESULTS: "results.json is what its inputs give",
    Topic.STALE: "every file says it is of this job and of the version in results.json",
    Topic.UNREADABLE: "every file opens in a reader that did not write it",
    Topic.SAID: "every cutting file says the part, stock, thickness, quantity and kerf that it is of",
    Topic.OPEN: "every contour is closed",
    Topic.DOUBLED: "no line is cut twice",
    Topic.LINES: "nothing in the cutting files that a machine drops, redraws or hides",
    Topic.SCALE: "every file is at full size in millimetres",
    Topic.MIRRORED: "no file is mirrored",
    Topic.OUTLINE: "all files of a part have one outline, one size and the same holes",
    Topic.ENGRAVING: "lines and letters stand where they belong",
    Topic.THICKNESS: "every solid is as thick as its sheet",
    Topic.SOLID: "every STEP file is one valid solid of the stated volume",
    Topic.ASSEMBLY: "jig.step holds every piece once, in its place, as its own STEP file has it",
    Topic.NESTING: "parts on a sheet lie clear of each other and within the stock's sheet",
    Topic.DIMENSIONS: "every dimension's number is the distance of its points",
    Topic.PICTURE: "SVG, PDF and DXF of a drawing show one picture with the same words",
    Topic.JOINT: "the paper sheets show the joint, its bolts and the gap of the results",
    Topic.SETUP: "the setup sheet says the figures of the results",
    Topic.ANEW: "every sheet, page, picture and model is what the results draw when they are drawn again",
    Topic.PRINT: "printed pages, laid together, are the sheets, and the check square is 100 mm",
}


@dataclass(frozen=True)
class Finding:
    """One fault: its kind, the file it is in, what was found there and what is allowed. A warning does not stop."""

    kind: Topic
    file: str
    words: str
    warns: bool = False

    def __str__(self) -> str:
        return f"{self.file}: {self.words}"


def finding_checks(findings: Iterable[Finding], looked_at: Collection[Topic]) -> Iterator[Check]:
    """A check for each kind that was looked at or found: the number of findings, and what they are."""
    by_kind: dict[Topic, list[Finding]] = {kind: [] for kind in Topic}
    for finding in findings:
        if finding not in by_kind[finding.kind]:
            by_kind[finding.kind].append(finding)
    for kind, found in by_kind.items():
        if found:
            yield _found(kind, found)
        elif kind in looked_at:
            yield Check(kind.value, CheckStatus.OK, 0.0, 0.0, _LOOKS_AT[kind], "faults")


def _found(kind: Topic, found: list[Finding]) -> Check:
    status = CheckStatus.WARN if all(finding.warns for finding in found) else CheckStatus.FAIL
    words = "; ".join(str(finding) for finding in found[:_TOLD])
    if len(found) > _TOLD:
        words += f"; and {len(found) - _TOLD} more"
    return Check(kind.value, status, float(len(found)), 0.0, words, "faults")
