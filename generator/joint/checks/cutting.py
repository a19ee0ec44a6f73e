"""Whether the router kit can make the cuts: passes, reach, bushing, bit."""

from __future__ import annotations

from generator.base.units import mm
from generator.job.limits import LEAST_BORE_PLAY, LEAST_TONGUE, edges_needed, longest_barrel
from generator.joint.checks.base import Check, CheckInput, at_least, at_most
from generator.joint.router_template import NUT_ROOM, SLIVER
from generator.joint.shoulder import angle_of_gap, gap_of_angle, wedge

#: A measured eccentricity above the first is worth centring the bushing for, above the second it spoils the joint, mm
#: (common practice: neck and body are cut mirrored, so it moves the neck sideways by twice as much).
ECCENTRICITY = (0.05, 0.25)
#: A measured edge offset further than this from the nominal one is worth a second test cut, mm (common practice: what
#: wear and make of bushing and bit come to). How far is too far the rules between keys say.
USUAL_OFFSET_ERROR = 0.3
#: Limit of failure for a measured edge offset's error, mm: none comes near it, so the check warns and never fails.
_ANY = 100.0
#: An opening that leaves the bushing less play than this clogs with chips, mm.
CLOGGING_PLAY = 1.0
#: With less play than this a plate as exact as can be made (walls within 0.05) may not let the bushing in, mm.
LEAST_PLAY = 0.1


def cutting_checks(work: CheckInput) -> tuple[Check, ...]:
    """Passes, hold-back, reach, bushing and bit."""
    return (*_passes(work), _hold_back(work), *_machine(work), *_template(work))


def _passes(work: CheckInput) -> tuple[Check, ...]:
    passes, limit = work.routing.passes, work.job.router.max_step
    steps = [
        below - above
        for depths in (passes.body, passes.neck)
        for above, below in zip((0.0, *depths), depths, strict=False)
    ]
    body, neck = work.joint.body_outline, work.joint.neck_outline.name
    in_body = "" if body is None else f"{len(passes.body)} passes for the {body.name}, "
    count = f"{in_body}{len(passes.neck)} {'' if in_body else 'passes '}for the {neck}"
    deepest, thinnest = max(steps), min(steps)
    return (
        at_most("deepest pass", deepest, limit, limit, f"{mm(deepest)} in {count}; at most {mm(limit)}"),
        at_least("thinnest pass", thinnest, SLIVER, 0.0, f"{mm(thinnest)} in {count}; a thinner one only rubs"),
    )


def worst_wedge(work: CheckInput) -> float:
    """Thickest wedge (mm) over the heel that the worst-case gap error asks for, either way."""
    neck_set, off = work.neck_set, work.uncertainty.gap_worst
    turns = [angle_of_gap(neck_set, neck_set.saddle_gap + sign * off) - neck_set.set_angle for sign in (1.0, -1.0)]
    return max(wedge(work.joint.heel_length, turn) for turn in turns)


def _hold_back(work: CheckInput) -> Check:
    held, needed = work.job.router.hold_back, worst_wedge(work)
    lowest = gap_of_angle(work.neck_set, work.neck_set.set_angle) - work.uncertainty.gap_worst
    message = (
        f"{mm(held)} held back; a gap off by the worst case of {mm(work.uncertainty.gap_worst)} "
        f"(down to {mm(lowest)}) takes {mm(needed)}"
    )
    return at_least("hold-back", held, needed, 0.0, message)


def _machine(work: CheckInput) -> tuple[Check, ...]:
    router, plate = work.job.router, work.job.stock("plate").actual_thickness
    needed, barrel = work.routing.reach_needed, longest_barrel(plate)
    play = router.bushing_id - router.bit_diameter
    neck = router.bushing_id - router.shank_diameter
    return (
        at_least(
            "reach",
            router.reach,
            needed,
            needed,
            f"the bit must reach {mm(needed)} below the base and reaches {mm(router.reach)}",
        ),
        at_most(
            "bushing length",
            router.bushing_length,
            barrel,
            barrel,
            f"a barrel of {mm(router.bushing_length)} in a plate of {mm(plate)}; at most {mm(barrel)}",
        ),
        at_least(
            "bit in the bushing", play, LEAST_BORE_PLAY, LEAST_BORE_PLAY, f"{mm(play)} of play between bore and bit"
        ),
        at_most(
            "bushing eccentricity",
            router.eccentricity,
            *ECCENTRICITY,
            f"the bit's axis misses the bushing's by {mm(router.eccentricity)}: centre the bushing, and keep one side "
            "of the base to you",
        ),
        *_edge_offset(work),
        at_least("shank in the bushing", neck, LEAST_BORE_PLAY, 0.0, f"{mm(neck)} of play between bore and shank"),
        *_stick_out(work),
        _cutting_length(work),
    )


def _edge_offset(work: CheckInput) -> tuple[Check, ...]:
    """A measured offset against the nominal one: a slip would make tenon and mortise of two widths."""
    router = work.job.router
    if router.edge_offset is None or work.routing.tongue is None:
        return ()
    nominal = (router.bushing_od - router.bit_diameter) / 2.0
    off = router.edge_offset - nominal
    words = (
        f"router.edge_offset is {mm(router.edge_offset)}, half of bushing_od less bit_diameter {mm(nominal)}; cut with "
        f"an offset of {mm(nominal)} the tenon would be {mm(4.0 * abs(off))} {'narrower' if off > 0 else 'wider'} "
        "against the mortise than wanted: confirm it with a test cut"
    )
    return (at_most("edge offset", abs(off), USUAL_OFFSET_ERROR, _ANY, words),)


def _stick_out(work: CheckInput) -> tuple[Check, ...]:
    """At full depth the collet nut, wider than the bushing's bore, must stay above the bushing's flange."""
    out, needed = work.job.router.stick_out, work.routing.reach_needed
    if out is None:
        return ()
    words = (
        f"at full depth the collet nut's face is {mm(abs(out - needed))} {'above' if out >= needed else 'below'} the "
        f"base, where the bushing sits: let the bit stand out {mm(needed + NUT_ROOM)}, the shank still well gripped"
    )
    return (at_least("collet nut and bushing", out - needed, NUT_ROOM, 0.0, words),)


def _cutting_length(work: CheckInput) -> Check:
    router, depth = work.job.router, work.joint.depth_of_cut
    needed = edges_needed(router.shank_diameter, router.bit_diameter, depth, router.max_step)
    words = f"cutting edges {mm(router.cutting_length)} long"
    if router.shank_diameter <= router.bit_diameter:
        words += "; the shank is no thicker than the bit and may follow"
    else:
        words += f" for a wall of {mm(depth)}, the shank thicker than the bit"
    return at_least("cutting length", router.cutting_length, needed, needed, words)


def _template(work: CheckInput) -> tuple[Check, ...]:
    routing = work.routing
    if routing.tongue is None or routing.opening is None:
        return ()
    play = routing.opening_width - work.job.router.bushing_od
    return (
        at_least(
            "tongue width",
            routing.tongue_width,
            LEAST_TONGUE,
            LEAST_TONGUE,
            f"a tongue {mm(routing.tongue_width)} wide; a smaller bushing or a larger bit widens it",
        ),
        at_least(
            "bushing in the opening",
            play,
            CLOGGING_PLAY,
            LEAST_PLAY,
            f"{mm(play)} of play across the mortise opening; with less than {mm(CLOGGING_PLAY)} chips clog it",
        ),
    )
