"""The readable report of a solved job: what to mind first, then every number in tables, at most 100 columns wide.

Plain text without a library, so that it prints at once and reads the same in a terminal, a file and a message.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from generator.base.plain_text import LINE_WIDTH
from generator.base.units import degrees, format_inches, format_mm, mm
from generator.jig.buildability import solve_standing
from generator.job.model.instrument import Handed
from generator.job.model.job import UnitsChoice
from generator.joint.checks import Check, CheckStatus
from generator.joint.remedy import remedies
from generator.joint.solution import Solution, action_off
from generator.joint.stations import Use, caul_top, clamp_opening, clamp_throat

#: Columns of a row's label.
_LABEL = 34
#: Columns of a row's value, and of its second value beside it.
_VALUE = 12

#: One line of a table: label, value (mm, degrees, or text), note.
Row = tuple[str, "Length | Angle | str", str]


class Length(float):
    """A length in mm, printed in the job's units."""


class Angle(float):
    """An angle in degrees."""


def report(solution: Solution, *, every_check: bool = False) -> str:
    """The whole report: warnings and failures first, then neck set, joint, router, cradle, uncertainty.

    With `every_check` the checks follow one by one.
    """
    units = solution.job.output.units
    lines = [*_head(solution), *_to_mind(solution)]
    tables = (
        ("Neck set", _neck_set(solution)),
        ("Joint", _joint(solution)),
        ("Router", _router(solution)),
        ("Passes", _passes(solution)),
        ("Cradle", _cradle(solution)),
        ("What the first dry fit may show", _uncertainty(solution)),
    )
    for title, rows in tables:
        lines += _table(title, rows, units)
    return "\n".join([*lines, *(_all_checks(solution.checks) if every_check else [])]).rstrip("\n") + "\n"


def _head(solution: Solution) -> list[str]:
    instrument, router = solution.job.instrument, solution.job.router
    facts = [
        instrument.preset or "an instrument of its own",
        "left-handed" if instrument.handed is Handed.LEFT else "right-handed",
        f"router {router.preset or 'kit of its own'}",
        f"jig {solution.job.jig.preset or 'of its own'}",
    ]
    return [f"{solution.job.name}: {', '.join(facts)}", passed(solution.checks), "=" * LINE_WIDTH]


def _to_mind(solution: Solution) -> list[str]:
    lines = to_mind(solution, solution.checks)
    for note in solution.job.notes:
        lines += _wrapped("note: ", note)
    if not lines:
        lines = ["No warnings: every check of the numbers passed."]
    return [*lines, ""]


def to_mind(solution: Solution, checks: Iterable[Check]) -> list[str]:
    """What failed and what to mind of `checks`, in words: what was found, what is allowed, which key to change."""
    lines: list[str] = []
    units = solution.job.output.units
    found = sorted((check for check in checks if check.status is not CheckStatus.OK), key=lambda one: one.status.value)
    for check in found:
        word = "FAILS" if check.status is CheckStatus.FAIL else "warning"
        lines += _wrapped(f"{word}: {check.name}: ", f"{check.found}, {check.allowed}: {check.message}")
        for change in remedies(solution, check, solve_standing):
            lines += textwrap.wrap(change.words(units), LINE_WIDTH, initial_indent="    ", subsequent_indent="      ")
    return lines


def _wrapped(lead: str, text: str) -> list[str]:
    return textwrap.wrap(lead + text, LINE_WIDTH, subsequent_indent="    ")


def _table(title: str, rows: Iterable[Row], units: UnitsChoice) -> Iterator[str]:
    yield title
    yield "-" * len(title)
    for label, value, note in rows:
        yield from _row(label, _shown(value, units), note)
    yield ""


def _row(label: str, cells: tuple[str, str], note: str) -> list[str]:
    lead = f"  {label:<{_LABEL}}{cells[0]:>{_VALUE}}  {cells[1]:<{_VALUE}}"
    if len(cells[0]) > _VALUE:
        lead = f"  {label:<{_LABEL}}{cells[0]}  "
    room = max(20, LINE_WIDTH - len(lead))
    notes = textwrap.wrap(note, room) or [""]
    return [(lead + notes[0]).rstrip(), *(" " * len(lead) + more for more in notes[1:])]


def _shown(value: Length | Angle | str, units: UnitsChoice) -> tuple[str, str]:
    """Value and its second column: millimetres first, inches beside them; an inch job has inches alone."""
    if isinstance(value, str):
        return value, ""
    if isinstance(value, Angle):
        return degrees(value, 3), ""
    if units is UnitsChoice.INCH:
        return format_inches(value), mm(value, 3)
    return mm(value, 3), format_inches(value) if units is UnitsChoice.BOTH else ""


def _neck_set(solution: Solution) -> list[Row]:
    neck_set = solution.neck_set
    return [
        ("join to saddle", Length(neck_set.join_to_saddle), "along the top's level"),
        ("saddle gap", Length(neck_set.saddle_gap), "neck plane over the bare top, no fretboard"),
        ("bridge clearance", Length(neck_set.bridge_clearance), "straightedge on the frets, strings on"),
        ("  before stringing", Length(neck_set.clearance_before_stringing), "what the bench shows"),
        ("action", Length(neck_set.action), "over the 12th fret, mean of bass and treble"),
        ("set angle", Angle(neck_set.set_angle), _direction(neck_set.set_angle)),
        ("heel angle", Angle(neck_set.heel_angle), "neck plane to shoulder"),
        ("top rises to the saddle by", Length(neck_set.top_rise_at_saddle), ""),
        ("string over the top at the saddle", Length(neck_set.string_height_at_saddle), ""),
        ("string break over the saddle", Angle(neck_set.string_break), "neck's side and hole's side together"),
        ("gap under the last fret", Length(neck_set.extension_gap), "positive: wedge, negative: relief"),
    ]


def _direction(angle: float) -> str:
    return "headstock tips back" if angle > 0 else "forward set: headstock tips forward" if angle < 0 else "level"


def _joint(solution: Solution) -> list[Row]:
    joint = solution.joint
    rows: list[Row] = [
        *((size.label, Length(size.value), size.note) for size in joint.sizes),
        ("neck blank past the join", Length(joint.neck_blank_overlength), "saw the end at the heel angle"),
    ]
    for number, bolt in enumerate(joint.bolts, start=1):
        cross = f", cross hole {mm(bolt.cross_hole)}" if bolt.cross_hole is not None else ""
        note = (
            f"{bolt.thread} {bolt.kind.value}: {mm(bolt.clearance_hole)} through the block, "
            f"{mm(bolt.pilot_hole)} in the {joint.takes_bolts}{cross}"
        )
        rows.append((f"bolt {number} from the top edge", Length(bolt.from_top), note))
    return rows


def _router(solution: Solution) -> list[Row]:
    routing, router = solution.routing, solution.job.router
    source = "measured on a test cut" if router.edge_offset is not None else "half of bushing less bit"
    return [
        ("edge of cut to template", Length(routing.edge_offset), source),
        *_guides(solution),
        ("bit below the base", Length(routing.reach_needed), f"the router reaches {mm(router.reach)}"),
        ("top speed of this bit", f"{router.top_speed:.0f} rpm", "the maker's figure comes first"),
    ]


def _guides(solution: Solution) -> Iterator[Row]:
    """The template's opening and tongue, where it has them; else its window."""
    routing, body = solution.routing, solution.joint.body_outline
    if body is not None:
        yield f"{body.name} opening width", Length(routing.opening_width), ""
        yield f"{body.name} opening's closed end", Length(routing.opening_length), "from the fence line"
    if routing.tongue is not None:
        yield "tongue width", Length(routing.tongue_width), ""
        yield "tongue's end", Length(routing.tongue_length), "from the fence line"
    else:
        yield "window width", Length(2.0 * routing.window_half_width), ""
        yield "window's far end", Length(routing.window_end), "from the fence line"


def _passes(solution: Solution) -> list[Row]:
    passes, held, joint = solution.routing.passes, solution.job.router.hold_back, solution.joint
    rows: list[Row] = []
    cuts = ((joint.body_outline, passes.body), (joint.neck_outline, passes.neck))
    for outline, depths in ((cut, depths) for cut, depths in cuts if cut is not None):
        for number, depth in enumerate(depths, start=1):
            last = outline is joint.neck_outline and number == len(depths) and held > 0
            rows.append(
                (f"{outline.name} pass {number}", Length(depth), "held back until the first dry fit" if last else "")
            )
    return rows


def _cradle(solution: Solution) -> list[Row]:
    cradle, job, routing = solution.cradle, solution.job, solution.routing
    shim = format_mm(cradle.nominal_shim)
    edges = "upper" if cradle.angle >= 0.0 else "lower"
    rows: list[Row] = [
        ("cradle angle", Angle(cradle.angle), "neck plane against the square to the plate"),
        ("upper rest", Length(cradle.upper_rest), _upper_rest(solution)),
        ("angle rest, with its shim", Length(cradle.angle_rest_in_use), f"a {shim} mm shim lies behind it"),
        ("angle rest, cut to", Length(cradle.angle_rest_drawn), _stand_off(solution)),
        ("rests apart", Length(cradle.rest_spacing), f"upper edge to upper edge; the {edges} edges touch the neck"),
        ("first rest below the plate", Length(cradle.rest_depth), "to its upper edge"),
        ("zero check, square on a rest", Length(abs(cradle.angle_rest - cradle.upper_rest)), _zero_check(solution)),
        ("depth block", Length(cradle.depth_block), "exactly the depth of cut"),
    ]
    if cradle.second_depth_block is not None:
        rows.append(("depth block, tenon", Length(cradle.second_depth_block), "routs the finished projection"))
    return [
        *rows,
        *_body_rest(solution),
        ("caul's edge below the plate", Length(caul_top(job, cradle, Use.NECK)), "behind the neck: at the upper rest"),
        ("clamps open", Length(clamp_opening(job, cradle, solution.joint)), "at least, at the work"),
        ("clamps reach in", Length(clamp_throat(job, solution.cradle, routing)), "at least, jaw's middle to bar"),
    ]


def _upper_rest(solution: Solution) -> str:
    too = "" if solution.joint.body_outline is None else "; the body rest too"
    return f"what it stands out of the board{too}"


def _body_rest(solution: Solution) -> Iterator[Row]:
    if solution.joint.body_outline is not None:
        yield "body's join past the body rest", Length(solution.cradle.body_join_x), "where the top touches it"


def _stand_off(solution: Solution) -> str:
    cradle = solution.cradle
    if cradle.stand_off_measured is None:
        return "the built jig is not measured yet (heelwright calibrate jig)"
    return f"for the stand-off measured on the built jig, {mm(cradle.stand_off_measured)}"


def _zero_check(solution: Solution) -> str:
    """Which rest the square lies on, so that it leaves a gap at the other and not a lean."""
    on, at = ("angle", "upper") if solution.cradle.angle >= 0.0 else ("upper", "angle")
    return f"square against the {on} rest: the gap at the {at} rest"


def _uncertainty(solution: Solution) -> list[Row]:
    found = solution.uncertainty
    biggest = found.dominant.name
    action = action_off(solution)
    rows: list[Row] = [
        ("gap off by, likely", Length(found.built_likely), "95 of 100 first fits"),
        ("gap off by, as read", Length(found.gap_likely), "the reading's own error included"),
        ("gap off by, worst case", Length(found.gap_worst), f"largest part: {biggest}"),
        ("sideways at the saddle, likely", Length(found.sideways_likely), "95 of 100 first fits"),
        ("sideways, worst case", Length(found.sideways_worst), f"largest part: {found.dominant_aside.name}"),
        ("action at the 12th fret off by, likely", Length(action.rss), "gap as built, string pull"),
        ("one degree moves the gap by", Length(found.gap_per_degree), ""),
    ]
    return (
        rows
        + [(f"  {item.name}", Length(item.gap), "") for item in found.contributions]
        + [(f"  {item.name}, sideways", Length(item.sideways), "") for item in found.asides]
    )


def _all_checks(checks: Sequence[Check]) -> list[str]:
    """One line a check; what a warning or a failure means stands at the top of the report."""
    lines = ["Checks", "------"]
    for check in checks:
        lines.append(f"  {check.status.value:<6}{check.name:<{_LABEL - 6}}{check.found:>{_VALUE}}  {check.allowed}")
    return lines


def passed(checks: Sequence[Check]) -> str:
    """How many checks passed, and how many there are to mind."""
    minded, failed = (sum(one.status is status for one in checks) for status in (CheckStatus.WARN, CheckStatus.FAIL))
    rest = [f"{minded} to mind"] if minded else []
    rest += [f"{failed} failed"] if failed else []
    return ", ".join([f"{len(checks) - minded - failed} of {len(checks)} checks passed", *rest])
