"""What files say of their job and of the program that wrote them, against results.json."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from generator.proof.findings import Finding, Topic
from generator.proof.kit_files import Kit

#: Program that a file names before its version.
_PROGRAM = "Heelwright"


def claim_findings(kit: Kit, name: str, job: str | None, program: str | None) -> Iterator[Finding]:
    """What a file says of its job and of the program that wrote it, against results.json; None is not said."""
    if job is not None and job != kit.name:
        yield Finding(Topic.STALE, name, f"of job {job or '(not said)'}; results.json is of {kit.name}")
    version = str(kit.results["version"])
    if program is not None and program != f"{_PROGRAM} {version}":
        yield Finding(Topic.STALE, name, f"written by {program or '(not said)'}; results.json by version {version}")


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
