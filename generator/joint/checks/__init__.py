"""Everything that is checked on the numbers before a file is written, in the order a builder would ask."""

from __future__ import annotations

from generator.joint.checks.base import Bound, Check, CheckInput, CheckStatus, Judged
from generator.joint.checks.cutting import cutting_checks
from generator.joint.checks.measured import measured_checks
from generator.joint.checks.playing import playing_checks
from generator.joint.checks.router_stand import router_stand_checks
from generator.joint.checks.setting import setting_checks

__all__ = ["Bound", "Check", "CheckInput", "CheckStatus", "Judged", "run_checks"]


def run_checks(work: CheckInput, of_its_kind: tuple[Check, ...]) -> tuple[Check, ...]:
    """Every check of the numbers, those `of_its_kind` of joint among them; none stops at the first that fails."""
    return (
        *playing_checks(work),
        *of_its_kind,
        *cutting_checks(work),
        *setting_checks(work),
        *router_stand_checks(work),
        *measured_checks(work),
    )
