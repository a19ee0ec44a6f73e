"""Reads a STEP file as text, without the CAD kernel: enough to tell size, thickness, round walls and where it is from.

ISO 10303-21 is a list of numbered entities; corner points and cylinders stand in it as plain numbers.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from generator.errors import OutputError
from generator.geometry3d import P3

_ENTITY = re.compile(r"#(\d+)=([A-Z_0-9]+)\((.*?)\);", re.DOTALL)
_POINT = re.compile(r"\(([^()]*)\)$")
_REFERENCE = re.compile(r"#(\d+)")
_MILLIMETRE = "SI_UNIT(.MILLI.,.METRE.)"
_PROGRAM = re.compile(r"'(Heelwright [^']*)'")
_NAMES = re.compile(r"\bPRODUCT\('((?:[^']|'')*)'")


@dataclass(frozen=True)
class RoundWall:
    """A cylindrical wall: radius in mm, a point on its axis, the axis' direction."""

    radius: float
    origin: P3
    direction: P3


@dataclass(frozen=True)
class StepText:
    """What a STEP file says of itself, and of its corners and round walls, lengths as written (mm where `metric`)."""

    name: str
    program: str
    products: tuple[str, ...]
    metric: bool
    solids: int
    corners: tuple[P3, ...]
    walls: tuple[RoundWall, ...]

    @property
    def low(self) -> P3:
        """The least coordinates of all corners."""
        return P3(*(min(axis) for axis in zip(*self.corners, strict=True)))

    @property
    def high(self) -> P3:
        """The largest coordinates of all corners."""
        return P3(*(max(axis) for axis in zip(*self.corners, strict=True)))


def read_step_text(path: Path) -> StepText:
    """Read the STEP file at `path`. Raises OutputError where it is missing, no STEP file, or holds no corner."""
    try:
        text = path.read_text(encoding="ascii", errors="strict")
    except (OSError, UnicodeError) as error:
        raise OutputError(f"{path.name}: cannot be read as STEP ({error})") from error
    if not text.startswith("ISO-10303-21;"):
        raise OutputError(f"{path.name}: no STEP file")
    plain = _without_blanks(text)
    entities = {int(number): (kind, body) for number, kind, body in _ENTITY.findall(plain)}
    found = _Entities(entities)
    corners = tuple(found.corners())
    if not corners:
        raise OutputError(f"{path.name}: a STEP file without a single corner")
    program = _PROGRAM.search(text)
    return StepText(
        path.name,
        program.group(1) if program else "",
        tuple(dict.fromkeys(_NAMES.findall(plain))),
        _MILLIMETRE in plain,
        sum(kind == "MANIFOLD_SOLID_BREP" for kind, _ in entities.values()),
        corners,
        tuple(found.walls()),
    )


def _without_blanks(text: str) -> str:
    """The text without line ends and blanks outside quotes, so that one entity is one unbroken run."""
    pieces = text.split("'")
    return "'".join("".join(piece.split()) if i % 2 == 0 else piece for i, piece in enumerate(pieces))


class _Entities:
    """The numbered entities, followed by their references."""

    def __init__(self, entities: Mapping[int, tuple[str, str]]) -> None:
        self._entities = entities

    def corners(self) -> Iterator[P3]:
        for kind, body in self._entities.values():
            if kind == "VERTEX_POINT":
                yield self._triple(self._references(body)[0])

    def walls(self) -> Iterator[RoundWall]:
        for kind, body in self._entities.values():
            if kind == "CYLINDRICAL_SURFACE":
                at, axis, *_ = self._references(self._body(self._references(body)[0]))
                yield RoundWall(float(body.rsplit(",", 1)[1]), self._triple(at), self._triple(axis))

    def _body(self, number: int) -> str:
        return self._entities[number][1]

    def _triple(self, number: int) -> P3:
        found = _POINT.search(self._body(number))
        if found is None:
            raise OutputError(f"entity #{number} is no point")
        x, y, z = (float(value) for value in found.group(1).split(","))
        return P3(x, y, z)

    @staticmethod
    def _references(body: str) -> list[int]:
        return [int(number) for number in _REFERENCE.findall(body)]
