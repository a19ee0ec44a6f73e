"""Pieces of work that another process can find by name, for the tests of the crew."""

from __future__ import annotations

import os
import time
from pathlib import Path

from generator.base.errors import LayoutError


def own_number() -> int:
    """The number of the process that does it."""
    return os.getpid()


def fail(words: str, after: Path | None = None) -> None:
    """Fails with `words`, once `after` is there."""
    while after is not None and not after.exists():
        time.sleep(0.01)
    raise LayoutError(words)


def leave(mark: Path, words: str) -> None:
    """Leaves a mark, then fails with `words`."""
    mark.touch()
    raise LayoutError(words)


def die() -> None:
    """Ends its process as the system does when memory runs out."""
    os._exit(9)
