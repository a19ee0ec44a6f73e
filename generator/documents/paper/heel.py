"""The neck's heel at full scale: a side view that serves as bevel for the rough cut, and a template of the sawn end.

Side view: origin where neck plane and shoulder meet, x along the neck plane towards the tail, y square to it out of the
top; the neck lies on its back with its gluing face up, as the heel angle is measured. Sawn end: u to the right is the
body's +Y, v runs up the end, origin on the neck plane's edge there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.base.annotation import Dimension, DimKind, Side
from generator.base.contours2d import Circle
from generator.base.points2d import P2, Transform, bounding_box
from generator.base.shapes2d import polyline
from generator.documents.paper.rooms import Rooms, fits, on_a_page
from generator.documents.paper.sides import Look, end_sides, side_name
from generator.documents.paper.strokes import area, arrow, cut_line, ring, run, stroke
from generator.documents.paper.words import CalloutFormat, bench_format, sheet_words
from generator.drawing.compose import NOTE_TEXT, Block, compose_sheet, view_block
from generator.drawing.dimension import Note, Ordinates, Request, View
from generator.drawing.sheet import Item, Sheet
from generator.drawing.style import Role
from generator.drawing.symbols import centre_cross
from generator.jig import dims
from generator.jig.hardware import tip_bite
from generator.jig.layout import jig_layout
from generator.jig.loose_screws import tip_from_face
from generator.job.model.joint import BoltKind
from generator.joint.joint import BoltHole
from generator.joint.solution import Solution

#: How far the side view reaches along the neck, mm: a hand's breadth to hold the bevel by.
_ALONG_NECK = 64.0
#: How far heel end and cap are drawn from the shoulder, mm: the heel's own shape is the builder's.
_CAP_RUN = 36.0
#: Projections closer than this (mm) are one line.
_SAME = 0.02
#: A rise of the neck plane below this is not worth a word at the bench, mm.
_LEAST_RISE = 0.2


def heel(solution: Solution, rooms: Rooms) -> tuple[Sheet, ...]:
    """The sheet `heel`: bevel for the rough cut, tenon and shoulder, and the template of the sawn end.

    Where one page does not hold both, the sawn end has a sheet of its own, `sawn_end`.
    """
    job, spell = solution.job, bench_format(solution.job)
    frame = HeelFrame.of(solution)
    joint, instrument = solution.joint, job.instrument
    stop = None if joint.stands else _stop_screw(solution)
    words = sheet_words(
        "heel",
        handed=instrument.handed.value,
        seen_from=side_name(-1.0, instrument.handed),
        heel_angle=spell.angle(solution.neck_set.heel_angle),
        past_join=spell.length(joint.neck_blank_overlength),
        stands=joint.neck_outline.name if joint.stands else "",
        routed=spell.length(joint.shoulder_depth),
        finished=spell.length(joint.finished_projection),
        ease=spell.length(joint.eased) if joint.eased > _SAME else "",
        cap=spell.length(instrument.heel_cap_thickness) if instrument.heel_cap_thickness else "",
        slot=instrument.truss_rod_slot_width is not None,
        bolt_kind=joint.bolts[0].kind.value,
        bolt_count=len(joint.bolts),
        bolt_thread=joint.bolts[0].thread,
        pilot=spell.length(joint.bolts[0].pilot_hole),
        cross=spell.length(joint.bolts[0].cross_hole) if joint.bolts[0].cross_hole else "",
        stop_pilot=spell.length(stop.diameter) if stop else "",
        stop_depth=spell.length(tip_bite(jig_layout(solution))) if stop else "",
        stop_down=spell.length(stop.down) if stop else "",
        bolts_down=[spell.length(bolt.from_neck_plane) for bolt in joint.bolts],
        rise=spell.size(frame.rise) if abs(frame.rise) > _LEAST_RISE else "",
        rises=frame.rise > 0.0,
        join_below=spell.size(frame.join) if abs(frame.join) > _SAME else "",
        above=frame.join > 0.0,
    )
    side_caption, end_caption, bevel, sawn_end, *cautions = words.notes
    side = _side_block(solution, frame, spell, side_caption)
    end = _end_block(solution, frame, spell, end_caption)

    def composed(name: str, title: str, blocks: list[Block], notes: list[str]) -> Sheet:
        def compose(width: float) -> Sheet:
            return compose_sheet(name, title, words.instruction, job.name, blocks, notes, spell.notation, width)

        return on_a_page(rooms, compose)

    whole = composed("heel", words.title, [side, end], [bevel, sawn_end, *cautions])
    if fits(rooms, whole):
        return (whole,)
    return (
        composed("heel", f"{words.title}, {side_caption[0].lower()}{side_caption[1:]}", [side], [bevel, *cautions]),
        composed("sawn_end", f"{words.title}, {end_caption[0].lower()}{end_caption[1:]}", [end], [sawn_end, *cautions]),
    )


@dataclass(frozen=True)
class HeelFrame:
    """Directions and stations of the side view, mm.

    `down` runs along the shoulder from the neck plane, `out` square to it into the body. `join` is how far down the
    shoulder the body's top edge meets it (the neck rise along the face), `saw` the sawn end's distance along `out`,
    `rise` how far the neck plane at the sawn end stands over its level at the shoulder, along the shoulder.
    """

    down: P2
    out: P2
    join: float
    saw: float
    rise: float

    @staticmethod
    def of(solution: Solution) -> HeelFrame:
        angle, lean = (math.radians(a) for a in (solution.neck_set.heel_angle, solution.neck_set.cradle_angle))
        routed = solution.joint.shoulder_depth
        return HeelFrame(
            down=P2(-math.cos(angle), -math.sin(angle)),
            out=P2(math.sin(angle), -math.cos(angle)),
            join=solution.neck_set.neck_rise_along_face,
            saw=routed,
            rise=routed * math.tan(lean),
        )

    def at(self, along: float, out: float = 0.0) -> P2:
        """The point `along` mm down the shoulder and `out` mm square to it."""
        return self.down.times(along).plus(self.out.times(out))


def _side_block(solution: Solution, frame: HeelFrame, spell: CalloutFormat, caption: str) -> Block:
    view = _SideView(solution, frame)
    signs = [
        *arrow("up: gluing face", P2(-_ALONG_NECK / 2.0, 30.0), P2(0.0, 1.0), NOTE_TEXT),
        *arrow("towards the saddle", P2(52.0, 26.0), P2(1.0, 0.0), NOTE_TEXT),
    ]
    box = bounding_box(view.outline())
    return view_block([*view.ink(), *signs], View(Transform(), box), view.requests(spell), caption)


class _SideView:
    """Blank, shoulder, tenon, bolts and cap from the side."""

    def __init__(self, solution: Solution, frame: HeelFrame) -> None:
        self.frame, self.joint = frame, solution.joint
        self.neck_set, self.instrument = solution.neck_set, solution.job.instrument
        self.past_join = self.joint.neck_blank_overlength
        # The jig cuts the tenon so far from the neck plane, whatever the neck rise; the heel is fitted to the body.
        self.tenon_end = self.joint.neck_outline.length
        self.heel_end = frame.join + self.joint.heel_length
        self.blank_end = max(frame.join + self.joint.heel_blank, self.heel_end + self.instrument.heel_cap_thickness)

    def outline(self) -> list[P2]:
        """The rough blank: neck plane, saw line, lower end, and where the drawing stops."""
        low = self.frame.at(self.blank_end, self.frame.saw)
        return [P2(-_ALONG_NECK, 0.0), P2(-_ALONG_NECK, low.y), low, P2(self.past_join, 0.0)]

    def ink(self) -> list[Item]:
        at, saw, joint = self.frame.at, self.frame.saw, self.joint
        left, low, end, top = self.outline()
        items: list[Item] = [area([at(self.tenon_end), self._end_of(saw), end, at(self.blank_end)])]
        if joint.eased > _SAME:
            p = joint.finished_projection
            items.append(area([self._plane(p), self._plane(saw), at(self.tenon_end, saw), at(self.tenon_end, p)]))
            items.append(run([self._plane(p), at(self.tenon_end, p)], Role.VISIBLE))
        items += [
            ring([left, low, end, top], Role.CUT),
            run([P2(0.0, 0.0), at(self.heel_end)], Role.VISIBLE),
            *([run([at(self.tenon_end), at(self.tenon_end, saw)], Role.VISIBLE)] if joint.stands else []),
            run([at(self.heel_end), at(self.heel_end, -_CAP_RUN)], Role.VISIBLE),
        ]
        return [*items, *self._cap(), *self._slot(), *(item for bolt in joint.bolts for item in self._bolt(bolt))]

    def _end_of(self, saw: float) -> P2:
        """Where what stands ends on the sawn end; without it all of the end goes, from the neck plane on."""
        return self.frame.at(self.tenon_end, saw) if self.joint.stands else self._plane(saw)

    def _plane(self, out: float) -> P2:
        """The point of the neck plane `out` mm from the shoulder."""
        lean = math.radians(self.neck_set.cradle_angle)
        return P2(out / math.cos(lean), 0.0)

    def _cap(self) -> list[Item]:
        thick = self.instrument.heel_cap_thickness
        if thick <= _SAME:
            return []
        at, end = self.frame.at, self.heel_end + thick
        return [run([at(self.heel_end), at(end), at(end, -_CAP_RUN)], Role.EDGE)]

    def _slot(self) -> list[Item]:
        depth = self.instrument.truss_rod_slot_depth
        if self.instrument.truss_rod_slot_width is None or depth is None:
            return []
        end = self.past_join + depth * math.tan(math.radians(-self.neck_set.cradle_angle))
        return [run([P2(-_ALONG_NECK, -depth), P2(end, -depth)], Role.HIDDEN)]

    def _bolt(self, bolt: BoltHole) -> list[Item]:
        """Axis, the hole from the finished end inwards, and the barrel's cross hole."""
        at, r, y = self.frame.at, bolt.pilot_hole / 2.0, bolt.from_neck_plane
        start = self.joint.finished_projection
        deep = start - self._bolt_depth(bolt)
        walls = polyline([at(y - r, start), at(y - r, deep), at(y + r, deep), at(y + r, start)])
        items: list[Item] = [
            stroke(walls, Role.HIDDEN),
            run([at(y, self.frame.saw + 4.0), at(y, deep - 4.0)], Role.CENTRE),
        ]
        if bolt.cross_hole is not None:
            items.append(stroke(Circle(at(y, start / 2.0), bolt.cross_hole / 2.0), Role.VISIBLE))
        return items

    def _bolt_depth(self, bolt: BoltHole) -> float:
        """How deep the hole is drawn: the thread's length, or past a barrel nut in the middle of the tenon."""
        if bolt.kind is BoltKind.BARREL:
            return self.joint.finished_projection / 2.0 + bolt.engagement
        return bolt.engagement

    def requests(self, spell: CalloutFormat) -> list[Request]:
        at, saw = self.frame.at, self.frame.saw
        notes = [
            Note("saw here, not inside", at(self.heel_end, saw)),
            Note("shoulder: the jig cuts it", at((self.tenon_end + self.heel_end) / 2.0)),
        ]
        if self.instrument.heel_cap_thickness > _SAME:
            notes.append(Note("heel cap", at(self.heel_end + self.instrument.heel_cap_thickness, -_CAP_RUN + 5.0)))
        return [*(spell.show(dimension) for dimension in self._dimensions()), *notes]

    def _dimensions(self) -> list[Dimension]:
        at, joint, frame = self.frame.at, self.joint, self.frame
        corner, edge = P2(0.0, 0.0), at(frame.join)
        found = [
            Dimension(
                "heel_angle",
                DimKind.ANGLE,
                (corner, P2(-_ALONG_NECK, 0.0), at(self.heel_end)),
                self.neck_set.heel_angle,
                Side.INSIDE,
            ),
            dims.across(
                "neck_blank_overlength",
                corner,
                P2(self.past_join, 0.0),
                self.past_join,
                Side.ABOVE,
                note="past the join",
            ),
            *self._standing(),
            self._aligned("heel_length", edge, at(self.heel_end), joint.heel_length, Side.LEFT, "heel"),
            self._aligned(
                f"{joint.neck_outline.name}_projection_routed" if joint.stands else "facing_depth",
                at(self.blank_end),
                at(self.blank_end, frame.saw),
                frame.saw,
                Side.BELOW,
                "routed",
            ),
        ]
        if joint.eased > _SAME:
            p = joint.finished_projection
            ends = at(self.tenon_end), at(self.tenon_end, p)
            found.append(self._aligned(f"{joint.neck_outline.name}_projection", *ends, p, Side.BELOW, "finished"))
        slot = self.instrument.truss_rod_slot_depth
        if self.instrument.truss_rod_slot_width is not None and slot is not None:
            left = P2(-_ALONG_NECK, 0.0)
            found.append(
                dims.along("truss_rod_slot_depth", left.minus(P2(0.0, slot)), left, slot, Side.LEFT, note="slot")
            )
        return found

    def _standing(self) -> list[Dimension]:
        """Length of what stands on the shoulder."""
        neck, end = self.joint.neck_outline, self.frame.at(self.tenon_end)
        name = neck.name
        return [self._aligned(f"{name}_length", P2(0.0, 0.0), end, neck.length, Side.LEFT, name)] if neck.length else []

    @staticmethod
    def _aligned(name: str, a: P2, b: P2, value: float, side: Side, note: str = "") -> Dimension:
        return Dimension(name, DimKind.ALIGNED, (a, b), value, side, note=note)


@dataclass(frozen=True)
class _Prick:
    """What is pricked through the template of the sawn end: its name, how far down the end, and its pilot, mm."""

    name: str
    down: float
    diameter: float

    @property
    def at(self) -> P2:
        return P2(0.0, -self.down)


def _pricks(solution: Solution, frame: HeelFrame) -> tuple[_Prick, ...]:
    """The bolts where the sawn end stays; where the jig routs all of it away, only what holds the neck meanwhile."""
    joint = solution.joint
    if not joint.stands:
        return (_stop_screw(solution),)
    return tuple(
        _Prick(f"bolt {i}", frame.rise + bolt.from_neck_plane, bolt.pilot_hole)
        for i, bolt in enumerate(joint.bolts, start=1)
    )


def _stop_screw(solution: Solution) -> _Prick:
    layout = jig_layout(solution)
    return _Prick("heel stop's screw", tip_from_face(layout), layout.screws.tip.pilot)


def _end_block(solution: Solution, frame: HeelFrame, spell: CalloutFormat, caption: str) -> Block:
    view = _EndView(solution, frame)
    sides = end_sides(Look.TOWARDS_NUT, solution.job.instrument.handed)
    box = bounding_box(view.outline())
    reach = max(view.half, view.cap_half) + 22.0
    signs = [*sides.arrows(reach, 31.0, NOTE_TEXT), *arrow("top", P2(reach, -30.0), P2(0.0, 1.0), NOTE_TEXT)]
    return view_block([*view.ink(), *signs], View(Transform(), box, keeps_sides=True), view.requests(spell), caption)


class _EndView:
    """Heel and tenon from the body's side; v = 0 is the neck plane's edge at the sawn end."""

    def __init__(self, solution: Solution, frame: HeelFrame) -> None:
        self.joint, self.instrument, self.frame = solution.joint, solution.job.instrument, frame
        self.pricks = _pricks(solution, frame)
        self.half, self.cap_half = self.joint.heel_width / 2.0, self.joint.heel_width_at_cap / 2.0
        self.tenon_end = -(frame.rise + self.joint.neck_outline.length)
        self.heel_end = -(frame.rise + frame.join + self.joint.heel_length)
        self.cap_end = self.heel_end - self.instrument.heel_cap_thickness

    def outline(self) -> list[P2]:
        """Heel with its cap: widths at the join and at the inner edge of the binding."""
        lower = [P2(-self.cap_half, self.heel_end), P2(self.cap_half, self.heel_end)]
        if self.instrument.heel_cap_thickness > _SAME:
            lower[1:1] = [P2(-self.cap_half, self.cap_end), P2(self.cap_half, self.cap_end)]
        return [P2(-self.half, 0.0), *lower, P2(self.half, 0.0)]

    def ink(self) -> list[Item]:
        tenon = self.joint.neck_outline.contour
        items: list[Item] = [
            ring(self.outline(), Role.CUT),
            *([] if tenon is None else [cut_line(tenon.moved(self.frame.rise, 0.0))]),
            run([P2(0.0, self.cap_end - 4.0), P2(0.0, 5.0)], Role.CENTRE),
        ]
        if self.instrument.heel_cap_thickness > _SAME:
            items.append(run([P2(-self.cap_half, self.heel_end), P2(self.cap_half, self.heel_end)], Role.EDGE))
        items += self._slot()
        for prick in self.pricks:
            items.append(stroke(Circle(prick.at, prick.diameter / 2.0), Role.VISIBLE))
            items.append(centre_cross(prick.at, prick.diameter / 2.0 + 3.0)[0])
        return items

    def _slot(self) -> list[Item]:
        """The slot's section by the sawn end: its depth, square to the neck plane, is a little longer along the end."""
        wide, deep = self.instrument.truss_rod_slot_width, self.instrument.truss_rod_slot_depth
        if wide is None or deep is None:
            return []
        along = deep * math.hypot(1.0, self.frame.rise / self.frame.saw)
        half = wide / 2.0
        return [run([P2(-half, 0.0), P2(-half, -along), P2(half, -along), P2(half, 0.0)], Role.VISIBLE)]

    def requests(self, spell: CalloutFormat) -> list[Request]:
        points = tuple(prick.at for prick in self.pricks)
        texts = tuple(spell.callout(prick.down, prick.name) for prick in self.pricks)
        name = "bolts_on_sawn_end" if self.joint.stands else "stop_screw_on_sawn_end"
        pricked = Ordinates(name, P2(0.0, 0.0), points, texts, Side.LEFT)
        return [*(spell.show(dimension) for dimension in self._dimensions()), pricked]

    def _dimensions(self) -> list[Dimension]:
        joint, half = self.joint, self.half
        sizes, corner = self._standing()
        tapers = abs(joint.heel_width_at_cap - joint.heel_width) > _SAME
        heel_note = "join" if tapers else "heel"
        # Below, where the heel tapers away from it: over the upper edge stand the tenon and the slot.
        side = Side.BELOW if tapers else Side.ABOVE
        found = [
            dims.across("heel_width", P2(-half, 0.0), P2(half, 0.0), joint.heel_width, side, note=heel_note),
            *sizes,
        ]
        if tapers:
            ends = P2(-self.cap_half, self.cap_end), P2(self.cap_half, self.cap_end)
            found.append(dims.across("heel_width_at_cap", *ends, joint.heel_width_at_cap, Side.BELOW, note="cap"))
        found += corner
        last = self.pricks[-1]
        found.append(dims.diameter("pilot_hole", last.at, last.diameter, len(self.pricks)))
        slot = self.instrument.truss_rod_slot_width
        if slot is not None:
            found.append(
                dims.across(
                    "truss_rod_slot_width", P2(-slot / 2.0, 0.0), P2(slot / 2.0, 0.0), slot, Side.ABOVE, note="slot"
                )
            )
        return found

    def _standing(self) -> tuple[list[Dimension], list[Dimension]]:
        """Width and length, on the sawn end, of what stands on the shoulder; its corners' radius."""
        neck = self.joint.neck_outline
        if not self.joint.stands:
            return [], []
        half, end, name = neck.width / 2.0, self.tenon_end, neck.name
        sizes = [
            dims.across(f"{name}_width", P2(-half, 0.0), P2(half, 0.0), neck.width, Side.ABOVE, note=name),
            dims.along(f"{name}_on_sawn_end", P2(half, end), P2(self.half, 0.0), -end, Side.RIGHT, note=name),
        ]
        r = min(neck.corner_radius, half)
        corner = dims.radius(f"{name}_corner_radius", P2(half - r, end + r), r, -45.0, 2)
        return sizes, [corner] if r > _SAME else []
