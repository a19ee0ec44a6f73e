"""What is wrong with a cut, one fault at a time and where it is: too wide, too long, aside, wood left standing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from generator.base.points2d import P2
from generator.joint.checks import Check, CheckStatus
from generator.proof.cut.template_checks import EXACT, TemplateProof
from generator.proof.cut.virtual_cut import VirtualCut

#: A miss up to this is not to be seen or felt in wood, mm.
VISIBLE = 0.02
#: What a fault's mark on the wood already tells, by the end of a check's name.
_MARKED = ("_too_much", "_too_little", "_slivers")


class FaultKind(Enum):
    """What is wrong, by the name that the template of the picture's words knows it by."""

    WIDE = "wide"
    NARROW = "narrow"
    LONG = "long"
    SHORT = "short"
    ASIDE = "aside"
    TOO_MUCH = "much"
    TOO_LITTLE = "little"
    STANDING = "standing"


@dataclass(frozen=True)
class CutFault:
    """One fault of a cut: its `size` (mm, above zero) and where it is seen: `at` (jig frame), `down` from the join."""

    kind: FaultKind
    size: float
    at: P2
    down: float


def cut_faults(cut: VirtualCut) -> tuple[CutFault, ...]:
    """Every fault of more than `VISIBLE`, the sizes first; a miss that a wrong size explains is not told twice."""
    return tuple(CutFault(kind, size, at, at.x - cut.wanted.join) for kind, size, at in _found(cut))


def is_of_the_file(check: Check) -> bool:
    """True for what is judged of the written file; False for what is judged of bushing and bit as measured."""
    return not (check.name.endswith("_as_measured") or check.name == "bushing_eccentric")


def file_is_right(proof: TemplateProof) -> bool:
    """Whether the written plate cuts the joint that was asked for, with the bushing and bit it was drawn for."""
    return not _failed(proof)


def untold(proof: TemplateProof) -> tuple[Check, ...]:
    """The failed checks of the file that no fault's mark on the wood tells."""
    marked = {cut.wanted.name for cut in proof.cuts.values() if cut_faults(cut)}
    failed = _failed(proof)
    own = [check for check in failed if not check.name.startswith("fit_") and not _is_marked(check, marked)]
    # Two cuts that are wrong do not fit: that is said only where neither is found wrong by itself.
    return tuple(own or ([] if marked else failed))


def _failed(proof: TemplateProof) -> list[Check]:
    return [check for check in proof.checks if check.status is CheckStatus.FAIL and is_of_the_file(check)]


def _is_marked(check: Check, cuts: Iterable[str]) -> bool:
    return any(check.name == f"{cut}{end}" for cut in cuts for end in _MARKED)


def _found(cut: VirtualCut) -> Iterator[tuple[FaultKind, float, P2]]:
    wanted = cut.wanted
    wider = _everywhere(cut.narrowest - wanted.outline.width, cut.widest - wanted.outline.width)
    longer = 0.0 if cut.length is None else cut.length - wanted.outline.length
    wall = P2(wanted.join + wanted.outline.length / 3.0, cut.middle + cut.width / 2.0)
    sizes = (
        (FaultKind.WIDE if wider > 0 else FaultKind.NARROW, wider, wall),
        (FaultKind.LONG if longer > 0 else FaultKind.SHORT, longer, P2(wanted.join + (cut.length or 0.0), cut.middle)),
        (FaultKind.ASIDE, cut.middle, P2(wall.x + wanted.outline.length / 3.0, cut.middle - cut.width / 2.0)),
    )
    yield from ((kind, abs(size), at) for kind, size, at in sizes if abs(size) > VISIBLE)
    yield from _elsewhere(cut, wider, longer)


def _everywhere(least: float, most: float) -> float:
    """How much too wide a cut is all along (below zero: too narrow), from the `least` and the `most` it is so, mm."""
    return 0.0 if least * most <= 0.0 else min(least, most, key=abs)


def _elsewhere(cut: VirtualCut, wider: float, longer: float) -> Iterator[tuple[FaultKind, float, P2]]:
    """Misses beyond what a wrong size or place of the whole cut explains, and wood left standing."""
    away = 1.0 if cut.wanted.outline.pocket else -1.0
    for kind, miss, sign in (
        (FaultKind.TOO_MUCH, cut.too_much, away),
        (FaultKind.TOO_LITTLE, cut.too_little, -away),
    ):
        explained = max(sign * wider / 2.0 + abs(cut.middle), sign * longer, 0.0)
        if miss.where is not None and miss.size > explained + VISIBLE:
            yield kind, miss.size, miss.where
    thickest = max(cut.slivers, key=lambda sliver: sliver.thickness, default=None)
    if thickest is not None and thickest.thickness > EXACT:
        yield FaultKind.STANDING, thickest.thickness, thickest.where
