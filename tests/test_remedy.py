"""What to change when a check warns: the key named, changed by what is printed, mends the check and breaks no other."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from jobs_by_hand import changed, load, written
from typer.testing import CliRunner

from generator.base.units import format_inches
from generator.commands.cli import program
from generator.job.load import load_job
from generator.joint.checks import Bound, Check, CheckStatus
from generator.joint.checks.base import at_least, at_most, within
from generator.joint.remedy import remedies
from generator.joint.solution import solve

pytestmark = pytest.mark.usefixtures("one_process")
WEAK = [
    ("mortise floor", "joint.mortise_depth", {"instrument": {"neck_block_thickness": 31}}),
    ("heel shoulder", "instrument.heel_width", {"instrument": {"heel_width": 24}}),
    ("heel cap", "instrument.heel_cap_thickness", {"instrument": {"heel_cap_thickness": 9}}),
    ("tenon end", "joint.end_clearance", {"joint": {"end_clearance": 0.1}}),
    ("deepest pass", "router.hold_back", {"router": {"hold_back": 4}}),
    ("edge offset", "router.edge_offset", {"router": {"edge_offset": 1.05}}),
]


@pytest.mark.parametrize(("name", "key", "job"), WEAK, ids=[name for name, _, _ in WEAK])
def test_the_change_that_is_named_mends_the_check(name: str, key: str, job: dict[str, dict[str, float]]) -> None:
    """The first remedy names the key; the job written with the new value passes that check, and no other gets worse."""
    before = solve(load(changed(**job)))
    check = next(one for one in before.checks if one.name == name)
    assert check.status is not CheckStatus.OK
    (remedy,) = remedies(before, check)
    assert remedy.key == key
    table, _, inner = key.partition(".")
    mended = {name: dict(values) for name, values in job.items()}
    mended[table] = mended.get(table, {}) | {inner: remedy.then}
    after = solve(load(changed(**mended)))
    bad = {one.name for one in after.checks if one.status is not CheckStatus.OK}
    assert name not in bad
    assert bad <= {one.name for one in before.checks if one.status is not CheckStatus.OK}


def test_a_passed_check_and_one_without_a_key_have_none() -> None:
    """Nothing is to change where all is well, and nothing is invented where no key is known to help."""
    solution = solve(load(changed()))
    assert not remedies(solution, solution.checks[0])
    assert not remedies(solution, Check("of the proof", CheckStatus.WARN, 1.0, 0.0, "words"))


# --- edge offset ---------------------------------------------------------------------------------------------------


def edge_offset(offset: float, **router: float) -> list[tuple[str, str]]:
    solution = solve(load(changed(router={"edge_offset": offset, **router})))
    return [(one.status.value, one.message) for one in solution.checks if one.name == "edge offset"]


def test_an_offset_far_from_the_nominal_one_is_questioned() -> None:
    """(15.875 - 12.7)/2 = 1.5875 mm: up to 0.3 mm off passes, beyond that a warning with both numbers."""
    assert [status for status, _ in edge_offset(1.5875 + 0.29)] == ["ok"]
    ((status, words),) = edge_offset(1.05)
    assert status == "warn"
    assert "1.05 mm" in words
    assert "1.59 mm" in words
    assert "2.15 mm wider" in words  # tenon and mortise, two edges each: 4 (1.5875 - 1.05)


def test_an_offset_of_another_kit_is_refused_unless_its_test_cut_is_there() -> None:
    """More than 1.5 mm off is refused; with template and slot of the test cut it is read, and must follow from them."""
    from generator.base.errors import InputError

    with pytest.raises(InputError, match=r"router\.edge_offset"):
        edge_offset(3.2)
    assert [status for status, _ in edge_offset(3.2, test_template=25.4, test_slot=19.0)] == ["warn"]
    with pytest.raises(InputError, match="test_template"):
        edge_offset(3.2, test_template=25.4, test_slot=20.0)


# --- words ---------------------------------------------------------------------------------------------------------


def test_a_check_says_which_way_its_limit_is_meant() -> None:
    """At least, at most, or between, with the unit; a value under the last decimal keeps two digits."""
    low = at_least("a", 2.0, 3.0, 1.0, "words")
    high = at_most("b", 0.00036, 0.03, 1.0, "words", "deg")
    both = within("c", 5.0, 1.2, 4.2, "words", CheckStatus.WARN)
    assert (low.found, low.allowed, low.excess) == ("2 mm", "at least 3 mm", 1.0)
    assert (high.found, high.allowed) == ("0.0004°", "at most 0.03°")
    assert (both.found, both.allowed) == ("5 mm", "between 1.2 and 4.2 mm")
    assert both.excess == pytest.approx(0.8)
    assert at_most("d", 0.00036, 1.0, 1.0, "words").found == "0.00036 mm"
    assert at_most("e", -1e-12, 1.0, 1.0, "words").found == "0 mm"
    with pytest.raises(ValueError, match="no limit"):
        Check("f", CheckStatus.OK, 1.0, 1.0, "words", bound=Bound.BETWEEN)


@pytest.mark.parametrize(
    ("mm", "text"),
    [(0.0, "0 in"), (0.001, "0.00004 in"), (0.15, "0.0059 in"), (-0.3, "-0.0118 in"), (0.396875, "1/64 in"),
     (0.8, "1/32 in")],
)  # fmt: skip
def test_small_inches_never_vanish(mm: float, text: str) -> None:
    """Under 1/32 in a size that is no tick prints in decimal inches (0.15/25.4 = 0.0059), and only zero prints 0 in."""
    assert format_inches(mm) == text


def test_the_report_counts_what_passed_and_lists_on_request(tmp_path: Path) -> None:
    """The heading says how many passed and how many to mind; --all adds one line a check, each with its bound."""
    job = written(tmp_path, changed(instrument={"heel_cap_thickness": 9}))
    short = CliRunner().invoke(program("solve"), ["solve", str(job)]).stdout
    whole = CliRunner().invoke(program("solve"), ["solve", str(job), "--all"]).stdout
    heading = short.split("\n")[1]
    found = re.fullmatch(r"(\d+) of (\d+) checks passed, (\d+) to mind", heading)
    assert found
    rows = re.findall(r"^  (ok|warn|fail) +.* (?:at least|at most|between) ", whole, flags=re.M)
    assert len(rows) == int(found[2])
    assert rows.count("ok") == int(found[1])
    assert not re.search(r"^  ok ", short, flags=re.M)
    assert "to change it: instrument.heel_cap_thickness" in short


def test_the_end_of_make_says_what_matters(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Proved and by how many checks, the warnings again with the key to change, what to open first, three steps."""
    monkeypatch.chdir(tmp_path)
    job = written(tmp_path, changed(instrument={"heel_cap_thickness": 9}))
    made = CliRunner().invoke(program("make"), ["make", str(job), "--only", "laser", "--only", "sheet"])
    assert made.exit_code == 0, made.output
    end = made.stdout
    assert re.search(r"^proved: .*; \d+ of \d+ checks passed, 1 to mind$", end, flags=re.M)
    assert "warning: heel cap: 9 mm, at most 6 mm" in end
    assert "to change it: instrument.heel_cap_thickness -3" in end
    assert "Open first: bench/index.html" in end
    assert re.findall(r"^  (\d)\. ", end, flags=re.M) == ["1", "2", "3"]
    alone = CliRunner().invoke(program("make"), ["make", str(job), "-o", "other", "--only", "sheet"]).stdout
    assert "NOT proved" in alone


# --- what the shop measured ----------------------------------------------------------------------------------------


def shop_checks(tmp_path: Path, shop: str) -> dict[str, str]:
    (tmp_path / "shop.toml").write_text(shop, encoding="utf-8")
    solution = solve(load_job(written(tmp_path, changed())))
    return {one.name: one.status.value for one in solution.checks}


def test_a_measured_value_that_cannot_be_is_questioned(tmp_path: Path) -> None:
    """A sheet of 18 mm that measures 14, a printer that stretches by 5 %: warnings; likely figures pass."""
    stock = load(changed()).jig.plate_stock
    wrong = f"[printer]\nx_factor = 1.05\n[stock.{stock}]\nmeasured_thickness = 14\n"
    right = f"[printer]\nx_factor = 1.004\n[stock.{stock}]\nmeasured_thickness = 17.8\n"
    names = ("printer's stretch", f"sheet of {stock}")
    assert [shop_checks(tmp_path, wrong)[name] for name in names] == ["warn", "warn"]
    assert [shop_checks(tmp_path, right)[name] for name in names] == ["ok", "ok"]
