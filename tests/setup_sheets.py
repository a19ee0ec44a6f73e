"""Setup sheets as they are printed, made once and read back by another library."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import pdf_ink
import pypdfium2 as pdfium
from made_once import store, unlike

from generator.documents.setup.setup import SetupSheet, setup_context
from generator.formats.setup_sheet import bench_card_pdf, setup_content, setup_sheet_html, setup_sheet_pdf
from generator.formats.setup_sheet.words import Content
from generator.jig.build import build_jig
from generator.jig.part import Jig
from generator.jig.results import results_dict
from generator.job.load import load_job
from generator.job.model.job import Job, Paper
from generator.joint.solution import Solution, solve
from generator.joint.stations import Use
from generator.kit.front_page import both_pictures

#: The ready jobs whose sheets say unlike things: besides the unlike ones the joint read over spacers, the fixed base
#: with a measured top and two depth blocks, the tilted end face with three bolts, no tenon at all, and the joint that
#: has no angle. What else is ready differs from these in its numbers alone.
SHEETS = list(unlike("nylon-forward", "auditorium-measured", "dreadnought-tilted", "folk-butt", "scrap-test"))


def read_pages(pdf: bytes) -> tuple[str, ...]:
    """The text of a PDF as pdfium reads it, page by page."""
    document = pdfium.PdfDocument(pdf)
    return tuple(document[i].get_textpage().get_text_range() for i in range(len(document)))


@dataclass(frozen=True)
class Made:
    """One job's sheet, and the text of its PDF as pdfium reads it, page by page."""

    solution: Solution
    jig: Jig
    told: SetupSheet
    content: Content
    pdf: bytes
    pages: tuple[str, ...]
    results: dict[str, Any]

    @cached_property
    def ink(self) -> tuple[pdf_ink.PageInk, ...]:
        """What stands on each page, as pdfium measures it."""
        return tuple(pdf_ink.read(self.pdf))

    @cached_property
    def card(self) -> bytes:
        """The bench card's PDF."""
        return store().kept(bench_card_pdf, self.content)

    @cached_property
    def card_text(self) -> str:
        return " ".join(" ".join(read_pages(self.card)).split())

    @cached_property
    def html(self) -> str:
        """The live page."""
        return store().kept(setup_sheet_html, self.content)

    @cached_property
    def text(self) -> str:
        return " ".join(" ".join(self.pages).split()).replace("−", "-")

    def after(self, words: str, count: int = 1) -> list[float]:
        """The first `count` numbers after `words`; those of an inch figure in brackets are passed over."""
        start = self.text.index(words) + len(words)
        metric = re.sub(r"\([^()]*\)", "", self.text[start : start + 400])
        return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", metric)[:count]]


def make(job: Job, paper: Paper | None = None) -> Made:
    solution = solve(job)
    jig = build_jig(solution)
    stages = [store().kept(both_pictures, solution.unplaced, jig, use)[1] for use in Use]
    content = setup_content(solution, jig, paper, stages=stages)
    pdf = store().kept(setup_sheet_pdf, content)
    results = json.loads(json.dumps(results_dict(solution, jig)))
    return Made(solution, jig, setup_context(solution, jig, paper), content, pdf, read_pages(pdf), results)


@cache
def made(job: str, paper: Paper | None = None) -> Made:
    return make(load_job(job), paper)
