"""Jobs with odd numbers for the tests of paper sheets, solved once each."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

from jobs_by_hand import changed, load
from made_once import store

from generator.documents.paper import body_end_face, heel, paper_sheets, side_elevation
from generator.documents.paper.rooms import page_rooms
from generator.drawing.page import sheet_page
from generator.drawing.sheet import Sheet
from generator.formats.pdf.write import pdf_bytes
from generator.formats.svg.write import svg_text
from generator.jig.build import build_jig
from generator.jig.part import Jig
from generator.joint.solution import Solution, solve

TILTED: dict[str, Any] = {
    "job": {"name": "tilted"},
    "instrument": {
        "scale_length": 633.4,
        "body_depth_at_neck": 97.37,
        "back_binding_height": 5.13,
        "end_face_tilt": 1.37,
        "neck_rise": 0.61,
        "heel_width": 57.15,
        "heel_width_at_cap": 41.3,
        "top": {"form": "dome", "radius": 7315.2, "crown_from_join": 271.3},
    },
    "target": {"saddle_gap": 3.37},
    "joint": {
        "mortise_width": 19.31,
        "mortise_depth": 21.43,
        "bolts": {"thread": "M6", "kind": "barrel", "from_top": [23.7, 51.9, 77.1]},
    },
    "output": {"units": "mm"},
}
FORWARD: dict[str, Any] = {
    "job": {"name": "forward"},
    "instrument": {
        "scale_length": 649.7,
        "body_fret": 12,
        "frets": 19,
        "string_pull_up": 0.47,
        "bridge_thickness": 8.13,
        "saddle_projection": 3.11,
        "handed": "left",
        "truss_rod_slot_width": "none",
        "truss_rod_slot_depth": "none",
        "top": {"form": "flat"},
    },
    "target": {"saddle_gap": None, "action_bass": 3.93, "action_treble": 3.01},
    "joint": {"bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [41.3]}},
    "output": {"units": "inch"},
}
ORCHESTRA: dict[str, Any] = {"job": {"name": "orchestra"}}
JOBS = {"orchestra": ORCHESTRA, "tilted": TILTED, "forward": FORWARD}
#: The instrument's own sheets; all three jobs have too long a heel for one page, so its sawn end stands alone.
INSTRUMENT = ("side_elevation", "body_end_face", "heel", "sawn_end")


@lru_cache(maxsize=16)
def solution_of(job: str, handed: str | None = None, full_size: bool = False) -> Solution:
    tables = {name: dict(content) for name, content in JOBS[job].items()}
    tables["output"] = tables.get("output", {}) | {"full_size": full_size}
    if handed:
        tables["instrument"] = tables.get("instrument", {}) | {"handed": handed}
    return solve(load(changed(**tables)))


@lru_cache(maxsize=8)
def jig_of(job: str) -> Jig:
    return build_jig(solution_of(job))


@lru_cache(maxsize=8)
def all_sheets(job: str) -> tuple[Sheet, ...]:
    """Every paper sheet of a job."""
    return paper_sheets(solution_of(job), jig_of(job), store=store())


def half_elevation(job: str) -> Sheet:
    """The side elevation as a kit has it."""
    solution = solution_of(job)
    return side_elevation(solution, page_rooms(solution.job, solution.job.output.paper))


@lru_cache(maxsize=32)
def sheet_of(job: str, name: str, handed: str | None = None) -> Sheet:
    """One of the instrument's sheets; the elevation at full size, so that it can be measured."""
    solution = solution_of(job, handed, full_size=name == "side_elevation")
    rooms = page_rooms(solution.job, solution.job.output.paper)
    if name == "side_elevation":
        return side_elevation(solution, rooms)
    found = {sheet.name: sheet for sheet in (body_end_face(solution, rooms), *heel(solution, rooms))}
    return found[name]


@lru_cache(maxsize=32)
def pdf_of(job: str, name: str, handed: str | None = None) -> bytes:
    """The sheet as one page of its own size."""
    return one_page(sheet_of(job, name, handed))


@lru_cache(maxsize=32)
def svg_of(job: str, name: str, handed: str | None = None) -> str:
    return svg_text(sheet_of(job, name, handed))


def one_page(sheet: Sheet) -> bytes:
    return pdf_bytes([sheet_page(sheet)], sheet.title, sheet.job)


def by_hand(job: str) -> tuple[float, float, float, float]:
    """Nut to join, join to saddle, saddle gap and set angle of a job, from its inputs alone."""
    raw = {"scale_length": 645.16, "body_fret": 14} | JOBS[job].get("instrument", {})
    scale, fret = raw["scale_length"], raw["body_fret"]
    nut = scale - scale / 2 ** (fret / 12)
    s = scale + 2.5 - nut
    gap = {"orchestra": 3.5, "tilted": 3.37}.get(job)
    if gap is None:
        # Action 3.47 with relief 0.15·4·v·(1 − v); saddle and bridge as given.
        first, twelve = scale - scale / 2 ** (1 / 12), scale / 2
        v = (twelve - first) / (nut - first)
        string = 0.5 + (3.47 - 0.6 * v * (1 - v) - 0.5) * (scale + 2.5) / (scale / 2)
        gap = 8.13 + 3.11 - string - 6.35 - 1.1 + 0.47
    rise = {
        "orchestra": math.sqrt(8534.4**2 - (s - 290) ** 2) - math.sqrt(8534.4**2 - 290**2),
        "tilted": math.sqrt(7315.2**2 - (s - 271.3) ** 2) - math.sqrt(7315.2**2 - 271.3**2),
        "forward": 0.0,
    }[job]
    over = raw.get("neck_rise", 0.0)
    return nut, s, gap, math.degrees(math.atan((gap - over + rise) / s))
