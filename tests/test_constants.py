"""House rule: one constant a line, and each says by a comment of its own what it is."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
#: What every command module has; DEVELOPERS.md says what they are.
OF_A_COMMAND = {"NAME", "ORDER", "EXAMPLE"}
_CONSTANT = re.compile(r"_?[A-Z][A-Z0-9_]*")


def targets(node: ast.stmt) -> list[ast.expr]:
    """What a statement gives names to."""
    if isinstance(node, ast.Assign):
        return node.targets
    return [node.target] if isinstance(node, ast.AnnAssign) and node.value is not None else []


def is_constant(target: ast.expr) -> bool:
    return isinstance(target, ast.Name) and _CONSTANT.fullmatch(target.id) is not None


def faults(source: str) -> Iterator[str]:
    """Constants of a module that share a line, or have no comment of their own."""
    lines = source.splitlines()
    for node in ast.parse(source).body:
        found = targets(node)
        several = [target for target in found if isinstance(target, ast.Tuple) and all(map(is_constant, target.elts))]
        if len(found) > 1 or (several and isinstance(getattr(node, "value", None), ast.Tuple)):
            yield f"{node.lineno}: several in one line"
        elif found and is_constant(found[0]) and not lines[node.lineno - 2].startswith("#"):
            yield f"{node.lineno}: {ast.unparse(found[0])} without a comment"


@pytest.mark.parametrize("room", sorted(path.name for path in (ROOT / "generator").iterdir() if path.is_dir()))
def test_every_constant_has_its_line_and_its_comment(room: str) -> None:
    """But for what all command modules have."""
    wrong = []
    for path in sorted((ROOT / "generator" / room).rglob("*.py")):
        for fault in faults(path.read_text(encoding="utf-8")):
            if room != "commands" or fault.split()[1] not in OF_A_COMMAND:
                wrong.append(f"{path.relative_to(ROOT)}:{fault}")
    assert wrong == []


def test_the_judge_sees_both_faults() -> None:
    """Shared lines and missing comments are found; an unpacking of one value, and a commented constant, are none."""
    assert list(faults("A, B = 1.0, 2.0\n")) == ["1: several in one line"]
    assert list(faults("A = B = 1.0\n")) == ["1: several in one line"]
    assert list(faults("#: One.\nA = 1.0\nB = 2.0\n")) == ["3: B without a comment"]
    assert list(faults("#: Both.\nA, B = made()\n")) == []
    assert list(faults("#: One.\nA: float = 1.0\n#: Two.\nB = 2.0\nname = 3.0\n")) == []
