"""What was made before is not made again, and nothing of it can be wrong: the store of expensive results."""

from __future__ import annotations

import os
import pickle
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter
from dataclasses import dataclass, replace
from enum import Enum
from pathlib import Path
from types import MappingProxyType

import pytest
from made_once import THOROUGH
from store_tasks import ASKED, figures, keep_often, large, refuse, shout, shout_through

from generator.base.exact import digest
from generator.base.packed import pack, unpack
from generator.base.points2d import P2
from generator.base.store import LIBRARIES, NO_STORE, Store, _seal, program_digest, users_store
from generator.jig.build import build_jig
from generator.job.load import load_job
from generator.job.model.job import OutputSpec, Paper
from generator.joint.solution import solve
from generator.kit.crew import Task, crew_of

ROOT = Path(__file__).parent.parent
pytestmark = pytest.mark.usefixtures("proved_once")


@pytest.fixture(autouse=True)
def _nothing_asked() -> None:
    ASKED.clear()


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "store", "program")


def entries(store: Store) -> list[Path]:
    assert store.folder is not None
    return sorted(path for path in store.folder.rglob("*") if path.is_file())


# --- the exact content of a value -------------------------------------------------------------------------------------


class Colour(Enum):
    RED = "red"
    GREEN = "green"


class Fruit(Enum):
    RED = "red"


@dataclass(frozen=True)
class Pair:
    a: object
    b: object = None


@dataclass(frozen=True)
class Couple:
    a: object
    b: object = None


_DIFFERENT = [
    0.1 + 0.2,
    0.3,
    1,
    1.0,
    True,
    "1",
    b"1",
    None,
    "None",
    0.0,
    -0.0,
    (),
    [],
    (1, 2),
    [1, 2],
    ((1,), 2),
    ((1, 2),),
    ("ab", "c"),
    ("a", "bc"),
    ("a\ntext 1:b",),
    ("a", "b"),
    P2(1.0, 2.0),
    (1.0, 2.0),
    Colour.RED,
    Colour.GREEN,
    Fruit.RED,
    "red",
    Pair(1, 2),
    Pair(2, 1),
    Couple(1, 2),
    Pair(Pair(1), 2),
    Pair(1, Pair(2)),
    {"a": 1, "b": 2},
    {"b": 2, "a": 1},
    {"a": 1},
    {},
    OutputSpec(),
    OutputSpec(paper=(Paper.A3,)),
]


def test_values_that_differ_have_different_digests() -> None:
    """Kind, order, nesting, sign and every last digit count: no two of these share a digest."""
    assert len({digest(value) for value in _DIFFERENT}) == len(_DIFFERENT)


def test_equal_content_has_one_digest_in_every_process() -> None:
    """A jig built anew has the same digests, here and in a process that hashes texts by another seed."""
    script = (
        "from generator.base.exact import digest\nfrom generator.job.load import load_job\n"
        "from generator.jig.build import build_jig\nfrom generator.joint.solution import solve\n"
        "print(digest(build_jig(solve(load_job('ukulele-tenor')))))"
    )
    env = os.environ | {"PYTHONHASHSEED": "77"}
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT, env=env)
    assert run.stdout.strip() == digest(build_jig(solve(load_job("ukulele-tenor"))))


def test_a_mapping_counts_by_its_content() -> None:
    """A read-only view of a mapping is that mapping."""
    assert digest(MappingProxyType({"a": 1.5})) == digest({"a": 1.5})


@pytest.mark.parametrize("value", [object(), Path("a"), len, Pair, {1}, 1j, Pair(object()), {"a": [object()]}])
def test_what_is_not_known_is_refused(value: object) -> None:
    """No object is taken by its `repr`, wherever it stands."""
    with pytest.raises(TypeError, match="no exact content"):
        digest(value)


def test_every_field_of_every_part_counts() -> None:
    """A part that differs in any one field has another digest."""
    part = build_jig(solve(load_job("orchestra-14"))).part("board")
    other = {
        "name": "x",
        "title": "x",
        "stock": "x",
        "thickness": part.thickness + 1e-12,
        "outline": replace(part.outline, vertices=part.outline.vertices[::-1][::-1][1:] + part.outline.vertices[:1]),
        "openings": (*part.openings, None),
        "holes": part.holes[1:],
        "edge_holes": (*part.edge_holes, None),
        "engraved_lines": (*part.engraved_lines, None),
        "engraved_texts": part.engraved_texts[1:],
        "points": {**part.points, "x": P2(0.0, 0.0)},
        "dimensions": part.dimensions[1:],
        "quantity": part.quantity + 1,
        "purpose": "x",
        "requirements": (*part.requirements, None),
        "thickness_tolerance": "x",
        "shop_dimensions": (*part.shop_dimensions, None),
        "datum": P2(-1.0, -1.0),
        "traits": None,
    }
    assert set(other) == set(part.__dataclass_fields__)
    found = {digest(replace(part, **{name: value})) for name, value in other.items()}  # type: ignore[arg-type]
    assert len(found | {digest(part)}) == len(other) + 1


# --- keeping and finding ----------------------------------------------------------------------------------------------


def test_a_kept_result_is_not_made_again(store: Store) -> None:
    """The second answer is the first one's bytes, and the function is not called."""
    assert store.kept(shout, "word", 2) == store.kept(shout, "word", 2) == b"WORDWORD"
    assert ASKED == ["word"]


def test_another_argument_or_function_is_another_entry(store: Store) -> None:
    """Each argument counts, and so does the function."""
    store.kept(shout, "word")
    assert store.kept(shout, "other") == b"OTHER"
    assert store.kept(shout, "word", 2) == b"WORDWORD"
    assert store.kept(shout, "word", times=3) == b"WORD" * 3
    with pytest.raises(ValueError, match="word"):
        store.kept(refuse, "word")
    assert ASKED == ["word", "other", "word", "word", "word"]


def test_another_program_misses(store: Store) -> None:
    """What one version of the program made, another does not take."""
    store.kept(shout, "word")
    replace(store, program="another").kept(shout, "word")
    assert ASKED == ["word", "word"]


def test_an_error_is_not_kept(store: Store) -> None:
    """A function that refuses is asked again the next time."""
    for _ in range(2):
        with pytest.raises(ValueError, match="no"):
            store.kept(refuse, "no")
    assert ASKED == ["no", "no"]
    assert not entries(store)


def test_only_a_function_of_a_module_is_kept(store: Store) -> None:
    """What might see more than its arguments is refused: a function made inside another, a method."""
    with pytest.raises(TypeError, match="module's own"):
        store.kept(lambda: b"")
    with pytest.raises(TypeError, match="module's own"):
        store.kept("word".encode)
    with pytest.raises(TypeError, match="no exact content"):
        store.kept(shout, object())  # type: ignore[arg-type]


@pytest.mark.parametrize("damage", ["emptied", "cut", "flipped", "longer", "swapped", "folder"])
def test_a_damaged_entry_is_made_anew(store: Store, damage: str) -> None:
    """Whatever happened to an entry, the answer is right, and the entry is whole again where it can be."""
    store.kept(shout, "other")
    (other,) = entries(store)
    store.kept(shout, "word")
    (path,) = set(entries(store)) - {other}
    whole = path.read_bytes()
    if damage == "folder":
        path.unlink()
        path.mkdir()
    else:
        path.write_bytes(
            {
                "emptied": b"",
                "cut": whole[:-1],
                "flipped": whole[:-1] + bytes([whole[-1] ^ 1]),
                "longer": whole + b"\0",
                "swapped": other.read_bytes(),
            }[damage]
        )
    assert store.kept(shout, "word") == b"WORD"
    assert ASKED == ["other", "word", "word"]
    assert damage == "folder" or path.read_bytes() == whole


def test_a_kept_value_comes_back_as_it_was(store: Store) -> None:
    """Nouns, enumerations and read-only mappings come back the same to the last digit, and are not made again."""
    made, kept = store.kept(figures, 2.5), store.kept(figures, 2.5)
    assert ASKED == ["2.5"]
    assert made == kept == figures(2.5)
    assert digest(made) == digest(kept)


@pytest.mark.parametrize("value", [os.system, Counter, subprocess.Popen, print, Path("a"), exit])
def test_nothing_but_values_is_read(store: Store, value: object) -> None:
    """An entry that names a function, or a class of another library, is not obeyed: the result is made anew."""
    store.kept(shout, "word")
    (path,) = entries(store)
    spoilt = pickle.dumps(value)
    path.write_bytes(_seal(path, spoilt) + spoilt)
    with pytest.raises(ValueError, match="nothing that was packed"):
        unpack(spoilt)
    assert store.kept(shout, "word") == b"WORD"


def test_no_library_is_reached_through_the_program() -> None:
    """A name that leads from a module of the program into a library that it uses is refused like the library's own."""
    through = b"\x80\x04\x8c\x14generator.base.store\x8c\x09os.system\x93."
    assert pickle.loads(through) is os.system  # so an ordinary reader would take it
    with pytest.raises(ValueError, match="no noun of the program"):
        unpack(through)


def test_what_cannot_come_back_is_not_kept() -> None:
    """A value that a reader could not make again is refused when it is packed."""
    with pytest.raises(TypeError, match="cannot be packed"):
        pack(lambda: None)


def test_a_store_among_the_arguments_is_no_cause(store: Store, tmp_path: Path) -> None:
    """A function may be handed the store: which one it is changes neither its result nor its key."""
    store.kept(shout_through, "word", store)
    store.kept(shout_through, "word", replace(store, bound=7))
    assert ASKED == ["word"]


def test_a_folder_that_is_gone_is_made_again(store: Store) -> None:
    """The store may be deleted at any time."""
    store.kept(shout, "word")
    assert store.folder is not None
    shutil.rmtree(store.folder)
    store.trim()
    assert store.kept(shout, "word") == b"WORD"
    assert len(entries(store)) == 1


@pytest.mark.parametrize("hindrance", ["file", "inside a file", "read-only"])
def test_without_a_folder_to_write_everything_is_made(tmp_path: Path, hindrance: str) -> None:
    """A store that cannot be written says nothing and keeps nothing."""
    folder = tmp_path / "store"
    if hindrance == "read-only":
        folder = Path("/proc/self/store")  # a place where even root may not make a folder
        if not sys.platform.startswith("linux"):
            pytest.skip("needs /proc")
    elif hindrance == "file":
        folder.write_bytes(b"mine")
    else:
        (tmp_path / "file").write_bytes(b"mine")
        folder = tmp_path / "file" / "store"
    store = Store(folder, "program")
    assert store.kept(shout, "word") == store.kept(shout, "word") == b"WORD"
    store.trim()
    assert ASKED == ["word", "word"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="nothing is read-only to root")
def test_a_read_only_folder_is_read(store: Store) -> None:
    """What a folder that may not be written holds is still found; what it lacks is made."""
    store.kept(shout, "word")
    (shelf,) = [path.parent for path in entries(store)]
    shelf.chmod(0o500)
    shelf.parent.chmod(0o500)
    try:
        store.kept(shout, "word")
        assert store.kept(shout, "other") == b"OTHER"
        assert ASKED == ["word", "other"]
    finally:
        shelf.parent.chmod(0o700)
        shelf.chmod(0o700)


def test_two_processes_share_one_key(tmp_path: Path) -> None:
    """Processes that write, read and remove one entry at the same time get whole answers only."""
    until = time.monotonic() + (3.0 if THOROUGH else 1.0)
    with crew_of(2) as crew:
        task = Task("", keep_often, (tmp_path / "store", until))
        assert crew.do_all([task, task]) == [0, 0]
    assert not list((tmp_path / "store").rglob("*.draft"))


# --- the bound --------------------------------------------------------------------------------------------------------


def aged(store: Store) -> list[int]:
    """Four entries of some 1000 bytes, the first the oldest; a use of it makes it the youngest."""
    sizes = [1000, 1001, 1002, 1003]
    for age, size in enumerate(sizes):
        before = set(entries(store)) if store.folder and store.folder.exists() else set()
        store.kept(large, size)
        (path,) = set(entries(store)) - before
        os.utime(path, (1000.0 + age, 1000.0 + age))
    store.kept(large, sizes[0])
    ASKED.clear()
    return sizes


def test_what_was_used_longest_ago_goes_first(store: Store) -> None:
    """Trimmed to three entries' room the store loses the oldest of those not used since, and no other."""
    sizes = aged(store)
    replace(store, bound=3200).trim()
    for size in (sizes[0], sizes[2], sizes[3]):
        store.kept(large, size)
    assert ASKED == []
    store.kept(large, sizes[1])
    assert ASKED[-1:] == [f"{sizes[1]}"]


def test_a_store_within_its_bound_loses_nothing(store: Store) -> None:
    """Trimming stops at the bound."""
    aged(store)
    held = sum(path.stat().st_size for path in entries(store))
    replace(store, bound=held).trim()
    assert len(entries(store)) == 4
    replace(store, bound=held - 1).trim()
    assert len(entries(store)) == 3


def test_nothing_but_the_stores_own_goes(store: Store) -> None:
    """In a folder that holds other things, trimming takes entries and drafts of a killed process only."""
    aged(store)
    assert store.folder is not None
    foreign = [store.folder / "letter.txt", store.folder / "ab" / "letter.txt", store.folder / "photos" / ("0" * 64)]
    for path in foreign:
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(b"mine")
    draft = store.folder / "ab" / f"{'0' * 64}.x1y2.draft"
    draft.write_bytes(b"half")
    replace(store, bound=0).trim()
    assert sorted(foreign) == entries(store)


# --- whose store ------------------------------------------------------------------------------------------------------


def test_the_variable_turns_the_store_off_or_moves_it(tmp_path: Path) -> None:
    """HEELWRIGHT_CACHE is "off" or a folder; else the XDG cache directory holds the store; `--no-cache` rules."""
    cache = {"XDG_CACHE_HOME": str(tmp_path / "cache")}
    assert users_store(cache | {"HEELWRIGHT_CACHE": "off"}) == users_store(cache | {"HEELWRIGHT_CACHE": " OFF"})
    assert users_store(cache | {"HEELWRIGHT_CACHE": "off"}) == NO_STORE == users_store(cache, asked=False)
    assert users_store(cache | {"HEELWRIGHT_CACHE": str(tmp_path / "own")}).folder == tmp_path / "own"
    if sys.platform.startswith("linux"):
        assert users_store(cache).folder == tmp_path / "cache" / "heelwright"
        assert users_store({"XDG_CACHE_HOME": "relative"}).folder == Path.home() / ".cache" / "heelwright"
    assert not list(tmp_path.iterdir())  # asking writes nothing


def test_tests_keep_out_of_the_users_store() -> None:
    """Nothing that these tests make comes from, or goes to, the store of who runs them: they have one of their own."""
    own = users_store(os.environ).folder
    assert own is not None
    assert own.name.startswith("heelwright-tests-")
    assert own.parent == Path(tempfile.gettempdir())


def test_a_change_of_the_program_is_another_program(tmp_path: Path) -> None:
    """Any file of the program counts, by content, by name and by its mere presence; compiled copies do not."""
    package = tmp_path / "package"
    (package / "data").mkdir(parents=True)
    (package / "a.py").write_text("1")
    (package / "data" / "b.toml").write_text("2")
    first = program_digest(package)
    (package / "__pycache__").mkdir()
    (package / "__pycache__" / "a.pyc").write_text("3")
    assert program_digest(package) == first
    (package / "data" / "b.toml").write_text("3")
    second = program_digest(package)
    (package / "data" / "b.toml").rename(package / "data" / "c.toml")
    third = program_digest(package)
    (package / "empty.py").touch()
    assert len({first, second, third, program_digest(package)}) == 4


def test_another_version_of_a_library_is_another_program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a library's other version makes is not taken for this one's."""
    before = program_digest(tmp_path)
    monkeypatch.setattr("generator.base.store.library_version", lambda name: "0" if name == "ezdxf" else "1")
    first = program_digest(tmp_path)
    monkeypatch.setattr("generator.base.store.library_version", lambda name: "1")
    assert len({before, first, program_digest(tmp_path)}) == 3


def test_every_library_of_the_program_counts() -> None:
    """The list of libraries names all that the program depends on."""
    asked = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    names = {one.split("~")[0].split(">")[0].split("=")[0].strip() for one in asked}
    assert names <= set(LIBRARIES)
    assert {"cadquery-ocp", "numpy"} <= set(LIBRARIES)  # brought by cadquery, and they write the STEP files
