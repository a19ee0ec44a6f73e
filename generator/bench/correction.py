"""The correction table and its plot: what to do for each reading of the gap, at either stage.

Lengths mm. The table steps round the wanted gap; a reading no cut can put right keeps its row and says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.bench.chart import Chart
from generator.bench.spelling import Speller
from generator.corrections import Correction, Stage, correct
from generator.drawing.sheet import Level, Sheet
from generator.drawing.style import LineType, Pen
from generator.errors import InputError
from generator.geometry2d import P2, Box
from generator.model.job import UnitsChoice
from generator.parts.base import Anchor
from generator.shoulder import angle_of_gap, gap_of_angle
from generator.solution import Solution
from generator.units import MM_PER_INCH

#: The table's step, and how far round the wanted gap it reaches at least and at most, mm.
STEP = 0.25
LEAST_REACH, MOST_REACH = 1.0, 2.0
_WANTED = Pen(0.35, LineType.CHAIN)
_YOURS = Pen(0.5, LineType.DASHED)
_DROP = Pen(0.25, LineType.DASHED)
_POINTS = 60


@dataclass(frozen=True)
class Row:
    """One reading (mm) and what each stage would do about it; None where that stage cannot."""

    reading: float
    shy: Correction | None
    final: Correction | None

    @property
    def wanted(self) -> bool:
        """True for the row of the wanted gap itself."""
        return any(c is not None and abs(c.angle_change) < 1e-9 for c in (self.shy, self.final))


def correction_rows(solution: Solution, block: float | None = None) -> tuple[Row, ...]:
    """Rows from the lowest reading to the highest, the wanted gap in the middle.

    They reach as far as the worst case of the uncertainty, in whole steps. `block` is the block in use, the job's
    set block unless told.
    """
    wanted = solution.neck_set.saddle_gap
    reach = min(MOST_REACH, max(LEAST_REACH, solution.uncertainty.gap_worst))
    count = math.ceil(reach / STEP - 1e-9)
    readings = (wanted + STEP * n for n in range(-count, count + 1))
    return tuple(
        Row(gap, _try(solution, gap, Stage.SHY, block), _try(solution, gap, Stage.FINAL, block)) for gap in readings
    )


def _try(solution: Solution, gap: float, stage: Stage, block: float | None) -> Correction | None:
    try:
        return correct(solution, gap, stage=stage, block=block)
    except InputError:
        return None


def gap_of_block(solution: Solution, block: float) -> float:
    """The saddle gap (mm) a block of `block` mm gives a neck that is cut without error."""
    bed = solution.cradle.angle(block)
    return gap_of_angle(solution.neck_set, bed + solution.neck_set.end_face_tilt)


def block_of_gap(solution: Solution, gap: float) -> float:
    """The block (mm) that gives a saddle gap of `gap` mm: the inverse of `gap_of_block`."""
    return solution.cradle.block(angle_of_gap(solution.neck_set, gap) - solution.neck_set.end_face_tilt)


def correction_plot(
    solution: Solution,
    reading: float | None = None,
    block: float | None = None,
    width: float = 120.0,
    height: float = 78.0,
) -> Sheet:
    """Gap against block height: the job's line, the wanted gap and, where given, the reading and the way to it.

    The reading stands over the block in use (the job's unless told). A dashed line through it, parallel to the job's,
    is what this jig and this body really do: where it meets the wanted gap stands the new block.
    """
    wanted, in_use = solution.neck_set.saddle_gap, solution.cradle.set_block if block is None else block
    worst = solution.uncertainty.gap_worst
    reach = max(LEAST_REACH + 0.25, worst * 1.3, 0.0 if reading is None else abs(reading - wanted) * 1.35)
    shift = 0.0 if reading is None else in_use - block_of_gap(solution, reading)
    stations = [block_of_gap(solution, wanted - reach), block_of_gap(solution, wanted + reach)]
    low, high = min(*stations, in_use, stations[0] + shift), max(*stations, in_use, stations[1] + shift)
    # The thinnest block is one the bed can still lie on; the line ends where no angle gives it.
    frame = Box(15.0, 16.0, width - 3.0, height - 8.0)
    y, spell = (wanted - reach, wanted + reach), _spell(solution)
    unit = MM_PER_INCH if spell.units is UnitsChoice.INCH else 1.0
    chart = Chart("correction", "Gap and block", width, height, (low, high), y, frame, unit)
    chart.band(wanted - worst, wanted + worst)
    chart.grid(f"set block, {spell.heading}", f"gap at the saddle mark, {spell.heading}")
    span = [low + (high - low) * i / _POINTS for i in range(_POINTS + 1)]
    chart.curve([(b, gap_of_block(solution, b)) for b in span])
    chart.level(wanted, _WANTED)
    chart.heading(f"wanted gap {spell.cell(wanted)}")
    _mark_reading(chart, solution, reading, in_use, shift, span)
    return chart.sheet(solution.job.name)


def _mark_reading(
    chart: Chart, solution: Solution, reading: float | None, in_use: float, shift: float, span: list[float]
) -> None:
    wanted, spell = solution.neck_set.saddle_gap, _spell(solution)
    if reading is None:
        chart.curve([(solution.cradle.set_block, chart.y[0]), (solution.cradle.set_block, wanted)], _DROP)
        chart.mark(solution.cradle.set_block, wanted)
        _aside(chart, f"block {spell.cell(solution.cradle.set_block)}", "line: as computed; grey: worst case")
        return
    new = block_of_gap(solution, wanted) + shift
    chart.curve([(b, gap_of_block(solution, b - shift)) for b in span], _YOURS)
    chart.curve([(new, chart.y[0]), (new, wanted)], _DROP)
    chart.mark(in_use, reading)
    chart.mark(new, wanted, filled=False)
    below = reading < wanted
    lift = P2(2.0, -1.5) if below else P2(-2.0, 1.5)
    anchor, level = (Anchor.LEFT, Level.TOP) if below else (Anchor.RIGHT, Level.BASE)
    chart.words(f"reading {spell.cell(reading)}", chart.at(in_use, reading).plus(lift), anchor, level)
    _aside(
        chart,
        f"new block {spell.cell(new)}",
        "line: as computed; dashed: through your reading; grey: worst case",
    )


def _spell(solution: Solution) -> Speller:
    """A picture has one unit: inches where the job prints nothing else, millimetres elsewhere."""
    alone = solution.job.output.units is UnitsChoice.INCH
    return Speller(UnitsChoice.INCH if alone else UnitsChoice.MM)


def _aside(chart: Chart, result: str, key: str) -> None:
    """What the chart gives, over its right end, and what its lines are, under it."""
    frame = chart.frame
    chart.words(result, P2(frame.x1, frame.y1 + 2.5), Anchor.RIGHT)
    chart.words(key, P2(frame.center.x, 2.5), Anchor.MIDDLE)
