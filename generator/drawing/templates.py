"""The door to the Jinja2 templates that decide how text on a drawing reads."""

from __future__ import annotations

from functools import lru_cache

from jinja2 import Environment, PackageLoader, StrictUndefined


@lru_cache(maxsize=2)
def environment(escaped: bool = False) -> Environment:
    """Plain text (each writer escapes for its own format), or `escaped` for markup; an unknown name is an error."""
    return Environment(
        loader=PackageLoader("generator", "documents/templates"),
        undefined=StrictUndefined,
        autoescape=escaped,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=False,
    )
