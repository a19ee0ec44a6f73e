"""The answer of a proof: every check, and whether none of them failed."""

from __future__ import annotations

from dataclasses import dataclass

from generator.joint.checks.base import Check, Judged


@dataclass(frozen=True)
class Proof(Judged):
    """What was found; `ok` when nothing failed."""

    checks: tuple[Check, ...]
