"""A kit is what its own results draw: each line, word, zip and command of it, whoever corrected the manifest."""

from __future__ import annotations

import json
import re
import shutil
import struct
import zlib
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from made_once import write as write_kit
from proved_once import draw_from_the_store

from generator.job.load import load_job
from generator.job.shop import Shop
from generator.joint.checks import Check, CheckStatus
from generator.kit.anew import _Anew, anew_checks
from generator.kit.bundle import HelperBundle
from generator.kit.groups import Group
from generator.kit.manifest import write_manifest
from generator.kit.same_text import difference
from generator.proof.kit_files import open_kit
from generator.proof.listing import Listing, read_listing

JOB = "ukulele-tenor"
GROUPS = (Group.LASER, Group.PAPER, Group.DRAWINGS, Group.SHEET)


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A kit without solids, in a folder with a blank and an accent in its name, with a zip for the laser."""
    out = tmp_path_factory.mktemp("kits") / "à côté"
    return write_kit(load_job(JOB, Shop()), out, GROUPS, bundles=[HelperBundle.LASER]).folder


def told(folder: Path) -> Check:
    with TemporaryDirectory() as room:
        (found,) = anew_checks(folder, Path(room))
    return found


def test_a_kit_as_made_is_what_its_results_draw(kit: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From whatever folder it is asked, also from the one that a printed path is shortened to."""
    monkeypatch.chdir(kit.parent)
    check = told(kit)
    assert (check.status, check.message.partition(",")[0]) == (CheckStatus.OK, "every sheet")


@pytest.fixture
def from_the_store(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is drawn anew comes from the run's store: that it is drawn alike is shown above, without one."""
    draw_from_the_store(monkeypatch)


def test_whatever_is_drawn_otherwise_is_told(kit: Path, tmp_path: Path, from_the_store: None) -> None:
    """A line of a sheet 0.3 mm aside, a word of the first page, another command to type, another file in a zip."""
    copy = tmp_path / kit.name
    shutil.copytree(kit, copy)
    changes = {
        "paper/heel.svg": (r"(M ?)(\d+\.\d+)", lambda found: f"{found[1]}{float(found[2]) + 0.3:.4f}"),
        "drawings/jig.svg": (r"(>)(\d[^<]*)(?=</text)", lambda found: f"{found[1]}9{found[2]}"),
        "index.html": ("100 %", lambda found: "97 %"),
        "job.toml": (r"make ukulele-tenor", lambda found: f"{found[0]} ; ls"),
    }
    for name, (old, new) in changes.items():
        text = (copy / name).read_text(encoding="utf-8")
        changed = re.sub(old, new, text, count=1)
        assert changed != text, name
        (copy / name).write_text(changed, encoding="utf-8")
    zipped = next((copy / "bundles").iterdir())
    zipped.write_bytes(zipped.read_bytes()[:-40])
    before = json.loads((copy / "manifest.json").read_text(encoding="utf-8"))
    write_manifest(copy, (), before["solved"])
    check = told(copy)
    assert (check.status, check.value) == (CheckStatus.FAIL, len(changes) + 1.0)
    for name in (*changes, zipped.relative_to(copy).as_posix()):
        assert f"{name}: " in check.message


def test_what_other_libraries_wrote_is_only_told(kit: Path) -> None:
    """A page set otherwise by another version of a library is no fault; the manifest says which wrote each group."""
    listing = read_listing(kit)
    assert "reportlab " in listing.libraries["paper"]
    other = Listing(listing.schema, listing.files, (), listing.solved, {**listing.libraries, "paper": "reportlab 0"})
    own, strange = (_Anew(open_kit(kit), one, kit)._finding("paper/heel.svg", "") for one in (listing, other))
    assert (own.warns, strange.warns) == (False, True)


# --- texts ------------------------------------------------------------------------------------------------------------


def pdf(stream: str, level: int = 6) -> bytes:
    packed = zlib.compress(stream.encode(), level)
    head = f"%PDF-1.4\n1 0 obj\n<< /Filter /FlateDecode /Length {len(packed)} >>\nstream\n".encode()
    return head + packed + b"endstream\nendobj\nxref\n0 1\n0000000009 00000 n \ntrailer\n<< /Size 1 >>\n"


def glb(x: float, corner: int = 1, name: str = "board") -> bytes:
    document = json.dumps({"nodes": [{"name": name}]}).encode().ljust(40)
    return struct.pack("<4sIIII", b"glTF", 2, 72, 40, 0) + document + struct.pack("<IIfI", 8, 1, x, corner)


SVG = '<svg><path d="M 10.1234,5 L 3,4"/><text x="1.5">12.50 mm</text></svg>'
DXF = " 10\n12.123456789\n  1\n12.5\n"
STEP = "#1 = CARTESIAN_POINT('',(1.5,-2.25,0.));\n#2 = PRODUCT('plug 1.5');\n"
PAGE = "1 0 0 1 10.5 20 cm (12.5 \\) mm) Tj " * 40


@pytest.mark.parametrize(
    ("name", "one", "other"),
    [
        ("a.svg", SVG, SVG.replace("10.1234", "10.1244")),
        ("a.html", SVG, SVG.replace("1.5", "1.5008")),
        ("a.dxf", DXF, DXF.replace("12.123456789", "12.12300")),
        ("a.step", STEP, STEP.replace("2.25,", "2.2505,\n  ")),
        ("a.pdf", pdf(PAGE), pdf(PAGE, 1)),
        ("a.pdf", pdf(PAGE), pdf(PAGE.replace("10.5", "10.5021"))),
        ("a.glb", glb(0.25), glb(0.250001)),
    ],
    ids=range(7),
)
def test_a_number_rewritten_by_a_micrometre_is_the_same(name: str, one: str | bytes, other: str | bytes) -> None:
    """As another computer rounds, another program breaks lines, another library packs."""
    assert one != other
    assert difference(name, as_bytes(one), as_bytes(other)) is None


@pytest.mark.parametrize(
    ("name", "one", "other"),
    [
        ("a.svg", SVG, SVG.replace("10.1234", "10.4234")),
        ("a.svg", SVG, SVG.replace("12.50 mm", "12.501 mm")),
        ("a.svg", SVG, SVG.replace("path", "line")),
        ("a.svg", SVG, SVG + "<g/>"),
        ("a.dxf", DXF, DXF.replace("12.5", "12.501")),
        ("a.dxf", DXF, DXF.replace("12.123456789", "12.423456789")),
        ("a.dxf", DXF, DXF + "  0"),
        ("a.step", STEP, STEP.replace("2.25", "2.75")),
        ("a.step", STEP, STEP.replace("plug 1.5", "plug 1.501")),
        ("a.pdf", pdf(PAGE), pdf(PAGE.replace("10.5", "11.5"))),
        ("a.pdf", pdf(PAGE), pdf(PAGE.replace("12.5", "12.501"))),
        ("a.pdf", pdf(PAGE), pdf(PAGE) + b"2 0 obj\n<< /Type /Page >>\nendobj\n"),
        ("a.glb", glb(0.25), glb(0.2505)),
        ("a.glb", glb(0.25), glb(0.25, corner=2)),
        ("a.glb", glb(0.25), glb(0.25, name="plate")),
        ("a.glb", glb(0.25), glb(0.25)[:-4]),
    ],
    ids=range(16),
)
def test_anything_else_is_another_file(name: str, one: str | bytes, other: str | bytes) -> None:
    """A place, a word, a name, a triangle's corner, an entity more: told, with what was found and what belongs."""
    words = difference(name, as_bytes(other), as_bytes(one))
    assert words is not None
    assert "belong" in words


def as_bytes(text: str | bytes) -> bytes:
    return text.encode("utf-8") if isinstance(text, str) else text
