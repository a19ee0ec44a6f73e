"""The answer of a proof: every check, and whether none of them failed."""

from __future__ import annotations

from dataclasses import dataclass

from generator.checks.base import Check, CheckStatus


@dataclass(frozen=True)
class Proof:
    """What was found; `ok` when nothing failed. Warnings are the builder's to decide."""

    checks: tuple[Check, ...]

    @property
    def ok(self) -> bool:
        return not self.failed

    @property
    def failed(self) -> tuple[Check, ...]:
        return tuple(check for check in self.checks if check.status is CheckStatus.FAIL)

    @property
    def warned(self) -> tuple[Check, ...]:
        return tuple(check for check in self.checks if check.status is CheckStatus.WARN)
