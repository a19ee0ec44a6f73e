"""The fewest jigs that serve a class: against brute force, and against what the parts themselves say."""

from __future__ import annotations

import itertools
import random
from collections.abc import Sequence
from pathlib import Path

import pytest
from class_of_twelve import TWELVE, read_text, twelve

from generator.classes.cover import fewest
from generator.classes.sharing import SAME_MORTISE, on_jig, savings, share
from generator.jig.build import build_jig
from generator.jig.compare import Verdict, compare_jigs, shared_jig
from generator.job.model.stock import Stock
from generator.joint.solution import Solution, solve

#: What stands of the jig and is made once for all it serves.
_FRAME = ("template_plate", "board", "bracket_left", "bracket_right", "upper_rest", "body_rest")


def _by_trying(serves: Sequence[frozenset[int]]) -> int:
    """How many owners are needed, by trying every set of them, small ones first."""
    everyone = set(range(len(serves)))
    return next(
        count
        for count in range(1, len(serves) + 1)
        if any(set().union(*some) == everyone for some in itertools.combinations(serves, count))
    )


@pytest.mark.parametrize("seed", range(150))
def test_the_fewest_owners_are_the_fewest(seed: int) -> None:
    """No set of fewer owners serves everybody: all sets tried, for classes of one to nine."""
    draw = random.Random(seed)
    count = draw.randint(1, 9)
    share_of = draw.choice([0.1, 0.25, 0.5])
    serves = [frozenset({i, *(j for j in range(count) if draw.random() < share_of)}) for i in range(count)]
    cover = fewest(serves)
    assert cover.proved
    assert set().union(*(serves[owner] for owner in cover.owners)) == set(range(count))
    assert len(cover.owners) == _by_trying(serves)


def test_a_search_cut_short_says_so() -> None:
    """Where the search is stopped the cover still serves everybody, and is not called the fewest."""
    draw = random.Random(7)
    serves = [frozenset({i, *(j for j in range(60) if draw.random() < 0.08)}) for i in range(60)]
    cover = fewest(serves, most_steps=50)
    assert not cover.proved
    assert set().union(*(serves[owner] for owner in cover.owners)) == set(range(60))


def _serves(have: Solution, wanted: Solution) -> bool:
    """Whether plate and cradle of `have` serve `wanted`: the same stocks, opening and tongue, no longer mortise."""
    stocks = [[(one.name, one.actual_thickness) for one in _stocks(solution)] for solution in (have, wanted)]
    longer = abs(have.routing.opening_length - wanted.routing.opening_length)
    return stocks[0] == stocks[1] and longer <= SAME_MORTISE and not shared_jig(have, wanted, made=False).reasons


def _stocks(solution: Solution) -> list[Stock]:
    """What plate, board, brackets, rest and caul are cut from."""
    return [solution.job.stock(group) for group in ("plate", "board", "bracket", "rest", "caul")]


def _by_trying_jigs(solutions: Sequence[Solution]) -> int:
    serves = [
        frozenset(i for i, wanted in enumerate(solutions) if i == j or _serves(have, wanted))
        for j, have in enumerate(solutions)
    ]
    return _by_trying(serves)


@pytest.mark.parametrize("places", [(0, 1, 7, 9), (0, 4, 5, 10, 11), (2, 3, 6, 8), tuple(range(12))])
def test_the_fewest_jigs_of_a_class(places: tuple[int, ...], tmp_path_factory: pytest.TempPathFactory) -> None:
    """As few as trying every choice of owners finds."""
    solutions = [twelve(tmp_path_factory.getbasetemp())[1][place] for place in places]
    assert len(share(solutions).jigs) == _by_trying_jigs(solutions)


def test_everybody_is_served_by_one_jig_as_made(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Each student stands in one group; that jig's very parts cut the job as the program changed it for the jig."""
    _, solutions = twelve(tmp_path_factory.getbasetemp())
    sharing = share(solutions)
    assert sorted(member for jig in sharing.jigs for member in jig.members) == list(range(12))
    assert [jig.number for jig in sharing.jigs] == list(range(1, len(sharing.jigs) + 1))
    shared = [jig for jig in sharing.jigs if len(jig.members) > 1]
    assert len(shared) == 2
    for jig in shared:
        made = build_jig(jig.solution)
        assert solve(jig.solution.job).failed == ()
        for member in jig.members:
            wanted = solve(on_jig(solutions[member], jig, member))
            assert wanted.failed == ()
            found = shared_jig(jig.solution, wanted)
            assert found.reasons == ()
            assert abs(wanted.joint.mortise_length - solutions[member].joint.mortise_length) <= SAME_MORTISE + 1e-9
            assert wanted.routing.opening_length == pytest.approx(jig.solution.routing.opening_length, abs=1e-9)
            assert wanted.routing.tongue_length == pytest.approx(jig.solution.routing.tongue_length, abs=0.02)
            verdicts = {one.name: one.verdict for one in compare_jigs(made, build_jig(wanted), None, None, found)}
            assert {verdicts[name] for name in _FRAME} == {Verdict.SERVES}
            assert verdicts["angle_rest"] in (Verdict.SERVES, Verdict.MAKE_NEW)


def test_unifying_saves_what_is_said(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """The class written again with the sizes told needs as many jigs as told, and no check fails."""
    _, before = twelve(tmp_path_factory.getbasetemp())
    now = len(share(before).jigs)
    found = savings(before)
    assert found, "depth 21 and 22 and seven mortise lengths are there to be unified"
    for saving in found:
        table = read_text(_with(saving.sizes, saving.students), tmp_path)
        solutions = [solve(one.job) for one in table.students]
        assert len(share(solutions).jigs) == now - saving.saved
        assert [one.failed for one in solutions] == [()] * 12
        assert f"{saving.jigs} jig" in str(saving)


def _with(sizes: object, students: tuple[int, ...]) -> str:
    """The table of twelve with columns for the sizes, filled for those students."""
    head, *rows = TWELVE.splitlines()
    assert isinstance(sizes, dict) or hasattr(sizes, "items")
    columns = dict(sizes.items())
    lines = [",".join([head, *columns])]
    for place, row in enumerate(rows):
        lines.append(",".join([row, *(str(value) if place in students else "" for value in columns.values())]))
    return "\n".join(lines) + "\n"


def test_other_stock_is_another_jig(tmp_path: Path) -> None:
    """A machined jig does not serve who is to have one of plywood, whatever its opening."""
    text = "student,instrument.preset,bridge_clearance,router.preset,jig.preset\n"
    text += "Ada,orchestra-14,0.8,metric-17,plywood\nBo,orchestra-14,0.8,metric-17,machined\n"
    table = read_text(text, tmp_path)
    solutions = [solve(one.job) for one in table.students]
    assert len(share(solutions).jigs) == 2
