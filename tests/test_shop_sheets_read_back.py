"""Whole sets of shop drawings, read back from the PDF and DXF by other programs.

Judges: pdfium's text boxes and strokes for the PDF, ezdxf's reading for the DXF, and a list of every length that the
parts of the model have, made here from their contours and features.
"""

from __future__ import annotations

import io
import itertools
import math
import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import ezdxf
import pytest
from jobs_by_hand import changed, load
from made_once import made as made_ready
from made_once import shop_sheets
from pdf_ink import PageInk, read
from shapely import STRtree, unary_union

from generator.base.annotation import Tolerance
from generator.base.contours2d import Path
from generator.base.points2d import P2
from generator.drawing.page import sheet_page
from generator.drawing.sheet import Sheet
from generator.formats.dxf.write_drawing import drawing_dxf
from generator.formats.pdf.write import pdf_bytes
from generator.jig.build import build_jig
from generator.jig.part import EdgeHole, Hole, Jig, Part
from generator.job.fasteners import hole_limits
from generator.joint.solution import Solution, solve

#: A machined job in inches with sizes that are round in no unit.
ODD: dict[str, dict[str, Any]] = {
    "instrument": {"body_depth_at_neck": 98.37, "heel_width": 57.15},
    "joint": {"mortise_width": 19.37},
    "jig": {"preset": "machined"},
    "output": {"paper": ["letter"], "units": "inch", "projection": "third"},
}
#: A job from the presets in both units, and the odd one.
JOBS = ("orchestra-14", "odd")
#: Ink of letters may come this close to a line, mm.
NEAR = 0.15


@cache
def made(name: str) -> tuple[Solution, Jig]:
    if name != "odd":
        return made_ready(name)
    solution = solve(load(changed(**ODD)))
    return solution, build_jig(solution)


@cache
def sheets(job: str) -> dict[str, Sheet]:
    return {sheet.name: sheet for sheet in shop_sheets(*made(job))}


@cache
def ink(job: str, name: str) -> PageInk:
    (page,) = read(pdf_bytes([sheet_page(sheets(job)[name])], "t", job))
    return page


def every_part() -> list[tuple[str, str]]:
    return [(job, part.name) for job in JOBS for part in made(job)[1].parts if part.name in sheets(job)]


# --- nothing over anything -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", JOBS)
def test_no_text_over_text_or_line(job: str) -> None:
    """On every sheet of the set no text meets another one, a line, an arrowhead, or leaves the frame."""
    for name in sheets(job):
        page = ink(job, name)
        texts = [text for text in page.texts if text.text]
        assert len(texts) > 20
        lines = STRtree([line.shape.buffer(line.width / 2.0) for line in page.lines])
        fills = STRtree(list(page.fills))
        for i, one in enumerate(texts):
            core = one.quad.buffer(-NEAR)
            for other in texts[i + 1 :]:
                assert one.quad.intersection(other.quad).area < 0.05, (name, one.text, other.text)
            for tree in (lines, fills):
                over = [tree.geometries[k] for k in tree.query(core, predicate="intersects")]
                assert unary_union(over).intersection(core).area < 0.02 if over else True, (name, one.text)
        width, height = page.media[2] * 25.4 / 72.0, page.media[3] * 25.4 / 72.0
        for text in texts:
            x0, y0, x1, y1 = text.quad.bounds
            assert min(x0 - 20.0, y0 - 10.0, width - 10.0 - x1, height - 10.0 - y1) > 0.0, (name, text.text)


# --- every number is the model's -------------------------------------------------------------------------------------

NUMBER = re.compile(r"(-?\d+(?:\.\d+)?)( mm\b)?")
#: What is no length: ids, scales, sheet numbers, paper, standards, the datum's name, numbers of notes, angles.
NO_LENGTH = re.compile(
    r"ISO 2768-m|ASME [BCD]|datum 0,0|\b\d+:\d+\b|\b\d+ of \d+\b|^\d+\. |\b[A-QS-Z]\d+\b(?!\.)|\b\d+×|[\d.]+°|M\d+\b|"
    r"each of \d+|[HF]7\b|ISO 8015|Ra [\d.]+ µ(?:m|in)|broken [\d.]+ (?:mm(?: \([\d.]+ in\))?|in)|"
    r"laser/\w+\.dxf|Make \d+\.|alloy 6082"
)


def model_lengths(part: Part, job: str) -> set[float]:
    """Every length, mm, that the part has: a drawing may print these and none else."""
    stock = made(job)[0].job.stocks[part.stock]
    found = {part.thickness, stock.thickness_tolerance}
    if part.thickness_tolerance:
        found |= set(limits(part.thickness_tolerance))
    for dimension in (*part.dimensions, *part.shop_dimensions):
        found.add(dimension.value)
        found |= set(limits(dimension.tolerance)) if dimension.tolerance else set()
    for hole in part.holes:
        found |= set(place(hole.at, part)) | set(hole_sizes(hole))
    for edge_hole in part.edge_holes:
        found |= set(place(edge_hole.at, part)) | {edge_hole.z} | set(hole_sizes(edge_hole))
    # Geometrical tolerances of machined parts (R13 of the jig's requirements): 0.05, 0.1 for faces, corners and places
    # of holes, 0.2 for the openings' places; letters are engraved 0.2 deep.
    found |= {0.05, 0.1, 0.2}
    for contour in (part.outline, *(opening.contour for opening in part.openings)):
        if isinstance(contour, Path):
            found |= set(contour_lengths(contour, part))
    reasons = (dimension.tolerance.reason for dimension in part.dimensions if dimension.tolerance)
    engraved = (text.text for text in part.engraved_texts)
    texts = " ".join((repr(part.requirements), part.purpose, *reasons, *engraved))
    return found | {float(number) for number, _ in NUMBER.findall(texts)}


def limits(tolerance: Tolerance) -> tuple[float, float]:
    return tolerance.upper, tolerance.lower


def place(at: P2, part: Part) -> tuple[float, float]:
    return at.x - part.datum.x, at.y - part.datum.y


def hole_sizes(hole: Hole | EdgeHole) -> Iterator[float]:
    names = ("diameter", "depth", "thread_depth", "counterbore_diameter", "counterbore_depth", "countersink_diameter")
    yield from (size for name in names if (size := getattr(hole, name, None)) is not None)
    if hole.fit:
        allowed = hole_limits(hole.fit, hole.diameter)
        yield from (allowed.upper, allowed.lower)


def contour_lengths(path: Path, part: Part) -> Iterator[float]:
    """Corners before rounding, radii, and the middles and sizes of slots, from the segments alone."""
    segments = list(path.segments())
    box = path.box()
    yield from (*place(box.center, part), box.width, box.height)
    for segment in segments:
        yield from place(segment.start, part)
        if segment.bulge:
            yield segment.radius
            yield from place(segment.center, part)
    straight = [segment for segment in segments if not segment.bulge]
    for one, two in zip(straight, [*straight[1:], *straight[:1]], strict=True):
        corner = crossing(one.start, one.end, two.start, two.end)
        if corner:
            yield from place(corner, part)
    arcs = sorted({round(segment.radius, 6) for segment in segments if segment.bulge})
    for small, large in itertools.combinations(arcs, 2):
        yield from ((small + large) / 2.0, large - small)
    yield from (2.0 * radius for radius in arcs)


def crossing(a: P2, b: P2, c: P2, d: P2) -> P2 | None:
    """Where the lines through a, b and through c, d cross (Cramer's rule)."""
    u, v = (b.x - a.x, b.y - a.y), (d.x - c.x, d.y - c.y)
    det = u[0] * v[1] - u[1] * v[0]
    if abs(det) < 1e-6:
        return None
    t = ((c.x - a.x) * v[1] - (c.y - a.y) * v[0]) / det
    return P2(a.x + t * u[0], a.y + t * u[1])


def printed_lengths(text: str, part: Part, job: str) -> Iterator[tuple[float, float]]:
    """Each number of a text as millimetres, with the largest error that its last digit allows."""
    spec = made(job)[0].job
    if text.split() in [engraved.text.split() for engraved in part.engraved_texts]:
        return  # what is cut into the part is the cutting file's: always millimetres
    for name in (f"{spec.name} / {part.name}", part.title, part.name, spec.name):
        text = text.replace(name, "")
    text = text.replace("−", "-").replace("±", "")
    for inch, run in ((True, bracketed(text)), (spec.output.units.value == "inch", unbracketed(text))):
        for number, mm in NUMBER.findall(NO_LENGTH.sub(" ", run)):
            half = 0.5 * 10.0 ** -len(number.partition(".")[2])
            yield (float(number) * 25.4, half * 25.4) if inch and not mm else (float(number), min(half, 0.005))


#: Inches stand in brackets; a note that wraps may leave one of them on the line before or after.
INCHES = re.compile(r"\[([^\[\]]*)(?:\]|$)|^([^\[\]]*)\]|\(([\d., ]+)(?: in\)|$)|^([\d., ]+) in\)")


def bracketed(text: str) -> str:
    return " ".join("".join(found) for found in INCHES.findall(text))


def unbracketed(text: str) -> str:
    return INCHES.sub(" ", text)


def test_every_printed_number_is_the_models() -> None:
    """Each number read from each part's PDF is a length of that part, within half its last digit and 0.005 mm."""
    for job, name in every_part():
        part = made(job)[1].part(name)
        allowed = model_lengths(part, job)
        count = 0
        for text in ink(job, name).texts:
            for value, error in printed_lengths(text.text, part, job):
                count += 1
                near = min(abs(abs(value) - abs(length)) for length in allowed)
                assert near <= error + 1e-6, (job, name, text.text, value)
        assert count >= 3, name


# --- the DXF is the same drawing -------------------------------------------------------------------------------------


@pytest.mark.parametrize("job", JOBS)
def test_native_dimensions_look_as_laid_out(job: str) -> None:
    """A DIMENSION shows the ink that was laid out: its text stands where the PDF has it, and stays there (flag 128)."""
    for name, sheet in sheets(job).items():
        document = ezdxf.read(io.StringIO(drawing_dxf(sheet).decode("cp1252")))
        native = list(document.modelspace().query("DIMENSION"))
        wanted = {(mark.text, mark.label.base) for mark in sheet.dimensions if mark.kind is not None}
        found = set()
        for dimension in native:
            assert dimension.dxf.dimtype & 128
            (text,) = [entity for entity in dimension.virtual_entities() if entity.dxftype() == "TEXT"]
            at = next(
                (text_, base)
                for text_, base in wanted
                if shown(text_) == text.dxf.text
                and math.dist(lower_left(text), (base.x / sheet.scale, base.y / sheet.scale)) < 1e-3 / sheet.scale
            )
            found.add(at)
            middle = dimension.dxf.text_midpoint
            assert math.dist((middle.x, middle.y), lower_left(text)) < 0.6 * len(text.dxf.text) * text.dxf.height
        assert found == wanted, name


def shown(text: str) -> str:
    for sign, code in (("⌀", "Ø"), ("×", "x"), ("−", "-")):
        text = text.replace(sign, code)
    return text


def lower_left(text: ezdxf.entities.Text) -> tuple[float, float]:
    """Where the baseline starts; a centred text's place is its middle, so its own width as laid out is taken off."""
    from generator.drawing.font import text_width

    align, at, _ = text.get_placement()
    if align.name != "CENTER":
        return at.x, at.y
    plain = text.dxf.text
    for sign, code in (("⌀", "Ø"), ("×", "x")):
        plain = plain.replace(code, sign) if code != "x" else re.sub(r"^(\d+)x ", r"\1× ", plain)
    half = text_width(plain.replace("-", "−") if "/-" in plain else plain, text.dxf.height) / 2.0
    turn = math.radians(text.dxf.rotation)
    return at.x - half * math.cos(turn), at.y - half * math.sin(turn)
