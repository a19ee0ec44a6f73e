"""What the setup sheet may say: frozen nouns full of finished text, in the order of the work.

Every figure is spelt already; the one template that words the sheet computes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fact:
    """A number with its name."""

    name: str
    value: str


@dataclass(frozen=True)
class Pass:
    """One pass of the router: depth from the work's face and, for a fixed base, of the bit below the base."""

    number: int
    depth: str
    below_base: str
    held_back: bool


@dataclass(frozen=True)
class Passes:
    """All passes of one cut: row by row, or, where they would fill the page, none and only how many of what.

    `count` equal passes of `step` reach `deepest`; `held` says that one more, to `last`, waits for the dry fit.
    """

    rows: tuple[Pass, ...]
    count: int
    step: str
    deepest: str
    deepest_below_base: str
    held: bool
    last: str


@dataclass(frozen=True)
class Reading:
    """A row of the correction table; an empty text means there is nothing to do, `shy` false that it cannot be done."""

    gap: str
    rule: str
    wanted: bool
    shy: bool
    block_change: str
    block_new: str
    shims: str
    stock_left: str
    ease_first: str
    final: bool
    off_back_end: str
    off_join: str


@dataclass(frozen=True)
class Bolt:
    """One bolt's holes."""

    number: int
    from_top: str
    at_shoulder: str
    on_end: str
    clearance: str
    pilot: str
    cross: str


@dataclass(frozen=True)
class Layer:
    """A layer of the cutting files: its colour and what the machine does there."""

    name: str
    colour: str
    means: str


@dataclass(frozen=True)
class Sheetstock:
    """A stock of the jig: thickness built for and kerf, with where each comes from."""

    name: str
    thickness: str
    kerf: str


@dataclass(frozen=True)
class Bought:
    """A line of the hardware list: alike pieces together, with the numbers they carry on the drawings."""

    ids: str
    what: str
    count: int
    purpose: str


@dataclass(frozen=True)
class Judged:
    """A check as the sheet prints it."""

    name: str
    status: str
    message: str


@dataclass(frozen=True)
class ProofGroup:
    """What one part of the proof came to: its name, how many of its checks passed, what they told a builder."""

    name: str
    passed: int
    count: int
    told: tuple[Judged, ...]


@dataclass(frozen=True)
class Wood:
    """Body and neck before anything is routed."""

    flatness: str
    tilt: str
    tilted: bool
    depth: str
    heel_width: str
    heel_width_at_cap: str
    heel_tapers: bool
    block_thickness: str
    block_width: str
    block_floor: str
    heel_angle: str
    past_join: str
    heel_blank: str
    slot_width: str
    slot_depth: str
    back_binding: str
    has_back_binding: bool


@dataclass(frozen=True)
class Kit:
    """The router as set up."""

    bit: str
    bushing_od: str
    bushing_id: str
    bushing_length: str
    cutting_length: str
    reach: str
    reach_needed: str
    stick_out: str
    speed: str
    step: str
    hold_back: str
    held: bool
    offset: str
    offset_measured: bool
    eccentric: bool
    eccentricity: str
    shift: str
    fixed: bool


@dataclass(frozen=True)
class Joint:
    """Mortise and tenon as they must come out."""

    mortise_width: str
    mortise_length: str
    mortise_depth: str
    tenon_width: str
    tenon_length: str
    tenon_routed: str
    tenon_finished: str
    ease_end: str
    eases_end: bool
    side_clearance: str
    end_clearance: str
    floor_clearance: str
    corner: str
    tenon_corner: str
    corners_need_easing: bool
    end_left: str
    end_is_off: bool
    sawn: bool
    opening_width: str
    tongue_width: str
    wear: str


@dataclass(frozen=True)
class Setting:
    """The jig's settings for body and neck."""

    set_block: str
    body_block: str
    body_angle: str
    neck_angle: str
    depth_block: str
    tenon_block: str
    second_block: bool
    zero_block: str
    plate: str
    clamp_from: str
    clamp_to: str
    clamp_opening: str
    throat: str
    key: bool
    tip_pin: bool
    bridged: bool
    rest: bool
    shims: str


@dataclass(frozen=True)
class Gap:
    """The reading at the saddle and what comes of it."""

    saddle: str
    wanted: str
    overstand: str
    proud: bool
    below: bool
    gauge: bool
    spaced: bool
    spacer: str
    rule_wanted: str
    per_degree: str
    sideways_share: str
    extension: str
    wedge: bool
    relief: bool
    clearance_below: bool
    clearance_size: str
    action: str
    string_height: str


@dataclass(frozen=True)
class Sure:
    """What to expect of the first dry fit."""

    likely: str
    worst: str
    dominant: str
    sideways: str


@dataclass(frozen=True)
class Bolts:
    """The joint's bolts: thread, what holds it, length, holes."""

    thread: str
    kind: str
    length: str
    engagement: str
    crossed: bool
    guide_strays: bool
    guide_off: str
    rows: tuple[Bolt, ...]


@dataclass(frozen=True)
class Commands:
    """The commands that the sheet names, each as it runs from the folder in which the kit was made."""

    adjust: str
    log: str
    prove: str
    calibrate_router: str
    calibrate_laser: str


@dataclass(frozen=True)
class SetupSheet:
    """Everything the template may say, in the order of the work."""

    job: str
    version: str
    instrument: str
    router: str
    jig: str
    left_handed: bool
    unit: str
    paper: str
    test_job: str
    is_test: bool
    facts: tuple[Fact, ...]
    wood: Wood
    kit: Kit
    joint: Joint
    setting: Setting
    mortise_passes: Passes
    tenon_passes: Passes
    gap: Gap
    readings: tuple[Reading, ...]
    bolts: Bolts
    sure: Sure
    steps: tuple[str, ...]
    hardware: tuple[Bought, ...]
    layers: tuple[Layer, ...]
    stocks: tuple[Sheetstock, ...]
    coupon: bool
    bevel: bool
    from_shop: tuple[Fact, ...]
    to_mind: tuple[Judged, ...]
    checks_passed: int
    checks: int
    proof: tuple[ProofGroup, ...]
    commands: Commands
