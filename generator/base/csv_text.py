"""Tables as CSV that a spreadsheet may open: what looks like a formula stays text."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

#: How a spreadsheet tells a formula or a command.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
#: What is a number though it begins like a formula.
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?", re.ASCII)


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Rows with commas and a point as decimal sign; line ends as the standard has them (RFC 4180)."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return out.getvalue()


def guarded(cell: object) -> str:
    """The cell's text, behind an apostrophe where a spreadsheet would run it; a number stays one."""
    text = str(cell)
    runs = text.lstrip().startswith(_FORMULA) or text.startswith(_FORMULA)
    return f"'{text}" if runs and not _NUMBER.fullmatch(text) else text
