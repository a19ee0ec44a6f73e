"""Which parts a booklet has not, who makes them from which files, and how to have them on paper too."""

from __future__ import annotations

from collections.abc import Iterable

from generator.cutting.making import files_for, hand_parts
from generator.documents.paper.words import words
from generator.jig.part import Part
from generator.job.model.job import Job


def parts_elsewhere(parts: Iterable[Part], job: Job) -> tuple[str, ...]:
    """A line for each way by which parts without paper are made, and one on how to print them; none without any."""
    every = tuple(parts)
    printed = {part.name for part in hand_parts(every, job)}
    ways: dict[str, list[str]] = {}
    for part in every:
        if part.name not in printed:
            ways.setdefault(files_for(part, job), []).append(part.title.lower())
    lines = [words("elsewhere", way=way, titles=titles) for way, titles in ways.items()]
    return (*lines, words("have_all")) if lines else ()
