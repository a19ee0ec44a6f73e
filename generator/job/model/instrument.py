"""The instrument: what a builder measures on it, and what the finished neck set must give.

Lengths mm, angles degrees. Field names are the keys of the job file's [instrument], [instrument.top] and [target].
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Annotated, Any, ClassVar, Literal

from pydantic import model_validator

from generator.job.model.field_types import PRESET, Model, angle, choice, length, whole
from generator.job.model.meaning import KeyGroup, Meaning


class Handed(Enum):
    """Which way round the instrument is strung."""

    RIGHT = "right"
    LEFT = "left"


#: What each form of the top says of its key `form`.
TOP_FORM = Meaning(
    "Form of the top",
    "How the top runs between join and saddle: flat, part of a sphere, or known by one reading of a bar",
)


class FlatTop(Model):
    """A top that is flat along the centreline between the join and the saddle."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.TOP

    form: Annotated[Literal["flat"], TOP_FORM] = "flat"


class DomeTop(Model):
    """A top that is part of a sphere, flat up to `flat_until`; `crown_from_join` None puts the crown at the saddle."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.TOP

    form: Annotated[Literal["dome"], TOP_FORM] = "dome"
    radius: Annotated[
        float,
        length(1500, 60000),
        Meaning(
            "Radius of the dome", "Radius of the sphere that the top is part of,", "as the dish it was braced in has it"
        ),
    ]
    crown_from_join: Annotated[
        float | None,
        length(50, 600, optional=True),
        Meaning("Join to the crown", "Where the dome's crown lies (left out: at the saddle),", "from the join"),
    ] = None
    flat_until: Annotated[
        float, length(0, 600), Meaning("Flat until", "How far the top is flat before the dome begins,", "from the join")
    ] = 0.0


class MeasuredTop(Model):
    """A top known by one reading: the gap at the saddle with a neck cut, or a bar held, at cradle angle zero."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.TOP

    form: Annotated[Literal["measured"], TOP_FORM] = "measured"
    zero_angle_gap: Annotated[
        float,
        length(-50, 50),
        Meaning(
            "Gap of the bar at the saddle",
            "Height over the top of a bar that is held square on the end face,",
            "at the saddle",
        ),
    ]


Top = FlatTop | DomeTop | MeasuredTop


class Instrument(Model):
    """Everything about the instrument that decides its neck joint."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.GUITAR

    preset: Annotated[
        str | None,
        PRESET,
        Meaning(
            "Instrument",
            "A ready instrument to begin with; heelwright presets instruments lists them",
            group=KeyGroup.START,
        ),
    ] = None
    scale_length: Annotated[
        float, length(250, 900), Meaning("Scale length", "Nominal scale without compensation,", "from nut to saddle")
    ]
    body_fret: Annotated[
        int,
        whole(12, 20, "frets"),
        Meaning("Fret at the join", "The fret where neck and body meet,", "counted from the nut"),
    ]
    frets: Annotated[
        int, whole(12, 30, "frets"), Meaning("Frets", "All frets of the fretboard,", "counted from the nut")
    ]
    saddle_compensation: Annotated[
        float, length(-5, 15), Meaning("Saddle compensation", "What is added to the scale", "at the centreline")
    ] = 2.5
    fretboard_thickness: Annotated[
        float,
        length(2, 12),
        Meaning("Fretboard thickness", "Thickness of the fretboard without its frets,", "at the centreline"),
    ] = 6.35
    fret_height: Annotated[
        float, length(0, 2.5), Meaning("Fret height", "Height of a fret's crown", "over the board")
    ] = 1.1
    nut_string_height: Annotated[
        float,
        length(0, 5),
        Meaning("String at the nut", "Height of the strings over the plane of the frets", "at the nut"),
    ] = 0.5
    relief: Annotated[float, length(0, 1.5), Meaning("Relief", "Forward bow of the strung neck", "at its middle")] = (
        0.15
    )
    bridge_thickness: Annotated[
        float,
        length(3, 20),
        Meaning("Bridge thickness", "Thickness of the bridge under the saddle,", "with the bridge in the hand"),
    ]
    saddle_projection: Annotated[
        float,
        length(0, 20),
        Meaning("Saddle over the bridge", "How far the saddle stands out of the bridge", "at the centreline"),
    ]
    saddle_to_string_hole: Annotated[
        float,
        length(2, 60),
        Meaning(
            "Saddle to the string's hole",
            "From the saddle's crown to the edge that the string bends over (pin hole's near edge, tie block's face),",
            "along the bridge's upper face",
        ),
    ] = 8.0
    string_hole_depth: Annotated[
        float,
        length(0, 15),
        Meaning(
            "String's hole below the bridge's face",
            "How far that edge lies below the bridge's upper face (0 at a pin hole),",
            "at the bridge",
        ),
    ] = 0.0
    string_pull_up: Annotated[
        float,
        length(0, 6),
        Meaning("Pull of the strings", "How far the strings drop the neck plane over the weeks,", "at the saddle"),
    ] = 0.0
    neck_rise: Annotated[
        float, length(-5, 10), Meaning("Neck rise", "The height of the gluing face over the top", "at the join")
    ] = 0.0
    end_face_tilt: Annotated[
        float,
        angle(-5, 5),
        Meaning(
            "Tilt of the end face",
            "Tilt of the body's end face, positive where it runs towards the tail as it goes down,",
            "against a square on the rim",
        ),
    ] = 0.0
    body_depth_at_neck: Annotated[
        float, length(30, 160), Meaning("Body depth at the neck", "Depth of the body over top and back", "at the join")
    ]
    back_binding_height: Annotated[
        float,
        length(0, 25),
        Meaning("Back binding", "Height of the back binding, at whose inner edge the heel ends,", "at the join"),
    ] = 0.0
    heel_cap_thickness: Annotated[
        float,
        length(0, 20),
        Meaning("Heel cap", "Thickness of the heel cap, which laps over the binding,", "before it is glued on"),
    ] = 3.0
    heel_width: Annotated[float, length(20, 120), Meaning("Heel width", "Width of the heel", "at the join")]
    heel_width_at_cap: Annotated[
        float,
        length(5, 120),
        Meaning("Heel width at the cap", "Width of the heel where it differs from that at the join,", "at the cap"),
    ]
    heel_blank: Annotated[
        float | None,
        length(30, 200, word="auto"),
        Meaning(
            "Neck's end before routing, length",
            "Length of the neck's end before routing (auto: body depth and 2 mm),",
            "on the blank",
        ),
    ] = None
    heel_blank_width: Annotated[
        float | None,
        length(20, 150, word="auto"),
        Meaning(
            "Neck's end before carving, width",
            "Width of the neck's end before carving (auto: heel width and 8 mm),",
            "on the blank",
        ),
    ] = None
    shoulder_half_width: Annotated[
        float,
        length(30, 250),
        Meaning("Body's half width", "The body's outline from the centreline", "at the depth of the neck block"),
    ] = 105.0
    handed: Annotated[Handed, choice(Handed), Meaning("Strung", "Which way round the instrument is strung")] = (
        Handed.RIGHT
    )
    neck_block_thickness: Annotated[
        float, length(15, 120), Meaning("Neck block, thickness", "Thickness of the neck block", "along the centreline")
    ]
    neck_block_width: Annotated[
        float, length(30, 200), Meaning("Neck block, width", "Width of the neck block", "across the centreline")
    ]
    truss_rod_slot_width: Annotated[
        float | None,
        length(1, 20, word="none"),
        Meaning(
            "Truss-rod slot, width",
            "Width of the slot that the rests' teeth stand in (none: a drawn centreline centres the neck)",
            "at the gluing face",
        ),
    ] = None
    truss_rod_slot_depth: Annotated[
        float | None,
        length(1, 20, word="none"),
        Meaning("Truss-rod slot, depth", "Depth of that slot", "below the gluing face"),
    ] = None
    top: FlatTop | DomeTop | MeasuredTop

    @classmethod
    def derived(cls, known: Mapping[str, Any]) -> dict[str, Any]:
        """A heel is as wide at its cap as at the join unless the job says otherwise."""
        return {"heel_width_at_cap": known["heel_width"]} if "heel_width" in known else {}


class Target(Model):
    """What the neck set must give, said in exactly one of three ways; the other two are reported."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.TARGET

    saddle_gap: Annotated[
        float | None,
        length(-50, 50, optional=True),
        Meaning(
            "Gap at the saddle",
            "Height of the neck plane over the bare top, no fretboard on the neck,",
            "at the saddle",
        ),
    ] = None
    bridge_clearance: Annotated[
        float | None,
        length(-50, 50, optional=True),
        Meaning(
            "Straightedge over the bridge",
            "Height over the bridge of a straightedge that lies on the frets, strings on,",
            "at the saddle",
        ),
    ] = None
    action_bass: Annotated[
        float | None,
        length(-50, 50, optional=True),
        Meaning("Action, bass side", "Height of the lowest string, strings on,", "over the 12th fret"),
    ] = None
    action_treble: Annotated[
        float | None,
        length(-50, 50, optional=True),
        Meaning("Action, treble side", "Height of the highest string, strings on,", "over the 12th fret"),
    ] = None

    @model_validator(mode="after")
    def _one_way(self) -> Target:
        fault = target_fault({name for name in type(self).model_fields if getattr(self, name) is not None})
        if fault:
            raise ValueError(f"found {fault}; allowed: {ONE_TARGET}")
        return self


#: Which keys a target may consist of, for errors.
ONE_TARGET = "exactly one of saddle_gap, bridge_clearance, or action_bass together with action_treble"


def target_fault(given: set[str]) -> str | None:
    """What is wrong with a target that gives these keys, in words; None when they are one way."""
    if given in ({"saddle_gap"}, {"bridge_clearance"}, {"action_bass", "action_treble"}):
        return None
    return " and ".join(sorted(given)) if given else "none of them"
