"""A correction in words: what to do about a measured joint that is off, one step a line."""

from __future__ import annotations

import textwrap

from generator.base.units import in_both, mm
from generator.joint.corrections import Correction, Edge, Stage
from generator.joint.cradle import stack_words
from generator.joint.solution import Solution


def advice(solution: Solution, found: Correction) -> list[str]:
    """The correction in words, one step an indented line of at most 100 columns."""
    stage = "the last pass still to take" if found.stage is Stage.SHY else "all passes taken"
    head = f"{solution.job.name}, {stage}: gap {in_both(found.gap_found)} found, {in_both(found.gap_wanted)} wanted"
    steps = [f"The set angle must change by {found.angle_change:+.3f}°."]
    tenon = solution.joint.stands
    steps += _on_the_cradle(found, tenon=tenon) if found.stage is Stage.SHY else _on_the_shoulder(found, tenon=tenon)
    steps += _sideways(found) + _string_length(found)
    lines = [textwrap.wrap(step, 100, initial_indent="  ", subsequent_indent="    ") for step in steps]
    return [head, *(line for step in lines for line in step)]


def _on_the_cradle(found: Correction, *, tenon: bool) -> list[str]:
    takes = "the end clearance takes" if tenon else "nothing depends on"
    more, trim = "more" if found.angle_change > 0 else "less", found.trim
    lines = [
        f"Angle rest with its shims: {mm(trim.new, 3)}, a change of {trim.change:+.3f} mm; "
        f"predicted gap {in_both(found.gap_predicted)}.",
        _shims(found),
    ]
    if trim.other_edges:
        lines.append("The neck plane leans the other way from now on: with a feeler, make sure it lies on both rests.")
    lines += [
        f"The shoulder line moves by {trim.join_moves:+.3f} mm; {takes} it.",
        f"The last pass then takes {in_both(found.shoulder.most)} {more} at the heel's back end than at the join; "
        f"{in_both(found.hold_back_left)} of the hold-back is to spare.",
    ]
    if found.tenon_end_relief > 0:
        lines.append(
            f"First take {in_both(found.tenon_end_relief)} off the back edge of the tenon's end, "
            "or that edge meets the plate and the join moves out by as much."
        )
    return lines


def _shims(found: Correction) -> str:
    trim = found.trim
    sizes = stack_words(trim.shims)
    if trim.new_rest is not None:
        return (
            f"No stack of the kit's shims reaches: plane a new angle rest, {mm(trim.new_rest, 3)} wide, and "
            f"lay {sizes} mm behind it."
        )
    stack = f"lay shims {sizes} mm behind it, in place of those there" if trim.shims else "lay no shim behind it"
    return f"Loosen the angle rest's two screws and {stack}: predicted gap {in_both(found.gap_with_shims)}."


def _on_the_shoulder(found: Correction, *, tenon: bool) -> list[str]:
    raising, taper = found.angle_change > 0, found.shoulder
    most, none = ("the heel's back end", "the join") if raising else ("the join", "the heel's back end")
    ease = (
        f"ease its end by {in_both(found.ease_floor)}" if found.ease_floor > 0 else "the floor clearance allows for it"
    )
    return [
        f"Take {in_both(taper.most)} off the shoulder at {most}, tapering to nothing at {none}; "
        f"predicted gap {in_both(found.gap_predicted)}.",
        *([f"The tenon goes {in_both(found.tenon_deeper)} deeper; {ease}."] if tenon else []),
        f"For the next neck the angle rest with its shims is {mm(found.trim.new, 3)}, "
        f"a change of {found.trim.change:+.3f} mm.",
    ]


def _sideways(found: Correction) -> list[str]:
    cut = found.sideways
    if cut.edge is Edge.NONE:
        return []
    lines = [
        f"Sideways: take {in_both(cut.remove)} off the shoulder's {cut.edge.value} edge, "
        "tapering to nothing at the other edge."
    ]
    if cut.ease_side > 0:
        lines.append(f"Ease the tenon's cheeks by {in_both(cut.ease_side)}: it turns more than its side clearance.")
    return lines


def _string_length(found: Correction) -> list[str]:
    short = -found.string_length_change
    if short <= 0:
        return []
    return [
        f"The nut moves {in_both(short)} towards the tail: with the bridge not yet glued move it by the same, "
        "with it glued the string length is short by that much."
    ]
