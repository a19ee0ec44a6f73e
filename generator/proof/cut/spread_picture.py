"""A picture of what makes gap and centreline uncertain: a bar for each cause, and how many trials came out how."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from generator.base.annotation import Anchor
from generator.base.points2d import P2, Box
from generator.base.shapes2d import polyline, rectangle
from generator.base.units import format_mm
from generator.drawing.font import largest_height
from generator.drawing.sheet import Level, Sheet, SheetBuilder
from generator.drawing.style import PENS, Pen, Role
from generator.drawing.templates import environment
from generator.joint.tolerance import Uncertainty
from generator.proof.cut.monte_carlo import Spread, Trials

#: Width of the sheet, mm.
_WIDTH = 190.0
#: Margin on the left and on the right, mm.
_MARGIN = 12.0
#: What the sheet takes beside the bars: title, words, histogram, mm.
_BESIDE = 134.0
#: Capital height of the words, mm.
_TEXT = 2.5
#: Capital height of the histogram's figures, mm.
_SMALL = 2.0
#: Capital height of the title, at most, mm.
_TITLE = 5.0
#: The bars begin this far from the margin, behind their names, mm.
_NAMES = 52.0
#: Height of a bar, mm.
_BAR = 3.6
#: Height of a bar with its gap, mm.
_PITCH = 6.4
#: Grey of the bars but the longest, and of the middle 95 of 100 trials, from 0 (black) to 1 (white).
_GREY = 0.55
#: Grey of the trials outside the middle 95 of 100, from 0 (black) to 1 (white).
_PALE = 0.8
#: Columns of the histogram.
_BINS = 40
#: Height of the histogram, mm.
_HISTOGRAM = 34.0
#: Pen of the line the histogram stands on.
_BASE_LINE = Pen(0.25)


@dataclass(frozen=True)
class SpreadPlan:
    """What the picture says beside the errors: the job's name, the gap wanted, the hold-back and the gaps, low and
    high, that it puts right, mm.
    """

    job: str
    gap: float
    hold_back: float
    covered: tuple[float, float]


def spread_picture(wanted: SpreadPlan, found: Uncertainty, trials: Trials) -> Sheet:
    """The sheet for one job."""
    builder = SheetBuilder("gap_uncertainty", "How sure the saddle gap is")
    words = _words(wanted, found, trials)
    height = _BESIDE + _PITCH * (len(found.contributions) + len(found.asides))
    top = height - 16.0
    title = _say("title", words)
    room = _WIDTH - 2.0 * _MARGIN
    builder.label(title, P2(_MARGIN, top), largest_height(title, room, _TITLE), Role.TITLE)
    gaps = [(cause.name, cause.gap) for cause in found.contributions]
    foot = _bars(builder, gaps, _say("bars", words), _say("sums", words), top - 9.0)
    misses = [(aside.name, aside.sideways) for aside in found.asides]
    _bars(builder, misses, _say("aside_bars", words), _say("aside_sums", words), foot - 8.0)
    _histogram(builder, trials.read, words, Box(_MARGIN, 27.0, _WIDTH - _MARGIN, 27.0 + _HISTOGRAM))
    covered = _say("covered", words)
    builder.label(covered, P2(_MARGIN, 10.0), largest_height(covered, room, _TEXT))
    return builder.sheet(_WIDTH, height, wanted.job)


def _words(wanted: SpreadPlan, found: Uncertainty, trials: Trials) -> dict[str, str | bool]:
    low, high = wanted.covered
    return {
        "job": wanted.job,
        "worst": format_mm(found.gap_worst),
        "likely": format_mm(found.gap_likely),
        "count": str(len(trials.read.errors)),
        "half_range": format_mm(trials.read.half_range),
        "built": format_mm(trials.built.half_range),
        "sideways": format_mm(trials.sideways.half_range),
        "sideways_worst": format_mm(found.sideways_worst),
        "held": format_mm(wanted.hold_back),
        "low": format_mm(low),
        "high": format_mm(high),
        "covers": low <= wanted.gap - found.gap_worst and high >= wanted.gap + found.gap_worst,
    }


def _bars(builder: SheetBuilder, causes: Sequence[tuple[str, float]], lead: str, sums: str, top: float) -> float:
    """The causes and their sizes (mm), largest first, under `lead` and over `sums`; returns the lowest ink's height."""
    causes = sorted(causes, key=lambda cause: -cause[1])
    builder.label(lead, P2(_MARGIN, top), _TEXT)
    left, room = _MARGIN + _NAMES, _WIDTH - 2.0 * _MARGIN - _NAMES - 14.0
    y, most = top - 7.0, max(causes[0][1], 1e-9)
    for place, (name, size) in enumerate(causes):
        long = max(room * size / most, 0.3)
        builder.fill(rectangle(left, y - _BAR / 2.0, left + long, y + _BAR / 2.0), Role.HATCH, _GREY if place else 0.2)
        builder.label(name, P2(left - 2.0, y), _TEXT, anchor=Anchor.RIGHT, level=Level.MIDDLE)
        builder.label(format_mm(size, 3), P2(left + long + 1.5, y), _TEXT, level=Level.MIDDLE)
        y -= _PITCH
    builder.label(sums, P2(_MARGIN, y - 1.0), _TEXT)
    return y - 1.0


def _histogram(builder: SheetBuilder, trials: Spread, words: dict[str, str | bool], box: Box) -> None:
    """How many trials came out how, the middle 95 of 100 darker."""
    span = trials.largest * 1.05
    counts = [0] * _BINS
    for error in trials.errors:
        counts[min(int((error + span) / (2.0 * span) * _BINS), _BINS - 1)] += 1

    def x(error: float) -> float:
        return box.center.x + error / span * box.width / 2.0

    for number, count in enumerate(counts):
        low, high = (2.0 * span * (number + i) / _BINS - span for i in (0, 1))
        if count:
            inside = abs(low + high) / 2.0 <= trials.half_range
            area = rectangle(x(low), box.y0, x(high), box.y0 + box.height * count / max(counts))
            builder.fill(area, Role.HATCH, _GREY if inside else _PALE)
    builder.line(P2(box.x0, box.y0), P2(box.x1, box.y0), Role.EDGE, _BASE_LINE)
    for error in (-trials.half_range, 0.0, trials.half_range):
        tall = box.height + 3.0
        builder.stroke(
            polyline([P2(x(error), box.y0 - 1.5), P2(x(error), box.y0 + tall)]), Role.CENTRE, PENS[Role.CENTRE]
        )
        text = "0" if error == 0.0 else f"{error:+.2f}"
        builder.label(text, P2(x(error), box.y0 - 2.2), _SMALL, anchor=Anchor.MIDDLE, level=Level.TOP)
    builder.label(_say("range", words), P2(box.x1, box.y1 + 4.0), _SMALL, anchor=Anchor.RIGHT)
    builder.label(_say("trials", words), P2(box.x0, box.y0 - 8.5), _TEXT)


def _say(macro: str, context: Any) -> str:
    return str(getattr(_words_of_the_sheet(), macro)(context)).strip()


@cache
def _words_of_the_sheet() -> Any:
    return environment().get_template("chance_picture.j2").module
