"""The next instrument: which parts of a kit already made serve it as they are, and which to make new, and why.

Two jigs are compared part by part, shape against shape; names and engraved values do not count, because a plate that
guides the bushing the same way is the same plate. Plate, board and brackets serve together wherever joint and router
agree, though their lengths were made for another heel; the angle rest is an instrument's own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from types import MappingProxyType
from typing import Any

from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.base.units import format_mm
from generator.jig.part import Jig, Part
from generator.jig.traits import Serves, Shimmed
from generator.job.model.jig import JigSpec
from generator.joint.cradle import SHIM_COPIES, shim_stack, stack_words
from generator.joint.solution import Solution
from generator.joint.stations import board_width, body_rest_end

#: Shapes that agree within this are one shape: less than any of these parts can be cut to, mm.
SAME_SHAPE = 0.02
#: Sheets whose thickness agrees within this are one sheet, mm.
SAME_THICKNESS = 0.05
#: Volumes that differ by a larger share belong to different parts.
_SAME_VOLUME = 1e-6
#: More shims than this are a tower, not a trim.
_MOST_SHIMS = 4
#: A part's own dimension that changed less than this is not named as the reason, mm or degrees.
_SAME_FIGURE = 0.005
#: Named reasons per part; more would not be read.
_MOST_REASONS = 3
#: Least end clearance that a plate made for another heel may leave, mm.
_LEAST_END = 0.3
#: The most that a plate made for another heel may add to the end clearance, mm.
_MORE_END = 1.5
#: A part's features, and what one that differs is called.
_FEATURES: Mapping[str, str] = MappingProxyType(
    {
        "outline": "the outline",
        "openings": "an opening",
        "holes": "a hole",
        "edge_holes": "a hole in the edge",
        "engraved_lines": "an engraved line",
    }
)
#: What of a feature says nothing of its shape.
_WORDS = frozenset({"id", "why", "fit"})


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


@dataclass(frozen=True)
class SharedJig:
    """Whether a standing jig serves another instrument as a whole.

    `reasons` say why it does not; none: it does. `end_clearance` is what neck and body then leave at their ends, in
    mm.
    """

    reasons: tuple[str, ...]
    end_clearance: float


def shared_jig(have: Solution, wanted: Solution, *, made: bool = True) -> SharedJig:
    """Whether plate, board and brackets made for `have` cut the joint of `wanted`.

    Widths, depth and the rests' places must agree; a longer or shorter opening or tongue may serve as long as neck and
    body keep an end clearance and the heel covers what is cut. A jig not yet `made` can be made with room enough.
    """
    if have.joint.kind is not wanted.joint.kind:
        return SharedJig((f"a {have.joint.kind.value} joint's jig, wanted {wanted.joint.kind.value}",), 0.0)
    old, new = have.routing, wanted.routing
    alike = (
        ("opening width", old.opening_width, new.opening_width),
        ("tongue width", old.tongue_width, new.tongue_width),
        ("opening corner radius", old.opening_corner_radius, new.opening_corner_radius),
        ("tongue corner radius", old.tongue_corner_radius, new.tongue_corner_radius),
        ("depth of cut", have.joint.depth_of_cut, wanted.joint.depth_of_cut),
        ("upper rest", have.cradle.upper_rest, wanted.cradle.upper_rest),
        ("rest spacing", have.cradle.rest_spacing, wanted.cradle.rest_spacing),
        ("rest thickness", have.cradle.rest_thickness, wanted.cradle.rest_thickness),
    )
    enough = (
        ("run-out", -old.opening_start, -new.opening_start),
        ("window half width", old.window_half_width, new.window_half_width),
        ("window end", old.window_end, new.window_end),
        ("board width", board_width(have.job, old), board_width(wanted.job, new)),
        *_body_rest_room(have, wanted),
    )
    reasons = [f"{name} {_change(a, b)}" for name, a, b in alike if abs(a - b) > SAME_SHAPE]
    if made:
        reasons += [f"{name} {format_mm(a)}, wanted {format_mm(b)}" for name, a, b in enough if a < b - SAME_SHAPE]
    body = wanted.joint.body_outline
    if body is None:
        return SharedJig(tuple(reasons), 0.0)
    longer, room = old.opening_length - new.opening_length, wanted.joint.end_room
    end = room + longer - (old.tongue_length - new.tongue_length)
    if not _LEAST_END <= end <= room + _MORE_END:
        reasons.append(f"end clearance {_change(room, end)}")
    if body.length + longer > wanted.joint.heel_length + SAME_SHAPE:
        reasons.append(f"a {body.name} {format_mm(longer)} longer, which the heel does not cover")
    return SharedJig(tuple(reasons), end)


def _body_rest_room(have: Solution, wanted: Solution) -> tuple[tuple[str, float, float], ...]:
    if wanted.joint.body_outline is None:
        return ()
    return (("room for the body rest on the neck block", body_rest_end(wanted.job), body_rest_end(have.job)),)


def compare_jigs(
    have: Jig,
    wanted: Jig,
    spec: JigSpec | None = None,
    volumes: Mapping[str, float] | None = None,
    shared: SharedJig | None = None,
) -> tuple[PartVerdict, ...]:
    """Every part of `wanted` against the kit `have`, then the parts of `have` that are no longer needed.

    `spec` names the kit's shims: on them an old angle rest may serve. `volumes` are those the kit's own results give
    its parts, mm³: where this program would build another part than the kit holds, the part is left for the builder to
    check. `shared` is what `shared_jig` found.
    """
    old = {part.name: part for part in have.parts}
    found = [
        _unknown(part) if _another(old.get(part.name), volumes) else _judge(part, old.get(part.name), spec, shared)
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


def _judge(part: Part, old: Part | None, spec: JigSpec | None, shared: SharedJig | None) -> PartVerdict:
    if old is None:
        return PartVerdict(part.name, part.title, Verdict.ADD, "the kit at hand has none")
    material, shape = _material(old, part), _shape(old, part)
    if not material and not shape:
        why = "" if _lettering(old) == _lettering(part) else "its engraving says other values: mark it"
        return PartVerdict(part.name, part.title, Verdict.SERVES, why)
    if not material and shared is not None and not shared.reasons and part.traits.serves is Serves.FRAME:
        why = "made for another heel"
        if part.traits.guides_cutter and shared.end_clearance:
            why += f": the end clearance becomes {format_mm(shared.end_clearance)}"
        return PartVerdict(part.name, part.title, Verdict.SERVES, why)
    why = "; ".join([*material, *shape][:_MOST_REASONS])
    if spec is not None and not material and part.traits.shimmed is not None:
        why += _with_shims(old, part, part.traits.shimmed, spec)
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
    return [words for field, words in _FEATURES.items() if not _alike(getattr(old, field), getattr(new, field))]


def _alike(old: Any, new: Any) -> bool:
    """Whether two shapes are one: every field of a feature, but for its words; sizes within `SAME_SHAPE`."""
    if isinstance(old, P2) and isinstance(new, P2):
        return old.distance(new) <= SAME_SHAPE
    if isinstance(old, Path) and isinstance(new, Path):
        return len(old.vertices) == len(new.vertices) and old.closed is new.closed and _same_run(old, new)
    if isinstance(old, int | float) and isinstance(new, int | float):
        return abs(old - new) <= SAME_SHAPE
    if isinstance(old, tuple):
        return len(old) == len(new) and all(map(_alike, old, new))
    if is_dataclass(old):
        names = [field.name for field in fields(old) if field.name not in _WORDS]
        return type(old) is type(new) and all(_alike(getattr(old, name), getattr(new, name)) for name in names)
    return bool(old == new)


def _same_run(old: Path, new: Path) -> bool:
    """Vertex by vertex, arcs by their own middle; both come from the same builder, so they run the same way round."""
    return all(
        o.start.distance(n.start) <= SAME_SHAPE and o.point_at(0.5).distance(n.point_at(0.5)) <= SAME_SHAPE
        for o, n in zip(old.segments(), new.segments(), strict=True)
    )


def _lettering(part: Part) -> list[str]:
    return [text.text for text in part.engraved_texts]


def _with_shims(old: Part, new: Part, shimmed: Shimmed, spec: JigSpec) -> str:
    """A hint where the old part and the kit's shims come as near as the thinnest shim allows.

    A depth block sets a plunge's stop rod and comes out again; a fixed base would need a pair under its feet.
    """
    before, after = (next(one.value for one in part.dimensions if one.name == shimmed.dimension) for part in (old, new))
    behind_rest = shimmed.replaces_nominal
    total = after - before + (spec.nominal_shim if behind_rest else 0.0)
    stack = shim_stack(total, spec.shims, spec.nominal_shim)
    taken = not behind_rest and stack.count(spec.nominal_shim) > SHIM_COPIES * (spec.nominal_shim in spec.shims)
    if taken or len(stack) > _MOST_SHIMS or abs(math.fsum(stack) - total) > min(spec.shims) / 2.0 + 1e-9:
        return ""
    if not stack:
        return "; or the one at hand without a shim" if behind_rest else ""
    return f"; or lay shims {stack_words(stack)} mm {shimmed.where}"


def _change(old: float, new: float) -> str:
    return f"{format_mm(old)} → {format_mm(new)}"
