"""The whole job: instrument, target, joint, router, jig, how the output is wanted, and where each value came from."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from generator.model.instrument import Instrument, Target
from generator.model.jig import JigSpec
from generator.model.joint import JointSpec
from generator.model.kinds import FLAG, Model, angle, choice, length, listed, number
from generator.model.router import Router
from generator.model.stock import Stock

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


class OutputSpec(Model):
    """How the output is wanted: the keys of [output].

    `paper_for` says whether parts that a laser or a shop makes have paper too; with `full_size` the side elevation is
    drawn at 1:1 on several pages instead of at 1:2 on one.
    """

    paper: Annotated[tuple[Paper, ...], listed(choice(Paper), 1, len(Paper), distinct=True)] = (Paper.A4,)
    units: Annotated[UnitsChoice, choice(UnitsChoice)] = UnitsChoice.BOTH
    projection: Annotated[Projection, choice(Projection)] = Projection.FIRST
    paper_for: Annotated[PaperFor, choice(PaperFor)] = PaperFor.HANDS
    full_size: Annotated[bool, FLAG] = False


class Tolerances(Model):
    """How well each thing can be made, set or read at the bench (half range: each stands for ±): keys of [tolerances].

    `plate_sag` is what tilts the shoulder while the router stands on the plate, `hold_back` how uneven the last pass
    leaves the shoulder, `key_play` the whole play of the truss-rod key in the slot; `block_height` is the set block's
    own error, `pivot_play` the pins' in their arc slots.
    """

    gap_reading: Annotated[float, length(0, 5)] = 0.25
    block_height: Annotated[float, length(0, 2)] = 0.05
    pivot_play: Annotated[float, length(0, 2)] = 0.05
    plate_sag: Annotated[float, angle(0, 2)] = 0.02
    end_face_flatness: Annotated[float, length(0, 2)] = 0.05
    bushing_eccentricity: Annotated[float, length(0, 2)] = 0.05
    hold_back: Annotated[float, length(0, 2)] = 0.03
    key_play: Annotated[float, length(0, 2)] = 0.1


class Printer(Model):
    """The shop's printer: the factors every drawn x and y is multiplied by, so that the print measures true."""

    x_factor: Annotated[float, number(0.9, 1.1)] = 1.0
    y_factor: Annotated[float, number(0.9, 1.1)] = 1.0


class Job(Model):
    """One job, complete and checked: nothing in it is left to look up; `notes` say what loading it left aside."""

    name: str
    instrument: Instrument
    target: Target
    joint: JointSpec
    router: Router
    jig: JigSpec
    output: OutputSpec = OutputSpec()
    tolerances: Tolerances = Tolerances()
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
