"""What the page begins with: the job the command was given, or a new one."""

from __future__ import annotations

from pathlib import Path

from generator.base.toml_file import read_toml
from generator.job.argument import job_file
from generator.job.presets import PresetKind, find_preset
from generator.job.shop import read_shop
from generator.page.form import Form, Opened, form_of_tables, tables_of

#: Name that a new job begins with.
_NAME = "my-guitar"
#: Instrument preset that a new job begins with, as `heelwright new` begins.
_INSTRUMENT = "orchestra-14"


def first_form(job: str | None, shop: Path | None = None) -> tuple[Opened, Form]:
    """The opened job and its form; without a job no opened one, and the form of a new one.

    InputError for a job that is no TOML, and for a shop file that is named and does not read.
    """
    if shop is not None:
        read_shop(shop)
    if job is None:
        start = find_preset(PresetKind.INSTRUMENTS, _INSTRUMENT).tables().get("start", {})
        fields = {"job.name": _NAME, "instrument.preset": _INSTRUMENT}
        fields |= {f"{table}.preset": str(start[table]) for table in ("router", "jig") if table in start}
        return Opened(shop=shop), Form(fields)
    path, name = job_file(job)
    form = form_of_tables(read_toml(path, name))
    return Opened(path, tables_of(form)[0], shop), form
