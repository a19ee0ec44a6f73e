"""The jig in use as a picture in space: bench, clamps, jig, work and router, with their names beside it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from types import MappingProxyType

from generator.base.annotation import Anchor
from generator.base.contours2d import Circle
from generator.base.errors import LayoutError
from generator.base.geometry3d import P3, Z_AXIS, Placement
from generator.base.points2d import P2, Box, Transform, bounding_box
from generator.documents.scene.props import Prop
from generator.documents.scene.stage import stage
from generator.drawing.columns import two_columns
from generator.drawing.font import text_width
from generator.drawing.picture import Picture, Shown, picture_items, seen
from generator.drawing.projection import isometric
from generator.drawing.sheet import Fill, Item, Label, Level, Sheet, SheetBuilder, union_box
from generator.drawing.style import Role
from generator.drawing.symbols import line
from generator.jig.part import Jig
from generator.joint.solution import Solution
from generator.joint.stations import Use

#: Seen from the half that is cut, a little from its left and from above.
_FROM = {Use.NECK: P3(-1.0, -0.75, 0.62), Use.BODY: P3(1.0, -0.75, 0.62)}
#: What stands under the picture of either cut.
_TITLES = {Use.NECK: "The neck cut", Use.BODY: "The body cut: the jig turned round"}
#: What is named besides the jig's parts, by the piece that its line may end on; of several the one that shows best.
_NAMES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "work clamp": ("work_clamp_1_arm", "work_clamp_2_arm"),
        "bench clamp": ("bench_clamp_1_jaw", "bench_clamp_2_jaw"),
        "bench": ("bench", "bench_edge"),
        "neck blank": ("neck",),
        "body": ("body",),
        "router": ("router_case",),
    }
)
#: Capital height of the names, mm.
_HEIGHT = 2.5
#: Least distance of two names, mm.
_PITCH = 5.0
#: Least distance of a name from the picture, mm.
_AWAY = 4.0
#: Radius of the dot at a line's end, mm.
_DOT = 0.5
#: Room at the foot for the title, mm.
_FOOT = 7.0
#: Capital height of the title, mm.
_TITLE = 3.5
#: Least distance of the picture from the sheet's edge, mm.
_EDGE = 1.0
#: Below this scale (paper to jig) outlines are thinner.
_SMALL = 0.16
#: Width of the thinner outlines, mm.
_THIN = 0.25
#: A name's line ends on nothing narrower than this to every side, mm on the paper.
_LEAST = 0.7


def stage_picture(
    solution: Solution,
    jig: Jig,
    use: Use,
    width: float,
    height: float,
    *,
    names: bool = True,
    only: Collection[str] = (),
    least: float = _LEAST,
    with_router: bool = True,
    view: Placement | None = None,
    picture: Picture | None = None,
) -> Sheet:
    """The stage of one cut on a sheet `width` mm wide and at most `height` mm high, no higher than the picture needs.

    Seen along `view`, or from where the builder stands. Parts are painted by their stocks' colours; nothing on it
    measures anything. `only` keeps to some of the names; none ends on a piece that shows less than `least` mm to every
    side. `picture` is what `stage_seen` makes of the same stage, where it is at hand. Raises LayoutError where the
    names need more height.
    """
    picture = picture or stage_seen(solution, jig, use, with_router=with_router, view=view)
    room = Box(_EDGE, _EDGE, width - _EDGE, height - _EDGE)
    drawn = picture
    if _fit(picture.box, room).a < _SMALL:
        drawn = replace(picture, solids={name: replace(one, outline=_THIN) for name, one in picture.solids.items()})
    builder = SheetBuilder(f"stage_{use.value}", _TITLES[use])
    if names:
        found = _targets(jig, picture, least / _fit(picture.box, room).a)
        targets = {name: at for name, at in found.items() if not only or name in only}
        left, right = (_widest(targets, picture.box, side) for side in (True, False))
        move = _fit(picture.box, Box(_EDGE + left, _FOOT, width - _EDGE - right, height - _EDGE))
        builder.add(picture_items(drawn, move))
        builder.add(_named({name: move.apply(at) for name, at in targets.items()}, _moved(picture.box, move)))
    else:
        builder.add(picture_items(drawn, _fit(picture.box, room)))
    high = _lowered(builder, _FOOT if names else _EDGE)
    if high > height:
        raise LayoutError(f"{_TITLES[use]}: {high:.1f} mm of names in {height:g} mm")
    if names:
        builder.label(_TITLES[use], P2(width / 2.0, 2.0), _TITLE, Role.TITLE, anchor=Anchor.MIDDLE)
    return builder.sheet(width, high, job=solution.job.name)


def stage_seen(
    solution: Solution, jig: Jig, use: Use, *, with_router: bool = True, view: Placement | None = None
) -> Picture:
    """What shows of the stage of one cut along `view`, or from where the builder stands, for pictures of any size."""
    colours = {name: stock.colour for name, stock in solution.job.stocks.items()}
    props = stage(solution, jig, use, colours, with_router=with_router)
    return seen(shown(props), view or isometric(_FROM[use], Z_AXIS))


def _lowered(builder: SheetBuilder, foot: float) -> float:
    """Move what is drawn down to `foot`; returns the height that the sheet then needs, mm."""
    box = union_box(builder.items)
    move = Transform.move(0.0, foot - box.y0)
    builder.items = [item.transformed(move) for item in builder.items]
    return foot + box.height + _EDGE / 2.0


def shown(props: tuple[Prop, ...]) -> list[Shown]:
    """Props as the solids of a picture."""
    return [Shown(prop.name, prop.facets, prop.colour) for prop in props]


def _fit(box: Box, room: Box) -> Transform:
    scale = min(room.width / box.width, room.height / box.height)
    center = box.center
    move = Transform.move(room.center.x - center.x * scale, room.center.y - center.y * scale)
    return Transform.scale(scale).then(move)


def _moved(box: Box, move: Transform) -> Box:
    return bounding_box((move.apply(P2(box.x0, box.y0)), move.apply(P2(box.x1, box.y1))))


def _targets(jig: Jig, picture: Picture, least: float) -> dict[str, P2]:
    """Where each name's piece shows best, in the picture, if it shows at least `least` to every side."""
    found: dict[str, P2] = {}
    for name, pieces in (*_captions(jig).items(), *_NAMES.items()):
        spots = [picture.spots[piece] for piece in pieces if piece in picture.spots]
        best = max(spots, key=lambda spot: spot.room, default=None)
        if best is not None and best.room >= least:
            found[name] = best.at
    return found


def _captions(jig: Jig) -> Mapping[str, tuple[str, ...]]:
    """What the jig's parts are called, each name with the parts that go by it."""
    found: dict[str, tuple[str, ...]] = {}
    for part in jig.parts:
        if part.traits.caption:
            found[part.traits.caption] = (*found.get(part.traits.caption, ()), part.name)
    return found


def _widest(targets: Mapping[str, P2], view: Box, left: bool) -> float:
    """How wide the column of names on one side is, with its distance from the picture."""
    placed = two_columns(targets, view, _AWAY, _PITCH)
    return max((_AWAY + text_width(one.text, _HEIGHT) for one in placed if one.left is left), default=0.0)


def _named(targets: Mapping[str, P2], view: Box) -> list[Item]:
    """The names at the picture's sides, each with a line to a dot on what it names."""
    items: list[Item] = []
    for one in two_columns(targets, view, _AWAY, _PITCH, level=True):
        anchor = Anchor.RIGHT if one.left else Anchor.LEFT
        label = Label(one.text, one.stand, _HEIGHT, Role.NOTE, anchor=anchor, level=Level.MIDDLE)
        items += [label, line(one.stand.plus(P2(1.0 if one.left else -1.0, 0.0)), one.at, Role.NOTE)]
        items.append(Fill(Circle(one.at, _DOT), Role.NOTE))
    return items
