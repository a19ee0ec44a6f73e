"""How the instrument will play. Unusual values warn and never fail: the builder may want them."""

from __future__ import annotations

from generator.base.units import degrees, mm
from generator.joint.checks.base import Check, CheckInput, CheckStatus, within

#: Action over the 12th fret, mm, common practice from a low ukulele to a high nylon-string.
USUAL_ACTION = (1.2, 4.2)
#: Straightedge on the frets over the bridge, unstrung, mm: M. Koch, "Determining the neck angle of an acoustic guitar".
USUAL_CLEARANCE = (0.4, 1.6)
#: The same for a neck set level or forward, where the straightedge runs into the bridge: common practice.
USUAL_FORWARD_CLEARANCE = (-6.0, 0.4)
#: Thickest wedge and deepest relief under the fretboard's end, mm, common practice.
USUAL_EXTENSION = (-2.0, 4.0)
#: The string's turn over the saddle, degrees, common practice: less may buzz or slip, more wears saddle and string.
USUAL_BREAK = (12.0, 45.0)
#: The fretboard's end lies on the top when the gap under it is smaller than this, mm.
_LIES_ON = 0.05


def playing_checks(work: CheckInput) -> tuple[Check, ...]:
    """Action, bridge clearance, string break and fretboard extension."""
    return _action(work), _clearance(work), _break(work), _extension(work)


def _action(work: CheckInput) -> Check:
    low, high = USUAL_ACTION
    found = work.neck_set.action
    message = f"{mm(found)} over the 12th fret, strings on; usual {mm(low)} to {mm(high)}"
    return within("action", found, low, high, message, CheckStatus.WARN)


def _clearance(work: CheckInput) -> Check:
    forward = work.neck_set.set_angle <= 0
    low, high = USUAL_FORWARD_CLEARANCE if forward else USUAL_CLEARANCE
    found = work.neck_set.clearance_before_stringing
    over = "over" if found >= 0 else "into"
    message = (
        f"before stringing a straightedge on the frets reaches the bridge {mm(abs(found))} {over} it; "
        f"usual {mm(low)} to {mm(high)}{' for a forward set' if forward else ''}"
    )
    return within("bridge clearance", found, low, high, message, CheckStatus.WARN)


def _break(work: CheckInput) -> Check:
    low, high = USUAL_BREAK
    found = work.neck_set.string_break
    turns = f"turns down by {degrees(found)} over the saddle" if found > 0.0 else "lifts off the saddle"
    message = f"the string {turns}; usual {degrees(low)} to {degrees(high)}"
    return within("string break", found, low, high, message, CheckStatus.WARN, "deg")


def _extension(work: CheckInput) -> Check:
    low, high = USUAL_EXTENSION
    found = work.neck_set.extension_gap
    if work.neck_set.extension_length <= 0:
        wants = "the fretboard ends at the body"
    elif abs(found) < _LIES_ON:
        wants = "the fretboard's end lies on the top"
    elif found > 0:
        wants = f"the fretboard's end wants a wedge of {mm(found)} at the last fret"
    else:
        wants = f"the fretboard's end wants a relief of {mm(-found)} at the last fret"
    return within("fretboard extension", found, low, high, wants, CheckStatus.WARN)
