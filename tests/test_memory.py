"""A worker that makes hundreds of kits stays as large as it was: nothing of one job is kept for the next."""

from __future__ import annotations

import ast
import gc
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

from made_once import THOROUGH

from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.joint.solution import solve
from generator.kit.sweep_inputs import SweepBase, Vary

PACKAGE = Path(__file__).parent.parent / "generator"
#: Functions that keep every answer, and may: what they can be asked is a short list, of our own tables, signs
#: or nouns.
CLOSED = {"_table", "wood_fastener", "pan_fastener", "machine_fastener", "cap_fastener", "_glyph", "_form", "keys_of"}


def _kept_for_ever(tree: ast.Module) -> Iterator[str]:
    """Functions with arguments that keep every answer, but those that are made anew with each call of another."""
    inner = {
        one for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) for one in ast.walk(node) if one is not node
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node not in inner and node.args.args:
            words = {ast.unparse(one) for one in node.decorator_list}
            if words & {"cache", "functools.cache", "lru_cache(maxsize=None)", "lru_cache(None)"}:
                yield node.name


def test_no_cache_grows_with_the_jobs() -> None:
    """Without a bound only what has a short list of arguments is kept."""
    found = {
        name for path in PACKAGE.rglob("*.py") for name in _kept_for_ever(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert found == CLOSED


def test_the_last_job_takes_no_more_than_the_twentieth() -> None:
    """Fifty unlike jobs solved, every fifth with its jig built: what stays is within a tenth of the start's.

    A hundred in a thorough run.
    """
    last = 100 if THOROUGH else 50
    keys = ("jig.nominal_shim", "instrument.heel_width", "instrument.bridge_thickness", "jig.rest_spacing")
    base = SweepBase(load_job("orchestra-14"), [Vary(key, (1.0, 2.0)) for key in keys])
    held = {}
    tracemalloc.start()
    try:
        for row in range(1, last + 1):
            values = (0.8 + row / 1000.0, 56.0 + row / 50.0, 8.0 + row / 100.0, 140.0 + row / 20.0)
            solution = solve(base.with_values(dict(zip(keys, values, strict=True))))
            if row % 5 == 0:
                build_jig(solution)
            if row in (20, last):
                gc.collect()
                held[row] = tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()
    assert held[last] <= 1.1 * held[20]
