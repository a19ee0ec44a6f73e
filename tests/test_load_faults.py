"""What a job file may not say: every fault is found at once, in its place, with what was found and what is allowed."""

from __future__ import annotations

import tomllib
from collections import defaultdict
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jobs_by_hand import BUTT, FULL, changed, faults, load, only_fault
from made_once import THOROUGH

from generator.base.errors import Fault, InputError
from generator.job import rules as jobrules
from generator.job.tables import KEYS, WHOLE_KEYS

# --- faults --------------------------------------------------------------------------------------------------------


def one_letter_off(word: str) -> list[str]:
    """`word` with a letter missing, doubled, swapped and changed."""
    middle = len(word) // 2
    return [
        word[:middle] + word[middle + 1 :],
        word[:middle] + word[middle] + word[middle:],
        word[: middle - 1] + word[middle] + word[middle - 1] + word[middle + 1 :],
        word[:middle] + "q" + word[middle + 1 :],
    ]


EVERY_KEY = [(table, key) for table in KEYS if table != "stock" for key in KEYS[table]] + [
    (table, key) for table, keys in WHOLE_KEYS.items() for key in keys
]


def called_overstand(value: float, **more: float) -> dict[str, Any]:
    """The full job with the neck rise under its old name, and `more` keys of [instrument]."""
    instrument = {key: held for key, held in FULL["instrument"].items() if key != "neck_rise"}
    return FULL | {"instrument": instrument | {"overstand": value} | more}


def test_the_old_name_of_the_neck_rise_is_read_and_refused_beside_the_new() -> None:
    """`overstand` is read as neck_rise and obeys its range; both in one table are refused: which one counts?"""
    assert load(called_overstand(0.7)).instrument.neck_rise == 0.7
    wide = only_fault(called_overstand(11.0))
    assert (wide.key, wide.allowed) == ("instrument.overstand", "-5 to 10 mm")
    both = only_fault(called_overstand(0.7, neck_rise=0.7))
    assert (both.key, both.allowed) == ("instrument.overstand", "neck_rise alone")


#: The form of a top that has a key of its own.
FORMS = {"radius": "dome", "crown_from_join": "dome", "flat_until": "dome", "zero_angle_gap": "measured"}


@pytest.mark.parametrize("letter", range(4), ids=["missing", "doubled", "swapped", "changed"])
@pytest.mark.parametrize("table", sorted({table for table, _ in EVERY_KEY}))
def test_each_key_one_letter_off_names_the_nearest(table: str, letter: int) -> None:
    """A misspelt key is an error in its place, and the message gives the key that was meant.

    All keys of a table are misspelt at once: every fault of a file is found.
    """
    keys = [key for one, key in EVERY_KEY if one == table]
    for form in sorted({FORMS.get(key, "flat") for key in keys}) if table == "instrument.top" else ("",):
        meant = {one_letter_off(key)[letter]: key for key in keys if not form or FORMS.get(key, "flat") == form}
        wrong = {misspelt: 1 for misspelt in meant if (table, misspelt) not in EVERY_KEY}
        assert len(meant) == len([key for key in keys if not form or FORMS.get(key, "flat") == form])
        found = faults(with_keys(table, wrong, form))
        for misspelt in wrong:
            (fault,) = (one for one in found if one.key == f"{table}.{misspelt}")
            assert fault.file == "bench.toml"
            assert f'"{meant[misspelt]}"' in fault.allowed


def with_keys(table: str, keys: dict[str, int], form: str) -> dict[str, Any]:
    """A sound job with more keys in one of its tables; the top of that form."""
    raw = changed()
    if table == "instrument.top":
        own = {"dome": {"radius": 9000}, "measured": {"zero_angle_gap": 1}}.get(form, {})
        raw["instrument"]["top"] = {"form": form} | own | keys
    elif table == "joint.bolts":
        raw["joint"]["bolts"] = dict(FULL["joint"]["bolts"]) | keys
    else:
        raw[table] = dict(raw.get(table, {})) | keys
    return raw


@pytest.mark.parametrize("table", ["job", "instrument", "target", "joint", "router", "jig", "output", "tolerances"])
def test_each_table_one_letter_off_names_the_nearest(table: str) -> None:
    """A misspelt table is an error, and the message gives the table that was meant."""
    for wrong in one_letter_off(table):
        found = [fault for fault in faults(changed() | {wrong: {"a": 1}}) if fault.key == wrong]
        assert len(found) == 1
        assert f'"{table}"' in found[0].allowed


def test_a_key_in_the_wrong_table_is_told_its_own() -> None:
    """hold_back under [joint] is told that it stands in [router]."""
    assert "[router]" in only_fault(changed(joint={"hold_back": 3})).allowed


def test_all_faults_at_once() -> None:
    """Every fault of a file is found in one go: values, keys, missing ones, and breaches between other keys."""
    raw = changed(
        job={"name": "../up"},
        instrument={"scale_length": "1,254 in", "frets": 12, "hieght": 3, "bridge_thickness": None, "handed": "both"},
        target={"action_bass": 2.0},
        router={"bushing_id": "1/2 in", "reach": 30},
        output={"paper": ["A5"], "units": "cm"},
    )
    keys = [fault.key for fault in faults(raw)]
    assert sorted(keys) == sorted(
        [
            "job.name",
            "instrument.scale_length",
            "instrument.hieght",
            "instrument.bridge_thickness",
            "instrument.handed",
            "target",
            "instrument.body_fret",
            "router.bit_diameter",
            "router.reach",
            "output.paper",
            "output.units",
        ]
    )


RANGES = {
    "instrument.scale_length": (250, 900),
    "instrument.frets": (12, 30),
    "instrument.body_fret": (12, 20),
    "instrument.end_face_tilt": (-5, 5),
    "instrument.neck_rise": (-5, 10),
    "instrument.fretboard_thickness": (2, 12),
    "instrument.fret_height": (0, 2.5),
    "instrument.relief": (0, 1.5),
    "instrument.string_pull_up": (0, 6),
    "instrument.bridge_thickness": (3, 20),
    "instrument.body_depth_at_neck": (30, 160),
    "instrument.heel_width": (20, 120),
    "instrument.neck_block_thickness": (15, 120),
    "instrument.neck_block_width": (30, 200),
    "instrument.truss_rod_slot_width": (1, 20),
    "instrument.truss_rod_slot_depth": (1, 20),
    "instrument.top.radius": (1500, 60000),
    "instrument.top.crown_from_join": (50, 600),
    "router.bushing_od": (6, 60),
    "router.bit_diameter": (3, 50),
    "router.bushing_length": (2, 30),
    "router.reach": (10, 120),
    "router.base_diameter": (60, 250),
    "router.max_step": (0.2, 15),
    "router.hold_back": (0, 10),
    "router.edge_offset": (0.05, 25),
}


def with_value(key: str, value: float) -> dict[str, Any]:
    table, _, inner = key.rpartition(".")
    raw = changed()
    if table == "instrument.top":
        raw["instrument"]["top"] = dict(FULL["instrument"]["top"]) | {inner: value}
    else:
        raw[table][inner] = value
    return raw


def range_faults(key: str, value: float) -> list[Fault]:
    """The faults on this very key that speak of its range; breaches between keys are another matter."""
    try:
        load(with_value(key, value))
    except InputError as error:
        return [fault for fault in error.faults if fault.key == key and " to " in fault.allowed]
    return []


@pytest.mark.parametrize("key", RANGES)
def test_the_promised_range_is_the_range(key: str) -> None:
    """Either end of the promised range is inside it; a little beyond either is refused naming file, key and range."""
    low, high = RANGES[key]
    step = 1 if key in ("instrument.frets", "instrument.body_fret") else 0.01
    assert not range_faults(key, low)
    assert not range_faults(key, high)
    for beyond in (low - step, high + step):
        (fault,) = range_faults(key, beyond)
        assert fault.file == "bench.toml"
        assert f"{beyond:g}" in fault.found
        assert f"{low:g} to {high:g}" in fault.allowed


LENGTH_KEYS = [
    f"{table}.{key}"
    for table, keys in KEYS.items()
    for key, kind in keys.items()
    if type(kind).__name__ == "LengthKind" and table != "stock"
]
NO_LENGTH = [
    "0.3",
    "4 1/2",
    "25,4",
    "1 2 in",
    "5 MM",
    "1,234 mm",
    "",
    True,
    "3/0 in",
    [1],
    {"a": 1},
    float("nan"),
    10**400,
]


@pytest.mark.parametrize("key", LENGTH_KEYS)
def test_no_length_key_guesses(key: str) -> None:
    """On every length of a job the same text means the same length, and what is none is refused in its place."""
    table, _, inner = key.partition(".")
    kind = KEYS[table][inner]
    middle = (max(kind.low, 0.0) + kind.high) / 2.0  # type: ignore[attr-defined]
    assert kind.read(f"{middle / 25.4!r} in") == pytest.approx(middle)
    assert kind.read(f"{middle!r} mm") == middle
    for raw in NO_LENGTH:
        assert any(fault.key == key for fault in faults(with_value(key, raw)))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "name",
    ["..", "../x", "a/b", "a\\b", "", " ", "a b", ".hidden", "-x", "con", "CON", "nul.txt", "Com1", "lpt9", "aux.",
     "a..b", "a.", "x" * 65, "ü", "a\nb", "a:b", 'a"b', 3, True, "conin$"],
    ids=repr,
)  # fmt: skip
def test_unsafe_names_are_refused(name: object) -> None:
    """A job's name must be a folder's name on every system and must stay in its place."""
    assert only_fault(changed(job={"name": name})).key == "job.name"


@pytest.mark.parametrize("name", ["orchestra-14", "a", "A_1", "no.7", "console", "com10", "x" * 64])
def test_plain_names_are_taken(name: str) -> None:
    """Letters, digits, hyphens, underscores and single dots do."""
    assert load(changed(job={"name": name})).name == name


@pytest.mark.parametrize(
    "target",
    [
        {},
        {"saddle_gap": 3.5, "bridge_clearance": 0.5},
        {"action_bass": 2.5},
        {"action_treble": 2.0},
        {"saddle_gap": 3.5, "action_bass": 2.5, "action_treble": 2.0},
    ],
)
def test_exactly_one_target(target: dict[str, float]) -> None:
    """None, two ways at once, or half of the action are refused on [target]."""
    fault = only_fault(changed() | {"target": target})
    assert fault.key == "target"
    assert "exactly one" in fault.allowed


def test_no_target_anywhere() -> None:
    """A job without a target and without a preset that has one is refused on [target]."""
    assert only_fault(changed(target=None)).key == "target"


#: What breaks a rule between keys -> the key it is reported on, and what the message must name.
BREACHES: dict[str, tuple[dict[str, dict[str, Any]], str, list[str]]] = {
    "join beyond the board": ({"instrument": {"body_fret": 16, "frets": 15}}, "instrument.body_fret", ["frets"]),
    "bit larger than the bore": (
        {"router": {"bushing_id": "1/2 in"}},
        "router.bit_diameter",
        ["bushing_id", "0.6 mm too large"],
    ),
    "edge offset of another kit": (
        {"router": {"edge_offset": 3.2}},
        "router.edge_offset",
        ["3.2 mm", "1.59 mm", "1.5 mm", "test_slot"],
    ),
    "bore as wide as the bushing": ({"router": {"bushing_id": "5/8 in"}}, "router.bushing_id", ["bushing_od"]),
    "barrel through the plate": (
        {"router": {"bushing_length": 17.6}},
        "router.bushing_length",
        ["17.5", "18", "0.1 mm too long"],
    ),
    "bit too short": (
        {"router": {"reach": 40}},
        "router.reach",
        ["0.225 mm too short", "plate_stock", "mortise_depth"],
    ),
    "cutter too short for its shank": (
        {"router": {"shank_diameter": 13, "cutting_length": 20}},
        "router.cutting_length",
        ["2.225 mm too short"],
    ),
    "corner below the bit": ({"joint": {"corner_radius": 6.3}}, "joint.corner_radius", ["6.35"]),
    "corner rounder than the mortise": ({"joint": {"corner_radius": 9.6}}, "joint.corner_radius", ["9.52"]),
    "bolt below the mortise": (
        {"joint": {"bolts": {"thread": "M6", "kind": "barrel", "from_top": [30, 92]}}},
        "joint.bolts.from_top",
        ["92"],
    ),
    "narrow tongue": (
        {"router": {"bushing_od": 20, "bushing_id": 15, "bit_diameter": 6.5}},
        "router.bushing_od",
        ["bushing_od", "bit_diameter", "6 mm"],
    ),
    "mortise through the block": (
        {"instrument": {"neck_block_thickness": 22}},
        "joint.mortise_depth",
        ["neck_block_thickness"],
    ),
    "mortise wider than the heel": (
        {"joint": {"mortise_width": 60}, "instrument": {"neck_block_width": 90}},
        "joint.mortise_width",
        ["heel_width"],
    ),
    "mortise wider than the cap": (
        {"instrument": {"heel_width_at_cap": 19}},
        "joint.mortise_width",
        ["heel_width_at_cap"],
    ),
    "mortise longer than the end face": ({"joint": {"mortise_length": 98.5}}, "joint.mortise_length", ["98"]),
    "no room for a mortise": (
        {
            "instrument": {"body_depth_at_neck": 30, "back_binding_height": 20},
            "joint": {"bolts": {"thread": "M6", "kind": "barrel", "from_top": "auto"}},
        },
        "joint.mortise_length",
        ["body_depth_at_neck"],
    ),
    "blank shorter than the tenon": ({"instrument": {"heel_blank": 80}}, "instrument.heel_blank", ["81"]),
    "blank narrower than the heel": (
        {"instrument": {"heel_blank_width": 58}},
        "instrument.heel_blank_width",
        ["60"],
    ),
    "bushing wider than the opening": (
        {"joint": {"mortise_width": 12}},
        "joint.mortise_width",
        ["bushing_od", "bit_diameter"],
    ),
    "nothing before the last pass": (
        {"joint": {"mortise_depth": 8}, "router": {"hold_back": 8}},
        "router.hold_back",
        ["mortise_depth"],
    ),
    "no tenon left": (
        {"joint": {"mortise_depth": 8, "floor_clearance": 8}},
        "joint.floor_clearance",
        ["mortise_depth"],
    ),
    "slot without a depth": (
        {"instrument": {"truss_rod_slot_depth": "none"}},
        "instrument.truss_rod_slot_depth",
        ["truss_rod_slot_width"],
    ),
    "slot of no width": ({"instrument": {"truss_rod_slot_width": 0}}, "instrument.truss_rod_slot_width", ["none"]),
    "brackets into the bench": ({"jig": {"bracket_foot": 58}}, "jig.bracket_foot", ["bench_gap", "55 mm"]),
    "shims that only raise": ({"jig": {"nominal_shim": 0.3, "shims": [0.5, 1]}}, "jig.nominal_shim", ["0.5 mm"]),
    "flat beyond the crown": (
        {"instrument": {"top": {"form": "dome", "radius": 9000, "crown_from_join": 290, "flat_until": 290}}},
        "instrument.top.flat_until",
        ["290", "crown_from_join"],
    ),
    "flat beyond the saddle": (
        {"instrument": {"top": {"form": "dome", "radius": 9000, "flat_until": 289.9}}},
        "instrument.top.flat_until",
        ["289.89", "saddle"],
    ),
    "a mortise in a butt joint": (
        {"joint": {**BUTT, "mortise_width": 20}},
        "joint.mortise_width",
        ["another kind", '"butt"', "facing_depth", "bolts"],
    ),
    "a facing beside a mortise": (
        {"joint": {"facing_depth": 5}},
        "joint.facing_depth",
        ['"mortise-tenon"', "mortise_depth"],
    ),
    "unknown kind of joint": ({"joint": {"kind": "dovetail"}}, "joint.kind", ["mortise-tenon", "butt"]),
    "bolt below the heel": (
        {"joint": {**BUTT, "bolts": {"thread": "M6", "kind": "insert", "from_top": [30, 92.5]}}},
        "joint.bolts.from_top",
        ["92.5 mm", "92 mm"],
    ),
    "barrel nuts without a tenon": (
        {"joint": {**BUTT, "bolts": {"thread": "M6", "kind": "barrel", "from_top": [30, 60]}}},
        "joint.bolts.kind",
        ["barrel", "insert"],
    ),
    "bridge over a facing": ({"joint": BUTT, "jig": {"bridged": True}}, "jig.bridged", ["butt"]),
    "two blocks for one cut": (
        {"joint": BUTT, "jig": {"second_depth_block": True}},
        "jig.second_depth_block",
        ["only"],
    ),
    "bit too short for a facing": (
        {"joint": {**BUTT, "facing_depth": 15}, "router": {"reach": 32}},
        "router.reach",
        ["1 mm too short", "facing_depth"],
    ),
    "cutter too short for a facing": (
        {"joint": {**BUTT, "facing_depth": 15}, "router": {"shank_diameter": 13, "cutting_length": 13}},
        "router.cutting_length",
        ["2 mm too short", "facing_depth"],
    ),
    "nothing faced before the last pass": (
        {"joint": {**BUTT, "facing_depth": 2}, "router": {"hold_back": 2}},
        "router.hold_back",
        ["facing_depth"],
    ),
    "four bolts": (
        {"joint": {"bolts": {"thread": "M6", "kind": "barrel", "from_top": [10, 30, 50, 70]}}},
        "joint.bolts.from_top",
        ["1 to 3"],
    ),
    "no bolt": ({"joint": {"bolts": {"thread": "M6", "kind": "barrel", "from_top": []}}}, "joint.bolts.from_top", []),
    "unknown thread": (
        {"joint": {"bolts": {"thread": "M7", "kind": "barrel", "from_top": [30]}}},
        "joint.bolts.thread",
        ["M6", "1/4-20"],
    ),
    "unknown stock": ({"jig": {"plate_stock": "birch-ply-19"}}, "jig.plate_stock", ["birch-ply-18"]),
    "unknown instrument": ({"instrument": {"preset": "orchestra-41"}}, "instrument.preset", ["orchestra-14"]),
    "preset name with a path": ({"instrument": {"preset": "../jobs/x"}}, "instrument.preset", []),
    "unknown top": ({"instrument": {"top": {"form": "domed"}}}, "instrument.top.form", ["dome", "flat", "measured"]),
    "dome without a radius": ({"instrument": {"top": {"form": "dome"}}}, "instrument.top.radius", ["1500"]),
    "the same paper twice": ({"output": {"paper": ["A4", "A4"]}}, "output.paper", ["different"]),
    "a table that is none": ({"joint": {"bolts": 3}}, "joint.bolts", ["table"]),
}


@pytest.mark.parametrize("case", BREACHES)
def test_impossible_combinations_are_refused(case: str) -> None:
    """What cannot be cut is refused before anything is drawn, on its key, naming what it clashes with."""
    tables, key, named = BREACHES[case]
    fault = only_fault(changed(**tables))
    assert fault.key == key
    for word in named:
        assert word in str(fault)


def test_every_rule_has_a_case_that_needs_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without any one of the rules, at least one of the impossible combinations that break it would pass."""
    every, breaking = tuple(jobrules.RULES), defaultdict(list)

    def noted(rule: jobrules.Rule, case: str) -> jobrules.Rule:
        def check(*values: Any) -> Any:
            found = rule.check(*values)
            if found is not None:
                breaking[rule].append(case)
            return found

        return replace(rule, check=check)

    for case, (tables, _, _) in BREACHES.items():
        monkeypatch.setattr(jobrules, "RULES", [noted(rule, case) for rule in every])
        assert not passes(changed(**tables))
    for left_out in every:
        monkeypatch.setattr(jobrules, "RULES", [rule for rule in every if rule is not left_out])
        assert any(passes(changed(**BREACHES[case][0])) for case in breaking[left_out]), left_out.check.__name__


def passes(raw: dict[str, Any]) -> bool:
    try:
        load(raw)
    except InputError:
        return False
    return True


def test_limits_themselves_are_allowed() -> None:
    """Bore 0.6 mm over the bit, corner equal to the bit's radius, a tongue of exactly 6 mm, reach just enough."""
    load(changed(router={"bushing_id": 13.3}))
    load(changed(joint={"corner_radius": 6.35}))
    load(changed(router={"reach": 40.225}))
    load(changed(joint={"mortise_width": 6 + 0.15 + 3.175 + 6}, instrument={"neck_block_width": 80}))


def test_a_measured_offset_counts_in_the_rules() -> None:
    """With an edge offset from a test cut the tongue's width is judged by that offset."""
    cut = {"edge_offset": 6.5, "test_template": 40, "test_slot": 27}
    assert only_fault(changed(router=cut)).key == "router.bushing_od"


def test_another_schema_is_refused() -> None:
    """A file of another schema is not read as this one; version 1 is told what to change in its [jig]."""
    for wrong in (1, 3, "2", True):
        assert only_fault({"schema": wrong} | changed()).key == "schema"
    assert "[jig]" in only_fault({"schema": 1} | changed()).allowed


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60 if THOROUGH else 30)
@given(
    st.dictionaries(
        st.sampled_from(sorted({*KEYS["instrument"], *KEYS["router"], "top", "nonsense"})),
        st.one_of(st.integers(), st.floats(), st.text(max_size=8), st.booleans(), st.lists(st.integers(), max_size=3)),
        max_size=6,
    ),
    st.sampled_from(["instrument", "router", "joint", "jig"]),
)
def test_no_value_makes_the_loader_stumble(values: dict[str, Any], table: str) -> None:
    """Whatever stands behind a key, the answer is a job or a list of faults."""
    raw = changed(**{table: values})
    try:
        load(raw)
    except InputError:
        assert faults(raw)


def test_toml_numbers_and_dates_as_toml_has_them() -> None:
    """A TOML date, or an inf, in the place of a length is refused, not converted."""
    raw = tomllib.loads("[instrument]\nheel_width = 2024-05-31\nscale_length = inf\n")
    found = faults(changed(**raw))
    assert {fault.key for fault in found} == {"instrument.heel_width", "instrument.scale_length"}
