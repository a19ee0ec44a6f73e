"""Whether results.json still is what its own inputs give."""

from __future__ import annotations

import re
from collections.abc import Iterator

from generator import __version__
from generator.proof.files.agree_checks import check_differences
from generator.proof.files.agree_jobcopy import job_copy_findings
from generator.proof.files.differences import differences
from generator.proof.files.misshapen import SECTIONS
from generator.proof.findings import Finding, Topic
from generator.proof.kit_files import Kit

#: Where a value can come from.
_SOURCE = re.compile(r"job|shop|default|preset [a-z]+/[\w .+-]+")


def results_findings(kit: Kit) -> Iterator[Finding]:
    """results.json against what its own inputs give when this program works them out again.

    A kit of another version may differ; then that is only told.
    """
    version = str(kit.results["version"])
    other = version != __version__
    if other:
        yield Finding(Topic.RESULTS, "results.json", f"made by version {version}, read by {__version__}", warns=True)
    for section in SECTIONS:
        for words in differences(section, kit.results.get(section), kit.expected[section]):
            yield Finding(Topic.RESULTS, "results.json", words, warns=other)
    for words in (*_head_differences(kit), *check_differences(kit), *_source_differences(kit)):
        yield Finding(Topic.RESULTS, "results.json", words, warns=other)
    yield from job_copy_findings(kit, warns=other)


def _head_differences(kit: Kit) -> Iterator[str]:
    """What the results say they are, and that nothing stands in them that nobody works out."""
    for key in ("schema", "program"):
        yield from differences(key, kit.results.get(key), kit.expected[key])
    for key in sorted(set(kit.results) - set(kit.expected)):
        yield f"{key[:40]} is strange"


def _source_differences(kit: Kit) -> Iterator[str]:
    """Sources of inputs that are none of those that a value can have."""
    for table, keys in kit.results["inputs"].items():
        for key, entry in keys.items():
            if set(entry) != {"value", "source"} or not _SOURCE.fullmatch(str(entry["source"])):
                yield f'inputs.{table}.{key} has the source "{str(entry.get("source"))[:40]}"'
