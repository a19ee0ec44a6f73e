"""What many builds say together: predicted against measured, drift, wear, and what to correct.

Lengths mm, angles degrees; an error is measured less predicted. Builds are taken in the order of their dates.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from generator.job.command_line import CALIBRATE_ROUTER
from generator.joint.build_log import Build
from generator.joint.cradle import shim_change
from generator.joint.readings import Measured
from generator.joint.shoulder import angle_of_gap
from generator.joint.solution import Solution

#: A trend counts when its slope is this many times its own standard error.
_SURE = 2.5
#: A trend is judged from this many readings on.
_FEWEST_FOR_TREND = 4
#: A width counts for the edge offset from this many readings on.
_FEWEST_FOR_OFFSET = 2
#: A smaller correction of the edge offset is not worth making, mm.
_LEAST_OFFSET_CHANGE = 0.02
#: A smaller correction of the angle rest is not worth making, mm.
_LEAST_REST_CHANGE = 0.05
#: A template whose cuts have moved this far over the log wants its check width measured, mm.
WEAR_LIMIT = 0.1


@dataclass(frozen=True)
class Trend:
    """The errors of one quantity over the builds that measured it, mm or degrees, oldest first.

    `mean`; `spread`, the sample standard deviation (0 for one); `drift`, the slope of the best line, a build;
    `drifting` when that slope is large against its own uncertainty.
    """

    what: Measured
    errors: tuple[float, ...]
    mean: float
    spread: float
    drift: float
    drifting: bool

    @property
    def count(self) -> int:
        return len(self.errors)

    @property
    def moved(self) -> float:
        """How far the best line climbs from the first build to the last, mm."""
        return self.drift * (self.count - 1)

    @property
    def biased(self) -> bool:
        """True when the mean lies clearly off zero: further than two of its own standard errors, three builds up."""
        return self.count >= 3 and abs(self.mean) > 2.0 * self.spread / math.sqrt(self.count)


@dataclass(frozen=True)
class Review:
    """What a log says: one trend a quantity, a suggested edge offset and change of the angle rest (mm), and advice."""

    trends: tuple[Trend, ...]
    edge_offset: float | None
    angle_rest_change: float | None
    advice: tuple[str, ...]

    def trend(self, what: Measured) -> Trend | None:
        return next((trend for trend in self.trends if trend.what is what), None)


def trend_of(what: Measured, errors: Sequence[float]) -> Trend:
    """Mean, spread and straight-line drift of a series of errors (mm), by least squares over the build number."""
    count = len(errors)
    mean = math.fsum(errors) / count
    spread = math.sqrt(math.fsum((e - mean) ** 2 for e in errors) / (count - 1)) if count > 1 else 0.0
    middle = (count - 1) / 2.0
    width = math.fsum((i - middle) ** 2 for i in range(count))
    drift = math.fsum((i - middle) * (e - mean) for i, e in enumerate(errors)) / width if count > 1 else 0.0
    sure = False
    if count >= _FEWEST_FOR_TREND:
        rest = math.fsum((e - mean - drift * (i - middle)) ** 2 for i, e in enumerate(errors))
        sure = abs(drift) > _SURE * math.sqrt(rest / (count - 2) / width) + 1e-9
    return Trend(what, tuple(errors), mean, spread, drift, sure)


def review(builds: Iterable[Build], solution: Solution, also: Iterable[Build] = ()) -> Review:
    """Predicted against measured over all `builds`, oldest first, and what follows for the jig of `solution`.

    Builds `also` made of other jobs with the same router and plate count in the sizes those cut; how the neck stands
    is each instrument's own.
    """
    own, others = list(builds), list(also)
    trends = []
    for what in Measured:
        counted = [*own, *others] if what.from_plate else own
        ordered = sorted(counted, key=lambda build: build.date)
        errors = [error for build in ordered if (error := build.error(what)) is not None]
        if errors:
            trends.append(trend_of(what, errors))
    by_key = {trend.what: trend for trend in trends}
    offset = _suggested_offset(by_key, solution)
    rest = _suggested_rest(by_key.get(Measured.GAP_SHY), solution)
    return Review(tuple(trends), offset, rest, tuple(_advice(by_key, offset, rest, solution)))


def _suggested_offset(trends: Mapping[Measured, Trend], solution: Solution) -> float | None:
    """The edge offset at which mortise and tenon would have come out right, mm; None when it would not change.

    A mortise is its opening less two offsets and a tenon its tongue plus two, so a mortise wide by 2d or a tenon
    narrow by 2d means an offset smaller by d.
    """
    signs = ((Measured.MORTISE_WIDTH, -0.5), (Measured.TENON_WIDTH, 0.5))
    found = [
        sign * trend.mean
        for what, sign in signs
        if (trend := trends.get(what)) is not None and trend.count >= _FEWEST_FOR_OFFSET
    ]
    if not found:
        return None
    change = math.fsum(found) / len(found)
    return solution.routing.edge_offset + change if abs(change) >= _LEAST_OFFSET_CHANGE else None


def _suggested_rest(shy: Trend | None, solution: Solution) -> float | None:
    """What to add to the angle rest so that the mean gap comes out as wanted, mm; None without a clear bias."""
    if shy is None or not shy.biased:
        return None
    neck_set = solution.neck_set
    found = angle_of_gap(neck_set, neck_set.saddle_gap + shy.mean)
    change = shim_change(solution.cradle.rest_spacing, neck_set.end_face_tilt, found, neck_set.set_angle)
    return change if abs(change) >= _LEAST_REST_CHANGE else None


def _advice(
    trends: Mapping[Measured, Trend], offset: float | None, rest: float | None, solution: Solution
) -> Iterable[str]:
    mortise, tenon = trends.get(Measured.MORTISE_WIDTH), trends.get(Measured.TENON_WIDTH)
    if mortise is not None and mortise.drifting and mortise.moved > 0.0:
        urgent = "Re-cut the plate" if mortise.moved >= WEAR_LIMIT else "Measure the plate's check width"
        yield (
            f"The mortises grow wider, {mortise.moved:.2f} mm over {mortise.count} builds: the template's edges wear. "
            f"{urgent}; the limit is {WEAR_LIMIT:.2f} mm."
        )
    if tenon is not None and tenon.drifting and tenon.moved < 0.0:
        yield f"The tenons grow narrower, {-tenon.moved:.2f} mm over {tenon.count} builds: the tongue's edges wear."
    if mortise is not None and tenon is not None and mortise.mean * tenon.mean > 0.0:
        both = min(abs(mortise.mean), abs(tenon.mean))
        if both >= 2.0 * _LEAST_OFFSET_CHANGE:
            size = "wide" if mortise.mean > 0 else "narrow"
            yield f"Mortise and tenon both come out {size}: that is the plate as it was cut (its kerf), not the offset."
    if offset is not None:
        preset = solution.job.router.preset
        where = f"[router.{preset}] of shop.toml" if preset else "[router] of the job"
        yield (
            f"An edge offset of {offset:.3f} mm in place of {solution.routing.edge_offset:.3f} would have met the "
            f"wanted widths: confirm it with a test cut ({CALIBRATE_ROUTER}), then keep it in {where}. It "
            "takes effect with the next plate; the present one stays as it was cut."
        )
    if rest is not None:
        word, stand_off = "more" if rest > 0 else "less", solution.cradle.stand_off + rest
        missed = trends[Measured.GAP_SHY].mean
        yield (
            f"The first dry fits miss the gap by {missed:+.2f} mm on the mean: lay {abs(rest):.2f} mm {word} of shims "
            f"behind the angle rest from the start. A stand-off of {stand_off:.2f} mm would explain it: measure it "
            "again (heelwright calibrate jig)."
        )
    for trend in (trends.get(Measured.GAP_SHY), trends.get(Measured.GAP_FINAL)):
        if trend is not None and trend.drifting:
            yield (
                f"The {trend.what.title} drifts by {trend.drift:+.3f} mm a build: look at the rests' working edges, "
                "and measure the stand-off again."
            )
