"""The keys of results: a field's type gives its unit, and who reads a table back asks for the field."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Annotated

import pytest
from made_once import made

from generator.base.keyed import Deg, Inline, InMm, Key, Mm, Table, Told, keyed, keys_of
from generator.jig.results import results_dict
from generator.joint.joint import Joint
from generator.joint.neck_set import NeckSet

STATIC = Path(__file__).parent.parent / "generator" / "page" / "static"


class Way(Enum):
    UP = "up"


@dataclass(frozen=True)
class Inner:
    deep: Mm
    kept: float


@dataclass(frozen=True)
class Outer:
    gap: Mm
    lean: Deg
    way: Told[Way]
    sizes: InMm[tuple[float, ...]]
    inner: Told[Inner]
    laid: Inline[Inner]
    old: Annotated[Mm, Key("older_mm")]
    hidden: float


def test_a_field_is_told_under_its_name_and_unit() -> None:
    """Units, own keys, members, rows, nouns within nouns; what has no such type is left out."""
    found = keyed(Outer(1.0, 2.0, Way.UP, (3.0, 4.0), Inner(5.0, 6.0), Inner(7.0, 8.0), 9.0, 10.0))
    assert json.dumps(found) == (
        '{"gap_mm": 1.0, "lean_deg": 2.0, "way": "up", "sizes_mm": [3.0, 4.0], '
        '"inner": {"deep_mm": 5.0}, "deep_mm": 7.0, "older_mm": 9.0}'
    )


@dataclass(frozen=True)
class Square:
    side: float

    @property
    def round_about(self) -> float:
        return 4.0 * self.side


@dataclass(frozen=True)
class SquareEntry:
    round_about: Mm
    side: Mm


def test_another_noun_says_how_one_is_told() -> None:
    """In its own order and under its own keys, properties too; what is named `without` is left out."""
    assert list(keyed(Square(2.0), SquareEntry).items()) == [("round_about_mm", 8.0), ("side_mm", 2.0)]
    assert keyed(Square(2.0), SquareEntry, without=["side"]) == {"round_about_mm": 8.0}


def test_a_table_answers_for_fields_that_are_told_alone() -> None:
    """By the field's name; a name that is no told field is a slip of the program, a missing key one of the file."""
    table = Table(Outer, {"gap_mm": 1.0, "older_mm": 2.0})
    assert (table.gap, table.old) == (1.0, 2.0)
    with pytest.raises(AttributeError):
        _ = table.hidden
    with pytest.raises(KeyError):
        _ = table.lean


def test_no_key_of_the_results_is_written_twice() -> None:
    """A key that a noun's field gives stands nowhere in the package as text, the page's own programs apart."""
    nouns = [type(made(job)[0].joint) for job in ("orchestra-14", "folk-butt")]
    solution = made("orchestra-14")[0]
    nouns += [NeckSet, Joint, type(solution.cradle), type(solution.uncertainty), type(solution.joint.bolts[0])]
    declared = {key for noun in nouns for key in keys_of(noun).values() if key.endswith(("_mm", "_deg"))}
    assert len(declared) > 50
    package = STATIC.parent.parent
    found = []
    for path in sorted(package.rglob("*.py")):
        named = re.findall(r"(\w*)\(?\"(\w+_(?:mm|deg))\"", path.read_text(encoding="utf-8"))
        found += [f"{path.name}: {key}" for call, key in named if key in declared and call != "Key"]
    assert found == []


def test_the_page_shows_keys_that_the_results_have() -> None:
    """Every key in the page's list of numbers is one of results.json."""
    results = results_dict(*made("orchestra-14"))
    text = (STATIC / "numbers.js").read_text(encoding="utf-8")
    rows = re.findall(r"^  (\w+): \[((?:\"\w+\"(?:, )?)+)\]", text, flags=re.MULTILINE)
    assert len(rows) >= 5
    for table, keys in rows:
        for key in re.findall(r"\w+", keys):
            assert key in results[table], f"{table}.{key}"
