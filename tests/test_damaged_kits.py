"""Kits damaged by lot: whatever somebody or a disk does to a file of a kit, the proof names that file.

`HEELWRIGHT_FUZZ` asks for another number of damaged kits than the few of every run; the seeds are its numbers.
"""

from __future__ import annotations

import os
import random
import re
import shutil
from pathlib import Path

import pytest
from made_once import kit as make_kit
from test_hostile_files import damaged

from generator.base.errors import OutputError
from generator.job.load import load_job
from generator.job.shop import Shop
from generator.kit.groups import Group
from generator.kit.same_text import difference
from generator.proof.listing import listing_findings, read_listing

FUZZ = int(os.environ.get("HEELWRIGHT_FUZZ", "120"))
#: Drawn anew and compared; results.json, job.toml and the manifest have tests of their own.
DRAWN = ("dxf", "svg", "pdf", "html", "glb", "step")


@pytest.fixture(scope="module")
def kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    groups = (Group.STEP, Group.LASER, Group.SHEET)
    return make_kit(load_job("ukulele-tenor", Shop()), tmp_path_factory.mktemp("kit"), groups)


def numbers(data: bytes) -> list[str]:
    return re.findall(r"\d", data.decode("latin-1"))


def test_every_damage_is_named(kit: Path, tmp_path: Path) -> None:
    """Bytes lost, doubled, exchanged for noise or for strange numbers: by the list's hash wherever it still stands, and
    by what is drawn anew where the list was corrected too, unless only a number's last digits are others."""
    copy = tmp_path / kit.name
    shutil.copytree(kit, copy)
    listing = read_listing(copy)
    names = sorted(name for name in listing.files if name.rpartition(".")[2] in DRAWN)
    by_hash_alone = 0
    for seed in range(FUZZ):
        name = random.Random(seed).choice(names)
        whole = (kit / name).read_bytes()
        data = damaged(whole, seed)
        if data == whole:
            continue
        (copy / name).write_bytes(data)
        assert name in {finding.file for finding in listing_findings(copy, listing)}, (seed, name)
        (copy / name).write_bytes(whole)
        try:
            words: str | None = difference(name, data, whole)
        except OutputError as error:
            words = str(error)
        if words is None:
            by_hash_alone += 1
            assert numbers(data) != numbers(whole) or b"".join(data.split()) == b"".join(whole.split()), (seed, name)
    assert by_hash_alone <= FUZZ / 10
