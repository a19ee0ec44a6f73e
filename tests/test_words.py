"""One wording: terms come from the glossary, keys from the model, and no word of a retired design is printed."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from generator.commands.cli import program
from generator.job.glossary import ON_THE_SHEET, TERMS
from generator.job.keys import all_keys

ROOT = Path(__file__).parent.parent
RETIRED = re.compile(r"\b(pivots?|set block|bed|nose|ribs?|stop ledge|spine|overstand)\b", re.IGNORECASE)
#: The bed of a machine is the trade's own word.
ALLOWED = ("the machine's bed",)
#: The stage's name in a command or a key, never in a sentence.
SHY = re.compile(r"(?<![-\"`_])\bshy\b(?![\"`_:=])", re.IGNORECASE)


def keys(*arguments: str) -> tuple[int, str]:
    done = CliRunner().invoke(program("keys"), ["keys", *arguments])
    return done.exit_code, done.output


def printed() -> Iterator[tuple[str, str]]:
    """Every template, guide and docstring of the package by its name."""
    for path in (ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "generator" / "page" / "english.toml"):
        yield path.name, path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "generator" / "documents" / "templates").rglob("*.j2")):
        yield path.name, path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "generator").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
                # Names of arguments stand between back-ticks.
                yield str(path.relative_to(ROOT)), re.sub(r"`[^`]*`", "", ast.get_docstring(node) or "")


def test_no_retired_word_is_left() -> None:
    """Words of a jig that swung, and overstand for the neck rise, stand in no page, guide or docstring."""
    found = []
    for name, text in printed():
        for allowed in ALLOWED:
            text = text.replace(allowed, "")
        found += [f"{name}: {match[0]}" for word in (RETIRED, SHY) for match in word.finditer(text)]
    assert found == []


@pytest.mark.parametrize("command", ["adjust", "log", "reset", "calibrate", "solve", "make", "new", "keys"])
def test_help_uses_the_trades_words(command: str) -> None:
    """No help page has a retired word, nor "shy" but as the option's own value and name."""
    page = CliRunner().invoke(program(command), [command, "--help"], env={"COLUMNS": "300"}).output
    assert RETIRED.search(page) is None
    assert re.search(r"\bshy\b", re.sub(r"--gap-shy|<shy\|final>|\[default: shy\]|shy: before", "", page)) is None


def test_one_table_is_that_tables_part() -> None:
    """`keys router` prints what the whole list says of the router, and no other table."""
    router = keys("router")[1]
    assert "[router]" in router
    assert "[jig]" not in router
    assert router.strip() in keys()[1]


def test_a_table_that_is_none_is_refused() -> None:
    """The refusal lists the tables."""
    code, text = keys("guitar")
    assert code == 1
    assert "instrument" in text


def test_sheet_keys_and_form_use_the_glossary() -> None:
    """`keys terms` prints every term; the sheet explains its own by the same sentences, the form the neck rise."""
    text = " ".join(keys("terms")[1].split())
    for term, sentence in TERMS.items():
        assert f"{term}: {sentence}" in text
    assert {term for paragraph in ON_THE_SHEET for term in paragraph} <= set(TERMS)
    sheet = (ROOT / "generator" / "documents" / "templates" / "setup_sheet.j2").read_text(encoding="utf-8")
    assert "for terms in s.terms" in sheet
    meaning = all_keys()["instrument.neck_rise"].meaning
    assert (meaning.label.lower(), meaning.sentence.lower()) == ("neck rise", TERMS["neck rise"])
