"""What the setup sheet may say: frozen nouns full of finished text, in the order of the work.

Every figure is spelt already; the one template that words the sheet computes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
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
class PassTable:
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
    """A row of the table of readings. An empty text means there is nothing to do.

    `rule` is what a rule shows over spacers. `shims` is the whole stack behind the angle rest for the last pass, and
    `plane` the width of a new angle rest where no stack serves; `shimmed` false: the last pass cannot do it. `finished`
    false: nor can hands at the shoulder.
    """

    gap: str
    rule: str
    wanted: bool
    shimmed: bool
    shims: str
    plane: str
    ease_first: str
    finished: bool
    off_back_end: str
    off_join: str


@dataclass(frozen=True)
class Bolt:
    """One bolt's holes."""

    number: int
    from_top: str
    on_end: str
    clearance: str
    pilot: str
    cross: str


@dataclass(frozen=True)
class Sheetstock:
    """A stock of the jig: its pieces as they are sawn, the size to buy, the thickness built for, and who cuts it."""

    name: str
    thickness: str
    pieces: str
    buy: str
    way: str


@dataclass(frozen=True)
class BoughtRow:
    """Pieces of one length to buy."""

    length: str
    count: int
    purpose: str


@dataclass(frozen=True)
class BoughtKind:
    """Pieces to buy of one kind, such as "countersunk wood screw ⌀4"."""

    title: str
    pieces: tuple[BoughtRow, ...]


@dataclass(frozen=True)
class CheckWords:
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
    told: tuple[CheckWords, ...]


@dataclass(frozen=True)
class BlankWords:
    """Body and neck before anything is routed, and the two offcuts of the scrap joint."""

    flatness: str
    tilt: str
    tilted: bool
    depth: str
    block_thickness: str
    block_width: str
    block_floor: str
    heel_angle: str
    past_join: str
    heel_blank: str
    heel_blank_width: str
    slot: bool
    slot_width: str
    slot_depth: str
    neck_offcut: str
    body_offcut: str


@dataclass(frozen=True)
class RouterWords:
    """The router as set up."""

    bit: str
    bit_length: str
    shank: str
    bushing_od: str
    bushing_id: str
    bushing_length: str
    cutting_length: str
    reach: str
    reach_needed: str
    stick_out: str
    speed: str
    hold_back: str
    held: bool
    offset: str
    offset_measured: bool
    eccentric: bool
    eccentricity: str
    shift: str
    fixed: bool


@dataclass(frozen=True)
class JointWords:
    """Mortise and tenon as they must come out; the mortise `has_middle` where passes along its walls leave wood."""

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
    has_middle: bool
    floor_clearance: str
    corner: str
    tenon_corner: str
    corners_need_easing: bool
    end_left: str
    end_is_off: bool
    opening_width: str
    tongue_width: str
    tongue_rounded: bool
    tongue_corner: str
    wear: str


@dataclass(frozen=True)
class ButtWords:
    """A butt joint as it must come out, spelt.

    `packing` lies under the heel stop for the last pass; `stop_bolt` then holds the neck. `rise` is how far the
    guide's flat end stands under the gluing face's edge (above it where it `falls`), empty where they are level.
    """

    facing: str
    faced_first: str
    packing: str
    stop_bolt: str
    rise: str
    falls: bool
    room: str


@dataclass(frozen=True)
class SettingWords:
    """How the jig is made, checked and set up."""

    angle_rest: str
    full_rest: str
    shim: str
    upper_rest: str
    wide_rest: str
    narrow_rest: str
    rest_gap: str
    turned_over: bool
    stand_off: str
    measured: bool
    depth_block: str
    tenon_block: str
    second_block: bool
    bench_gap: str
    bench_width: str
    teeth: bool
    tip: bool
    tip_pilot: str
    tip_from_face: str
    plug_pilot: str
    plug_from_top: str
    caul_neck: str
    caul_body: str
    caul_height: str
    square_rule: str
    square_blocks: str
    clamp_opening: str
    throat: str
    strip: str
    strip_thick: str
    bridged: bool
    plate_by_hand: bool
    upper_layer: str
    lower_layer: str
    keeps_back: str
    packing: str
    feeler: str
    close: str
    in_line: str
    work_below: str


@dataclass(frozen=True)
class Gap:
    """The reading at the saddle and what comes of it."""

    saddle: str
    wanted: str
    neck_rise: str
    proud: bool
    below: bool
    wedge_gauge: bool
    spaced: bool
    spacer: str
    rule_wanted: str
    per_shim: str
    sideways_share: str
    extension: str
    wedge: bool
    undercut: bool
    clearance_below: bool
    clearance_size: str
    action: str
    string_height: str
    string_break: str


@dataclass(frozen=True)
class ExpectedError:
    """What to expect of the first dry fit."""

    likely: str
    worst: str
    dominant: str
    sideways: str
    trimmed: str
    checked: bool


@dataclass(frozen=True)
class Bolts:
    """The joint's bolts: what to buy, how deep to drill, how to fit what holds them."""

    kind: str
    buy: str
    thread: str
    count: int
    sold: bool
    depth: str
    sunk: str
    barrel: str
    stands_out: str
    guide_strays: bool
    guide_off: str
    rows: tuple[Bolt, ...]


@dataclass(frozen=True)
class Commands:
    """The commands that the sheet names, each as it runs from the folder in which the kit was made."""

    adjust: str
    log: str
    log_record: str
    prove: str
    make: str
    calibrate_router: str
    calibrate_laser: str
    calibrate_jig: str


@dataclass(frozen=True)
class SetupSheet:
    """Everything the template may say, in the order of the work.

    `terms` explain words: a paragraph on the joint, two on the jig. `pairs` are the readings below and above the wanted
    one, those nearest to it first. Of `joint` and `butt` there is the one of the job's kind. `eases`: the readings tell
    what to ease first of what stands on the neck. `checksum` names the effective job: what a page has kept of another
    one is not taken for this one's.
    """

    job: str
    version: str
    checksum: str
    instrument: str
    router: str
    jig: str
    left_handed: bool
    unit: str
    typed: str
    paper: str
    is_test: bool
    boxes: Mapping[str, str]
    terms: tuple[tuple[Fact, ...], ...]
    facts: tuple[Fact, ...]
    wood: BlankWords
    kit: RouterWords
    joint: JointWords | None
    butt: ButtWords | None
    setting: SettingWords
    drills: str
    body_passes: PassTable | None
    neck_passes: PassTable
    card_passes: str
    card_body_passes: str
    gap: Gap
    readings: tuple[Reading, ...]
    pairs: tuple[tuple[Reading, Reading], ...]
    eases: bool
    low_columns: int
    high_columns: int
    bolts: Bolts
    sure: ExpectedError
    steps: tuple[str, ...]
    hardware: tuple[BoughtKind, ...]
    stocks: tuple[Sheetstock, ...]
    bevel: bool
    sight: bool
    slip: bool
    stick: bool
    from_shop: tuple[Fact, ...]
    to_mind: tuple[CheckWords, ...]
    checks_passed: int
    checks: int
    proof: tuple[ProofGroup, ...]
    commands: Commands
