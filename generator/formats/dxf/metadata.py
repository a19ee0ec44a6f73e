"""Keeps ezdxf from writing the time of day and random identifiers: the same document gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import ezdxf


@contextmanager
def fixed_metadata() -> Iterator[None]:
    """Within this block documents are made and written with fixed metadata."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def settle_classes(document: Any) -> None:
    """Put the CLASSES section into a fixed order: the library fills it from a set, in no order."""
    document.classes.add_required_classes(document.dxfversion)
    document.classes.classes = dict(sorted(document.classes.classes.items(), key=lambda entry: str(entry[0])))
