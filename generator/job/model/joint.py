"""The joint as asked for, by its kind: its sizes, clearances and bolts. Lengths mm; keys of the job file's [joint]."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType
from typing import Annotated, ClassVar

from generator.job.model.field_types import Model, TextType, choice, length, listed, whole
from generator.job.model.meaning import KeyGroup, Meaning


class JointKind(Enum):
    """How neck and body are joined: a tenon in a mortise, or shoulder against end face; bolts draw up either."""

    MORTISE_TENON = "mortise-tenon"
    BUTT = "butt"


#: The kind that some keys of other tables belong to.
WITH_TENON = JointKind.MORTISE_TENON.value


class BoltKind(Enum):
    """What takes the bolt's thread in the neck."""

    INSERT = "insert"
    BARREL = "barrel"
    HANGER = "hanger"


#: Threads the joint's bolts come in: ISO metric coarse, unified coarse and fine.
BOLT_THREADS = ("M4", "M5", "M6", "M8", "8-32", "10-24", "10-32", "1/4-20")
#: What each kind of joint says of its key `kind`.
_KIND = Meaning("Kind of joint", "Whether a tenon stands in a mortise or the shoulder alone meets the end face")
#: One of the bolts' threads.
_THREAD = TextType(pattern="|".join(BOLT_THREADS), form=", ".join(f'"{thread}"' for thread in BOLT_THREADS))


class BoltSpec(Model):
    """One to three equal bolts on the centreline; `from_top` None places `count` of them by the rule of `joint.py`."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.BOLTS

    thread: Annotated[str, _THREAD, Meaning("Thread", "Thread of the bolts")]
    kind: Annotated[
        BoltKind, choice(BoltKind), Meaning("What takes the thread", "What the bolt is screwed into in the tenon")
    ]
    from_top: Annotated[
        tuple[float, ...] | None,
        listed(length(1, 160), 1, 3, distinct=True, word="auto"),
        Meaning(
            "Bolts below the top's edge",
            "Place of each bolt's centre (auto: placed by rule),",
            "below the body's top edge",
        ),
    ] = None
    count: Annotated[int, whole(1, 3, "bolts"), Meaning("Number of bolts", "How many bolts the rule places")] = 2


class JointSpec(Model):
    """What every kind of joint is told."""

    GROUP: ClassVar[KeyGroup] = KeyGroup.JOINT

    kind: Annotated[JointKind, choice(JointKind), _KIND] = JointKind.MORTISE_TENON
    bolts: BoltSpec


class MortiseTenonSpec(JointSpec):
    """Mortise size and clearances (side: total, not per side); None stands for "auto"."""

    mortise_width: Annotated[
        float, length(5, 60), Meaning("Mortise, width", "Width of the mortise", "across the centreline")
    ]
    mortise_length: Annotated[
        float | None,
        length(15, 160, word="auto"),
        Meaning(
            "Mortise, length",
            "Length of the mortise (auto: the heel's length less the stop),",
            "from the top's edge down",
        ),
    ] = None
    mortise_stop: Annotated[
        float,
        length(0, 60),
        Meaning(
            "Mortise ends before the heel's end",
            "How far before the heel's end an automatic mortise ends, so that the neck block keeps its end",
        ),
    ] = 10.0
    mortise_depth: Annotated[
        float, length(5, 60), Meaning("Mortise, depth", "Depth of the mortise", "into the neck block")
    ]
    corner_radius: Annotated[
        float | None,
        length(1.5, 30, word="auto"),
        Meaning("Corner radius", "Radius of the mortise's corners (auto: as the bit leaves it)"),
    ] = None
    side_clearance: Annotated[
        float,
        length(0, 2),
        Meaning("Clearance at the sides", "How much narrower the tenon is than the mortise, both sides together"),
    ] = 0.15
    end_clearance: Annotated[
        float, length(0, 10), Meaning("Clearance at the end", "How much shorter the tenon is than the mortise")
    ] = 1.0
    floor_clearance: Annotated[
        float, length(0, 10), Meaning("Clearance at the floor", "How far the tenon stays off the mortise's floor")
    ] = 1.2


class ButtSpec(JointSpec):
    """A butt joint: nothing stands on the neck and nothing is cut in the body but the bolts' holes."""

    kind: Annotated[JointKind, choice(JointKind), _KIND] = JointKind.BUTT
    facing_depth: Annotated[
        float,
        length(1.5, 15),
        Meaning("Facing, depth", "How much of the neck's sawn end is routed away, all over, down to the shoulder"),
    ] = 5.0


#: What a job says of each kind of joint.
JOINTS: Mapping[JointKind, type[JointSpec]] = MappingProxyType(
    {JointKind.MORTISE_TENON: MortiseTenonSpec, JointKind.BUTT: ButtSpec}
)
