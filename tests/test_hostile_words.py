"""Words that a person did not mean: signs that nobody sees end in no file and on no terminal, and every file that is
changed is read within bounds before and after."""

from __future__ import annotations

import ast
import errno
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from generator.base.atomic_file import write_atomically
from generator.base.errors import Fault, InputError, OutputError, refusal_of
from generator.base.plain_text import is_plain, plain, shortened
from generator.base.toml_file import LARGEST, read_toml
from generator.classes.folder import RECORD, read_record
from generator.commands.cli import program
from generator.commands.prove import report
from generator.documents.setup.record import read_record as read_sheet
from generator.job.load import load_job
from generator.job.model.field_types import shown, toml_text
from generator.job.shop import Shop
from generator.job.toml_edit import append_table, change_file, change_table
from generator.joint.build_log import Build, append_build, predictions, read_log
from generator.joint.checks import CheckStatus
from generator.joint.readings import Measured
from generator.joint.solution import Check, solve
from generator.kit.crew import MOST_WORKERS
from generator.kit.sweep_inputs import read_vary
from generator.proof.verdict import Proof

ROOT = Path(__file__).parent.parent
#: An escape sequence, a bell, a line end of old, one of C1, line and paragraph separators, marks of direction (Unicode
#: Standard Annex #9), half a character, a byte order mark.
UNSEEN = ("\x1b[31m", "\a", "\r", "\x85", "\u2028", "\u2029", "\u202e", "\u2066", "\u200f", "\udcff", "\ufeff")
#: A file whose brackets are 3000 deep.
DEEP = "x = " + "[" * 3000
#: A file with a number of 9000 digits.
LONG = "x = " + "9" * 9000


@pytest.mark.parametrize("sign", UNSEEN, ids=ascii)
@pytest.mark.parametrize("option", ["--note", "--label"])
def test_a_remark_shows_all_it_holds(sign: str, option: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`log` refuses a note or label with a sign that is not seen, by its option, and writes nothing."""
    monkeypatch.chdir(tmp_path)
    words = ("log", "orchestra-14", "--date", "2024-05-31", "--gap-final", "3.4", option, f"a{sign}b")
    found = CliRunner().invoke(program(), words)
    assert found.exit_code == 1, found.exception
    assert option in found.stderr
    assert is_plain(found.stderr.replace("\n", ""))
    assert list(tmp_path.iterdir()) == []


def test_words_of_any_alphabet_are_kept(tmp_path: Path) -> None:
    """Accents, hard blanks, tabs, marks of joining and other planes stay as they are, markup and formulas too."""
    solution = solve(load_job("orchestra-14", Shop()))
    for note in ("Zoë ½\u00a0mm", "\t=1+1", "<b>&\"'", "👩\u200d🔧", "שלום", "中文"):
        path = tmp_path / f"{len(note)}-{ord(note[0])}.log.toml"
        append_build(path, Build("2024-05-31", {Measured.GAP_FINAL: 2.9}, predictions(solution), note=note))
        assert read_log(path)[0].note == note


@pytest.mark.parametrize("sign", ["\\u001b", "\\u202E", "\\r"])
def test_a_remark_in_a_file_is_judged_as_one_that_is_typed(sign: str, tmp_path: Path) -> None:
    """A log and an exported sheet that hold such a sign are refused by key."""
    log, sheet = tmp_path / "a.log.toml", tmp_path / "a.record.toml"
    log.write_text(f'[[build]]\ndate = "2024-05-31"\nnote = "a{sign}b"\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"build 1\.note"):
        read_log(log)
    sheet.write_text(f'job = "x"\nunit = "mm"\nchecksum = "a{sign}b"\n', encoding="utf-8")
    with pytest.raises(InputError, match="checksum"):
        read_sheet(sheet)


@pytest.mark.parametrize("sign", UNSEEN, ids=ascii)
def test_a_refusal_writes_out_what_is_not_seen(sign: str) -> None:
    """A file's name and a value come back as their codes, in an error and in the TOML that a kit carries."""
    told = str(Fault(f"a{sign}.toml", f"k{sign}", f"v{sign}", f"w{sign}"))
    assert is_plain(told)
    assert told.count(f"\\u{ord(sign[0]):04x}") == 4
    assert is_plain(shown(sign))
    assert plain(shown(sign)) == toml_text(sign)


def test_a_long_line_is_told_by_its_beginning(tmp_path: Path) -> None:
    """A number of 9000 digits does not come back whole."""
    path = tmp_path / "a.toml"
    path.write_text(LONG, encoding="utf-8")
    with pytest.raises(InputError) as told:
        read_toml(path)
    assert len(str(told.value)) < 600 + len(str(path))
    assert shortened("9" * 90) == "9" * 80 + "… (90 signs)"


@pytest.mark.parametrize("text", [DEEP, LONG, "x = 0x" + "f" * 99])
def test_a_file_to_be_changed_is_read_as_any_other(text: str, tmp_path: Path) -> None:
    """A log and a shop file nested without end, or with endless numbers, are refused, and stay."""
    for change in (
        lambda text: append_table(text, "build", {"a": 1}, "the file"),
        lambda text: change_table(text, ("printer",), {"a": 1}, "the file"),
    ):
        path = tmp_path / "a.toml"
        path.write_text(text, encoding="utf-8")
        with pytest.raises(InputError):
            change_file(path, change)
        assert path.read_text(encoding="utf-8") == text


def test_no_file_grows_beyond_what_is_read_back(tmp_path: Path) -> None:
    """A log that the next build would make too large to read is refused while it can still be read."""
    path = tmp_path / "a.log.toml"
    full = "#" * (LARGEST - 1) + "\n"
    path.write_text(full, encoding="utf-8", newline="\n")
    assert read_toml(path) == {}
    with pytest.raises(InputError, match="move the file away"):
        change_file(path, lambda text: append_table(text, "build", {"a": 1}))
    assert path.read_text(encoding="utf-8") == full
    path.write_text(full + "###", encoding="utf-8", newline="\n")
    with pytest.raises(InputError, match=f"{LARGEST} at most"):
        change_file(path, lambda text: text)


def test_half_a_character_is_no_text_to_write(tmp_path: Path) -> None:
    """Whatever it came from: one sentence, and the old file."""
    (tmp_path / "a").write_text("mine")
    with pytest.raises(OutputError, match="half a character"):
        write_atomically(tmp_path / "a", "x\udcff")
    assert [path.read_text() for path in tmp_path.iterdir()] == ["mine"]


@pytest.mark.parametrize("count", ["9" * 5000, "²", "٣x", "-3", "1e3", ""])
def test_a_count_is_digits_and_not_too_many(count: str) -> None:
    """Of a sweep's values: no superscripts, no thousands of digits."""
    with pytest.raises(InputError, match="number of values"):
        read_vary(f"bridge_thickness=8:10:{count}")


@pytest.mark.parametrize("command", ["make", "class"])
@pytest.mark.parametrize("count", [0, MOST_WORKERS + 1, 10**20])
def test_a_crew_has_a_largest_size(command: str, count: int) -> None:
    """As many processes as every system lets one process lead, and at least one; else the option is refused."""
    found = CliRunner().invoke(program(), [command, "x", "--workers", str(count)])
    assert found.exit_code == 2
    assert "--workers" in found.stderr


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('job = "ada"', 'job = "../../ada"'),
        ('jig = "jig-1"', 'jig = "a/b"'),
        ('student = "Ada"', 'student = "A\\u001bda"'),
        ('date = ""', 'date = "a day"'),
        ('"a.csv"', '"../a.csv"'),
        ('"a.csv"', '"/a.csv"'),
        ('name = "spring"', 'name = "sp\\u202Ering"'),
        ("schema = 1", "schema = 0x" + "f" * 5000),
    ],
)
def test_a_class_record_leads_nowhere_else(old: str, new: str, tmp_path: Path) -> None:
    """Jobs, jigs and files of a class lie in its folder, whatever its record says; names show what they hold."""
    text = (
        'schema = 1\nname = "spring"\n[[student]]\njob = "ada"\nstudent = "Ada"\ndate = ""\njig = "jig-1"\n'
        '[files]\n"a.csv" = "00"\n'
    )
    path = tmp_path / RECORD
    path.write_text(text, encoding="utf-8")
    assert read_record(tmp_path) is not None
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError):
        read_record(tmp_path)


def test_a_class_goes_into_no_folder_with_a_line_end(tmp_path: Path) -> None:
    """Its name stands in every document."""
    table = tmp_path / "a.csv"
    table.write_text("student,saddle_gap\nAda,2.9\n", encoding="utf-8")
    words = ["class", str(table), "--base", "orchestra-14", "-o", f"{tmp_path}/a\nb"]
    found = CliRunner().invoke(program(), words)
    assert found.exit_code == 1
    assert "command line: -o" in found.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["a.csv"]


def test_json_for_a_program_is_json_whatever_a_name_holds(tmp_path: Path) -> None:
    """A refusal as JSON of a file whose name holds quotes and escapes reads back as that name."""
    name = 'a"\x1b\\'
    found = CliRunner().invoke(program(), ["solve", str(tmp_path / f"{name}.toml"), "--json"])
    assert found.exit_code == 1
    assert json.loads(found.stdout)["errors"][0]["file"].endswith(f"{name}.toml")


def test_words_of_a_kit_are_no_orders_to_a_terminal() -> None:
    """`prove` tells what stands in a kit's files: with signs that are not seen written out, and not without end."""
    check = Check("files: \x1b]0;x\a", CheckStatus.FAIL, 1.0, 0.0, "one\u202e" * 900 + "\x1b[2J")
    lines = report("kit", Proof((check,)), every_check=True)
    assert all(map(is_plain, lines))
    assert "\\u001b[2J" not in "".join(lines)  # behind what is too long to tell
    assert "\\u001b]0;x\\u0007" in "".join(lines)
    assert len("".join(lines)) < 6000


# --- other systems ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", [5, 32, 33])
def test_a_file_held_open_is_told_as_such(code: int) -> None:
    """Windows refuses to change what another program has open: the words say so (its system error codes 5, 32, 33)."""
    error = PermissionError(errno.EACCES, "Access is denied")
    assert "another program" not in refusal_of(error)
    error.winerror = code
    assert "another program holds it open" in refusal_of(error)


def _writes(tree: ast.AST) -> list[ast.Call]:
    """Calls that write text: `write_text`, and `open` for writing where no b stands in the mode."""
    found = []
    for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
        name = getattr(call.func, "attr", getattr(call.func, "id", ""))
        modes = [one.value for one in call.args if isinstance(one, ast.Constant) and isinstance(one.value, str)]
        opens = name == "open" and any(set(mode) <= set("wax+t") and set(mode) & set("wax") for mode in modes)
        if name == "write_text" or opens:
            found.append(call)
    return found


def test_line_ends_are_the_same_on_every_system() -> None:
    """Whatever writes text says which line ends and which encoding: Windows would take others."""
    seen = 0
    for path in sorted((ROOT / "generator").rglob("*.py")):
        for call in _writes(ast.parse(path.read_text(encoding="utf-8"))):
            seen += 1
            assert {"encoding", "newline"} <= {one.arg for one in call.keywords}, f"{path.name}:{call.lineno}"
    assert seen >= 3
