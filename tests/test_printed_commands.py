"""Every command that the README, a help page or an output shows is run here, as it is printed.

Only the words a reader is told to replace are replaced: READING by a length, YYYY-MM-DD by a day.
"""

from __future__ import annotations

import html
import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from made_once import THOROUGH
from typer.main import get_command
from typer.testing import CliRunner

from generator.commands.cli import command_modules, program
from generator.job.command_line import DATE, READING, quoted
from generator.page import serve

ROOT = Path(__file__).parent.parent
pytestmark = pytest.mark.usefixtures("one_process", "proved_once")
README = (ROOT / "README.md").read_text(encoding="utf-8")
_COMMAND = re.compile(r"heelwright (?:-|[a-z])[^\n`<|#]*")


def invoked(line: str) -> Any:
    """Run one printed line in the working folder."""
    assert line.startswith("heelwright "), line
    words = shlex.split(
        line.replace(f"--stand-off {READING}", '--stand-off "16.1 mm"')
        .replace(f"--stand-off-turned {READING}", '--stand-off-turned "16.2 mm"')
        .replace(READING, '"3.1 mm"')
        .replace(DATE, "2024-05-31")
    )[1:]
    return CliRunner().invoke(program(words[0]), words, input="y\n", env={"COLUMNS": "300"})


@pytest.fixture(scope="module", autouse=True)
def a_page_that_closes_at_once() -> Iterator[None]:
    """What waits for an interrupt ends as if one came; no browser opens, and no network is asked for an address."""

    async def interrupted(doors: list[tuple[object, serve.Door]]) -> None:
        for _, door in doors:
            door.socket.close()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(serve, "_all", interrupted)
        patch.setattr(serve, "_own_address", lambda: "127.0.0.1")
        patch.setattr(serve.webbrowser, "open", lambda url: True)
        yield


def one_group_only(line: str) -> str:
    """A `make` of a whole kit with its cutting files alone, of a class with drawings alone: the rest is the same."""
    words = line.split()
    group = {"make": "laser", "class": "drawings" if "-o" in words else ""}.get(words[1])
    return f"{line} --only {group}" if group and "--only" not in words else line


def assert_runs(lines: list[str]) -> None:
    assert lines
    for line in lines:
        done = invoked(line)
        assert done.exit_code == 0, f"{line}\n{done.output}"


def shown_in_markdown(text: str) -> list[str]:
    """The commands of its sh blocks and those between back-ticks, in the order they stand."""
    blocks = r"```sh\n(.*?)```"
    found = [(m.start(), line) for m in re.finditer(blocks, text, re.S) for line in m[1].split("\n")]
    plain = re.sub(r"```.*?```", lambda m: " " * len(m[0]), text, flags=re.S)
    found += [(m.start(), m[1]) for m in re.finditer(r"`(heelwright [^`]+)`", plain)]
    commands = [line.rpartition("&& ")[2] for _, line in sorted(found, key=lambda one: one[0])]
    return [line.strip() for line in commands if line.startswith("heelwright ")]


def shown_in_html(text: str) -> list[str]:
    """The commands in bold on a setup sheet."""
    return [html.unescape(found) for found in re.findall(r"<b>(heelwright [^<]+)</b>", text)]


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A working folder in which the README's commands were run from the first to the last."""
    folder, before = tmp_path_factory.mktemp("bench"), Path.cwd()
    os.chdir(folder)
    yield folder
    os.chdir(before)


def test_the_readmes_commands_run_in_their_order(bench: Path) -> None:
    """Every `heelwright ...` of the README, one after the other in one folder, as a reader would give them."""
    lines = shown_in_markdown(README)
    assert len(lines) >= 10
    whole = [line for line in lines if line.startswith("heelwright make")][:1]
    assert_runs([line if line in whole else one_group_only(line) for line in lines])
    assert (bench / "kits" / "my-guitar" / "manifest.json").is_file()


def test_the_readme_calls_the_program_one_way() -> None:
    """No path to the program, no $EDITOR, nothing silenced; Windows and macOS are told."""
    for word in ("bin/heelwright", "$EDITOR", "pip install -q", "python -m generator"):
        assert word not in README
    for word in ("Windows", "macOS", "MB of disk"):
        assert word in README


def pages() -> list[tuple[str, list[str]]]:
    """Every help page by its words: the program's, each command's, each subcommand's."""
    found: list[tuple[str, list[str]]] = []

    def walk(command: Any, words: list[str]) -> None:
        found.append((" ".join(words) or "heelwright", words))
        for name, inner in getattr(command, "commands", {}).items():
            walk(inner, [*words, name])

    walk(get_command(program()), [])
    return found


@pytest.fixture(scope="module")
def examples(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that the examples have to themselves, so that the kit they all want is made once."""
    return tmp_path_factory.mktemp("examples")


@pytest.mark.parametrize("words", [words for _, words in pages()], ids=[name for name, _ in pages()])
def test_every_help_page_has_an_example_that_runs(
    words: list[str], examples: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each help page ends with an example that runs as it stands, once there is the kit of its ready job."""
    monkeypatch.chdir(examples)
    page = CliRunner().invoke(program(), [*words, "--help"], env={"COLUMNS": "300"})
    assert page.exit_code == 0
    found = re.search(r"Example: (heelwright [^\n]*)", page.stdout)
    assert found, page.stdout
    line = found[1].strip()
    if not Path("kits/orchestra-14").is_dir():
        assert_runs(["heelwright make orchestra-14 -o kits --only laser"])
    if line.startswith("heelwright new"):
        Path("my-guitar.toml").unlink(missing_ok=True)
    assert_runs([one_group_only(line)])


def test_every_command_names_its_example() -> None:
    """A command module's EXAMPLE is of that command."""
    for module in command_modules():
        assert module.EXAMPLE.startswith(f"heelwright {module.NAME} ")


#: Names with blanks in another folder, and a file in this one; a name that needs no quotes is in a thorough run only.
PLACES = [*(["my-parlour/my-parlour.toml"] if THOROUGH else []), "my parlour/the job.toml", "flat.toml"]


@pytest.mark.parametrize("place", PLACES)
def test_what_a_kit_prints_runs_where_it_was_made(place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Setup sheet, job file, job.toml and the end of `make`, for job files in other folders, names with spaces too.

    A whole kit that is to be made is made of its cutting files alone, but in a thorough run, where the first place has
    it whole: the README's is whole always, and no group but the sheet knows of the place.
    """
    monkeypatch.chdir(tmp_path)
    Path(place).parent.mkdir(exist_ok=True)
    made = invoked(f"heelwright new bench-1 -o {quoted(place)}")
    assert made.exit_code == 0, made.output
    job_lines = re.findall(r"heelwright [^\n]*$", Path(place).read_text(encoding="utf-8"), re.M)
    assert_runs([line.partition(" lists them")[0].strip() for line in job_lines])
    for groups in ("--only sheet", "--only laser --only sheet"):
        done = invoked(f"heelwright make {quoted(place)} -o kits {groups}")
        assert done.exit_code == 0, done.output
        end = [line.strip() for line in done.stdout.split("\n") if line.strip().startswith("heelwright ")]
        sheet = shown_in_html(Path("kits/bench-1/setup_sheet.html").read_text(encoding="utf-8"))
        copy = re.search(r"made with: (heelwright .*)", Path("kits/bench-1/job.toml").read_text(encoding="utf-8"))
        assert copy
        assert any(line.startswith("heelwright adjust ") for line in end)
        # The file that the page's button exports, with one box filled.
        record = next(shlex.split(line)[-1] for line in sheet if " --record " in line)
        text = 'job = "bench-1"\nunit = "mm"\ndate = "2024-05-31"\n[boxes]\naction = 2.5\n'
        Path(record).write_text(text, encoding="utf-8")
        shown = [line for line in (*end, *sheet) if " prove " not in line or groups != "--only sheet"]
        assert_runs(shown if THOROUGH and place == PLACES[0] else [one_group_only(line) for line in shown])
        assert invoked(copy[1].replace("heelwright make", "heelwright solve", 1)).exit_code == 0
    verbs = {line.split()[1] for line in sheet}
    assert verbs >= {"adjust", "log", "calibrate"}


def test_a_shop_file_that_was_asked_for_is_in_the_printed_commands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With --shop FILE the sheet's commands carry it, else they would answer for another router."""
    monkeypatch.chdir(tmp_path)
    Path("ours.toml").write_text("[router.inch-half]\nedge_offset = 1.6\n", encoding="utf-8")
    done = invoked("heelwright make orchestra-14 --only sheet --shop ours.toml")
    assert done.exit_code == 0, done.output
    lines = shown_in_html(Path("orchestra-14/setup_sheet.html").read_text(encoding="utf-8"))
    adjust = next(line for line in lines if " adjust " in line)
    assert adjust.endswith("--shop ours.toml")
    text = 'job = "orchestra-14"\nunit = "mm"\ndate = "2024-05-31"\n[boxes]\naction = 2.5\n'
    Path("orchestra-14.record.toml").write_text(text, encoding="utf-8")
    assert_runs([one_group_only(line) for line in lines])


# --- names ---------------------------------------------------------------------------------------------------------


def test_a_name_is_found_in_every_place_it_is_promised(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """NAME: NAME.toml here, before a ready job, before a folder; FOLDER: its job file, or the kit's own copy."""
    monkeypatch.chdir(tmp_path)
    assert_runs(["heelwright new mine --instrument size-0", "heelwright solve mine"])
    Path("orchestra-14.toml").write_text(Path("mine.toml").read_text().replace('"mine"', '"other"'))
    assert "other: " in invoked("heelwright solve orchestra-14").stdout
    Path("orchestra-14.toml").unlink()
    assert "orchestra-14: " in invoked("heelwright solve orchestra-14").stdout
    Path("jobs").mkdir()
    shutil.move("mine.toml", "jobs/mine.toml")
    Path("jobs/shop.toml").write_text("")
    Path("jobs/mine.log.toml").write_text("")
    assert_runs(["heelwright solve jobs", "heelwright solve jobs/mine", "heelwright make jobs -o kits --only sheet"])
    shutil.rmtree("jobs")
    assert_runs(
        [
            "heelwright solve kits/mine",
            "heelwright adjust kits/mine --gap 3",
            "heelwright make kits/mine -o new --only sheet",
        ]
    )


@pytest.mark.parametrize("files", [[], ["one.toml", "two.toml"]])
def test_a_folder_without_one_job_is_refused(files: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder with no job file, or with several, is a refusal that says what is in it."""
    monkeypatch.chdir(tmp_path)
    Path("jobs").mkdir()
    for name in files:
        Path("jobs", name).write_text("")
    refused = invoked("heelwright solve jobs")
    assert refused.exit_code == 1
    assert (" and ".join(files) or "without a job file").replace(" and ", ", ") in refused.stderr


def test_python_m_generator_prints_the_same_names() -> None:
    """`python -m generator` shows its commands as `heelwright`, one name throughout."""
    env = os.environ | {"PYTHONPATH": str(ROOT), "COLUMNS": "300"}
    done = subprocess.run(
        [sys.executable, "-m", "generator", "solve", "--help"], capture_output=True, text=True, env=env, check=True
    )
    assert "Usage: heelwright solve" in done.stdout
