"""The gap at the saddle on the setup sheet: what is wanted, what is read, and what each reading asks for."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.base.units import format_mm
from generator.documents.setup.correction import CorrectionRow, correction_rows
from generator.documents.setup.hands import NOTHING
from generator.documents.setup.setup_nouns import Gap, Reading
from generator.documents.setup.spelling import NumberFormat
from generator.joint.corrections import Correction
from generator.joint.solution import Solution

#: A gap lower than this cannot be read under a straightedge, mm.
_LEAST_READ = 0.4
#: A wedge or undercut under the fretboard's end thinner than paper is none, mm.
_PAPER_THIN = 0.1
#: How far a change of the angle rest is told by its effect, mm.
_SHIM_TOLD = 0.1


def spacer_height(solution: Solution) -> float:
    """How high (mm) the straightedge must be lifted so that every row's gap can be read; 0 where it needs no spacers.

    A straightedge on the gluing face of a level or forward set would run into the top.
    """
    lowest = correction_rows(solution)[0].reading
    return 0.0 if lowest >= _LEAST_READ else math.ceil(_LEAST_READ - lowest)


def gap_measured(solution: Solution, spell: NumberFormat, gauge: bool) -> Gap:
    neck_set, joint = solution.neck_set, solution.joint
    spacer = spacer_height(solution)
    per_shim = solution.uncertainty.gap_per_degree * math.degrees(_SHIM_TOLD / solution.cradle.rest_spacing)
    return Gap(
        saddle=spell.length(neck_set.join_to_saddle),
        wanted=spell.fine(neck_set.saddle_gap),
        neck_rise=spell.fine(abs(neck_set.neck_rise)),
        proud=neck_set.neck_rise > NOTHING,
        below=neck_set.neck_rise < -NOTHING,
        wedge_gauge=gauge and not spacer,
        spaced=spacer > 0.0,
        spacer=spell.fine(spacer),
        rule_wanted=spell.fine(neck_set.saddle_gap + spacer),
        per_shim=spell.fine(per_shim),
        sideways_share=format_mm(joint.heel_width / neck_set.join_to_saddle, 3),
        extension=spell.fine(abs(neck_set.extension_gap)),
        wedge=neck_set.extension_gap > _PAPER_THIN,
        undercut=neck_set.extension_gap < -_PAPER_THIN,
        clearance_below=neck_set.clearance_before_stringing < 0.0,
        clearance_size=spell.fine(abs(neck_set.clearance_before_stringing)),
        action=spell.fine(neck_set.action),
        string_height=spell.length(neck_set.string_height_at_saddle),
        string_break=f"{neck_set.string_break:.0f}°",
    )


def reading_row(row: CorrectionRow, spacer: float, spell: NumberFormat) -> Reading:
    trim = None if row.shy is None else row.shy.trim
    return Reading(
        gap=spell.cell(row.reading),
        rule=spell.cell(row.reading + spacer),
        wanted=row.wanted,
        shimmed=trim is not None,
        shims="" if trim is None else _stack(trim.shims),
        plane="" if trim is None or trim.new_rest is None else spell.cell(trim.new_rest),
        ease_first=_size(row.shy, "tenon_end_relief", spell),
        finished=row.final is not None,
        off_back_end="" if row.final is None else _figure(row.final.shoulder.back_end, spell),
        off_join="" if row.final is None else _figure(row.final.shoulder.join, spell),
    )


def rows_in_pairs(rows: Sequence[Reading]) -> tuple[tuple[Reading, Reading], ...]:
    """The rows below and above the middle one, which is the wanted gap."""
    middle = len(rows) // 2
    return tuple(zip(reversed(rows[:middle]), rows[middle + 1 :], strict=True))


def _stack(shims: Sequence[float]) -> str:
    return " + ".join(format_mm(shim) for shim in shims) or "none"


def _size(found: Correction | None, name: str, spell: NumberFormat) -> str:
    return "" if found is None else _figure(getattr(found, name), spell)


def _figure(value: float, spell: NumberFormat) -> str:
    return spell.cell(value) if abs(value) > NOTHING else ""
