"""The kit's first page: the jig in use, key numbers, proved or not, what goes to whom. No script, no network."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from markupsafe import Markup

from generator import __version__
from generator.base.store import NO_STORE, Store
from generator.documents.setup.pictures import setup_stage
from generator.documents.setup.setup import setup_context
from generator.documents.setup.stage_picture import stage_picture, stage_seen
from generator.documents.shop.drawing_set import sheet_parts
from generator.drawing.picture import Picture
from generator.drawing.sheet import Sheet
from generator.drawing.templates import environment
from generator.jig.part import Jig
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.job.command_line import CALIBRATE_LASER
from generator.joint.checks import Check
from generator.joint.solution import Solution
from generator.joint.stations import Use, uses
from generator.kit.groups import Group
from generator.kit.report import passed
from generator.kit.sheet_preview import SheetFigure, sheet_figures

#: File name of a kit's front page.
FRONT_PAGE = "index.html"
#: Folder of a kit's pictures of the jig in use.
PICTURES = "pictures"
#: Width of a picture of the jig in use, mm.
_WIDTH = 180.0
#: Height of a picture of the jig in use, mm.
_HEIGHT = 150.0
#: Matches an XML declaration and the space after it: a picture inside a page has none.
_PROLOG = re.compile(r"<\?xml[^>]*\?>\s*")
#: Each use of the jig to the caption of its picture.
_CAPTIONS = {Use.NECK: "The neck cut", Use.BODY: "The body cut: the jig turned round"}


@dataclass(frozen=True)
class FrontLine:
    """One file or more of one kind: where they are, what they are for, and a picture that shows them."""

    links: tuple[str, ...]
    words: str
    picture: str | None = None


@dataclass(frozen=True)
class Pictures:
    """What the first page shows: `stages`, the jig in its two uses, small, for the setup sheet; the nested `sheets`."""

    stages: tuple[Sheet, ...]
    sheets: tuple[SheetFigure, ...]


@dataclass(frozen=True)
class Helper:
    """What goes to one helper: the bench, a printer, a laser, a shop."""

    title: str
    note: str
    lines: tuple[FrontLine, ...]
    sheets: tuple[SheetFigure, ...] = ()

    def pictured(self) -> Helper:
        """The same with a picture: where no file of it has one, its first file shows the jig in use."""
        if self.sheets or any(line.picture for line in self.lines):
            return self
        first, *others = self.lines
        return replace(self, lines=(replace(first, picture=picture_path(Use.NECK)), *others))


def picture_path(use: Use) -> str:
    """Where a kit keeps the picture of one cut."""
    return f"{PICTURES}/{use.value}_cut.svg"


def use_picture(solution: Solution, jig: Jig, use: Use, picture: Picture | None = None) -> Sheet:
    """The picture of the jig in one use, with its names; `picture` is its `stage_seen`, where it is at hand."""
    return stage_picture(solution, jig, use, _WIDTH, _HEIGHT, picture=picture)


def both_pictures(solution: Solution, jig: Jig, use: Use) -> tuple[bytes, Sheet]:
    """The picture of one cut as SVG, and the same, small, for the setup sheet."""
    from generator.formats.svg.write import svg_bytes

    picture = stage_seen(solution, jig, use)
    return svg_bytes(use_picture(solution, jig, use, picture)), setup_stage(solution, jig, use, picture)


def write_pictures(
    solution: Solution, jig: Jig, folder: Path, store: Store = NO_STORE, nested: bool = True
) -> Pictures:
    """Write the pictures of the jig in each use under `folder`; what the setup sheet and the first page show.

    Without `nested` the sheets are not drawn.
    """
    (folder / PICTURES).mkdir()
    small = []
    for use in uses(solution.joint):
        large, stage = store.kept(both_pictures, solution.unplaced, jig, use)
        (folder / picture_path(use)).write_bytes(large)
        small.append(stage)
    return Pictures(tuple(small), store.kept(sheet_figures, solution.unplaced, jig) if nested else ())


def write_front_page(
    solution: Solution,
    jig: Jig,
    folder: Path,
    proof: tuple[Check, ...] | None,
    stale: Collection[str],
    sheets: tuple[SheetFigure, ...],
    place: Path | None = None,
) -> None:
    """Write `folder`/index.html for the files that stand in `folder`; `stale` names groups of an earlier job.

    `sheets` are shown where the laser's group is of this job. `place` is where the kit will stand, as it is named from
    where the commands will be given.
    """
    job = solution.job
    context = setup_context(solution, jig, job.output.paper[0], proof, place)
    shown = () if Group.LASER.value in stale else sheets
    shop = bool(sheet_parts(solution, jig))
    page = (
        environment(escaped=True)
        .get_template("index.html.j2")
        .render(
            job=job.name,
            made_by=f"Heelwright {__version__}, job {job.name}",
            proved=proof is not None,
            verdict=passed((*solution.checks, *(proof or ()))),
            to_mind=context.to_mind,
            stale=sorted(stale),
            pictures=[
                (_CAPTIONS[use], _inline((folder / picture_path(use)).read_text(encoding="utf-8")))
                for use in uses(solution.joint)
            ],
            facts=context.facts,
            inline=_inline,
            helpers=[helper.pictured() for helper in _helpers(folder, shown, shop) if helper.lines],
            stocks=context.stocks,
            commands=context.commands,
        )
    )
    (folder / FRONT_PAGE).write_text(page + "\n", encoding="utf-8", newline="\n")


def _inline(svg: str) -> Markup:
    # Fonts are embedded once a picture; on the page one family serves all.
    return Markup(_PROLOG.sub("", svg))


def _helpers(folder: Path, sheets: tuple[SheetFigure, ...], shop: bool) -> Iterator[Helper]:
    """What of the files in `folder` goes to whom, in the order in which a builder wants it; `shop`: one makes parts."""
    yield Helper(
        "Keep at the bench",
        "Prop it up and work down it; the page keeps your ticks and readings.",
        _lines(
            folder,
            (["setup_sheet.html"], "setup sheet with live ticks and boxes", picture_path(Use.NECK)),
            (["setup_sheet.pdf"], "the same to print, four pages at most, with fewer pictures"),
            (["bench_card.pdf"], "this job's settings and the table of readings, one page"),
        ),
    )
    yield Helper(
        "Print",
        "At 100 %, actual size. Measure the square on page 1 before you cut anything.",
        _lines(
            folder,
            (
                ["paper/booklet.*.pdf"],
                "full-scale templates: the joint, what hands make",
                f"paper/{TEMPLATE_PLATE.name}.svg",
                "paper/body_end_face.svg",
            ),
        ),
    )
    yield Helper(
        "Send to a laser or a CNC router",
        "Millimetres, nominal size unless the name says kerf. Cut the coupon first: "
        f"{CALIBRATE_LASER} says how to give its number, make --kerf then allows for it. Never PVC or vinyl.",
        _lines(
            folder,
            (["laser/kerf-coupon-*.dxf"], "kerf coupon"),
            (["laser/sheet-*.dxf"], "nested sheets, one set a stock"),
        ),
        sheets,
    )
    yield _shop_helper(folder) if shop else _assembly_helper(folder)
    yield Helper(
        "Look at",
        "Nothing here is needed to make the jig.",
        _lines(
            folder,
            (["jig.glb"], "3D model, opens in any viewer of glTF", picture_path(Use.BODY), picture_path(Use.NECK)),
            (["proof/cut.svg"], "what the plate's file really cuts", "proof/cut.svg"),
            (["proof/gap.svg"], "how far the gap may come out from what is wanted", "proof/gap.svg"),
            (["results.json", "job.toml"], "every number, and the job that makes this kit again"),
        ),
    )


def _shop_helper(folder: Path) -> Helper:
    return Helper(
        "Send to a machine shop",
        "A drawing governs where a part has one, else its DXF and STEP file do.",
        _lines(
            folder,
            (["drawings/set.pdf"], "set of drawings", "drawings/jig.svg"),
            (["step/jig.step"], "the assembled jig; single parts beside it"),
        ),
    )


def _assembly_helper(folder: Path) -> Helper:
    """For a jig of which no shop makes a part: its drawing shows the whole, parts have templates and cutting files."""
    return Helper(
        "Put together by",
        "No part of this jig needs a machine shop: make them by the booklet and the cutting files.",
        _lines(
            folder,
            (
                ["drawings/set.pdf"],
                "the jig put together, one sheet: parts, screws, order of assembly, and what must be accurate",
                "drawings/jig.svg",
            ),
            (["step/jig.step"], "the assembled jig as a solid, and each part beside it, for CAD and CAM"),
        ),
    )


def _lines(folder: Path, *rows: tuple[Sequence[str], str, *tuple[str, ...]]) -> tuple[FrontLine, ...]:
    """The rows of which there is a file, each with the first of its pictures that is there too."""
    found = []
    for patterns, words, *pictures in rows:
        paths = [path.relative_to(folder).as_posix() for pattern in patterns for path in sorted(folder.glob(pattern))]
        if paths:
            shown = next((one for one in pictures if (folder / one).is_file()), None)
            found.append(FrontLine(tuple(paths), words, shown))
    return tuple(found)
