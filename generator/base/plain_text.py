"""Signs that nobody sees on a page and that change what others mean: none of them goes to a terminal or into a file.

Standard library only. A control character moves a terminal's cursor or ends a line; a mark of writing direction turns
what follows round; half a character (a lone surrogate) can stand in no file.
"""

from __future__ import annotations

import re

#: Control characters but for the tab, line and paragraph ends, marks of direction (Unicode Standard Annex #9, table 1
#: and section 2), lone surrogates, the byte order mark.
_UNSEEN = "\x00-\x08\x0a-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufeff"
#: Matches one sign that a plain line of text may not hold.
_STRANGE = re.compile(f"[{_UNSEEN}]")
#: Columns of a line that a terminal shows: whole on a window of usual width.
LINE_WIDTH = 100
#: One sign of a line that a person wrote, as a class of a regular expression.
WRITTEN = f"[^{_UNSEEN}]"


def is_plain(text: str) -> bool:
    """True for one line of text that shows all it holds."""
    return _STRANGE.search(text) is None


def plain(text: str) -> str:
    r"""`text` with each sign that would not be seen written out, as \u001b; TOML reads the same back but for halves."""
    return _STRANGE.sub(lambda found: f"\\u{ord(found.group()):04x}", text)


def shortened(text: str, longest: int = 80) -> str:
    """`text`, or its beginning where it is longer."""
    return text if len(text) <= longest else f"{text[:longest]}… ({len(text)} signs)"
