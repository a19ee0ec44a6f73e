"""Names with markup, quotes, formulas and signs of control languages go through every file of a kit and of a class as
what they are: text. Judges: the readers of the standard library, ezdxf, pypdfium2, the kernel's own reader of STEP."""

from __future__ import annotations

import csv
import io
import re
import tomllib
import zipfile
from html.parser import HTMLParser
from itertools import cycle
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pypdfium2
import pytest
from class_of_twelve import read_text
from made_once import READY, THOROUGH, kit, store

from generator.base.csv_text import _FORMULA
from generator.classes.folder import read_record
from generator.classes.make import ClassMaking, make_class
from generator.classes.plan import check_rows, plan_class
from generator.formats.glb.read import read_glb_bytes
from generator.job.load import load_job
from generator.job.model.field_types import PRINTED_WORDS
from generator.job.model.job import Job
from generator.job.shop import Shop
from generator.kit.bundle import HelperBundle
from generator.kit.crew import Crew
from generator.kit.groups import Group

#: The end of a script and of a comment, a tag, an entity, quotes, a formula; codes of DXF, Jinja2, STEP and PDF.
NASTY = ("""=1+1</script><b onload=1>&amp;--""", """%%c{{7*7}}\\X\\\\P(q)$&') #1=;]]>""")
#: As many of the widest letters as a stock's material may have.
WIDEST = "W" * 32
#: What runs or leads elsewhere, by tag.
ACTIVE = {"iframe", "object", "embed", "link", "base", "form", "meta", "img", "image", "a", "use", "foreignObject"}
ON = {"onload", "onerror", "onclick"}


class Tags(HTMLParser):
    """Every tag with its attributes, the text outside of scripts, and the scripts."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, frozenset[str]]] = []
        self.text: list[str] = []
        self.scripts: list[str] = []
        self._script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, frozenset(name for name, _ in attrs)))
        self._script = tag == "script"

    def handle_endtag(self, tag: str) -> None:
        self._script = False

    def handle_data(self, data: str) -> None:
        (self.scripts if self._script else self.text).append(data)


def named(job: Job, *materials: str) -> Job:
    """The job with these materials in turn; they are words of the user's own presets."""
    turns = zip(job.stocks.items(), cycle(materials), strict=False)
    stocks = {name: stock.model_copy(update={"material": PRINTED_WORDS.read(words)}) for (name, stock), words in turns}
    return job.model_copy(update={"stocks": stocks})


@pytest.fixture(scope="module")
def kits(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A kit as it is and one of nasty materials, of the widest letters too; all groups and all bundles."""
    job = load_job("orchestra-left", Shop())
    nasty = named(job, NASTY[0], WIDEST, NASTY[1])
    made = [kit(one, tmp_path_factory.mktemp("kits"), bundles=tuple(HelperBundle)) for one in (job, nasty)]
    return made[0], made[1]


def test_a_shop_drawing_holds_the_longest_material(kits: tuple[Path, Path]) -> None:
    """The drawing of a part of a metal jig says all of it."""
    drawings = {name: ElementTree.fromstring(data) for name, data in of_kind(kits[1] / "drawings", "svg").items()}
    assert [name for name, tree in drawings.items() if name != "jig.svg" and WIDEST in "".join(tree.itertext())]


@pytest.mark.parametrize("name", READY if THOROUGH else ("folk-butt",))
def test_the_longest_material_fits_every_sheet(name: str, tmp_path: Path) -> None:
    """As many of the widest letters as a stock's material may have: drawings, paper and setup sheet hold them."""
    with pytest.raises(ValueError, match="32"):
        PRINTED_WORDS.read(f"{WIDEST}W")
    groups = (Group.DRAWINGS, Group.PAPER, Group.SHEET)
    assert kit(named(load_job(name, Shop()), WIDEST), tmp_path, groups).is_dir()


def of_kind(folder: Path, ending: str) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob(f"*.{ending}"))}


def read_tags(data: bytes) -> Tags:
    found = Tags()
    found.feed(data.decode("utf-8"))
    found.close()
    return found


def one_line(text: str) -> str:
    return re.sub(r"\s+", "", text)


def test_no_tag_or_script_comes_of_a_name(kits: tuple[Path, Path]) -> None:
    """HTML has the tags, attributes and scripts that it has for a plain name."""
    plain, nasty = (of_kind(folder, "html") for folder in kits)
    assert plain.keys() == nasty.keys() != set()
    for name, data in nasty.items():
        here, there = read_tags(data), read_tags(plain[name])
        assert set(here.tags) == set(there.tags), name
        assert len(here.scripts) == len(there.scripts)
        assert not any(word.startswith("on") for _, words in here.tags for word in words)


def test_drawings_show_a_name_as_text(kits: tuple[Path, Path]) -> None:
    """SVG is well-formed, has no element or attribute that it has not for a plain name, and shows the name."""
    seen = 0
    plain, nasty = (of_kind(folder, "svg") for folder in kits)
    assert plain.keys() == nasty.keys()
    for name, data in nasty.items():
        here, there = ElementTree.fromstring(data), ElementTree.fromstring(plain[name])
        kinds = [{(one.tag, key) for one in tree.iter() for key in one.attrib} for tree in (here, there)]
        assert kinds[0] <= kinds[1], name
        seen += "</script><b" in "".join(here.itertext())
    assert seen


def test_cutting_files_and_drawings_of_the_shop_have_no_other_entities(kits: tuple[Path, Path]) -> None:
    """DXF audits clean in ezdxf and has the layers and kinds of entities of the plain kit."""
    plain, nasty = (of_kind(folder, "dxf") for folder in kits)
    assert plain.keys() == nasty.keys()
    for name in nasty:
        kinds = []
        for folder in kits:
            document = ezdxf.readfile(folder / name)
            assert not document.audit().errors
            kinds.append({(item.dxftype(), item.dxf.layer) for item in document.modelspace()})
        assert kinds[0] == kinds[1], name


def test_pdf_pages_carry_no_action(kits: tuple[Path, Path]) -> None:
    """PDF opens, has as many pages, and no script, form or link that the plain kit has not; the name can be read."""
    seen = 0
    plain, nasty = (of_kind(folder, "pdf") for folder in kits)
    assert plain.keys() == nasty.keys()
    for name, data in nasty.items():
        for word in (b"/JavaScript", b"/JS", b"/OpenAction", b"/AcroForm", b"/Launch", b"/URI"):
            assert data.count(word) == plain[name].count(word) == 0, name
        document = pypdfium2.PdfDocument(data)
        words = "".join(page.get_textpage().get_text_bounded() for page in document)
        seen += "</script><b" in one_line(words)
    assert seen


def test_data_reads_back_as_it_was(kits: tuple[Path, Path]) -> None:
    """TOML and the model are readable; STEP has as many entities; bundles hold the files they list."""
    plain, nasty = kits
    assert tomllib.loads((nasty / "job.toml").read_text(encoding="utf-8"))["job"]["name"] == "orchestra-left"
    for name, data in of_kind(nasty, "glb").items():
        assert read_glb_bytes(data, name).parts
    for name, data in of_kind(nasty, "step").items():
        assert len(re.findall(rb"\n#\d+", data)) == len(re.findall(rb"\n#\d+", (plain / name).read_bytes())), name
    bundles = of_kind(nasty, "zip")
    assert len(bundles) == len(HelperBundle)
    for data in bundles.values():
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            assert archive.testzip() is None
            assert all(one == "READ-ME-FIRST.txt" or (nasty / one).is_file() for one in archive.namelist())


def test_a_class_of_strange_names(tmp_path: Path) -> None:
    """Students called like formulas and tags: the summary, the order and the hand-outs carry them as text."""
    names = ("=HYPERLINK(1)", "<b>&amp; Bo", 'Ann"; DROP--', "'@x")
    text = io.StringIO()
    csv.writer(text).writerows([("student", "saddle_gap"), *((name, 2.9) for name in names)])
    good, faults = check_rows(read_text(text.getvalue(), tmp_path, "orchestra-14"))
    assert faults == []
    out = tmp_path / "spring"
    making = ClassMaking(out, (), store=store())
    assert make_class(plan_class("spring", good), making, Crew(), lambda *told: None) == []
    record = read_record(out)
    assert record is not None
    assert [one.student for one in record.pupils] == list(names)
    page = read_tags((out / "index.html").read_bytes())
    assert not [(tag, words) for tag, words in page.tags if tag in ACTIVE - {"a", "meta"} or words & ON]
    for name in names:
        assert name in "".join(page.text)
    for file in of_kind(out, "csv").values():
        for row in csv.reader(io.StringIO(file.decode("utf-8"), newline="")):
            assert not any(cell.startswith(_FORMULA) and not re.fullmatch(r"[-+]?[\d.]+", cell) for cell in row)
    for data in of_kind(out, "pdf").values():
        assert len(pypdfium2.PdfDocument(data))
