"""What people type into a job file or a command: read, or refused with the line to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from generator.base.errors import InputError
from generator.base.toml_file import read_toml
from generator.commands.cli import program
from generator.job.presets import holds_number

#: Value as typed behind the =, and the line that the refusal gives.
SLIPS = [
    ("7/8 in", 'key = "7/8 in"'),
    ("88mm", 'key = "88mm"'),
    ("98,5", "key = 98.5"),
    ("98,5 mm", 'key = "98,5 mm"'),
    ("3 7/8 inch   # caliper", 'key = "3 7/8 inch"'),
    ("⅞ in", 'key = "⅞ in"'),
    ('1-3/4"', 'key = "1-3/4 in"'),
    ("1.5 deg", 'key = "1.5 deg"'),
    ("left", 'key = "left"'),
    ('"88 mm', 'key = "88 mm"'),
]


def refusal(tmp_path: Path, text: str) -> InputError:
    path = tmp_path / "bench.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_toml(path)
    return refused.value


@pytest.mark.parametrize(("typed", "line"), SLIPS, ids=[typed for typed, _ in SLIPS])
def test_a_value_without_quotes_gets_the_line_to_write(typed: str, line: str, tmp_path: Path) -> None:
    """The refusal names line and key and has the whole line as it can be read, and that line then reads."""
    (fault,) = refusal(tmp_path, f"[a]\nother = 1\nkey = {typed}\nlast = 2\n").faults
    assert fault.key == "line 3, key"
    assert fault.allowed == f"the line {line}"
    (tmp_path / "good.toml").write_text(f"{line}\n", encoding="utf-8")
    assert "key" in read_toml(tmp_path / "good.toml")


@pytest.mark.parametrize("end", ["", "\nlast = 2\n", "   # to be measured\n"])
def test_a_value_left_out_is_said_to_be_left_out(end: str, tmp_path: Path) -> None:
    """An empty value is called that, not a matter of quotes; the last line of a file too."""
    (fault,) = refusal(tmp_path, f"[a]\nkey ={end}").faults
    assert fault.found == "no value behind the ="
    assert fault.key == "line 2, key"
    assert "quotes" not in fault.allowed


def test_all_such_slips_are_told_at_once(tmp_path: Path) -> None:
    """A file with three of them is corrected in one go, not in three; a comment or a text that looks so is none."""
    text = 'a = 7/8 in\n# b = 3 in\nc = "d = 5 in"\ne =\nf = [\n  1,\n]\ng = 88mm\n'
    assert [fault.key for fault in refusal(tmp_path, text).faults] == ["line 1, a", "line 4, e", "line 8, g"]


def test_other_faults_of_toml_keep_the_parsers_words(tmp_path: Path) -> None:
    """A broken heading is no value without quotes."""
    (fault,) = refusal(tmp_path, "[a\nkey = 1\n").faults
    assert "valid TOML in '[a'" in fault.allowed


@pytest.mark.parametrize("value", ['"98,5 mm"', '"⅞ in"', '"1-3/4 in"', '"2 inch"', "[0.1, 2]"])
def test_a_presets_number_counts_in_every_spelling(value: str) -> None:
    """A number with comma or fraction sign needs its source in a preset like any other."""
    assert holds_number(value)


def run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(program(words[0]), list(words))
    return done.exit_code, done.stdout, done.stderr


def test_a_preset_may_be_named_without_its_kind() -> None:
    """A name that one kind has is printed; one that two kinds have is refused with both lines, and those run."""
    assert run("presets", "inch-half")[1] == run("presets", "routers", "inch-half")[1]
    code, _, words = run("presets", "orchestra-14")
    assert code == 1
    for kind in ("instruments", "jobs"):
        assert f"heelwright presets {kind} orchestra-14" in words
        assert run("presets", kind, "orchestra-14")[0] == 0


def test_a_reading_with_a_comma_is_read() -> None:
    """`adjust --gap 3,1` is 3.1 mm, and so is every other length of a command line."""
    assert run("adjust", "orchestra-14", "--gap", "3,1") == run("adjust", "orchestra-14", "--gap", "3.1")
