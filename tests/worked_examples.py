"""Jobs put together by hand from plain numbers, so that no preset can move what the tests of the formulas expect."""

from __future__ import annotations

from typing import Any

from generator.model.instrument import Instrument, Target
from generator.model.jig import JigSpec
from generator.model.job import Job, Tolerances
from generator.model.joint import JointSpec
from generator.model.router import Router
from generator.model.stock import Stock

INSTRUMENT: dict[str, Any] = {
    "scale_length": 645.16,
    "body_fret": 14,
    "frets": 20,
    "saddle_compensation": 2.5,
    "fretboard_thickness": 6.35,
    "fret_height": 1.1,
    "nut_string_height": 0.5,
    "relief": 0.15,
    "bridge_thickness": 9.5,
    "saddle_projection": 3.2,
    "string_pull_up": 1.5,
    "body_depth_at_neck": 98,
    "back_binding_height": 6,
    "heel_width": 60,
    "neck_block_thickness": 45,
    "neck_block_width": 80,
    "truss_rod_slot_width": 6.35,
    "truss_rod_slot_depth": 9.5,
    "top": {"form": "dome", "radius": 8534.4, "crown_from_join": 290},
}
JOINT: dict[str, Any] = {
    "mortise_width": 19.05,
    "mortise_depth": 22.225,
    "side_clearance": 0.15,
    "end_clearance": 1.0,
    "floor_clearance": 1.2,
    "bolts": {"thread": "1/4-20", "kind": "insert", "from_top": [28.5, 57.5]},
}
ROUTER: dict[str, Any] = {
    "bushing_od": 15.875,
    "bushing_id": 13.49375,
    "bushing_length": 7.9375,
    "bit_diameter": 12.7,
    "cutting_length": 31.75,
    "shank_diameter": 12.7,
    "reach": 50,
    "base_diameter": 150,
    "collet_diameter": 34,
    "max_step": 3.175,
    "hold_back": 3.175,
    "top_speed": 24000,
}
JIG: dict[str, Any] = {
    "sine_distance": 150,
    "nose_offset": 25,
    "nose_diameter": 10,
    "block_at_zero": 18,
    "angle_low": -4,
    "angle_high": 6,
    "rest_thickness": 3,
    "rest_height": 14,
    "tip_pin": True,
    "bridged": False,
    "second_depth_block": False,
    "joinery": "tabs",
    "plate_stock": "ply-18",
    "bed_stock": "ply-18",
    "cheek_stock": "ply-12",
    "frame_stock": "ply-12",
    "rail_stock": "ply-12",
    "block_stock": "ply-12",
    "strip_stock": "ply-12",
    "guide_stock": "ply-12",
    "shim_stock": "ply-12",
    "margin_end": 40,
    "margin_side": 44,
    "bed_width": 200,
    "bed_tail": 35,
    "bed_clearance": 2,
    "cheek_inner": 34,
    "cheek_depth": 90,
    "cheek_gap": 3,
    "rib_play": 0.3,
    "pin_back": [60, 52],
    "pin_below": [14, 105],
    "pin_thread": "M6",
    "screw_thread": "M5",
    "stud_thread": "M8",
    "rail_gap": 3,
    "tab_length": 25,
    "tab_sink": 1,
    "key_length": 120,
    "window_clearance": 0,
}


def stock(name: str, thickness: float, modulus: float = 9.5, shear: float = 0.65, rolling: float = 0.2) -> Stock:
    """A sheet of which only thickness (mm) and moduli (GPa) matter here."""
    return Stock(
        name=name,
        material="plywood",
        thickness=thickness,
        kerf=0.2,
        sheet_width=600,
        sheet_length=1200,
        youngs_modulus=modulus,
        shear_modulus=shear,
        rolling_shear_modulus=rolling,
        density=680,
        thickness_tolerance=0.3,
        cut_by=["laser"],
        colour=[0.8, 0.7, 0.5],
    )


STOCKS = {
    "ply-18": stock("ply-18", 18),
    "ply-12": stock("ply-12", 12),
    "acrylic-12": stock("acrylic-12", 12, 3, 1.1, 1.1),
}


def make_instrument(**changes: Any) -> Instrument:
    """The orchestra model of example A, with `changes`."""
    return Instrument(**{**INSTRUMENT, **changes})


def make_router(**changes: Any) -> Router:
    """The 5/8 in bushing with the 1/2 in bit, with `changes`."""
    return Router(**{**ROUTER, **changes})


def make_joint_spec(**changes: Any) -> JointSpec:
    """The joint of example A, with `changes`."""
    return JointSpec(**{**JOINT, **changes})


def make_jig_spec(**changes: Any) -> JigSpec:
    """The plywood jig, with `changes`."""
    return JigSpec(**{**JIG, **changes})


def make_job(
    name: str = "example-a",
    target: dict[str, Any] | None = None,
    instrument: dict[str, Any] | None = None,
    joint: dict[str, Any] | None = None,
    router: dict[str, Any] | None = None,
    jig: dict[str, Any] | None = None,
    tolerances: dict[str, Any] | None = None,
) -> Job:
    """Example A with changes to any of its tables."""
    return Job(
        name=name,
        instrument=make_instrument(**(instrument or {})),
        target=Target(**(target or {"saddle_gap": 3.5})),
        joint=make_joint_spec(**(joint or {})),
        router=make_router(**(router or {})),
        jig=make_jig_spec(**(jig or {})),
        tolerances=Tolerances(**(tolerances or {})),
        stocks=STOCKS,
    )


def example_a() -> Job:
    """Orchestra model on a dome whose crown stands 290 mm from the join; the gap is asked for."""
    return make_job()


def example_b() -> Job:
    """Deeper body, crown at the saddle, tilted end face; the action is asked for."""
    return make_job(
        "example-b",
        target={"action_bass": 2.6, "action_treble": 2.0},
        instrument={
            "body_depth_at_neck": 102,
            "end_face_tilt": 1.2,
            "top": {"form": "dome", "radius": 8534.4},
        },
    )


def example_c() -> Job:
    """Tenor ukulele on a flat top with a small router; the clearance is asked for."""
    return make_job(
        "example-c",
        target={"bridge_clearance": 1.2},
        instrument={
            "scale_length": 432,
            "frets": 19,
            "saddle_compensation": 2,
            "body_depth_at_neck": 70,
            "back_binding_height": 4,
            "bridge_thickness": 7,
            "saddle_projection": 2.5,
            "fretboard_thickness": 5,
            "fret_height": 1,
            "string_pull_up": 0.3,
            "relief": 0.05,
            "heel_width": 44,
            "neck_block_thickness": 34,
            "neck_block_width": 58,
            "truss_rod_slot_width": None,
            "truss_rod_slot_depth": None,
            "top": {"form": "flat"},
        },
        joint={
            "mortise_width": 12.7,
            "mortise_depth": 14,
            "bolts": {"thread": "M5", "kind": "hanger", "from_top": [33]},
        },
        router={
            "kind": "trim",
            "bushing_od": 10,
            "bushing_id": 8,
            "bushing_length": 6,
            "bit_diameter": 6,
            "cutting_length": 20,
            "shank_diameter": 6,
            "reach": 36,
            "base_diameter": 88,
            "max_step": 2,
            "hold_back": 2,
        },
        jig={
            "sine_distance": 100,
            "nose_offset": 18,
            "nose_diameter": 8,
            "block_at_zero": 13,
            "cheek_inner": 26,
            "bed_width": 130,
            "margin_side": 34,
        },
    )


def example_d() -> Job:
    """A finished box whose dome nobody knows: one reading at bed angle zero stands for it."""
    return make_job(
        "example-d",
        target={"saddle_gap": 3.0},
        instrument={
            "scale_length": 632.46,
            "body_depth_at_neck": 95,
            "end_face_tilt": 1.5,
            "overstand": 0.3,
            "top": {"form": "measured", "zero_angle_gap": 2.6},
        },
    )
