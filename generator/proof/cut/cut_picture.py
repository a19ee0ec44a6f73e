"""A picture of the cuts against the joint that was asked for, at a scale that shows hundredths of a millimetre.

Each cut is drawn at its size with its misses magnified square to the outline, so that one look finds them, and beside
it the worst place truly enlarged. All millimetres; the sheet is written by the writers of ordinary drawings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

from generator.base.annotation import Anchor
from generator.base.errors import LayoutError
from generator.base.geometry2d import P2, Box, Path, Transform
from generator.base.shapes2d import polygon, polyline, rectangle
from generator.drawing.clip import clip_stroke
from generator.drawing.sheet import Sheet, SheetBuilder, Stroke
from generator.drawing.style import PENS, Pen, Role
from generator.drawing.templates import environment
from generator.joint.stations import Use
from generator.proof.cut.fit import JointFit
from generator.proof.cut.template_checks import TemplateProof
from generator.proof.cut.virtual_cut import TracePoint, VirtualCut

_WIDTH, _HEIGHT, _MARGIN = 297.0, 210.0, 12.0
#: Height of the view of one cut; a longer heel is drawn at half size.
_VIEW, _VIEW_WIDTH = 128.0, 66.0
_INSET = 45.0
#: Enlargement of the worst place, and the squares drawn over it, mm.
_ZOOM, _SQUARE = 50.0, 0.1
#: How many times too large misses may be drawn, and how far (mm on paper) the largest may then stand off.
_FACTORS, _STAND_OFF = (100.0, 20.0, 5.0, 1.0), 6.0
#: A gap in the trace wider than this (mm) starts a new line: there the work ends.
_GAP = 1.0
_GRID = Pen(0.18, grey=0.75)
_TEXT, _TITLE = 2.5, 5.0


def cut_picture(proof: TemplateProof, job: str) -> Sheet:
    """The sheet for a proof that made at least one cut. Raises LayoutError when it made none."""
    if not proof.cuts:
        raise LayoutError(f"job {job}: no cut could be made, so there is nothing to draw")
    builder = SheetBuilder("cut_against_wanted", "Cut against wanted")
    builder.label(f"{job}: what the template cuts", P2(_MARGIN, _HEIGHT - 18.0), _TITLE, Role.TITLE)
    half = (_WIDTH - 2.0 * _MARGIN) / 2.0
    for place, use in enumerate((Use.BODY, Use.NECK)):
        if use in proof.cuts:
            _panel(builder, proof.cuts[use], P2(_MARGIN + place * half, 30.0))
    if proof.fit is not None:
        builder.label(_say("fit", _fit_words(proof.fit)), P2(_MARGIN, _MARGIN + 2.0), _TEXT)
    return builder.sheet(_WIDTH, _HEIGHT, job=job)


@dataclass(frozen=True)
class _View:
    """How the jig frame lies on the paper: X down the page, +Y to the right, as seen from above."""

    scale: float
    to_paper: Transform

    @staticmethod
    def hung_from(cut: VirtualCut, top: P2) -> _View:
        """The open end at `top` (paper), the rest below it."""
        long = cut.wanted.far - cut.wanted.edge
        scale = 1.0 if long <= _VIEW - 10.0 else 0.5
        turn = Transform.move(-cut.wanted.edge, 0.0).then(Transform.rotate(-90.0)).then(Transform.scale(scale))
        return _View(scale, turn.then(Transform.move(top.x, top.y)))


def _panel(builder: SheetBuilder, cut: VirtualCut, corner: P2) -> None:
    """One cut: the whole of it on the left, its worst place and its numbers on the right."""
    builder.label(_say("title", cut.wanted.name), P2(corner.x, corner.y + _VIEW + 22.0), 3.5)
    beside = corner.x + _VIEW_WIDTH + 6.0
    # The grid first: whatever role is drawn first lies under the others.
    _inset(builder, cut, P2(beside, corner.y + _VIEW - 37.0))
    factor = _factor(cut.trace)
    frame = Box(corner.x, corner.y + 12.0, corner.x + _VIEW_WIDTH, corner.y + 12.0 + _VIEW)
    view = _View.hung_from(cut, P2(frame.center.x, frame.y1 - 8.0))
    wanted = cut.wanted
    builder.label(_say("open_end", cut.wanted.name), P2(frame.center.x, frame.y1 - 5.0), _TEXT, anchor=Anchor.MIDDLE)
    foot = view.to_paper.apply(P2(wanted.far, 0.0)).y - 5.0
    builder.label(_say("closed_end", cut.wanted.name), P2(frame.center.x, foot), _TEXT, anchor=Anchor.MIDDLE)
    work = rectangle(wanted.edge, -wanted.half_breadth, wanted.far, wanted.half_breadth)
    for path, role in (
        (work, Role.PHANTOM),
        (polygon(cut.wanted_outline), Role.EDGE),
        *((path, Role.VISIBLE) for path in _magnified(cut, factor / view.scale)),
    ):
        _clipped(builder, path.transformed(view.to_paper), role, frame)
    bar = _bar_length(factor)
    builder.line(P2(corner.x, corner.y + 6.0), P2(corner.x + bar * factor, corner.y + 6.0), Role.VISIBLE)
    words = {"factor": f"{factor:g}", "bar": f"{bar:g}", "scale": "1:1" if view.scale == 1.0 else "1:2"}
    _column(builder, _say("legend", words), P2(corner.x, corner.y), _TEXT)
    _column(builder, _say("numbers", _words(cut)), P2(beside, corner.y + _VIEW - 48.0), _TEXT)


def _column(builder: SheetBuilder, text: str, top: P2, height: float) -> None:
    """Lines of text under each other, from `top` down."""
    for row, line in enumerate(text.splitlines()):
        builder.label(line, P2(top.x, top.y - 2.0 * height * row), height)


def _inset(builder: SheetBuilder, cut: VirtualCut, corner: P2) -> None:
    """The worst place at `_ZOOM`:1 in a square with a grid."""
    box = Box(corner.x, corner.y, corner.x + _INSET, corner.y + _INSET)
    step = _SQUARE * _ZOOM
    for i in range(1, round(_INSET / step)):
        builder.line(P2(box.x0 + i * step, box.y0), P2(box.x0 + i * step, box.y1), Role.HATCH, _GRID)
        builder.line(P2(box.x0, box.y0 + i * step), P2(box.x1, box.y0 + i * step), Role.HATCH, _GRID)
    place, where = _worst_place(cut)
    turn = Transform.move(-place.x, -place.y).then(Transform.rotate(-90.0)).then(Transform.scale(_ZOOM))
    to_paper = turn.then(Transform.move(*box.center))
    near = Box(place.x, place.y, place.x, place.y).grown(_INSET / _ZOOM)
    for outline, role in ((cut.wanted_outline, Role.EDGE), (cut.outline, Role.VISIBLE)):
        for path in _near(outline, near):
            _clipped(builder, path.transformed(to_paper), role, box)
    builder.stroke(rectangle(*box), Role.NOTE)
    words = _say("inset", {"where": where, "zoom": f"{_ZOOM:g}", "square": f"{_SQUARE:g}"})
    builder.label(words, P2(corner.x, corner.y + _INSET + 2.0), _TEXT)


def _near(outline: Sequence[P2], box: Box) -> Iterator[Path]:
    """The sides of a closed outline that come near a box: enlarging the far ones would leave every sheet."""
    for a, b in pairwise((*outline, outline[0])):
        if a.distance(b) > 1e-6 and box.overlaps(polyline([a, b]).box(), -1e-9):
            yield polyline([a, b])


def _worst_place(cut: VirtualCut) -> tuple[P2, str]:
    """Where the cut misses most, in words too; a corner, or the middle of a side, where it misses nowhere."""
    worst = max((abs(point.deviation) for point in cut.trace), default=0.0)
    if worst > 1e-3:
        alike = [point.at for point in cut.trace if abs(point.deviation) > 0.99 * worst]
        return alike[len(alike) // 2], "worst place"
    wanted, outline = cut.wanted, cut.wanted.outline
    if wanted.end is None:
        return P2((wanted.edge + wanted.far) / 2.0, outline.width / 2.0), "side"
    back = outline.corner_radius * (1.0 - 0.5**0.5)
    return P2(wanted.end - back, outline.width / 2.0 - back), "corner"


def _clipped(builder: SheetBuilder, path: Path, role: Role, box: Box) -> None:
    builder.items.extend(clip_stroke(Stroke(path, role, PENS[role]), box))


def _magnified(cut: VirtualCut, factor: float) -> Iterator[Path]:
    """The outline with each point moved square to it by its miss, `factor` times too large."""
    # Wood lies outside a pocket and inside anything else, and a positive miss goes into the wood.
    left = (polygon(cut.outline).signed_area > 0) != cut.wanted.outline.pocket
    for run in _runs(cut.trace):
        points = []
        for i, point in enumerate(run):
            along = run[min(i + 1, len(run) - 1)].at.minus(run[max(i - 1, 0)].at)
            if along.length() < 1e-9:
                continue
            into_wood = along.unit().left().times(1.0 if left else -1.0)
            points.append(point.at.plus(into_wood.times(factor * point.deviation)))
        kept = _thinned(points)
        if len(kept) >= 2:
            yield polyline(kept)


def _runs(trace: Sequence[TracePoint]) -> Iterator[list[TracePoint]]:
    run: list[TracePoint] = []
    for point in trace:
        if run and run[-1].at.distance(point.at) > _GAP:
            yield run
            run = []
        run.append(point)
    if run:
        yield run


def _thinned(points: Sequence[P2]) -> list[P2]:
    """Without points that add nothing to be seen: closer than a tenth of a pen to the one before."""
    kept: list[P2] = []
    for point in points:
        if not kept or kept[-1].distance(point) > 0.05:
            kept.append(point)
    return kept


def _factor(trace: Iterable[TracePoint]) -> float:
    worst = max((abs(point.deviation) for point in trace), default=0.0)
    return next((factor for factor in _FACTORS if worst * factor <= _STAND_OFF), _FACTORS[-1])


def _bar_length(factor: float) -> float:
    """A length (mm) that makes a bar of 5 mm when drawn `factor` times too large."""
    return 5.0 / factor


def _words(cut: VirtualCut) -> dict[str, str]:
    wanted = cut.wanted.outline
    length, corners = cut.length, cut.corner_radii
    return {
        "width": f"{cut.width:.3f}",
        "wanted_width": f"{wanted.width:.3f}",
        "length": "" if length is None else f"{length:.3f}",
        "wanted_length": "" if cut.wanted.runs_out else f"{wanted.length:.3f}",
        "corners": "" if corners is None else f"{corners[0]:.3f} and {corners[1]:.3f}",
        "wanted_corner": f"{wanted.corner_radius:.3f}",
        "run_out": f"{cut.run_out:.2f}",
        "too_much": f"{cut.too_much.size:.3f}",
        "too_little": f"{cut.too_little.size:.3f}",
        "slivers": str(len(cut.slivers)) if cut.slivers else "",
    }


def _fit_words(fit: JointFit) -> dict[str, str]:
    return {
        "side": f"{fit.side:.3f}",
        "end": f"{fit.end:.3f}",
        "sideways": f"{abs(fit.sideways):.3f}",
        "tightest": f"{fit.tightest:.3f}",
    }


def _say(macro: str, context: Any) -> str:
    return str(getattr(_words_of_the_sheet(), macro)(context)).strip()


@cache
def _words_of_the_sheet() -> Any:
    return environment().get_template("cut_picture.j2").module
