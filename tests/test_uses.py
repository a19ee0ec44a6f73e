"""The jig in its two uses, from the side."""

from __future__ import annotations

from pathlib import Path

import pytest
from class_of_twelve import read_text

from generator.documents.setup.uses import jig_in_use
from generator.jig.layout import jig_layout
from generator.joint.solution import solve
from generator.joint.stations import Use


@pytest.mark.parametrize("use", list(Use))
@pytest.mark.parametrize("depth", ["95", "4 7/8 in", "150"])
def test_router_and_work_stand_in_the_picture(depth: str, use: Use, tmp_path: Path) -> None:
    """However deep the body: a sheet with ink beyond its edge is refused, and this one holds the whole base."""
    head = "student,instrument.preset,body_depth_at_neck,bridge_clearance,router.preset,jig.preset\n"
    (student,) = read_text(f"{head}Finn,jumbo,{depth},0.8,metric-17,plywood\n", tmp_path).students
    layout = jig_layout(solve(student.job))
    sheet = jig_in_use(layout, use)
    assert (sheet.width, sheet.height) == (92.0, 66.0)
