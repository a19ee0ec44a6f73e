"""A kit as it stands in its folder: what its files say, read once, and the job that its results were made from.

The outlines of the parts come from the cutting files alone. The job is rebuilt from the inputs that results.json
carries, so that a part's place in the jig and every number that was promised can be worked out anew.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import ValidationError

from generator.base.errors import Fault, GeometryError, InputError, OutputError
from generator.base.keyed import Table
from generator.base.strict_json import read_json
from generator.formats.dxf.read import CuttingFile, read_dxf
from generator.jig.build import build_jig
from generator.jig.part import Jig
from generator.jig.results import PartEntry, results_dict
from generator.jig.template_plate import TEMPLATE_PLATE
from generator.job.model.instrument import DomeTop, FlatTop, Instrument, MeasuredTop, Target, Top
from generator.job.model.jig import JigSpec
from generator.job.model.job import Job, OutputSpec, Printer, Tolerances
from generator.job.model.joint import JOINTS, BoltSpec, JointKind
from generator.job.model.router import Router
from generator.job.model.stock import Stock
from generator.joint.solution import Solution, solve
from generator.proof.listing import GROUP_OF, RESULTS, Listing, link_on_the_way, read_listing

#: Folder of a kit's cutting files, which is also the name of their group.
LASER = "laser"
#: The part whose outline decides the joint.
PLATE = TEMPLATE_PLATE.name
#: How the name of a stock's table begins in the inputs of the results.
_STOCK = "stock."


@dataclass(frozen=True)
class Kit:
    """One kit's folder and the results in it.

    `made` holds solution and jig when the caller has them already, `at_hand` the cutting files as they were read a
    moment before; `only` names the parts whose cutting files are wanted, None all of them.
    """

    folder: Path
    results: Mapping[str, Any]
    made: tuple[Solution, Jig] | None = None
    only: frozenset[str] | None = None
    at_hand: Mapping[str, CuttingFile | str] | None = None

    @property
    def name(self) -> str:
        return str(self.results["job"])

    @cached_property
    def solution(self) -> Solution:
        """The job of the results, solved anew."""
        return self.made[0] if self.made else solve(job_of(self.results, self.folder / RESULTS))

    @cached_property
    def jig(self) -> Jig:
        """The jig that this program builds for the job of the results."""
        return self.made[1] if self.made else build_jig(self.solution)

    @cached_property
    def expected(self) -> Mapping[str, Any]:
        """What results.json should say: worked out anew from its own inputs."""
        return MappingProxyType(results_dict(self.solution, self.jig))

    @cached_property
    def part_entries(self) -> Mapping[str, Table]:
        """What results.json says of each part, by its name: the fields of `PartEntry`."""
        tables = [Table(PartEntry, entry) for entry in self.results["parts"]]
        return MappingProxyType({table.name: table for table in tables})

    @cached_property
    def read(self) -> Mapping[str, CuttingFile | str]:
        """The cutting file of each part that has one in the folder, kerf undone; in words why one cannot be read."""
        if self.at_hand is not None:
            return self.at_hand
        found: dict[str, CuttingFile | str] = {}
        for name in self.part_entries:
            path = self.folder / LASER / f"{name}.dxf"
            if path.is_file() and (self.only is None or name in self.only):
                try:
                    found[name] = read_dxf(path).nominal()
                except (OutputError, GeometryError) as error:
                    found[name] = str(error)
        return MappingProxyType(found)

    @cached_property
    def cutting(self) -> Mapping[str, CuttingFile]:
        """The cutting files that could be read."""
        return MappingProxyType({name: file for name, file in self.read.items() if isinstance(file, CuttingFile)})

    @cached_property
    def listing(self) -> Listing | str:
        """What the manifest lists; in words why it cannot be read."""
        try:
            return read_listing(self.folder)
        except OutputError as error:
            return str(error)

    @property
    def listed(self) -> frozenset[str] | None:
        """The files that the manifest lists; None where the folder has no manifest that can be read."""
        return None if isinstance(self.listing, str) else frozenset(self.listing.files)

    def files(self, pattern: str) -> list[Path]:
        """The kit's files of that pattern, sorted; what else lies in the folder is the user's own and not judged."""
        found = sorted(self.folder.glob(pattern))
        if self.listed is None:
            return found
        return [path for path in found if path.relative_to(self.folder).as_posix() in self.listed]

    def holds(self, group: str) -> bool:
        """True when the kit has files of a group, such as "laser" or "step"."""
        if self.listed is None:
            return (self.folder / group).is_dir()
        return any(name.startswith(f"{group}/") for name in self.listed)


def open_kit(folder: Path) -> Kit:
    """The kit in `folder`. InputError where there is no such folder, or no results in it that can be read."""
    path = folder / RESULTS
    _refuse_links(folder)
    try:
        results = read_json(path)
    except (OSError, UnicodeDecodeError) as error:
        raise InputError([Fault(str(path), "", str(error), "the results of a kit, as `make` writes them")]) from None
    except ValueError as error:
        raise InputError([Fault(str(path), "", f"no JSON: {error}", "the results of a kit")]) from None
    missing = [key for key in _NEEDED if not isinstance(results, dict) or key not in results]
    if missing:
        raise InputError([Fault(str(path), key, "nothing", "the results of a kit") for key in missing])
    return Kit(folder, results)


def _refuse_links(folder: Path) -> None:
    """Raise InputError naming every folder of the kit that is a link: what it leads to is no part of the kit."""
    links = [name for name in GROUP_OF if link_on_the_way(folder, name) is not None]
    if links:
        allowed = "a folder or file of the kit's own: copy in what it leads to"
        raise InputError([Fault(str(folder / name), "", "a link", allowed) for name in links])


#: Top keys of results.json without which a folder is no kit.
_NEEDED = ("job", "version", "inputs", "neck_set", "joint", "router", "cradle", "template", "parts", "uncertainty")


def job_of(results: Mapping[str, Any], path: Path) -> Job:
    """The job that results were made from, rebuilt from their `inputs`; no preset and no shop file is looked at.

    InputError naming `path` where an input is missing or not allowed.
    """
    inputs: Mapping[str, Mapping[str, Any]] = results["inputs"]
    try:
        job = Job(
            name=str(results["job"]),
            instrument=Instrument(**_values(inputs["instrument"]), top=top_of(results)),
            target=Target(**_values(inputs["target"])),
            joint=_joint(inputs["joint"]),
            router=Router(**_values(inputs["router"])),
            jig=JigSpec(**_values(inputs["jig"])),
            output=OutputSpec(**_values(inputs["output"])),
            tolerances=Tolerances(**_values(inputs["tolerances"])),
            printer=Printer(**_values(inputs["printer"])),
            stocks={
                table.removeprefix(_STOCK): Stock(name=table.removeprefix(_STOCK), **_values(content))
                for table, content in inputs.items()
                if table.startswith(_STOCK)
            },
            inputs=inputs,
            source_path=path,
        )
    except KeyError as error:
        raise InputError([Fault(str(path), f"inputs.{error.args[0]}", "nothing", "the inputs of a job")]) from None
    except ValidationError as error:
        table = error.title.lower()
        raise InputError([_not_allowed(path, table, item["loc"], item["msg"]) for item in error.errors()]) from None
    except (TypeError, ValueError, AttributeError) as error:
        raise InputError([Fault(str(path), "inputs", str(error), "the inputs of a job")]) from None
    _refuse_strange_stocks(job, path)
    return job


def _joint(table: Mapping[str, Any]) -> Any:
    """The joint as the inputs give it; they name its kind where it is another than mortise and tenon."""
    values = _values(table) | {"bolts": BoltSpec(**table["bolts"]["value"])}
    return JOINTS[JointKind(values.get("kind", JointKind.MORTISE_TENON))](**values)


def _not_allowed(path: Path, table: str, where: tuple[int | str, ...], message: str) -> Fault:
    """A model's own refusal, which says what it found and what is allowed, as a fault of the results."""
    found, _, allowed = message.removeprefix("Value error, ").removeprefix("found ").partition("; allowed: ")
    return Fault(str(path), ".".join(("inputs", table, *map(str, where))), found, allowed or "the inputs of a job")


def _refuse_strange_stocks(job: Job, path: Path) -> None:
    """Raise InputError naming every key of the jig whose stock the results say nothing of."""
    named = {key: value for key, value in job.jig.model_dump().items() if key.endswith("_stock")}
    known = ", ".join(job.stocks)
    faults = [
        Fault(str(path), f"inputs.jig.{key}", f'"{value}"', known)
        for key, value in named.items()
        if value is not None and value not in job.stocks
    ]
    if faults:
        raise InputError(faults)


def top_of(results: Mapping[str, Any]) -> Top:
    """The instrument's top as the results' inputs give it."""
    values = _values(results["inputs"]["instrument.top"])
    forms: dict[str, Callable[..., Top]] = {"flat": FlatTop, "dome": DomeTop, "measured": MeasuredTop}
    return forms[values["form"]](**values)


def _values(table: Mapping[str, Any]) -> dict[str, Any]:
    """The values of one table; a key that carries none is left to its default."""
    found = {key: entry["value"] for key, entry in table.items()}
    return {key: value for key, value in found.items() if value is not None}
