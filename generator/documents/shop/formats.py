"""Sheet sizes of shop drawings, landscape, mm, how a sheet is divided, and what its title block says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generator.base.points2d import Box
from generator.base.units import inches
from generator.documents.shop.surfaces import edge_words, finish_words
from generator.drawing.callout import Notation
from generator.drawing.titleblock import BLOCK_HEIGHT, BLOCK_WIDTH, SCALES, TitleBlock, frame_box, scale_text
from generator.jig.part import Part
from generator.job.model.job import Paper, PartsJob

#: Parts are drawn no larger than twice their size.
_LARGEST_SCALE = 2.0
#: Clear space round the column and inside the frame, mm.
_GAP = 5.0
#: The centring marks reach 5 mm in from the frame; nothing touches them.
_MARK_GAP = 7.0
#: What lies right of the views: title block, tables, the pictorial view.
COLUMN = BLOCK_WIDTH + 2.0 * _GAP


@dataclass(frozen=True)
class DrawingFormat:
    """One sheet size by its standard's name."""

    name: str
    width: float
    height: float

    @property
    def views(self) -> Box:
        """Where the dimensioned views stand: all of the frame left of the column."""
        frame = frame_box(self.width, self.height)
        return Box(frame.x0 + _MARK_GAP, frame.y0 + _GAP, frame.x1 - COLUMN, frame.y1 - _MARK_GAP)

    @property
    def column(self) -> Box:
        """Above the title block: tables from the foot up, the pictorial view at the top."""
        frame = frame_box(self.width, self.height)
        return Box(frame.x1 - BLOCK_WIDTH, frame.y0 + BLOCK_HEIGHT + _GAP, frame.x1 - _MARK_GAP, frame.y1 - _GAP)


#: ISO 216 A3, A2, A1.
ISO_FORMATS = (DrawingFormat("A3", 420.0, 297.0), DrawingFormat("A2", 594.0, 420.0), DrawingFormat("A1", 841.0, 594.0))

#: ASME Y14.1 B, C, D.
ASME_FORMATS = (
    DrawingFormat("ASME B", inches(17), inches(11)),
    DrawingFormat("ASME C", inches(22), inches(17)),
    DrawingFormat("ASME D", inches(34), inches(22)),
)


def formats_for(papers: tuple[Paper, ...]) -> tuple[DrawingFormat, ...]:
    """The family of sheet sizes that goes with the job's paper, smallest first."""
    return ASME_FORMATS if papers[0] in (Paper.LETTER, Paper.TABLOID) else ISO_FORMATS


def part_sizes(formats: Sequence[DrawingFormat]) -> Iterator[tuple[DrawingFormat, float]]:
    """Every sheet size with every scale for parts on it, in the order of `formats`, the largest scale first."""
    for format_ in formats:
        for scale, _ in SCALES:
            if scale <= _LARGEST_SCALE:
                yield format_, scale


@dataclass(frozen=True)
class SheetNumber:
    """Which of the set's sheets this is."""

    number: int
    count: int


@dataclass(frozen=True)
class Subject:
    """What a sheet shows: its title, what the job's files call it, the parts to make and the shims it lists.

    `made_to` are the parts of an assembly whose finish and edges no other sheet tells.
    """

    title: str
    name: str
    parts: tuple[Part, ...] = ()
    shims: tuple[Part, ...] = ()
    made_to: tuple[Part, ...] = ()


def filled_block(
    job: PartsJob, subject: Subject, place: SheetNumber, format_: DrawingFormat, scale: float
) -> TitleBlock:
    """The title block of a drawing; without parts it is the assembly's, which leaves surfaces to its parts' sheets."""
    notation = Notation(job.output.units, bench=False)
    parts, shims = subject.parts, subject.shims
    told, elsewhere = parts or subject.made_to, "see each part"
    materials = dict.fromkeys(job.stocks[part.stock].material for part in (*parts, *shims))
    return TitleBlock(
        title=subject.title,
        identification=f"{job.name} / {subject.name}",
        material=", ".join(materials) if parts else "see the parts list",
        document="Part drawing" if parts else "Assembly drawing",
        finish=finish_words(told, job, notation) if told else elsewhere,
        edges=edge_words(told, shims, notation) if told else elsewhere,
        revision=job.issue.revision or "",
        date=job.issue.date or "",
        scale=scale_text(scale),
        paper=format_.name,
        projection=job.output.projection,
        units=job.output.units,
        sheet_number=place.number,
        sheet_count=place.count,
    )
