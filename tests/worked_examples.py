"""Jobs put together by hand from plain numbers, so that no preset can move what the tests of the formulas expect."""

from __future__ import annotations

from typing import Any

from generator.job.model.instrument import Instrument, Target
from generator.job.model.jig import JigSpec
from generator.job.model.job import Job, Tolerances
from generator.job.model.joint import MortiseTenonSpec
from generator.job.model.router import Router
from generator.job.model.stock import Stock

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
    "shoulder_half_width": 105,
    "neck_block_thickness": 45,
    "neck_block_width": 80,
    "truss_rod_slot_width": 6.35,
    "truss_rod_slot_depth": 9.5,
    "top": {"form": "dome", "radius": 8534.4, "crown_from_join": 290},
}
JOINT: dict[str, Any] = {
    "mortise_width": 19.05,
    "mortise_stop": 0,
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
    "rest_spacing": 150,
    "joinery": "screwed",
    "plate_stock": "ply-18",
    "board_stock": "ply-18",
    "bracket_stock": "ply-18",
    "rest_stock": "ply-12",
    "caul_stock": "ply-18",
    "guide_stock": "ply-12",
    "shim_stock": "ply-12",
    "margin_end": 40,
    "margin_side": 38,
    "rest_length": 70,
    "caul_height": 30,
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


def make_joint_spec(**changes: Any) -> MortiseTenonSpec:
    """The joint of example A, with `changes`."""
    return MortiseTenonSpec(**{**JOINT, **changes})


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
            "heel_width": 62,
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
            "heel_blank_width": 44,
            "shoulder_half_width": 78,
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
            "rest_spacing": 100,
            "plate_stock": "ply-12",
            "bracket_stock": "ply-12",
            "margin_end": 34,
            "margin_side": 34,
            "rest_length": 50,
            "caul_height": 25,
        },
    )


def example_d() -> Job:
    """A finished box whose dome nobody knows: one reading at cradle angle zero stands for it."""
    return make_job(
        "example-d",
        target={"saddle_gap": 3.0},
        instrument={
            "scale_length": 632.46,
            "body_depth_at_neck": 95,
            "end_face_tilt": 1.5,
            "neck_rise": 0.3,
            "top": {"form": "measured", "zero_angle_gap": 2.6},
        },
    )


def example_n() -> Job:
    """Nylon-string with a forward set: a flat top, twelve frets to the body, a metric kit."""
    return make_job(
        "example-n",
        target={"saddle_gap": -2.5},
        instrument={
            "scale_length": 650,
            "body_fret": 12,
            "frets": 19,
            "saddle_compensation": 2,
            "body_depth_at_neck": 87,
            "back_binding_height": 4,
            "heel_width": 58,
            "top": {"form": "flat"},
        },
        joint={"mortise_width": 20, "mortise_depth": 22},
        router={"bushing_od": 17, "bushing_id": 15, "bushing_length": 8, "bit_diameter": 12, "shank_diameter": 12},
    )
