"""One jig for many guitars: the fewest plates and cradles that serve a class, and what agreeing on a size would save.

A jig serves another student where plate, board and brackets cut the same mortise within its clearances
(`compare.shared_jig`) and are of the same stock; then only the angle rest and some gauges are that student's own.
Lengths mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from generator.base.errors import HeelwrightError
from generator.base.units import format_mm, mm
from generator.classes.cover import fewest
from generator.jig.compare import SAME_SHAPE, SAME_THICKNESS, shared_jig
from generator.job.model.job import JOB_SOURCE, Job
from generator.joint.kinds.mortise_tenon.joint import MortiseTenon
from generator.joint.solution import Solution, solve, work_out

#: The stocks of what serves as a whole, and of what stands on it.
_STOCKS = ("plate", "board", "bracket", "rest", "caul")
#: A mortise that a shared plate cuts longer or shorter than asked by more than this is another mortise.
SAME_MORTISE = 1.5
#: Sizes that a class may agree on, with the solved value of each.
_AGREED = {"mortise_depth": "depth of cut", "mortise_length": "mortise length"}
#: At most so many values of a size are tried, those of most students first.
_MOST_VALUES = 8


@dataclass(frozen=True)
class SharedBy:
    """One jig: its number from 1, the student whose opening and tongue it has, and all it serves (places in the class).

    `solution` is the job it is made for: the owner's, with room for the longest and widest neck blank and the narrowest
    neck block among them. `end_clearance` is what tenon and mortise leave at their ends, for each it serves, mm.
    """

    number: int
    owner: int
    members: tuple[int, ...]
    solution: Solution
    end_clearance: Mapping[int, float]

    @property
    def label(self) -> str:
        return f"jig {self.number}"

    @property
    def folder(self) -> str:
        return f"jig-{self.number}"


@dataclass(frozen=True)
class Saving:
    """What agreeing on sizes would save to `students` with one router and stock (places in the class).

    `sizes` are keys of [joint] with their value, `jigs` how many then serve them, `changed` how many must change.
    """

    sizes: Mapping[str, float]
    jigs: int
    saved: int
    changed: int
    students: tuple[int, ...]

    def __str__(self) -> str:
        words = " and ".join(f"one {_AGREED[key]} of {mm(value)}" for key, value in self.sizes.items())
        keys = ", ".join(f"joint.{key} = {format_mm(value)}" for key, value in self.sizes.items())
        jigs = f"{self.jigs} jig{'' if self.jigs == 1 else 's'}"
        whom = f"{self.changed} student{'' if self.changed == 1 else 's'} would change"
        return f"{words} ({keys}) would serve {len(self.students)} students with {jigs}, {self.saved} fewer; {whom}"


@dataclass(frozen=True)
class Sharing:
    """Who shares which jig; `proved` False where fewer might do, because the search was cut short."""

    jigs: tuple[SharedBy, ...]
    proved: bool

    def jig_of(self, student: int) -> SharedBy:
        return next(jig for jig in self.jigs if student in jig.members)


def share(solutions: Sequence[Solution]) -> Sharing:
    """The fewest jigs that serve all `solutions`; everyone takes, of those chosen, the one that fits best."""
    ends = _ends(solutions)
    cover = fewest([frozenset(row) for row in ends])
    groups: dict[int, list[int]] = {owner: [] for owner in cover.owners}
    for member in range(len(solutions)):
        able = [owner for owner in cover.owners if member in ends[owner]]
        groups[min(able, key=lambda owner: (_misfit(ends, solutions, owner, [member]), owner))].append(member)
    made = [_owned(ends, solutions, owner, members) for owner, members in groups.items() if members]
    made.sort(key=lambda group: min(group[1]))
    jigs = tuple(
        SharedBy(
            number,
            owner,
            tuple(members),
            work_out(_roomy(f"jig-{number}", solutions, owner, members)),
            MappingProxyType({member: ends[owner][member] for member in members}),
        )
        for number, (owner, members) in enumerate(made, 1)
    )
    return Sharing(jigs, cover.proved)


def _misfit(
    ends: Sequence[Mapping[int, float]], solutions: Sequence[Solution], owner: int, members: Sequence[int]
) -> float:
    """How far the end clearance that an owner's jig leaves is from the one asked for, at most, mm."""
    return max(abs(ends[owner][member] - solutions[member].joint.end_room) for member in members)


def _owned(
    ends: Sequence[Mapping[int, float]], solutions: Sequence[Solution], owner: int, members: list[int]
) -> tuple[int, list[int]]:
    """The group with that one of its members as owner whose opening and tongue fit all of them best."""
    able = [one for one in members if all(member in ends[one] for member in members)] or [owner]
    return min(able, key=lambda one: (_misfit(ends, solutions, one, members), one)), members


def _roomy(name: str, solutions: Sequence[Solution], owner: int, members: Sequence[int]) -> Job:
    """The owner's job with room for every member's neck blank under the plate and neck block at the body rest."""
    job = solutions[owner].job
    sizes = {
        "heel_blank": max(solutions[member].joint.heel_blank for member in members),
        "heel_blank_width": max(solutions[member].joint.heel_blank_width for member in members),
        "neck_block_width": min(solutions[member].job.instrument.neck_block_width for member in members),
    }
    return _changed(job, {"instrument": sizes}, name=name)


def _longer(have: Solution, wanted: Solution) -> float:
    """By how much a plate with the opening of `have` cuts the mortise of `wanted` longer than asked, mm."""
    return have.routing.opening_length - wanted.routing.opening_length


def on_jig(wanted: Solution, jig: SharedBy, member: int) -> Job:
    """The job of a member as that jig cuts it: its opening, tongue and window, so that every number is true of it."""
    job = wanted.job
    blank = {key: getattr(jig.solution.job.instrument, key) for key in ("heel_blank", "heel_blank_width")}
    if not isinstance(wanted.joint, MortiseTenon):
        return _changed(job, {"instrument": blank})
    joint = {
        "mortise_length": wanted.joint.mortise_length + _longer(jig.solution, wanted),
        "end_clearance": jig.end_clearance[member],
    }
    return _changed(job, {"joint": joint, "instrument": blank})


def _changed(job: Job, tables: Mapping[str, Mapping[str, float]], **more: str) -> Job:
    """The job with other values in some tables, which are then the job's own."""
    inputs = {table: dict(keys) for table, keys in job.inputs.items()}
    update: dict[str, object] = dict(more)
    for table, values in tables.items():
        update[table] = getattr(job, table).model_copy(update=dict(values))
        own = {key: {"value": value, "source": JOB_SOURCE} for key, value in values.items()}
        inputs[table] = inputs.get(table, {}) | own
    return job.model_copy(update=update | {"inputs": inputs})


def _ends(solutions: Sequence[Solution]) -> list[dict[int, float]]:
    """For each owner those whom a jig with his opening and tongue serves, with the end clearance it leaves them."""
    found: list[dict[int, float]] = []
    for owner, have in enumerate(solutions):
        row = {owner: have.joint.end_room}
        for member, wanted in enumerate(solutions):
            if member == owner or _quickly_unlike(have, wanted) or _other_stock(have.job, wanted.job):
                continue
            shared = shared_jig(have, wanted, made=False)
            if not shared.reasons:
                row[member] = shared.end_clearance
        found.append(row)
    return found


def _quickly_unlike(have: Solution, wanted: Solution) -> bool:
    """True where depth or widths differ: most pairs of a mixed class, told apart without a word."""
    return (
        abs(have.joint.depth_of_cut - wanted.joint.depth_of_cut) > SAME_SHAPE
        or abs(have.routing.opening_width - wanted.routing.opening_width) > SAME_SHAPE
        or abs(_longer(have, wanted)) > SAME_MORTISE
    )


def _other_stock(have: Job, wanted: Job) -> bool:
    """Whether what serves as a whole would be of other stock, or bridged on one of them only."""
    pairs = [(have.stock(group), wanted.stock(group)) for group in _STOCKS]
    return have.jig.bridged is not wanted.jig.bridged or any(
        old.name != new.name or abs(old.actual_thickness - new.actual_thickness) > SAME_THICKNESS for old, new in pairs
    )


def savings(solutions: Sequence[Solution]) -> tuple[Saving, ...]:
    """What one depth, one mortise length, or both would save; those that change fewest students first.

    Only values that every student's checks allow; one that changes more students stands only where it saves more jigs.
    """
    families: dict[tuple[object, ...], list[int]] = {}
    for place, one in enumerate(solutions):
        families.setdefault(_family(one), []).append(place)
    found = [saving for places in families.values() for saving in _savings_of(solutions, tuple(places))]
    return tuple(sorted(found, key=lambda one: (one.changed, one.jigs, one.students)))


def _family(one: Solution) -> tuple[object, ...]:
    """What must agree before a depth or a length can: kind, router, width of the mortise, stocks and rests."""
    routing, cradle = one.routing, one.cradle
    sizes = (routing.opening_width, routing.tongue_width, cradle.upper_rest, cradle.rest_spacing)
    return (one.joint.kind, *(round(size, 1) for size in sizes), *(one.job.stock(group).name for group in _STOCKS))


def _savings_of(solutions: Sequence[Solution], places: tuple[int, ...]) -> Iterator[Saving]:
    """The savings within one family."""
    family = [solutions[place] for place in places]
    now = least = len(share(family).jigs)
    joints = [one.joint for one in family if isinstance(one.joint, MortiseTenon)]
    depths = _values([joint.mortise_depth for joint in joints])
    lengths = _values([joint.mortise_length for joint in joints])
    trials: list[dict[str, float]] = [{"mortise_depth": depth} for depth in depths]
    trials += [{"mortise_length": length} for length in lengths]
    trials += [{"mortise_depth": depth, "mortise_length": length} for depth in depths for length in lengths]
    counted = [_Trial(sizes, _who_changes(family, sizes), _jigs_with(family, sizes)) for sizes in trials if now > 1]
    for trial in sorted(counted, key=lambda one: (one.changed, one.jigs)):
        if trial.jigs < least and all(_allowed(one, trial.sizes) for one in family):
            least = trial.jigs
            yield Saving(MappingProxyType(dict(trial.sizes)), trial.jigs, now - trial.jigs, trial.changed, places)


@dataclass(frozen=True)
class _Trial:
    sizes: Mapping[str, float]
    changed: int
    jigs: int


def _who_changes(solutions: Sequence[Solution], sizes: Mapping[str, float]) -> int:
    """How many students' sizes differ from these by more than a caliper shows."""
    return sum(
        any(abs(getattr(one.joint, key) - value) > SAME_SHAPE for key, value in sizes.items()) for one in solutions
    )


def _jigs_with(solutions: Sequence[Solution], sizes: Mapping[str, float]) -> int:
    """How many jigs serve the class once all have these sizes; one more than students where somebody cannot."""
    try:
        return len(share([work_out(_agreed(one.job, sizes)) for one in solutions]).jigs)
    except HeelwrightError:
        return len(solutions) + 1


def _values(values: Sequence[float]) -> list[float]:
    """The class's own values, and the least of them, which every heel has room for; most students' first."""
    counted: dict[float, int] = {}
    for value in values:
        counted[round(value, 4)] = counted.get(round(value, 4), 0) + 1
    if len(counted) < 2:
        return []
    order = sorted(counted, key=lambda value: (-counted[value], value))[: _MOST_VALUES - 1]
    return list(dict.fromkeys([*order, min(counted)]))


def _allowed(solution: Solution, sizes: Mapping[str, float]) -> bool:
    """True where the sizes make no check fail that does not fail anyway."""
    failed = {check.name for check in solution.failed}
    return {check.name for check in solve(_agreed(solution.job, sizes)).failed} <= failed


def _agreed(job: Job, sizes: Mapping[str, float]) -> Job:
    return job.model_copy(update={"joint": job.joint.model_copy(update=dict(sizes))})
