"""Errors carry all faults, and keep them when they cross from one process to another."""

from __future__ import annotations

import pickle

import pytest

from generator.base.errors import CheckFailed, Fault, InputError

FAULTS = (
    Fault("a.toml", "router.reach", "30 mm", "at least 40 mm"),
    Fault("a.toml", "job.name", '"a/b"', "a safe name"),
)


@pytest.mark.parametrize("kind", [InputError, CheckFailed])
def test_faults_survive_pickling(kind: type[InputError | CheckFailed]) -> None:
    """A refusal made in a worker process arrives with every fault and the same text."""
    sent = kind(FAULTS)
    got = pickle.loads(pickle.dumps(sent))
    assert got.faults == FAULTS
    assert str(got) == str(sent)
    assert "router.reach" in str(got)
