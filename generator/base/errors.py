"""Everything Heelwright can refuse, as one tree.

HeelwrightError
├── InputError      (also ValueError)    bad job, preset, shop file or command-line value; carries all faults
├── GeometryError   (also ValueError)    a contour or solid that cannot exist
├── LayoutError     (also ValueError)    a drawing that cannot be laid out without overlap
├── CheckFailed     (also RuntimeError)  the numbers or the proof say the joint would not fit
└── OutputError     (also OSError)       a file that could not be written or read back
"""

from __future__ import annotations

import errno
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from generator.base.plain_text import plain

#: What a fault names as its file where the value was typed with a command.
COMMAND_LINE = "command line"
#: What a user can do about a system's refusal to write.
_CURES: Mapping[int, str] = MappingProxyType(
    {
        errno.ENOSPC: "the disk is full: make room on it, or write elsewhere",
        errno.EDQUOT: "your share of the disk is used up: make room in it, or write elsewhere",
        errno.EFBIG: "the system lets no file grow so large here: raise the limit (ulimit -f), or write elsewhere",
        errno.EROFS: "the disk is read-only: write elsewhere",
        errno.ENAMETOOLONG: "the system takes no name so long: choose a shorter one",
        errno.ENOENT: "the folder is not there, or went away meanwhile",
        errno.EACCES: "you may not write there: write elsewhere",
        errno.EPERM: "you may not write there: write elsewhere",
    }
)

#: What Windows answers where another program holds a file, or a file in a folder, open.
_HELD_OPEN = (5, 32, 33)
#: What to do where another program holds a file open.
_OPEN = "you may not write there, or another program holds it open: close it there, or write elsewhere"


def refusal_of(error: OSError) -> str:
    """What the system refused, in its words and, where there is something to do about it, in plain ones."""
    said = error.strerror or str(error) or type(error).__name__
    cure = _OPEN if getattr(error, "winerror", None) in _HELD_OPEN else _CURES.get(error.errno or 0)
    return f"{said}: {cure}" if cure else said


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong: where (file, "table.key"), what was found, what is allowed."""

    file: str
    key: str
    found: str
    allowed: str

    def __str__(self) -> str:
        where = f"{self.file}: {self.key}" if self.key else self.file
        return plain(f"{where}: found {self.found}; allowed: {self.allowed}")


class HeelwrightError(Exception):
    """Base of every error this program raises on purpose."""


class InputError(HeelwrightError, ValueError):
    """Bad input; `faults` lists every fault found, never only the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[InputError], tuple[tuple[Fault, ...]]]:
        """Cross a process border by the faults, not by the text made of them."""
        return type(self), (self.faults,)


class GeometryError(HeelwrightError, ValueError):
    """A contour, profile or solid that cannot exist; the text names part and feature."""


class LayoutError(HeelwrightError, ValueError):
    """A drawing whose labels or dimensions cannot be placed without overlap."""


class CheckFailed(HeelwrightError, RuntimeError):
    """A check failed, so nothing may be written; `faults` names each failed check."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type[CheckFailed], tuple[tuple[Fault, ...]]]:
        """Cross a process border by the faults, not by the text made of them."""
        return type(self), (self.faults,)


class OutputError(HeelwrightError, OSError):
    """A file that could not be written, or that read back as something else."""
