"""Whether two files say and draw the same, numbers rewritten by a micrometre aside: SVG, HTML, DXF, STEP, PDF
and glTF.

Words, names and everything that is no number have to be the same sign by sign; a number in a tag, in a drawing's entity
or in a page's operators may be another by less than a bench can tell, because another computer rounds otherwise.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Callable, Iterator, Mapping
from itertools import zip_longest
from types import MappingProxyType

from generator.base.errors import OutputError
from generator.formats.pdf.streams import demand_small

#: Numbers are the same within this, mm.
_SLACK = 1.5e-3
#: A millimetre in a PDF page's points: the slack is the same length there.
_POINTS = 2.8346
#: A millimetre in glTF's metres: the slack is the same length there.
_METRES = 1e-3
#: A decimal number in a text.
_NUMBER = re.compile(r"(-?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)")
#: A tag of SVG or HTML.
_TAG = re.compile(r"(<[^>]*>)")
#: Group codes of DXF whose value is a length, an angle or a place (DXF reference, group code ranges).
_LENGTHS = frozenset(map(str, range(10, 60)))
#: A stream of a PDF.
_STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
#: Length of a PDF's stream, which hangs on how the stream is packed.
_LENGTH = re.compile(rb"/Length \d+")
#: Where a PDF's cross-reference table begins, and with it the tail, which hangs on how the streams are packed.
_TABLE = b"\nxref"
#: What of a PDF's tail hangs on how the streams are packed: the file identifier and the places of the objects.
_PLACES = re.compile(rb"<[0-9a-f]{32}>|\d+")
#: Words of a page stand in brackets; a bracket in them is written with a stroke before it.
_WORDS = re.compile(r"(\((?:\\.|[^\\()])*\))")
#: Byte of a binary glTF where the document's size begins: behind twelve bytes of head.
_SIZE_AT = 12
#: Byte of a binary glTF where the document begins: behind its size and kind. Eight bytes and the numbers follow it.
_DOCUMENT_AT = 20
#: Bytes of each number in a binary glTF.
_ROW = 4
#: Less than this (m) is no place in a model but a triangle's corner, a whole number, read as one.
_NO_PLACE = 1e-30
#: So many characters about the first difference are shown.
_SHOWN = 48


def difference(name: str, found: bytes, wanted: bytes) -> str | None:
    """In words the first place where the file `name` is another than the wanted one; None where they are the same.

    OutputError for a file that cannot be what its name says.
    """
    if found == wanted:
        return None
    ending = name.rpartition(".")[2]
    return _of_models(found, wanted) if ending == "glb" else _of_pieces(_PIECES[ending](found), _PIECES[ending](wanted))


#: A piece of a file, and by how much its numbers may differ: 0 for words.
_Pieces = Iterator[tuple[str, float]]


def _of_pieces(found: _Pieces, wanted: _Pieces) -> str | None:
    for (has, _), (want, slack) in zip_longest(found, wanted, fillvalue=("", 0.0)):
        if has != want and not _alike(has, want, slack):
            return f'"{_near(has, want)}" where "{_near(want, has)}" belongs'
    return None


def _alike(found: str, wanted: str, slack: float) -> bool:
    """Whether two texts differ in nothing but numbers, and in those by no more than `slack`."""
    a, b = _NUMBER.split(found), _NUMBER.split(wanted)
    if not slack or len(a) != len(b) or a[::2] != b[::2]:
        return False
    return all(x == y or abs(float(x) - float(y)) <= slack for x, y in zip(a[1::2], b[1::2], strict=True))


def _near(text: str, other: str) -> str:
    """The part of `text` about the first sign that is another than the other's."""
    at = next((i for i, (a, b) in enumerate(zip(text, other, strict=False)) if a != b), min(len(text), len(other)))
    start = max(0, at - _SHOWN // 2)
    return " ".join(text[start : start + _SHOWN].split())


def _markup(data: bytes) -> _Pieces:
    for piece in _TAG.split(_text(data)):
        yield piece, _SLACK if piece.startswith("<") else 0.0


def _drawing(data: bytes) -> _Pieces:
    """Pairs of a group code and its value."""
    lines = _text(data).splitlines()
    for code, value in zip_longest(lines[::2], lines[1::2], fillvalue=""):
        is_length = code.strip() in _LENGTHS
        yield f"{code.strip()} {value.strip()}", _SLACK if is_length else 0.0


def _solid(data: bytes) -> _Pieces:
    """The entities of STEP; names stand between quotes."""
    for place, piece in enumerate(_text(data).split("'")):
        yield ("".join(piece.split()), _SLACK) if place % 2 == 0 else (piece, 0.0)


def _document(data: bytes) -> _Pieces:
    """A PDF's dictionaries, its streams unpacked, and its tail without the places of what stands in it."""
    demand_small(data)
    end = data.find(_TABLE)
    body, tail = (data[:end], data[end:]) if end >= 0 else (data, b"")
    for place, piece in enumerate(_STREAM.split(body)):
        text = _unpacked(piece) if place % 2 else _LENGTH.sub(b"", piece)
        for number, part in enumerate(_WORDS.split(text.decode("latin-1"))):
            yield part, 0.0 if number % 2 else _SLACK * _POINTS
    yield _PLACES.sub(b"", tail).decode("latin-1"), 0.0


def _unpacked(packed: bytes) -> bytes:
    try:
        return zlib.decompressobj().decompress(packed)
    except zlib.error:
        return packed


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise OutputError(f"no text in UTF-8: {error.reason}") from None


#: Each file ending to what cuts such a file into the pieces that are compared.
_PIECES: Mapping[str, Callable[[bytes], _Pieces]] = MappingProxyType(
    {"svg": _markup, "html": _markup, "dxf": _drawing, "step": _solid, "pdf": _document}
)


def _of_models(found: bytes, wanted: bytes) -> str | None:
    """glTF in binary: its document as text, then points and triangles, four bytes each, one after the other."""
    if len(found) != len(wanted):
        return f"{len(found)} bytes where {len(wanted)} belong"
    split = _DOCUMENT_AT + int.from_bytes(wanted[_SIZE_AT : _SIZE_AT + _ROW], "little")
    has, want = (data[_DOCUMENT_AT:split].decode("latin-1") for data in (found, wanted))
    if found[:_DOCUMENT_AT] != wanted[:_DOCUMENT_AT] or not _alike(has, want, _SLACK * _METRES):
        return f'"{_near(has, want)}" where "{_near(want, has)}" belongs'
    for at in range(split, len(wanted), _ROW):
        one, other = found[at : at + _ROW], wanted[at : at + _ROW]
        if one != other:
            (a,), (b,) = struct.unpack("<f", one), struct.unpack("<f", other)
            if not (min(abs(a), abs(b)) > _NO_PLACE and abs(a - b) <= _SLACK * _METRES):
                return f"{a:.6g} m where {b:.6g} m belongs"
    return None
