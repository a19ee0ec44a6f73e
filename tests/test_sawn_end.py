"""The template of the neck's sawn end: what is pricked through it, and where its sizes stand."""

from __future__ import annotations

import math
from functools import cache

import pytest
from made_once import READY, jig, paper, solved

from generator.drawing.sheet import Sheet
from generator.jig.results import results_dict


@cache
def sawn_end(name: str) -> Sheet:
    """The sheet that has the sawn end on it."""
    sheets = {sheet.name: sheet for sheet in paper(name)}
    return sheets.get("sawn_end", sheets["heel"])


def heights(name: str) -> list[float]:
    """What its ordinates say, mm."""
    marks = [mark for mark in sawn_end(name).dimensions if "_on_sawn_end[" in mark.name]
    return sorted(abs(mark.value) for mark in marks)


@pytest.mark.parametrize("name", [name for name in READY if name != "folk-butt"])
def test_one_hole_has_one_figure(name: str) -> None:
    """Bolts on the sawn end stand where results.json, and with it the setup sheet's table, have them, to 1e-9 mm.

    They are drilled while the end is as the saw and the jig left it, before anything is planed off. By hand: the
    neck plane rises over the shoulder by the projection as routed times tan(heel angle's lack of 90 degrees).
    """
    solution = solved(name)
    bolts = results_dict(solution, jig(name))["joint"]["bolts"]
    assert heights(name) == pytest.approx([bolt["on_tenon_end_mm"] for bolt in bolts], abs=1e-9)
    rise = solution.joint.shoulder_depth * math.tan(math.radians(90.0 - solution.neck_set.heel_angle))
    assert heights(name) == pytest.approx([bolt["from_neck_plane_mm"] + rise for bolt in bolts], abs=1e-9)


def test_an_end_that_is_routed_away_bears_no_bolts() -> None:
    """A butt joint's sawn end has the heel stop's pilot alone, on the first bolt's line; the bolts come later.

    By hand: 26.5 down the shoulder and 5 mm of facing, times tan(1.5 degrees or so), is 26.63 down the end.
    """
    name = "folk-butt"
    joint, angle = solved(name).joint, solved(name).neck_set.heel_angle
    first = joint.bolts[0].from_neck_plane + joint.shoulder_depth * math.tan(math.radians(90.0 - angle))
    assert heights(name) == pytest.approx([first], abs=1e-9)
    assert heights(name) == pytest.approx([26.63], abs=0.005)
    marks = {mark.name: mark.text for mark in sawn_end(name).dimensions}
    assert "2.5" in marks["pilot_hole"]
    words = " ".join(label.text for label in sawn_end(name).labels())
    for said in ("prick the heel stop's screw through", "Mark no bolt here", "on the shoulder after it is routed"):
        assert said in words, said
    assert "prick the bolts" not in words
    assert "insert" not in words


@pytest.mark.parametrize("name", READY)
def test_no_extension_line_runs_through_the_heel(name: str) -> None:
    """The slot's width stands above the upper edge, the cap's below: else they would read as slots of its height."""
    marks = {mark.name: mark for mark in sawn_end(name).dimensions}
    slot, cap = (marks.get(named) for named in ("truss_rod_slot_width", "heel_width_at_cap"))
    joint = solved(name).joint
    assert (slot is not None) is (solved(name).job.instrument.truss_rod_slot_width is not None)
    assert (cap is not None) is (joint.heel_width_at_cap != joint.heel_width)
    assert slot is None or slot.line_at.y > slot.points[0].y
    assert cap is None or cap.line_at.y < cap.points[0].y
