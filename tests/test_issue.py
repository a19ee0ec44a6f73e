"""Date and revision of a job: read, refused, kept in the effective job and the results. Nothing reads a clock."""

from __future__ import annotations

import datetime
import tomllib
from pathlib import Path

import pytest
from jobs_by_hand import changed, load

from generator.base.errors import InputError
from generator.jig.results import results_dict
from generator.job.effective import job_copy
from generator.job.load import job_from_tables, load_job
from generator.joint.solution import solve


@pytest.mark.parametrize("date", ["2026-03-01", datetime.date(2026, 3, 1)])
def test_a_date_is_a_text_or_tomls_own(date: object) -> None:
    """ "2026-03-01" with and without quotes is the first of March."""
    job = load(changed(job={"name": "a", "date": date, "revision": "B"}))
    assert (job.issue.date, job.issue.revision) == ("2026-03-01", "B")
    assert job.inputs["job"]["date"] == {"value": "2026-03-01", "source": "job"}


@pytest.mark.parametrize(
    "date",
    ["1.3.2026", "2026-3-1", "2026-02-30", "03/01/2026", "20260301", "", 20260301, datetime.datetime(2026, 3, 1, 12)],
)
def test_any_other_date_is_refused(date: object) -> None:
    """What is no day as ISO 8601 writes it, or no day of the calendar, is refused at its key."""
    with pytest.raises(InputError) as error:
        load(changed(job={"name": "a", "date": date}))
    (fault,) = error.value.faults
    assert fault.key == "job.date"
    assert "2026-03-01" in fault.allowed


@pytest.mark.parametrize("revision", ["", "revision B", "123456789", "-", 2, "B\n"])
def test_a_revision_fits_its_cell(revision: object) -> None:
    """Up to eight letters, digits, dots and hyphens."""
    with pytest.raises(InputError) as error:
        load(changed(job={"name": "a", "revision": revision}))
    assert [fault.key for fault in error.value.faults] == ["job.revision"]


def test_left_out_they_stay_out() -> None:
    """A job without them has none, and its copy does not invent any."""
    job = load_job("orchestra-14")
    assert (job.issue.date, job.issue.revision) == (None, None)
    assert "date" not in tomllib.loads(job_copy(job, "make"))["job"]


def test_the_kits_copy_gives_them_back() -> None:
    """The effective job, loaded again, has the same date and revision and the same results."""
    job = load(changed(job={"name": "a", "date": "2026-03-01", "revision": "1.2"}))
    again = job_from_tables(tomllib.loads(job_copy(job, "make")), Path("job.toml"))
    assert again.issue == job.issue
    first, second = (results_dict(solve(one))["inputs"]["job"] for one in (job, again))
    assert first == second
    assert first["revision"] == {"value": "1.2", "source": "job"}
