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
    """A running server: its address, the folder it was started in, and its process."""

    url: str
    folder: Path
    process: subprocess.Popen[str]


@contextmanager
def served(folder: Path, *arguments: str) -> Iterator[Served]:
    """`heelwright bench --no-browser ARGUMENTS`, run in `folder`."""
    paths = os.pathsep.join([str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])])
    command = [sys.executable, "-m", "generator", "bench", "--no-browser", *arguments]
    with subprocess.Popen(
        command, cwd=folder, env=os.environ | {"PYTHONPATH": paths}, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            assert process.stdout is not None
            line = process.stdout.readline()
            found = re.search(r"http://\S+", line)
            assert found, f"no address in {line!r}"
            yield Served(found[0], folder, process)
        finally:
            process.kill()
