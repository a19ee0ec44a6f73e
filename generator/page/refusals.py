"""What is refused, as the commands print it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from generator.base.errors import CheckFailed, Fault, HeelwrightError, InputError


def errors(faults: Iterable[Fault]) -> dict[str, Any]:
    """A refusal as `--json` prints it."""
    return {
        "errors": [
            {"file": fault.file, "key": fault.key, "found": fault.found, "allowed": fault.allowed} for fault in faults
        ]
    }


def faults_of(error: HeelwrightError) -> tuple[Fault, ...]:
    """The faults an error carries; one made of its text when it carries none."""
    if isinstance(error, InputError | CheckFailed):
        return error.faults
    return (Fault("", "", str(error), ""),)
