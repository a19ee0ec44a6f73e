"""Every part of the jig, by its record. A new part is its own file and one line here."""

from __future__ import annotations

from generator.jig.blocks import DEPTH_BLOCK, NOMINAL_SHIM, SECOND_DEPTH_BLOCK, TRIM_SHIMS
from generator.jig.board import BOARD
from generator.jig.bracket import BRACKET_LEFT, BRACKET_RIGHT
from generator.jig.caul import CAUL
from generator.jig.corner_gauge import CORNER_GAUGE
from generator.jig.gauges import BUSHING_SLIP, CENTRE_SIGHT, DRILL_GUIDE, GAP_WEDGE, STORY_STICK
from generator.jig.heel_bevel import HEEL_BEVEL
from generator.jig.heel_stop import HEEL_STOP, HEEL_STOP_CROSSPIECE
from generator.jig.plug import PLUG, PLUG_CROSSPIECE
from generator.jig.record import Record
from generator.jig.rests import ANGLE_REST, BODY_REST, UPPER_REST, ZERO_REST
from generator.jig.template_plate import TEMPLATE_PLATE

#: In the order in which lists name the parts.
CATALOG: tuple[Record, ...] = (
    TEMPLATE_PLATE,
    BOARD,
    BRACKET_LEFT,
    BRACKET_RIGHT,
    UPPER_REST,
    ANGLE_REST,
    BODY_REST,
    NOMINAL_SHIM,
    ZERO_REST,
    CAUL,
    PLUG,
    PLUG_CROSSPIECE,
    HEEL_STOP,
    HEEL_STOP_CROSSPIECE,
    DEPTH_BLOCK,
    SECOND_DEPTH_BLOCK,
    GAP_WEDGE,
    CENTRE_SIGHT,
    DRILL_GUIDE,
    BUSHING_SLIP,
    STORY_STICK,
    HEEL_BEVEL,
    CORNER_GAUGE,
    TRIM_SHIMS,
)
