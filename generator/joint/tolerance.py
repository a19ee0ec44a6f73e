"""How far saddle gap and centreline may come out from what was asked: each cause, the worst case and the likely one.

Lengths mm, angles degrees. Every tolerance is a half range (±). Rests and teeth act over the distance of the rests,
whatever tilts the shoulder over the heel's length; both turn the neck, and the gap follows by s / cos² of its angle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Annotated

from generator.base.keyed import Key, Mm, Told
from generator.job.model.job import Tolerances

#: Share of first fits that lies inside the likely half range.
CONFIDENCE = 0.95
#: Most terms of the series for the share within a half range.
_TERMS = 400
#: The series ends once its terms' products of sin(x)/x are bounded by less than this.
_SMALL = 1e-9
#: The half range is found to this share of the worst case.
_FINE = 1e-12


@dataclass(frozen=True)
class ErrorChain:
    """What turns an error of the jig into one at the saddle. Lengths mm, angles degrees.

    `join_to_saddle` s, `set_angle` θ, `cradle_angle` α, `rest_spacing` p, `heel_length` along the end face,
    `heel_width` at the join. `plate_give` (degrees) and `eccentricity` of the bushing are what is known of this job:
    each counts where it is more than the tolerance says. `stand_off` is the zero check's reading c, None before it.
    `bolt_room` is how far bolts in their holes let a neck stand aside that they alone locate; None where a tenon does.
    """

    join_to_saddle: float
    set_angle: float
    cradle_angle: float
    rest_spacing: float
    heel_length: float
    heel_width: float
    plate_give: float = 0.0
    eccentricity: float = 0.0
    stand_off: float | None = None
    bolt_room: float | None = None

    @property
    def gap_per_radian(self) -> float:
        """Change of the saddle gap with the set angle, mm per radian: s / cos² θ."""
        return self.join_to_saddle / math.cos(math.radians(self.set_angle)) ** 2


class Acts(Enum):
    """Where an error sits, and so what it does to the saddle gap."""

    REST = "mm at a rest, over the rests' distance"
    HEEL = "mm at one end of the heel, over its length"
    ANGLE = "degrees of the neck against the plate"
    GAP = "mm of the gap itself"


@dataclass(frozen=True)
class Cause:
    """One error before it reaches the saddle: `size` in what `acts` says. One that `repeats` is the same in the last
    pass as in the first fit, so that trimming by the gap removes it.
    """

    name: str
    size: float
    acts: Acts
    repeats: bool = True


@dataclass(frozen=True)
class Contribution:
    """One cause and what it alone can do to the saddle gap, ± mm; `repeats` as its cause does."""

    name: Told[str]
    gap: Mm
    repeats: bool = True


@dataclass(frozen=True)
class Aside:
    """One cause and by how much it alone can make the centreline miss the saddle's middle, ± mm."""

    name: Told[str]
    sideways: Mm


@dataclass(frozen=True)
class Uncertainty:
    """What to expect of the first dry fit. Lengths mm, all half ranges.

    `gap_worst` adds all contributions, `gap_rss` is their root-sum-square, `gap_likely` what 95 of 100 gaps read stay
    inside. `built_worst`, `built_rss` and `built_likely` are the same of the joint itself, its reading left out;
    `trimmed_rss` is what is left after trimming: what does not repeat. `gap_per_degree` is how much a degree of set
    angle moves the gap. The sideways figures are those of the centreline at the saddle. `zero_checked`: whether the
    angle rest was cut to a measured stand-off.
    """

    gap_worst: Mm
    gap_rss: Mm
    gap_per_degree: Mm
    gap_likely: Mm
    built_worst: Mm
    built_rss: Mm
    built_likely: Mm
    trimmed_rss: Mm
    sideways_worst: Mm
    sideways_rss: Mm
    sideways_likely: Mm
    zero_checked: Told[bool]
    contributions: Told[tuple[Contribution, ...]]
    asides: Annotated[tuple[Aside, ...], Key("sideways_contributions")]

    @property
    def dominant(self) -> Contribution:
        """The largest contribution to the gap."""
        return max(self.contributions, key=lambda item: item.gap)

    @property
    def dominant_aside(self) -> Aside:
        """The largest contribution sideways."""
        return max(self.asides, key=lambda item: item.sideways)


@dataclass(frozen=True)
class ActionSpread:
    """What gap and string pull do to the action at the 12th fret, ± mm: everything at its limit, and seldom more."""

    worst: Annotated[float, Key("action_{}_mm")]
    rss: Annotated[float, Key("action_{}_mm")]


def worst_case(sizes: Iterable[float]) -> float:
    """Sum of the absolute sizes: everything at its limit, all the same way."""
    return math.fsum(abs(size) for size in sizes)


def root_sum_square(sizes: Iterable[float]) -> float:
    """Root of the sum of squares: independent causes, seldom all at their limit at once."""
    return math.hypot(*sizes)


def likely_range(sizes: Sequence[float], share: float = CONFIDENCE) -> float:
    """Half range that holds this share of the sums of errors, each spread evenly over its own ± size.

    The sum is bounded by the worst case W, so its distribution is a Fourier series on −W … W whose coefficients are
    products of sin(x)/x.
    """
    sizes = [abs(size) for size in sizes if size]
    worst = math.fsum(sizes)
    if not sizes:
        return 0.0
    terms: list[tuple[float, float]] = []
    for k in range(1, _TERMS + 1):
        wave = k * math.pi / worst
        product = bound = 1.0
        for size in sizes:
            turn = wave * size
            product *= math.sin(turn) / turn
            if turn > 1.0:
                bound /= turn
        terms.append((wave, 2.0 / (k * math.pi) * product))
        if bound < _SMALL:
            break
    low, high, at = 0.0, worst, share * worst
    while high - low > _FINE * worst:
        held = at / worst + math.fsum(size * math.sin(wave * at) for wave, size in terms)
        low, high = (at, high) if held < share else (low, at)
        density = 1.0 / worst + math.fsum(size * wave * math.cos(wave * at) for wave, size in terms)
        # Newton's step, unless it leaves what is known: then the middle.
        step = (share - held) / density if density > 0.0 else math.inf
        if abs(step) <= _FINE * worst:
            return at + step
        at = at + step if low < at + step < high else (low + high) / 2.0
    return high


def gap_causes(tolerances: Tolerances, chain: ErrorChain) -> tuple[Cause, ...]:
    """What moves the gap. The zero check puts its own small error in the place of everything that it measures."""
    return (*_of_the_jig(tolerances, checked=chain.stand_off is not None), *_of_the_bench(tolerances, chain))


def _of_the_jig(tolerances: Tolerances, *, checked: bool) -> tuple[Cause, ...]:
    if checked:
        return (Cause("angle rest against the zero check", tolerances.zero_check, Acts.REST),)
    return (
        Cause("width of the upper rest", tolerances.rest_width, Acts.REST),
        Cause("width of the angle rest", tolerances.rest_width, Acts.REST),
        Cause("flatness of the board", tolerances.board_flatness, Acts.REST),
        Cause("board square to the plate", tolerances.board_square, Acts.ANGLE),
        Cause("plate's faces parallel", tolerances.plate_parallelism, Acts.HEEL),
    )


def _of_the_bench(tolerances: Tolerances, chain: ErrorChain) -> tuple[Cause, ...]:
    gives = "deflection of plate and tongue" if chain.bolt_room is None else "deflection of the plate"
    return (
        Cause("flatness of the plate", tolerances.plate_flatness, Acts.HEEL),
        Cause(gives, max(tolerances.plate_give, chain.plate_give), Acts.ANGLE),
        Cause("clamping", tolerances.clamping, Acts.ANGLE, repeats=False),
        Cause("dented edges of the rests", tolerances.edge_dents, Acts.REST),
        Cause("bow of the gluing face", tolerances.gluing_face_bow, Acts.REST),
        Cause("flatness of the end face", tolerances.end_face_flatness, Acts.HEEL),
        Cause("evenness of the last pass", tolerances.last_pass_evenness, Acts.HEEL, repeats=False),
        Cause("reading of the gap", tolerances.gap_reading, Acts.GAP, repeats=False),
    )


def gap_contribution(cause: Cause, chain: ErrorChain) -> Contribution:
    """What one cause alone does to the gap, to first order."""
    lean = math.cos(math.radians(chain.cradle_angle)) ** 2
    per_unit = {
        Acts.REST: chain.gap_per_radian * lean / chain.rest_spacing,
        Acts.HEEL: chain.gap_per_radian / chain.heel_length,
        Acts.ANGLE: math.radians(chain.gap_per_radian),
        Acts.GAP: 1.0,
    }
    return Contribution(cause.name, cause.size * per_unit[cause.acts], cause.repeats)


def sideways_asides(tolerances: Tolerances, chain: ErrorChain) -> tuple[Aside, ...]:
    """What makes the centreline miss the saddle's middle.

    Teeth turn the neck over the rests' distance: out of line by their error, with play by both teeth's. Mortise and
    tenon shift it as they are off their own centrelines. Neck and body are each other's mirror image in the jig, so an
    eccentric bushing shifts both cuts apart: it counts twice. A neck without them shifts by its bolts' room.
    """
    s, per_rest = chain.join_to_saddle, chain.join_to_saddle / chain.rest_spacing
    line = tolerances.teeth_line if chain.stand_off is not None else tolerances.teeth_line_as_built
    return (
        Aside("teeth out of line", per_rest * line),
        Aside("play on the teeth", per_rest * 2.0 * tolerances.tooth_play),
        Aside("seat across the shoulder", s * tolerances.shoulder_seat / chain.heel_width),
        *_located(tolerances, chain),
    )


def _located(tolerances: Tolerances, chain: ErrorChain) -> tuple[Aside, ...]:
    """How far what locates the neck lets it stand beside the body's centreline; the neck's twist."""
    twist = Aside("twist of the neck", tolerances.twist)
    if chain.bolt_room is not None:
        return Aside("bolts in their holes", chain.bolt_room), twist
    return (
        Aside("mortise off its centreline", tolerances.mortise_centreline),
        Aside("tenon off its centreline", tolerances.tenon_centreline),
        twist,
        Aside("bushing eccentricity", 2.0 * max(tolerances.bushing_eccentricity, chain.eccentricity)),
    )


def solve_uncertainty(tolerances: Tolerances, chain: ErrorChain) -> Uncertainty:
    """Every contribution to gap and centreline, summed three ways; before the zero check where it has no reading."""
    found = tuple(gap_contribution(cause, chain) for cause in gap_causes(tolerances, chain))
    gaps = [item.gap for item in found]
    built = gaps[:-1]
    asides = sideways_asides(tolerances, chain)
    misses = [item.sideways for item in asides]
    return Uncertainty(
        contributions=found,
        gap_worst=worst_case(gaps),
        gap_rss=root_sum_square(gaps),
        gap_likely=likely_range(gaps),
        built_worst=worst_case(built),
        built_rss=root_sum_square(built),
        built_likely=likely_range(built),
        trimmed_rss=root_sum_square(item.gap for item in found if not item.repeats),
        gap_per_degree=math.radians(chain.gap_per_radian),
        asides=asides,
        sideways_worst=worst_case(misses),
        sideways_rss=root_sum_square(misses),
        sideways_likely=likely_range(misses),
        zero_checked=chain.stand_off is not None,
    )


def action_spread(
    gap_half_range: float, tolerances: Tolerances, *, scale_length: float, compensation: float
) -> ActionSpread:
    """Spread of the action at the 12th fret from that of the gap and of `string_pull_up`, which is never known well.

    A gap that comes out higher lowers the strings' height over the saddle by as much, and at half the scale by half of
    that: (L + c) stands to L / 2 as the one to the other.
    """
    share = scale_length / 2.0 / (scale_length + compensation)
    parts = [gap_half_range * share, tolerances.string_pull_up * share]
    return ActionSpread(worst_case(parts), root_sum_square(parts))
