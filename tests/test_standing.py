"""The jig's own sizes: what cannot be built is refused in words that say what to change.

A job here is the manual's with some keys moved.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from jobs_by_hand import changed, load

from generator.base.errors import CheckFailed
from generator.jig.build import build_jig
from generator.jig.buildability import standing_checks, with_standing
from generator.jig.layout import jig_layout
from generator.jig.plug import hang_from_top, hang_walls
from generator.job.tables import KEYS
from generator.joint.solution import CheckStatus, Solution, solve

#: A case: the keys moved, by table, and the check that must fail.
Case = tuple[dict[str, dict[str, Any]], str]
_TAPPED = {"joinery": "tapped"}
_THIN_REST: dict[str, dict[str, Any]] = {"jig": {"rest_stock": "phenolic-3"}, "joint": {"mortise_depth": 7.9}}
_FEW = {"thread": "M6", "kind": "insert", "from_top": "auto"}
_SLIM = {"bushing_od": 10, "bushing_id": 8, "bit_diameter": 6, "cutting_length": 25, "shank_diameter": 6, "max_step": 2}
REFUSED: dict[str, Case] = {
    "rests longer than the brackets' room": ({"jig": {"rest_length": 150}}, "rests between the brackets"),
    "board thinner than its pilots": ({"jig": {"board_stock": "phenolic-3"}}, "plate-board edge"),
    "thin brackets, plate's screws": ({"jig": {"bracket_stock": "birch-ply-3"}}, "plate-bracket edge"),
    "thin brackets, board's screws": ({"jig": {"bracket_stock": "birch-ply-3"}}, "board-bracket edge"),
    "thin upper rest": (_THIN_REST, "board-upper-rest edge"),
    "thin angle rest": (_THIN_REST, "board-angle-rest edge"),
    "thin body rest": (_THIN_REST, "body-rest-board edge"),
    "rails too low to hold": ({"joint": {"mortise_depth": 7.7}}, "plate-bracket bite"),
    "screws through low rails": (
        {"jig": {"plate_stock": "phenolic-12"}, "joint": {"mortise_depth": 6.6}},
        "plate-bracket point",
    ),
    "brackets with a short foot": ({"jig": {"bracket_foot": 25, **_TAPPED}}, "board-bracket bite"),
    "screws through a short foot": ({"jig": {"bracket_foot": 25, "board_stock": "phenolic-3"}}, "board-bracket point"),
    "rests too short for a square": (
        {"jig": {"rest_length": 30}, "joint": {"mortise_width": 34}},
        "zero check's square",
    ),
    "screws through the board": ({"jig": {"board_stock": "phenolic-3"}}, "body-rest-board point"),
    "tapped in a thin board": (
        {"jig": {"board_stock": "phenolic-3", "rest_length": 133.5, **_TAPPED}},
        "body-rest-board bite",
    ),
    "a narrow angle rest": (
        {"jig": {"nominal_shim": 3, **_TAPPED}, "target": {"saddle_gap": -15}},
        "board-angle-rest bite",
    ),
    "a narrow angle rest behind a thin board": (
        {"jig": {"board_stock": "phenolic-3"}, "target": {"saddle_gap": -20}},
        "board-angle-rest point",
    ),
    "bolts too close for the plug's screw": (
        {"joint": {"bolts": {"thread": "M6", "kind": "insert", "from_top": [30, 42]}}},
        "plug screw",
    ),
    "a rest that its screws' heads fill": ({"jig": {"rest_stock": "aluminium-10"}}, "body rest heads"),
    "a plate too narrow for its screws": ({"jig": {"margin_side": 15}}, "plate beside its screws"),
    "short rests": ({"jig": {"rest_length": 33}}, "upper and body rest screws"),
    "a shallow slot": ({"instrument": {"truss_rod_slot_depth": 2.0}}, "teeth"),
    "dowels between crowded screws": (
        {"jig": {"bracket_stock": "birch-ply-3", **_TAPPED}, "instrument": {"heel_width": 24.8}},
        "dowels",
    ),
    "a narrow tongue": (
        {"joint": {"mortise_width": 12.2, "bolts": _FEW}, "router": _SLIM},
        "tip screw",
    ),
    "a short mortise": ({"joint": {"mortise_length": 21.2, "bolts": _FEW}}, "plug"),
}


def solved(**tables: dict[str, Any]) -> Solution:
    raw = changed(**{name: keys for name, keys in tables.items() if name != "target"})
    return solve(load(raw | ({"target": tables["target"]} if "target" in tables else {})))


def failing(solution: Solution) -> set[str]:
    return {check.name for check in standing_checks(jig_layout(solution)) if check.status is CheckStatus.FAIL}


def test_the_manuals_job_stands() -> None:
    """As shipped, no size of the jig leaves a part without room."""
    assert failing(solved()) == set()


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_built_is_refused(case: str) -> None:
    """A size that leaves no room fails its own check, and no jig is built: CheckFailed names the check."""
    tables, name = REFUSED[case]
    solution = solved(**tables)
    assert name in failing(solution)
    with pytest.raises(CheckFailed) as caught:
        build_jig(solution)
    assert name in {fault.key for fault in caught.value.faults}


@pytest.mark.parametrize("case", REFUSED)
def test_a_refusal_names_keys_that_exist(case: str) -> None:
    """Every refusal says what to change, by keys a job file knows."""
    tables, name = REFUSED[case]
    (check,) = [check for check in standing_checks(jig_layout(solved(**tables))) if check.name == name]
    named = re.findall(r"\b(jig|instrument|joint|router)\.([a-z_]+)", check.message)
    assert named
    assert all(key in {*KEYS[table], "bolts"} for table, key in named)


def test_every_check_has_a_case() -> None:
    """Each check of the jig's sizes is seen failing."""
    names = {check.name for tables, _ in REFUSED.values() for check in standing_checks(jig_layout(solved(**tables)))}
    assert names - {name for _, name in REFUSED.values()} == set()


def test_solve_says_so_too() -> None:
    """The checks of the jig's sizes follow the solution's own, and a failing one fails the solution."""
    bad = with_standing(solved(jig={"rest_length": 33}))
    assert not bad.ok
    assert "upper and body rest screws" in {check.name for check in bad.failed}
    good = solved()
    assert with_standing(good).checks[: len(good.checks)] == good.checks


def test_a_single_bolt_near_the_end_leaves_the_plugs_screw_its_wall() -> None:
    """Under the one bolt, M6 30 below the top (hole 6.6), the screw (hole 4.2) keeps 1.5: 30 + 3.3 + 2.1 + 1.5."""
    bolt = {"thread": "M6", "kind": "insert", "from_top": [30]}
    layout = jig_layout(solved(joint={"mortise_length": 40, "bolts": bolt}))
    clearance = layout.solution.joint.bolts[0].clearance_hole
    assert hang_from_top(layout) == pytest.approx(30 + clearance / 2 + 2.1 + 1.5)
    assert hang_walls(layout) == pytest.approx(1.5)
