"""The preset library: every preset loads, every number says what it rests on, and what belongs together fits."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import tomllib
import unicodedata
import zipfile
from pathlib import Path
from typing import Any

import pytest
from jobs_by_hand import load

from generator.base.errors import InputError
from generator.job.load import load_job
from generator.job.model.field_types import PRINTED_SIGNS
from generator.job.model.jig import Joinery
from generator.job.model.router import RouterKind
from generator.job.model.stock import CutBy
from generator.job.presets import (
    Preset,
    PresetKind,
    Sourced,
    find_preset,
    holds_number,
    list_presets,
    read_text,
    references,
    shipped_folder,
    sourced_lines,
)
from generator.job.stocks import read_stock
from generator.joint.solution import solve

ROOT = Path(__file__).parent.parent
EVERY = [preset for kind in PresetKind for preset in list_presets(kind, [shipped_folder()])]
IDS = [f"{preset.kind.value}/{preset.name}" for preset in EVERY]


def names(kind: PresetKind) -> list[str]:
    return [preset.name for preset in EVERY if preset.kind is kind]


# --- sources -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("preset", EVERY, ids=IDS)
def test_every_number_has_its_source(preset: Preset) -> None:
    """Each line with a number names references of the list, or common practice."""
    known = references()
    lines = sourced_lines(read_text(preset))
    for line in lines:
        assert line.refs or line.common, f"{preset.name}: {line.key} = {line.text}: {line.note!r}"
        assert set(line.refs) <= set(known)


@pytest.mark.parametrize("preset", EVERY, ids=IDS)
def test_no_number_escapes_the_reading_of_sources(preset: Preset) -> None:
    """Every numeric value the TOML parser finds stands on a line that the source reader found too."""

    def numbers(table: dict[str, Any], lead: str = "") -> set[str]:
        found: set[str] = set()
        for key, value in table.items():
            if isinstance(value, dict) and key not in ("bolts", "start"):
                found |= numbers(value, f"{lead}{key}.")
            elif key != "schema" and _numeric(value):
                found.add(lead + key)
        return found

    read = {line.key for line in sourced_lines(read_text(preset))}
    assert numbers(preset.tables()) <= read


def _numeric(value: Any) -> bool:
    if isinstance(value, bool):
        return False
    if isinstance(value, dict):
        return any(_numeric(inner) for inner in value.values())
    if isinstance(value, list):
        return any(_numeric(inner) for inner in value)
    return isinstance(value, int | float) or bool(re.fullmatch(r"[\d /.-]+ ?(mm|cm|in|ft|deg)", str(value)))


def test_the_reader_of_sources_sees_what_it_should() -> None:
    """Numbers, quantities and lists count; names, words and flags do not; a `#` in a text is no comment."""
    text = (
        'schema = 1\nname = "birch-ply-18"\n[a.b]\nx = 3 # ref 7, ref 12\ny = "7/8 in" # common practice\n'
        'z = [1, 2]\nflag = true\nwords = "no 5 # here" # ref 1\nw = -0.5   # guess\n'
    )
    assert sourced_lines(text) == (
        Sourced("a.b.x", "3", (7, 12), False, "ref 7, ref 12"),
        Sourced("a.b.y", '"7/8 in"', (), True, "common practice"),
        Sourced("a.b.z", "[1, 2]", (), False, ""),
        Sourced("a.b.w", "-0.5", (), False, "guess"),
    )
    assert holds_number('{ thread = "1/4-20", from_top = [28.5] }')
    assert not holds_number('["A4", "A3"]')


def test_the_reference_list_is_complete() -> None:
    """Keys are unique, and each entry has author, title and year; addresses stand nowhere else."""
    raw = tomllib.loads((shipped_folder() / "references.toml").read_text(encoding="utf-8"))["reference"]
    assert len({entry["key"] for entry in raw}) == len(raw)
    for entry in raw:
        assert set(entry) - {"address"} == {"key", "author", "title", "year"}
        assert all(str(entry[key]).strip() for key in ("author", "title", "year"))
    for preset in EVERY:
        assert "http" not in read_text(preset)


def test_every_reference_is_used() -> None:
    """A source nobody points at does not stand in the list."""
    used = {ref for preset in EVERY for ref in sourced_refs(preset)}
    assert used == set(references())


def sourced_refs(preset: Preset) -> set[int]:
    return {int(key) for key in re.findall(r"\bref (\d+)", read_text(preset))}


# --- what there is -------------------------------------------------------------------------------------------------


def test_what_a_builder_expects_is_there() -> None:
    """The instruments, kits, stocks and jigs a steel-string, nylon-string or ukulele builder looks for."""
    instruments = set(names(PresetKind.INSTRUMENTS))
    assert instruments >= {
        "parlour-12", "size-0", "size-00", "size-000", "orchestra-14", "dreadnought", "jumbo", "slot-head-12",
        "nylon-650", "nylon-crossover", "ukulele-tenor", "ukulele-baritone", "baritone-guitar",
    }  # fmt: skip
    assert len(names(PresetKind.ROUTERS)) >= 6
    assert set(names(PresetKind.JIGS)) >= {"plywood", "machined"}
    assert len(names(PresetKind.JOBS)) >= 5
    materials = {read_stock(preset).material for preset in EVERY if preset.kind is PresetKind.STOCK}
    for word in ("plywood", "fibreboard", "phenolic", "aluminium", "acrylic", "brass", "maple"):
        assert any(word in material for material in materials)


def test_kits_cover_machines_and_units() -> None:
    """Plunge, fixed and trim routers, inch and metric bushings."""
    kits = [load(job_of("orchestra-14", kit, plate="aluminium-10")).router for kit in names(PresetKind.ROUTERS)]
    assert {kit.kind for kit in kits} == set(RouterKind)
    assert any(kit.bushing_od == 19.05 for kit in kits)
    assert any(kit.bushing_od == round(kit.bushing_od) for kit in kits)


def job_of(instrument: str, router: str, jig: str = "plywood", plate: str | None = None) -> dict[str, Any]:
    raw: dict[str, Any] = {
        "job": {"name": "a"},
        "instrument": {"preset": instrument},
        "router": {"preset": router},
        "jig": {"preset": jig},
    }
    if plate:
        raw["jig"]["plate_stock"] = plate
    return raw


@pytest.mark.parametrize("kit", names(PresetKind.ROUTERS))
def test_published_bushing_pairs(kit: str) -> None:
    """Inch bushings have the published bore for their outside (template sizing page at alan.net)."""
    pairs = {  # inches
        "5/16 in": "1/4 in", "3/8 in": "9/32 in", "7/16 in": "11/32 in",
        "1/2 in": "13/32 in", "5/8 in": "17/32 in", "3/4 in": "21/32 in",
    }  # fmt: skip
    raw = find_preset(PresetKind.ROUTERS, kit).tables()["router"]
    if isinstance(raw["bushing_od"], str):
        assert pairs[raw["bushing_od"]] == raw["bushing_id"]
    else:
        assert raw["bushing_od"] > raw["bushing_id"] >= raw["bit_diameter"] + 0.6


@pytest.mark.parametrize("kit", names(PresetKind.ROUTERS))
def test_kits_obey_the_speed_table(kit: str) -> None:
    """No bit is given more than the published speed for its diameter: 24 000 rpm up to 1 in."""
    router = load(job_of("ukulele-tenor", kit, "plywood-small")).router
    assert router.bit_diameter <= 25.4
    assert router.top_speed <= 24000


@pytest.mark.parametrize(
    ("name", "scale"),
    [
        ("size-0", 632.46), ("size-00", 632.46), ("size-000", 632.46), ("orchestra-14", 645.16),
        ("dreadnought", 645.16), ("jumbo", 647.7), ("ukulele-tenor", 431.8), ("ukulele-baritone", 482.6),
        ("nylon-650", 650.0),
    ],
)  # fmt: skip
def test_published_scales(name: str, scale: float) -> None:
    """Scales of 24.9, 25.4, 25.5, 17 and 19 in and 650 mm, as vintage size tables and a Torres plan give them."""
    assert load(job_of(name, "inch-half")).instrument.scale_length == scale


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("parlour-12", 80, 90),
        ("orchestra-14", 84, 99),
        ("dreadnought", 97, 103),
        ("jumbo", 97, 103),
        ("nylon-650", 87, 87),
    ],
)
def test_depths_at_the_neck(name: str, low: float, high: float) -> None:
    """Depth at the neck block: common practice for steel-strings, 87 mm on the plan of Torres SE 114."""
    assert low <= load(job_of(name, "inch-half")).instrument.body_depth_at_neck <= high


# --- what belongs together -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", names(PresetKind.JOBS))
def test_every_ready_job_is_without_a_warning(name: str) -> None:
    """A ready job is an example to follow: nothing about it fails, nothing warns."""
    checks = solve(load_job(name)).checks
    assert not [f"{check.name}: {check.message}" for check in checks if check.status.value != "ok"]


def test_ready_jobs_show_every_ordinary_case() -> None:
    """Left-handed, no rod slot, one to three bolts, each top, forward set, no angle, tilt, both jigs, second block."""
    jobs = {name: load_job(name) for name in names(PresetKind.JOBS)}
    angles = {name: solve(job).neck_set.set_angle for name, job in jobs.items()}
    every = list(jobs.values())
    assert {job.instrument.handed.value for job in every} == {"left", "right"}
    assert any(job.instrument.truss_rod_slot_width is None for job in every)
    assert {len(solve(job).joint.bolts) for job in every} == {1, 2, 3}
    assert {job.instrument.top.form for job in every} == {"flat", "dome", "measured"}
    assert {job.jig.joinery for job in every} == set(Joinery)
    assert any(job.jig.second_depth_block for job in every)
    assert any(job.instrument.end_face_tilt > 0 for job in every)
    assert any(angle < 0 for angle in angles.values())
    assert angles["scrap-test"] == 0.0
    assert {job.router.kind for job in every} == set(RouterKind)


def test_the_first_ready_job_by_hand() -> None:
    """The orchestra model of the README, worked by hand with a calculator.

    s = 645.16·2^(−14/12) + 2.5; z = √(R² − (s − 290)²) − √(R² − 290²) with R = 28 ft; θ = atan((2.9 + z)/s);
    w = ⌈12 + 3.5⌉, at least 16; rest = w + 150·tan θ; heel 86 − 6, mortise 10 short of it; tongue = 70 − 1 − 2.5 −
    3·tan θ; bolts at a third and seven tenths of the heel, to the half millimetre.
    """
    solution = solve(load_job("orchestra-14"))
    angle = math.atan((2.9 + 4.92849) / 289.88612)
    assert solution.neck_set.top_rise_at_saddle == pytest.approx(4.9285, abs=5e-5)
    assert solution.neck_set.set_angle == pytest.approx(math.degrees(angle), abs=5e-5)
    assert solution.cradle.upper_rest == 16.0
    assert solution.cradle.angle_rest == pytest.approx(16.0 + 150.0 * math.tan(angle), abs=5e-5)
    assert solution.joint.mortise_length == 70.0
    assert solution.routing.tongue_length == pytest.approx(66.5 - 3.0 * math.tan(angle), abs=5e-5)
    assert [bolt.from_top for bolt in solution.joint.bolts] == [26.5, 56.0]


@pytest.mark.parametrize("name", names(PresetKind.INSTRUMENTS))
def test_every_instrument_goes_with_the_kit_it_names(name: str) -> None:
    """An instrument's own suggestion of router and jig solves without a failed check or a warning."""
    start = find_preset(PresetKind.INSTRUMENTS, name).tables()["start"]
    checks = solve(load(job_of(name, start["router"], start["jig"]))).checks
    assert not [f"{check.name}: {check.message}" for check in checks if check.status.value != "ok"]


def test_nylon_strings_are_set_forward() -> None:
    """Their neck plane falls towards the saddle: a negative angle, kept with its sign."""
    for name in ("nylon-650", "nylon-crossover"):
        assert solve(load(job_of(name, "metric-17"))).neck_set.set_angle < 0


def test_the_concert_guitar_is_the_published_case() -> None:
    """650 mm, 12 frets, fret plane 4.5 mm over the top at the saddle (K. Hill), board 6, fret 1: −2.5 over 327.0 mm.

    By the published formula (M. Koch) the angle is atan(−2.5/327.0) = −0.4380°.
    """
    neck_set = solve(load_job("nylon-forward")).neck_set
    assert neck_set.join_to_saddle == pytest.approx(327.0, abs=1e-9)
    assert neck_set.set_angle == pytest.approx(-0.4380, abs=5e-5)


@pytest.mark.parametrize("jig", names(PresetKind.JIGS))
def test_jigs_name_stock_that_suits(jig: str) -> None:
    """Plates are never acrylic; tapped edges want metal; rests are thick enough for screws in their edges."""
    job = load(job_of("orchestra-14", "inch-half", jig))
    assert "acrylic" not in job.stock("plate").material
    if job.jig.joinery is Joinery.TAPPED:
        assert all("aluminium" in job.stock(group).material for group in ("plate", "board", "bracket"))
    assert job.stock("rest").thickness >= 12
    assert job.stock("guide").cut_by[0] is CutBy.LASER


@pytest.mark.parametrize("preset", [p for p in EVERY if p.kind is PresetKind.STOCK], ids=names(PresetKind.STOCK))
def test_stock_is_plausible(preset: Preset) -> None:
    """Stiffness and density as common tables have them; measured is nominal until the shop measures."""
    bounds = {  # GPa, kg/m³; common figures from memory
        "plywood": (9, 10, 600, 750), "fibreboard": (3, 4, 650, 800), "phenolic": (8, 10, 1300, 1450),
        "aluminium": (68, 72, 2650, 2850), "acrylic": (2.8, 3.3, 1150, 1200), "maple": (11, 14, 600, 750),
        "brass": (95, 115, 8300, 8700),
    }  # fmt: skip
    stock = read_stock(preset)
    low, high, light, heavy = next(value for word, value in bounds.items() if word in stock.material)
    assert low <= stock.youngs_modulus <= high
    assert light <= stock.density <= heavy
    assert stock.actual_thickness == stock.thickness
    assert (stock.kerf > 0) == (CutBy.LASER in stock.cut_by)


def test_kerf_of_acrylic_is_in_the_published_band() -> None:
    """3 mm: 0.15 to 0.23; 6 mm: 0.18 to 0.30 mm (laser services' published figures)."""
    assert 0.15 <= read_stock(find_preset(PresetKind.STOCK, "acrylic-3")).kerf <= 0.23
    assert 0.18 <= read_stock(find_preset(PresetKind.STOCK, "acrylic-6")).kerf <= 0.30


# --- where they are found ------------------------------------------------------------------------------------------


def test_presets_of_a_checkout() -> None:
    """In a checkout, and in an editable install of it, the library is the folder beside the package."""
    assert shipped_folder() == ROOT / "presets"


def test_an_unknown_preset_names_the_nearest() -> None:
    """A preset that is not there is a refusal with the names that are."""
    with pytest.raises(InputError, match='"inch-half" is the nearest'):
        find_preset(PresetKind.ROUTERS, "inch-hafl")


def test_presets_of_a_wheel(tmp_path: Path) -> None:
    """A wheel carries the whole library, and a package imported from it finds and solves the ready jobs."""
    build = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "-w", str(tmp_path)]
    subprocess.run([*build, str(ROOT)], check=True, cwd=tmp_path, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    site = tmp_path / "site"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(site)
    code = (
        "import generator, generator.job.presets as p\n"
        "from generator.job.load import load_job\n"
        "from generator.joint.solution import solve\n"
        "print(generator.__file__)\n"
        "print(sorted(x.kind.value + '/' + x.name for k in p.PresetKind for x in p.list_presets(k)))\n"
        "print(all(solve(load_job(x.name)).ok for x in p.list_presets(p.PresetKind.JOBS)))\n"
    )
    env = {"PYTHONPATH": str(site), "PATH": "", "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", code], check=True, cwd=tmp_path, capture_output=True, text=True, env=env
    )
    where, listed, solved = done.stdout.splitlines()
    assert Path(where).is_relative_to(site)
    assert listed == str(sorted(IDS))
    assert solved == "True"


def with_material(folder: Path, material: str) -> Path:
    """A job file with a stock of its own beside it, made of `material`."""
    own = folder / "presets" / "stock"
    own.mkdir(parents=True)
    shipped = find_preset(PresetKind.STOCK, "birch-ply-18").path.read_text(encoding="utf-8")
    own.joinpath("own.toml").write_text(shipped.replace('"birch plywood"', f'"{material}"', 1), encoding="utf-8")
    job = find_preset(PresetKind.JOBS, "orchestra-14").path.read_text(encoding="utf-8")
    path = folder / "job.toml"
    path.write_text(job.replace('preset = "plywood"', 'preset = "plywood"\nplate_stock = "own"'), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "material", ["白樺合板", "birch \U0001f333", "bir\\u0007ch", "Bu\\u0308che", " birch", "x" * 81]
)
def test_a_material_that_cannot_be_printed_is_refused_when_read(material: str, tmp_path: Path) -> None:
    """Signs the embedded font lacks are refused with file, key, value and what is allowed, before anything is drawn."""
    with pytest.raises(InputError) as caught:
        load_job(with_material(tmp_path, material))
    (fault,) = caught.value.faults
    assert fault.file.endswith("own.toml")
    assert fault.key == "stock.material"
    assert "letters" in fault.allowed
    assert fault.found.strip('"').strip()


@pytest.mark.parametrize(
    "material", ["Birkensperrholz, 13 Lagen", "contreplaqué de bouleau – 18", "берёза", "σημύδα ½″"]
)
def test_materials_in_other_tongues_are_taken(material: str, tmp_path: Path) -> None:
    """Accents, Greek, Cyrillic and the usual signs are printed."""
    assert load_job(with_material(tmp_path, material)).stock("plate").material == material


def test_every_allowed_sign_is_in_the_font() -> None:
    """Judge: the character maps of both faces, read by fontTools. Nothing that the pattern lets by lacks a glyph."""
    from fontTools.ttLib import TTFont

    from generator.drawing.font import font_file

    held = [set(TTFont(font_file(bold)).getBestCmap()) for bold in (False, True)]
    allowed = [code for code in range(0x10000) if re.fullmatch(f"[{PRINTED_SIGNS}]", chr(code))]
    assert len(allowed) > 900
    assert not [hex(code) for code in allowed if any(code not in face for face in held)]
    assert not [
        hex(code) for code in allowed if unicodedata.combining(chr(code)) or unicodedata.category(chr(code)) == "Cc"
    ]
