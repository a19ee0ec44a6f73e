"""Solids of plane faces as binary glTF 2.0 (ISO/IEC 12113:2022).

glTF counts in metres with Y up: one node at the root turns and scales, below it every part keeps its own millimetres
and Z up. Copies of one solid share its mesh. The same parts give the same bytes.
"""

from __future__ import annotations

import json
import math
import struct
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from generator import __version__
from generator.base.errors import GeometryError
from generator.base.geometry3d import P3, Placement
from generator.drawing.facets.base import Facets

#: Mark of a binary glTF (glTF 2.0 specification): "glTF" in ASCII.
_MAGIC = 0x46546C67
#: Version of binary glTF that is written.
_VERSION = 2
#: Type of the chunk with the document (glTF 2.0 specification): "JSON" in ASCII.
_JSON = 0x4E4F534A
#: Type of the chunk with the buffer (glTF 2.0 specification): "BIN" in ASCII.
_BIN = 0x004E4942
#: Component type of floats of 32 bits (glTF 2.0 specification).
_FLOAT = 5126
#: Component type of unsigned integers of 32 bits (glTF 2.0 specification).
_UNSIGNED = 5125
#: Target of a buffer view of positions or normals (glTF 2.0 specification): ARRAY_BUFFER.
_POINTS_BUFFER = 34962
#: Target of a buffer view of indices (glTF 2.0 specification): ELEMENT_ARRAY_BUFFER.
_INDEX_BUFFER = 34963
#: A millimetre in metres, the unit of glTF.
_MM = 0.001
#: PBR factors of bare metal: metallic, roughness.
METAL = (1.0, 0.45)
#: A quarter turn about X that takes Z up to Y up, as a quaternion x, y, z, w.
_Y_UP = (-0.7071067811865476, 0.0, 0.0, 0.7071067811865476)


@dataclass(frozen=True)
class ModelPart:
    """One node of the model: its name, its solid (mm, in its own frame), where it stands, and its finish.

    `colour` is sRGB, each 0 to 1; `metal` and `rough` are the PBR factors, 0 to 1. `extras` travel with the node.
    """

    name: str
    facets: Facets
    place: Placement = field(default_factory=Placement)
    colour: tuple[float, float, float] = (0.8, 0.8, 0.8)
    metal: float = 0.0
    rough: float = 0.8
    extras: Mapping[str, str | float] = field(default_factory=lambda: MappingProxyType({}))


def glb_bytes(title: str, parts: Sequence[ModelPart]) -> bytes:
    """The parts as one binary glTF file. GeometryError where there are none or two share a name."""
    doubled = sorted(name for name, count in Counter(part.name for part in parts).items() if count > 1)
    if doubled or not parts:
        raise GeometryError(f"model {title}: {'no parts' if not parts else 'doubled: ' + ', '.join(doubled)}")
    model = _Model()
    nodes: list[dict[str, Any]] = [
        {"name": title, "rotation": list(_Y_UP), "scale": [_MM] * 3, "children": list(range(1, len(parts) + 1))}
    ]
    nodes += [model.node(part) for part in parts]
    document = {
        "asset": {"version": "2.0", "generator": f"Heelwright {__version__}"},
        "scene": 0,
        "scenes": [{"name": title, "nodes": [0]}],
        "nodes": nodes,
        "meshes": model.meshes,
        "materials": model.materials,
        "accessors": model.accessors,
        "bufferViews": model.views,
        "buffers": [{"byteLength": len(model.data)}],
    }
    text = json.dumps(document, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode("utf-8")
    text += b" " * (-len(text) % 4)
    body = struct.pack("<II", len(text), _JSON) + text + struct.pack("<II", len(model.data), _BIN) + bytes(model.data)
    return struct.pack("<III", _MAGIC, _VERSION, 12 + len(body)) + body


class _Model:
    """Collects meshes, materials and the one buffer; each solid and each finish once."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self._shapes: dict[int, tuple[int, int, int]] = {}
        self._mesh_of: dict[tuple[int, int], int] = {}

    def node(self, part: ModelPart) -> dict[str, Any]:
        material = self._material(part)
        key = (id(part.facets), material)
        if key not in self._mesh_of:
            position, normal, index = self._shape(part.facets)
            primitive = {
                "attributes": {"POSITION": position, "NORMAL": normal},
                "indices": index,
                "material": material,
            }
            self._mesh_of[key] = len(self.meshes)
            self.meshes.append({"name": part.name, "primitives": [primitive]})
        node: dict[str, Any] = {"name": part.name, "mesh": self._mesh_of[key]}
        if part.place != Placement():
            o, x, y, z = part.place.origin, part.place.x_axis, part.place.y_axis, part.place.z_axis
            node["matrix"] = [*x, 0.0, *y, 0.0, *z, 0.0, *o, 1.0]
        if part.extras:
            node["extras"] = dict(part.extras)
        return node

    def _material(self, part: ModelPart) -> int:
        wanted = {
            "pbrMetallicRoughness": {
                "baseColorFactor": [*(_linear(value) for value in part.colour), 1.0],
                "metallicFactor": part.metal,
                "roughnessFactor": part.rough,
            }
        }
        if wanted not in self.materials:
            self.materials.append(wanted)
        return self.materials.index(wanted)

    def _shape(self, solid: Facets) -> tuple[int, int, int]:
        """The accessors of a solid's positions, normals and triangles."""
        if id(solid) not in self._shapes:
            points, normals = _corners(solid)
            self._shapes[id(solid)] = (
                self._vectors(points, bounded=True),
                self._vectors(normals),
                self._count(solid.shading.triangles),
            )
        return self._shapes[id(solid)]

    def _vectors(self, flat: Sequence[float], bounded: bool = False) -> int:
        """The accessor of vectors, given as one row of three numbers each."""
        data = struct.pack(f"<{len(flat)}f", *flat)
        accessor: dict[str, Any] = {"componentType": _FLOAT, "count": len(flat) // 3, "type": "VEC3"}
        if bounded:
            kept = struct.unpack(f"<{len(flat)}f", data)  # the limits must be those of the rounded numbers
            accessor["min"] = [min(kept[k::3]) for k in range(3)]
            accessor["max"] = [max(kept[k::3]) for k in range(3)]
        return self._accessor(data, _POINTS_BUFFER, accessor)

    def _count(self, indices: Sequence[int]) -> int:
        data = struct.pack(f"<{len(indices)}I", *indices)
        return self._accessor(
            data, _INDEX_BUFFER, {"componentType": _UNSIGNED, "count": len(indices), "type": "SCALAR"}
        )

    def _accessor(self, data: bytes, target: int, accessor: dict[str, Any]) -> int:
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(data), "target": target})
        self.data += data
        self.accessors.append({"bufferView": len(self.views) - 1, **accessor})
        return len(self.accessors) - 1


def _linear(value: float) -> float:
    """A value of sRGB as the linear light that glTF asks for (IEC 61966-2-1), to six places."""
    return round(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4, 6)


def _corners(solid: Facets) -> tuple[list[float], list[float]]:
    """Points and normals of the corners, three numbers each; where faces share a corner their mean normal."""
    points: list[float] = []
    normals: list[float] = []
    for point, faces in solid.shading.corners:
        points += solid.points[point]
        normals += solid.normals[faces[0]] if len(faces) == 1 else _mean([solid.normals[face] for face in faces])
    return points, normals


def _mean(normals: Sequence[P3]) -> P3:
    """The direction between several; the first where they cancel."""
    x = y = z = 0.0
    for normal in normals:
        x += normal.x
        y += normal.y
        z += normal.z
    size = math.sqrt(x * x + y * y + z * z)
    return P3(x / size, y / size, z / size) if size > 0.0 else normals[0]
