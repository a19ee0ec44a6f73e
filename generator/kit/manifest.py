"""The list of a kit's files, and the one way its JSON is written."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

MANIFEST = "manifest.json"
RESULTS = "results.json"

#: Top folder or file of a kit -> the group it belongs to.
_GROUP_OF = {
    "step": "step",
    "laser": "laser",
    "paper": "paper",
    "drawings": "drawings",
    "proof": "sheet",
    "setup_sheet.pdf": "sheet",
    "setup_sheet.html": "sheet",
    "bench_card.pdf": "sheet",
    RESULTS: "results",
}


def write_json(path: Path, data: Mapping[str, Any]) -> None:
    """Write `data` as UTF-8 JSON at full precision; a number that is none is an error, not a NaN in the file."""
    path.write_text(json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n", encoding="utf-8")


def write_manifest(folder: Path) -> None:
    """Write manifest.json: every other file of the folder with its size, SHA-256 and group, sorted by path."""
    files = []
    for path in sorted(p for p in folder.rglob("*") if p.is_file() and p.name != MANIFEST):
        name = path.relative_to(folder).as_posix()
        data = path.read_bytes()
        files.append(
            {
                "path": name,
                "bytes": len(data),
                "sha256": hashlib.sha256(data).hexdigest(),
                "group": _GROUP_OF[name.split("/")[0]],
            }
        )
    write_json(folder / MANIFEST, {"schema": 1, "files": sorted(files, key=lambda entry: str(entry["path"]))})
