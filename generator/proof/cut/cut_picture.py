"""The joint as a kit's written plate cuts it, for a builder: what is cut away, what is left, what room they leave.

Three views at full size: the body's end face with the mortise, the heel with the tenon, the one laid in the other with
its gaps drawn larger. Shapes are those of the virtual cut; what it cannot know (depths, the pieces' own outlines)
stands in the results.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from generator.base.annotation import Anchor, Side
from generator.base.errors import LayoutError
from generator.base.keyed import Table
from generator.base.points2d import P2, Box, Transform, bounding_box
from generator.base.shapes2d import polygon, rectangle
from generator.documents.paper.strokes import area, ring, run, stroke
from generator.documents.paper.words import CalloutFormat
from generator.drawing.callout import Notation, length_text
from generator.drawing.compose import ALONG_GAP, TEXT_WIDTH, Block, captioned, compose_sheet, view_block
from generator.drawing.dimension import Note, Request, Tip, View
from generator.drawing.sheet import Item, Label, Level, Sheet, Stroke, union_box
from generator.drawing.style import LineType, Pen, Role
from generator.drawing.templates import environment
from generator.jig import dims
from generator.job.model.job import UnitsChoice
from generator.joint.joint import Joint
from generator.joint.kinds.mortise_tenon.joint import MortiseTenon
from generator.joint.stations import Use
from generator.proof.cut.cut_faults import CutFault, cut_faults, file_is_right, untold
from generator.proof.cut.fit import JointFit
from generator.proof.cut.laid_in import laid_in, piece_outline
from generator.proof.cut.magnified import factor, magnified, seen, upright
from generator.proof.cut.nominal_cut import neck_rise_along
from generator.proof.cut.template_checks import EXACT_ROOM, TemplateProof
from generator.proof.cut.virtual_cut import VirtualCut

#: Words keep this far from the outline of the area they stand in, mm.
_CLEAR = 1.2
#: Capital heights of words in an area, the larger tried first, mm.
_HEIGHTS = (3.5, 2.5)
#: Pen of the wanted outline, where misses are drawn too large.
_WANTED = Pen(0.18, LineType.DASHED)
#: Grey of wood that stays on grey ground.
_STAYS = 1.0
#: A neck that stands aside by less than this is in the middle, mm.
_LEAST_ASIDE = 0.01


def cut_picture(proof: TemplateProof, results: Mapping[str, Any], job: str) -> Sheet:
    """The sheet for a proof that made at least one cut; `results` are those of the kit, for depths and outlines.

    Numbers stand in the units that the job prints, inches as decimals. Raises LayoutError when no cut was made.
    """
    if not proof.cuts:
        raise LayoutError(f"job {job}: no cut could be made, so there is nothing to draw")
    picture = _Picture(proof, results)
    blocks = picture.blocks()
    width = max(TEXT_WIDTH, math.fsum(block.box.width for block in blocks) + ALONG_GAP * (len(blocks) - 1))
    title, instruction = _say("title", file_is_right(proof)), picture.instruction()
    return compose_sheet("cut", title, instruction, job, blocks, (), picture.spell.notation, width)


class _Picture:
    """One proof's picture; views are drawn upright, the join at y = 0, as someone in front of the piece sees it."""

    def __init__(self, proof: TemplateProof, results: Mapping[str, Any]) -> None:
        self.proof = proof
        self.joint = Table(Joint, results["joint"])
        self.tenon = Table(MortiseTenon, results["joint"])
        self.instrument = {key: item["value"] for key, item in results["inputs"]["instrument"].items()}
        self.rise = neck_rise_along(results)
        self.held = float(results["inputs"]["router"]["hold_back"]["value"])
        units = results["inputs"].get("output", {}).get("units", {}).get("value", UnitsChoice.MM.value)
        self.spell = CalloutFormat(Notation(UnitsChoice(units), bench=False))

    def number(self, mm: float) -> str:
        """A length's amount in the job's units, which the sheet names once."""
        return length_text(abs(mm), self.spell.notation)

    def instruction(self) -> str:
        """What is wrong, and what the grey is."""
        told = [
            _say("told", self._fault(cut, fault) | {"cut": cut.wanted.name})
            for cut in self.proof.cuts.values()
            for fault in cut_faults(cut)
        ]
        told += [_say("untold", check) for check in untold(self.proof)]
        return _say("instruction", {"faults": told, "cuts": self.proof.cuts})

    def blocks(self) -> list[Block]:
        found = [self._block(self.proof.cuts[use]) for use in (Use.BODY, Use.NECK) if use in self.proof.cuts]
        if self.proof.fit is not None:
            found.append(self._laid_in(self.proof.fit))
        return found

    def _block(self, cut: VirtualCut) -> Block:
        """The mortise in the end face, or the tenon on the heel."""
        faults, times = cut_faults(cut), 0
        ink = self._end_face(cut) if cut.use is Use.BODY else self._heel(cut)
        if faults and cut.wanted.stays:
            times = factor(cut.trace)
            wanted = upright(piece_outline(cut, cut.wanted_outline), cut.use)
            ink.append(Stroke(polygon(wanted), Role.HIDDEN, _WANTED))
            ink += [stroke(path, Role.VISIBLE) for path in magnified(cut, times)]
        elif cut.wanted.stays:
            ink.append(ring(upright(piece_outline(cut, cut.outline), cut.use), Role.VISIBLE))
        requests: list[Request] = list(self._sizes(cut))
        requests += self._names(cut)
        requests += [Note(_say("marked", self._fault(cut, one)), seen(cut, one.at)) for one in faults]
        block = view_block(ink, View(Transform(), union_box(ink)), requests)
        return captioned(block, _say(cut.wanted.name, self._told(cut) | {"factor": times}))

    def _end_face(self, cut: VirtualCut) -> list[Item]:
        """Neck block and heel thin, the mortise grey."""
        block = self.instrument["neck_block_width"] / 2.0
        back = self.instrument["body_depth_at_neck"] / math.cos(math.radians(self.instrument["end_face_tilt"]))
        outline = upright(piece_outline(cut, cut.outline), cut.use)
        return [
            area(outline),
            *_words_in("mortise", bounding_box(outline)),
            stroke(rectangle(-block, -back, block, 0.0), Role.EDGE),
            *self._heel_sides(Role.PHANTOM),
        ]

    def _heel(self, cut: VirtualCut) -> list[Item]:
        """The blank grey, the tenon white, the finished heel thin."""
        half, long = self.joint.heel_blank_width / 2.0, self.joint.heel_blank
        blank = [P2(-half, -long), P2(half, -long), P2(half, 0.0), P2(-half, 0.0)]
        if not cut.wanted.stays:
            words = _words_in("all", bounding_box(blank), P2(0.0, 0.2))
            return [area(blank), *words, ring(blank, Role.EDGE), *self._heel_sides(Role.PHANTOM)]
        outline = upright(piece_outline(cut, cut.outline), cut.use)
        tenon = bounding_box(outline)
        side = min(half, self._heel_half(self.joint.heel_length))
        return [
            area(blank),
            area(outline, _STAYS),
            *_words_in("tenon", tenon),
            *_words_in("mortise", Box(tenon.x1, tenon.y0, max(side, tenon.x1), 0.0)),
            ring(blank, Role.EDGE),
            *self._heel_sides(Role.PHANTOM),
        ]

    def _heel_half(self, down: float) -> float:
        """Half the finished heel's width, `down` mm from the join."""
        top, cap = self.instrument["heel_width"] / 2.0, self.instrument["heel_width_at_cap"] / 2.0
        return float(top + (cap - top) * down / self.joint.heel_length)

    def _heel_sides(self, role: Role) -> list[Item]:
        long = self.joint.heel_length
        ends = self._heel_half(0.0), self._heel_half(long)
        return [run([P2(sign * ends[0], 0.0), P2(sign * ends[1], -long)], role) for sign in (-1.0, 1.0)]

    def _names(self, cut: VirtualCut) -> Iterator[Note]:
        down = 0.85 * self.joint.heel_length
        yield Note("heel", P2(-self._heel_half(down), -down))
        if cut.use is Use.BODY:
            yield Note("neck block", P2(-self.instrument["neck_block_width"] / 2.0, -0.5 * down))
        else:
            yield Note("heel blank", P2(-self.joint.heel_blank_width / 2.0, -0.5 * down))

    def _sizes(self, cut: VirtualCut) -> Iterator[Request]:
        if not cut.wanted.stays:
            yield Note(_say("deep", self._told(cut)), P2(0.0, -0.5 * self.joint.heel_length), tip=Tip.DOT)
            return
        middle, half = seen(cut, P2(cut.wanted.join, cut.middle)).x, cut.width / 2.0
        long = cut.wanted.outline.length if cut.length is None else cut.length
        name = cut.wanted.name
        left, right = P2(middle - half, 0.0), P2(middle + half, 0.0)
        yield self.spell.show(dims.across(f"{name}_width", left, right, right.x - left.x, Side.ABOVE))
        foot = P2(right.x, -long)
        yield self.spell.show(dims.along(f"{name}_length", foot, right, long, Side.RIGHT))
        yield Note(_say("deep", self._told(cut)), P2(middle - half / 2.0, -0.88 * long), tip=Tip.DOT)

    def _fault(self, cut: VirtualCut, fault: CutFault) -> dict[str, str]:
        return {
            "kind": fault.kind.value,
            "size": self.number(fault.size),
            "down": self.number(fault.down),
            "origin": "join" if cut.use is Use.BODY else "neck plane",
        }

    def _told(self, cut: VirtualCut) -> dict[str, Any]:
        """What the caption of a view says in words."""
        tenon = self.tenon
        if not cut.wanted.stays:
            depth, held = self.number(cut.wanted.outline.depth), self.number(self.held) if self.held else ""
            return {"cut": cut.wanted.name, "depth": depth, "held": held}
        eased = tenon.ease_end > 0.0
        return {
            "cut": cut.wanted.name,
            "depth": self.number(tenon.mortise_depth),
            "routed": self.number(tenon.tenon_projection_routed),
            "held": self.number(self.held) if self.held else "",
            "eased": self.number(tenon.ease_end) if eased else "",
            "finished": self.number(tenon.tenon_projection),
            "sawn": cut.length is None,
        }

    def _laid_in(self, fit: JointFit) -> Block:
        """The tenon in the mortise, as the end face shows it, each gap written."""
        body, neck = self.proof.cuts[Use.BODY], self.proof.cuts[Use.NECK]
        laid = laid_in(body, neck, fit, self.rise)
        hole, tenon = (upright(points, Use.BODY) for points in (laid.hole, laid.tenon))
        ink = [
            area(hole),
            area(tenon, _STAYS),
            *_words_in("tenon", bounding_box(tenon), P2(0.0, 0.2)),
            ring(hole, Role.VISIBLE),
            ring(tenon, Role.EDGE),
        ]
        told = {
            "side": self.number(fit.side),
            "tight": fit.side < 0.0,
            "meets": self.number(fit.tightest) if fit.tightest < -EXACT_ROOM and not fit.sawn else "",
            "end": self.number(fit.end),
            "short": fit.end < 0.0,
            "floor": self.number(self.tenon.mortise_depth - self.tenon.tenon_projection),
            "aside": self.number(fit.sideways) if abs(fit.sideways) > _LEAST_ASIDE else "",
            "sawn": fit.sawn,
            "factor": laid.factor,
        }
        block = view_block(ink, View(Transform(), union_box(ink)), _rooms(hole, tenon, told))
        return captioned(block, _say("laid", told))


def _rooms(hole: Sequence[P2], tenon: Sequence[P2], told: Mapping[str, Any]) -> list[Request]:
    """A leader to each gap: at the side, at the end, at the floor under the tenon."""
    outer, inner = bounding_box(hole), bounding_box(tenon)
    side = P2((outer.x1 + inner.x1) / 2.0, -0.3 * outer.height)
    end = P2(outer.center.x, (outer.y0 + inner.y0) / 2.0)
    floor = P2(inner.center.x + 0.2 * inner.width, inner.y0 + 0.2 * inner.height)
    return [
        Note(_say("at_sides", told), side, tip=Tip.DOT),
        Note(_say("at_end", told), end, tip=Tip.DOT),
        Note(_say("at_floor", told), floor, tip=Tip.DOT),
    ]


def _words_in(key: str, room: Box, from_middle: P2 | None = None) -> list[Item]:
    """Words in the middle of an area, level where they fit, else upright; none where they fit neither way.

    `from_middle` moves them by shares of the area's width and height.
    """
    off = from_middle or P2(0.0, 0.0)
    at = room.center.plus(P2(off.x * room.width, off.y * room.height))
    for height in _HEIGHTS:
        for angle in (0.0, 90.0):
            # Under the dimensions' role, or the grey would be painted over them.
            label = Label(_say("inside", key), at, height, Role.DIMENSION, angle, Anchor.MIDDLE, Level.MIDDLE)
            box = label.box().grown(_CLEAR)
            if box.x0 > room.x0 and box.x1 < room.x1 and box.y0 > room.y0 and box.y1 < room.y1:
                return [label]
    return []


def _say(macro: str, context: Any) -> str:
    return " ".join(str(getattr(_words_of_the_sheet(), macro)(context)).split())


@cache
def _words_of_the_sheet() -> Any:
    return environment().get_template("cut_picture.j2").module
