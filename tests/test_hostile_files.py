"""Files that nobody vouches for end in a refusal that says why, whatever is in them: readers, lists, jobs.

`HEELWRIGHT_FUZZ` asks for another number of damaged files than the few of every run; the seeds are its numbers.
"""

from __future__ import annotations

import json
import os
import random
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from sample_plate import plate_sheet
from typer.testing import CliRunner

from generator.base.bounded_file import read_bounded
from generator.base.errors import HeelwrightError, InputError, OutputError
from generator.base.strict_json import parse_json
from generator.commands.cli import program
from generator.drawing.facets.build import block
from generator.drawing.page import sheet_page
from generator.formats.dxf.read import read_dxf
from generator.formats.dxf.read_drawing import read_dxf_drawing
from generator.formats.dxf.write import part_dxf
from generator.formats.glb.read import read_glb_bytes
from generator.formats.glb.write import ModelPart, glb_bytes
from generator.formats.pdf.read import read_pdf
from generator.formats.pdf.write import pdf_bytes
from generator.formats.step.text import read_step_text, step_entities
from generator.formats.svg.read import read_svg
from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.job.shop import Shop, read_shop
from generator.joint.solution import solve
from generator.proof.kit_files import open_kit
from generator.proof.listing import is_inside, read_listing

#: So many files of each kind are damaged by lot.
FUZZ = int(os.environ.get("HEELWRIGHT_FUZZ", "200"))
JOB = (
    'schema = 2\n[job]\nname = "x"\n[instrument]\npreset = "orchestra-14"\nscale_length = "25.4 in"\n'
    '[router]\npreset = "metric-17"\nreach = 50\n[joint]\nside_clearance = 0.15\n[output]\npaper = ["A4"]\n'
)
DEEP = ".".join(["a"] * 1000)
#: A block of ISO 10303-21 entities as small as a corner needs them.
STEP = (
    "ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n#1 = VERTEX_POINT('',#2);\n"
    "#2 = CARTESIAN_POINT('',(1.,2.5,-3.));\nENDSEC;\nEND-ISO-10303-21;\n"
)
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm">{}</svg>'


# --- what is no file --------------------------------------------------------------------------------------------------


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="a system without pipes in folders")
def test_only_a_regular_file_is_read(tmp_path: Path) -> None:
    """A pipe, a device, a folder, a link and a file too large are refused at once, each by what it is."""
    (tmp_path / "large").write_bytes(b"0" * 11)
    (tmp_path / "link").symlink_to(tmp_path / "large")
    os.mkfifo(tmp_path / "pipe")
    for path, words in (
        (tmp_path / "pipe", "a named pipe"),
        (Path("/dev/zero"), "a device"),
        (tmp_path, "a folder"),
        (tmp_path / "link", "a link"),
        (tmp_path / "large", "11 bytes"),
        (tmp_path / "none", "No such file"),
        (tmp_path / ("n" * 300), "too long"),
    ):
        with pytest.raises(OutputError, match=words):
            read_bounded(path, 10)
    assert read_bounded(tmp_path / "link", 11, links=True) == b"0" * 11


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="a system without pipes in folders")
def test_a_kit_of_pipes_and_links_is_refused(tmp_path: Path) -> None:
    """results.json as a pipe or an endless link, a group's folder as a link out of the kit: refused, not waited for."""
    results = tmp_path / "results.json"
    os.mkfifo(results)
    with pytest.raises(InputError, match="a named pipe"):
        open_kit(tmp_path)
    results.unlink()
    results.symlink_to("/dev/zero")
    with pytest.raises(InputError, match="a link"):
        open_kit(tmp_path)
    results.unlink()
    results.write_text("{}", encoding="utf-8")
    (tmp_path / "laser").symlink_to(tmp_path.parent)
    with pytest.raises(InputError, match=r"laser: found a link"):
        open_kit(tmp_path)


def test_a_listed_path_stays_in_the_folder() -> None:
    """Way out, absolute, drive, stream, wildcard, backslash, line end: none is a path that a manifest may list."""
    assert is_inside("laser/board.dxf")
    for path in (
        "",
        ".",
        "..",
        "../x",
        "a/../../x",
        "/x",
        "//x",
        "a//b",
        "c:x",
        "a\\b",
        "a\nb",
        "a/./b",
        "a?",
        "n" * 201,
    ):
        assert not is_inside(path), path


# --- JSON -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('{"a": 1, "a": 2}', "twice"),
        ("[" * 100_000, "in each other"),
        ("[NaN]", "no number"),
        ("[1e999]", "too large"),
        ("9" * 400, "400 digits"),
        ("9" * 4400, "4400 digits"),
        ('["\\ud800"]', "half a character"),
        ('"' + "a" * 20_001 + '"', "a text of"),
        ('"' + '\\"' * 100_000, "Unterminated"),
    ],
    ids=range(9),
)
def test_strange_json_is_refused(text: str, words: str) -> None:
    """Keys that stand twice, numbers that are none, nesting and texts without end."""
    with pytest.raises(ValueError, match=words):
        parse_json(text.encode())


@pytest.mark.parametrize(
    "text", ["[]", "{}", '{"files": 1}', '{"files": [1]}', '{"schema": 1, "files": [{"path": 1}]}', "1", "null", ""]
)
def test_a_list_that_is_none_is_refused(text: str, tmp_path: Path) -> None:
    """Whatever manifest.json holds, it is read as a list of files or refused."""
    (tmp_path / "manifest.json").write_text(text, encoding="utf-8")
    with pytest.raises(OutputError):
        read_listing(tmp_path)


# --- drawings ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (STEP.replace("(1.,2.5,-3.)", "(1.,2.5,-3."), "left open"),
        (STEP.replace("2.5", "NaN"), "no number"),
        (STEP.replace("#2);", "#3);"), "not there"),
        (STEP.replace("CARTESIAN_POINT('',(1.,2.5,-3.)", "POINT_ON_CURVE(#1"), "in a ring"),
        (STEP[:120], "cut short"),
        ("ISO-10303-21;" + "#1=FOO(" * 40_000 + "END-ISO-10303-21;", "deep"),
        ("ISO-10303-21;" + "X;" * 50_001 + "END-ISO-10303-21;", "entities"),
    ],
    ids=range(7),
)
def test_step_that_would_lose_the_kernel_is_refused_as_text(text: str, words: str) -> None:
    """Entities left open, in rings, in masses: the kernel never sees them."""
    assert step_entities(STEP.encode())[1][2] == ("CARTESIAN_POINT", "'',(1.,2.5,-3.)")
    with pytest.raises(OutputError, match=words):
        step_entities(text.encode())


@pytest.mark.parametrize("version", ["R2000", "R2010"])
def test_a_dxf_is_read_in_its_own_encoding(version: str, tmp_path: Path) -> None:
    """Up to AutoCAD 2004 in the code page that it names, since 2007 in UTF-8: ezdxf writes both so."""
    document = ezdxf.new(version)
    document.modelspace().add_text("Ø4 × 40 °")
    document.saveas(tmp_path / "words.dxf")
    assert read_dxf_drawing(tmp_path / "words.dxf").texts == ("Ø4 × 40 °",)


def test_bombs_of_svg_and_pdf_are_refused(tmp_path: Path) -> None:
    """Entities that unfold, copies of copies, groups in groups; streams that unpack to more than any kit has."""
    path = tmp_path / "bomb.svg"
    for body in ("<use href='#a'/>", "<g>" * 40 + "</g>" * 40, "<a/>" * 20_001, "<image href='x'/>"):
        path.write_text(SVG.format(body), encoding="utf-8")
        with pytest.raises(OutputError):
            read_svg(path)
    path.write_text("<!DOCTYPE s [<!ENTITY a 'b'>]>" + SVG.format("&a;"), encoding="utf-8")
    with pytest.raises(OutputError, match="DOCTYPE"):
        read_svg(path)
    packed = zlib.compress(b"0" * 33_000_000)
    for said in (b"/Filter /FlateDecode", b"/Filter [/FlateDecode /FlateDecode]", b"/Filter /LZWDecode"):
        path.write_bytes(b"%PDF-1.4\n1 0 obj\n<<" + said + b">>\nstream\n" + packed + b"\nendstream\nendobj\n")
        with pytest.raises(OutputError, match="stream"):
            read_pdf(path)


def glb_of(change: Callable[[dict[str, Any]], object]) -> bytes:
    """A sound model whose document was changed, the lengths in its head as they are then."""
    data = glb_bytes("m", [ModelPart("b", block(0, 0, 0, 10, 20, 30))])
    (size,) = struct.unpack_from("<I", data, 12)
    document, rest = json.loads(data[20 : 20 + size]), data[20 + size :]
    change(document)
    text = json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    head = struct.pack("<III", 0x46546C67, 2, 20 + len(text) + len(rest))
    return head + struct.pack("<II", len(text), 0x4E4F534A) + text + rest


def _many(document: dict[str, Any]) -> None:
    """Rows without end, none behind the other."""
    document["accessors"][0]["count"] = 10**9
    document["bufferViews"][document["accessors"][0]["bufferView"]]["byteStride"] = 0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (_many, "rows 0 bytes apart"),
        (lambda document: document["accessors"][0].update(count=10**12), "past its buffer"),
        (lambda document: document["accessors"][0].update(byteOffset=-(10**6)), "from byte"),
        (lambda document: document["nodes"][0].update(children=[0]), "stands twice"),
        (lambda document: document["scenes"][0].update(nodes=[0] * 9), "stands twice"),
        (lambda document: document.update(nodes=[{"name": "b", "mesh": 0}] * 80_000), "more than 2000000 rows"),
        (lambda document: document.update(meshes=3), "TypeError"),
        (lambda document: document["meshes"][0].update(primitives=["x"]), "AttributeError"),
    ],
    ids=range(8),
)
def test_a_model_with_strange_counts_is_refused(change: Callable[[dict[str, Any]], object], words: str) -> None:
    """Rows and nodes without end, in rings, in masses."""
    assert read_glb_bytes(glb_of(lambda document: None), "m.glb").part("b").volume > 0.0

    def changed(document: dict[str, Any]) -> None:
        change(document)
        if len(document["nodes"]) > 1:
            document["scenes"][0]["nodes"] = list(range(len(document["nodes"])))

    with pytest.raises(OutputError, match=words):
        read_glb_bytes(glb_of(changed), "m.glb")


# --- inputs -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("reach = 50", "reach = 0x" + "f" * 5000, "router.reach"),
        ("reach = 50", "reach = 0o" + "7" * 9000, "router.reach"),
        ("reach = 50", 'reach = "' + "9" * 5000 + '/3 in"', "router.reach"),
        ("reach = 50", f"reach.{DEEP} = 1", "router.reach"),
        ("reach = 50", f"{DEEP} = 1", "router.a"),
        ("reach = 50", "reach = " + "[" * 3000, "TOML"),
        ("schema = 2", "schema = 0x" + "f" * 5000, "schema"),
        ('"x"', '"' + "n" * 300 + '"', "job.name"),
        ('"x"', '"a\\nb"', "job.name"),
    ],
    ids=range(9),
)
def test_strange_values_of_a_job_are_refused_by_key(old: str, new: str, key: str, tmp_path: Path) -> None:
    """Numbers of thousands of digits, keys a thousand deep, names that no system takes."""
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=key):
        load_job(path, Shop())


@pytest.mark.parametrize("name", ["n" * 300, "n" * 5000, "a/" * 3000, "x\0y", "\ud800", "/dev/zero"])
def test_a_name_that_no_system_takes_is_refused(name: str) -> None:
    """As a job and as a shop file."""
    with pytest.raises(InputError):
        load_job(name, Shop())
    with pytest.raises(InputError):
        read_shop(Path(name))


@pytest.mark.parametrize("command", [("make", "scrap-test"), ("new", "x", "--instrument", "orchestra-14")])
def test_a_folder_name_with_a_line_end_is_refused(command: tuple[str, ...], tmp_path: Path) -> None:
    """It could stand in no page, label or command of a kit; nothing is written."""
    found = CliRunner().invoke(program(), [*command, "-o", f"{tmp_path}/a\nb"])
    assert found.exit_code == 1
    assert "command line: -o" in found.output
    assert list(tmp_path.iterdir()) == []


# --- by lot -----------------------------------------------------------------------------------------------------------


def damaged(data: bytes, seed: int) -> bytes:
    """`data` with one to three runs of it lost, doubled, exchanged for noise, or the numbers in it for strange ones."""
    lot = random.Random(seed)
    for _ in range(lot.randint(1, 3)):
        at = lot.randrange(len(data) or 1)
        end = at + lot.choice((1, 2, 20, 400))
        noise = lot.choice((b"", data[at:end] * 2, lot.randbytes(end - at), b"nan", b"-1e999", b"9" * 500, b"[" * 50))
        data = data[:at] + noise + data[end:]
    return data


def read_as(kind: str, data: bytes, folder: Path) -> None:
    path = folder / f"file.{kind}"
    path.write_bytes(data)
    readers: dict[str, Callable[[Path], object]] = {
        "toml": lambda file: load_job(file, Shop()),
        "dxf": lambda file: read_dxf(file).nominal(),
        "svg": read_svg,
        "step": read_step_text,
        "glb": lambda file: read_glb_bytes(read_bounded(file), file.name),
        "pdf": read_pdf,
    }
    readers[kind](path)


@pytest.fixture(scope="module")
def whole() -> dict[str, bytes]:
    """A sound file of each kind."""
    jig = build_jig(solve(load_job("orchestra-14", Shop())))
    lines = "".join(f'<path d="M {i},1 A 2,2 0 0 1 {i},5 Z" stroke="#000" stroke-width="0.3"/>' for i in range(5))
    return {
        "toml": JOB.encode(),
        "dxf": part_dxf(jig.part("plug"), "x"),
        "svg": SVG.format(f'<g id="cut">{lines}<text x="1" y="2">12.5</text></g>').encode(),
        "step": STEP.encode(),
        "glb": glb_bytes("m", [ModelPart("b", block(0, 0, 0, 10, 20, 30)), ModelPart("c", block(0, 0, 0, 1, 2, 3))]),
        "pdf": pdf_bytes([sheet_page(plate_sheet())], "a page", "x"),
    }


@pytest.mark.parametrize("kind", ["toml", "dxf", "svg", "step", "glb", "pdf"])
def test_a_damaged_file_is_read_or_refused(kind: str, whole: dict[str, bytes], tmp_path: Path) -> None:
    """Never anything but an error of this program that names what is wrong: no traceback, by whatever damage."""
    read_as(kind, whole[kind], tmp_path)
    refused = 0
    for seed in range(FUZZ):
        data = damaged(whole[kind], seed)
        try:
            read_as(kind, data, tmp_path)
        except HeelwrightError as error:
            refused += bool(str(error))
        except Exception as error:
            raise AssertionError(f"{kind}, seed {seed}") from error
    assert refused > 0
