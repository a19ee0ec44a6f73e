"""The proof of a kit: its written files, not the model in memory, answer whether the joint is the one asked for.

`prove_folder` looks at everything that is in a folder and may start the CAD kernel to read STEP; `prove_draft` is the
part of it that takes about a second and stands before every kit that `make` puts in place. It is in two halves:
`prove_joint` needs the cutting files alone, `prove_files` the whole draft.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from pathlib import Path
from typing import Protocol

import shapely
from shapely import Polygon
from shapely.errors import ShapelyError

from generator.base.errors import GeometryError
from generator.cutting.cut_layers import CUT_INSIDE
from generator.formats.dxf.read import CuttingFile
from generator.jig.bracket import BRACKET_LEFT
from generator.jig.gauges import DRILL_GUIDE
from generator.jig.heel_stop import HEEL_STOP
from generator.jig.part import Jig
from generator.jig.plug import PLUG
from generator.job.shop import Shop
from generator.joint.checks.base import Bound, Check, CheckStatus
from generator.joint.solution import Solution
from generator.joint.stations import Use, fence_offset, jig_body, uses
from generator.proof.cut.bolts import bare_bolt_checks, bolt_checks
from generator.proof.cut.clearance import clearance_check, nearest, reaches
from generator.proof.cut.dry_fit import assemble, assemble_at_shoulder
from generator.proof.cut.fit_checks import assembled_checks, setting_checks, teeth_centring
from generator.proof.cut.gap_spread import spread_checks
from generator.proof.cut.nominal_cut import cuts_of, cutter_of, fences, nominal_cut
from generator.proof.cut.template_checks import TemplateProof, prove_plate
from generator.proof.cut.virtual_cut import Sweep, guides, sweep
from generator.proof.files.agree import FileCare, file_checks
from generator.proof.files.agree_checks import stated_checks
from generator.proof.files.misshapen import refuse_misshapen
from generator.proof.jig.checks import bare_hand_checks, hand_checks
from generator.proof.jig.deflection import deflection_checks
from generator.proof.jig.measured_jig import Pose, measure_setting
from generator.proof.jig.pieces import Pieces
from generator.proof.jig.posed_jig import Standing, area_of, material
from generator.proof.jig.support import bearing, in_jig, support_check, worst_stand
from generator.proof.kit_files import PLATE, Kit, open_kit
from generator.proof.measured_shop import cutter_now, shop_checks
from generator.proof.verdict import Proof

#: What a spoilt file can make of plane geometry; the check that could not be made says so.
_SPOILT = (GeometryError, ShapelyError, ValueError, ZeroDivisionError, IndexError, KeyError)


class Plan(Protocol):
    """What `make` knows of the kit it is writing."""

    @property
    def solution(self) -> Solution: ...

    @property
    def jig(self) -> Jig: ...


@dataclass(frozen=True)
class Care:
    """How closely to look: router places (mm) this far apart, and at which files."""

    place_step: float
    files: FileCare


#: Proof of a finished kit: router places 2 mm apart, and every file looked into.
THOROUGH = Care(2.0, FileCare(kernel=True, pages=True, nested=True, listed=True))
#: Proof of a kit while it is written: router places 8 mm apart; solids, pages, nested sheets and list left out.
QUICK = Care(8.0, FileCare(kernel=False, pages=False, nested=False, listed=False))


def prove_folder(folder: Path, shop: Shop | None = None) -> Proof:
    """Prove the kit in `folder`, with the router as `shop` has measured it since, where it has.

    Only what is in the folder is looked at: a kit of one group has no more to compare. InputError where the folder
    holds no results, or none that are a kit's; every other fault is a failed check.
    """
    kit = open_kit(folder)
    refuse_misshapen(kit)
    return _Proving(kit, shop or Shop(), THOROUGH).proof()


@dataclass(frozen=True)
class JointProof:
    """The checks of a joint cut from its files, its virtual cut for the picture of it, the cutting files as read."""

    checks: tuple[Check, ...]
    template: TemplateProof | None
    read: Mapping[str, CuttingFile | str]


def prove_joint(folder: Path, plan: Plan) -> JointProof:
    """Prove the joint and the jig of the kit that is being written in `folder`: results and cutting files are there."""
    proving = _Proving(_draft(folder, plan), Shop(), QUICK)
    return JointProof(proving.joint_checks(), proving.template, proving.kit.read)


def prove_files(folder: Path, plan: Plan, read: Mapping[str, CuttingFile | str] | None = None) -> tuple[Check, ...]:
    """Hold all files of the kit that is being written in `folder` against each other; `read` is what `prove_joint`
    has of its cutting files."""
    kit = _draft(folder, plan)
    return _Proving(kit if read is None else replace(kit, at_hand=read), Shop(), QUICK).other_checks()


def prove_draft(folder: Path, plan: Plan) -> JointProof:
    """Both halves, with every check."""
    joint = prove_joint(folder, plan)
    return replace(joint, checks=(*joint.checks, *prove_files(folder, plan, joint.read)))


def _draft(folder: Path, plan: Plan) -> Kit:
    return Kit(folder, open_kit(folder).results, (plan.solution, plan.jig), _standing_names(plan.jig))


def _standing_names(jig: Jig) -> frozenset[str]:
    """The parts that decide the joint, or stand in the jig that cuts it."""
    deciding = {part.name for part in jig.parts if part.traits.decides_joint}
    return frozenset(deciding | {item.part.name for item in jig.placed})


def prove_template_of(folder: Path, shop: Shop | None = None) -> TemplateProof | None:
    """The virtual cut of a kit's plate alone; None where the folder has no cutting file of it."""
    kit = replace(open_kit(folder), only=frozenset({PLATE}))
    return _Proving(kit, shop or Shop(), THOROUGH).template


@dataclass(frozen=True)
class _Proving:
    """One proof in progress: what several checks share is worked out once."""

    kit: Kit
    shop: Shop
    care: Care

    def proof(self) -> Proof:
        """Every check; where none failed, also whether the kit states the same."""
        checks = (*self.joint_checks(), *self.other_checks())
        told = any(check.status is CheckStatus.FAIL for check in checks)
        return Proof((*checks, stated_checks(self.kit, checks)) if self.care.files.listed and not told else checks)

    def joint_checks(self) -> tuple[Check, ...]:
        """What the cutting files make: both cuts, the jig in the hand, the joint put together."""
        return (*self.cut_checks(), *self.jig_checks(), *self.fit_checks())

    @cached_property
    def template(self) -> TemplateProof | None:
        """Both cuts as the plate's file makes them; None without the file."""
        file = self.kit.cutting.get(PLATE)
        return None if file is None else prove_plate(file, self.kit.results, cutter_now(self.kit.results, self.shop))

    @cached_property
    def shapes(self) -> Mapping[str, Polygon]:
        """The outline of each part that has a readable cutting file."""
        return {name: material(file) for name, file in self.kit.cutting.items()}

    @cached_property
    def setting(self) -> Pose:
        return measure_setting(self.kit)

    def cut_checks(self) -> Iterator[Check]:
        """What the template cuts, and what the shop has measured since."""
        if self.template is None:
            words = f"the folder has no readable cutting file of the {PLATE.replace('_', ' ')}, so nothing was cut"
            yield Check("cut: template file", CheckStatus.WARN, 0.0, 1.0, words, "files", Bound.AT_LEAST)
        else:
            yield from (_named(check) for check in self.template.checks)
        yield from shop_checks(self.kit, self.shop)

    def jig_checks(self) -> Iterator[Check]:
        """The jig that the files make: what it sets, what the cutter comes near, how it carries and gives."""
        if PLATE not in self.kit.cutting:
            return
        yield from self._tried("jig: setting", lambda: setting_checks(self.kit.solution, self.setting))
        for use in uses(self.kit.solution.joint):
            yield from self._tried(f"jig: use, {use.value}", partial(self._use_checks, use))
        yield from self._tried("jig: deflection", self._deflection_checks)
        yield from self._tried("jig: hands", self._hand_checks)

    def fit_checks(self) -> Iterator[Check]:
        """The joint put together."""
        if self.template is not None and set(self.template.cuts) == set(cuts_of(self.kit.results)):
            yield from self._tried("fit: assembled", self._assembled)

    def other_checks(self) -> tuple[Check, ...]:
        """Files against each other, and what random errors do."""
        return (*file_checks(self.kit, self.care.files), *spread_checks(self.kit.solution))

    def _assembled(self) -> Iterator[Check]:
        assert self.template is not None, "asked only for a plate that was cut"
        solution, centring = self.kit.solution, teeth_centring(self.kit, self.setting)
        guide = self.kit.cutting.get(DRILL_GUIDE.name)
        if Use.BODY not in self.template.cuts:
            yield from assembled_checks(solution, assemble_at_shoulder(solution, self.setting, centring))
            yield from bare_bolt_checks(solution, guide)
            return
        body, neck = self.template.cuts[Use.BODY], self.template.cuts[Use.NECK]
        fit = assemble(solution, self.setting, body, neck, centring)
        yield from assembled_checks(solution, fit)
        yield from bolt_checks(solution, self.setting, fit, body, neck, guide, self.kit.cutting.get(PLUG.name))

    def _use_checks(self, use: Use) -> Iterator[Check]:
        """One way the plate lies: the cutter's room, and the router's stand."""
        solution, job = self.kit.solution, self.kit.solution.job
        over = self._over(use)
        depth = self.setting.cut_depth(use)
        tools = reaches(over.swept, job.router, depth, job.stock("plate").actual_thickness)
        standing = Standing(self.kit.jig, self.shapes, fence_offset(job, solution.cradle))
        yield clearance_check(use, nearest(standing.at(use), tools))
        carries = bearing(over.plate, over.openings, 0.0, solution.joint.heel_blank)
        stand = worst_stand(carries, over.swept.centres, job.router.base_diameter, self.care.place_step)
        yield support_check(use, stand, job.router.base_diameter)

    def _deflection_checks(self) -> Iterator[Check]:
        over = self._over(Use.NECK)
        found = self.kit.solution
        jig = jig_body(found.job, found.joint, found.cradle, found.routing)
        rail = self.setting.rail if BRACKET_LEFT.name in self.kit.cutting else None
        return deflection_checks(jig, found.neck_set.join_to_saddle, over.plate, over.openings, rail)

    def _hand_checks(self) -> Iterator[Check]:
        pieces = Pieces.of(self.kit, self.shapes, self.setting)
        over = {use: self._over(use) for use in uses(self.kit.solution.joint)}
        sweeps = {use: one.swept for use, one in over.items()}
        if Use.BODY not in over:
            stop = self.shapes.get(HEEL_STOP.name)
            return bare_hand_checks(pieces, sweeps, over[Use.NECK].openings, stop)
        return hand_checks(pieces, sweeps, over[Use.BODY].openings, self.shapes.get(PLUG.name))

    def _over(self, use: Use) -> _Over:
        results, fence = self.kit.results, fences(self.kit.results)[use]
        openings = guides(self.kit.cutting[PLATE].contours(CUT_INSIDE), fence, nominal_cut(results, use))
        return _Over(
            in_jig(self.shapes[PLATE], fence.x, fence.direction),
            shapely.union_all([area_of(contour) for contour in openings]),
            sweep(openings, cutter_of(results)),
        )

    def _tried(self, name: str, checks: Callable[[], Iterable[Check]]) -> Iterator[Check]:
        """The checks; where a spoilt file keeps them from being made, one that fails and says so."""
        try:
            found = tuple(checks())
        except _SPOILT as error:
            found = (Check(name, CheckStatus.FAIL, 1.0, 0.0, f"could not be made: {error}", "faults"),)
        yield from found


@dataclass(frozen=True)
class _Over:
    """The plate over the work in one use, in that jig frame: its material, the guiding openings, what is swept."""

    plate: Polygon
    openings: Polygon
    swept: Sweep


def _named(check: Check) -> Check:
    """A check of the plate under the name it has in a kit's proof."""
    return replace(check, name=f"cut: {check.name.replace('_', ' ')}")
