"""The trade's terms that sheets, help pages and keys share: each once, with the sentence that explains it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

#: Every term with one sentence, in the order in which a builder meets them.
TERMS: Mapping[str, str] = MappingProxyType(
    {
        "gluing face": "the neck's face under the fretboard.",
        "join": "the line where it meets the body's end, at the edge of the top.",
        "gap": "the height of the gluing face's plane over the bare top at the saddle mark, no fretboard on the neck.",
        "heel": "the neck's foot, which stands against the body.",
        "shoulder": "the heel's face round the tenon.",
        "back end": "the end of heel and tenon at the guitar's back.",
        "neck rise": "the height of the gluing face over the top at the join.",
        "angle rest": "the lower rest; its width sets the neck's angle.",
        "body rest": "the body's top touches it.",
        "centreline miss": "how far the neck's centreline passes beside the body's at the saddle mark.",
        "before the last pass": "the tenon's last pass still stands; shims behind the angle rest put the angle right.",
        "undercut for the fretboard's end": "wood taken off under the fretboard over the top, to nothing at the join.",
        "random trials": "many joints computed with every size off by a seeded chance within its tolerance.",
    }
)
#: Those that the setup sheet explains before its first step.
ON_THE_SHEET = (
    "gluing face",
    "join",
    "gap",
    "shoulder",
    "back end",
    "angle rest",
    "body rest",
    "centreline miss",
)
