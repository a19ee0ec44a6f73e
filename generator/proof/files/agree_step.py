"""The STEP files against the cutting files and results.json: as text in an instant, or re-read by the CAD kernel."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from pathlib import Path as FilePath
from typing import Any

from generator.base.contours2d import Circle, Contour
from generator.base.errors import GeometryError, OutputError
from generator.base.geometry3d import P3
from generator.base.points2d import P2, Transform
from generator.formats.step.text import StepText, read_step_text, step_points
from generator.jig.part import Part
from generator.proof.files.agree_cutting import outline_finding
from generator.proof.files.outline_compare import Drawn, compare, scale_words
from generator.proof.findings import Finding, Topic

#: STEP files carry twelve decimals or so; corners agree within this, mm.
EXACT = 2e-3
#: A solid has its volume within this share.
_VOLUME_SLACK = 1e-6
#: The sections that show every bore at its width lie this share of the thickness under either face.
_LEVEL = 0.04
#: Over a hole that is bored in from an edge such a section lies at most this share of the way to the hole.
_OVER_A_BORE = 0.5


def text_findings(path: FilePath, part: Part, drawn: Drawn) -> Iterator[Finding]:
    """A part's STEP file as text: unit, product, thickness, corners and bores where the cutting file has them.

    `drawn` is the part as its cutting file, or failing that its model, has it.
    """
    name = path.name
    try:
        text = read_step_text(path)
    except (OutputError, ValueError, IndexError, KeyError) as error:
        yield Finding(Topic.UNREADABLE, name, str(error))
        return
    if not text.metric:
        yield Finding(Topic.SCALE, name, "its unit is not the millimetre")
    if text.products[:1] != (part.name,) or text.solids != 1:
        words = f"{text.solids} solids of {', '.join(text.products)}; allowed: one {part.name}"
        yield Finding(Topic.SOLID, name, words)
    scale = _scale(text, drawn)
    if scale is not None:
        yield Finding(Topic.SCALE, name, scale)
        return
    thick = text.high.z - text.low.z
    if not (math.isclose(thick, part.thickness, abs_tol=EXACT) and abs(text.low.z) < EXACT):
        yield Finding(Topic.THICKNESS, name, f"{thick:.3f} mm thick; its sheet is {part.thickness:.3f} mm")
    yield from _corner_findings(name, text, drawn)


def shared_findings(assembly: FilePath, parts: Iterable[FilePath]) -> Iterator[Finding]:
    """The assembled jig's file has the very points and directions of the files of the `parts` that stand in it."""
    try:
        left = step_points(assembly)
        for path in parts:
            own = step_points(path)
            lost = own - left
            if lost:
                (_, where), words = (
                    next(iter(lost)),
                    f"{lost.total()} points or directions of {path.name} are not in it",
                )
                yield Finding(Topic.ASSEMBLY, assembly.name, f"{words}, the first {where}")
            left -= own
    except OutputError as error:
        yield Finding(Topic.UNREADABLE, assembly.name, str(error))


def _scale(text: StepText, drawn: Drawn) -> str | None:
    box = drawn.outline.box()
    across, up = (text.high.x - text.low.x) / box.width, (text.high.y - text.low.y) / box.height
    if math.isclose(across, up, rel_tol=1e-3) and abs(across - 1.0) > 0.05:
        return scale_words(across)
    return None


def _corner_findings(name: str, text: StepText, drawn: Drawn) -> Iterator[Finding]:
    missing = _missing(text, drawn)
    if not missing:
        return
    for words, change in (("left to right", Transform.mirror_x()), ("top to bottom", Transform.mirror_y())):
        if not _missing(text, drawn.transformed(change)):
            yield Finding(Topic.MIRRORED, name, f"mirrored {words}, against the cutting file")
            return
    at = missing[0]
    words = f"{len(missing)} corners or bores of the cutting file are not in it, the first at ({at.x:.2f}, {at.y:.2f})"
    yield Finding(Topic.OUTLINE, name, words)


def _missing(text: StepText, drawn: Drawn) -> list[P2]:
    """Corners and round holes of the drawing that the solid has none of."""
    corners = Places((corner.x, corner.y) for corner in text.corners)
    bores = {
        (round(wall.radius, 3), round(wall.origin.x, 2), round(wall.origin.y, 2))
        for wall in text.walls
        if abs(wall.direction.z) > 0.5
    }
    lost = [point for contour in (drawn.outline, *drawn.inside) for point in _corners(contour) if point not in corners]
    for contour in drawn.inside:
        if isinstance(contour, Circle) and not _has_bore(bores, contour):
            lost.append(contour.center)
    return lost


def _has_bore(bores: set[tuple[float, float, float]], circle: Circle) -> bool:
    return any(
        abs(radius - circle.radius) < EXACT and abs(x - circle.center.x) < 0.02 and abs(y - circle.center.y) < 0.02
        for radius, x, y in bores
    )


def _corners(contour: Contour) -> list[P2]:
    return [] if isinstance(contour, Circle) else [vertex.point for vertex in contour.vertices]


class Places:
    """Points of a plane, looked up within EXACT."""

    def __init__(self, points: Iterable[tuple[float, float]]) -> None:
        self._cells: dict[tuple[int, int], list[tuple[float, float]]] = {}
        for x, y in points:
            self._cells.setdefault((round(x), round(y)), []).append((x, y))

    def __contains__(self, point: P2) -> bool:
        x, y = round(point.x), round(point.y)
        near = (at for i in (-1, 0, 1) for j in (-1, 0, 1) for at in self._cells.get((x + i, y + j), ()))
        return any(abs(px - point.x) < EXACT and abs(py - point.y) < EXACT for px, py in near)


def solid_findings(path: FilePath, part: Part, volume: float, drawn: Drawn) -> Iterator[Finding]:
    """A part's STEP file re-read by the CAD kernel: validity, stated volume (mm³), thickness, and its sections."""
    from generator.formats.step.read import read_step

    name = path.name
    try:
        solid = read_step(path).only
    except OutputError as error:
        yield Finding(Topic.SOLID, name, str(error))
        return
    if not solid.valid:
        yield Finding(Topic.SOLID, name, "the kernel finds the solid invalid")
    if not math.isclose(solid.volume, volume, rel_tol=_VOLUME_SLACK):
        yield Finding(Topic.SOLID, name, f"{solid.volume:.4f} mm³; results.json states {volume:.4f} mm³")
    thick = solid.bounds.high.z - solid.bounds.low.z
    if not math.isclose(thick, part.thickness, abs_tol=EXACT):
        yield Finding(Topic.THICKNESS, name, f"{thick:.3f} mm thick; its sheet is {part.thickness:.3f} mm")
        return
    try:
        sections = [_section(solid, solid.bounds.low, height) for height in _levels(part)]
    except GeometryError as error:
        yield Finding(Topic.SOLID, name, str(error))
        return
    yield from outline_finding(name, compare(drawn, _through(*sections), EXACT), "its cutting file")


def _levels(part: Part) -> tuple[float, float]:
    """Heights over the back (mm) at which nothing but what goes through, or into a face, is cut."""
    deep, thick = _LEVEL * part.thickness, part.thickness
    low = [bore.z - bore.diameter / 2.0 for bore in part.edge_holes]
    high = [thick - bore.z - bore.diameter / 2.0 for bore in part.edge_holes]
    return min([deep, *(_OVER_A_BORE * skin for skin in low)]), thick - min([deep, *(_OVER_A_BORE * s for s in high)])


def _section(solid: Any, low: P3, height: float) -> Drawn:
    regions = solid.section_at(low.z + height)
    largest = max(regions, key=lambda region: region.area)
    return Drawn(largest.outer, tuple(largest.holes))


def _through(back: Drawn, front: Drawn) -> Drawn:
    """What goes right through: at each place the smaller of the two openings; what is sunk into one face drops out."""
    inside = []
    for contour in back.inside:
        middle = contour.box().center
        twins = [other for other in front.inside if other.box().center.distance(middle) < 0.05]
        if twins:
            inside.append(min((contour, *twins), key=lambda found: found.area))
    return Drawn(back.outline, tuple(inside))
