"""The joint whatever its kind: heel, bolts, and the outlines that every other room asks for.

Lengths mm. *Length* runs down the body's end face from its top edge, *depth* square into it, *projection* square out
of the neck's shoulder. Each kind is a folder of `joint/kinds/`, which `kinds/catalog.py` lists.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, TypedDict

from generator.base.keyed import InMm, Key, Mm, Told, keyed, keys_of
from generator.job import limits
from generator.job.fasteners import clearance_hole, tenon_thread
from generator.job.model.instrument import Instrument
from generator.job.model.joint import BoltKind, BoltSpec, JointKind
from generator.joint.neck_set import NeckSet
from generator.joint.outlines import Outline

#: Wood beside a bolt's widest hole, to the truss-rod slot and to the far end, that the rule for bolts keeps, mm.
BOLT_CLEAR = 5.5
#: The thread of an insert bites this far into the wood round its pilot hole, mm (common practice, from memory).
_INSERT_BITES = 1.0
#: Where the rule puts one, two or three bolts: shares of the heel's length from the body's top edge.
_BOLT_SHARES = {1: (0.5,), 2: (1.0 / 3.0, 0.7), 3: (0.3, 0.5, 0.7)}


@dataclass(frozen=True)
class BoltHole:
    """One bolt on the centreline. Lengths mm.

    `from_top` runs down the end face from the body's top edge, `from_neck_plane` down the shoulder from the neck plane:
    the two differ by the neck rise. `on_neck_end` runs down the sawn end of what stands on the neck, which is drilled
    before anything is planed off it, else down the shoulder itself: parallel to it, where the neck plane has risen or
    fallen by the projection as routed times tan(cradle angle).
    `clearance_hole` goes through the neck block, `pilot_hole` into the neck, `cross_hole` (barrel nuts only) across it.
    `grip` is what the bolt bridges before its thread engages.
    """

    from_top: Mm
    from_neck_plane: Mm
    on_neck_end: Annotated[Mm, Key("on_tenon_end_mm")]
    clearance_hole: Mm
    pilot_hole: Mm
    thread: Told[str]
    kind: Told[BoltKind]
    grip: Mm
    cross_hole: InMm[float | None]
    engagement: float

    @property
    def widest_hole(self) -> float:
        """The widest hole that it wants in the neck, seen along its length, mm."""
        return max(self.pilot_hole, self.cross_hole or 0.0)

    @property
    def widest_metal(self) -> float:
        """Diameter of what sits in the neck, its thread in the wood included, mm."""
        return self.widest_hole + (2.0 * _INSERT_BITES if self.kind is BoltKind.INSERT else 0.0)


@dataclass(frozen=True)
class Size:
    """One size of a joint as a report tells it: its name, mm, and a note."""

    label: str
    value: float
    note: str = ""


@dataclass(frozen=True)
class Joint(ABC):
    """What every joint has. Lengths mm.

    `heel_length` runs down the end face to the inner edge of the back binding, where the neck ends; the heel cap then
    laps over `heel_cap_lap` of the binding's height. `heel_blank` and `heel_blank_width` are what of the neck's end
    lies under the plate while it is routed: the blank, before carving.
    """

    heel_length: Mm
    heel_width: float
    heel_width_at_cap: float
    heel_cap_lap: Mm
    heel_blank: Mm
    heel_blank_width: Mm
    neck_blank_overlength: Mm
    bolts: tuple[BoltHole, ...]

    @property
    @abstractmethod
    def kind(self) -> JointKind:
        """Which kind it is."""

    @property
    @abstractmethod
    def body_outline(self) -> Outline | None:
        """What is routed into the body's end face; None where nothing is."""

    @property
    @abstractmethod
    def neck_outline(self) -> Outline:
        """What is left standing on the neck's shoulder as it is routed, if anything is."""

    @property
    @abstractmethod
    def sizes(self) -> tuple[Size, ...]:
        """The kind's own sizes as a report tells them."""

    @property
    def results(self) -> Mapping[str, float]:
        """The kind's own sizes as results.json has them."""
        return keyed(self, without=keys_of(Joint))

    @property
    @abstractmethod
    def facts(self) -> Mapping[str, str]:
        """Of its fields those that the setup sheet begins with, by what it calls them."""

    @property
    def depth_of_cut(self) -> float:
        """How deep the deeper of the two cuts goes, mm: what depth block and rests are set by."""
        body = self.body_outline
        return self.neck_outline.depth if body is None else max(body.depth, self.neck_outline.depth)

    @property
    def rail_height(self) -> float:
        """How high the brackets' rails are, mm: the jig's feet, as high as the cut is deep where they gauge it."""
        return self.depth_of_cut

    @property
    def shoulder_depth(self) -> float:
        """How far below the plate the shoulder is routed, mm."""
        return self.neck_outline.depth

    @property
    def finished_projection(self) -> float:
        """How far what is left on the neck stands out of the finished shoulder, mm; 0 where nothing is left."""
        return 0.0

    @property
    def eased(self) -> float:
        """What comes off the routed neck's end by hand once its shoulder fits, mm."""
        return 0.0

    @property
    def side_room(self) -> float:
        """Room beside what stands on the neck, both sides together, mm."""
        return 0.0

    @property
    def end_room(self) -> float:
        """Room at its back end, the neck rise not counted, mm."""
        return 0.0

    @property
    def floor_room(self) -> float:
        """Room between its finished end and the body's cut, mm."""
        return 0.0

    @property
    def called(self) -> str:
        """Its deeper cut by name and sizes: the body's, else the neck's."""
        return (self.body_outline or self.neck_outline).called

    @property
    def cut_in_body(self) -> Outline:
        """`body_outline`, for who serves it alone. ValueError where nothing is cut in the body."""
        if self.body_outline is None:
            raise ValueError(f"a joint of kind {self.kind.value} cuts nothing in the body")
        return self.body_outline

    @property
    def stands(self) -> bool:
        """Whether anything is left standing on the neck's shoulder."""
        return self.neck_outline.contour is not None

    @property
    def takes_bolts(self) -> str:
        """What of the neck takes the bolts: what stands on its shoulder, else the heel."""
        return self.neck_outline.name if self.stands else "heel"

    def heel_width_down(self, down: float) -> float:
        """The finished heel's width `down` mm from the body's top edge: it tapers evenly to the cap."""
        return self.heel_width + (self.heel_width_at_cap - self.heel_width) * down / self.heel_length


def heel_length(instrument: Instrument) -> float:
    """Length of the neck's heel along the end face (mm): top edge to the inner edge of the back binding."""
    depth, binding = instrument.body_depth_at_neck, instrument.back_binding_height
    return limits.heel_length(depth, binding, instrument.end_face_tilt)


class HeelSizes(TypedDict):
    """What of a joint the instrument alone decides, whatever its kind; see `Joint`."""

    heel_length: float
    heel_width: float
    heel_width_at_cap: float
    heel_cap_lap: float
    heel_blank: float
    heel_blank_width: float


def heel_sizes(instrument: Instrument) -> HeelSizes:
    """The sizes of heel and blank, mm."""
    return HeelSizes(
        heel_length=heel_length(instrument),
        heel_width=instrument.heel_width,
        heel_width_at_cap=instrument.heel_width_at_cap,
        heel_cap_lap=instrument.heel_cap_thickness,
        heel_blank=_heel_blank(instrument),
        heel_blank_width=heel_blank_width(instrument),
    )


def _heel_blank(instrument: Instrument) -> float:
    """Length of the neck's end before carving (mm): as told, else the body's depth there and 2 mm."""
    return instrument.body_depth_at_neck + 2.0 if instrument.heel_blank is None else instrument.heel_blank


def heel_blank_width(instrument: Instrument) -> float:
    """Width of the neck's end before carving (mm): as told, else the heel's greatest width and 4 mm on either side."""
    if instrument.heel_blank_width is not None:
        return instrument.heel_blank_width
    return max(instrument.heel_width, instrument.heel_width_at_cap) + 8.0


def bolt_places(instrument: Instrument, bolts: BoltSpec, far_end: float) -> tuple[float, ...]:
    """Centres of the bolts below the body's top edge, mm: as told, else by a rule over the heel's length.

    One bolt stands half-way down the heel; of two the upper stands a third of the way down and the lower seven tenths
    (common practice); a third one stands between them. The upper one keeps clear of the truss-rod slot, the lower one
    of the `far_end` of the wood that takes them, each by `BOLT_CLEAR` beside its widest hole. Places are whole half
    millimetres.
    """
    if bolts.from_top is not None:
        return tuple(sorted(bolts.from_top))
    holes = tenon_thread(bolts.thread, bolts.kind)
    clear = max(holes.pilot_hole, holes.cross_hole or 0.0) / 2.0 + BOLT_CLEAR
    slot = instrument.truss_rod_slot_depth if instrument.truss_rod_slot_width is not None else None
    highest, lowest = clear + (slot or 0.0), far_end - clear
    whole = heel_length(instrument)
    return tuple(round(2.0 * min(max(share * whole, highest), lowest)) / 2.0 for share in _BOLT_SHARES[bolts.count])


def bolt_holes(
    instrument: Instrument, bolts: BoltSpec, neck_set: NeckSet, *, far_end: float, projection: float, grip: float
) -> tuple[BoltHole, ...]:
    """Every bolt's holes; `projection` (mm) is how far the neck's end as routed stands out of the shoulder."""
    size, kind = bolts.thread, bolts.kind
    holes = tenon_thread(size, kind)
    rise = projection * math.tan(math.radians(neck_set.cradle_angle))
    return tuple(
        BoltHole(
            from_top=from_top,
            from_neck_plane=from_top + neck_set.neck_rise_along_face,
            on_neck_end=from_top + neck_set.neck_rise_along_face + rise,
            clearance_hole=clearance_hole(size),
            pilot_hole=holes.pilot_hole,
            cross_hole=holes.cross_hole,
            thread=size,
            kind=kind,
            grip=grip,
            engagement=holes.engagement,
        )
        for from_top in bolt_places(instrument, bolts, far_end)
    )
