"""The correction table and its plot: what to do for each reading of the gap, at either stage.

Lengths mm. The table steps round the wanted gap; a reading no cut can put right keeps its row and says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.annotation import Anchor
from generator.base.errors import InputError
from generator.base.points2d import P2, Box
from generator.base.units import MM_PER_INCH
from generator.documents.setup.chart import Chart
from generator.documents.setup.spelling import NumberFormat
from generator.drawing.sheet import Level, Sheet
from generator.drawing.style import LineType, Pen
from generator.job.model.job import UnitsChoice
from generator.joint.corrections import Correction, Stage, Trim, correct, trim_for
from generator.joint.cradle import shim_change
from generator.joint.gap_reading import LEAST_REACH, gaps_read, spacer_height
from generator.joint.shoulder import angle_of_gap, gap_of_angle
from generator.joint.solution import Solution

#: Pen of the level line at the wanted gap.
_WANTED = Pen(0.35, LineType.CHAIN)
#: Pen of the line through the reading, parallel to the job's.
_YOURS = Pen(0.5, LineType.DASHED)
#: Pen of the upright line from the wanted gap down to its shims.
_DROP = Pen(0.25, LineType.DASHED)
#: Straight pieces of a curve over the chart's width.
_POINTS = 60


@dataclass(frozen=True)
class CorrectionRow:
    """One reading (mm), what wedge or rule shows over the spacers, and what to do before and after the last pass.

    None where that stage cannot put it right.
    """

    reading: float
    shown: float
    before: Correction | None
    after: Correction | None

    @property
    def wanted(self) -> bool:
        """True for the row of the wanted gap itself."""
        return any(c is not None and abs(c.angle_change) < 1e-9 for c in (self.before, self.after))


def correction_rows(solution: Solution) -> tuple[CorrectionRow, ...]:
    """Rows from the lowest reading to the highest, the wanted gap in the middle.

    They reach as far as 95 of 100 first fits read, in whole steps.
    """
    spacer = spacer_height(solution)
    return tuple(
        CorrectionRow(gap, gap + spacer, _try(solution, gap, Stage.SHY), _try(solution, gap, Stage.FINAL))
        for gap in gaps_read(solution)
    )


def _try(solution: Solution, gap: float, stage: Stage) -> Correction | None:
    try:
        return correct(solution, gap, stage=stage)
    except InputError:
        return None


def gap_of_shims(solution: Solution, shims: float) -> float:
    """The saddle gap (mm) that shims of `shims` mm in all behind the angle rest give a neck cut without error."""
    angle = solution.cradle.angle_with(shims - solution.cradle.nominal_shim)
    return gap_of_angle(solution.neck_set, angle + solution.neck_set.end_face_tilt)


def shims_of_gap(solution: Solution, gap: float) -> float:
    """The shims behind the angle rest (mm in all) that give a gap of `gap` mm: the inverse of `gap_of_shims`."""
    neck_set, cradle = solution.neck_set, solution.cradle
    found = angle_of_gap(neck_set, gap)
    return cradle.nominal_shim + shim_change(cradle.rest_spacing, neck_set.end_face_tilt, neck_set.set_angle, found)


def correction_plot(
    solution: Solution,
    reading: float | None = None,
    rest: float | None = None,
    width: float = 120.0,
    height: float = 78.0,
) -> Sheet:
    """Gap against the shims behind the angle rest: the job's line, the wanted gap and the way there from a reading.

    The reading stands over the shims in use: the nominal one, or what `rest` (the rest in use with its shims) is more
    than the rest as drawn. A dashed line through it, parallel to the job's, is what this jig and this body really do:
    where it meets the wanted gap stand the new shims.
    """
    wanted, cradle = solution.neck_set.saddle_gap, solution.cradle
    in_use = cradle.nominal_shim if rest is None else rest - cradle.angle_rest_drawn
    worst = solution.uncertainty.gap_worst
    reach = max(LEAST_REACH + 0.25, worst * 1.3, 0.0 if reading is None else abs(reading - wanted) * 1.35)
    shift = 0.0 if reading is None else in_use - shims_of_gap(solution, reading)
    stations = [shims_of_gap(solution, wanted - reach), shims_of_gap(solution, wanted + reach)]
    low, high = min(*stations, in_use, stations[0] + shift), max(*stations, in_use, stations[1] + shift)
    frame = Box(15.0, 16.0, width - 3.0, height - 8.0)
    y, spell = (wanted - reach, wanted + reach), _spell(solution)
    unit = MM_PER_INCH if spell.units is UnitsChoice.INCH else 1.0
    chart = Chart("correction", "Gap and shims", width, height, (low, high), y, frame, unit)
    chart.band(wanted - worst, wanted + worst)
    chart.grid(f"shims behind the angle rest, {spell.heading}", f"gap at the saddle mark, {spell.heading}")
    span = [low + (high - low) * i / _POINTS for i in range(_POINTS + 1)]
    chart.curve([(shims, gap_of_shims(solution, shims)) for shims in span])
    chart.level(wanted, _WANTED)
    chart.heading(f"wanted gap {spell.cell(wanted)}")
    if reading is None:
        chart.curve([(in_use, chart.y[0]), (in_use, wanted)], _DROP)
        chart.mark(in_use, wanted)
        _aside(chart, f"shim {spell.cell(in_use)}", "line: as computed; grey: worst case")
    else:
        chart.curve([(shims, gap_of_shims(solution, shims - shift)) for shims in span], _YOURS)
        _mark_reading(chart, reading, in_use, spell, wanted, shims_of_gap(solution, wanted) + shift)
        result = _result(trim_for(solution, reading, rest), spell)
        _aside(chart, result, "line: as computed; dashed: through your reading; grey: worst case")
    return chart.sheet(solution.job.name)


def _mark_reading(chart: Chart, reading: float, in_use: float, spell: NumberFormat, wanted: float, new: float) -> None:
    """The reading over the shims in use, and the wanted gap over the new ones."""
    chart.curve([(new, chart.y[0]), (new, wanted)], _DROP)
    chart.mark(in_use, reading)
    chart.mark(new, wanted, filled=False)
    below = reading < wanted
    lift = P2(2.0, -1.5) if below else P2(-2.0, 1.5)
    anchor, level = (Anchor.LEFT, Level.TOP) if below else (Anchor.RIGHT, Level.BASE)
    chart.words(f"reading {spell.cell(reading)}", chart.at(in_use, reading).plus(lift), anchor, level)


def _result(trim: Trim, spell: NumberFormat) -> str:
    """What the reading asks for: the stack of shims, or a new angle rest."""
    if trim.new_rest is not None:
        return f"new angle rest {spell.cell(trim.new_rest)}"
    return f"shims {' + '.join(spell.cell(one) for one in trim.shims)}" if trim.shims else "no shim"


def _spell(solution: Solution) -> NumberFormat:
    """A picture has one unit: inches where the job prints nothing else, millimetres elsewhere."""
    alone = solution.job.output.units is UnitsChoice.INCH
    return NumberFormat(UnitsChoice.INCH if alone else UnitsChoice.MM)


def _aside(chart: Chart, result: str, key: str) -> None:
    """What the chart gives, over its right end, and what its lines are, under it."""
    frame = chart.frame
    chart.words(result, P2(frame.x1, frame.y1 + 2.5), Anchor.RIGHT)
    chart.words(key, P2(frame.center.x, 2.5), Anchor.MIDDLE)
