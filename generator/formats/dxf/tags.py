"""A DXF file's text, opened as something that nobody vouches for: ASCII, bounded, every number one that can be drawn.

What a hostile file could make the library build is counted in the text before the library sees it.
"""

from __future__ import annotations

import io
import re
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.lldxf.validator import dxf_info

from generator.base.bounded_file import read_bounded
from generator.base.errors import OutputError

#: Value of $INSUNITS for millimetres (DXF reference, header variables).
MILLIMETRES = 4
#: Entities, tables and blocks of one file: the largest of a kit has a seventh of this.
_MOST_ENTITIES = 10_000
#: Vertices of polylines in one file.
_MOST_VERTICES = 20_000
#: Line that opens an entity, table or block: group code 0.
_ENTITY = re.compile(r"(?m)^ *0\r?$")
#: Line that opens a point or an arc's bulge: group codes 10 and 42.
_VERTEX = re.compile(r"(?m)^ *(?:10|42)\r?$")
#: From this version on, AutoCAD 2007's, a DXF is in UTF-8 whatever code page it names.
_UTF8_SINCE = "AC1021"
#: What the library raises for a file that is none.
UNREADABLE = (
    ezdxf.DXFError, ValueError, TypeError, IndexError, KeyError, AttributeError, StopIteration, OverflowError,
    RecursionError, ArithmeticError, AssertionError,
)  # fmt: skip


def open_dxf(path: Path) -> Drawing:
    """The document at `path`. OutputError where it is no readable DXF, or larger than any that a kit has."""
    try:
        data = read_bounded(path)
        if b"\0" in data:
            raise OutputError("no DXF in plain text")
        info = dxf_info(io.StringIO(data.decode("cp1252", errors="ignore")))
        text = data.decode("utf-8" if info.version >= _UTF8_SINCE else info.encoding)
        _demand_few(text)
        return ezdxf.read(io.StringIO(text, newline=None))
    except (OSError, LookupError, *UNREADABLE) as error:
        raise OutputError(f"{path.name}: not a readable DXF: {error}"[:300]) from error


def _demand_few(text: str) -> None:
    for pattern, most, what in ((_ENTITY, _MOST_ENTITIES, "entities"), (_VERTEX, _MOST_VERTICES, "points and arcs")):
        count = len(pattern.findall(text))
        if count > most:
            raise OutputError(f"{count} {what}, of which {most} at most are read")
