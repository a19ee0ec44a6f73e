"""Reads a STEP file as text, without the CAD kernel: enough to tell size, thickness, round walls and where it is from.

ISO 10303-21 is a list of numbered entities; corner points and cylinders stand in it as plain numbers.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from generator.base.bounded_file import read_bounded
from generator.base.errors import OutputError
from generator.base.geometry3d import P3

#: Matches a numbered entity: its number, its kind (empty for a complex one), its arguments.
_ENTITY = re.compile(r"#(\d{1,9})=([A-Z_0-9]*)\((.*)\)", re.DOTALL)
#: Matches what parts a text into statements: a quote, a semicolon or a bracket.
_MARKS = re.compile(r"[';()]")
#: Most entities of one file: an assembled jig has a seventh of this.
_MOST_ENTITIES = 50_000
#: Most brackets in each other: an assembled jig has them three deep.
_DEEPEST = 20
#: Matches what no coordinates hold: a sign foreign to them, or an exponent of +100 and more.
_ODD_NUMBER = re.compile(r"[^0-9.,()E+-]|E\+?\d{3}", re.IGNORECASE)
#: Kinds of entity whose arguments are coordinates.
_PLACES = ("CARTESIAN_POINT", "DIRECTION")
#: Matches the last brackets in an entity's arguments and captures the numbers in them.
_POINT = re.compile(r"\(([^()]*)\)$")
#: Matches a reference to an entity and captures its number.
_REFERENCE = re.compile(r"#(\d{1,9})")
#: The unit of length of a file in millimetres, as its text without blanks has it.
_MILLIMETRE = "SI_UNIT(.MILLI.,.METRE.)"
#: Matches the quoted name of Heelwright with its version.
_PROGRAM = re.compile(r"'(Heelwright [^']*)'")
#: Matches a product and captures its quoted name, in which a quote stands doubled.
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
        text, entities = step_entities(read_bounded(path))
        found = _Entities(entities)
        corners, walls = tuple(found.corners()), tuple(found.walls())
    except OutputError as error:
        raise OutputError(f"{path.name}: {error}") from error
    except (ValueError, IndexError, KeyError) as error:
        raise OutputError(f"{path.name}: cannot be read as STEP ({error})") from error
    if not corners:
        raise OutputError(f"{path.name}: a STEP file without a single corner")
    program = _PROGRAM.search(text)
    return StepText(
        path.name,
        program.group(1) if program else "",
        tuple(dict.fromkeys(_NAMES.findall(text))),
        _MILLIMETRE in text,
        sum(kind == "MANIFOLD_SOLID_BREP" for kind, _ in entities.values()),
        corners,
        walls,
    )


def step_points(path: Path) -> Counter[tuple[str, str]]:
    """Every point and direction in the STEP file at `path` as its text, with how often it stands there."""
    try:
        _, entities = step_entities(read_bounded(path))
    except OutputError as error:
        raise OutputError(f"{path.name}: {error}") from error
    return Counter((kind, body.partition(",")[2]) for kind, body in entities.values() if kind in _PLACES)


def step_entities(data: bytes) -> tuple[str, dict[int, tuple[str, str]]]:
    """The text of a STEP file without its blanks, and its numbered entities, each as kind and arguments.

    OutputError for anything else: text cut short, an entity left open, a reference to none or round in a ring, more of
    anything than a kit has. What passes here the CAD kernel can read without losing itself.
    """
    text = _plain(data)
    if not text.startswith("ISO-10303-21;") or not text.endswith("END-ISO-10303-21;"):
        raise OutputError("no STEP file, or one cut short")
    statements = _statements(text)
    if len(statements) > _MOST_ENTITIES:
        raise OutputError(f"{len(statements)} entities, of which {_MOST_ENTITIES} at most are read")
    entities: dict[int, tuple[str, str]] = {}
    for statement in statements:
        found = _ENTITY.fullmatch(statement)
        if found is None:
            if statement.startswith("#"):
                raise OutputError(f"the entity {statement[:40]} is left open")
            continue
        number = int(found.group(1))
        if number in entities:
            raise OutputError(f"entity #{number} stands there twice")
        entities[number] = (found.group(2), found.group(3))
        if found.group(2) in _PLACES and _ODD_NUMBER.search(found.group(3).rpartition("'")[2]):
            raise OutputError(f"entity #{number} has a coordinate that is no number")
    _demand_tree(entities)
    return text, entities


def _plain(data: bytes) -> str:
    """The text without line ends and blanks outside quotes, so that one entity is one unbroken run."""
    try:
        pieces = data.decode("ascii").split("'")
    except UnicodeDecodeError as error:
        raise OutputError(f"no text in ASCII: {error.reason}") from error
    return "'".join("".join(piece.split()) if i % 2 == 0 else piece for i, piece in enumerate(pieces))


def _statements(text: str) -> list[str]:
    """What stands between the semicolons, those in quotes left out; brackets closed in each."""
    found: list[str] = []
    start = depth = 0
    quoted = False
    for mark in _MARKS.finditer(text):
        sign = mark.group()
        if sign == "'":
            quoted = not quoted
        elif quoted:
            continue
        elif sign == ";":
            if depth:
                raise OutputError(f"the entity {text[start : start + 40]} is left open")
            found.append(text[start : mark.start()])
            start = mark.end()
        else:
            depth += 1 if sign == "(" else -1
            if not 0 <= depth <= _DEEPEST:
                raise OutputError(f"brackets {depth} deep in {text[start : start + 40]}")
    if quoted or depth:
        raise OutputError("a text or a bracket is left open")
    return found


def _demand_tree(entities: Mapping[int, tuple[str, str]]) -> None:
    """Refuse references to entities that are not there, and rings of them: who follows those never ends."""
    unseen = {number: _references_of(body) for number, (_, body) in entities.items()}
    lost = next((to for references in unseen.values() for to in references if to not in entities), None)
    if lost is not None:
        raise OutputError(f"entity #{lost} is asked for and is not there")
    waits = {number: len(references) for number, references in unseen.items()}
    users: dict[int, list[int]] = {}
    for number, references in unseen.items():
        for to in references:
            users.setdefault(to, []).append(number)
    free = [number for number, count in waits.items() if not count]
    while free:
        for user in users.get(free.pop(), ()):
            waits[user] -= 1
            if not waits[user]:
                free.append(user)
    if any(waits.values()):
        raise OutputError("entities that refer to each other in a ring")


def _references_of(body: str) -> list[int]:
    outside = "".join(body.split("'")[::2])
    return [int(number) for number in _REFERENCE.findall(outside)]


class _Entities:
    """The numbered entities, followed by their references."""

    def __init__(self, entities: Mapping[int, tuple[str, str]]) -> None:
        self._entities = entities

    def corners(self) -> Iterator[P3]:
        for kind, body in self._entities.values():
            if kind == "VERTEX_POINT":
                yield self._triple(_references_of(body)[0])

    def walls(self) -> Iterator[RoundWall]:
        for kind, body in self._entities.values():
            if kind == "CYLINDRICAL_SURFACE":
                at, axis, *_ = _references_of(self._body(_references_of(body)[0]))
                yield RoundWall(float(body.rsplit(",", 1)[1]), self._triple(at), self._triple(axis))

    def _body(self, number: int) -> str:
        return self._entities[number][1]

    def _triple(self, number: int) -> P3:
        found = _POINT.search(self._body(number))
        if found is None:
            raise OutputError(f"entity #{number} is no point")
        x, y, z = (float(value) for value in found.group(1).split(","))
        if not all(map(math.isfinite, (x, y, z))):
            raise OutputError(f"entity #{number} is no point")
        return P3(x, y, z)
