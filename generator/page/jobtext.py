"""The form as the text of a job file: what it says beside its presets, and nothing that follows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from generator.job.model.field_types import toml_text


def job_text(tables: Mapping[str, Any]) -> str:
    """`tables` as TOML; read again it gives the same tables."""
    heads = [f"{key} = {toml_text(value)}" for key, value in tables.items() if not isinstance(value, dict)]
    blocks = [block for key, value in tables.items() if isinstance(value, dict) for block in _blocks(key, value)]
    return "\n\n".join(["\n".join(heads), *blocks]) + "\n"


def _blocks(name: str, table: Mapping[str, Any]) -> Iterator[str]:
    plain = [f"{key} = {toml_text(value)}" for key, value in table.items() if not isinstance(value, dict)]
    if plain:
        yield "\n".join([f"[{name}]", *plain])
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _blocks(f"{name}.{key}", value)
