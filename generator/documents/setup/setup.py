"""What the setup sheet says beside the solved numbers: the decisions that its templates only word.

Numbers are mm and degrees; the templates spell them (`words`, `spelling`) and compute nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

from generator.base.units import mm
from generator.cutting.making import Maker, glued_by_hand, maker
from generator.documents.setup.bolts import NeckBolts, neck_bolts
from generator.documents.setup.butt import ButtBench
from generator.documents.setup.buying import Sheetstock, all_drills, bought_by_kind, stocks_to_buy
from generator.documents.setup.correction import CorrectionRow, correction_rows
from generator.documents.setup.hands import Bench
from generator.documents.setup.record import BOXES, RECORD_SUFFIX
from generator.documents.setup.spelling import NOTHING, NumberFormat
from generator.jig.corner_gauge import CORNER_GAUGE
from generator.jig.gauges import BUSHING_SLIP, CENTRE_SIGHT, GAP_WEDGE, STORY_STICK
from generator.jig.heel_bevel import HEEL_BEVEL
from generator.jig.layout import Layout, jig_layout
from generator.jig.part import Hardware, Jig
from generator.jig.record import Record
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.job.command_line import (
    CALIBRATE_LASER,
    CALIBRATE_ROUTER,
    DATE,
    READING,
    calibrate_jig,
    command_line,
    kit_command,
    path_argument,
)
from generator.job.glossary import NO_BODY_CUT, ON_THE_SHEET, TERMS, WITH_BODY_CUT, WITHOUT_TENON
from generator.job.model.instrument import Handed
from generator.job.model.job import Paper, UnitsChoice
from generator.job.model.router import RouterKind
from generator.joint.checks import Check, CheckStatus
from generator.joint.figures import first_figures
from generator.joint.gap_reading import Hump, hump, spacer_height
from generator.joint.kinds.butt.joint import Butt
from generator.joint.solution import Solution

#: The ready job that makes a joint without an angle in two offcuts.
TEST_JOB = "scrap-test"
#: A top that is highest nearer to the last fret than this is highest under it, mm.
_AT_THE_FRET = 5.0
#: Columns of a half of the table of readings: what is read, the shims, what comes off after the last pass.
_COLUMNS = 3
#: More passes than this are told in a sentence.
MOST_PASS_ROWS = 12
#: Checks of the proof whose message a builder wants to read even when they passed.
_TOLD = frozenset({"fit: saddle gap", "fit: sideways", "fit: tenon goes in", "error: gap by trials"})
#: Parts of which the templates speak where a jig has them, by what they call them.
_AIDS: Mapping[str, Record] = MappingProxyType(
    {
        "bevel": HEEL_BEVEL,
        "corner": CORNER_GAUGE,
        "sight": CENTRE_SIGHT,
        "slip": BUSHING_SLIP,
        "stick": STORY_STICK,
        "wedge": GAP_WEDGE,
    }
)
#: A bolt marked this far off, mm, is marked as well as it can be.
_MARKING = 0.05


@dataclass(frozen=True)
class Fact:
    """A name and what is told of it."""

    name: str
    value: str


@dataclass(frozen=True)
class Pass:
    """One pass: its depth below the work's face and below a fixed base, mm; `exact` where the cut ends or stops."""

    depth: float
    below_base: float
    exact: bool


@dataclass(frozen=True)
class PassTable:
    """The passes of one cut, mm below the work's face, told row by row where they do not fill the page.

    `held` says that the last one waits for the dry fit; `plate` is how much lower the bit of a fixed base hangs.
    """

    depths: tuple[float, ...]
    plate: float
    held: bool

    @property
    def listed(self) -> bool:
        """Whether they are told one by one."""
        return len(self.depths) <= MOST_PASS_ROWS

    @property
    def rows(self) -> tuple[Pass, ...]:
        """Pass by pass."""
        stops = {self.deepest, *self.depths[-1:]}
        return tuple(Pass(depth, self.plate + depth, depth in stops) for depth in self.depths)

    @property
    def even(self) -> tuple[Pass, ...]:
        """The equal passes before one that waits."""
        return self.rows[: self._equal]

    @property
    def _equal(self) -> int:
        return len(self.depths) - (1 if self.held else 0)

    @property
    def step(self) -> float:
        """How deep each of them goes, mm."""
        return self.depths[0] if self._equal > 0 else 0.0

    @property
    def deepest(self) -> float:
        """How deep they go in all, mm."""
        return self.depths[self._equal - 1] if self._equal > 0 else 0.0

    @property
    def deepest_below_base(self) -> float:
        """How far the bit then stands below a fixed base, mm."""
        return self.plate + self.deepest

    @property
    def even_listed(self) -> bool:
        """Whether a card has room for them."""
        return self._equal <= MOST_PASS_ROWS


@dataclass(frozen=True)
class ProofGroup:
    """What one part of the proof came to: its name, how many of its checks passed, which tell a builder something."""

    name: str
    passed: int
    count: int
    told: tuple[Check, ...]


@dataclass(frozen=True)
class Commands:
    """The commands that the sheet names, each as it runs from the folder in which the kit was made."""

    adjust: str
    log: str
    log_record: str
    prove: str
    make: str
    calibrate_router: str
    calibrate_jig: str
    calibrate_laser: str


@dataclass(frozen=True)
class SetupSheet:
    """A solved job as a setup sheet, a bench card or a hand-out tells it, in `units`, on `paper`.

    `proved` are the results of the virtual cut, empty where it has not been made; `place` is the kit's folder as it is
    named from where the commands will be given.
    """

    solution: Solution
    jig: Jig
    layout: Layout
    paper: Paper
    units: UnitsChoice
    proved: tuple[Check, ...]
    place: Path

    @cached_property
    def spell(self) -> NumberFormat:
        """Headings and units typed; the numbers themselves go through the filters."""
        return NumberFormat(self.units)

    @cached_property
    def bench(self) -> Bench:
        """What hands need beside the solved sizes."""
        return Bench(self.layout)

    @cached_property
    def butt(self) -> ButtBench | None:
        """The same of a butt joint alone."""
        joint = self.solution.joint
        return ButtBench(self.solution, joint) if isinstance(joint, Butt) else None

    @cached_property
    def is_test(self) -> bool:
        """Whether the job is the scrap joint itself."""
        return self.solution.job.name == TEST_JOB

    @property
    def left_handed(self) -> bool:
        return self.solution.job.instrument.handed is Handed.LEFT

    @property
    def fixed(self) -> bool:
        """Whether the router's base is fixed."""
        return self.solution.job.router.kind is RouterKind.FIXED

    @property
    def held(self) -> bool:
        """Whether the last pass waits for the dry fit."""
        return self.solution.job.router.hold_back > NOTHING

    @property
    def eases(self) -> bool:
        """Whether the readings tell what to ease first of what stands on the neck."""
        return self.held and self.solution.joint.stands

    @property
    def teeth(self) -> bool:
        """Whether the rests have teeth for the truss-rod slot."""
        return self.layout.rests.tooth_width is not None

    @property
    def tip(self) -> bool:
        """Whether a screw through the tongue holds the neck up."""
        spec = self.solution.job.jig
        return spec.tip_pin and not spec.bridged and self.layout.has_tongue

    @property
    def tip_pilot(self) -> str:
        """The pilot of that screw, or of the heel stop's."""
        return self._pilot(self.bench.tip_bite)

    @property
    def plug_pilot(self) -> str:
        """The pilot of the plug's screw."""
        return self._pilot(self.bench.plug_bite)

    def _pilot(self, deep: float) -> str:
        """Metric, as its drill and its screw are sold."""
        return f"⌀ {mm(self.layout.screws.tip.pilot)}, {mm(deep)} deep"

    @property
    def plate_by_hand(self) -> bool:
        """Whether hands make the template plate."""
        return maker(self.jig.part(TEMPLATE_PLATE.name), self.solution.job) is Maker.HANDS

    @property
    def layers(self) -> bool:
        """Whether they then glue it up of two layers."""
        return glued_by_hand(self.jig.part(TEMPLATE_PLATE.name), self.solution)

    @property
    def boxes(self) -> Mapping[str, str]:
        """What each box to write into is called."""
        return {box.key: box.name for box in BOXES}

    @cached_property
    def has(self) -> frozenset[str]:
        """Those of the aids that the jig has."""
        names = {part.name for part in self.jig.parts}
        return frozenset(aid for aid, record in _AIDS.items() if record.name in names)

    @property
    def terms(self) -> tuple[tuple[Fact, ...], ...]:
        """The words that the sheet uses of this kind of joint, a paragraph each on joint, plate and what goes on it."""
        joint = self.solution.joint
        unused = NO_BODY_CUT if joint.body_outline is None else WITH_BODY_CUT
        terms = TERMS if joint.stands else {**TERMS, **WITHOUT_TENON}
        return tuple(
            tuple(Fact(name.capitalize(), terms[name]) for name in names if name not in unused)
            for names in ON_THE_SHEET
        )

    @property
    def facts(self) -> tuple[Fact, ...]:
        """The numbers that a builder looks for first."""
        return tuple(
            Fact(one.name, self.spell.filters[one.spelt](getattr(getattr(self.solution, one.noun), one.field)))
            for one in first_figures(self.solution.joint)
        )

    @property
    def drills(self) -> str:
        """All drills, the bolts' and the jig's."""
        return all_drills(self.layout, self.jig)

    @cached_property
    def stocks(self) -> tuple[Sheetstock, ...]:
        """Sheet stock to buy."""
        return stocks_to_buy(self.layout, self.jig, self.spell)

    @property
    def hardware(self) -> Mapping[str, Sequence[Hardware]]:
        """Screws and pins of the jig by kind."""
        return bought_by_kind(self.jig.hardware)

    @cached_property
    def bolts(self) -> NeckBolts:
        """The joint's bolts as they are bought and fitted."""
        return neck_bolts(self.solution)

    @property
    def guide_strays(self) -> bool:
        """Whether the drill guide by its flat end would mark the tenon's bolts visibly off."""
        return self.bench.guide_off > _MARKING

    @property
    def body_passes(self) -> PassTable:
        """The passes of the body's cut; none where it has none."""
        return self._passes(self.solution.routing.passes.body, held=False)

    @property
    def neck_passes(self) -> PassTable:
        """The passes of the neck's cut."""
        return self._passes(self.solution.routing.passes.neck, held=self.held)

    def _passes(self, depths: tuple[float, ...], *, held: bool) -> PassTable:
        return PassTable(depths, self.solution.job.stock("plate").actual_thickness, held)

    @cached_property
    def readings(self) -> tuple[CorrectionRow, ...]:
        """What each reading of the gap asks for, lowest first."""
        return correction_rows(self.solution)

    @property
    def pairs(self) -> tuple[tuple[CorrectionRow, CorrectionRow], ...]:
        """The readings below and above the wanted one, those nearest to it first."""
        middle = len(self.readings) // 2
        return tuple(zip(reversed(self.readings[:middle]), self.readings[middle + 1 :], strict=True))

    @property
    def low_columns(self) -> int:
        """Columns of the table of readings that are too low."""
        return _COLUMNS + self.eases

    @property
    def spacer(self) -> float:
        """Height of the spacers under the straightedge, mm; 0 where none are wanted."""
        return spacer_height(self.solution)

    @property
    def shown_wanted(self) -> float:
        """What wedge or rule shows under the straightedge, spacers counted, at the wanted gap, mm."""
        return self.solution.neck_set.saddle_gap + self.spacer

    @property
    def reader(self) -> str:
        """What the gap is read with."""
        return "gap wedge" if "wedge" in self.has else "rule"

    @property
    def undercut(self) -> Hump | None:
        """Where the fretboard's end must give way most to the top; None where that is under the last fret."""
        neck_set = self.solution.neck_set
        found = hump(neck_set, neck_set.saddle_gap, neck_set.extension_length)
        return found if found.station < neck_set.extension_length - _AT_THE_FRET else None

    @property
    def from_shop(self) -> tuple[Fact, ...]:
        """What the shop file corrected in this job."""
        found = []
        for table, keys in self.solution.job.inputs.items():
            for key, entry in keys.items():
                if entry.get("source") == "shop":
                    value = entry["value"]
                    text = f"{value:.5f}" if key.endswith("_factor") else self.spell.fine(value)
                    found.append(Fact(f"{table}.{key}", text))
        return tuple(found)

    @property
    def to_mind(self) -> tuple[Check, ...]:
        """The checks that did not pass, failed ones first."""
        return (*self.solution.failed, *self.solution.warned)

    @property
    def checks_passed(self) -> int:
        return sum(check.status is CheckStatus.OK for check in self.solution.checks)

    @property
    def proof(self) -> tuple[ProofGroup, ...]:
        """The proof's checks by what stands before their colon, in their own order."""
        groups: dict[str, list[Check]] = {}
        for check in self.proved:
            groups.setdefault(check.name.partition(": ")[0], []).append(check)
        return tuple(
            ProofGroup(
                name,
                sum(check.status is CheckStatus.OK for check in group),
                len(group),
                tuple(check for check in group if check.status is not CheckStatus.OK or check.name in _TOLD),
            )
            for name, group in groups.items()
        )

    @property
    def commands(self) -> Commands:
        """The commands that the sheet names."""
        job, place = self.solution.job, self.place
        out = () if place.parent == Path() else ("-o", path_argument(place.parent))
        return Commands(
            adjust=command_line("adjust", job, "--gap", READING),
            log=command_line("log", job, "--date", DATE, "--gap-final", READING),
            log_record=command_line("log", job, "--record", job.name + RECORD_SUFFIX),
            prove=kit_command("prove", place),
            make=command_line("make", job, *out),
            calibrate_router=CALIBRATE_ROUTER,
            calibrate_laser=CALIBRATE_LASER,
            calibrate_jig=calibrate_jig(job, self.solution.cradle.upper_rest),
        )


def setup_context(
    solution: Solution,
    jig: Jig,
    paper: Paper | None = None,
    proof: Sequence[Check] | None = None,
    place: Path | None = None,
    units: UnitsChoice | None = None,
) -> SetupSheet:
    """The setup sheet of a solved job.

    `paper` is the size it will be printed on, the job's first unless told; `proof` the results of the virtual cut,
    where it has been made; `place` the kit's folder, named after the job unless told; `units` are the job's
    unless told.
    """
    output = solution.job.output
    return SetupSheet(
        solution,
        jig,
        jig_layout(solution),
        paper or output.paper[0],
        units or output.units,
        tuple(proof or ()),
        Path(solution.job.name) if place is None else place,
    )
