"""The kerf coupon: a comb of slots and one tab, cut twice. How the tab fits the slots shows the laser's kerf.

The slot numbered k is drawn COUPON_TAB − 2k wide. The cut makes it wider by the kerf, and the tab narrower by the kerf.
So the tab of one coupon enters the other's slots up to the number that is the kerf. The coupon is drawn at nominal
size, without allowance for the kerf.
"""

from __future__ import annotations

from generator.base.annotation import EngravedText, Side
from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.base.shapes2d import rounded_polygon
from generator.base.units import format_mm
from generator.jig import dims
from generator.jig.part import Part
from generator.job.model.stock import Stock
from generator.joint.calibration import COUPON_KERFS, COUPON_TAB

#: Distance from the middle of one slot to that of the next, mm.
_PITCH = 9.6
#: Length of the coupon before the first slot's pitch and after the last one's, mm.
_MARGIN = 8.0
#: Height of the coupon, mm.
_HEIGHT = 32.0
#: Depth of the slots, mm.
_SLOT_DEPTH = 10.0
#: How far the tab stands out on the right, mm.
_TAB_REACH = 10.0
#: Radius of the tab's outer corners, mm.
_TAB_EASE = 0.5
#: Capital height of the coupon's lettering, mm.
_LETTER = 2.5


def laser_coupon(stock: Stock) -> Part:
    """The coupon for one stock. Its origin is its lower left corner; slots open upwards, the tab is on the right."""
    long = 2.0 * _MARGIN + _PITCH * len(COUPON_KERFS)
    outline = _comb(long)
    middle = _HEIGHT / 2.0
    first = _slot_middle(0)
    numbers = tuple(
        EngravedText(format_mm(kerf, 3), P2(_slot_middle(i), _HEIGHT - _SLOT_DEPTH - 7.0), _LETTER, 90.0)
        for i, kerf in enumerate(COUPON_KERFS)
    )
    notice = "CUT TWO - TRY TAB IN SLOTS OF THE OTHER - KERF IS THE HIGHEST NUMBER IT ENTERS"
    return Part(
        name=f"kerf_coupon_{stock.name.replace('-', '_').replace('.', '_')}",
        title=f"Kerf coupon, {stock.name}",
        stock=stock.name,
        thickness=stock.actual_thickness,
        outline=outline,
        engraved_texts=(*numbers, EngravedText(notice, P2(long / 2.0, 4.0), _LETTER)),
        dimensions=(
            dims.across("coupon_length", P2(0.0, 0.0), P2(long + _TAB_REACH, 0.0), long + _TAB_REACH),
            dims.along("coupon_height", P2(0.0, 0.0), P2(0.0, _HEIGHT), _HEIGHT),
            dims.along(
                "coupon_tab",
                P2(long + _TAB_REACH, middle - COUPON_TAB / 2.0),
                P2(long + _TAB_REACH, middle + COUPON_TAB / 2.0),
                COUPON_TAB,
                Side.RIGHT,
                note="as drawn: the cut takes the kerf off it",
            ),
            dims.across(
                "coupon_first_slot",
                P2(first - _slot_width(0) / 2.0, _HEIGHT),
                P2(first + _slot_width(0) / 2.0, _HEIGHT),
                _slot_width(0),
                Side.ABOVE,
            ),
        ),
        quantity=2,
        purpose="measures the laser's kerf in this stock; heelwright calibrate laser takes the reading",
    )


def _slot_middle(i: int) -> float:
    return _MARGIN + _PITCH * (i + 0.5)


def _slot_width(i: int) -> float:
    return COUPON_TAB - 2.0 * COUPON_KERFS[i]


def _comb(long: float) -> Path:
    """The outline, counter-clockwise from the lower left corner."""
    low, high = _HEIGHT / 2.0 - COUPON_TAB / 2.0, _HEIGHT / 2.0 + COUPON_TAB / 2.0
    corners = [P2(0.0, 0.0), P2(long, 0.0), P2(long, low)]
    radii = [2.0, 2.0, 0.0]
    corners += [P2(long + _TAB_REACH, low), P2(long + _TAB_REACH, high)]
    radii += [_TAB_EASE, _TAB_EASE]
    corners += [P2(long, high), P2(long, _HEIGHT)]
    radii += [0.0, 2.0]
    for i in reversed(range(len(COUPON_KERFS))):
        left, right = _slot_middle(i) - _slot_width(i) / 2.0, _slot_middle(i) + _slot_width(i) / 2.0
        floor = _HEIGHT - _SLOT_DEPTH
        corners += [P2(right, _HEIGHT), P2(right, floor), P2(left, floor), P2(left, _HEIGHT)]
        radii += [0.0] * 4
    return rounded_polygon([*corners, P2(0.0, _HEIGHT)], [*radii, 2.0])
