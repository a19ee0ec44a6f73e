"""The assembled jig's STEP file, re-read by the CAD kernel: every piece once, its own solid, in its place."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from generator.base.contours2d import Path as Outline
from generator.base.errors import OutputError
from generator.base.geometry3d import P3
from generator.jig.part import Bought, Jig, Placed
from generator.proof.files.agree_step import Places
from generator.proof.findings import Finding, Topic

if TYPE_CHECKING:
    from generator.formats.step.read import StepSolid

#: A piece stands where it belongs within this, mm.
_PLACE = 2e-3
#: A piece has its volume within this share.
_VOLUME = 1e-6


def assembly_findings(path: Path, jig: Jig, volumes: Mapping[str, float]) -> Iterator[Finding]:
    """The file at `path` against the jig as it stands, in the plate frame; `volumes` (mm³) by part."""
    from generator.formats.step.read import read_step

    try:
        solids = read_step(path).solids
    except OutputError as error:
        yield Finding(Topic.UNREADABLE, path.name, str(error))
        return
    parts = {item.label: item for item in jig.placed}
    screws = {
        f"{line.id}_{number}": piece for line in jig.hardware for number, piece in enumerate(line.pieces, start=1)
    }
    wanted, found = Counter({*parts, *screws}), Counter(solid.label for solid in solids)
    if found != wanted:
        odd = ", ".join(sorted({*(wanted - found), *(found - wanted)}))
        words = f"{len(solids)} pieces, where {len(wanted)} belong; missing, strange or there twice: {odd}"
        yield Finding(Topic.ASSEMBLY, path.name, words)
    for solid in solids:
        if solid.label in parts:
            fault = _part_fault(solid, parts[solid.label], volumes)
        elif solid.label in screws:
            fault = _screw_fault(solid, screws[solid.label])
        else:
            continue
        if fault:
            yield Finding(Topic.ASSEMBLY, path.name, f"{solid.label} {fault}")


def _part_fault(solid: StepSolid, item: Placed, volumes: Mapping[str, float]) -> str:
    """What is wrong with a part's solid, seen from where the part should stand; empty when nothing is."""
    part = item.part
    if solid.product != part.name:
        return f"is a {solid.product}; it should be a {part.name}"
    place = item.placement
    corners = [place.to_part(corner) for corner in solid.corners]
    low, high = min(corner.z for corner in corners), max(corner.z for corner in corners)
    off = max(abs(low), abs(high - part.thickness))
    if off > _PLACE:
        return f"is {high - low:.3f} mm thick and its back stands {low:.3f} mm off its place"
    seen = Places((corner.x, corner.y) for corner in corners)
    if isinstance(part.outline, Outline) and any(vertex.point not in seen for vertex in part.outline.vertices):
        return "stands elsewhere, lies mirrored, or has another outline"
    return _volume_fault(solid, volumes.get(part.name, math.nan))


def _screw_fault(solid: StepSolid, piece: Bought) -> str:
    """As `_part_fault`, for a bought piece: its seam's ends lie on its profile's corners, all of them met."""
    rims = [rim for rim in piece.profile if rim[0] > 0.0]
    met = set()
    for corner in solid.corners:
        at = piece.frame.to_part(corner)
        off, rim = min((_off_the_rim(at, rim), rim) for rim in piece.profile)
        if off > _PLACE:
            return "stands elsewhere or has another size"
        met.add(rim)
    if not met.issuperset(rims):
        return "has another head or another length"
    return _volume_fault(solid, piece.volume)


def _off_the_rim(corner: P3, rim: tuple[float, float]) -> float:
    radius, depth = rim
    return max(abs(math.hypot(corner.x, corner.y) - radius), abs(corner.z - depth))


def _volume_fault(solid: StepSolid, wanted: float) -> str:
    if math.isclose(solid.volume, wanted, rel_tol=_VOLUME):
        return ""
    return f"has {solid.volume:.2f} mm³; its own solid has {wanted:.2f} mm³"
