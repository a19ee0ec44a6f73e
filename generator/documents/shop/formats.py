"""Sheet sizes of shop drawings, landscape, mm, how a sheet is divided, and what its title block says."""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.geometry2d import Box
from generator.base.units import inches
from generator.drawing.titleblock import BLOCK_HEIGHT, BLOCK_WIDTH, TitleBlock, frame_box, scale_text
from generator.job.model.job import Job, Paper

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
        return Box(frame.x0 + _MARK_GAP, frame.y0 + _GAP, frame.x1 - COLUMN, frame.y1 - _GAP)

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


@dataclass(frozen=True)
class SheetNumber:
    """Which of the set's sheets this is."""

    number: int
    count: int


def filled_block(
    job: Job, title: str, name: str, material: str, place: SheetNumber, format_: DrawingFormat, scale: float
) -> TitleBlock:
    """The title block of a drawing of `title`, which the job's files call `name`."""
    return TitleBlock(
        title=title,
        identification=f"{job.name} / {name}",
        material=material,
        scale=scale_text(scale),
        paper=format_.name,
        projection=job.output.projection,
        units=job.output.units,
        sheet_number=place.number,
        sheet_count=place.count,
    )
