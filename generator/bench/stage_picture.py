"""The jig in use as a picture in space: bench, clamps, jig, work and router, with their names beside it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from generator.drawing.columns import two_columns
from generator.drawing.font import text_width
from generator.drawing.picture import Picture, Shown, picture_items, seen
from generator.drawing.projection import isometric
from generator.drawing.sheet import Fill, Item, Label, Level, Sheet, SheetBuilder
from generator.drawing.style import Role
from generator.drawing.symbols import line
from generator.facets.props import Prop
from generator.facets.stage import stage
from generator.frame import Use
from generator.geometry2d import P2, Box, Circle, Transform
from generator.geometry3d import P3, Z_AXIS, Placement
from generator.parts.base import Anchor, Jig
from generator.solution import Solution

#: Seen from the half that is cut, a little from its left and from above.
_FROM = {Use.NECK: P3(-1.0, -0.75, 0.62), Use.BODY: P3(1.0, -0.75, 0.62)}
_TITLES = {Use.NECK: "The neck cut", Use.BODY: "The body cut: the jig turned round"}
#: What is named, by the piece that its line may end on; of several pieces the one that shows best is taken.
_NAMES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "template plate": ("template_plate",),
        "board": ("board",),
        "bracket": ("bracket_left", "bracket_right"),
        "upper rest": ("upper_rest",),
        "angle rest": ("angle_rest",),
        "body rest": ("body_rest",),
        "caul": ("caul",),
        "clamp at the work": ("work_clamp_1_arm", "work_clamp_2_arm"),
        "clamp on the bench": ("bench_clamp_1_jaw", "bench_clamp_2_jaw"),
        "bench": ("bench", "bench_edge"),
        "neck blank": ("neck",),
        "body": ("body",),
        "router": ("router_case",),
    }
)
#: Capitals, least distance of two names, of a name from the picture, the dot at a line's end, the foot's room, mm.
_HEIGHT, _PITCH, _AWAY, _DOT, _FOOT = 2.5, 5.0, 5.0, 0.5, 7.0
_EDGE = 1.0
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
    only: Collection[str] | None = None,
    least: float = _LEAST,
    with_router: bool = True,
    view: Placement | None = None,
) -> Sheet:
    """The stage of one cut on a sheet of `width` × `height` mm, seen along `view` or from where the builder stands.

    Parts are painted by their stocks' colours. `only` keeps to some of the names, which leaves the view more room; no
    name's line ends on a piece that shows less than `least` mm to every side. Nothing on it measures anything.
    """
    colours = {name: stock.colour for name, stock in solution.job.stocks.items()}
    props = stage(solution, jig, use, colours, with_router=with_router)
    picture = seen(shown(props), view or isometric(_FROM[use], Z_AXIS))
    named = [name for name in _NAMES if only is None or name in only] if names else []
    margin = _EDGE + (_AWAY + max(text_width(name, _HEIGHT) for name in named) if named else 0.0)
    room = Box(margin, _FOOT if names else _EDGE, width - margin, height - _EDGE)
    move = _fit(picture.box, room)
    builder = SheetBuilder(f"stage_{use.value}", _TITLES[use])
    builder.add(picture_items(picture, move))
    if names:
        builder.add(_named(picture, move, named, least))
        builder.label(_TITLES[use], P2(width / 2.0, 2.0), 3.5, Role.TITLE, anchor=Anchor.MIDDLE)
    return builder.sheet(width, height, job=solution.job.name)


def shown(props: tuple[Prop, ...]) -> list[Shown]:
    """Props as the solids of a picture."""
    return [Shown(prop.name, prop.facets, prop.colour) for prop in props]


def _fit(box: Box, room: Box) -> Transform:
    scale = min(room.width / box.width, room.height / box.height)
    center = box.center
    move = Transform.move(room.center.x - center.x * scale, room.center.y - center.y * scale)
    return Transform.scale(scale).then(move)


def _named(picture: Picture, move: Transform, names: Collection[str], least: float) -> list[Item]:
    """The names of what is seen, at the sheet's sides."""
    scale = move.a
    targets: dict[str, P2] = {}
    for name in names:
        spots = [picture.spots[piece] for piece in _NAMES[name] if piece in picture.spots]
        best = max(spots, key=lambda spot: spot.room, default=None)
        if best is not None and best.room * scale >= least:
            targets[name] = move.apply(best.at)
    box = picture.box
    low, high = move.apply(P2(box.x0, box.y0)), move.apply(P2(box.x1, box.y1))
    items: list[Item] = []
    for one in two_columns(targets, Box(low.x, low.y, high.x, high.y), _AWAY, _PITCH, level=True):
        anchor = Anchor.RIGHT if one.left else Anchor.LEFT
        label = Label(one.text, one.stand, _HEIGHT, Role.NOTE, anchor=anchor, level=Level.MIDDLE)
        items += [label, line(one.stand.plus(P2(1.0 if one.left else -1.0, 0.0)), one.at, Role.NOTE)]
        items.append(Fill(Circle(one.at, _DOT), Role.NOTE))
    return items
