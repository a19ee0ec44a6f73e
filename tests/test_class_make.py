"""A class end to end: one table in, documents and kits out, one failure among them, nothing made twice."""

from __future__ import annotations

import csv
import io
import os
import threading
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from class_of_twelve import TWELVE, read_text, twelve
from made_once import THOROUGH, store
from markupsafe import escape
from typer.testing import CliRunner

from generator.base.errors import Fault, InputError, LayoutError
from generator.classes.folder import RECORD, ClassRecord, class_state, read_record, record_text
from generator.classes.handout import handout_pdf
from generator.classes.make import FIRST, ClassMaking, make_class, settled
from generator.classes.plan import ClassPlan, check_rows, plan_class
from generator.classes.status import Progress
from generator.commands.cli import program
from generator.formats.dxf.read import read_dxf
from generator.job.load import load_job
from generator.joint.build_log import Build, Measured, append_build, predictions
from generator.joint.solution import solve
from generator.kit import pipeline
from generator.kit.crew import Crew, Task, crew_of
from generator.kit.groups import Group

pytestmark = pytest.mark.usefixtures("proved_once")
_TWO = "student,saddle_gap,mortise_length\n=Ada,2.9,75\nBo,3.1,75\n"


def _plan(folder: Path, text: str = _TWO) -> ClassPlan:
    good, faults = check_rows(read_text(text, folder, "orchestra-14"))
    assert faults == []
    return plan_class("spring", good)


class _Told:
    """Keeps what was told."""

    def __init__(self) -> None:
        self.said: list[tuple[str, int, int, bool]] = []

    def __call__(self, name: str, done: int, count: int, faults: tuple[Fault, ...]) -> None:
        self.said.append((name, done, count, bool(faults)))


def _make(
    plan: ClassPlan, folder: Path, groups: Sequence[Group] = (), refused: Sequence[Fault] = ()
) -> tuple[list[Fault], _Told]:
    told = _Told()
    return make_class(plan, ClassMaking(folder, tuple(groups), store=store()), Crew(), told, refused), told


def test_twelve_unlike_instruments_from_table_to_order(tmp_path: Path) -> None:
    """Every document of the class of twelve loads back and names everyone; the order's sheets read as cutting files.

    But in a thorough run of six of them: both hands, a ukulele, a flat top set forward, a measured one, a slotted head.
    """
    heading, *students = TWELVE.splitlines(keepends=True)
    some = [row for row in students if THOROUGH or row.startswith(("Ada", "Bo", "Cleo", "Gus", "Ida", "Lou"))]
    assert len(some) in (6, 12)
    good, faults = check_rows(read_text(heading + "".join(some), tmp_path))
    assert faults == []
    out = tmp_path / "spring"
    assert _make(plan_class("spring", good), out)[0] == []
    names = [student.name for student, _ in good]
    assert sorted(path.stem for path in (out / "handouts").iterdir()) == sorted(name.lower() for name in names)
    page = (out / "index.html").read_text(encoding="utf-8")
    assert all(name in page for name in names)
    with pdfplumber.open(out / "summary.pdf") as pdf:
        words = " ".join(page.extract_text() for page in pdf.pages)
    assert all(name in words for name in names)
    rows = list(csv.DictReader((out / "order" / "sheets.csv").read_text(encoding="utf-8").splitlines()))
    assert {row["belongs to"] for row in rows} >= set(names)
    for file in {row["file"] for row in rows}:
        outlines = [line for line in read_dxf(out / "order" / file).lines if line.layer == "cut-outside"]
        assert len(outlines) == sum(row["file"] == file for row in rows)
    for student, _ in good:
        again = solve(load_job(out / "jobs" / f"{student.job.name}.toml"))
        assert again.failed == ()
        assert again.neck_set.saddle_gap == pytest.approx(solve(student.job).neck_set.saddle_gap, abs=1e-9)


@cache
def _plan_of_twelve(folder: Path) -> ClassPlan:
    return settled(plan_class("spring", check_rows(twelve(folder)[0])[0]), Path("spring"))


@pytest.mark.parametrize("place", [0, 2, 6, 8, 10])
def test_a_hand_out_is_two_pages_with_own_numbers(place: int, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Angle rest, gap and mortise of this student, boxes to write into, and who else works with the jig."""
    mine = _plan_of_twelve(tmp_path_factory.getbasetemp()).places[place]
    with pdfplumber.open(io.BytesIO(handout_pdf(mine, ["Bo", "Jo"], ["angle rest"]))) as pdf:
        assert len(pdf.pages) == 2
        first, second = (" ".join(page.extract_text().split()) for page in pdf.pages)
        words = f"{first} {second}"
        boxes = sum(abs(rect["width"] - 14.0 / 25.4 * 72.0) < 0.1 for page in pdf.pages for rect in page.rects)
    solution = mine.solution
    assert mine.student.name in words
    assert f"{solution.cradle.angle_rest_drawn:.2f}".rstrip("0").rstrip(".") in words
    assert "Bo and Jo" in words
    assert "Unplug the router" in words
    assert boxes >= 20
    assert "Dry fit and reading" not in first  # the table of readings stays in one piece, on the second page
    assert "Dry fit and reading" in second
    assert f"heelwright log spring/jobs/{mine.name}.toml" in words


def test_a_name_that_is_a_formula_stays_a_name(tmp_path: Path) -> None:
    """The summary and the sheet list guard what a spreadsheet would run."""
    out = tmp_path / "spring"
    _make(_plan(tmp_path), out)
    for path in (out / "summary.csv", out / "order" / "sheets.csv"):
        text = path.read_text(encoding="utf-8")
        assert "'=Ada" in text
        cells = [cell for row in csv.reader(text.splitlines()) for cell in row]
        assert not any(cell.startswith("=") for cell in cells)


def test_one_failure_stops_no_other_and_is_told_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The kit that cannot be made is named; the others are made; the next run makes only what is missing."""
    made: list[tuple[str, tuple[Group, ...]]] = []
    broken = {"ada"}

    def write_kit(job: object, out: Path, groups: tuple[Group, ...], papers: object, **_: object) -> None:
        name = job.name  # type: ignore[attr-defined]
        if name in broken:
            raise LayoutError("a label has no room") if len(made) % 2 else RuntimeError("a slip of the program")
        made.append((name, groups))

    monkeypatch.setattr(pipeline, "write_kit", write_kit)
    monkeypatch.setattr("generator.classes.make.kit_is_whole", lambda kit, groups: True)
    out, plan = tmp_path / "spring", _plan(tmp_path)
    faults, told = _make(plan, out, tuple(Group))
    assert len(faults) == 1
    assert "ada" in str(faults[0])
    first, later = {*FIRST}, {*Group} - {*FIRST}
    assert [(name, set(groups)) for name, groups in made] == [
        ("jig-1", first), ("bo", first), ("jig-1", later), ("bo", later),
    ]  # fmt: skip
    assert [(done, count) for _, done, count, _ in told.said] == [(done, 6) for done in range(7)]
    page = (out / "index.html").read_text(encoding="utf-8")
    assert "What could not be made stands below" in page
    assert 'href="kits/jig-1/setup_sheet.pdf"' in page
    assert escape(str(faults[0])) in page
    made.clear()
    broken.clear()
    assert _make(plan, out, tuple(Group))[0] == []
    assert [name for name, _ in made] == ["ada", "ada"]
    assert "could not be made" not in (out / "index.html").read_text(encoding="utf-8")
    made.clear()
    changed = _plan(tmp_path, _TWO.replace("3.1", "3.2"))
    assert _make(changed, out, tuple(Group))[0] == []
    assert {name for name, _ in made} == {"bo"}


class _Watched(Crew):
    """Notes whose tasks are handed out together."""

    def __init__(self) -> None:
        self.together: list[list[str]] = []

    def as_done(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Any]]:
        self.together.append([task.name.partition(":")[0] for task in tasks])
        return super().as_done(tasks)


def test_no_two_processes_work_on_one_kit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is handed out together is of different kits: which group of a kit comes first is not left to chance."""
    monkeypatch.setattr(pipeline, "write_kit", lambda *given, **named: None)
    crew = _Watched()
    making = ClassMaking(tmp_path / "spring", tuple(Group))
    assert make_class(_plan(tmp_path), making, crew, _Told()) == []
    hand_outs, *kits = crew.together
    assert sorted(hand_outs) == ["ada", "bo"]
    assert kits == [["jig-1", "ada", "bo"]] * 2


def test_a_kit_that_lost_a_file_is_made_again(tmp_path: Path) -> None:
    """A kit is left alone when it is whole, and made again when a file of it is gone."""
    out, plan = tmp_path / "spring", _plan(tmp_path, "student,saddle_gap\nBo,3.1\n")
    assert _make(plan, out, [Group.LASER])[0] == []
    assert _make(plan, out, [Group.LASER])[1].said == []
    (out / "kits" / "bo" / "laser" / "angle_rest.dxf").unlink()
    assert [name for name, *_ in _make(plan, out, [Group.LASER])[1].said] == ["kits", "bo: laser"]
    assert (out / "kits" / "bo" / "laser" / "angle_rest.dxf").is_file()


def test_what_killed_runs_left_goes(tmp_path: Path) -> None:
    """Drafts and locks, also of a student and a shared jig that the class has no longer; the user's own stays.

    An old kit that a killed process had moved aside stands at its place again.
    """
    out = tmp_path / "spring"
    left = ["jobs/.gone.toml.abcd_123.draft", "handouts/.gone.pdf.abcd_123.draft", ".index.html.abcd_123.draft"]
    left += [f"kits/.jig-9.{os.getpid()}.draft/laser/a.dxf", "kits/.jig-9.lock", "kits/.gone.lock"]
    kept = ["kits/.gone.77.old/manifest.json", "kits/.mine.lock", "kits/mine/.a.draft", "jobs/.mine.txt.abcd_123.draft"]
    for name in (*left, *kept):
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_text("" if name in left else "mine")
    (out / "kits" / ".mine.lock").write_text("")
    files = dict.fromkeys(("jobs/gone.toml", "handouts/gone.pdf", "index.html"), "0")
    record = ClassRecord("spring", files=files, made={"gone": {}, "jig-9": {}})
    (out / RECORD).write_text(record_text(record), encoding="utf-8")
    assert _make(_plan(tmp_path), out)[0] == []
    assert [name for name in left if (out / name).exists()] == []
    assert not (out / "kits" / f".jig-9.{os.getpid()}.draft").exists()
    assert [(out / name).read_text() for name in kept[1:]] == ["", "mine", "mine"]
    assert (out / "kits" / "gone" / "manifest.json").read_text() == "mine"


@pytest.mark.parametrize("name", ["../elsewhere", "/elsewhere", ""])
def test_a_record_names_no_kit_elsewhere(name: str, tmp_path: Path) -> None:
    """What killed runs left is cleared by the record's names: one that leads out of the class is no record."""
    (tmp_path / RECORD).write_text(record_text(ClassRecord("spring", made={name: {}})), encoding="utf-8")
    with pytest.raises(InputError, match="no record of a class"):
        read_record(tmp_path)


def test_nothing_of_the_users_own_is_written_over(tmp_path: Path) -> None:
    """A folder that is no class is refused; so is a job changed by hand; logs stay; what is no longer made goes."""
    out, plan = tmp_path / "spring", _plan(tmp_path)
    out.mkdir()
    (out / "letter.txt").write_text("mine")
    with pytest.raises(InputError, match=r"letter\.txt"):
        _make(plan, out)
    (out / "letter.txt").unlink()
    _make(plan, out)
    log = out / "jobs" / "bo.log.toml"
    log.write_text("")
    job = out / "jobs" / "ada.toml"
    text = job.read_text()
    job.write_text(text + "# mine\n")
    with pytest.raises(InputError, match=r"ada\.toml"):
        _make(plan, out)
    job.write_text(text)
    _make(_plan(tmp_path, "student,saddle_gap\nBo,3.1\n"), out)
    assert not job.exists()
    assert log.exists()
    record = read_record(out)
    assert record is not None
    assert [one.job for one in record.pupils] == ["bo"]


def test_the_state_of_a_class_is_read_from_its_logs(tmp_path: Path) -> None:
    """Each bench from the log beside its job; the summary of the next run has it too, the needy first."""
    out, plan = tmp_path / "spring", _plan(tmp_path)
    _make(plan, out)
    bo = solve(load_job(out / "jobs" / "bo.toml"))
    append_build(out / "jobs" / "bo.log.toml", Build("2024-05-27", {Measured.GAP_SHY: 7.5}, predictions(bo)))
    state = class_state(out)
    assert [(one.student, one.progress) for one in state.benches] == [
        ("Bo", Progress.READ), ("=Ada", Progress.NOTHING),
    ]  # fmt: skip
    assert state.content()["students"][0]["gap_shy_mm"] == 7.5
    _make(plan, out)
    rows = list(csv.reader((out / "summary.csv").read_text(encoding="utf-8").splitlines()))
    assert rows[1][0] == "Bo"
    with pytest.raises(InputError, match="heelwright class made"):
        class_state(tmp_path)


def test_the_same_class_gives_the_same_files(tmp_path: Path) -> None:
    """Same table, same bytes."""
    contents = []
    for name in ("one", "two"):
        folder = tmp_path / name / "spring"
        plan = _plan(tmp_path)
        _make(plan, folder)
        contents.append({p.relative_to(folder): p.read_bytes() for p in folder.rglob("*") if p.is_file()})
    different = [name for name in contents[0] if contents[0][name] != contents[1].get(name)]
    # What names the folder it lies in differs by that name alone.
    assert {str(name).split("/")[0] for name in different} <= {"jobs", "handouts", RECORD}
    assert contents[0].keys() == contents[1].keys()


def test_the_command_refuses_all_rows_or_makes_the_good(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without --good-only one bad row stops everything and nothing is written; with it the good row is made."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(pipeline, "write_kit", lambda *given: None)
    Path("class.csv").write_text("student,saddle_gap\nAda,2.9\nBo,99\n")
    words = ["class", "class.csv", "--base", "orchestra-14", "-o", "spring", "--workers", "1", "--only", "laser"]
    refused = CliRunner().invoke(program("class"), words)
    assert refused.exit_code == 1
    assert 'row 3, column B (target.saddle_gap), student "Bo"' in refused.stderr
    assert not Path("spring").exists()
    done = CliRunner().invoke(program("class"), [*words, "--good-only"])
    assert done.exit_code == 1, done.output
    assert Path("spring/jobs/ada.toml").is_file()
    assert not Path("spring/jobs/bo.toml").exists()
    assert "Bo" in Path("spring/index.html").read_text(encoding="utf-8")
    status = CliRunner().invoke(program("class"), ["class", "spring", "--status", "--json"])
    assert status.exit_code == 0, status.output
    assert '"progress": "nothing cut"' in status.stdout


def test_the_template_is_never_written_over_a_table(tmp_path: Path) -> None:
    """--template writes a new file only."""
    path = tmp_path / "class.csv"
    assert CliRunner().invoke(program("class"), ["class", str(path), "--template"]).exit_code == 0
    before = path.read_bytes()
    assert CliRunner().invoke(program("class"), ["class", str(path), "--template"]).exit_code == 1
    assert path.read_bytes() == before


def _number(n: int) -> int:
    return n * n


def test_tasks_are_told_as_they_are_done() -> None:
    """Every task's result comes once with its place, from one process or from two."""
    tasks = [Task(str(n), _number, (n,)) for n in range(7)]
    assert list(Crew().as_done(tasks)) == [(n, n * n) for n in range(7)]
    with crew_of(2) as crew:
        assert sorted(crew.as_done(tasks)) == [(n, n * n) for n in range(7)]
    assert threading.active_count() < 20
