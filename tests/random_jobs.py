"""Random jobs from seeds: every preset against every other, and keys moved over what the job file allows.

A seed is a job for ever: the same seed gives the same tables whatever ran before. Most draws are refused or fail a
check, as they should; `solved_jobs` hands out those that the numbers allow, and whose kit must therefore come out.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.base.errors import InputError
from generator.jig.buildability import with_standing
from generator.job.load import job_from_tables
from generator.job.model.field_types import AngleType, FieldType, LengthType, WholeType
from generator.job.model.job import Job
from generator.job.model.joint import BOLT_THREADS, BoltKind
from generator.job.presets import PresetKind, list_presets
from generator.job.shop import Shop, ShopEntry
from generator.job.tables import KEYS
from generator.joint.solution import Solution, solve

Tables = dict[str, dict[str, Any]]

#: Sheet stocks that can take each other's place in a group of parts.
_STOCKS = {
    "plate_stock": ("birch-ply-18", "mdf-18", "aluminium-10", "aluminium-12", "phenolic-12", "birch-ply-12"),
    "board_stock": ("birch-ply-18", "mdf-18", "birch-ply-12", "aluminium-12", "phenolic-12"),
    "bracket_stock": ("birch-ply-12", "birch-ply-18", "aluminium-10", "aluminium-12"),
    "rest_stock": ("maple-12", "aluminium-12", "birch-ply-12", "phenolic-12"),
    "caul_stock": ("birch-ply-18", "birch-ply-12", "mdf-18"),
    "guide_stock": ("acrylic-3", "acrylic-6", "birch-ply-3", "phenolic-3"),
}
#: Instrument keys that a builder sets freely, with the spread about the preset's value, mm or degrees.
_INSTRUMENT = {
    "scale_length": 25.0,
    "saddle_compensation": 2.0,
    "fretboard_thickness": 1.5,
    "fret_height": 0.4,
    "bridge_thickness": 2.0,
    "saddle_projection": 1.0,
    "neck_rise": 1.5,
    "end_face_tilt": 2.0,
    "body_depth_at_neck": 20.0,
    "back_binding_height": 3.0,
    "heel_cap_thickness": 2.0,
    "heel_width": 12.0,
    "neck_block_thickness": 12.0,
    "neck_block_width": 20.0,
    "shoulder_half_width": 30.0,
}


@dataclass(frozen=True)
class Drawn:
    """The job of one seed, solved."""

    seed: int
    solution: Solution

    @property
    def job(self) -> Job:
        return self.solution.job


def solved_jobs(count: int, first: int = 0) -> Iterator[Drawn]:
    """The first `count` jobs from seed `first` on that load and fail no check."""
    found = 0
    seed = first
    while found < count:
        drawn = solved_job(seed)
        if drawn is not None:
            found += 1
            yield drawn
        seed += 1


def solved_job(seed: int) -> Drawn | None:
    """The job of `seed`, or None where it is refused or fails a check."""
    try:
        job = job_from_tables(random_tables(seed), Path(f"random-{seed}.toml"), random_shop(seed))
    except InputError:
        return None
    solution = with_standing(solve(job))
    return Drawn(seed, solution) if solution.ok else None


def random_shop(seed: int) -> Shop:
    """A shop that has measured some of its stock: thickness within 6 % of nominal, kerf of a laser."""
    draw = random.Random(f"shop {seed}")
    stock = {}
    if draw.random() < 0.5:
        for preset in list_presets(PresetKind.STOCK):
            thickness = float(preset.tables()["stock"]["thickness"])
            if draw.random() < 0.5:
                measured = round(thickness * draw.uniform(0.94, 1.06), 2)
                stock[preset.name] = ShopEntry(
                    {"measured_thickness": measured, "kerf": round(draw.uniform(0.1, 0.3), 2)}
                )
    return Shop(stock=stock)


def random_tables(seed: int) -> Tables:
    """The tables of the job file that `seed` stands for."""
    draw = random.Random(f"job {seed}")
    instrument = draw.choice(list_presets(PresetKind.INSTRUMENTS))
    tables: dict[str, Any] = {
        "schema": 2,
        "job": {"name": f"random-{seed}"},
        "instrument": {"preset": instrument.name},
        "router": {"preset": draw.choice(list_presets(PresetKind.ROUTERS)).name},
        "jig": {"preset": draw.choice(("plywood", "plywood-small", "machined"))},
        "output": {
            "paper": draw.sample(("A4", "A3", "letter", "tabloid"), draw.choice((1, 1, 2))),
            "units": draw.choice(("mm", "inch", "both")),
            "projection": draw.choice(("first", "third")),
        },
    }
    _move_instrument(draw, tables, instrument.tables())
    _choose_target(draw, tables)
    _move_joint(draw, tables)
    _move_router(draw, tables)
    _move_jig(draw, tables)
    return tables


def _move_instrument(draw: random.Random, tables: Tables, preset: Tables) -> None:
    table, base = tables["instrument"], preset["instrument"]
    for key, spread in _INSTRUMENT.items():
        if draw.random() < 0.25:
            start = base.get(key, 0)
            value = start if isinstance(start, int | float) else 0.0
            if key == "scale_length":
                value = draw.uniform(330.0, 720.0)
            table[key] = _clipped(KEYS["instrument"][key], value + draw.uniform(-spread, spread))
    if draw.random() < 0.3:
        table["handed"] = "left"
    if draw.random() < 0.25:
        table["truss_rod_slot_width"] = draw.choice(("none", 1.0, 3.2, 4.0, 5.0, 5.9, 6.0, 6.5, 12.7, 20.0))
        table["truss_rod_slot_depth"] = "none" if table["truss_rod_slot_width"] == "none" else draw.uniform(1.5, 12.0)
    if draw.random() < 0.35:
        table["top"] = draw.choice(
            (
                {"form": "flat"},
                {"form": "dome", "radius": draw.uniform(4500.0, 20000.0), "crown_from_join": draw.uniform(150, 400)},
                {"form": "dome", "radius": draw.uniform(1500.0, 60000.0), "flat_until": draw.uniform(0.0, 120.0)},
                {"form": "measured", "zero_angle_gap": draw.uniform(-2.0, 5.0)},
            )
        )


def _choose_target(draw: random.Random, tables: Tables) -> None:
    chance = draw.random()
    if chance < 0.2:
        tables["target"] = {"saddle_gap": round(draw.uniform(0.2, 7.0), 2)}
    elif chance < 0.4:
        tables["target"] = {"bridge_clearance": round(draw.uniform(-3.0, 2.5), 2)}
    elif chance < 0.55:
        tables["target"] = {
            "action_bass": round(draw.uniform(2.0, 3.5), 2),
            "action_treble": round(draw.uniform(1.5, 2.5), 2),
        }
    else:
        tables["target"] = {"bridge_clearance": round(draw.uniform(0.0, 1.0), 2)}


def _move_joint(draw: random.Random, tables: Tables) -> None:
    table: dict[str, Any] = {}
    if draw.random() < 0.4:
        table["mortise_width"] = round(draw.uniform(10.0, 32.0), draw.choice((0, 1, 3)))
    if draw.random() < 0.4:
        table["mortise_depth"] = round(draw.uniform(10.0, 28.0), draw.choice((0, 1, 3)))
    if draw.random() < 0.2:
        table["mortise_length"] = round(draw.uniform(25.0, 100.0), 1)
    if draw.random() < 0.2:
        table["corner_radius"] = round(draw.uniform(3.0, 12.0), 2)
    for key, low, high in (("side_clearance", 0, 0.6), ("end_clearance", 0, 3), ("floor_clearance", 0, 3)):
        if draw.random() < 0.25:
            table[key] = round(draw.uniform(low, high), 2)
    if draw.random() < 0.6:
        count = draw.choice((1, 2, 3))
        table["bolts"] = {
            "thread": draw.choice(BOLT_THREADS),
            "kind": draw.choice(list(BoltKind)).value,
            "from_top": draw.choice(("auto", sorted(round(draw.uniform(12.0, 80.0), 1) for _ in range(count)))),
            "count": count,
        }
    tables["joint"] = table


def _move_router(draw: random.Random, tables: Tables) -> None:
    table = tables["router"]
    if draw.random() < 0.3:
        table["edge_offset"] = round(draw.uniform(0.8, 3.2), 3)
    if draw.random() < 0.2:
        table["eccentricity"] = round(draw.uniform(0.0, 0.3), 2)
    if draw.random() < 0.3:
        table["max_step"] = round(draw.uniform(0.8, 8.0), 1)
    if draw.random() < 0.3:
        table["hold_back"] = round(draw.uniform(0.0, 5.0), 1)
    if draw.random() < 0.2:
        table["reach"] = 70.0


def _move_jig(draw: random.Random, tables: Tables) -> None:
    table = tables["jig"]
    preset = next(p for p in list_presets(PresetKind.JIGS) if p.name == table["preset"]).tables()["jig"]
    for key, chance in (("tip_pin", 0.2), ("bridged", 0.2), ("second_depth_block", 0.3)):
        if draw.random() < chance:
            table[key] = not preset[key]
    if draw.random() < 0.3:
        table["stand_off"] = round(draw.uniform(15.0, 19.0), 2)
    for key, names in _STOCKS.items():
        if draw.random() < 0.12:
            table[key] = draw.choice(names)
    calm = draw.random() < 0.4
    for key, kind in KEYS["jig"].items():
        if calm or key in table or key not in preset or draw.random() > 0.12:
            continue
        moved = _moved(draw, kind, preset[key])
        if moved is not None:
            table[key] = moved


def _moved(draw: random.Random, kind: FieldType, value: Any) -> Any:
    """A value near the preset's, now and then anywhere in the key's range; None for keys that are no number."""
    if isinstance(value, list):
        return [round(item * draw.uniform(0.8, 1.25), 2) for item in value]
    if isinstance(kind, WholeType):
        return draw.randint(int(kind.low), int(kind.high))
    if not isinstance(kind, LengthType | AngleType):
        return None
    if draw.random() < 0.15:
        return round(draw.uniform(kind.low, kind.high), 2)
    return _clipped(kind, value * draw.uniform(0.75, 1.3))


def _clipped(kind: FieldType, value: float) -> float:
    assert isinstance(kind, LengthType | AngleType)
    return round(min(max(value, kind.low), kind.high), 2)
