"""Two benches that write at once lose nothing: real processes, one file."""

from __future__ import annotations

import multiprocessing
from pathlib import Path

import pytest

from generator.base.toml_file import parse_toml
from generator.job.toml_edit import change_file, change_table
from generator.joint.build_log import Build, append_build, read_log
from generator.joint.readings import Measured

_EACH = 12


def _write_log(path: Path, who: str, start: object) -> None:
    start.wait()  # type: ignore[attr-defined]
    for n in range(_EACH):
        append_build(path, Build(f"2024-05-{n + 1:02d}", {Measured.GAP_SHY: 3.0}, {}, label=f"{who} {n}"))


def _count_up(path: Path, key: str, start: object) -> None:
    start.wait()  # type: ignore[attr-defined]
    for _ in range(_EACH):
        change_file(path, lambda text: _one_more(text, key))


def _one_more(text: str, key: str) -> str:
    before = parse_toml(text, "test").get("count", {}).get(key, 0)
    return change_table(text, ("count",), {key: before + 1})


def _at_once(function: object, path: Path, names: list[str]) -> None:
    context = multiprocessing.get_context("fork")
    start = context.Event()
    writers = [context.Process(target=function, args=(path, name, start)) for name in names]  # type: ignore[arg-type]
    for writer in writers:
        writer.start()
    start.set()
    for writer in writers:
        writer.join(60)
    assert [writer.exitcode for writer in writers] == [0] * len(names)


pytestmark = pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="needs forked processes")


def test_two_benches_lose_no_entry(tmp_path: Path) -> None:
    """Every entry of three writers stands in the log once, and each one's own in the order written."""
    path = tmp_path / "shared.log.toml"
    _at_once(_write_log, path, ["Ada", "Bo", "Cleo"])
    labels = [build.label for build in read_log(path)]
    for who in ("Ada", "Bo", "Cleo"):
        assert [label for label in labels if label.startswith(who)] == [f"{who} {n}" for n in range(_EACH)]
    assert len(labels) == 3 * _EACH
    assert [item.name for item in tmp_path.iterdir()] == [path.name]


def test_what_is_read_is_what_is_changed(tmp_path: Path) -> None:
    """A count that two processes raise is raised by both: nobody writes between reading and writing."""
    path = tmp_path / "shop.toml"
    _at_once(_count_up, path, ["together", "together"])
    assert parse_toml(path.read_text(), "test")["count"]["together"] == 2 * _EACH
