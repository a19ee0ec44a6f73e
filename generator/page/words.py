"""The words of the page: one catalogue, so that it can be translated as one file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Any

_CATALOGUE = "english.toml"


@lru_cache(maxsize=1)
def catalogue() -> Mapping[str, Any]:
    """The catalogue's tables: `page`, `group`, `number`, and `field` with a label and a meaning for each key."""
    text = resources.files("generator.page").joinpath(_CATALOGUE).read_text(encoding="utf-8")
    return tomllib.loads(text)


def field_words(key: str) -> tuple[str, str]:
    """Label and meaning of a job's key; a key that the catalogue does not know yet is its own label."""
    entry = catalogue()["field"].get(key, [])
    label = entry[0] if entry else key.rpartition(".")[2].replace("_", " ").capitalize()
    return label, entry[1] if len(entry) > 1 else ""
