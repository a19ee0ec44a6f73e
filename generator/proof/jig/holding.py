"""What holds the work, and the bench, as solids in both uses: neck and body, caul, clamps, bench, router's base.

Sizes that no file carries are those of common shop clamps and benches, said here beside the names. Plate frame, mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from generator.base.geometry3d import P3
from generator.base.units import mm
from generator.jig.board import BOARD
from generator.jig.caul import CAUL
from generator.jig.rests import ANGLE_REST
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.joint.checks.base import Check, at_least, at_most
from generator.joint.stations import Use, caul_thickness, caul_top, clamp_opening, clamp_throat, jaw_y
from generator.proof.jig.pieces import Pieces, way_in
from generator.proof.jig.solids import Solid, block, room_between

#: An F-clamp's jaw: across, high, thick, mm (common practice for a clamp whose throat is 80).
JAW = (28.0, 26.0, 20.0)
#: Height of an F-clamp's arm, mm (common practice for a clamp whose throat is 80).
ARM = 24.0
#: An F-clamp's bar: across, high, mm (common practice for a clamp whose throat is 80).
BAR = (8.0, 26.0)
#: An F-clamp's screw and handle reach this far from its moving jaw's face, mm (common practice for a clamp whose throat
#: is 80).
HANDLE = 160.0
#: What of an F-clamp's bar stands behind the fixed jaw, mm (common practice for a clamp whose throat is 80).
BEHIND = 10.0
#: Throat of a clamp that a shop has, mm (common practice).
SHOP_THROAT = 80.0
#: Opening of a clamp that a shop has, mm (common practice).
SHOP_OPENING = 250.0
#: Height of a bench, mm (common practice).
BENCH_HEIGHT = 900.0
#: Thickness of a bench's top, mm (common practice).
BENCH_TOP = 80.0
#: Length of a bench along its edge, mm (common practice).
BENCH_LONG = 1500.0
#: Depth of a bench behind its edge, mm (common practice).
BENCH_DEEP = 700.0
#: Thickness of a neck's shaft, mm (common practice).
SHAFT = 26.0
#: Thickness of a headstock, mm (common practice).
HEADSTOCK = 18.0
#: Length of a headstock, mm (common practice).
HEAD_LONG = 190.0
#: How far a headstock leans back per mm of its length (common practice: 14 degrees).
HEAD_LEAN = 0.25
#: Width of the widest headstock, mm.
HEAD_WIDE = 90.0
#: Half width of the lower bout's widest place, as a share of the shoulder's half width (common practice).
LOWER_WIDE = 1.95
#: The lower bout's widest place below the join, as a share of the distance from join to saddle (common practice).
LOWER_DEPTH = 1.25
#: Length of a body below its join, as a share of the distance from join to saddle (common practice).
BODY_LONG = 1.75
#: Under neck or body to the floor, mm.
FLOOR_ROOM = 30.0
#: (warn, fail) limits of the room between a clamp and the bench or a bracket, mm.
CLAMP_ROOM = (0.5, 0.0)
#: (warn, fail) limits of the room between work and bench, mm.
WORK_ROOM = (20.0, 5.0)
#: (warn, fail) limits of the room between the router's base and the bench's edge, mm.
BASE_ROOM = (0.0, -10.0)
#: Two clamps of this width stand side by side on the plate's idle half, mm.
BENCH_CLAMP = 35.0
#: (warn, fail) limits of what of the plate lies on the bench, mm.
ON_BENCH = (80.0, 70.0)
#: Rooms between solids are told up to this, mm.
_ENOUGH = 100.0


@dataclass(frozen=True)
class Held:
    """One use: the work, caul and clamps that hold it, and the bench."""

    use: Use
    work: tuple[Solid, ...]
    caul: Solid
    clamps: tuple[Solid, ...]
    bench: Solid

    @property
    def holders(self) -> tuple[Solid, ...]:
        return (self.caul, *self.clamps)


def held(pieces: Pieces, use: Use) -> Held:
    """What stands in one use; both clamps bite on the board's other face and on the caul across the work's back."""
    work = neck(pieces) if use is Use.NECK else body(pieces)
    caul = caul_solid(pieces, use, work)
    return Held(use, work, caul, tuple(_clamps(pieces, use, caul)), bench(pieces, use))


def _away(use: Use) -> float:
    """Which way along x the work hangs from the board."""
    return -1.0 if use is Use.NECK else 1.0


def bench(pieces: Pieces, use: Use) -> Solid:
    """The bench top under the idle half: level with the plate for the neck, with the rails' feet for the body."""
    board = pieces.parts[BOARD.name]
    gap, sign = pieces.kit.solution.job.jig.bench_gap, -_away(use)
    edge = (board.high if sign > 0 else board.low) + sign * gap
    top = 0.0 if use is Use.NECK else -pieces.setting.rail
    low, high = sorted((edge, edge + sign * BENCH_DEEP))
    half = BENCH_LONG / 2.0
    return block("the bench", P3(low, -half, top - BENCH_TOP), P3(high, half, top))


def neck(pieces: Pieces) -> tuple[Solid, ...]:
    """The neck on its rests: heel blank with shaft, and the headstock, leaning as the rests say."""
    solution, plane = pieces.kit.solution, pieces.setting.neck_plane
    joint, neck_set = solution.joint, solution.neck_set
    nut = joint.shoulder_depth + neck_set.nut_to_join
    heel_end = caul_top(solution.job, solution.cradle, Use.NECK) + solution.job.jig.caul_height + 15.0

    def at(depth: float, off: float) -> tuple[float, float]:
        return -pieces.fence - plane.at(depth) - off, -depth

    outline = Polygon(
        [at(0.0, 0.0), at(nut, 0.0), at(nut, SHAFT), at(heel_end, SHAFT), at(heel_end, joint.heel_blank),
         at(0.0, joint.heel_blank)]
    )  # fmt: skip
    end = nut + HEAD_LONG
    lean = HEAD_LEAN * HEAD_LONG
    head = Polygon([at(nut, 0.0), at(end, lean), at(end, lean + HEADSTOCK), at(nut, SHAFT)])
    half = joint.heel_blank_width / 2.0
    return (
        Solid("the neck", "y", outline, -half, half),
        Solid("the headstock", "y", head, -HEAD_WIDE / 2.0, HEAD_WIDE / 2.0),
    )


def body(pieces: Pieces) -> tuple[Solid, ...]:
    """The body on its rest: as wide as its shoulder down to the neck block's depth, then out to the lower bout."""
    solution = pieces.kit.solution
    instrument, neck_set = solution.job.instrument, solution.neck_set
    shoulder, deep = instrument.shoulder_half_width, instrument.neck_block_thickness
    wide, long = LOWER_WIDE * shoulder, BODY_LONG * neck_set.join_to_saddle
    at = LOWER_DEPTH * neck_set.join_to_saddle
    half = [(shoulder, 0.0), (shoulder, -deep), (wide, -at), (0.6 * wide, -long)]
    outline = Polygon([*half, *((-y, z) for y, z in reversed(half))])
    front = pieces.fence + pieces.setting.body_rest.x
    return (Solid("the body", "x", outline, front, front + instrument.body_depth_at_neck),)


def caul_solid(pieces: Pieces, use: Use, work: tuple[Solid, ...]) -> Solid:
    """The caul across the work's back, as long and high as its file has it."""
    solution, away = pieces.kit.solution, _away(use)
    top = caul_top(solution.job, solution.cradle, use)
    part = pieces.kit.jig.part(CAUL.name)
    long, high = part.box.width, part.box.height
    back = min(solid.extent("x")[0] for solid in work[:1]) if away < 0 else work[0].extent("x")[1]
    low, far = sorted((back, back + away * caul_thickness(solution.job)))
    return block("the caul", P3(low, -long / 2.0, -top - high), P3(far, long / 2.0, -top))


def _clamps(pieces: Pieces, use: Use, caul: Solid) -> Iterator[Solid]:
    """Jaws on board and caul, arms out past board and shoulder, bar and handle, on both sides."""
    solution, away = pieces.kit.solution, _away(use)
    board = pieces.parts[BOARD.name]
    middle = (caul.extent("z")[0] + caul.extent("z")[1]) / 2.0
    at, throat = jaw_y(solution.job, solution.routing), clamp_throat(solution.job, solution.cradle, solution.routing)
    fixed = board.low if away > 0 else board.high
    moving = caul.extent("x")[1] if away > 0 else caul.extent("x")[0]
    across, high, thick = JAW
    z0, z1 = middle - high / 2.0, middle + high / 2.0
    for side in (1.0, -1.0):
        y0, y1 = sorted((side * (at - across / 2.0), side * (at + across / 2.0)))
        bar0, bar1 = sorted((side * (at + throat), side * (at + throat + BAR[0])))
        arm0, arm1 = sorted((side * at, side * (at + throat + BAR[0])))
        yield _span("the clamp's fixed jaw", fixed, fixed - away * thick, y0, y1, z0, z1)
        yield _span("the clamp's jaw", moving, moving + away * thick, y0, y1, z0, z1)
        a0, a1 = middle - ARM / 2.0, middle + ARM / 2.0
        yield _span("the clamp's fixed arm", fixed - away * 2.0, fixed - away * thick, arm0, arm1, a0, a1)
        yield _span("the clamp's arm", moving + away * 2.0, moving + away * thick, arm0, arm1, a0, a1)
        far, near = moving + away * HANDLE, fixed - away * (thick + BEHIND)
        yield _span(
            "the clamp's bar", near, moving + away * thick, bar0, bar1, middle - BAR[1] / 2.0, middle + BAR[1] / 2.0
        )
        yield _span("the clamp's handle", moving + away * thick, far, y0, y1, z0, z1)


def _span(label: str, x0: float, x1: float, y0: float, y1: float, z0: float, z1: float) -> Solid:
    low, high = sorted((x0, x1))
    return block(label, P3(low, y0, z0), P3(high, y1, z1))


def holding_checks(pieces: Pieces, base: BaseGeometry, bit: Solid, use: Use) -> Iterator[Check]:
    """One use judged: clamps and caul clear of everything, work clear of bench and brackets, base clear of the clamps.

    `base` is the area that the router's base sweeps and `bit` all that the bit can reach, plate frame.
    """
    stand = held(pieces, use)
    name = use.value
    yield _clear(f"jig: clamps clear, {name}", stand.clamps, _round_clamps(pieces, stand), CLAMP_ROOM)
    yield _clear(f"jig: bit clear of caul and clamps, {name}", (bit,), stand.holders, (2.0, 0.5))
    yield _clear(f"jig: work clear of the bench, {name}", stand.work, (stand.bench,), WORK_ROOM)
    others = [solid for label, solid in pieces.parts.items() if not _meets_work(pieces, label, use)]
    yield _clear(f"jig: work clear of the jig, {name}", stand.work, others, (0.5, 0.5))
    yield from _base_checks(pieces, base, stand)
    yield _floor(stand)
    if use is Use.NECK:
        yield _undone(pieces, stand)
    yield from _clamp_sizes(pieces, stand)


def _meets_work(pieces: Pieces, label: str, use: Use) -> bool:
    """What the work is meant to touch in a use: its rests, and the plate over it."""
    return label == TEMPLATE_PLATE.name or pieces.kit.jig.part(label).traits.bears is use


def _round_clamps(pieces: Pieces, stand: Held) -> tuple[Solid, ...]:
    """What the clamps must pass by: bench, plate, brackets, rests, body; board and caul are what they bite on."""
    jig = (solid for label, solid in pieces.parts.items() if label != BOARD.name)
    return (*jig, stand.bench, *stand.work)


def _clear(name: str, some: tuple[Solid, ...], others: Sequence[Solid], limits: tuple[float, float]) -> Check:
    """The least room between any of `some` and any of `others`."""
    least, words = max(_ENOUGH, limits[0]), "nothing comes near"
    for one in some:
        for other in others:
            room = room_between(one, other, least)
            if room < least:
                least = room
                words = (
                    f"{one.label} runs into {other.label}"
                    if room < 0.0
                    else f"{mm(room)} from {one.label} to {other.label}"
                )
    return at_least(name, least, *limits, words)


def _base_checks(pieces: Pieces, base: BaseGeometry, stand: Held) -> Iterator[Check]:
    """The idle half on the bench: long and wide enough for two clamps that the router's base never reaches."""
    plate = pieces.parts[TEMPLATE_PLATE.name]
    edges = stand.bench.extent("x")
    inner = edges[0] if stand.use is Use.NECK else edges[1]
    end = plate.extent("x")[1] if stand.use is Use.NECK else plate.extent("x")[0]
    x0, _, x1, _ = base.bounds
    room = inner - x1 if stand.use is Use.NECK else x0 - inner
    words = f"the router's base keeps {mm(room)} from the bench's edge, behind which the clamps stand"
    yield at_least(f"jig: base clear of the bench clamps, {stand.use.value}", room, *BASE_ROOM, words)
    lying, wide = abs(end - inner), plate.extent("y")[1] - plate.extent("y")[0]
    words = f"{mm(lying)} by {mm(wide)} of the plate lies on the bench"
    yield at_least(f"jig: plate on the bench, {stand.use.value}", min(lying, wide - BENCH_CLAMP), *ON_BENCH, words)


def _undone(pieces: Pieces, stand: Held) -> Check:
    """The angle rest's screws are undone between first fit and last pass, the jig on the bench and no work in it."""
    jig = [solid for label, solid in pieces.parts.items() if label != BOARD.name]
    rows = [row for row in pieces.rows if row.takes == ANGLE_REST.name]
    ways = [solid for row in rows for head in row.heads for solid in way_in(row, head)]
    return _clear("jig: angle rest's screws in reach", tuple(ways), (*jig, stand.bench), (2.0, 0.5))


def _floor(stand: Held) -> Check:
    low = min(solid.extent("z")[0] for solid in stand.work) - stand.bench.extent("z")[1]
    room = BENCH_HEIGHT + low
    words = f"{mm(room)} are left under the work at a bench {mm(BENCH_HEIGHT)} high"
    return at_least(f"jig: work clear of the floor, {stand.use.value}", room, FLOOR_ROOM, 0.0, words)


def _clamp_sizes(pieces: Pieces, stand: Held) -> Iterator[Check]:
    """Opening and throat that the clamps really need, against those the results state and those a shop has."""
    solution = pieces.kit.solution
    jaws = [solid for solid in stand.clamps if solid.label.endswith("jaw")]
    faces = sorted(value for solid in jaws for value in solid.extent("x"))
    opening = max(b - a for a, b in pairwise(sorted(set(faces))))
    stated = clamp_opening(solution.job, solution.cradle, solution.joint)
    words = f"{mm(opening)} between the jaws; the results state {mm(stated)}, common clamps open {mm(SHOP_OPENING)}"
    yield at_most(f"jig: clamps' opening, {stand.use.value}", opening, min(stated, SHOP_OPENING), stated, words)
    throat = clamp_throat(solution.job, solution.cradle, solution.routing)
    words = f"{mm(throat)} from a jaw's middle to the bar; common clamps have {mm(SHOP_THROAT)}"
    yield at_most(f"jig: clamps' throat, {stand.use.value}", throat, SHOP_THROAT, 2.0 * SHOP_THROAT, words)
