"""How an edge of one flat part meets the face of another, square to it.

Two styles. *Tabs*: tabs in slots, their ends a little below flush, drawn up by countersunk screws into nuts caught in
T-shaped slots: everything a laser or a saw can cut. *Tapped*: two dowels and countersunk screws into tapped edges, for
metal. One `EdgeJoint` describes both sides, so the two parts cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from generator.geometry2d import P2
from generator.model.jig import Joinery
from generator.parts.base import EdgeCut, EdgeHole, Face, Hole, NutSlot, Opening, Tab
from generator.parts.screws import Screw
from generator.shapes2d import polygon

#: Material between a tab and its neighbours, and the shortest tab that is worth cutting, mm.
LEAST_ROOM, LEAST_TAB = 2.0, 6.0


#: Fits of a dowel pin (m6) in a reamed hole: pressed in, and sliding, so that the parts come apart again.
PRESS_FIT, SLIDE_FIT = "H7", "F7"


class _NutDepths(NamedTuple):
    near: float
    far: float
    end: float


@dataclass(frozen=True)
class EdgeJoint:
    """Stations (mm from the edge's start) of tabs or dowels and of screws, and the sizes both parts share.

    `edge_thickness` is the sheet that stands on its edge, `face_thickness` the sheet that is met. The edge runs from a
    to b with the material on its left, as in a counter-clockwise outline.
    """

    id: str
    tabs: tuple[float, ...]
    screws: tuple[float, ...]
    style: Joinery
    edge_thickness: float
    face_thickness: float
    tab_length: float
    tab_sink: float
    play: float
    screw: Screw
    dowel: float

    def from_other_end(self, span: float) -> EdgeJoint:
        """The same joint with its stations measured from the far end of an edge `span` mm long."""
        return replace(self, tabs=tuple(span - at for at in self.tabs), screws=tuple(span - at for at in self.screws))

    @property
    def sunk(self) -> tuple[float, ...]:
        """Stations of what is sunk into the sheet that stands on its edge."""
        return self.screws if self.style is Joinery.TABS else (*self.screws, *self.tabs)

    @property
    def bite(self) -> float:
        """How deep nut slots, tapped holes or dowels reach into the sheet that stands on its edge, mm."""
        below = self.screw_length - self.face_thickness
        if self.style is Joinery.TABS:
            return below + self.screw.diameter / 2.0
        return max(below + self.screw.diameter, 2.0 * self.dowel)

    def room(self, span: float) -> float:
        """Least material (mm) between neighbours along an edge `span` mm long, and to its ends, in either sheet."""
        tab = (self.tab_length if self.style is Joinery.TABS else self.dowel) / 2.0
        screw = max(self.screw.head_diameter, self.screw.nut_width + self.play) / 2.0
        halves = sorted([(at, tab) for at in self.tabs] + [(at, screw) for at in self.screws])
        ends = [halves[0][0] - halves[0][1], span - halves[-1][0] - halves[-1][1]]
        return min(ends + [b - a - half - other for (a, half), (b, other) in pairwise(halves)])

    @property
    def wall(self) -> float:
        """Least material (mm) beside thread or dowel in the edge, under a head in the face, and of a tab's height."""
        size, screw = self.edge_thickness, self.screw
        beside = (size - screw.diameter) / 2.0
        under = self.face_thickness - (screw.head_diameter - screw.clearance) / 2.0
        if self.style is Joinery.TABS:
            return min(beside, under, self.face_thickness - self.tab_sink)
        return min(beside, under, (size - self.dowel) / 2.0)

    def with_fitting_tabs(self, span: float) -> EdgeJoint:
        """The same joint with its tabs shortened until there is room for all on an edge `span` mm long."""
        short = LEAST_ROOM - self.room(span)
        if self.style is Joinery.TAPPED or short <= 0.0 or not self.tabs:
            return self
        return replace(self, tab_length=max(LEAST_TAB, self.tab_length - 2.0 * short))

    @property
    def screw_length(self) -> float:
        """The standard length (mm) that reaches the nut, or two diameters of thread in a tapped edge."""
        return self.screw.length_at_least(self.face_thickness + self._grip)

    @property
    def _grip(self) -> float:
        """Least thread length below the face, mm."""
        if self.style is Joinery.TAPPED:
            return 2.0 * self.screw.diameter
        return 2.0 * self.screw.diameter + self.screw.nut_height

    def edge_run(self, a: P2, b: P2) -> list[P2]:
        """Corners from `a` up to, not including, `b` with tabs standing out and nut slots cut in."""
        if self.style is Joinery.TAPPED:
            return [a]
        features = [(at, self._tab_corners()) for at in self.tabs] + [(at, self._nut_corners()) for at in self.screws]
        ahead = b.minus(a).unit()
        outward = ahead.left().times(-1.0)
        corners = [a]
        for at, shape in sorted(features, key=lambda feature: feature[0]):
            foot = a.plus(ahead.times(at))
            corners += [foot.plus(ahead.times(p.x)).plus(outward.times(p.y)) for p in shape]
        return corners

    def edge_cuts(self, a: P2, b: P2) -> tuple[EdgeCut, ...]:
        """The tabs and nut slots of `edge_run`, described (tabs style only)."""
        if self.style is Joinery.TAPPED:
            return ()
        ahead = b.minus(a).unit()
        outward = ahead.left().times(-1.0)

        def placed(at: float, shape: list[P2]) -> tuple[P2, tuple[P2, ...]]:
            foot = a.plus(ahead.times(at))
            return foot, tuple(foot.plus(ahead.times(p.x)).plus(outward.times(p.y)) for p in shape)

        cuts: list[EdgeCut] = []
        for at in self.tabs:
            foot, corners = placed(at, self._tab_corners())
            cuts.append(Tab(foot, outward, self.tab_length, self.face_thickness - self.tab_sink, corners))
        nut = self._nut
        for at in self.screws:
            foot, corners = placed(at, self._nut_corners())
            inward = outward.times(-1.0)
            width = self.screw.nut_width + self.play
            cuts.append(NutSlot(foot, inward, self.screw.clearance, nut.end, width, nut.near, nut.far, corners))
        return tuple(cuts)

    def edge_holes(self, a: P2, b: P2) -> tuple[EdgeHole, ...]:
        """Dowel holes and tapped holes in the edge (tapped style only)."""
        if self.style is Joinery.TABS:
            return ()
        ahead = b.minus(a).unit()
        into = ahead.left()
        middle = self.edge_thickness / 2.0
        dowels = [
            EdgeHole(
                f"{self.id}-dowel",
                a.plus(ahead.times(at)),
                middle,
                into,
                self.dowel,
                2.0 * self.dowel,
                why="dowel, pressed in",
                fit=PRESS_FIT,
            )
            for at in self.tabs
        ]
        depth = self.screw_length - self.face_thickness + self.screw.diameter
        tapped = [
            EdgeHole(
                f"{self.id}-screw",
                a.plus(ahead.times(at)),
                middle,
                into,
                self.screw.tap_drill,
                depth,
                self.screw.name,
                depth - self.screw.diameter / 2.0,
            )
            for at in self.screws
        ]
        return (*dowels, *tapped)

    def face_openings(self, a: P2, b: P2) -> tuple[Opening, ...]:
        """Slots for the tabs in the face part; a to b is the middle line of the edge as it stands there."""
        if self.style is Joinery.TAPPED:
            return ()
        ahead = b.minus(a).unit()
        half_long = (self.tab_length + self.play) / 2.0
        half_wide = (self.edge_thickness + self.play) / 2.0
        slots = []
        for at in self.tabs:
            c = a.plus(ahead.times(at))
            u, v = ahead.times(half_long), ahead.left().times(half_wide)
            corners = [c.minus(u).minus(v), c.plus(u).minus(v), c.plus(u).plus(v), c.minus(u).plus(v)]
            slots.append(Opening(f"{self.id}-slot", polygon(corners), "takes a tab"))
        return tuple(slots)

    def face_holes(self, a: P2, b: P2, face: Face) -> tuple[Hole, ...]:
        """Countersunk screw holes (and dowel holes, tapped style) in the face part; heads lie at `face`."""
        ahead = b.minus(a).unit()
        holes = [self._countersunk(a.plus(ahead.times(at)), face) for at in self.screws]
        if self.style is Joinery.TAPPED:
            holes += [
                Hole(f"{self.id}-dowel", a.plus(ahead.times(at)), self.dowel, why="dowel, sliding", fit=SLIDE_FIT)
                for at in self.tabs
            ]
        return tuple(holes)

    def _countersunk(self, at: P2, face: Face) -> Hole:
        return Hole(
            f"{self.id}-screw",
            at,
            self.screw.clearance,
            face=face,
            countersink_diameter=self.screw.head_diameter,
            why=f"{self.screw.name} countersunk, head flush",
        )

    @property
    def _nut(self) -> _NutDepths:
        """How deep the nut's pocket begins and ends and the screw's channel ends, mm below the edge."""
        reach = self.screw_length - self.face_thickness
        near = reach - self.screw.nut_height - self.screw.diameter / 4.0
        return _NutDepths(near, near + self.screw.nut_height + self.play, reach + self.screw.diameter / 2.0)

    def _tab_corners(self) -> list[P2]:
        half, high = self.tab_length / 2.0, self.face_thickness - self.tab_sink
        return [P2(-half, 0.0), P2(-half, high), P2(half, high), P2(half, 0.0)]

    def _nut_corners(self) -> list[P2]:
        """The T-shaped slot, walked from its near side: bolt channel in, nut pocket, channel on, and back out."""
        half = self.screw.clearance / 2.0
        nut = (self.screw.nut_width + self.play) / 2.0
        near, far, end = self._nut
        return [
            P2(-half, 0.0),
            P2(-half, -near),
            P2(-nut, -near),
            P2(-nut, -far),
            P2(-half, -far),
            P2(-half, -end),
            P2(half, -end),
            P2(half, -far),
            P2(nut, -far),
            P2(nut, -near),
            P2(half, -near),
            P2(half, 0.0),
        ]
