"""The words of the page: one catalogue, so that it can be translated as one file.

What a key of a job means stands on its field in the model, in English. A catalogue in another language says it anew in
a table `field`: a label and a sentence for each key, such as "router.reach" = ["...", "..."].
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Any

from generator.job.keys import Key

#: File of the page's words.
_CATALOGUE = "english.toml"


@lru_cache(maxsize=1)
def catalogue() -> Mapping[str, Any]:
    """The catalogue's tables: `page`, `group`, `number`, and in a translation `field`."""
    text = resources.files("generator.page").joinpath(_CATALOGUE).read_text(encoding="utf-8")
    return tomllib.loads(text)


def field_words(key: Key, words: Mapping[str, Any] | None = None) -> tuple[str, str]:
    """Label and sentence of a key: the catalogue's where it has them, else the model's own."""
    said = (catalogue() if words is None else words).get("field", {}).get(key.name)
    label, sentence = said or (key.meaning.label, key.meaning.sentence)
    return label, sentence
