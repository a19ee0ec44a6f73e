"""A table to start from: the usual columns and three invented rows, which load as they stand."""

from __future__ import annotations

#: Column headings of the template: the student, the day, keys of a job.
_HEADINGS = (
    "student", "date", "instrument.preset", "handed", "scale_length", "body_depth_at_neck", "heel_width",
    "saddle_gap", "mortise_length", "router.preset", "jig.preset",
)  # fmt: skip
#: Rows of three invented students; an empty cell leaves the key to its preset.
_ROWS = (
    ("Anna Example", "2024-05-27", "orchestra-14", "right", "", "98", "", "3.0", "75", "metric-17", "plywood"),
    ("Ben Example", "2024-05-27", "dreadnought", "left", "25.5 in", "", "60", "3.1", "75", "metric-17", "plywood"),
    ("Chris Example", "2024-05-28", "parlour-12", "right", "", "", "", "2.6", "75", "metric-17", "plywood"),
)


def template_text() -> str:
    """The table as CSV with commas: what every spreadsheet opens; an empty cell leaves the value to preset and base."""
    return "\r\n".join(",".join(row) for row in (_HEADINGS, *_ROWS)) + "\r\n"
