"""How large a PDF's streams become when they are unpacked, found out before a reader unpacks them all.

A few hundred bytes can unpack to as many megabytes, and streams can be packed in packed ones.
"""

from __future__ import annotations

import base64
import re
import zlib

from generator.base.errors import OutputError

#: All streams of one document together, bytes: the largest document of a kit has a tenth.
_LARGEST = 32_000_000
#: Matches the keyword and line end before a stream's data, also at the end of `endstream`.
_STREAM = re.compile(rb"stream\r?\n")
#: Matches a dictionary's filter entry and captures its one name or its array of names.
_FILTER = re.compile(rb"/Filter\s*(\[[^\]]*\]|/\w+)")
#: Name of the filter that unpacks deflated data.
_FLATE = b"/FlateDecode"
#: How far before its stream a dictionary may begin, bytes.
_BEFORE = 2_000


def demand_small(data: bytes) -> None:
    """Raise OutputError where the streams of a PDF unpack to more than any of a kit, or are packed more than once."""
    room = _LARGEST
    for mark in _STREAM.finditer(data):
        if data[max(0, mark.start() - 3) : mark.start()] == b"end":
            continue
        before = data[max(0, mark.start() - _BEFORE) : mark.start()]
        said = _FILTER.search(before, before.rfind(b" obj") + 1)
        names = re.findall(rb"/\w+", said.group(1)) if said else []
        if names.count(_FLATE) > 1 or any(name not in (_FLATE, b"/ASCII85Decode") for name in names):
            raise OutputError(f"a stream packed as {b' '.join(names).decode('ascii', 'replace')[:80]}")
        end = data.find(b"endstream", mark.end())
        packed = data[mark.end() : end if end >= 0 else len(data)]
        room -= _unpacked(packed, names, room) if names else len(packed)
        if room < 0:
            raise OutputError(f"streams that unpack to more than {_LARGEST} bytes")


def _unpacked(packed: bytes, names: list[bytes], room: int) -> int:
    """Bytes that a stream unpacks to; more than `room` where it goes past it."""
    try:
        if names[0] != _FLATE:
            packed = base64.a85decode(packed.strip().removesuffix(b"~>"))
        return len(zlib.decompressobj().decompress(packed, room + 1)) if _FLATE in names else len(packed)
    except (ValueError, zlib.error):
        return len(packed)  # a reader that finds it broken too says so
