"""The door to the templates of the bench: setup sheet, bench card and hand-out are filled from the solved nouns here.

A template names a number and how it is spelt, `{{ joint.mortise_width | size }}`; it computes nothing. The ways to
spell are those of `NumberFormat`, in the units of the sheet that is worded.
"""

from __future__ import annotations

from functools import lru_cache

from jinja2 import Environment

from generator.documents.setup.setup import SetupSheet
from generator.documents.setup.spelling import NumberFormat, nothing, paper_thin
from generator.drawing.templates import environment
from generator.job.model.job import UnitsChoice


def worded(template: str, sheet: SetupSheet, **more: object) -> str:
    """A template's marks, filled from `sheet`, from what it was solved to and from what the caller knows `more`."""
    solution = sheet.solution
    text: str = (
        _environment(sheet.units)
        .get_template(template)
        .render(
            s=sheet,
            bench=sheet.bench,
            job=solution.job,
            instrument=solution.job.instrument,
            router=solution.job.router,
            neck_set=solution.neck_set,
            joint=solution.joint,
            routing=solution.routing,
            cradle=solution.cradle,
            uncertainty=solution.uncertainty,
            **more,
        )
    )
    return text


@lru_cache(maxsize=len(UnitsChoice))
def _environment(units: UnitsChoice) -> Environment:
    """The templates with the filters that spell in these units, and what counts as nothing."""
    found = environment(escaped=True).overlay()
    found.filters = {**found.filters, **NumberFormat(units).filters}
    found.tests = {**found.tests, "nothing": nothing, "paper_thin": paper_thin}
    return found
