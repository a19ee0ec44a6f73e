"""A bench page served as its command serves it, for tests: a process of its own in a folder of its own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


@dataclass
class Served:
    """A running server: its address, the folder it was started in, and its process.

    Of a page that a phone may ask too `url` is the phone's, empty where there is no network, `further` this computer's,
    and `warning` what was said first.
    """

    url: str
    folder: Path
    process: subprocess.Popen[str]
    further: str = ""
    warning: str = ""


@contextmanager
def served(folder: Path, *arguments: str, typed: str = "") -> Iterator[Served]:
    """`heelwright bench --no-browser ARGUMENTS`, run in `folder`; `typed` answers what it asks."""
    paths = os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    command = [sys.executable, "-m", "generator", "bench", "--no-browser", *arguments]
    with subprocess.Popen(
        command,
        cwd=folder,
        env=os.environ | {"PYTHONPATH": paths},
        stdin=subprocess.PIPE if typed else None,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE if typed else None,
        text=True,
    ) as process:
        try:
            assert process.stdout is not None
            if typed:
                yield _asked_first(process, folder, typed)
                return
            line = process.stdout.readline()
            found = re.search(r"http://\S+", line)
            assert found, f"no address in {line!r}"
            yield Served(found[0], folder, process)
        finally:
            process.kill()


def _asked_first(process: subprocess.Popen[str], folder: Path, typed: str) -> Served:
    """A server that warns and asks before it serves."""
    assert process.stdin is not None
    assert process.stdout is not None
    assert process.stderr is not None
    warning = process.stderr.read(1)
    while not warning.endswith("[y/N]:"):
        warning += process.stderr.read(1)
    process.stdin.write(typed)
    process.stdin.flush()
    found = [re.search(r"http://\S+", process.stdout.readline()) for _ in range(2)]
    if found[0] is None:
        assert "no network" in process.stderr.read()
        return Served("", folder, process, warning=warning)
    assert found[1]
    return Served(found[0][0], folder, process, found[1][0], warning)
