"""The results object against the contract, the report as a reader sees it, and what solving must not load."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from worked_examples import example_a, example_b, example_c, example_d, example_n, make_job

from generator.base.plain_text import LINE_WIDTH
from generator.base.shapes2d import rectangle
from generator.jig.part import Jig, Part
from generator.jig.results import results_dict
from generator.job.model.job import Job, OutputSpec, UnitsChoice
from generator.joint.solution import solve
from generator.kit.report import report

EXAMPLES = [example_a, example_b, example_c, example_d]

#: What scripts may rely on: table -> keys.
CONTRACT = {
    "neck_set": [
        "join_to_saddle_mm", "saddle_gap_mm", "bridge_clearance_mm", "action_mm", "set_angle_deg", "heel_angle_deg",
        "cradle_angle_deg", "clearance_before_stringing_mm", "top_rise_at_saddle_mm",
        "string_height_at_saddle_mm", "extension_gap_mm",
    ],
    "joint": [
        "mortise_width_mm", "mortise_length_mm", "mortise_depth_mm", "corner_radius_mm", "tenon_width_mm",
        "tenon_length_mm", "tenon_projection_mm", "tenon_projection_routed_mm", "bolts",
    ],
    "router": [
        "edge_offset_mm", "opening_width_mm", "opening_length_mm", "tongue_length_mm", "tongue_width_mm",
        "reach_needed_mm", "passes",
    ],
    "cradle": [
        "rest_spacing_mm", "rest_depth_mm", "rest_thickness_mm", "upper_rest_mm", "angle_rest_mm",
        "angle_rest_drawn_mm", "stand_off_measured_mm", "caul_depth_mm", "clamp_throat_mm", "clamp_opening_mm",
        "nominal_shim_mm", "contact_depth_mm", "shoulder_x_mm", "body_join_x_mm", "depth_block_mm",
    ],
    "uncertainty": ["gap_worst_mm", "gap_rss_mm", "contributions"],
}  # fmt: skip


def leaves(value: Any, key: str = "") -> Iterator[tuple[str, Any]]:
    """Every scalar with the key it stands under."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner, key)
    else:
        yield key, value


@pytest.mark.parametrize("make", EXAMPLES)
def test_results_keep_the_contract(make: Any) -> None:
    """Every promised key is there, every number finite, every length and angle under a key with its unit."""
    found = results_dict(solve(make()))
    assert found["schema"] == 2
    assert found["program"] == "heelwright"
    assert found["job"] == make().name
    for table, keys in CONTRACT.items():
        assert set(keys) <= set(found[table]), table
    for check in found["checks"]:
        assert set(check) >= {"name", "status", "value", "limit", "message"}
        assert check["status"] in ("ok", "warn", "fail")
    assert set(found["router"]["passes"]) == {"mortise", "tenon"}
    assert set(found["uncertainty"]["contributions"][0]) == {"name", "gap_mm"}
    for bolt in found["joint"]["bolts"]:
        assert {"from_top_mm", "clearance_hole_mm", "pilot_hole_mm"} <= set(bolt)
    for key, value in leaves({table: found[table] for table in CONTRACT}):
        if isinstance(value, float):
            assert math.isfinite(value)
            assert key.endswith(("_mm", "_deg")) or key in ("mortise", "tenon"), key
    assert json.loads(json.dumps(found, allow_nan=False)) == found


def test_results_are_not_rounded() -> None:
    """Numbers go out as they were worked out, to the last bit."""
    solution = solve(example_a())
    found = results_dict(solution)
    assert found["neck_set"]["set_angle_deg"] == solution.neck_set.set_angle
    assert found["cradle"]["angle_rest_mm"] == solution.cradle.angle_rest


def test_template_frames() -> None:
    """The plate's own drawing: fences 26 mm either side of the board's middle, looking opposite ways."""
    found = results_dict(solve(example_a()))["template"]
    assert found == {
        "mortise": {"fence_x_mm": 26.0, "direction": 1},
        "tenon": {"fence_x_mm": -26.0, "direction": -1},
    }


def test_parts_are_listed_from_the_jig() -> None:
    """A part is listed with its stock, thickness, volume and size; without a jig there are none."""
    plank = Part("plank", "Plank", "ply-18", 18.0, rectangle(0, 0, 100, 40), quantity=2)
    found = results_dict(solve(example_a()), Jig((plank,), (), (), ()))["parts"]
    assert found == [
        {
            "name": "plank",
            "stock": "ply-18",
            "thickness_mm": 18.0,
            "volume_mm3": pytest.approx(72000.0),
            "size_mm": [100.0, 40.0, 18.0],
            "quantity": 2,
        }
    ]
    assert results_dict(solve(example_a()))["parts"] == []


def test_same_job_same_object() -> None:
    """Solving twice gives the same object, number for number."""
    assert results_dict(solve(example_b())) == results_dict(solve(example_b()))


# --- report --------------------------------------------------------------------------------------------------------


def with_units(job: Job, units: UnitsChoice) -> Job:
    return job.model_copy(update={"output": OutputSpec(units=units)})


@pytest.mark.parametrize("units", list(UnitsChoice))
@pytest.mark.parametrize("make", EXAMPLES)
def test_report_fits_the_page(make: Any, units: UnitsChoice) -> None:
    """No line is wider than 100 columns, in any unit."""
    lines = report(solve(with_units(make(), units))).split("\n")
    assert max(map(len, lines)) <= LINE_WIDTH == 100


def test_report_puts_warnings_first() -> None:
    """Failures, then warnings, stand above the first table; a sound job says so."""
    text = report(solve(make_job(target={"saddle_gap": 9.0}, router={"reach": 30})))
    fails, warns, table = text.index("FAILS: reach"), text.index("warning: "), text.index("Neck set\n")
    assert fails < warns < table
    assert "No warnings" in report(solve(example_a()))


def test_report_numbers() -> None:
    """Millimetres to a thousandth with the nearest 1/64 in beside them."""
    text = report(solve(example_a()))
    assert "289.886 mm  11 13/32 in" in text
    assert "22.225 mm  7/8 in" in text
    assert "1.665°" in text
    assert "21.361 mm" in text
    assert "20.361 mm" in text
    assert "held back until the first dry fit" in text


def test_report_says_what_the_angle_rest_is_cut_for() -> None:
    """To the upper rest's width until the jig is measured, to its stand-off then; the square checks both signs.

    Example A's rests differ by 150·tan 1.6654° = 4.361, example N's by 150·tan 0.4380° = 1.147, the other way.
    """
    plain, built = (report(solve(make_job(jig={"stand_off": c}))) for c in (None, 17.3))
    assert "not measured yet" in plain
    assert "20.661 mm" in built
    assert "17.3 mm" in built
    forward = report(solve(example_n()))
    for text, gap, on in ((plain, "4.361 mm", "angle"), (forward, "1.147 mm", "upper")):
        check = " ".join(text[text.index("zero check") :].split())
        assert gap in check[:80]
        assert f"square against the {on} rest" in check[:100]


def test_report_in_one_unit() -> None:
    """A metric job prints no inch, an inch job leads with inches."""
    metric = report(solve(with_units(example_c(), UnitsChoice.MM)))
    assert not re.search(r"\d in\b", metric)
    inch = report(solve(with_units(example_a(), UnitsChoice.INCH)))
    assert "11 13/32 in  289.886 mm" in inch


def test_report_tells_handedness_and_notes() -> None:
    """Left-handed is said in the head, and what the shop file left aside is noted."""
    job = make_job(instrument={"handed": "left"}).model_copy(update={"notes": ("the shop file was left aside",)})
    text = report(solve(job))
    assert "left-handed" in text.split("\n")[0]
    assert "note: the shop file was left aside" in text


# --- cost ----------------------------------------------------------------------------------------------------------


def test_solving_loads_nothing_heavy() -> None:
    """Solving, results and report load no CAD kernel, file library or number cruncher."""
    rooms = "generator.kit.report, generator.jig.results, generator.joint.corrections, generator.joint.reset"
    code = f"import {rooms}, sys; print(*sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    tops = {name.split(".")[0] for name in found}
    assert not tops & {"cadquery", "OCP", "ezdxf", "reportlab", "svgwrite", "numpy", "shapely", "matplotlib", "jinja2"}
