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
        "string break": "the angle by which the strung string turns down over the saddle, from the neck to its hole.",
        "neck rise": "the height of the gluing face over the top at the join.",
        "opening": "the plate's slot that guides the bushing for the mortise.",
        "window": "the plate's large opening over the neck.",
        "tongue": "the plate's arm in the window, over the tenon.",
        "rail": "a bracket's long arm along the plate, as high as the depth of cut: the jig stands on it for the body.",
        "upper rest": "the strip across the board that carries the neck near the join.",
        "angle rest": "the strip below it; its width sets the neck's angle.",
        "body rest": "the strip on the board's other face that the body's top touches.",
        "caul": "the padded strip across the work's back under the clamps.",
        "plug": "the piece that hangs the body in the opening and later guides the bolts' drill.",
        "heel stop": "the loose piece in the window that holds the neck's end up until the clamps do.",
        "backing strip": "scrap between board and work that the bit leaves through, so that the edge does not split.",
        "centreline miss": "how far the neck's centreline passes beside the body's at the saddle mark.",
        "before the last pass": "the tenon's last pass still stands; shims behind the angle rest put the angle right.",
        "undercut for the fretboard's end": "wood taken off under the fretboard over the top, to nothing at the join.",
        "random trials": "many joints computed with every size off by a seeded chance within its tolerance.",
    }
)
#: Those that the setup sheet explains before its first step, a paragraph each: the joint, the plate, what goes on it.
ON_THE_SHEET = (
    ("gluing face", "join", "gap", "shoulder", "back end", "centreline miss"),
    ("opening", "window", "tongue", "rail"),
    ("upper rest", "angle rest", "body rest", "caul", "plug", "heel stop", "backing strip"),
)
#: What a word means where nothing stands on the neck, if it is something else there.
WITHOUT_TENON: Mapping[str, str] = MappingProxyType(
    {
        "shoulder": "the heel's face, all of which meets the body's end.",
        "back end": "the end of the heel at the guitar's back.",
    }
)
#: Of ON_THE_SHEET what a sheet has no use for where nothing is cut in the body.
NO_BODY_CUT = frozenset({"opening", "tongue", "rail", "body rest", "plug"})
#: Of ON_THE_SHEET what a sheet has no use for where something is cut in the body.
WITH_BODY_CUT = frozenset({"heel stop"})
