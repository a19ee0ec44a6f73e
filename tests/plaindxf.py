"""A DXF reader of our own for tests: group codes as text, nothing else, so that no library's opinion is shared.

Knows LINE, ARC, CIRCLE and LWPOLYLINE and answers with polygons broken up by plain trigonometry.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from shapely import Polygon


@dataclass
class Entity:
    kind: str
    layer: str = ""
    colour: int = 256
    codes: list[tuple[int, str]] = field(default_factory=list)

    def first(self, code: int, default: str = "0") -> str:
        return next((value for c, value in self.codes if c == code), default)

    def numbers(self, code: int) -> list[float]:
        return [float(value) for c, value in self.codes if c == code]

    @property
    def closed(self) -> bool:
        return self.kind == "CIRCLE" or bool(int(self.first(70)) & 1)

    def vertices(self) -> list[tuple[float, float, float]]:
        """x, y and bulge of each vertex: code 42 belongs to the last 10/20 before it."""
        found: list[list[float]] = []
        for code, value in self.codes:
            if code == 10:
                found.append([float(value), 0.0, 0.0])
            elif code == 20 and found:
                found[-1][1] = float(value)
            elif code == 42 and found:
                found[-1][2] = float(value)
        return [(x, y, bulge) for x, y, bulge in found]

    def radii(self) -> list[float]:
        if self.kind in ("CIRCLE", "ARC"):
            return self.numbers(40)
        vertices = self.vertices()
        pairs = zip(vertices, vertices[1:] + vertices[:1], strict=True)
        return [math.dist(a[:2], b[:2]) / (2 * math.sin(2 * math.atan(abs(a[2])))) for a, b in pairs if a[2]]

    def polygon(self, steps: int = 720) -> Polygon:
        if self.kind == "CIRCLE":
            (x,), (y,), (r,) = self.numbers(10), self.numbers(20), self.numbers(40)
            return Polygon(
                [(x + r * math.cos(t), y + r * math.sin(t)) for t in (2 * math.pi * i / steps for i in range(steps))]
            )
        points: list[tuple[float, float]] = []
        vertices = self.vertices()
        for (x0, y0, bulge), (x1, y1, _) in zip(vertices, vertices[1:] + vertices[:1], strict=True):
            points.append((x0, y0))
            if bulge:
                sweep = 4 * math.atan(bulge)
                radius = math.dist((x0, y0), (x1, y1)) / (2 * math.sin(sweep / 2))
                # Turning left by 90° less half the sweep from the chord leads to the centre of the arc.
                heading = math.atan2(y1 - y0, x1 - x0) + math.pi / 2 - sweep / 2
                cx, cy = x0 + radius * math.cos(heading), y0 + radius * math.sin(heading)
                start = math.atan2(y0 - cy, x0 - cx)
                count = max(2, int(abs(sweep) / (2 * math.pi) * steps))
                points += [
                    (
                        cx + abs(radius) * math.cos(start + sweep * i / count),
                        cy + abs(radius) * math.sin(start + sweep * i / count),
                    )
                    for i in range(1, count)
                ]
        return Polygon(points)


@dataclass
class PlainDxf:
    header: dict[str, str]
    custom: dict[str, str]
    entities: list[Entity]

    def on(self, layer: str) -> list[Entity]:
        return [entity for entity in self.entities if entity.layer == layer]

    def area(self) -> float:
        outside = sum(e.polygon().area for e in self.on("cut-outside"))
        return outside - sum(e.polygon().area for e in self.on("cut-inside"))


def read(data: bytes) -> PlainDxf:
    lines = data.decode("utf-8").splitlines()
    tags = [(int(lines[i]), lines[i + 1].strip()) for i in range(0, len(lines) - 1, 2)]
    header: dict[str, str] = {}
    custom: list[tuple[str, str]] = []
    entities: list[Entity] = []
    section, variable = "", ""
    for i, (code, value) in enumerate(tags):
        if code == 2 and i and tags[i - 1] == (0, "SECTION"):
            section = value
        elif section == "HEADER" and code == 9:
            variable = value
        elif section == "HEADER" and variable == "$CUSTOMPROPERTYTAG":
            custom.append((value, ""))
        elif section == "HEADER" and variable == "$CUSTOMPROPERTY":
            custom[-1] = (custom[-1][0], value)
        elif section == "HEADER" and variable:
            header.setdefault(variable, value)
        elif (code, value) == (0, "ENDSEC"):
            section = ""
        elif section == "ENTITIES" and code == 0:
            entities.append(Entity(value))
        elif section == "ENTITIES" and entities:
            entities[-1].codes.append((code, value))
            if code == 8:
                entities[-1].layer = value
            elif code == 62:
                entities[-1].colour = int(value)
    return PlainDxf(header, dict(custom), entities)
