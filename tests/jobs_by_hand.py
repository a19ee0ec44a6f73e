"""Job files written out by hand, for the tests of loading: no preset but the jig's, so no fault can hide behind one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from generator.base.errors import Fault, InputError
from generator.commands.new import toml_text
from generator.job.load import job_from_tables
from generator.job.model.job import Job

#: The job file of the manual, every key in it.
FULL: dict[str, dict[str, Any]] = {
    "job": {"name": "bench"},
    "instrument": {
        "scale_length": "25.4 in",
        "body_fret": 14,
        "frets": 20,
        "saddle_compensation": 2.5,
        "fretboard_thickness": 6.35,
        "fret_height": 1.1,
        "nut_string_height": 0.5,
        "relief": 0.15,
        "bridge_thickness": 9.5,
        "saddle_projection": 3.2,
        "string_pull_up": 1.5,
        "neck_rise": 0,
        "end_face_tilt": 0,
        "body_depth_at_neck": 98,
        "back_binding_height": 6,
        "heel_cap_thickness": 3,
        "heel_width": 60,
        "heel_blank": "auto",
        "handed": "right",
        "neck_block_thickness": 45,
        "neck_block_width": 80,
        "truss_rod_slot_width": 6.35,
        "truss_rod_slot_depth": 9.5,
        "top": {"form": "dome", "radius": "28 ft", "crown_from_join": 290, "flat_until": 0},
    },
    "target": {"saddle_gap": 3.5},
    "joint": {
        "mortise_width": "3/4 in",
        "mortise_length": "auto",
        "mortise_depth": "7/8 in",
        "corner_radius": "auto",
        "side_clearance": 0.15,
        "end_clearance": 1.0,
        "floor_clearance": 1.2,
        "bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [28.5, 57.5]},
    },
    "router": {
        "bushing_od": "5/8 in",
        "bushing_id": "17/32 in",
        "bushing_length": "5/16 in",
        "bit_diameter": "1/2 in",
        "cutting_length": "1 1/4 in",
        "reach": 50,
        "base_diameter": 150,
        "max_step": "1/8 in",
        "hold_back": "1/8 in",
    },
    "jig": {"preset": "plywood"},
    "output": {"paper": ["A4"], "units": "both", "projection": "first"},
    "tolerances": {"gap_reading": 0.25},
}


def changed(**tables: dict[str, Any] | None) -> dict[str, Any]:
    """FULL with some keys changed; None takes a key, or a whole table, out."""
    raw: dict[str, Any] = {name: dict(content) for name, content in FULL.items()}
    for name, content in tables.items():
        if content is None:
            raw.pop(name)
            continue
        raw.setdefault(name, {}).update(content)
        raw[name] = {key: value for key, value in raw[name].items() if value is not None}
    return raw


def load(raw: dict[str, Any]) -> Job:
    return job_from_tables(raw, Path("bench.toml"))


def faults(raw: dict[str, Any]) -> tuple[Fault, ...]:
    with pytest.raises(InputError) as caught:
        load(raw)
    return caught.value.faults


def only_fault(raw: dict[str, Any]) -> Fault:
    found = faults(raw)
    assert len(found) == 1, "\n".join(map(str, found))
    return found[0]


def written(folder: Path, raw: dict[str, Any], name: str = "bench.toml") -> Path:
    """`raw` as a TOML file."""
    lines: list[str] = []
    for table, content in raw.items():
        if isinstance(content, dict):
            lines += ["", f"[{table}]", *(f"{key} = {toml_text(value)}" for key, value in content.items())]
        else:
            lines.insert(0, f"{table} = {toml_text(content)}")
    path = folder / name
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


#: A job file that leaves everything to presets.
#: What makes FULL's joint a butt joint: its kind, and nothing that another kind alone has.
BUTT: dict[str, Any] = {key: None for key in FULL["joint"] if key != "bolts"} | {"kind": "butt"}

PRESETS_ONLY: dict[str, dict[str, Any]] = {
    "job": {"name": "bench"},
    "instrument": {"preset": "orchestra-14"},
    "router": {"preset": "inch-half"},
}
