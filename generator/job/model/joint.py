"""The joint as asked for: mortise, tenon clearances and bolts. Lengths mm; keys of the job file's [joint]."""

from __future__ import annotations

from enum import Enum
from typing import Annotated

from generator.job.model.field_types import Model, TextKind, choice, length, listed, whole


class BoltKind(Enum):
    """What takes the bolt's thread in the tenon."""

    INSERT = "insert"
    BARREL = "barrel"
    HANGER = "hanger"


#: Threads the joint's bolts come in: ISO metric coarse, unified coarse and fine.
BOLT_THREADS = ("M4", "M5", "M6", "M8", "8-32", "10-24", "10-32", "1/4-20")
_THREAD = TextKind(pattern="|".join(BOLT_THREADS), form=", ".join(f'"{thread}"' for thread in BOLT_THREADS))


class BoltSpec(Model):
    """One to three equal bolts on the centreline.

    `from_top` are their centres below the body's top edge; None places `count` of them by the rule of `joint.py`.
    """

    thread: Annotated[str, _THREAD]
    kind: Annotated[BoltKind, choice(BoltKind)]
    from_top: Annotated[tuple[float, ...] | None, listed(length(1, 160), 1, 3, distinct=True, word="auto")] = None
    count: Annotated[int, whole(1, 3)] = 2


class JointSpec(Model):
    """Mortise size, clearances (side: total, not per side) and bolts; None stands for "auto".

    `mortise_stop` is how far short of the heel's end an automatic mortise ends, so that the neck block keeps its end.
    """

    mortise_width: Annotated[float, length(5, 60)]
    mortise_length: Annotated[float | None, length(15, 160, word="auto")] = None
    mortise_stop: Annotated[float, length(0, 60)] = 10.0
    mortise_depth: Annotated[float, length(5, 60)]
    corner_radius: Annotated[float | None, length(1.5, 30, word="auto")] = None
    side_clearance: Annotated[float, length(0, 2)] = 0.15
    end_clearance: Annotated[float, length(0, 10)] = 1.0
    floor_clearance: Annotated[float, length(0, 10)] = 1.2
    bolts: BoltSpec
