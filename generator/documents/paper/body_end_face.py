"""The body's end face at full scale, seen from the neck's side: where its cut, bolts and binding lie.

Sheet coordinates: u to the right is the body's −Y, v runs up the end face, origin at the join. Lengths down the face
are true on the face itself, whatever its tilt.
"""

from __future__ import annotations

import math

from generator.base.annotation import Anchor, Dimension, Side
from generator.base.contours2d import Circle
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import rectangle
from generator.documents.paper.rooms import Rooms, fits, on_a_page
from generator.documents.paper.sides import Look, end_sides
from generator.documents.paper.strokes import arrow, cut_line, run, stroke
from generator.documents.paper.words import CalloutFormat, bench_format, sheet_words
from generator.drawing.compose import NOTE_TEXT, compose_sheet, view_block
from generator.drawing.dimension import Note, Request, View
from generator.drawing.sheet import Item, Label, Sheet
from generator.drawing.style import Role
from generator.drawing.symbols import centre_cross
from generator.jig import dims
from generator.joint.joint import BoltHole
from generator.joint.outlines import mirrored
from generator.joint.solution import Solution

#: Paper beside the neck block or the heel, whichever is wider, mm.
_BESIDE = 20.0
#: At least this much on either side of the centreline, so that the arrows have room on the flap, mm.
_LEAST_HALF = 62.0
#: The flap that folds over the top, so that the fold lies on the top's edge, mm.
_FLAP = 32.0
#: A short flap for a full page, mm.
_SHORT_FLAP = 24.0


def body_end_face(solution: Solution, rooms: Rooms) -> Sheet:
    """The sheet `body_end_face`: cut out, folded over the top's edge, it shows the joint on the body itself."""
    sheet = _with_flap(solution, rooms, _FLAP)
    return sheet if fits(rooms, sheet) else _with_flap(solution, rooms, _SHORT_FLAP)


def _with_flap(solution: Solution, rooms: Rooms, flap: float) -> Sheet:
    job, spell = solution.job, bench_format(solution.job)
    face = _Face(solution, flap)
    w = face.half_width
    signs = [
        *end_sides(Look.TOWARDS_TAIL, job.instrument.handed).arrows(w - 4.0, flap - 9.0, NOTE_TEXT),
        *arrow("top", P2((w + face.block_half) / 2.0, -0.3 * face.depth), P2(0.0, 1.0)),
        Label("fold: the top's edge", P2(w - 2.0, 2.5), NOTE_TEXT, Role.NOTE, anchor=Anchor.RIGHT),
        Label("neck block", P2(face.block_half + 1.5 + NOTE_TEXT, 6.0 - face.binding), NOTE_TEXT, Role.NOTE, 90.0),
        *([Label("binding", P2(2.0 - w, 1.5 - face.binding), NOTE_TEXT, Role.NOTE)] if face.has_binding else []),
    ]
    box = rectangle(-w, -face.depth, w, flap).box()
    block = view_block([*face.ink(), *signs], View(Transform(), box), face.requests(spell))
    body = solution.joint.body_outline
    words = sheet_words(
        "body_end_face",
        handed=job.instrument.handed.value,
        tilt=spell.angle(abs(solution.neck_set.end_face_tilt)) if solution.neck_set.end_face_tilt else "",
        runs_to_tail=solution.neck_set.end_face_tilt > 0,
        cut="" if body is None else body.name,
        depth="" if body is None else spell.length(body.depth),
        binding=spell.length(job.instrument.back_binding_height) if job.instrument.back_binding_height else "",
        bolt_count=len(solution.joint.bolts),
        bolt_thread=solution.joint.bolts[0].thread,
        bolt_hole=spell.length(solution.joint.bolts[0].clearance_hole),
    )

    def compose(width: float) -> Sheet:
        said = words.title, words.instruction, job.name
        return compose_sheet("body_end_face", *said, [block], words.notes, spell.notation, width)

    return on_a_page(rooms, compose)


class _Face:
    """The end face's lines and what is dimensioned on it; `flap` mm fold over the top."""

    def __init__(self, solution: Solution, flap: float) -> None:
        self.flap = flap
        self.joint = solution.joint
        self.block_half = solution.job.instrument.neck_block_width / 2.0
        heel = max(self.joint.heel_width, self.joint.heel_width_at_cap) / 2.0
        self.half_width = max(self.block_half + _BESIDE, heel + _BESIDE, _LEAST_HALF)
        tilt = math.radians(solution.neck_set.end_face_tilt)
        self.depth = solution.job.instrument.body_depth_at_neck / math.cos(tilt)
        self.binding = self.joint.heel_length

    @property
    def has_binding(self) -> bool:
        """True when the binding's inner edge is a line of its own."""
        return self.depth - self.binding > 0.05

    def ink(self) -> list[Item]:
        w, joint = self.half_width, self.joint
        items: list[Item] = [
            stroke(rectangle(-w, -self.depth, w, self.flap), Role.CUT),
            run([P2(-w, 0.0), P2(w, 0.0)], Role.FOLD),
            *self._cut(),
            run([P2(0.0, -self.depth - 4.0), P2(0.0, self.flap + 4.0)], Role.CENTRE),
            *self._heel_outline(),
            *(
                run([P2(sign * self.block_half, 0.0), P2(sign * self.block_half, -self.depth)], Role.HIDDEN)
                for sign in (-1.0, 1.0)
            ),
        ]
        if self.has_binding:
            items.append(run([P2(-w, -self.binding), P2(w, -self.binding)], Role.EDGE))
        for bolt in joint.bolts:
            at = P2(0.0, -bolt.from_top)
            items.append(stroke(Circle(at, bolt.clearance_hole / 2.0), Role.VISIBLE))
            # The upright arm is the centreline itself: drawn twice its dashes would close up.
            items.append(centre_cross(at, bolt.clearance_hole / 2.0 + 3.0)[0])
        return items

    def _cut(self) -> list[Item]:
        """What is cut in the body; seen from the neck, body +Y lies to the left."""
        body = self.joint.body_outline
        return [] if body is None or body.contour is None else [cut_line(mirrored(body.contour))]

    def _heel_outline(self) -> list[Item]:
        """Where the heel will stand, from the join to the inner edge of the binding."""
        top, cap = self.joint.heel_width / 2.0, self.joint.heel_width_at_cap / 2.0
        return [run([P2(sign * top, 0.0), P2(sign * cap, -self.binding)], Role.PHANTOM) for sign in (-1.0, 1.0)]

    def requests(self, spell: CalloutFormat) -> list[Request]:
        shows: list[Request] = [spell.show(dimension) for dimension in self._dimensions()]
        return [*shows, Note("heel", P2(-self._heel_half(0.6), -0.6 * self.binding))]

    def _heel_half(self, share: float) -> float:
        top, cap = self.joint.heel_width / 2.0, self.joint.heel_width_at_cap / 2.0
        return top + (cap - top) * share

    def _dimensions(self) -> list[Dimension]:
        w, joint = self.half_width, self.joint
        sizes, corner = self._cut_dimensions()
        edge = P2(w, 0.0)
        found = [
            *sizes,
            dims.along("body_depth_on_face", P2(w, -self.depth), edge, self.depth, Side.RIGHT, note="to the back"),
            dims.across(
                "neck_block_width",
                P2(-self.block_half, -self.depth),
                P2(self.block_half, -self.depth),
                2.0 * self.block_half,
                Side.BELOW,
            ),
        ]
        if self.has_binding:
            found.append(
                dims.along(
                    "binding_from_top", P2(w, -self.binding), edge, self.binding, Side.RIGHT, note="to the binding"
                )
            )
        found += corner
        found += [
            dims.along(
                f"bolt_{i}_from_top", P2(0.0, -bolt.from_top), P2(-w, 0.0), bolt.from_top, Side.LEFT, note=f"bolt {i}"
            )
            for i, bolt in enumerate(joint.bolts, start=1)
        ]
        return [*found, self._bolt_hole(joint.bolts[0])]

    def _cut_dimensions(self) -> tuple[list[Dimension], list[Dimension]]:
        """Width and length of what is cut in the body, and its corners' radius."""
        body = self.joint.body_outline
        if body is None:
            return [], []
        half, bottom, name = body.width / 2.0, -body.length, body.name
        r = min(body.corner_radius, half)
        sizes = [
            dims.across(f"{name}_width", P2(-half, 0.0), P2(half, 0.0), body.width, Side.ABOVE, note=name),
            dims.along(
                f"{name}_length", P2(half, bottom), P2(self.half_width, 0.0), body.length, Side.RIGHT, note=name
            ),
        ]
        corner = dims.radius(f"{name}_corner_radius", P2(half - r, bottom + r), r, -45.0, 2)
        return sizes, [corner] if r > 0.0 else []

    def _bolt_hole(self, bolt: BoltHole) -> Dimension:
        at, count = P2(0.0, -bolt.from_top), len(self.joint.bolts)
        return dims.diameter("bolt_hole", at, bolt.clearance_hole, count, note="through")
