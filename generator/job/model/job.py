"""The whole job: instrument, target, joint, router, jig, how the output is wanted, and where each value came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Annotated, Any, ClassVar

from pydantic import Field

from generator.job.model.field_types import (
    DATE,
    FLAG,
    JOB_NAME,
    RATIO,
    REVISION,
    Model,
    angle,
    choice,
    length,
    listed,
    number,
)
from generator.job.model.instrument import Instrument, Target
from generator.job.model.jig import JigSpec
from generator.job.model.joint import WITH_TENON, ButtSpec, MortiseTenonSpec
from generator.job.model.meaning import KeyGroup, Meaning
from generator.job.model.router import Router
from generator.job.model.stock import Stock

#: Source of a value that the job file itself states.
JOB_SOURCE = "job"
#: table -> key -> {"value", "source"}; source is "job", "shop", "preset <kind>/<name>" or "default".
Inputs = Mapping[str, Mapping[str, Mapping[str, Any]]]


class Paper(Enum):
    """Paper sizes the sheets are tiled on, spelt as in the job file."""

    A4 = "A4"
    A3 = "A3"
    LETTER = "letter"
    TABLOID = "tabloid"


class UnitsChoice(Enum):
    """Which units sheets and drawings print."""

    MM = "mm"
    INCH = "inch"
    BOTH = "both"


class Projection(Enum):
    """First- or third-angle arrangement of views."""

    FIRST = "first"
    THIRD = "third"


class PaperFor(Enum):
    """Which parts have paper: those that hands make, or every part."""

    HANDS = "hands"
    ALL = "all"


class Issue(Model):
    """Which issue of the job this is, for title blocks: keys of [job] beside its name.

    `date` is the day of issue as ISO 8601 writes it, `revision` a letter or number. Nothing reads a clock: left out,
    drawings leave a line to write on.
    """

    GROUP: ClassVar[KeyGroup] = KeyGroup.OUTPUT

    date: Annotated[
        str | None,
        DATE,
        Meaning(
            "Date of issue", "Year, month and day for the drawings' title blocks, which else leave a line to write on"
        ),
    ] = None
    revision: Annotated[
        str | None,
        REVISION,
        Meaning("Revision", "Letter or number for the drawings' title blocks, which else leave a line to write on"),
    ] = None


class OutputSpec(Model):
    """How the output is wanted: the keys of [output]."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.OUTPUT

    paper: Annotated[
        tuple[Paper, ...],
        listed(choice(Paper), 1, len(Paper), distinct=True),
        Meaning("Paper", "Paper sizes that the sheets are tiled on"),
    ] = (Paper.A4,)
    units: Annotated[
        UnitsChoice, choice(UnitsChoice), Meaning("Units on paper", "Units that sheets and drawings print")
    ] = UnitsChoice.BOTH
    projection: Annotated[
        Projection, choice(Projection), Meaning("Views stand in", "How the views of a drawing are arranged")
    ] = Projection.FIRST
    paper_for: Annotated[
        PaperFor,
        choice(PaperFor),
        Meaning("Paper for", "Which parts have paper: those that hands make, or those of a laser and a shop too"),
    ] = PaperFor.HANDS
    full_size: Annotated[
        bool,
        FLAG,
        Meaning(
            "Side elevation at full size",
            "Whether the side elevation is drawn at 1:1 on several pages, else at 1:2 on one",
        ),
    ] = False


class Making(Enum):
    """How the jig's parts are made: sawn and planed by hand, cut by laser or CNC router, or by a machine shop."""

    SAW = "saw"
    LASER = "laser"
    SHOP = "shop"


#: What each way of making holds, half ranges (common practice: no published source). The bench's own are alike.
_BY_WAY: Mapping[Making, Mapping[str, float]] = {
    Making.SAW: {
        "rest_width": 0.15,
        "board_square": 0.12,
        "board_flatness": 0.1,
        "plate_parallelism": 0.1,
        "zero_check": 0.07,
        "plate_flatness": 0.05,
        "plate_give": 0.02,
        "edge_dents": 0.04,
        "teeth_line_as_built": 0.29,
        "teeth_line": 0.05,
        "tooth_play": 0.05,
        "mortise_centreline": 0.15,
        "tenon_centreline": 0.15,
    },
    Making.LASER: {
        "rest_width": 0.1,
        "board_square": 0.1,
        "board_flatness": 0.1,
        "plate_parallelism": 0.1,
        "zero_check": 0.07,
        "plate_flatness": 0.05,
        "plate_give": 0.02,
        "edge_dents": 0.04,
        "teeth_line_as_built": 0.15,
        "teeth_line": 0.05,
        "tooth_play": 0.05,
        "mortise_centreline": 0.1,
        "tenon_centreline": 0.1,
    },
    Making.SHOP: {
        "rest_width": 0.05,
        "board_square": 0.02,
        "board_flatness": 0.03,
        "plate_parallelism": 0.03,
        "zero_check": 0.04,
        "plate_flatness": 0.02,
        "plate_give": 0.01,
        "edge_dents": 0.02,
        "teeth_line_as_built": 0.05,
        "teeth_line": 0.03,
        "tooth_play": 0.03,
        "mortise_centreline": 0.05,
        "tenon_centreline": 0.05,
    },
}


class Tolerances(Model):
    """How well each thing can be made, set or read (half range: each stands for ±): keys of [tolerances].

    `made_by` fills what the job leaves out. Made once: `rest_width`, `board_square`, `board_flatness`,
    `plate_parallelism`; in their place `zero_check`. At every neck: `plate_flatness`, `plate_give`, `clamping`,
    `edge_dents`, `gluing_face_bow`, `end_face_flatness`, `last_pass_evenness`, `gap_reading`. Sideways: the rest.
    """

    GROUP: ClassVar[KeyGroup] = KeyGroup.TOLERANCES

    made_by: Annotated[
        Making,
        choice(Making),
        Meaning("The jig is made by", "How the jig's parts are made, which sets what the other tolerances hold"),
    ] = Making.SAW
    gap_reading: Annotated[
        float, length(0, 5), Meaning("Reading the gap", "How well the gap at the saddle is read")
    ] = 0.25
    string_pull_up: Annotated[
        float, length(0, 3), Meaning("Knowing the pull of the strings", "How well the pull of the strings is known")
    ] = 0.5
    rest_width: Annotated[float, length(0, 2), Meaning("Width of a rest", "How well either rest is cut to its width")]
    board_square: Annotated[
        float, angle(0, 2), Meaning("Board square to the plate", "How square the board stands to the plate")
    ]
    board_flatness: Annotated[
        float, length(0, 2), Meaning("Board flat between the rests", "How flat the board is between the rests")
    ]
    plate_parallelism: Annotated[
        float,
        length(0, 2),
        Meaning("Plate parallel over the heel", "How even the plate's thickness is over the heel's length"),
    ]
    zero_check: Annotated[
        float,
        length(0, 2),
        Meaning(
            "Zero check", "How well the angle rest is cut to the measured stand-off, in place of rest, board and plate"
        ),
    ]
    plate_flatness: Annotated[
        float, length(0, 2), Meaning("Plate flat under the base", "How flat the plate is under the router's base")
    ]
    plate_give: Annotated[float, angle(0, 2), Meaning("Plate gives way", "How far the plate bends under the router")]
    clamping: Annotated[
        float, angle(0, 2), Meaning("Clamping the neck", "How far the neck turns against the plate as it is clamped")
    ] = 0.02
    edge_dents: Annotated[
        float, length(0, 2), Meaning("Dents of the rests' edges", "How deep the work dents the rests' edges")
    ]
    gluing_face_bow: Annotated[
        float,
        length(0, 2),
        Meaning("Bow of the gluing face", "How far the neck's gluing face is bowed between the rests"),
    ] = 0.05
    end_face_flatness: Annotated[
        float, length(0, 2), Meaning("End face flat", "How flat the body's end face is over the heel")
    ] = 0.05
    last_pass_evenness: Annotated[
        float, length(0, 2), Meaning("Last pass even", "How even the last pass leaves the shoulder")
    ] = 0.03
    teeth_line_as_built: Annotated[
        float,
        length(0, 2),
        Meaning("Teeth in line, as built", "How far the two teeth are out of line before the zero check"),
    ]
    teeth_line: Annotated[
        float,
        length(0, 2),
        Meaning("Teeth in line, checked", "How far the two teeth are out of line after the zero check"),
    ]
    tooth_play: Annotated[
        float, length(0, 2), Meaning("Play at each tooth", "How far each tooth moves in the truss-rod slot")
    ]
    mortise_centreline: Annotated[
        float,
        length(0, 2),
        Meaning(
            "Mortise on its centreline",
            "How far the mortise lies off its own opening's line",
            only=WITH_TENON,
        ),
    ]
    tenon_centreline: Annotated[
        float,
        length(0, 2),
        Meaning(
            "Tenon on its centreline",
            "How far the tenon lies off its own window's line",
            only=WITH_TENON,
        ),
    ]
    shoulder_seat: Annotated[
        float, length(0, 2), Meaning("Shoulder's seat across", "How unevenly the shoulder seats across its width")
    ] = 0.04
    twist: Annotated[
        float, length(0, 2), Meaning("Twist of the neck", "How far the neck is twisted", "at the saddle")
    ] = 0.05
    bushing_eccentricity: Annotated[
        float,
        length(0, 2),
        Meaning("Bushing off the axis", "How far the bushing's axis misses the router's", only=WITH_TENON),
    ] = 0.05

    @classmethod
    def derived(cls, known: Mapping[str, Any]) -> dict[str, Any]:
        """What the way of making holds; nothing where the way itself is not one of the known."""
        try:
            return dict(_BY_WAY[Making(known.get("made_by", Making.SAW))])
        except ValueError:
            return {}


def tolerances_of(way: Making) -> Tolerances:
    """The default tolerances of a way of making."""
    return Tolerances.model_validate({"made_by": way})


class Printer(Model):
    """The shop's printer: the factors every drawn x and y is multiplied by."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.PRINTER

    x_factor: Annotated[
        float,
        number(0.9, 1.1, RATIO),
        Meaning(
            "Printer's factor across",
            "What every drawn x is multiplied by, so that the print measures true,",
            "on a printed calibration page",
        ),
    ] = 1.0
    y_factor: Annotated[
        float,
        number(0.9, 1.1, RATIO),
        Meaning(
            "Printer's factor along",
            "What every drawn y is multiplied by, so that the print measures true,",
            "on a printed calibration page",
        ),
    ] = 1.0


class Job(Model):
    """One job, complete and checked: nothing in it is left to look up; `notes` say what loading it left aside."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.START

    name: Annotated[str, JOB_NAME, Meaning("Name of the job", "The folder that the job's files go into")]
    instrument: Instrument
    target: Target
    joint: MortiseTenonSpec | ButtSpec
    router: Router
    jig: JigSpec
    output: OutputSpec = OutputSpec()
    issue: Issue = Issue()
    tolerances: Tolerances = Field(default_factory=lambda: tolerances_of(Making.SAW))
    printer: Printer = Printer()
    stocks: Mapping[str, Stock]
    inputs: Inputs = Field(default_factory=dict)
    source_path: Path | None = None
    shop_path: Path | None = None
    notes: tuple[str, ...] = ()

    def gives(self, table: str, key: str) -> bool:
        """True where the job file itself says a value, which is then the builder's own wish."""
        return bool(self.inputs.get(table, {}).get(key, {}).get("source") == JOB_SOURCE)

    def stock(self, part_group: str) -> Stock:
        """The stock the jig names for a group of parts: plate, board, bracket, rest, caul, guide or shim."""
        return self.stocks[getattr(self.jig, f"{part_group}_stock")]

    @property
    def for_makers(self) -> MakersJob:
        """What of the job the makers of the jig's parts need."""
        return MakersJob(self.name, self.output, self.issue, self.stocks, self.jig)


@dataclass(frozen=True)
class MakersJob:
    """A job as the makers of the jig's parts see it: nothing of instrument, target and router."""

    name: str
    output: OutputSpec
    issue: Issue
    stocks: Mapping[str, Stock]
    jig: JigSpec


#: Who makes a part, and what its sheets say, follows from either.
PartsJob = Job | MakersJob
