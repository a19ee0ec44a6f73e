"""Shop drawings: what a machine shop quotes and works from, a sheet a part and one of the assembled jig."""

from __future__ import annotations

from generator.documents.shop.drawing_set import shop_drawings

__all__ = ["shop_drawings"]
