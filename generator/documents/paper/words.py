"""How paper sheets read: words come from the templates, one a sheet, and every number in them arrives as text.

A template's first line is the sheet's title, its second the instruction under it; each further line is one note.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.base.annotation import Dimension
from generator.base.units import degrees
from generator.drawing.callout import Notation, dimension_text, length_text, length_words
from generator.drawing.dimension import Show
from generator.drawing.templates import environment
from generator.job.model.job import PartsJob


@dataclass(frozen=True)
class SheetWords:
    """A sheet's title, what to do with it, and its notes."""

    title: str
    instruction: str
    notes: tuple[str, ...]


def sheet_words(template: str, **context: object) -> SheetWords:
    """Title, instruction and notes from templates/paper/`template`.j2; an unknown name in it is an error."""
    title, instruction, *notes = _lines(template, context)
    return SheetWords(title, instruction, tuple(notes))


def words(template: str, **context: object) -> str:
    """The one line of templates/paper/`template`.j2."""
    (line,) = _lines(template, context)
    return line


def _lines(template: str, context: dict[str, object]) -> list[str]:
    text = environment().get_template(f"paper/{template}.j2").render(**context)
    return [" ".join(line.split()) for line in text.splitlines() if line.strip()]


@dataclass(frozen=True)
class CalloutFormat:
    """Numbers of one job as its sheets print them."""

    notation: Notation

    def length(self, mm: float) -> str:
        """A length inside a sentence, with its unit."""
        return length_words(mm, self.notation)

    def size(self, mm: float) -> str:
        """The amount of a length without its sign: which way it goes is said in words."""
        return length_words(abs(mm), self.notation)

    def angle(self, value: float) -> str:
        """An angle of `value` degrees inside a sentence."""
        return degrees(value)

    def callout(self, mm: float, note: str) -> str:
        """A length as it stands at a dimension, with a word on what it is."""
        return length_text(mm, self.notation, note=note)

    def show(self, dimension: Dimension) -> Show:
        """A dimension with its callout."""
        return Show(dimension, dimension_text(dimension, self.notation))


def bench_format(job: PartsJob) -> CalloutFormat:
    """Numbers in the units the job prints, inches as fractions: for what is marked with a rule."""
    return CalloutFormat(Notation(job.output.units))


def caliper_format(job: PartsJob) -> CalloutFormat:
    """Numbers in the units the job prints, inches to three decimals: for what is checked with a caliper."""
    return CalloutFormat(Notation(job.output.units, bench=False))
