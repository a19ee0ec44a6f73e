"""The class summary: a row a student sorted by what needs the teacher, the jigs, what to cut and to buy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from generator import __version__
from generator.base.csv_text import csv_text
from generator.base.errors import Fault
from generator.base.units import degrees, format_mm, mm
from generator.classes.order import Order
from generator.classes.plan import ClassPlan, Place
from generator.classes.status import BenchState, JigState, in_need
from generator.documents.setup.bolts import neck_bolts
from generator.drawing.templates import environment
from generator.formats.dxf.write import sheet_file_name
from generator.job.model.job import Paper

#: Column headings of the summary, from left to right.
HEADINGS = (
    "student", "day", "gap, mm", "angle", "angle rest, mm", "shim, mm", "jig", "bolts", "worst warning", "state",
)  # fmt: skip
#: Column of the worst warning, counted from 0.
_WARNING = HEADINGS.index("worst warning")
#: More pages than this no class fills.
_MOST_PAGES = 60


@dataclass(frozen=True)
class SummaryLine:
    """One student's line: the job's name, the cells under HEADINGS, and whether the teacher is needed."""

    job: str
    cells: tuple[str, ...]
    attention: bool


@dataclass(frozen=True)
class Summary:
    """Everything the summary says, spelt; `setup` is the kit, for each jig, whose setup sheet tells how it is used."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[SummaryLine, ...]
    troubled: int
    refused: tuple[str, ...]
    jigs: tuple[str, ...]
    setup: tuple[str, ...]
    savings: tuple[str, ...]
    advice: tuple[str, ...]
    sheets: tuple[str, ...]
    stocks: tuple[tuple[str, ...], ...]
    buy: tuple[tuple[str, ...], ...]


def summary(
    plan: ClassPlan,
    order: Order,
    states: Sequence[BenchState],
    jigs: Sequence[JigState] = (),
    refused: Sequence[Fault] = (),
) -> Summary:
    """The summary of a class; `refused` are the faults of rows that are not made."""
    places = {place.name: place for place in plan.places}
    rows = [_line(places[state.job], state) for state in in_need(states)]
    rows.sort(key=lambda line: (not line.attention, not line.cells[_WARNING]))
    return Summary(
        plan.name,
        HEADINGS,
        tuple(rows),
        sum(line.attention for line in rows),
        tuple(str(fault) for fault in refused),
        jig_lines(plan),
        tuple(jig.folder if len(jig.members) > 1 else plan.users(jig)[0].name for jig in plan.sharing.jigs),
        tuple(str(saving) for saving in plan.savings),
        tuple(f"{one.jig}: {words}" for one in jigs for words in one.advice),
        tuple(sheet_file_name(sheet) for sheet in order.sheets),
        stock_lines(order),
        buy_lines(order),
    )


def stock_lines(order: Order) -> tuple[tuple[str, ...], ...]:
    """What the class takes of each stock: its name, sheets, parts, area (m²), waste, the last sheet at least."""
    return tuple(
        (
            f"{use.stock.name}, {mm(use.stock.actual_thickness)}",
            f"{use.sheets} of {format_mm(use.stock.sheet_length)} × {mm(use.stock.sheet_width)}",
            str(use.parts),
            f"{use.area:.3f}",
            f"{100.0 * use.waste:.0f} %",
            f"{use.last[0]:.0f} × {use.last[1]:.0f} mm",
        )
        for use in order.stocks
    )


def buy_lines(order: Order) -> tuple[tuple[str, ...], ...]:
    """The pieces to buy: how many, what, in which boxes, for what."""
    return tuple((str(one.count), one.what, one.packed or "by the piece", one.purpose) for one in order.buy)


def _line(place: Place, state: BenchState) -> SummaryLine:
    told = "; ".join(one for one in (state.progress.value, state.next_step, state.attention) if one)
    return SummaryLine(place.name, (*place_cells(place), told), bool(place.solution.failed or state.attention))


def place_cells(place: Place) -> tuple[str, ...]:
    """The cells under HEADINGS that are known before anything is cut: all but the state."""
    solution = place.solution
    worst = next((f"{check.name}: {check.message}" for check in (*solution.failed, *solution.warned)), "")
    bolts = neck_bolts(solution)
    return (
        place.student.name,
        place.student.date,
        format_mm(solution.neck_set.saddle_gap, 2),
        degrees(solution.neck_set.cradle_angle, 2),
        format_mm(solution.cradle.angle_rest_drawn, 2),
        format_mm(solution.cradle.nominal_shim),
        place.jig.label,
        f"{bolts.count} × {bolts.name}",
        worst,
    )


def jig_lines(plan: ClassPlan) -> tuple[str, ...]:
    """Who shares each jig."""
    return tuple(_jig_line(plan, number) for number in range(len(plan.sharing.jigs)))


def _jig_line(plan: ClassPlan, number: int) -> str:
    jig = plan.sharing.jigs[number]
    names = "; ".join(place.student.name for place in plan.users(jig))
    proved = "" if plan.sharing.proved else " (fewer jigs may do: the search was cut short)"
    kit = jig.solution.job.router.preset or "own router kit"
    return f"{jig.label}, {jig.solution.joint.called}, {kit}: {names}{proved}"


def summary_csv(found: Summary) -> str:
    """The students' lines as CSV; cells that a spreadsheet would run are guarded."""
    return csv_text([(*found.headings, "job"), *((*line.cells, line.job) for line in found.rows)])


def summary_html(found: Summary) -> str:
    """The summary as a page that links the class's files beside it."""
    template = environment(escaped=True).get_template("class_summary.html.j2")
    return template.render(c=found, made_by=f"Heelwright {__version__}, class {found.name}") + "\n"


def summary_pdf(found: Summary, paper: Paper) -> bytes:
    """The summary on paper."""
    from generator.formats.setup_sheet.pdf import marks_document
    from generator.formats.setup_sheet.words import marks

    template = environment(escaped=True).get_template("class_summary.j2")
    body = marks("class_summary.j2", template.render(c=found))
    made_by = f"Heelwright {__version__}, class {found.name}"
    return marks_document(body, {}, "Class", found.name, made_by, paper, _MOST_PAGES)
