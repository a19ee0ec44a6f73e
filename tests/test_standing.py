"""The jig's own sizes: what cannot stand is refused in words that say what to change; what can adapt does.

A job here is the manual's with some keys of [jig] moved. Judges: the CAD kernel's solids and common volumes.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from jobs_by_hand import changed, load

from generator.errors import CheckFailed, GeometryError
from generator.jobtables import KEYS
from generator.parts import jig as jig_module
from generator.parts.base import EdgeHole, Jig, NutSlot, Tab, Use
from generator.parts.jig import build_jig
from generator.parts.layout import jig_layout
from generator.parts.standing import standing_checks, with_standing
from generator.solution import CheckStatus, Solution, solve

#: A case: keys of [jig] moved, other tables' keys moved, and the check that must fail.
Case = tuple[dict[str, Any], dict[str, dict[str, Any]], str]
_NO_SLOT = {"instrument": {"truss_rod_slot_width": "none", "truss_rod_slot_depth": "none"}}
_SHALLOW = {"joint": {"mortise_depth": 9}}
REFUSED: dict[str, Case] = {
    "pins at the bed": ({"pin_back": [38, 24], "pin_below": [5, 70]}, {}, "pins behind the bed"),
    "slots out of the cheeks": ({"cheek_gap": 20, "nose_offset": 40}, {}, "pin slots, front"),
    "pins far back": ({"pin_back": [108, 90], "pin_below": [14, 125]}, {}, "pin slots, back"),
    "pins under the rails": ({"pin_back": [30, 20], "pin_below": [0, 60]}, {}, "wing nuts and rails"),
    "shallow cheeks": ({"cheek_depth": 60}, {}, "ribs and tie"),
    "ribs at the spine": ({"block_at_zero": 15.5, "cheek_stock": "birch-ply-3"}, {}, "ribs and spine"),
    "ribs at the plate": ({"pin_below": [0, 105], "angle_low": -8, "block_at_zero": 27}, _SHALLOW, "ribs and plate"),
    "nose in the bed": ({"nose_offset": 18}, {}, "nose behind the bed"),
    "no bed under the nose": ({"bed_tail": 6}, {}, "ribs under the nose"),
    "spine behind the cheeks": ({"block_at_zero": 60}, {}, "spine in the cheeks"),
    "pins at the nose's level": ({"pin_below": [14, 150]}, {}, "spine under the pins"),
    "ledge under a pin": ({"pin_below": [14, 134]}, {}, "ledge under the pins"),
    "narrow frame": ({"cheek_inner": 20}, {}, "nut slots in the spine"),
    "no room between the ribs": ({"cheek_inner": 17}, {}, "ledge between the ribs"),
    "hold-down below the bed": ({"hold_down_depth": 190}, {}, "studs and bed foot"),
    "narrow bed": ({"bed_width": 118}, {}, "studs and bed sides"),
    "hold-down in the rest": ({"hold_down_depth": 50, "rest_height": 45}, {}, "studs and rest"),
    "stops beside the bed": ({"bed_width": 130}, _NO_SLOT, "side stops and bed sides"),
    "stops at the studs": ({"hold_down_depth": 50}, _NO_SLOT, "side stops and studs"),
    "short bed": ({"sine_distance": 60, "bed_tail": 20, "rest_height": 40}, {}, "key on the bed"),
    "short cheeks": ({"cheek_depth": 30}, {}, "joint plate-cheek"),
    "short spine": ({"bed_tail": 10, "pin_below": [14, 125]}, {}, "joint spine-cheek"),
    "short tie": ({"tie_height": 40, "screw_thread": "M10"}, {}, "joint tie-cheek"),
    "short ribs": ({"sine_distance": 70, "rest_height": 60}, {}, "joint rib-bed"),
    "thin cheeks": ({"cheek_stock": "birch-ply-3"}, {}, "sheets of plate-cheek"),
    "thin frame": ({"frame_stock": "birch-ply-3"}, {}, "sheets of spine-cheek"),
    "thick screws": ({"screw_thread": "M10"}, {}, "sheets of tie-cheek"),
    "thin bed": ({"bed_stock": "birch-ply-3"}, {}, "sheets of rib-bed"),
    "heads in the openings": ({"bed_stock": "birch-ply-3", "cheek_depth": 80}, {}, "plate screws and openings"),
}


def solved(**jig: Any) -> Solution:
    return solve(load(changed(jig=jig)))


def of_case(case: str) -> tuple[Solution, str]:
    jig, others, name = REFUSED[case]
    return solve(load(changed(jig=jig, **others))), name


def failing(solution: Solution) -> set[str]:
    return {check.name for check in standing_checks(jig_layout(solution)) if check.status is CheckStatus.FAIL}


def test_the_manuals_job_stands() -> None:
    """As shipped, no size of the jig leaves a part without room."""
    assert failing(solved()) == set()


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_stand_is_refused(case: str) -> None:
    """A size that leaves no room fails its own check, and no jig is built: CheckFailed names the check."""
    solution, name = of_case(case)
    assert name in failing(solution)
    with pytest.raises(CheckFailed) as caught:
        build_jig(solution)
    assert name in {fault.key for fault in caught.value.faults}


@pytest.mark.parametrize("case", REFUSED)
def test_a_refusal_names_keys_that_exist(case: str) -> None:
    """Every refusal says what to change, by keys a job file knows, one of them a key that was moved here."""
    solution, name = of_case(case)
    moved = {"jig": REFUSED[case][0], **REFUSED[case][1]}
    (check,) = [check for check in standing_checks(jig_layout(solution)) if check.name == name]
    named = re.findall(r"\b(jig|instrument|joint)\.([a-z_]+)", check.message)
    assert named
    assert all(key in KEYS[table] for table, key in named)
    assert any(key in moved.get(table, {}) for table, key in named), check.message


def test_every_check_has_a_case() -> None:
    """Each check of the jig's sizes is seen failing, but the rails' length, which no job brings below its limit."""
    names = {check.name for case in REFUSED for check in standing_checks(jig_layout(of_case(case)[0]))}
    assert names - {name for _, _, name in REFUSED.values()} == {"rails"}


@pytest.mark.parametrize(
    "case",
    [
        "slots out of the cheeks",
        "shallow cheeks",
        "nose in the bed",
        "spine behind the cheeks",
        "hold-down below the bed",
    ],
)
def test_the_kernel_agrees_that_it_cannot_stand(case: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Built all the same, the refused jig has a part that is no solid, or two pieces in one place."""
    from generator.solid import assembly, interferences, jig_solids

    monkeypatch.setattr(jig_module, "refuse_unbuildable", lambda layout: None)
    solution, _ = of_case(case)
    try:
        jig = build_jig(solution)
        solids = jig_solids(jig)
    except GeometryError:
        return
    spec = solution.job.jig
    angles = (spec.angle_low, solution.cradle.neck_bed_angle, spec.angle_high)
    met = [
        pair
        for angle in angles
        for pair in interferences(
            piece for piece in assembly(jig, angle, Use.NECK, solids=solids).pieces if not piece.label.endswith("block")
        )
    ]
    assert met


def test_solve_says_so_too() -> None:
    """The checks of the jig's sizes follow the solution's own, and a failing one fails the solution."""
    bad = with_standing(solved(nose_offset=18))
    assert not bad.ok
    assert [check.name for check in bad.failed] == ["nose behind the bed"]
    good = solved()
    assert with_standing(good).checks[: len(good.checks)] == good.checks


def flat_top(**jig: Any) -> Jig:
    raw = changed(jig=jig)
    raw["instrument"]["top"] = {"form": "flat"}
    return build_jig(solve(load(raw)))


def test_no_rest_where_the_body_lies_on_the_bed() -> None:
    """rest_thickness 0 under a flat top: no strip, no holes for one, nothing to buy, no step that fits one."""
    jig = flat_top(rest_thickness=0)
    assert "body_rest" not in {part.name for part in jig.parts}
    assert not [hole for hole in jig.part("bed").holes if hole.id == "rest-screw"]
    assert not [item for item in jig.hardware if "rest" in item.purpose]
    assert not [step for step in jig.assembly_steps if "rest strips" in step]


@pytest.mark.parametrize(("keys", "screws"), [({}, 2), ({"rest_thickness": 1.5}, 0), ({"rest_height": 7}, 0)])
def test_small_rests_are_stuck_on(keys: dict[str, Any], screws: int) -> None:
    """A strip thinner than its screws' heads are deep, or too low for them, has no holes and says it is stuck on."""
    jig = build_jig(solved(**keys))
    rest = jig.part("body_rest")
    assert len(rest.holes) == screws
    assert any("tape" in item.words for item in rest.requirements) is (screws == 0)
    assert len([hole for hole in jig.part("bed").holes if hole.id == "rest-screw"]) == 2 * screws


def test_rest_screws_go_through_strip_and_bed() -> None:
    """Each screw of a placed rest strip stands over one of the bed's holes, on both sides, whatever their pattern.

    A narrow strip carries its screws across the corner; the −Y strip is turned half round, not mirrored.
    """
    for width in (80, 66):
        raw = changed()
        raw["instrument"]["neck_block_width"] = width
        jig = build_jig(solve(load(raw)))
        bed = next(item for item in jig.placed if item.part.name == "bed")
        bores = [bed.placement.to_space(*hole.at) for hole in bed.part.holes if hole.id == "rest-screw"]
        assert len(bores) == 4
        for item in jig.placed:
            if item.part.name == "body_rest":
                for hole in item.part.holes:
                    at = item.placement.to_space(*hole.at)
                    assert min(abs(at.y - bore.y) + abs(at.z - bore.z) for bore in bores) < 1e-9


def test_ribs_meet_the_bed_where_its_holes_are() -> None:
    """Each dowel, screw and tab of a placed rib stands over the bed's hole or slot for it, in both joineries.

    In the machined jig the joint is not symmetric: its lower dowel keeps clear of the nose.
    """
    for preset in ("sheet", "machined"):
        jig = build_jig(solved(preset=preset))
        bed = next(item for item in jig.placed if item.part.name == "bed")
        openings = [bed.placement.to_space(*o.contour.box().center) for o in bed.part.openings]
        spots = [bed.placement.to_space(*hole.at) for hole in bed.part.holes] + openings
        ribs = [item for item in jig.placed if item.part.name == "rib"]
        assert len(ribs) == 2
        for item in ribs:
            met: list[tuple[Any, float]] = [(hole.at, hole.z) for hole in item.part.edge_holes]
            met += [(cut.at, item.part.thickness / 2.0) for cut in item.part.edge_cuts]
            assert len(met) == 3
            for at, z in met:
                here = item.placement.to_space(*at, z)
                assert min(abs(here.y - spot.y) + abs(here.z - spot.z) for spot in spots) < 1e-9


@pytest.mark.parametrize("thread", ["M4", "M5", "M6"])
def test_the_tie_clears_what_holds_the_plate(thread: str) -> None:
    """Where the tie stands under the plate's rear screws it stands low enough: its holes in the cheek stay whole."""
    from generator.solid import part_solid

    jig = build_jig(solved(screw_thread=thread, tie_height=45))
    assert part_solid(jig.part("cheek_left")).isValid()


@pytest.mark.parametrize(("depth", "screwed"), [("7/8 in", True), (12, False)])
def test_rails_are_screwed_where_they_are_high_enough(depth: Any, screwed: bool) -> None:
    """A screw reaches at least its own diameter into the rail and stops in material; a low rail is glued only."""
    jig = build_jig(solve(load(changed(joint={"mortise_depth": depth}))))
    rail, plate = jig.part("rail"), jig.part("template_plate")
    heads = [hole for hole in plate.holes if hole.id == "rail-screw"]
    bought = [item for item in jig.hardware if "plate to rails" in item.purpose]
    assert bool(rail.edge_holes) is bool(heads) is bool(bought) is screwed
    assert len(heads) == 2 * len(rail.edge_holes)
    for hole in rail.edge_holes:
        into = bought[0].length - plate.thickness
        assert 3.5 <= into < hole.depth < rail.box.height - 1.5


def test_tapped_screws_never_bottom() -> None:
    """In the machined jig every screw ends in thread, and thread ends before its hole does (M5: 2.5 mm run-out)."""
    jig = build_jig(solved(preset="machined"))
    rail = jig.part("rail")
    (item,) = [item for item in jig.hardware if "plate to rails" in item.purpose]
    into = item.length - jig.part("template_plate").thickness
    assert into >= 10.0
    for hole in rail.edge_holes:
        assert hole.thread == "M5"
        assert hole.thread_depth is not None
        assert into + 1.0 <= hole.thread_depth < hole.depth


def test_described_tabs_and_nut_slots_are_the_outlines() -> None:
    """Each described tab and nut slot is in the outline, point by point, and as large as described."""
    jig = build_jig(solved())
    seen = 0
    for part in jig.parts:
        points = [vertex.point for vertex in part.outline.vertices]
        for cut in part.edge_cuts:
            seen += 1
            assert all(min(corner.distance(point) for point in points) < 1e-9 for corner in cut.corners)
            out = cut.out if isinstance(cut, Tab) else cut.into
            along = [corner.minus(cut.at).dot(out.left()) for corner in cut.corners]
            deep = [corner.minus(cut.at).dot(out) for corner in cut.corners]
            wide = cut.width if isinstance(cut, Tab) else cut.nut_width
            assert max(along) - min(along) == pytest.approx(wide, abs=1e-9)
            assert max(deep) == pytest.approx(cut.height if isinstance(cut, Tab) else cut.depth, abs=1e-9)
            inside = cut.at.plus(out.times(0.5))
            assert part.outline.contains(inside) is isinstance(cut, Tab)
    assert seen == 2 * 3 + 2 * 4 + 3


@pytest.mark.parametrize("preset", ["sheet", "machined"])
def test_metal_has_no_sharp_inner_corner(preset: str) -> None:
    """In parts of stock that is neither laser-cut nor routed, a cutter of 3 mm reaches every inner corner."""
    solution = solved(preset=preset)
    jig = build_jig(solution)
    milled = [
        part for part in jig.parts if {c.value for c in solution.job.stocks[part.stock].cut_by} <= {"mill", "saw"}
    ]
    assert bool(milled)
    for part in milled:
        contours = [(part.outline, 1.0), *((o.contour, -1.0) for o in part.openings)]
        for contour, sense in contours:
            segments = list(contour.segments())
            sense *= 1.0 if contour.signed_area > 0 else -1.0
            for before, here in zip([segments[-1], *segments], segments, strict=False):
                turn = sense * before.tangent_at(1.0).cross(here.tangent_at(0.0))
                into_material = here.is_arc and sense * here.bulge < 0
                assert turn > -1e-6 or _is_relief(before) or _is_relief(here), (part.name, here.start)
                if into_material:
                    assert here.radius >= 1.5 - 1e-9, (part.name, here.start)


def _is_relief(segment: Any) -> bool:
    """An arc of more than half a turn: the round relief of a corner that must seat."""
    return segment.is_arc and abs(segment.sweep) > 180.0


def test_dowels_press_into_edges_and_slide_in_faces() -> None:
    """Machined: every dowel hole carries H7 in the edge and F7 in the face it meets; a thread has no fit."""
    jig = build_jig(solved(preset="machined"))
    edge = [hole for part in jig.parts for hole in part.edge_holes if "dowel" in hole.id]
    face = [hole for part in jig.parts for hole in part.holes if "dowel" in hole.id]
    assert {(hole.diameter, hole.fit) for hole in edge} == {(5.0, "H7")}
    assert {(hole.diameter, hole.fit) for hole in face} == {(5.0, "F7")}
    threads: list[EdgeHole] = [hole for part in jig.parts for hole in part.edge_holes if hole.thread]
    assert threads
    assert all(hole.fit is None for hole in threads)


def test_nut_slots_hold_their_nuts() -> None:
    """The pocket is the nut across flats by its height, with the jig's play (ISO 4032: M5 8 and 4.7 mm)."""
    jig = build_jig(solved())
    slots = [cut for part in jig.parts for cut in part.edge_cuts if isinstance(cut, NutSlot)]
    assert slots
    for slot in slots:
        assert slot.nut_width == pytest.approx(8.1)
        assert slot.nut_far - slot.nut_near == pytest.approx(4.8)
        assert slot.nut_far < slot.depth
