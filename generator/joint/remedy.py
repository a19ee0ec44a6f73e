"""What to change when a check warns or fails: the key of the job, and by how much, found by solving the job anew.

A remedy is kept only when the job solved with it passes that check and breaks no other, so what is printed is true.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from generator.base.errors import HeelwrightError
from generator.base.units import format_inches, format_mm, mm
from generator.job.model.field_types import Model, NotAllowed
from generator.job.model.job import Job, UnitsChoice
from generator.job.rules import breaches
from generator.job.tables import KEYS, WHOLE
from generator.joint.checks import Check, CheckStatus
from generator.joint.solution import Solution, solve

#: The keys that move a check, the likeliest first; those of [target] are tried as far as the job gives them.
_KEYS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "action": ("target.action_bass", "target.saddle_gap", "target.bridge_clearance"),
        "bridge clearance": ("target.bridge_clearance", "target.saddle_gap", "instrument.bridge_thickness"),
        "string break": ("instrument.saddle_to_string_hole", "instrument.string_hole_depth"),
        "mortise length": ("joint.mortise_length",),
        "mortise floor": ("joint.mortise_depth", "instrument.neck_block_thickness"),
        "mortise sides": ("instrument.neck_block_width", "joint.mortise_width"),
        "mortise corners": ("joint.corner_radius",),
        "tenon end": ("joint.end_clearance",),
        "heel shoulder": ("instrument.heel_width", "joint.mortise_width"),
        "heel shoulder at the cap": ("instrument.heel_width_at_cap", "joint.mortise_width"),
        "heel blank": ("instrument.heel_blank",),
        "heel cap": ("instrument.heel_cap_thickness",),
        "deepest pass": ("router.hold_back",),
        "thinnest pass": ("router.max_step", "router.hold_back"),
        "hold-back": ("router.hold_back",),
        "reach": ("router.reach",),
        "bushing length": ("router.bushing_length",),
        "bushing eccentricity": ("router.eccentricity",),
        "edge offset": ("router.edge_offset",),
        "collet nut and bushing": ("router.stick_out",),
        "cutting length": ("router.cutting_length",),
        "tongue width": ("joint.mortise_width", "router.bit_diameter"),
        "bushing in the opening": ("joint.mortise_width",),
        "body rest": ("instrument.neck_block_width", "joint.mortise_width"),
        "body rest depth": ("instrument.neck_block_thickness",),
        "mortise and back": ("joint.mortise_length", "instrument.body_depth_at_neck"),
        "tip screw": ("joint.mortise_width", "router.bit_diameter"),
        "upper and body rest screws": ("jig.rest_length", "joint.mortise_width"),
        "rests between the brackets": ("jig.rest_length", "instrument.heel_width"),
        "teeth": ("instrument.truss_rod_slot_depth",),
        "dowels": ("instrument.heel_width",),
        "plug": ("joint.mortise_length",),
        "block behind the shoulder": ("instrument.neck_block_width", "instrument.heel_width"),
        "facing": ("joint.facing_depth", "router.hold_back"),
    }
)
#: Bass and treble are moved alike.
_BOTH = MappingProxyType({"target.action_bass": "target.action_bass, and action_treble by as much:"})
#: The walk by the slope gives up after this many steps.
_MOST_STEPS = 12
#: A found value goes this far inside the limit, and is rounded outwards to it, mm.
_GRAIN = 0.05
#: First step away from the job's value, mm or degrees.
_FIRST_STEP = 0.1
#: The longest step is the first one doubled this often less one.
_MOST_DOUBLINGS = 8
#: Rounding error that an excess may have, in the check's unit.
_SLACK = 1e-9
#: Solves a job, with whatever checks are asked about.
Solver = Callable[[Job], Solution]


@dataclass(frozen=True)
class Remedy:
    """One key whose change brings the check back inside its limit; values in mm (degrees for an angle)."""

    key: str
    now: float
    then: float

    def words(self, units: UnitsChoice) -> str:
        """The change in the units the job prints; millimetres stand in every job file."""
        by = self.then - self.now
        change = f"{'+' if by > 0 else '-'}{mm(abs(by))}"
        inch = "" if units is UnitsChoice.MM else f" ({format_inches(self.then)})"
        ends = f"from {format_mm(self.now)} to {mm(self.then)}{inch}"
        return f"to change it: {_BOTH.get(self.key, self.key)} {change}, {ends}"


def remedies(solution: Solution, check: Check, solver: Solver = solve) -> tuple[Remedy, ...]:
    """The first key that mends the check, with its new value; nothing where none does.

    `solver` solves a job with the checks that `solution` carries.
    """
    if check.status is CheckStatus.OK:
        return ()
    for key in _KEYS.get(check.name, ()):
        found = _mended(solution, check, key, solver)
        if found is not None:
            return (found,)
    return ()


def _mended(solution: Solution, check: Check, key: str, solver: Solver) -> Remedy | None:
    """The value by the slope of the check's excess where that leads to one, else the nearest that serves."""
    now = _value(solution.job, key)
    if now is None:
        return None
    return _by_slope(solution, check, key, now, solver) or _by_doubling(solution, check, key, now, solver)


def _by_slope(solution: Solution, check: Check, key: str, now: float, solver: Solver) -> Remedy | None:
    """Walk the key towards the limit by the slope of the last two values (secant), then to a whole grain beyond."""
    last, last_excess, at = now, check.excess, now + _FIRST_STEP
    for _ in range(_MOST_STEPS):
        excess = _excess(solution.job, key, at, check.name, solver)
        if excess is None:
            return None
        if -2 * _GRAIN < excess <= _SLACK and _is_good(solution, check, key, at, solver):
            return _rounded(solution, check, key, now, at, solver)
        if abs(excess - last_excess) < _SLACK:
            return None
        slope = (excess - last_excess) / (at - last)
        last, last_excess = at, excess
        at = at - (excess + _GRAIN / 2.0) / slope
    return None


def _by_doubling(solution: Solution, check: Check, key: str, now: float, solver: Solver) -> Remedy | None:
    """Ever longer steps up and down to a value that serves, then halfway back as long as one does.

    A slope misleads where a check that failed begins to warn: from there on it is held against another limit.
    """
    for step in (sign * _FIRST_STEP * 2.0**power for power in range(_MOST_DOUBLINGS) for sign in (1.0, -1.0)):
        if _is_good(solution, check, key, now + step, solver):
            bad, good = now + step / 2.0, now + step
            while abs(good - bad) > _GRAIN:
                middle = (bad + good) / 2.0
                bad, good = (bad, middle) if _is_good(solution, check, key, middle, solver) else (middle, good)
            return _rounded(solution, check, key, now, good, solver)
    return None


def _rounded(solution: Solution, check: Check, key: str, now: float, at: float, solver: Solver) -> Remedy:
    """The value on a whole grain where that serves as well."""
    rounders = (math.ceil, math.floor) if at > now else (math.floor, math.ceil)
    for rounder in rounders:
        whole = rounder(at / _GRAIN) * _GRAIN
        if _is_good(solution, check, key, whole, solver):
            return Remedy(key, now, round(whole, 6))
    return Remedy(key, now, at)


def _is_good(solution: Solution, check: Check, key: str, value: float, solver: Solver) -> bool:
    """True where the job with that value passes the check and no other check comes out worse than before."""
    job = _with(solution.job, key, value)
    if job is None:
        return False
    try:
        solved = solver(job)
    except HeelwrightError:
        return False
    before = {one.name for one in solution.checks if one.status is not CheckStatus.OK}
    after = {one.name for one in solved.checks if one.status is not CheckStatus.OK}
    return check.name not in after and after <= before and not any(True for _ in _broken_rules(job))


def _excess(job: Job, key: str, value: float, name: str, solver: Solver) -> float | None:
    changed = _with(job, key, value)
    if changed is None:
        return None
    try:
        return next((one.excess for one in solver(changed).checks if one.name == name), None)
    except (HeelwrightError, ValueError, ZeroDivisionError):
        return None


def _value(job: Job, key: str) -> float | None:
    table, _, name = key.partition(".")
    value = getattr(getattr(job, table), name, None)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _with(job: Job, key: str, value: float) -> Job | None:
    """The job with that value; None where its key does not allow it."""
    table, _, name = key.partition(".")
    model: Model = getattr(job, table)
    try:
        if table in KEYS:
            KEYS[table][name].read(value)
        changed = {name: value}
        bass, treble = job.target.action_bass, job.target.action_treble
        if key == "target.action_bass" and bass is not None and treble is not None:
            changed["action_treble"] = treble + value - bass
    except NotAllowed:
        return None
    return job.model_copy(update={table: model.model_copy(update=changed)})


def _broken_rules(job: Job) -> Iterator[str]:
    """The keys whose rules the job's values break."""
    tables = {table: getattr(job, table) for table in KEYS if hasattr(job, table)}
    values = {
        f"{table}.{key}": getattr(model, key) for table, model in tables.items() for key in KEYS[table]
        if hasattr(model, key)
    }  # fmt: skip
    values |= {"instrument.top": job.instrument.top, "joint.bolts": job.joint.bolts, "target": job.target}
    assert set(WHOLE) <= set(values)
    values["plate"] = job.stock("plate")
    for rule, _ in breaches(values):
        yield rule.blame
