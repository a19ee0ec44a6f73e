"""The build log as a picture: how far the gap missed, build by build."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from generator.base.annotation import Anchor
from generator.base.errors import LayoutError
from generator.base.points2d import P2, Box
from generator.documents.setup.chart import Chart
from generator.drawing.sheet import Sheet
from generator.drawing.style import LineType, Pen
from generator.joint.build_log import Build
from generator.joint.build_review import trend_of
from generator.joint.readings import Measured

#: Pen of the level line where measured and predicted gap are the same.
_ZERO = Pen(0.35)
#: Pen of the best line through a series that drifts.
_DRIFT = Pen(0.35, LineType.DASHED)
#: Pen of the line from build to build of a series.
_JOINED = Pen(0.25)
#: The error's axis reaches at least this far either way, mm.
_LEAST_REACH = 0.5


def log_plot(builds: Iterable[Build], expected: float, job: str, width: float = 150.0, height: float = 84.0) -> Sheet:
    """Error of the gap (measured less predicted, mm) over the builds in the order of their dates.

    Dots: the first reading, last pass not yet taken; rings: the finished joint. The grey band is `expected`, the worst
    case (± mm) the job predicts. LayoutError when no build has a gap.
    """
    ordered = sorted(builds, key=lambda build: build.date)
    shy, final = (_errors(ordered, what) for what in (Measured.GAP_SHY, Measured.GAP_FINAL))
    if not shy and not final:
        raise LayoutError("log plot: no build has a measured gap")
    reach = max([_LEAST_REACH, expected * 1.1, *(abs(error) * 1.15 for _, error in (*shy, *final))])
    count = len(ordered)
    frame = Box(16.0, 17.0, width - 4.0, height - 8.0)
    chart = Chart("gap_log", "Gap error over the builds", width, height, (0.5, count + 0.5), (-reach, reach), frame)
    chart.band(-expected, expected)
    chart.grid("build, in the order of their dates", "gap error, mm", x_steps=12, whole_x=True)
    chart.level(0.0, _ZERO)
    for series, filled in ((shy, True), (final, False)):
        chart.curve(series, _JOINED)
        _drift(chart, series)
        for x, error in series:
            chart.mark(x, error, filled)
    chart.heading("Gap: measured less predicted")
    chart.words(job, P2(frame.x1, frame.y1 + 2.5), Anchor.RIGHT)
    key = "dots: first reading; rings: finished; dashed: drift; grey: worst case expected"
    chart.words(key, P2(frame.center.x, 2.5), Anchor.MIDDLE)
    return chart.sheet(job)


def _errors(builds: Sequence[Build], what: Measured) -> list[tuple[float, float]]:
    return [(float(n), error) for n, build in enumerate(builds, 1) if (error := build.error(what)) is not None]


def _drift(chart: Chart, series: Sequence[tuple[float, float]]) -> None:
    """The best line through a series that drifts."""
    trend = trend_of(Measured.GAP_FINAL, [error for _, error in series]) if series else None
    if trend is None or not trend.drifting:
        return
    half = trend.moved / 2.0
    chart.curve([(series[0][0], trend.mean - half), (series[-1][0], trend.mean + half)], _DRIFT)
