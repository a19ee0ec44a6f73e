"""Functions that other processes find by their names, for the tests of the store."""

from __future__ import annotations

import time
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from generator.base.contours2d import Circle
from generator.base.points2d import P2
from generator.base.store import Store
from generator.job.model.job import OutputSpec, Paper

#: What `shout` was asked in this process.
ASKED: list[str] = []


def shout(word: str, times: int = 1) -> bytes:
    ASKED.append(word)
    return (word.upper() * times).encode()


def large(size: int) -> bytes:
    ASKED.append(str(size))
    return bytes(size)


def figures(size: float) -> Mapping[str, object]:
    ASKED.append(str(size))
    return MappingProxyType({"circle": Circle(P2(0.0, -0.0), size), "paper": Paper.A3, "output": OutputSpec()})


def shout_through(word: str, store: Store) -> bytes:
    return store.kept(shout, word)


def refuse(word: str) -> bytes:
    ASKED.append(word)
    raise ValueError(word)


def keep_often(folder: Path, until: float) -> int:
    """Ask the store for one key again and again, removing its entry in between; how often the answer was wrong."""
    store, wrong = Store(folder, "program"), 0
    while time.monotonic() < until:
        wrong += store.kept(shout, "word", 20_000) != b"WORD" * 20_000
        for path in folder.glob("??/*"):
            path.unlink(missing_ok=True)
    return wrong
