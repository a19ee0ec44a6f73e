"""A student's hand-out: two pages with own numbers, own table of readings, and boxes to write into."""

from __future__ import annotations

from collections.abc import Sequence

from generator import __version__
from generator.classes.plan import Place
from generator.documents.setup.setup import setup_context
from generator.documents.setup.words import worded
from generator.jig.build import build_jig
from generator.job.command_line import command_line
from generator.job.model.job import Paper, UnitsChoice

#: A hand-out takes so many pages at most.
PAGES = 2
#: Template of the hand-out's text.
_TEMPLATE = "class_handout.j2"
#: Letters that are read at the bench, points.
_LETTERS = 11.5


def handout_pdf(place: Place, shared_with: Sequence[str], own_parts: Sequence[str]) -> bytes:
    """The hand-out of a place; `shared_with` names who else works with the jig, `own_parts` what is the student's.

    LayoutError when it takes more than two pages even in its closest setting.
    """
    from generator.formats.setup_sheet.pdf import marks_document
    from generator.formats.setup_sheet.words import marks

    solution = place.solution
    output = solution.job.output
    units = UnitsChoice.MM if output.units is UnitsChoice.BOTH else output.units
    sheet = setup_context(solution, build_jig(solution), Paper(output.paper[0]), units=units)
    text = worded(
        _TEMPLATE,
        sheet,
        student=place.student.name,
        date=place.student.date,
        jig=place.jig.label,
        shared=_listed(shared_with),
        own=_listed(own_parts),
        log=command_line("log", solution.job, "--date YYYY-MM-DD --gap-shy READING"),
    )
    body = marks(_TEMPLATE, text)
    made_by = f"Heelwright {__version__}, job {solution.job.name}"
    return marks_document(body, {}, "Hand-out", place.student.name, made_by, output.paper[0], PAGES, _LETTERS)


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names[:-1]) + (" and " if len(names) > 1 else "") + names[-1] if names else ""
