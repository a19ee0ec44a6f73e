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
from generator.job.tables import KEYS, MODELS, WHOLE_KEYS
from generator.page.fields import all_fields
from generator.page.words import field_words

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


def test_every_key_of_a_job_is_listed_with_its_range() -> None:
    """`keys` names each key of the models with what it allows; one table alone is that table's part."""
    code, text = keys()
    joined = " ".join(text.split())
    assert code == 0
    for field in all_fields().values():
        assert " ".join(f"{field.key.rpartition('.')[2]}: {field.kind.allowed};".split()) in joined, field.key
    listed = {field.key for field in all_fields().values()}
    assert {f"{table}.{key}" for table in ("job", *MODELS) for key in KEYS[table]} <= listed
    assert {f"{table}.{key}" for table, names in WHOLE_KEYS.items() for key in names} <= listed
    router = keys("router")[1]
    assert "[router]" in router
    assert "[jig]" not in router
    assert router.strip() in text


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
    assert set(ON_THE_SHEET) <= set(TERMS)
    sheet = (ROOT / "generator" / "documents" / "templates" / "setup_sheet.j2").read_text(encoding="utf-8")
    assert "for term in s.terms" in sheet
    label, about = field_words("instrument.neck_rise")
    assert (label.lower(), about.lower()) == ("neck rise", TERMS["neck rise"])
