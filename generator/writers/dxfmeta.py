"""Keeps ezdxf from writing the time of day and random identifiers: the same document gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

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
