"""Every number on a paper sheet, read back from the written PDF, is a number of the model in the job's own units."""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Iterator
from enum import Enum
from functools import lru_cache

import pytest
from paper_jobs import JOBS, all_sheets, by_hand, jig_of, one_page, solution_of
from pdf_ink import read
from pydantic import BaseModel

from generator.jig.hand_plate import KEEPS_BACK, HandPlate
from generator.jig.layout import jig_layout
from generator.job.model.job import UnitsChoice
from generator.joint.solution import Solution

#: Names that carry digits, and what is counted or said rather than measured.
NAMES = re.compile(
    r"1/4-20|\bM\d+\b|12th fret|nearest 1/64|[mM]ake \d|(?<![.\d])\d+ (?:bolts?|inserts?)\b|bolt \d|\d+×"
)
#: What can be read on a gauge, and the flatness that counts as none, mm: stated by the sheets themselves.
SAID = (0.1,)
NUMBER = re.compile(r"(?<![\w/.])(?:(\d+) )?(\d+)/(\d+)(?=\")|(?<![\w/.])(\d+(?:\.\d+)?)")


def _values(thing: object) -> Iterator[float]:
    """All numbers in a model, however deep."""
    if isinstance(thing, bool | str | Enum) or thing is None:
        return
    if isinstance(thing, int | float):
        yield abs(float(thing))
    elif isinstance(thing, BaseModel):
        yield from _values({name: getattr(thing, name) for name in type(thing).model_fields})
    elif dataclasses.is_dataclass(thing):
        yield from _values([getattr(thing, field.name) for field in dataclasses.fields(thing)])
    elif isinstance(thing, dict):
        yield from _values(list(thing.values()))
    elif isinstance(thing, list | tuple):
        for item in thing:
            yield from _values(item)


@lru_cache(maxsize=len(JOBS))
def _model(job: str) -> tuple[float, ...]:
    """Numbers of the solved job and of what its parts state: dimensions, thickness, holes from the left and the
    upper edge; not an outline's points."""
    solution = solution_of(job)
    solved = [solution.job, solution.neck_set, solution.joint, solution.routing, solution.cradle, solution.uncertainty]
    stated = [
        [
            part.thickness,
            [d.value for d in part.dimensions],
            _holes(part.holes),
            _holes(part.edge_holes),
            [(hole.at.x - part.box.x0, part.box.y1 - hole.at.y) for hole in (*part.holes, *part.edge_holes)],
        ]
        for part in jig_of(job).parts
    ]
    return tuple(sorted({*_values(solved), *_values(stated), *_layers(solution), *SAID}))


def _layers(solution: Solution) -> list[float]:
    """The pieces of a plate of two layers, as told to a tenth where they make no width of the joint."""
    if solution.routing.opening is None:
        return []
    plate = HandPlate(jig_layout(solution))
    sizes = [size for piece in (*plate.pieces, *plate.packings) for size in (piece.long, piece.wide)]
    whole = [plate.upper, plate.lower, plate.length, plate.width, plate.between, plate.free]
    corner = solution.routing.tongue_corner_radius
    return [*whole, *sizes, *(round(size, 1) for size in (*sizes, corner)), KEEPS_BACK]


def _holes(holes: tuple[object, ...]) -> list[object]:
    return [{k: v for k, v in vars(hole).items() if k not in ("at", "into")} for hole in holes]


def _of_the_drawing(job: str) -> tuple[float, ...]:
    """What belongs to a drawing rather than to the joint, mostly by hand from the inputs.

    The elevation begins 40 mm before the 12th fret or 64 before the join; the sawn end's upper edge rises with the neck
    plane over the depth of the tenon. The elevation shows the action without the relief. The gluing face's edge lies
    off the fence line by the depth at which its plane crosses the line, times tan(lean).
    """
    raw = {"scale_length": 645.16, "body_fret": 14} | JOBS[job].get("instrument", {})
    twelfth = raw["scale_length"] * (2 ** (-raw["body_fret"] / 12) - 2**-1)
    deep = JOBS[job].get("joint", {}).get("mortise_depth", 22.225)
    lean = math.radians(by_hand(job)[3] - raw.get("end_face_tilt", 0.0))
    straight = solution_of(job).neck_set.action - solution_of(job).neck_set.relief_at_12th
    off_line = solution_of(job).cradle.contact_depth * math.tan(lean)
    return max(40.0 - twelfth, 64.0), abs(deep * math.tan(lean)), straight, abs(off_line)


def _is_printed(token: re.Match[str], values: tuple[float, ...]) -> bool:
    """True where a value prints so: mm or degrees within 0.005, inches to the last decimal, fractions to 1/64."""
    whole, top, bottom, decimal = token.groups()
    if top:
        inches = int(whole or 0) + int(top) / int(bottom)
        return any(abs(value / 25.4 - inches) <= 1 / 128 + 1e-9 for value in values)
    number = float(decimal)
    places = len(decimal.partition(".")[2])
    as_inches = places >= 3 and any(abs(value / 25.4 - number) <= 0.5 * 10**-places + 1e-9 for value in values)
    return as_inches or any(abs(value - number) < 0.005 for value in values)


@pytest.mark.parametrize("job", JOBS)
def test_every_printed_number_is_a_number_of_the_model(job: str) -> None:
    """No figure on any sheet comes from anywhere but the solved job, its parts and the sheet's own dimensions."""
    known = (*_model(job), *_of_the_drawing(job))
    for sheet in all_sheets(job):
        values = (*known, *(abs(mark.value) for mark in sheet.dimensions))
        (page,) = read(one_page(sheet))
        tested = 0
        for text in page.texts:
            for token in NUMBER.finditer(NAMES.sub("", text.text)):
                tested += 1
                assert _is_printed(token, values), (sheet.name, token.group(), text.text)
        assert tested >= 3, sheet.name


@pytest.mark.parametrize("job", JOBS)
def test_the_dimensions_of_a_part_with_a_sheet_of_its_own_are_printed(job: str) -> None:
    """Each dimension shown stands on the part's sheet, spelt in the job's units, its first figure the model's value."""
    marks = {(sheet.name, mark.name): mark for sheet in all_sheets(job) for mark in sheet.dimensions}
    texts = {sheet.name: [text.text for text in read(one_page(sheet))[0].texts] for sheet in all_sheets(job)}
    inch = solution_of(job).job.output.units is UnitsChoice.INCH
    tested = 0
    for part in jig_of(job).parts:
        for dimension in part.dimensions:
            for (name, mark_name), mark in marks.items():
                if mark_name != dimension.name or abs(mark.value - dimension.value) > 1e-9 or part.name != name:
                    continue
                assert mark.text in texts[name]
                figure = re.match(r"(?:\d+× )?[⌀R]?(\d+(?:\.\d+)?)(°?)", mark.text)
                if inch and not figure[2]:
                    assert float(figure[1]) * 25.4 == pytest.approx(dimension.value, abs=0.0128)
                else:
                    assert float(figure[1]) == pytest.approx(dimension.value, abs=0.005)
                tested += 1
    assert tested >= 6


def test_a_wrong_number_would_be_found() -> None:
    """The search is not so wide that a slip passes: of odd numbers from 0.5 to 400 mm nearly all are refused."""
    values = _model("tilted")
    tried = [NUMBER.match(f"{0.537 + i * 1.7717:.2f}") for i in range(225)]
    passed = [token.group() for token in tried if _is_printed(token, values)]
    assert len(passed) < 0.08 * len(tried), passed
