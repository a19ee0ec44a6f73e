"""Reads a binary glTF 2.0 file back as plain data: each part's triangles where they stand, in metres with Y up."""

from __future__ import annotations

import math
import struct
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from generator.base.errors import OutputError
from generator.base.geometry3d import P3
from generator.base.strict_json import parse_json

#: A file's header (glTF 2.0 specification): mark, version, length in bytes.
_HEADER = struct.Struct("<III")
#: A chunk's header (glTF 2.0 specification): length in bytes, type.
_CHUNK = struct.Struct("<II")
#: Mark of a binary glTF (glTF 2.0 specification): "glTF" in ASCII.
_MAGIC = 0x46546C67
#: Type of the chunk with the document (glTF 2.0 specification): "JSON" in ASCII.
_JSON = 0x4E4F534A
#: Type of the chunk with the buffer (glTF 2.0 specification): "BIN" in ASCII.
_BIN = 0x004E4942
#: Component types of the specification's table, as struct has them.
_COMPONENTS = {5120: "b", 5121: "B", 5122: "h", 5123: "H", 5125: "I", 5126: "f"}
#: Accessor type to the numbers in one row of it (glTF 2.0 specification).
_WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT4": 16}
#: Mode of a primitive of single triangles (glTF 2.0 specification), and its default.
_TRIANGLES = 4
#: So many rows of points, normals and corners are read in all; the largest model of a ready job has 47,000. A mesh may
#: stand in many nodes, so that the size of the file bounds nothing.
_MOST_ROWS = 2_000_000

#: A 4 × 4 matrix by columns, as glTF writes it.
Matrix = tuple[float, ...]
#: Identity matrix.
_UNMOVED: Matrix = (1.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 1.0)


@dataclass(frozen=True)
class GlbPart:
    """One node that carries a mesh: its points in the scene's metres, its triangles, its colour in linear light."""

    name: str
    points: tuple[P3, ...]
    triangles: tuple[tuple[int, int, int], ...]
    colour: tuple[float, ...]
    extras: Mapping[str, Any]

    @property
    def volume(self) -> float:
        """Enclosed volume in m³, positive where the triangles run counter-clockwise seen from outside."""
        p = self.points
        return math.fsum(p[a].dot(p[b].cross(p[c])) for a, b, c in self.triangles) / 6.0

    @property
    def bounds(self) -> tuple[P3, P3]:
        xs, ys, zs = zip(*self.points, strict=True)
        return P3(min(xs), min(ys), min(zs)), P3(max(xs), max(ys), max(zs))


@dataclass(frozen=True)
class GlbFile:
    """A file as read: what wrote it, and its parts in the order of the nodes."""

    name: str
    generator: str
    parts: tuple[GlbPart, ...]

    def part(self, name: str) -> GlbPart:
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)


def read_glb_bytes(data: bytes, name: str) -> GlbFile:
    """The parts of a binary glTF 2.0 file. Raises OutputError naming the file and what is wrong with it."""
    document, buffer = _chunks(data, name)
    reader = _Reader(document, buffer)
    try:
        return GlbFile(name, str(document["asset"].get("generator", "")), tuple(reader.parts()))
    except (KeyError, IndexError, TypeError, ValueError, AttributeError, OverflowError, struct.error) as fault:
        raise OutputError(f"{name}: no glTF that can be read: {fault!r}") from fault


def _chunks(data: bytes, name: str) -> tuple[dict[str, Any], bytes]:
    """The document and the buffer of a binary glTF."""
    if len(data) < _HEADER.size:
        raise OutputError(f"{name}: {len(data)} bytes are no binary glTF")
    magic, version, length = _HEADER.unpack_from(data)
    if magic != _MAGIC or version != 2 or length != len(data):
        raise OutputError(f"{name}: found mark {magic:#x}, version {version}, length {length} of {len(data)} bytes")
    found: list[tuple[int, bytes]] = []
    at = _HEADER.size
    while at < length:
        if at % 4 or at + _CHUNK.size > length:
            raise OutputError(f"{name}: a chunk that starts at byte {at}")
        size, kind = _CHUNK.unpack_from(data, at)
        at += _CHUNK.size
        if size % 4 or at + size > length:
            raise OutputError(f"{name}: a chunk of {size} bytes at byte {at}")
        found.append((kind, data[at : at + size]))
        at += size
    if [kind for kind, _ in found] != [_JSON, _BIN]:
        raise OutputError(f"{name}: chunks {[hex(kind) for kind, _ in found]}; allowed: JSON, then BIN")
    try:
        document = parse_json(found[0][1])
        if document["asset"]["version"] != "2.0" or len(document["buffers"]) != 1:
            raise ValueError(f"version {document['asset']['version']}, {len(document['buffers'])} buffers")
        if not 0 <= len(found[1][1]) - document["buffers"][0]["byteLength"] < 4:
            raise ValueError("the buffer's length")
    except (ValueError, KeyError, TypeError) as fault:
        raise OutputError(f"{name}: {fault!r}") from fault
    return document, found[1][1]


class _Reader:
    def __init__(self, document: dict[str, Any], buffer: bytes) -> None:
        self._document = document
        self._buffer = buffer
        self._rows = 0

    def parts(self) -> Iterator[GlbPart]:
        """The parts in the order of the nodes, each below its own; the nodes are strict trees (glTF 2.0, 3.5.2)."""
        scene = self._document["scenes"][self._document.get("scene", 0)]
        waiting = [(number, _UNMOVED) for number in reversed(scene["nodes"])]
        seen: set[int] = set()
        while waiting:
            number, above = waiting.pop()
            if number in seen:
                raise ValueError(f"node {number} stands twice")
            seen.add(number)
            node = self._document["nodes"][number]
            here = _times(above, _matrix(node))
            if "mesh" in node:
                yield self._part(node, here)
            waiting += [(child, here) for child in reversed(node.get("children", ()))]

    def _part(self, node: dict[str, Any], place: Matrix) -> GlbPart:
        points: list[P3] = []
        triangles: list[tuple[int, int, int]] = []
        colour: tuple[float, ...] = ()
        for primitive in self._document["meshes"][node["mesh"]]["primitives"]:
            if primitive.get("mode", _TRIANGLES) != _TRIANGLES:
                continue
            first = len(points)
            own = self._values(primitive["attributes"]["POSITION"])
            normals = self._values(primitive["attributes"]["NORMAL"])
            if len(normals) != len(own) or any(abs(math.hypot(*n) - 1.0) > 1e-4 for n in normals):
                raise ValueError(f"{node['name']}: normals that are not one unit vector a point")
            points += [_applied(place, P3(*point)) for point in own]
            flat = [first + int(index[0]) for index in self._values(primitive["indices"])]
            if len(flat) % 3 or max(flat) >= len(points):
                raise ValueError(f"{node['name']}: {len(flat)} corners of triangles among {len(points)} points")
            triangles += zip(flat[0::3], flat[1::3], flat[2::3], strict=True)
            material = self._document["materials"][primitive["material"]]
            colour = tuple(material["pbrMetallicRoughness"]["baseColorFactor"])
        return GlbPart(node["name"], tuple(points), tuple(triangles), colour, node.get("extras", {}))

    def _values(self, number: int) -> list[tuple[float, ...]]:
        """The rows of an accessor, its stated limits checked."""
        accessor = self._document["accessors"][number]
        view = self._document["bufferViews"][accessor["bufferView"]]
        width = _WIDTHS[accessor["type"]]
        row = struct.Struct(f"<{width}{_COMPONENTS[accessor['componentType']]}")
        start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        step = view.get("byteStride", row.size)
        if step < row.size or start < 0:
            raise ValueError(f"accessor {number}: rows {step} bytes apart from byte {start}")
        end = start + step * (accessor["count"] - 1) + row.size
        if end > view.get("byteOffset", 0) + view["byteLength"] or end > len(self._buffer):
            raise ValueError(f"accessor {number} reaches past its buffer view")
        self._rows += accessor["count"]
        if self._rows > _MOST_ROWS:
            raise ValueError(f"more than {_MOST_ROWS} rows")
        rows = [row.unpack_from(self._buffer, start + step * i) for i in range(accessor["count"])]
        for stated, chosen in (("min", min), ("max", max)):
            if stated in accessor and list(accessor[stated]) != [chosen(column) for column in zip(*rows, strict=True)]:
                raise ValueError(f"accessor {number}: its {stated} is not that of its rows")
        return rows


def _matrix(node: dict[str, Any]) -> Matrix:
    """A node's own move: its matrix, or scale, then rotation, then translation."""
    if "matrix" in node:
        return tuple(float(value) for value in node["matrix"])
    x, y, z, w = node.get("rotation", (0.0, 0.0, 0.0, 1.0))
    sx, sy, sz = node.get("scale", (1.0, 1.0, 1.0))
    tx, ty, tz = node.get("translation", (0.0, 0.0, 0.0))
    first = (1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w))
    second = (2 * (x * y - z * w), 1 - 2 * (x * x + z * z), 2 * (y * z + x * w))
    third = (2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y))
    columns = [[value * s for value in column] for column, s in zip((first, second, third), (sx, sy, sz), strict=True)]
    return (*columns[0], 0.0, *columns[1], 0.0, *columns[2], 0.0, tx, ty, tz, 1.0)


def _times(a: Sequence[float], b: Sequence[float]) -> Matrix:
    """The matrix a·b: b first, then a."""
    return tuple(math.fsum(a[4 * k + i] * b[4 * j + k] for k in range(4)) for j in range(4) for i in range(4))


def _applied(m: Sequence[float], p: P3) -> P3:
    return P3(
        m[0] * p.x + m[4] * p.y + m[8] * p.z + m[12],
        m[1] * p.x + m[5] * p.y + m[9] * p.z + m[13],
        m[2] * p.x + m[6] * p.y + m[10] * p.z + m[14],
    )
