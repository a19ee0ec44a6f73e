"""Every part of the jig, once: how it is built, where it stands, when the jig has it. A new part is one row here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from generator.base.geometry3d import Placement
from generator.jig.blocks import depth_block, nominal_shim, nominal_shim_placement, second_depth_block
from generator.jig.board import board, board_placement
from generator.jig.bracket import (
    bracket_left,
    bracket_left_placement,
    bracket_right,
    bracket_right_placement,
)
from generator.jig.caul import caul
from generator.jig.gauges import bushing_slip, centre_sight, drill_guide, gap_wedge, has_gap_wedge, story_stick
from generator.jig.heel_bevel import heel_bevel
from generator.jig.layout import Layout
from generator.jig.part import Part
from generator.jig.plug import plug, plug_crosspiece
from generator.jig.rests import (
    angle_rest,
    angle_rest_placement,
    body_rest,
    body_rest_placement,
    upper_rest,
    upper_rest_placement,
    zero_rest,
)
from generator.jig.template_plate import template_plate


def _always(layout: Layout) -> bool:
    return True


def _plate_placement(layout: Layout) -> Placement:
    return Placement()


def _second_block(layout: Layout) -> bool:
    return layout.spec.second_depth_block


@dataclass(frozen=True)
class Entry:
    """One part: `stands` is None for what is used by hand and is no piece of the standing jig."""

    build: Callable[[Layout], Part]
    stands: Callable[[Layout], Placement] | None = None
    when: Callable[[Layout], bool] = _always


#: In the order in which lists name the parts.
CATALOG: tuple[Entry, ...] = (
    Entry(template_plate, _plate_placement),
    Entry(board, board_placement),
    Entry(bracket_left, bracket_left_placement),
    Entry(bracket_right, bracket_right_placement),
    Entry(upper_rest, upper_rest_placement),
    Entry(angle_rest, angle_rest_placement),
    Entry(body_rest, body_rest_placement),
    Entry(nominal_shim, nominal_shim_placement),
    Entry(zero_rest),
    Entry(caul),
    Entry(plug),
    Entry(plug_crosspiece),
    Entry(depth_block),
    Entry(second_depth_block, when=_second_block),
    Entry(gap_wedge, when=has_gap_wedge),
    Entry(centre_sight),
    Entry(drill_guide),
    Entry(bushing_slip),
    Entry(story_stick),
    Entry(heel_bevel),
)
