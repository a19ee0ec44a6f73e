"""What can be measured on an instrument and its jig: one noun for each box of the setup sheet that holds a number.

Lengths mm, angles degrees.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType

from generator.job.model.field_types import AngleType, FieldType, angle, length
from generator.joint.shoulder import MOST_READING


class Measured(Enum):
    """What can be measured: the key of the sheet's box and of the build log, in the order of the work."""

    STAND_OFF = "stand_off"
    STAND_OFF_TURNED = "stand_off_turned"
    REST_GAP = "rest_gap"
    TEETH_MISS = "teeth_miss"
    SCRAP_MORTISE_WIDTH = "scrap_mortise_width"
    SCRAP_TENON_WIDTH = "scrap_tenon_width"
    OPENING_WIDTH = "opening_width"
    TONGUE_WIDTH = "tongue_width"
    END_FACE_HOLLOW = "end_face_hollow"
    END_FACE_TILT = "end_face_tilt"
    BODY_DEPTH = "body_depth"
    BLOCK_THICKNESS = "block_thickness"
    SLOT_WIDTH = "slot_width"
    HEEL_ANGLE = "heel_angle"
    HEEL_BLANK = "heel_blank"
    MORTISE_WIDTH = "mortise_width"
    MORTISE_LENGTH = "mortise_length"
    MORTISE_DEPTH = "mortise_depth"
    TENON_WIDTH = "tenon_width"
    TENON_LENGTH = "tenon_length"
    GAP_SHY = "gap_shy"
    SIDEWAYS_SHY = "sideways_shy"
    SHIMS_USED = "shims_used"
    GAP_FINAL = "gap_final"
    SIDEWAYS = "sideways"
    TENON_PROJECTION = "tenon_projection"
    CLEARANCE = "clearance"
    ACTION = "action"

    @property
    def title(self) -> str:
        """What it is, in words; with its unit where that is not mm."""
        return _KNOWN[self][0] + (", degrees" if self.is_angle else "")

    @property
    def kind(self) -> FieldType:
        """The readings that can be: further off is a slip of the pen or of the unit."""
        return _KNOWN[self][1]

    @property
    def is_angle(self) -> bool:
        return isinstance(_KNOWN[self][1], AngleType)

    @property
    def from_plate(self) -> bool:
        """True for what router and plate alone decide, whatever the instrument."""
        return self in _FROM_PLATE

    @property
    def of_tenon(self) -> bool:
        """True for what a joint has only where something is cut in the body and stands on the neck."""
        return self.from_plate or self is Measured.TENON_PROJECTION


#: Kind of a reading to either side of zero.
_SIGNED = length(-MOST_READING, MOST_READING)
#: Kind of a small reading: light along the teeth, width of the truss-rod slot.
_SMALL = length(0, 20)
#: Kind of a width on the scrap joint or the template.
_WIDTH = length(3, 90)
#: Kind of a mortise's or a tenon's length.
_LONG = length(10, 200)
#: What each reading is called, and its kind.
_KNOWN: Mapping[Measured, tuple[str, FieldType]] = MappingProxyType(
    {
        Measured.STAND_OFF: ("stand-off", length(0, 100)),
        Measured.STAND_OFF_TURNED: ("stand-off, square turned", length(0, 100)),
        Measured.REST_GAP: ("gap at the narrow rest", _SIGNED),
        Measured.TEETH_MISS: ("light along the teeth", _SMALL),
        Measured.SCRAP_MORTISE_WIDTH: ("scrap joint, mortise width", _WIDTH),
        Measured.SCRAP_TENON_WIDTH: ("scrap joint, tenon width", _WIDTH),
        Measured.OPENING_WIDTH: ("template's opening, width", _WIDTH),
        Measured.TONGUE_WIDTH: ("template's tongue, width", _WIDTH),
        Measured.END_FACE_HOLLOW: ("end face, hollow", _SIGNED),
        Measured.END_FACE_TILT: ("end face, tilt", angle(-10, 10)),
        Measured.BODY_DEPTH: ("body depth at the neck", length(20, 200)),
        Measured.BLOCK_THICKNESS: ("neck block, thickness", length(10, 150)),
        Measured.SLOT_WIDTH: ("truss-rod slot, width", _SMALL),
        Measured.HEEL_ANGLE: ("heel angle of the sawn end", angle(60, 120)),
        Measured.HEEL_BLANK: ("heel blank, length", length(10, 250)),
        Measured.MORTISE_WIDTH: ("mortise width", length(3, 70)),
        Measured.MORTISE_LENGTH: ("mortise length", _LONG),
        Measured.MORTISE_DEPTH: ("mortise depth", length(1, 70)),
        Measured.TENON_WIDTH: ("tenon width", length(3, 70)),
        Measured.TENON_LENGTH: ("tenon length", _LONG),
        Measured.GAP_SHY: ("gap before the last pass", _SIGNED),
        Measured.SIDEWAYS_SHY: ("miss before the last pass", _SIGNED),
        Measured.SHIMS_USED: ("shims behind the angle rest", length(0, 60)),
        Measured.GAP_FINAL: ("gap, finished", _SIGNED),
        Measured.SIDEWAYS: ("centreline miss, finished", _SIGNED),
        Measured.TENON_PROJECTION: ("tenon stands out", length(1, 70)),
        Measured.CLEARANCE: ("straightedge over the bridge", _SIGNED),
        Measured.ACTION: ("action over the 12th fret", _SIGNED),
    }
)
#: Readings of what router and plate alone decide.
_FROM_PLATE = frozenset(
    {
        Measured.SCRAP_MORTISE_WIDTH,
        Measured.SCRAP_TENON_WIDTH,
        Measured.OPENING_WIDTH,
        Measured.TONGUE_WIDTH,
        Measured.MORTISE_WIDTH,
        Measured.MORTISE_LENGTH,
        Measured.MORTISE_DEPTH,
        Measured.TENON_WIDTH,
        Measured.TENON_LENGTH,
    }
)
