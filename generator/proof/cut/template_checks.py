"""Judge a written template plate: what it would cut, against the joint that was asked for.

The files themselves must be right within `EXACT`; how well wood, bushing and hand then do is another matter, so cuts
with a measured eccentricity are judged by wider limits.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from generator.base.errors import GeometryError
from generator.cutting.cut_layers import CUT_INSIDE
from generator.formats.dxf.read import CuttingFile
from generator.joint.checks import Bound, Check, CheckStatus
from generator.joint.checks.cutting import CLOGGING_PLAY, LEAST_PLAY
from generator.joint.stations import Use
from generator.proof.cut.fit import JointFit, mate
from generator.proof.cut.nominal_cut import (
    Cutter,
    cuts_of,
    cutter_of,
    fences,
    measured_eccentricity,
    neck_rise_along,
    nominal_cut,
)
from generator.proof.cut.virtual_cut import Miss, VirtualCut, guides, virtual_cut

#: What a written file cuts may lie this far off the joint's outline anywhere, mm: far below what a laser or a hand can
#: hold.
EXACT = 0.01
#: The rooms of the mated pair may be off by this, mm, twice EXACT: far below what a laser or a hand can hold.
EXACT_ROOM = 0.02
#: Where the bit runs out its centre passes the work's nearest edge by this, mm: less is a warning. A centre that just
#: passes leaves no rounding in the cut's corner.
RUN_OUT_ROOM = 1.5
#: Where the bit runs out and its centre passes the work's nearest edge by less than this, mm, the cut fails.
RUN_OUT_LEAST = 0.5
#: A bit that a measured edge offset makes a little larger than it is takes nothing of that, mm.
_OFFSET_SLACK = 0.25
#: A measured eccentricity above this is worth turning the base for, mm (common practice: cut on the same side in neck
#: and body it moves the neck sideways by twice as much).
ECCENTRIC_WARN = 0.05
#: A measured eccentricity above this spoils the joint, mm (common practice).
ECCENTRIC_FAIL = 0.25


#: With bushing and bit as measured a width may miss by this, mm (common practice: a tenon snug to loose differs by
#: about 0.13).
WIDTH_WARN = 0.05
#: With bushing and bit as measured a width must not miss by more than this, mm (common practice).
WIDTH_FAIL = 0.15


@dataclass(frozen=True)
class TemplateProof:
    """Both cuts as the plate's file makes them, how they fit, and what was judged.

    `cuts` are made with the bushing and bit the plate was drawn for, running true, `measured` with those found in the
    shop, where they differ. `fit` is None where one of the cuts could not be made at all; the checks then say why.
    """

    cuts: Mapping[Use, VirtualCut]
    measured: Mapping[Use, VirtualCut]
    fit: JointFit | None
    checks: tuple[Check, ...]

    @property
    def ok(self) -> bool:
        return all(check.status is not CheckStatus.FAIL for check in self.checks)


def prove_plate(file: CuttingFile, results: Mapping[str, Any], measured: Cutter | None = None) -> TemplateProof:
    """Cut both halves of the joint virtually along the plate's file, its kerf undone where stated, and judge them.

    `results` is the object of results.json; `measured` the bushing and bit as measured since, left out: the kit's own
    with the eccentricity it knows of. Nothing is raised for a plate that is wrong: the checks name what is.
    """
    if file.faults:
        found = "; ".join(str(fault) for fault in file.faults)
        return TemplateProof({}, {}, None, (_fault("template_file", float(len(file.faults)), found),))
    try:
        contours = file.nominal().contours(CUT_INSIDE)
    except GeometryError as error:
        return TemplateProof({}, {}, None, (_fault("template_file", 1.0, f"its kerf cannot be undone: {error}"),))
    checks = [_judged("template_file", 0.0, 0.0, CheckStatus.OK, "faults in the plate's cutting file")]
    cutter = cutter_of(results)
    real = measured or replace(cutter, eccentricity=measured_eccentricity(results))
    cuts: dict[Use, VirtualCut] = {}
    as_measured: dict[Use, VirtualCut] = {}
    for use in cuts_of(results):
        wanted = nominal_cut(results, use)
        try:
            openings = guides(contours, fences(results)[use], wanted)
            cuts[use] = virtual_cut(openings, cutter, wanted)
            if real != cutter:
                as_measured[use] = virtual_cut(openings, real, wanted)
        except GeometryError as error:
            checks.append(_fault(f"{wanted.name}_cut", 1.0, str(error)))
            continue
        checks += cut_checks(cuts[use])
    fit = _fit(cuts, results)
    if fit is not None:
        checks += fit_checks(fit, cuts, neck_rise_along(results))
    checks += _measured_checks(real, as_measured, _fit(as_measured, results))
    return TemplateProof(cuts, as_measured, fit, tuple(checks))


def cut_checks(cut: VirtualCut) -> Iterator[Check]:
    """What is judged of one cut made with a bushing that runs true: the region cut against the joint's own outline."""
    name = cut.wanted.name
    yield _run_out_check(cut)
    if cut.wanted.stays:
        yield _miss_check(f"{name}_too_much", cut.too_much, "wood cut away that should stay")
    yield _miss_check(f"{name}_too_little", cut.too_little, "wood left that should be gone")
    yield _sliver_check(cut)
    yield _miss_check(f"{name}_unreached", cut.unreached, "corner or passage of the template too tight for the bushing")
    yield _judged(
        f"{name}_play", cut.play, CLOGGING_PLAY, _play_status(cut.play),
        "room of the bushing across its channel; with less it clogs with dust", Bound.AT_LEAST,
    )  # fmt: skip


def fit_checks(fit: JointFit, cuts: Mapping[Use, VirtualCut], neck_rise: float) -> Iterator[Check]:
    """What is judged of the two cuts laid into each other, against the two outlines laid into each other."""
    body, neck = cuts[Use.BODY].wanted.outline, cuts[Use.NECK].wanted.outline
    yield _near("fit_side", fit.side, body.width - neck.width, "room across, both sides together")
    yield _near("fit_end", fit.end, body.length - neck.length + neck_rise, f"room at the {neck.name}'s closed end")
    yield _near("fit_sideways", fit.sideways, 0.0, "neck's centreline beside the body's")
    place = f" at ({fit.where.x:.2f}, {fit.where.y:.2f})" if fit.where is not None else ""
    status, text = CheckStatus.OK, f"least room round the {neck.name}, corners included{place}"
    if fit.tightest < -EXACT_ROOM:
        status = CheckStatus.WARN if fit.sawn else CheckStatus.FAIL
    if fit.sawn:
        text += f"; ease the sawn end's corners until they clear the {body.name}'s"
    yield _judged("fit_clear", fit.tightest, 0.0, status, text, Bound.AT_LEAST)


def _fit(cuts: Mapping[Use, VirtualCut], results: Mapping[str, Any]) -> JointFit | None:
    if set(cuts) != set(Use):
        return None
    return mate(cuts[Use.BODY], cuts[Use.NECK], neck_rise_along(results))


def _measured_checks(real: Cutter, cuts: Mapping[Use, VirtualCut], fit: JointFit | None) -> Iterator[Check]:
    """What the bushing and bit as measured would do; nothing where they are the ones the plate was drawn for."""
    for cut in (cut for cut in cuts.values() if cut.wanted.stays):
        off = cut.width - cut.wanted.outline.width
        name, text = (
            f"{cut.wanted.name}_width_as_measured",
            "width with bushing and bit as measured, off the wanted one",
        )
        yield _graded(name, off, (WIDTH_WARN, WIDTH_FAIL), text)
    if real.eccentricity:
        sideways = "" if fit is None else f", and the neck by {abs(fit.sideways):.2f} mm"
        text = (
            "bit off the bushing's centre: with one side of the base kept to you each cut moves by this much"
            f"{sideways}, and its width stays. Turned while cutting, a cut grows by up to twice as much"
        )
        yield _graded("bushing_eccentric", real.eccentricity, (ECCENTRIC_WARN, ECCENTRIC_FAIL), text)


def _graded(name: str, value: float, limits: tuple[float, float], text: str) -> Check:
    """Ok up to the first limit, a warning up to the second, a failure above it."""
    warn, fail = limits
    status = CheckStatus.FAIL if abs(value) > fail else CheckStatus.WARN if abs(value) > warn else CheckStatus.OK
    most = fail if status is CheckStatus.FAIL else warn
    return Check(name, status, value, -most, text, bound=Bound.BETWEEN, other=most)


def _play_status(play: float) -> CheckStatus:
    if play < LEAST_PLAY:
        return CheckStatus.FAIL
    return CheckStatus.OK if play >= CLOGGING_PLAY else CheckStatus.WARN


def _run_out_check(cut: VirtualCut) -> Check:
    room = cut.run_out
    status = CheckStatus.OK if room >= RUN_OUT_ROOM - _OFFSET_SLACK else CheckStatus.WARN
    return _judged(
        f"{cut.wanted.name}_run_out", room, RUN_OUT_ROOM, CheckStatus.FAIL if room < RUN_OUT_LEAST else status,
        "how far the bit's centre passes the edge of the work at the open end", Bound.AT_LEAST,
    )  # fmt: skip


def _sliver_check(cut: VirtualCut) -> Check:
    thickest = max(cut.slivers, key=lambda sliver: sliver.thickness, default=None)
    name, text = f"{cut.wanted.name}_slivers", "loose wood left standing"
    if thickest is None:
        return _judged(name, 0.0, EXACT, CheckStatus.OK, text)
    where = f"{len(cut.slivers)} pieces, the thickest at ({thickest.where.x:.2f}, {thickest.where.y:.2f})"
    status = CheckStatus.FAIL if thickest.thickness > EXACT else CheckStatus.WARN
    return _judged(name, thickest.thickness, EXACT, status, f"{text}: {where}")


def _miss_check(name: str, miss: Miss, text: str) -> Check:
    if miss.size <= EXACT or miss.where is None:
        return _judged(name, miss.size, EXACT, CheckStatus.OK, text)
    return _judged(name, miss.size, EXACT, CheckStatus.FAIL, f"{text}, at ({miss.where.x:.2f}, {miss.where.y:.2f})")


def _near(name: str, value: float, wanted: float, text: str) -> Check:
    status = CheckStatus.OK if abs(value - wanted) <= EXACT_ROOM else CheckStatus.FAIL
    return Check(name, status, value, wanted - EXACT_ROOM, text, bound=Bound.BETWEEN, other=wanted + EXACT_ROOM)


def _judged(
    name: str, value: float, limit: float, status: CheckStatus, text: str, bound: Bound = Bound.AT_MOST
) -> Check:
    return Check(name, status, value, limit, text, bound=bound)


def _fault(name: str, value: float, text: str) -> Check:
    return Check(name, CheckStatus.FAIL, value, 0.0, text)
