"""Hand-kept TOML files change only where they must."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.base.atomic_file import write_atomically
from generator.base.errors import InputError, OutputError
from generator.job.toml_edit import append_table, change_table, read_text

SHOP = """\
# Our shop, kept by hand
schema = 1

[printer]           # the one in the office
x_factor = 1.002    # March print
note = "has a # in it"  # a remark

[router.inch-half]
edge_offset = 1.55
slots = [
  19.1,   # caliper
]

# a last word
"""


def test_a_changed_value_leaves_every_other_character_alone() -> None:
    """Comments, order, spacing and neighbours stay; only the value's own text is replaced."""
    out = change_table(SHOP, ("printer",), {"x_factor": 1.0015})
    assert out == SHOP.replace("x_factor = 1.002 ", "x_factor = 1.0015 ")


def test_a_comment_behind_a_value_survives_its_change() -> None:
    """A sign of comment inside a text is no comment; the one behind it stays."""
    out = change_table(SHOP, ("printer",), {"note": "new"})
    assert 'note = "new"  # a remark\n' in out


def test_a_new_key_stands_at_the_end_of_its_own_table() -> None:
    """A key that was missing is added under its heading, before the blank line that ends the table."""
    out = change_table(SHOP, ("printer",), {"y_factor": 0.999})
    assert "a remark\ny_factor = 0.999\n\n[router.inch-half]" in out


def test_a_missing_table_is_added_at_the_end() -> None:
    """What was there comes first, unchanged."""
    out = change_table(SHOP, ("stock", "birch-ply-18"), {"kerf": 0.2, "date": "2024-05-31"})
    assert out.startswith(SHOP)
    assert out.endswith('\n[stock.birch-ply-18]\nkerf = 0.2\ndate = "2024-05-31"\n')


def test_windows_line_ends_stay() -> None:
    """A file with CR LF gets no lone LF."""
    out = change_table("[printer]\r\nx_factor = 1.0\r\n", ("printer",), {"x_factor": 1.5, "y_factor": 2.0})
    assert out == "[printer]\r\nx_factor = 1.5\r\ny_factor = 2.0\r\n"


def test_a_heading_inside_a_long_text_is_no_heading() -> None:
    """A line of a multi-line text or list that looks like a heading is left alone."""
    text = 'note = """\n[printer]\nx_factor = 9\n"""\nlist = [\n[1],\n]\n[printer]\nx_factor = 1.0\n'
    assert change_table(text, ("printer",), {"x_factor": 2.0}) == text.replace("x_factor = 1.0", "x_factor = 2.0")


def test_a_table_written_in_braces_is_changed_in_its_braces() -> None:
    """A table in braces stays in its braces."""
    assert change_table("printer = { x_factor = 1.0 }\n", ("printer",), {"x_factor": 2.0}) == (
        "printer = { x_factor = 2.0 }\n"
    )


def test_a_value_where_a_table_is_wanted_is_refused() -> None:
    """What is no table is refused and named, never overwritten."""
    with pytest.raises(InputError, match=r"printer: found something that is no table"):
        change_table("printer = 3\n", ("printer",), {"x_factor": 2.0})
    with pytest.raises(InputError, match=r"build: found something that is no list"):
        append_table("build = 3\n", "build", {"gap": 2.0})
    with pytest.raises(InputError, match=r"\[\[build\]\]"):
        append_table("build = [1, 2]\n", "build", {"gap": 2.0})


def test_a_file_that_is_no_toml_is_refused() -> None:
    """A broken file stays as broken as it was, and is named."""
    with pytest.raises(InputError, match=r"shop\.toml"):
        change_table("[printer\n", ("printer",), {"x_factor": 2.0}, "shop.toml")


def test_array_tables_grow_at_the_end() -> None:
    """A record is appended; earlier ones keep their text."""
    first = append_table("", "build", {"date": "2024-05-31", "gap_final": 3.4})
    second = append_table(first + "# between\n", "build", {"date": "2024-06-02", "note": 'say "hi"\\'})
    assert second.startswith(first + "# between\n")
    assert tomllib.loads(second)["build"][1] == {"date": "2024-06-02", "note": 'say "hi"\\'}


_NAMES = st.text("abcz-_ .é\"'", min_size=1, max_size=6)
_VALUES = st.one_of(
    st.floats(-1e6, 1e6).map(lambda v: round(v, 6)),
    st.text(max_size=12).filter(lambda t: all(not 0xD800 <= ord(c) <= 0xDFFF for c in t)),
    st.booleans(),
    st.dictionaries(st.sampled_from(["a", "b c"]), st.integers(-9, 9), max_size=2),
)


@settings(max_examples=60, deadline=None)
@given(table=st.lists(_NAMES, min_size=1, max_size=2).map(tuple), values=st.dictionaries(_NAMES, _VALUES, min_size=1))
def test_whatever_is_written_is_read_back(table: tuple[str, ...], values: dict[str, object]) -> None:
    """Any name and value goes in and comes out the same, twice over, and the hand-kept part is untouched."""
    once = change_table(SHOP, table, values)
    inner = tomllib.loads(once)
    for part in table:
        inner = inner[part]
    assert {key: inner[key] for key in values} == values
    assert change_table(once, table, values) == once
    assert once.startswith(SHOP)


def test_writing_replaces_the_file_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the system fails half-way the old file stands and no draft is left; its mode is kept."""
    path = tmp_path / "shop.toml"
    path.write_text("old\n")
    path.chmod(0o640)
    write_atomically(path, "new\r\n")
    assert path.read_bytes() == b"new\r\n"
    assert path.stat().st_mode & 0o777 == 0o640
    assert read_text(path) == "new\r\n"

    def fail(*args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(OutputError, match="No space left"):
        write_atomically(path, "half")
    assert [p.name for p in tmp_path.iterdir()] == ["shop.toml"]
    assert path.read_bytes() == b"new\r\n"
