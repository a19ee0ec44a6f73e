"""The assembled jig's STEP file, re-read by the CAD kernel: every piece once, its own solid, in its place."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from generator.errors import OutputError
from generator.geometry2d import Path as Outline
from generator.geometry3d import P3
from generator.parts.base import Bought, Jig, Placed, Use
from generator.parts.setting import Setting, rod_frame
from generator.proof.agree_step import Places
from generator.proof.findings import Finding, Kind

if TYPE_CHECKING:
    from generator.readers.step import StepSolid

#: A piece stands where it belongs within this, mm, and has its volume within this share.
_PLACE, _VOLUME = 2e-3, 1e-6


def assembly_findings(path: Path, jig: Jig, angle: float, volumes: Mapping[str, float]) -> Iterator[Finding]:
    """The file at `path` against the jig that cuts the neck, its bed at `angle` degrees; `volumes` (mm³) by part."""
    from generator.readers.step import read_step

    try:
        solids = read_step(path).solids
    except OutputError as error:
        yield Finding(Kind.UNREADABLE, path.name, str(error))
        return
    setting = Setting(jig, angle, Use.NECK)
    parts = {item.label: item for item in jig.placed if Use.NECK in item.part.uses}
    rods = {
        f"{line.id}_{number}": piece
        for line in jig.hardware
        for number, piece in enumerate(line.pieces, start=1)
        if Use.NECK in piece.uses
    }
    wanted, found = Counter({*parts, *rods}), Counter(solid.label for solid in solids)
    if found != wanted:
        odd = ", ".join(sorted({*(wanted - found), *(found - wanted)}))
        words = f"{len(solids)} pieces, where {len(wanted)} belong; missing, strange or there twice: {odd}"
        yield Finding(Kind.ASSEMBLY, path.name, words)
    for solid in solids:
        if solid.label in parts:
            fault = _part_fault(solid, parts[solid.label], setting, volumes)
        elif solid.label in rods:
            fault = _rod_fault(solid, rods[solid.label], setting)
        else:
            continue
        if fault:
            yield Finding(Kind.ASSEMBLY, path.name, f"{solid.label} {fault}")


def _part_fault(solid: StepSolid, item: Placed, setting: Setting, volumes: Mapping[str, float]) -> str:
    """What is wrong with a part's solid, seen from where the part should stand; empty when nothing is."""
    part = item.part
    if solid.product != part.name:
        return f"is a {solid.product}; it should be a {part.name}"
    place = setting.placement(item.placement, part.carrier)
    corners = [place.to_part(corner) for corner in solid.corners]
    low, high = min(corner.z for corner in corners), max(corner.z for corner in corners)
    off = max(abs(low), abs(high - part.thickness))
    if off > _PLACE:
        return f"is {high - low:.3f} mm thick and its back stands {low:.3f} mm off its place"
    seen = Places((corner.x, corner.y) for corner in corners)
    if isinstance(part.outline, Outline) and any(vertex.point not in seen for vertex in part.outline.vertices):
        return "stands elsewhere, lies mirrored, or has another outline"
    return _volume_fault(solid, volumes.get(part.name, math.nan))


def _rod_fault(solid: StepSolid, piece: Bought, setting: Setting) -> str:
    """As `_part_fault`, for a bought round piece: its seam's ends lie on both rims."""
    place = setting.placement(rod_frame(piece), piece.carrier)
    corners = [place.to_part(corner) for corner in solid.corners]
    if any(_off_the_rim(corner, piece) > _PLACE for corner in corners):
        return "stands elsewhere or has another size"
    return _volume_fault(solid, math.pi * piece.diameter**2 / 4.0 * piece.length)


def _off_the_rim(corner: P3, piece: Bought) -> float:
    aside = abs(math.hypot(corner.x, corner.y) - piece.diameter / 2.0)
    return max(aside, min(abs(corner.z), abs(corner.z - piece.length)))


def _volume_fault(solid: StepSolid, wanted: float) -> str:
    if math.isclose(solid.volume, wanted, rel_tol=_VOLUME):
        return ""
    return f"has {solid.volume:.2f} mm³; its own solid has {wanted:.2f} mm³"
