"""Writing one file so that it is either the old or the new, never half of one. Standard library only."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from generator.errors import OutputError


def write_whole(path: Path, content: bytes | str) -> None:
    """Write `content` (text as UTF-8) in place of `path`; a link is followed, the file's mode is kept.

    OutputError when the system refuses; what stood there before then still stands.
    """
    target = path.resolve()
    data = content.encode("utf-8") if isinstance(content, str) else content
    draft = ""
    try:
        handle, draft = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".draft", dir=target.parent)
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(draft, target.stat().st_mode & 0o777 if target.exists() else 0o644)
        os.replace(draft, target)
    except OSError as error:
        with contextlib.suppress(OSError):
            if draft:
                os.unlink(draft)
        raise OutputError(f"{path}: could not be written ({error.strerror or error})") from error
