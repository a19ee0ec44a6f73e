"""Loading a job: merge order and provenance, the shop file, presets of one's own, files that cannot be read."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_by_hand import FULL, PRESETS_ONLY, changed, load, written

from generator.base.errors import InputError
from generator.commands.new import toml_text
from generator.job.load import load_job, load_jobs
from generator.job.model.instrument import DomeTop, FlatTop, Handed, MeasuredTop
from generator.job.model.job import Paper, Projection, UnitsChoice
from generator.job.model.router import Router, RouterKind
from generator.job.shop import read_shop
from generator.job.tables import KEYS
from generator.joint.solution import CheckStatus, solve

# --- what comes out ------------------------------------------------------------------------------------------------


def test_a_full_job_file_loads(tmp_path: Path) -> None:
    """The job file of the manual loads; lengths are mm, enums are enums, auto and none are None."""
    job = load_job(written(tmp_path, FULL))
    assert job.name == "bench"
    assert job.instrument.scale_length == 645.16
    assert job.instrument.heel_width_at_cap == 60.0
    assert job.instrument.heel_blank is None
    assert job.instrument.handed is Handed.RIGHT
    assert job.instrument.top == DomeTop(radius=8534.4, crown_from_join=290.0, flat_until=0.0)
    assert job.target.saddle_gap == 3.5
    assert job.joint.mortise_width == 19.05
    assert job.joint.mortise_length is None
    assert job.joint.bolts.from_top == (28.5, 57.5)
    assert job.router.bushing_od == 15.875
    assert job.router.edge_offset is None
    assert job.jig.rest_spacing == 150.0
    assert job.output.paper == (Paper.A4,)
    assert job.output.units is UnitsChoice.BOTH
    assert job.output.projection is Projection.FIRST
    assert set(job.stocks) == {value for key, value in job.jig if key.endswith("_stock")}


def test_a_job_file_may_stand_on_presets_alone() -> None:
    """Name and presets are enough: the instrument brings joint and target, the jig is the plywood one."""
    job = load({"job": {"name": "a"}, "instrument": {"preset": "orchestra-14"}, "router": {"preset": "inch-half"}})
    assert job.instrument.preset == "orchestra-14"
    assert job.jig.preset == "plywood"
    assert job.inputs["jig"]["preset"] == {"value": "plywood", "source": "default"}
    assert job.inputs["target"]["saddle_gap"] == {"value": 2.85, "source": "preset instruments/orchestra-14"}


def test_what_a_kit_leaves_out_follows_from_bit_and_machine() -> None:
    """Shank, collet nut and top speed come from the bit-diameter table when a job describes its own kit."""
    router = load(FULL).router
    assert (router.kind, router.shank_diameter, router.collet_diameter) == (RouterKind.PLUNGE, 12.7, 34.0)
    assert router.top_speed == 24000.0
    kit = {key: value for key, value in FULL["router"].items() if key != "bit_diameter"}
    slim = Router(**kit | {"bit_diameter": "1/4 in", "kind": "trim"})
    assert (slim.shank_diameter, slim.collet_diameter) == (6.35, 20.0)
    wide = Router(**kit | {"bit_diameter": 45, "bushing_od": 50, "bushing_id": 47})
    assert wide.top_speed == 18000.0


# --- merge order and provenance ------------------------------------------------------------------------------------


def shop_file(folder: Path, text: str) -> Path:
    path = folder / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_job_over_shop_over_preset_over_default(tmp_path: Path) -> None:
    """Each key is taken from the first that has it, and says which that was."""
    shop_file(tmp_path, "[router.inch-half]\nedge_offset = 3.2\neccentricity = 0.1\n")
    raw = PRESETS_ONLY | {"router": {"preset": "inch-half", "eccentricity": 0.2, "hold_back": 3}}
    job = load_job(written(tmp_path, raw))
    router = job.inputs["router"]
    assert router["eccentricity"] == {"value": 0.2, "source": "job"}
    assert router["hold_back"] == {"value": 3.0, "source": "job"}
    assert router["edge_offset"] == {"value": 3.2, "source": "shop"}
    assert router["bushing_od"] == {"value": 19.05, "source": "preset routers/inch-half"}
    assert job.inputs["instrument"]["handed"] == {"value": "right", "source": "default"}
    assert job.router.edge_offset == 3.2
    plain = load_job(written(tmp_path, PRESETS_ONLY))
    assert plain.inputs["router"]["eccentricity"] == {"value": 0.1, "source": "shop"}  # the preset says 0


def test_every_effective_key_has_value_and_source() -> None:
    """`inputs` lists every key of every table, in the job file's spelling, and the values load to the same job.

    Of [joint] it lists those of the joint's kind, and the kind itself where somebody has named it.
    """
    job = load(FULL)
    sources = {entry["source"] for table in job.inputs.values() for entry in table.values()}
    assert {source.split()[0] for source in sources} == {"job", "preset", "default"}
    for table, keys in KEYS.items():
        wanted = set(type(job.joint).model_fields) - {"kind"} if table == "joint" else set(keys)
        if table != "stock":
            assert wanted <= set(job.inputs[table]), table
    assert job.inputs["instrument"]["scale_length"] == {"value": 645.16, "source": "job"}
    assert job.inputs["joint"]["mortise_length"] == {"value": "auto", "source": "job"}
    assert job.inputs["joint"]["bolts"]["value"] == {
        "thread": "1/4-20",
        "kind": "insert",
        "from_top": [28.5, 57.5],
        "count": 2,
    }
    assert job.inputs["instrument.top"]["radius"] == {"value": 8534.4, "source": "job"}
    assert job.inputs["jig"]["rest_spacing"] == {"value": 150.0, "source": "preset jigs/plywood"}
    assert job.inputs["stock.birch-ply-18"]["thickness"] == {"value": 18.0, "source": "preset stock/birch-ply-18"}


def test_inputs_written_back_load_to_the_same_job(tmp_path: Path) -> None:
    """The effective keys, put in a job file of their own, give the same instrument, joint, router and jig."""
    job = load_job("dreadnought-tilted")
    raw: dict[str, Any] = {}
    for name in ("job", "instrument", "joint", "router", "jig", "output", "tolerances", "target"):
        raw[name] = {key: entry["value"] for key, entry in job.inputs[name].items() if entry["value"] is not None}
    raw["instrument"]["top"] = {key: entry["value"] for key, entry in job.inputs["instrument.top"].items()}
    again = load_job(written(tmp_path, raw))
    for part in ("instrument", "target", "joint", "router", "jig", "output", "tolerances"):
        assert getattr(again, part) == getattr(job, part)


def test_top_and_target_are_taken_whole() -> None:
    """A job's own top or target replaces the preset's table, key by key nothing is mixed in."""
    raw = {**PRESETS_ONLY, "instrument": {"preset": "orchestra-14", "top": {"form": "dome", "radius": 9000}}}
    raw["target"] = {"bridge_clearance": 0.8}
    job = load(raw)
    assert job.instrument.top == DomeTop(radius=9000.0, crown_from_join=None, flat_until=0.0)
    assert job.target.saddle_gap is None
    assert job.target.bridge_clearance == 0.8
    assert job.inputs["target"] == {"bridge_clearance": {"value": 0.8, "source": "job"}}


@pytest.mark.parametrize(
    ("top", "wanted"),
    [
        ({"form": "flat"}, FlatTop()),
        ({"form": "measured", "zero_angle_gap": "2.6 mm"}, MeasuredTop(zero_angle_gap=2.6)),
        ({"form": "dome", "radius": "28 ft"}, DomeTop(radius=8534.4)),
    ],
)
def test_three_forms_of_top(top: dict[str, Any], wanted: object) -> None:
    """A top is flat, a dome, or measured."""
    assert load(changed(instrument={"top": top})).instrument.top == wanted


# --- the shop file -------------------------------------------------------------------------------------------------


def test_shop_file_corrects_stock_printer_and_kit(tmp_path: Path) -> None:
    """Kerf and thickness per stock, both printer factors, offset and eccentricity per kit; with their readings."""
    shop_file(
        tmp_path,
        'schema = 1\n[printer]\nx_factor = 0.995\ny_factor = 1.002\ndate = "2024-05-31"\nmeasured = { bar_x = 100.5 }\n'
        "[stock.birch-ply-18]\nmeasured_thickness = 17.6\nkerf = 0.25\n",
    )
    job = load_job(written(tmp_path, PRESETS_ONLY))
    assert (job.printer.x_factor, job.printer.y_factor) == (0.995, 1.002)
    assert job.stock("plate").actual_thickness == 17.6
    assert job.stock("plate").thickness == 18.0
    assert job.inputs["stock.birch-ply-18"]["kerf"] == {"value": 0.25, "source": "shop"}
    assert job.inputs["printer"]["x_factor"] == {"value": 0.995, "source": "shop"}
    (note,) = job.notes
    for applied in ("shop.toml", "printer.x_factor = 0.995", "stock.birch-ply-18.kerf = 0.25"):
        assert applied in note
    shop = read_shop(tmp_path / "shop.toml")
    assert shop.printer.measured == {"bar_x": 100.5}


def test_shop_file_is_found_beside_the_job_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beside the job, else in the working folder, else the one that is named."""
    beside, working, other = tmp_path / "a", tmp_path / "b", tmp_path / "c"
    for number, folder in enumerate((beside, working, other), 1):
        folder.mkdir()
        shop_file(folder, f"[router.inch-half]\nedge_offset = 3.1{number}\n")
    job_file = written(beside, PRESETS_ONLY)
    monkeypatch.chdir(working)
    assert load_job(job_file).router.edge_offset == 3.11
    assert load_job(job_file, other / "shop.toml").router.edge_offset == 3.13
    (beside / "shop.toml").unlink()
    assert load_job(job_file).router.edge_offset == 3.12
    (working / "shop.toml").unlink()
    assert load_job(job_file).router.edge_offset is None


def test_shop_offset_stays_with_its_kit(tmp_path: Path) -> None:
    """An offset measured with one bit is not applied when the job puts another in; the job says so."""
    shop_file(tmp_path, "[router.inch-half]\nedge_offset = 3.2\n")
    raw = PRESETS_ONLY | {"router": {"preset": "inch-half", "bit_diameter": "15/32 in"}}
    job = load_job(written(tmp_path, raw))
    assert job.router.edge_offset is None
    assert len(job.notes) == 1
    assert "another bushing or bit" in job.notes[0]


STAND_OFF = "[jig.plywood]\nstand_off = 17.3\nstand_off_upper_rest = 17\n"


def test_shop_stand_off_widens_the_rests_of_its_jig(tmp_path: Path) -> None:
    """Measured 0.3 over the upper rest's 17: the job's angle rest is cut 0.3 wider, and says why."""
    (plain,) = (solve(load_job(written(tmp_path, FULL))),)
    shop_file(tmp_path, STAND_OFF)
    job = load_job(written(tmp_path, FULL))
    assert job.inputs["jig"]["stand_off"] == {"value": 17.3, "source": "shop"}
    assert "jig.stand_off = 17.3" in job.notes[0]
    cradle = solve(job).cradle
    assert cradle.stand_off_measured == 17.3
    assert cradle.angle_rest_drawn == pytest.approx(plain.cradle.angle_rest_drawn + 0.3)
    assert cradle.angle_rest == plain.cradle.angle_rest


@pytest.mark.parametrize(("own", "wanted"), [(16.9, 16.9), ("auto", None)])
def test_the_jobs_stand_off_wins(tmp_path: Path, own: object, wanted: float | None) -> None:
    """Job over shop: its figure, or its "auto", the upper rest's width; nothing of the shop's is mixed in."""
    shop_file(tmp_path, STAND_OFF)
    job = load_job(written(tmp_path, changed(jig={"stand_off": own})))
    assert job.jig.stand_off == solve(job).cradle.stand_off_measured == wanted
    assert job.jig.stand_off_upper_rest is None


def test_shop_stand_off_stays_with_its_jig(tmp_path: Path) -> None:
    """Another preset, rests further apart, another upper rest: another jig, and the last two are told."""
    shop_file(tmp_path, STAND_OFF)
    other = load_job(written(tmp_path, changed(jig={"preset": "machined"})))
    assert (other.jig.stand_off, other.notes) == (None, ())
    apart = load_job(written(tmp_path, changed(jig={"rest_spacing": 140})))
    assert apart.jig.stand_off is None
    assert "puts the rests elsewhere" in apart.notes[0]
    smaller = {"bushing_od": 14, "bushing_id": 12, "bit_diameter": 10}
    narrow = solve(load_job(written(tmp_path, changed(router=smaller))))
    assert narrow.cradle.upper_rest == 16
    assert narrow.cradle.stand_off_measured is None
    (warned,) = (check for check in narrow.checks if check.name == "stand-off")
    assert warned.status is CheckStatus.WARN
    assert "upper rest is 17 mm wide" in warned.message


@pytest.mark.parametrize(("stand_off", "status"), [(17.9, "ok"), (18.2, "warn"), (20.5, "fail")])
def test_a_stand_off_far_off_is_judged(stand_off: float, status: str) -> None:
    """Within 1 mm of the upper rest's width a jig was sawn so; 3 mm off it was measured elsewhere."""
    checks = solve(load(changed(jig={"stand_off": stand_off}))).checks
    assert [check.status.value for check in checks if check.name == "stand-off"] == [status]


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("[jig.plywood]\nstand_of = 17\n", "jig.plywood.stand_of"),
        ("[jig.plywood]\nstand_off = 3\n", "jig.plywood.stand_off"),
        ('[jig.plywood]\nstand_off = "auto"\n', "jig.plywood.stand_off"),
        ("[router.inch-half]\nedge_ofset = 1\n", "router.inch-half.edge_ofset"),
        ("[router.inch-half]\nedge_offset = 30\n", "router.inch-half.edge_offset"),
        ("[printr]\nx_factor = 1\n", "printr"),
        ("[printer]\nx_factor = 2\n", "printer.x_factor"),
        ("printer = 3\n", "printer"),
        ("[stock]\nkerf = 3\n", "stock.kerf"),
        ("schema = 2\n", "schema"),
        ("[printer\n", ""),
        ("[printer]\nx_factor = 1,002\n", ""),
        ('[printer]\ndate = "yesterday"\n', "printer.date"),
    ],
)
def test_faults_in_the_shop_file_name_it(tmp_path: Path, text: str, key: str) -> None:
    """A fault in shop.toml is reported with that file's name, table and key."""
    path = shop_file(tmp_path, text)
    with pytest.raises(InputError) as caught:
        load_job(written(tmp_path, PRESETS_ONLY))
    assert [(fault.file, fault.key) for fault in caught.value.faults] == [(str(path), key)]


# --- files ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["no-such-job", "missing.toml", "folder/missing", ""])
def test_a_missing_job_is_a_refusal(name: str) -> None:
    """Neither a file nor a ready job: refused, with the ready jobs listed."""
    with pytest.raises(InputError) as caught:
        load_job(name)
    assert "orchestra-14" in str(caught.value)


def test_a_misspelt_ready_job_names_the_nearest() -> None:
    """orchestra-41 is answered with orchestra-14."""
    with pytest.raises(InputError, match='nearest ready job is "orchestra-14"'):
        load_job("orchestra-41")


@pytest.mark.parametrize(
    ("content", "allowed"),
    [
        (b"[instrument]\nscale_length = 25,4\n", "scale_length = 25.4"),
        (b"[instrument\n", "valid TOML"),
        (b"[job]\nname = 'a'\nname = 'b'\n", "valid TOML"),
        (b"\xff\xfe", "UTF-8"),
        (b"a = " + b"9" * 5000, "valid TOML"),
    ],
)
def test_broken_files_are_refused_with_their_name(tmp_path: Path, content: bytes, allowed: str) -> None:
    """A file that is no TOML is one fault that names the file and, where it can, the line."""
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        load_job(path)
    (fault,) = caught.value.faults
    assert fault.file == str(path)
    assert allowed in fault.allowed


def test_a_folder_is_no_job(tmp_path: Path) -> None:
    """A folder in the place of a job file is refused."""
    with pytest.raises(InputError):
        load_job(tmp_path)


def test_own_presets_win_and_their_faults_carry_their_file(tmp_path: Path) -> None:
    """`presets` beside the job hides a shipped preset of that name; a fault in it is reported with its own file."""
    own = tmp_path / "presets" / "routers"
    own.mkdir(parents=True)
    preset = own / "inch-half.toml"
    kit = dict(FULL["router"]) | {"reach": 49}
    preset.write_text("[router]\n" + "\n".join(f"{k} = {toml_text(v)}" for k, v in kit.items()), encoding="utf-8")
    job = written(tmp_path, PRESETS_ONLY)
    assert load_job(job).router.reach == 49.0
    preset.write_text(preset.read_text(encoding="utf-8") + "\nbushing_lenght = 3\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_job(job)
    assert [(fault.file, fault.key) for fault in caught.value.faults] == [(str(preset), "router.bushing_lenght")]


def test_a_preset_that_contradicts_itself_is_named(tmp_path: Path) -> None:
    """When bit and bore clash inside one preset, that file is to blame; once the job sets one of them, the job is."""
    own = tmp_path / "presets" / "routers"
    own.mkdir(parents=True)
    preset = own / "mine.toml"
    kit = dict(FULL["router"]) | {"bushing_id": 13}
    preset.write_text("[router]\n" + "\n".join(f"{k} = {toml_text(v)}" for k, v in kit.items()), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_job(written(tmp_path, PRESETS_ONLY | {"router": {"preset": "mine"}}))
    assert [fault.file for fault in caught.value.faults] == [str(preset)]
    job = written(tmp_path, PRESETS_ONLY | {"router": {"preset": "mine", "bit_diameter": 12.6}})
    with pytest.raises(InputError) as caught:
        load_job(job)
    assert [fault.file for fault in caught.value.faults] == [str(job)]


def test_jobs_of_one_folder_have_names_of_their_own(tmp_path: Path) -> None:
    """Two jobs whose names differ in capitals only would share a folder on some systems: refused."""
    first = written(tmp_path, changed(job={"name": "Bench"}), "a.toml")
    second = written(tmp_path, changed(job={"name": "bench"}), "b.toml")
    third = written(tmp_path, changed(job={"name": "other"}), "c.toml")
    assert [job.name for job in load_jobs([first, third])] == ["Bench", "other"]
    with pytest.raises(InputError) as caught:
        load_jobs([first, second, third])
    assert [fault.key for fault in caught.value.faults] == ["job.name"]


def test_the_same_file_gives_the_same_job(tmp_path: Path) -> None:
    """Loading twice, and from another folder by another path, gives equal jobs."""
    path = written(tmp_path, FULL)
    here = Path(os.path.relpath(path))
    assert load_job(path).model_dump(exclude={"source_path"}) == load_job(here).model_dump(exclude={"source_path"})


@given(scale=st.floats(300, 900), depth=st.floats(60, 150), gap=st.floats(-10, 10))
@settings(deadline=None, max_examples=30)
def test_numbers_survive_unchanged(scale: float, depth: float, gap: float) -> None:
    """A value in range arrives in the job exactly as it stood in the file; nothing is clamped or rounded."""
    raw = changed(instrument={"scale_length": scale, "body_depth_at_neck": depth}, joint={"mortise_length": 50})
    raw["joint"]["bolts"] = {"thread": "M6", "kind": "barrel", "from_top": [20]}
    job = load(raw | {"target": {"saddle_gap": gap}})
    assert (job.instrument.scale_length, job.instrument.body_depth_at_neck) == (scale, depth)
    assert job.target.saddle_gap == gap
