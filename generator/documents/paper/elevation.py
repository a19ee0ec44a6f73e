"""Lines of the side elevation: the top, the neck with its fretboard and frets, bridge and saddle, the string.

Sheet coordinates are the body frame's X (towards the tail) and Z (out of the top), origin at the join, seen from the
−Y side. Heights over the neck plane are stacked square to the rim plane, as the neck set reckons them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from generator.base.contours2d import Path, Vertex
from generator.base.points2d import P2
from generator.base.shapes2d import polyline
from generator.documents.paper.strokes import area, break_line, run, stroke
from generator.drawing.sheet import Item
from generator.drawing.style import Role
from generator.job.model.instrument import Instrument
from generator.joint.gap_reading import hump
from generator.joint.neck_set import NeckSet, fret_distance
from generator.joint.top import DomeLine, TopLine

#: Largest distance of a drawn measured top from its parabola, mm.
TOP_ERROR = 0.002
#: Drawn before the 12th fret, mm.
_BEFORE_FRET_12 = 40.0
#: Drawn at least before the join, for the heel and its curve, mm.
_BEFORE_JOIN = 64.0
#: Drawn past the saddle, mm.
_PAST_SADDLE = 48.0
#: The bridge before the saddle, only indicated, because the job does not know it, mm.
_BRIDGE_AHEAD = 11.0
#: The bridge behind the saddle, only indicated, because the job does not know it, mm.
_BRIDGE_BEHIND = 19.0
#: Thickness of the saddle, only indicated, because the job does not know it, mm.
_SADDLE_THICK = 3.0
#: Width of a fret, only indicated, because the job does not know it, mm.
_FRET_WIDTH = 2.0
#: The fretboard past the last fret, only indicated, because the job does not know it, mm.
_PAST_LAST_FRET = 4.0
#: Heights less than this apart are one line, mm.
SAME_HEIGHT = 0.02


@dataclass(frozen=True)
class Elevation:
    """One state of the set: `drop` is how far the plane has come down at the saddle, turning about the join, mm."""

    instrument: Instrument
    neck_set: NeckSet
    drop: float = 0.0

    @property
    def saddle(self) -> float:
        """Station of the saddle, mm from the join."""
        return self.neck_set.join_to_saddle

    @property
    def start(self) -> float:
        """Where the drawing begins, mm (negative): shortly before the 12th fret, or the heel."""
        return min(self.fret(12) - _BEFORE_FRET_12, -_BEFORE_JOIN)

    @property
    def end(self) -> float:
        return self.saddle + _PAST_SADDLE

    @property
    def board_end(self) -> float:
        """The fretboard's end, mm: a little past the last fret (indicated)."""
        return self.neck_set.extension_length + _PAST_LAST_FRET

    def fret(self, number: int) -> float:
        """Station of a fret, mm from the join, negative on the neck."""
        return fret_distance(self.neck_set.scale_length, number) - self.neck_set.nut_to_join

    def shown_frets(self) -> tuple[int, ...]:
        """Numbers of the frets inside the drawing."""
        return tuple(n for n in range(1, self.instrument.frets + 1) if self.fret(n) > self.start + _FRET_WIDTH)

    def top(self, x: float) -> float:
        return self.neck_set.top.height(x)

    def plane(self, x: float) -> float:
        """Height of the neck plane at `x`, mm."""
        turned = x * math.tan(math.radians(self.neck_set.set_angle))
        return self.neck_set.neck_rise + turned - self.drop * x / self.saddle

    def board(self, x: float) -> float:
        """Height of the fretboard's upper face."""
        return self.plane(x) + self.instrument.fretboard_thickness

    def frets(self, x: float) -> float:
        """Height of the straight line over the frets."""
        return self.board(x) + self.instrument.fret_height

    def string(self, x: float) -> float:
        """Height of the string: straight from the nut to the saddle."""
        nut = -self.neck_set.nut_to_join
        low = self.frets(nut) + self.instrument.nut_string_height
        high = self.top(self.saddle) + self.neck_set.string_height_at_saddle
        return low + (high - low) * (x - nut) / (self.saddle - nut)

    @property
    def bridge_top(self) -> float:
        """Height of the bridge's upper face, level at the saddle's station."""
        return self.top(self.saddle) + self.instrument.bridge_thickness

    @property
    def deepest(self) -> float:
        """Least gap under the fretboard's extension up to the last fret, mm; negative where the top is in its way."""
        neck_set = self.neck_set
        return -hump(neck_set, neck_set.saddle_gap, neck_set.extension_length).height

    def level(self, height: Callable[[float], float], x0: float, x1: float, role: Role) -> Item:
        """A straight line at `height` from `x0` to `x1`."""
        return run([P2(x0, height(x0)), P2(x1, height(x1))], role)

    def top_ink(self) -> list[Item]:
        """The bare top from the join to the drawing's end."""
        return [stroke(top_path(self.neck_set.top, 0.0, self.end), Role.VISIBLE)]

    def board_ink(self) -> list[Item]:
        """Fretboard and frets, broken off on the left, and the wedge or relief under the extension in grey."""
        x0, x1 = self.start, self.board_end
        left = P2(x0, self.plane(x0)), P2(x0, self.board(x0))
        right = P2(x1, self.board(x1)), P2(x1, self.plane(x1))
        items: list[Item] = [
            *self._under_extension(),
            run([left[1], right[0], right[1], left[0]], Role.VISIBLE),
            break_line(*left),
        ]
        return [*items, *(self._fret_ink(number) for number in self.shown_frets())]

    def _under_extension(self) -> list[Item]:
        """Grey between fretboard and top where they are apart (wedge) or run into each other (relief)."""
        stations = [self.board_end * i / 40.0 for i in range(41)]
        tops = [P2(x, self.top(x)) for x in stations]
        if max(abs(self.plane(p.x) - p.y) for p in tops) < SAME_HEIGHT:
            return []
        return [area([P2(0.0, self.plane(0.0)), P2(self.board_end, self.plane(self.board_end)), *reversed(tops[1:])])]

    def _fret_ink(self, number: int) -> Item:
        """A low crown: an arc over the fret's width, its top on the line over the frets."""
        x, half, high = self.fret(number), _FRET_WIDTH / 2.0, self.instrument.fret_height
        if high < SAME_HEIGHT:
            return run([P2(x, self.board(x)), P2(x, self.plane(x))], Role.EDGE)
        crown = Path((Vertex(x + half, self.board(x), high / half), Vertex(x - half, self.board(x))), closed=False)
        return stroke(crown, Role.EDGE)

    def bridge_ink(self, role: Role) -> list[Item]:
        """Bridge and saddle; along the string they are indicated, their heights at the saddle are true."""
        x0, x1, high = self.saddle - _BRIDGE_AHEAD, self.saddle + _BRIDGE_BEHIND, self.bridge_top
        walls = [P2(x0, self.top(x0)), P2(x0, high), P2(x1, high), P2(x1, self.top(x1))]
        items: list[Item] = [run(walls, role)]
        crown = self.neck_set.string_height_at_saddle + self.top(self.saddle)
        if crown - high > SAME_HEIGHT:
            half = _SADDLE_THICK / 2.0
            shoulder = max(high, crown - half / 2.0)
            # The arc's highest point is the string's seat, over the saddle's station.
            bulge = (crown - shoulder) / half
            items.append(
                stroke(
                    Path(
                        (
                            Vertex(self.saddle + half, high),
                            Vertex(self.saddle + half, shoulder, bulge),
                            Vertex(self.saddle - half, shoulder),
                            Vertex(self.saddle - half, high),
                        ),
                        closed=False,
                    )
                    if shoulder - high > SAME_HEIGHT
                    else Path(
                        (Vertex(self.saddle + half, high, bulge), Vertex(self.saddle - half, high)), closed=False
                    ),
                    role,
                )
            )
        return items


def top_path(top: TopLine, x0: float, x1: float) -> Path:
    """The top's line from `x0` to `x1`: lines and true arcs, a measured top's parabola within TOP_ERROR."""
    if isinstance(top, DomeLine):
        return _dome_path(top, x0, x1)
    middle = (x0 + x1) / 2.0
    sagitta = abs(top.height(middle) - (top.height(x0) + top.height(x1)) / 2.0)
    curvature = 8.0 * sagitta / (x1 - x0) ** 2
    step = math.sqrt(8.0 * TOP_ERROR / curvature) if curvature > 1e-9 else x1 - x0
    count = max(1, math.ceil((x1 - x0) / step))
    return polyline([P2(x, top.height(x)) for x in (x0 + (x1 - x0) * i / count for i in range(count + 1))])


def _dome_path(top: DomeLine, x0: float, x1: float) -> Path:
    first = max(x0, top.start)
    if first >= x1:
        return polyline([P2(x0, 0.0), P2(x1, 0.0)])
    turn = math.asin((x1 - top.crown) / top.radius) - math.asin((first - top.crown) / top.radius)
    # Over a dome one moves clockwise from neck to tail.
    arc = Vertex(first, top.height(first), -math.tan(turn / 4.0)), Vertex(x1, top.height(x1))
    flat = (Vertex(x0, 0.0),) if first - x0 > SAME_HEIGHT else ()
    return Path((*flat, *arc), closed=False)
