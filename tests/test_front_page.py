"""The kit's first page and the bundles: every link leads somewhere, each helper gets exactly its files."""

from __future__ import annotations

import re
import zipfile
from html.parser import HTMLParser
from pathlib import Path

import pypdfium2
import pytest
from made_once import write as write_kit

from generator.base.errors import InputError
from generator.job.load import load_job
from generator.kit.bundle import NOTE, HelperBundle, bundle_path
from generator.kit.groups import Group

#: What each helper needs of a plywood jig's laser, paper and sheet groups, as path patterns.
WANTED = {
    HelperBundle.LASER: [r"laser/sheet-[\w.-]+\.dxf", r"laser/kerf-coupon-[\w.-]+\.dxf"],
    HelperBundle.PRINT: [r"paper/booklet\.\w+\.pdf", r"bench_card\.pdf"],
    HelperBundle.BENCH: [r"setup_sheet\.(?:pdf|html)", r"bench_card\.pdf"],
}


class _Page(HTMLParser):
    """Links, picture sources, scripts and the plain text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.links: list[str] = []
        self.scripts = 0
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.scripts += tag == "script"
        self.links += [value for key, value in attrs if key in ("href", "src") and value]

    def handle_data(self, data: str) -> None:
        self.words += data


def page_of(folder: Path) -> _Page:
    page = _Page()
    page.feed((folder / "index.html").read_text(encoding="utf-8"))
    return page


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    groups = (Group.LASER, Group.PAPER, Group.SHEET)
    out = tmp_path_factory.mktemp("kits")
    return write_kit(load_job("ukulele-tenor"), out, groups, bundles=(*WANTED,)).folder


def test_every_link_of_the_first_page_leads_to_a_file(kit: Path) -> None:
    """Links are files of the kit; nothing is fetched from elsewhere, no script is needed."""
    page = page_of(kit)
    files = [link for link in page.links if not link.startswith(("#", "data:"))]
    assert len(files) >= 8
    assert all((kit / link).is_file() for link in files)
    assert page.scripts == 0
    text = (kit / "index.html").read_text(encoding="utf-8")
    assert not re.search(r"(?:src|href|url)\s*[=(]\s*[\"']?https?:", text)


def test_the_first_page_says_whether_the_kit_is_proved(kit: Path, tmp_path: Path) -> None:
    """A kit whose cutting files were cut virtually says so with the count; one without says that it is not."""
    assert re.search(r"Proved\.\s+The written files make the joint: \d+ of \d+ checks passed", page_of(kit).words)
    bare = write_kit(load_job("ukulele-tenor"), tmp_path, (Group.PAPER,)).folder
    assert "NOT proved" in page_of(bare).words
    assert "setup_sheet.pdf" not in page_of(bare).links


def test_the_first_page_says_who_makes_what_and_how_to_go_on(kit: Path) -> None:
    """Each stock with its parts and who cuts it; after the zero check the command that makes the kit again, and where
    the shop file lies. The booklet's cover names the parts it has not: a laser cuts the ukulele's plate.
    """
    words = " ".join(page_of(kit).words.split())
    for said in (
        ": template plate; bracket, left; bracket, right; plug. Cut by laser, from laser/sheet-birch-ply-12-",
        "heelwright calibrate jig plywood-small",
        "writes shop.toml where you run it; make reads it there, or beside the job's file",
        f"heelwright make ukulele-tenor -o {kit.parent}",
    ):
        assert said in words, said
    (booklet,) = kit.glob("paper/booklet.*.pdf")
    cover = " ".join(pypdfium2.PdfDocument(booklet)[0].get_textpage().get_text_range().split())
    assert "Not in here: template plate; bracket, left; bracket, right; plug: by the laser, from laser/" in cover
    assert 'paper_for = "all"' in cover


def test_the_first_page_shows_the_jig_in_both_uses(kit: Path) -> None:
    """Both pictures stand in the page and as files, with the names a builder needs."""
    for use in ("neck", "body"):
        assert "<svg" in (kit / "pictures" / f"{use}_cut.svg").read_text(encoding="utf-8")
    words = page_of(kit).words
    for name in ("template plate", "board", "caul", "bench", "router"):
        assert name in words


def sections(folder: Path) -> dict[str, str]:
    """The page's sections, each by its heading."""
    text = (folder / "index.html").read_text(encoding="utf-8")
    found = re.findall(r"<section[^>]*>\s*<h2>(.*?)</h2>(.*?)</section>", text, re.DOTALL)
    return dict(found)


@pytest.mark.parametrize("groups", [(), (Group.LASER,), (Group.PAPER,), (Group.STEP,), (Group.SHEET,)])
def test_every_section_has_a_picture(groups: tuple[Group, ...], kit: Path, tmp_path: Path) -> None:
    """Whatever groups a kit holds, each section of its first page shows something of it."""
    folder = write_kit(load_job("ukulele-tenor"), tmp_path, groups).folder if groups else kit
    found = sections(folder)
    assert found
    for title, inside in found.items():
        assert "<img src=" in inside or "<svg" in inside, title


@pytest.mark.parametrize(
    ("job", "heading"), [("folk-butt", "Put together by"), ("orchestra-left", "Send to a machine shop")]
)
def test_drawings_are_for_whom_they_serve(job: str, heading: str, tmp_path: Path) -> None:
    """A set of the assembly alone sends nobody to a machine shop; a set with sheets of parts does."""
    folder = write_kit(load_job(job), tmp_path, (Group.DRAWINGS,)).folder
    titles = {"Put together by", "Send to a machine shop"}
    found = sections(folder)
    assert titles & set(found) == {heading}
    assert "drawings/set.pdf" in found[heading]
    assert ("A drawing governs" in found[heading]) is (heading != "Put together by")


def test_the_first_page_shows_the_nested_sheets(kit: Path) -> None:
    """One picture a sheet's cutting file, each part of it by its name, inside it or beside its number."""
    inside = sections(kit)["Send to a laser or a CNC router"]
    figures = inside.split("<figure")[1:]
    files = sorted(path.stem for path in kit.glob("laser/sheet-*.dxf"))
    assert sorted(re.findall(r"sheet sheet-([\w-]+-\d+)", inside)) == [name.removeprefix("sheet-") for name in files]
    assert len(figures) == len(files)
    (plywood,) = (figure for figure in figures if "birch-ply-12, sheet 1 of 1" in figure)
    for name in ("Template plate", "Bracket, left", "Bracket, right", "Plug"):
        assert name in plywood


def test_the_first_page_shows_no_sheets_that_are_of_another_job(tmp_path: Path) -> None:
    """Cutting files of an earlier job are not to be used, so their sheets are not shown as this job's."""
    write_kit(load_job("ukulele-tenor"), tmp_path, (Group.LASER,))
    other = load_job("strong-dome").model_copy(update={"name": "ukulele-tenor"})
    folder = write_kit(other, tmp_path, (Group.PAPER,)).folder
    inside = sections(folder)["Send to a laser or a CNC router"]
    assert "<figure" not in inside
    assert "<img" in inside


@pytest.mark.parametrize("bundle", WANTED)
def test_a_bundle_holds_exactly_its_helpers_files(kit: Path, bundle: HelperBundle) -> None:
    """Every file of the kit that the helper needs, byte for byte, a note, and nothing else."""
    every = [path.relative_to(kit).as_posix() for path in kit.rglob("*") if path.is_file()]
    wanted = [path for path in every if any(re.fullmatch(pattern, path) for pattern in WANTED[bundle])]
    with zipfile.ZipFile(kit / bundle_path("ukulele-tenor", bundle)) as archive:
        assert sorted(archive.namelist()) == sorted([NOTE, *wanted])
        assert all(archive.read(path) == (kit / path).read_bytes() for path in wanted)
        note = archive.read(NOTE).decode("utf-8")
    assert all(path in note for path in wanted)
    assert "ukulele-tenor" in note
    assert "manuals" in note


def test_the_laser_note_counts_every_part(kit: Path) -> None:
    """The note names each stock once, with its thickness and how many of each part."""
    with zipfile.ZipFile(kit / bundle_path("ukulele-tenor", HelperBundle.LASER)) as archive:
        note = archive.read(NOTE).decode("utf-8")
    assert "birch-ply-12: birch plywood, 12 mm" in note
    assert "1 template plate" in note
    assert "2 caul" in note


def test_a_bundle_of_nothing_is_refused(tmp_path: Path) -> None:
    """A shop's bundle without drawings and solids is refused before a kit appears."""
    with pytest.raises(InputError, match="--bundle"):
        write_kit(load_job("ukulele-tenor"), tmp_path, (Group.PAPER,), bundles=(HelperBundle.SHOP,))
    assert list(tmp_path.iterdir()) == []
