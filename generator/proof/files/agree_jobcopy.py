"""The kit's own copy of its job against the inputs of its results."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from generator.base.bounded_file import read_bounded
from generator.base.errors import OutputError
from generator.job.effective import job_copy
from generator.proof.findings import Finding, Topic
from generator.proof.kit_files import Kit
from generator.proof.listing import JOB_COPY

#: The lines of job.toml that say how a kit came about.
_MAKING = (2, 3)


def job_copy_findings(kit: Kit, *, warns: bool) -> Iterator[Finding]:
    """The kit's own job.toml says the inputs of results.json, value for value and source for source."""
    path = kit.folder / JOB_COPY
    if not path.exists() and (kit.listed is None or JOB_COPY not in kit.listed):
        return
    try:
        found = read_bounded(path).decode("utf-8").splitlines()
    except (OutputError, UnicodeDecodeError) as error:
        yield Finding(Topic.UNREADABLE, JOB_COPY, str(error))
        return
    job = kit.solution.job.model_copy(update={"inputs": kit.results["inputs"]})
    wanted = job_copy(job, "", "-").splitlines()
    pairs = list(zip_longest(found, wanted, fillvalue="nothing"))
    # The second and third line say how the kit was made and where it was put: the command `prove` reads those.
    odd = [(number, pair) for number, pair in enumerate(pairs, 1) if pair[0] != pair[1] and number not in _MAKING]
    if odd:
        number, (has, want) = odd[0]
        words = f'line {number} is "{_plain(has)}"; the inputs of results.json give "{_plain(want)}"'
        more = f"; and {len(odd) - 1} lines more" if len(odd) > 1 else ""
        yield Finding(Topic.RESULTS, JOB_COPY, words + more, warns=warns)


def _plain(line: str) -> str:
    return " ".join(line.split())[:80]
