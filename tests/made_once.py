"""What many tests look at and none changes, made once: ready jobs solved, their jigs and solids, their kits.

Solved jobs and jigs are kept in the process; the files of kits are kept in the store of the run (`conftest`), which all
processes of the run share.
"""

from __future__ import annotations

import os
from collections.abc import Collection
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from generator.base.store import Store, users_store
from generator.documents.paper import paper_sheets
from generator.documents.shop import shop_drawings
from generator.drawing.sheet import Sheet
from generator.jig.build import build_jig
from generator.jig.buildability import with_standing
from generator.jig.part import Jig
from generator.job.load import load_job
from generator.job.model.job import Job
from generator.job.presets import PresetKind, list_presets
from generator.job.shop import Shop
from generator.joint.solution import Solution, solve
from generator.kit.groups import Group
from generator.kit.pipeline import MadeKit, write_kit

if TYPE_CHECKING:
    from generator.solid import Solids

#: Every job that ships.
READY = tuple(preset.name for preset in list_presets(PresetKind.JOBS))
#: Set to 1, every rule is tried on all that it holds for; else, where it costs much, on a few unlike ones.
THOROUGH = os.environ.get("HEELWRIGHT_THOROUGH", "") == "1"
#: Three jobs as unlike as any: a guitar's jig of plywood, one of metal for a left-handed guitar with tapped edges, and
#: the small one for a ukulele.
UNLIKE = ("orchestra-14", "orchestra-left", "ukulele-tenor")


def unlike(*others: str) -> tuple[str, ...]:
    """The jobs to try a costly rule on: all ready ones in a thorough run, else the unlike ones and these `others`."""
    return READY if THOROUGH else (*UNLIKE, *others)


@cache
def solved(name: str) -> Solution:
    """A ready job without anybody's shop file, solved and its jig's stand judged."""
    return with_standing(solve(load_job(name, Shop())))


@cache
def jig(name: str) -> Jig:
    """The jig of a ready job."""
    return build_jig(solved(name))


def made(name: str) -> tuple[Solution, Jig]:
    """A ready job solved, and its jig."""
    return solved(name), jig(name)


@cache
def solids(name: str) -> Solids:
    """Every part of a ready job's jig as a solid."""
    from generator.solid import jig_solids

    return jig_solids(jig(name))


@cache
def paper(name: str) -> tuple[Sheet, ...]:
    """The paper sheets of a ready job."""
    return paper_sheets(*made(name), store=store())


def shop_sheets(solution: Solution, parts: Jig) -> tuple[Sheet, ...]:
    """The shop drawings of any job, which take seconds; kept in the store of the run."""
    return tuple(store().kept(shop_drawings, solution.unplaced, parts))


@cache
def store() -> Store:
    """The store of this run."""
    return users_store(os.environ)


def write(job: Job, out: Path, groups: Collection[Group] = tuple(Group), **asked: Any) -> MadeKit:
    """`write_kit`, with what is in the store of the run where it is there."""
    return write_kit(job, out, groups, store=store(), **asked)


def kit(job: Job, out: Path, groups: Collection[Group] = tuple(Group), **asked: Any) -> Path:
    """The folder of the kit that `write` makes."""
    return write(job, out, groups, **asked).folder
