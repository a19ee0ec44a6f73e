"""The next instrument: which parts of a kit already made serve it as they are, and which to make new, and why.

Two jigs are compared part by part, shape against shape; names and engraved values do not count, because a plate that
guides the bushing the same way is the same plate.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

from generator.cradle import shim_stack
from generator.geometry2d import Circle, Contour, Path
from generator.parts.base import EdgeHole, Hole, Jig, Part
from generator.units import format_mm

#: Shapes that agree within this are one shape: less than any of these parts can be cut to, mm.
SAME_SHAPE = 0.02
#: Sheets whose thickness agrees within this are one sheet, mm.
SAME_THICKNESS = 0.05
#: Volumes that differ by a larger share belong to different parts.
_SAME_VOLUME = 1e-6
#: More shims than this are a tower, not a trim.
_MOST_SHIMS = 3
#: A part's own dimension that changed less than this is not named as the reason, mm or degrees.
_SAME_FIGURE = 0.005
#: Named reasons per part; more would not be read.
_MOST_REASONS = 3
#: Parts whose whole meaning is one setting that shims can make up, and where to lay them. The angle rest's are those
#: behind it, the nominal one among them. A depth block sets a plunge's stop rod and comes out again; a fixed base would
#: need a pair under its feet.
_ANGLE_REST = "angle_rest"
_SHIMMED = {
    _ANGLE_REST: "behind the one at hand, the nominal one left out",
    "depth_block": "on the one at hand to set a plunge",
    "depth_block_tenon": "on the one at hand to set a plunge",
}


class Verdict(Enum):
    """What becomes of a part."""

    SERVES = "serves"
    MAKE_NEW = "make new"
    ADD = "add"
    NOT_NEEDED = "not needed"
    CHECK = "check"


@dataclass(frozen=True)
class PartVerdict:
    """One part: its name and title, what becomes of it, and why."""

    name: str
    title: str
    verdict: Verdict
    why: str


def compare_jigs(
    have: Jig,
    wanted: Jig,
    shims: Iterable[float] = (),
    nominal_shim: float = 0.0,
    volumes: Mapping[str, float] | None = None,
) -> tuple[PartVerdict, ...]:
    """Every part of `wanted` against the kit `have`, then the parts of `have` that are no longer needed.

    `shims` are the trim shims at hand, mm, each thickness twice, and `nominal_shim` the one besides that stands behind
    the angle rest: another angle may be the old rest on other shims. `volumes` are those the kit's own results give its
    parts, mm³: where this program would build another part than the kit holds,
    the part is left for the builder to check.
    """
    old = {part.name: part for part in have.parts}
    shims = tuple(shims)
    found = [
        _unknown(part)
        if _another(old.get(part.name), volumes)
        else _judge(part, old.get(part.name), shims, nominal_shim)
        for part in wanted.parts
    ]
    names = {part.name for part in wanted.parts}
    found += [
        PartVerdict(part.name, part.title, Verdict.NOT_NEEDED, "this instrument's jig does without it")
        for part in have.parts
        if part.name not in names
    ]
    return tuple(found)


def _another(old: Part | None, volumes: Mapping[str, float] | None) -> bool:
    """True when the kit's results describe another part of this name than this program builds for its job."""
    if old is None or volumes is None:
        return False
    return old.name not in volumes or abs(volumes[old.name] / old.volume - 1.0) > _SAME_VOLUME


def _unknown(part: Part) -> PartVerdict:
    why = "the kit at hand was made by another version of this program: compare it with the new files"
    return PartVerdict(part.name, part.title, Verdict.CHECK, why)


def _judge(part: Part, old: Part | None, shims: tuple[float, ...], nominal: float) -> PartVerdict:
    if old is None:
        return PartVerdict(part.name, part.title, Verdict.ADD, "the kit at hand has none")
    reasons = [*_material(old, part), *(_shape(old, part))]
    if not reasons:
        why = "" if _lettering(old) == _lettering(part) else "its engraving says other values: mark it"
        return PartVerdict(part.name, part.title, Verdict.SERVES, why)
    why = "; ".join(reasons[:_MOST_REASONS])
    if part.name in _SHIMMED and len(_material(old, part)) == 0:
        why += _with_shims(old, part, shims, nominal)
    return PartVerdict(part.name, part.title, Verdict.MAKE_NEW, why)


def _material(old: Part, new: Part) -> list[str]:
    found = []
    if old.stock != new.stock:
        found.append(f"{new.stock} in place of {old.stock}")
    if abs(old.thickness - new.thickness) > SAME_THICKNESS:
        found.append(f"thickness {_change(old.thickness, new.thickness)}")
    if old.quantity < new.quantity:
        found.append(f"{new.quantity} wanted, {old.quantity} there")
    return found


def _shape(old: Part, new: Part) -> list[str]:
    """Reasons why the shapes differ; none when they do not."""
    different = _different_features(old, new)
    if not different:
        return []
    figures = _changed_figures(old, new)
    return figures or [f"{different[0]} differs"]


def _changed_figures(old: Part, new: Part) -> list[str]:
    """The dimensions of the same name whose values changed, largest change first."""
    before: Mapping[str, float] = {dimension.name: dimension.value for dimension in old.dimensions}
    changed = [
        (abs(dimension.value - before[dimension.name]), dimension)
        for dimension in new.dimensions
        if dimension.name in before
        and abs(dimension.value - before[dimension.name]) > _SAME_FIGURE
        and format_mm(dimension.value) != format_mm(before[dimension.name])
    ]
    changed.sort(key=lambda pair: -pair[0])
    return [f"{one.name.replace('_', ' ')} {_change(before[one.name], one.value)}" for _, one in changed]


def _different_features(old: Part, new: Part) -> list[str]:
    return [name for name, same in _features(old, new) if not same]


def _features(old: Part, new: Part) -> Iterator[tuple[str, bool]]:
    """Every kind of feature, and whether it is the same on both."""
    yield "the outline", _same_contour(old.outline, new.outline)
    yield (
        "an opening",
        _all_same(
            [(o.contour, n.contour) for o, n in zip(old.openings, new.openings, strict=False)],
            len(old.openings) == len(new.openings),
        ),
    )
    yield (
        "a pocket",
        _all_same(
            [(o.contour, n.contour) for o, n in zip(old.pockets, new.pockets, strict=False)],
            len(old.pockets) == len(new.pockets)
            and all(
                o.face is n.face and abs(o.depth - n.depth) <= SAME_SHAPE
                for o, n in zip(old.pockets, new.pockets, strict=True)
            ),
        ),
    )
    yield (
        "a hole",
        len(old.holes) == len(new.holes) and all(_same_hole(o, n) for o, n in zip(old.holes, new.holes, strict=True)),
    )
    yield (
        "a hole in the edge",
        len(old.edge_holes) == len(new.edge_holes)
        and all(_same_edge_hole(o, n) for o, n in zip(old.edge_holes, new.edge_holes, strict=True)),
    )
    yield (
        "an engraved line",
        len(old.engraved_lines) == len(new.engraved_lines)
        and all(_same_contour(o, n) for o, n in zip(old.engraved_lines, new.engraved_lines, strict=True)),
    )


def _all_same(pairs: list[tuple[Contour, Contour]], alike: bool) -> bool:
    return alike and all(_same_contour(o, n) for o, n in pairs)


def _same_contour(old: Contour, new: Contour) -> bool:
    """Vertex by vertex, arcs by their own middle; both come from the same builder, so they run the same way round."""
    if isinstance(old, Circle) or isinstance(new, Circle):
        if not (isinstance(old, Circle) and isinstance(new, Circle)):
            return False
        return old.center.distance(new.center) <= SAME_SHAPE and _near(old.radius, new.radius)
    return len(old.vertices) == len(new.vertices) and old.closed is new.closed and _same_run(old, new)


def _same_run(old: Path, new: Path) -> bool:
    return all(
        o.start.distance(n.start) <= SAME_SHAPE and o.point_at(0.5).distance(n.point_at(0.5)) <= SAME_SHAPE
        for o, n in zip(old.segments(), new.segments(), strict=True)
    )


def _same_hole(old: Hole, new: Hole) -> bool:
    return (
        old.at.distance(new.at) <= SAME_SHAPE
        and old.thread == new.thread
        and old.face is new.face
        and all(
            _near(getattr(old, key), getattr(new, key))
            for key in (
                "diameter",
                "depth",
                "thread_depth",
                "counterbore_diameter",
                "counterbore_depth",
                "countersink_diameter",
                "countersink_angle",
            )
        )
    )


def _same_edge_hole(old: EdgeHole, new: EdgeHole) -> bool:
    return (
        old.at.distance(new.at) <= SAME_SHAPE
        and old.into.distance(new.into) <= SAME_SHAPE
        and old.thread == new.thread
        and all(_near(getattr(old, key), getattr(new, key)) for key in ("z", "diameter", "depth", "thread_depth"))
    )


def _near(old: float | None, new: float | None) -> bool:
    if old is None or new is None:
        return old is new
    return abs(old - new) <= SAME_SHAPE


def _lettering(part: Part) -> list[str]:
    return [text.text for text in part.engraved_texts]


def _with_shims(old: Part, new: Part, shims: tuple[float, ...], nominal: float) -> str:
    """A hint where the old part and trim shims come as near as the thinnest shim allows."""
    setting = "depth_block" if new.name.startswith("depth_block") else f"{new.name}_width"
    before, after = (next(one.value for one in part.dimensions if one.name == setting) for part in (old, new))
    total = after - before + (nominal if new.name == _ANGLE_REST else 0.0)
    if not shims or total <= 0.0:
        return ""
    stack = shim_stack(total, shims, nominal)
    if not 0 < len(stack) <= _MOST_SHIMS or abs(sum(stack) - total) > min(shims) / 2.0 + 1e-9:
        return ""
    return f"; or lay shims {' + '.join(format_mm(one) for one in stack)} mm {_SHIMMED[new.name]}"


def _change(old: float, new: float) -> str:
    return f"{format_mm(old)} → {format_mm(new)}"
