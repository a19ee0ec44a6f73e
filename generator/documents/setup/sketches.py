"""Pictures of the bench that look alike for every job: words, zero check, depth, the reading, tapers, clearances."""

from __future__ import annotations

from generator.base.annotation import Anchor
from generator.base.contours2d import Path, Vertex
from generator.base.points2d import P2, Transform
from generator.base.shapes2d import polygon, rectangle
from generator.documents.setup.canvas import DASHED, GONE, JIG, WOOD, Canvas
from generator.drawing.sheet import Sheet
from generator.drawing.style import Pen, Role

#: Grey of square, router base and stop rod, from 0 (black) to 1 (white).
_METAL = 0.55
#: Grey of the bit, from 0 (black) to 1 (white).
_DARK = 0.35


def terms(*, tenon: bool) -> Sheet:
    """The words of the sheet on a finished joint, cut along the middle: neck left, body right."""
    canvas = Canvas("terms", "The words of this sheet", 82.0, 40.0, Transform())
    join, level, saddle = 31.0, 29.0, 73.0
    top = [Vertex(join, level, -0.05), Vertex(81.0, level + 2.0)]
    canvas.area(Path((*top, Vertex(81.0, 11.0), Vertex(join, 11.0))), WOOD)
    canvas.area([P2(join, 27.4), P2(45.0, 27.4), P2(45.0, 11.0), P2(join, 11.0)], GONE)
    if tenon:
        canvas.area([P2(join, 29.0), P2(39.0, 29.0), P2(39.0, 14.5), P2(join, 14.5)], JIG)
    canvas.area([P2(4, 27.9), P2(join, level), P2(join, 11.0), P2(26.0, 11.5), P2(20.0, 20.0), P2(4, 22.0)], JIG)
    canvas.line([P2(4.0, 27.9), P2(81.0, 34.3)], Role.CENTRE)
    canvas.line([P2(saddle, 30.9), P2(saddle, 7.0)], Role.CENTRE)
    canvas.measure(P2(saddle, 31.0), P2(saddle, 33.6), "", P2(saddle, 38.0))
    canvas.lead("gluing face", P2(1.0, 38.0), P2(14.0, 28.4))
    canvas.lead("join", P2(27.0, 38.0), P2(join, level))
    canvas.lead("gap", P2(54.0, 38.0), P2(saddle - 0.2, 33.0))
    canvas.words("top", P2(55.0, 20.0))
    canvas.lead("shoulder", P2(1.0, 15.0), P2(join, 13.0))
    canvas.lead("back end", P2(1.0, 6.6), P2(30.0, 11.2))
    if tenon:
        canvas.lead("tenon", P2(22.0, 2.0), P2(35.5, 17.0))
    canvas.lead("neck block", P2(41.0, 2.0), P2(42.5, 13.0))
    canvas.words("saddle mark", P2(saddle - 3.0, 5.0), Anchor.MIDDLE)
    return canvas.sheet()


def zero_check() -> Sheet:
    """The zero check: the jig upside down on two blocks, a square's blade along the upper rest, the stand-off c.

    The square turned round is dashed: its head needs the room under the plate.
    """
    canvas = Canvas("zero", "The zero check", 60.0, 54.0, Transform())
    canvas.area(rectangle(2, 2, 58, 6), 0.74)
    for x in (7.0, 51.5):
        canvas.area(rectangle(x, 6, x + 6.0, 12), GONE)
    canvas.area(rectangle(8, 12, 56, 17), JIG)
    canvas.area(rectangle(34, 17, 39, 50), JIG)
    canvas.area(rectangle(28, 22, 34, 25), GONE)
    canvas.area(rectangle(25, 6, 28, 52), _METAL)
    canvas.area(rectangle(16, 6, 25, 9), _METAL)
    canvas.line([P2(28.0, 9.0), P2(37.0, 9.0), P2(37.0, 6.0)], Role.HIDDEN, DASHED)
    canvas.words("turned", P2(38.4, 7.8))
    canvas.measure(P2(28.0, 45.0), P2(34.0, 45.0), "", P2(31.0, 47.0))
    canvas.lead("stand-off", P2(59.0, 41.0), P2(32.0, 45.0), Anchor.RIGHT)
    canvas.lead("upper rest", P2(59.0, 28.0), P2(31.0, 23.5), Anchor.RIGHT)
    canvas.lead("board", P2(59.0, 35.0), P2(37.0, 33.0), Anchor.RIGHT)
    canvas.lead("square", P2(1.0, 30.0), P2(26.5, 34.0))
    canvas.lead("plate", P2(1.0, 22.0), P2(14.0, 16.2))
    canvas.lead("block", P2(59.0, 20.5), P2(52.0, 9.0), Anchor.RIGHT)
    return canvas.sheet()


def depth_plunge() -> Sheet:
    """A plunge router on two offcuts of the plate: tip on the bench, the depth block between rod and turret."""
    canvas = Canvas("depth", "Setting the plunge", 60.0, 38.0, Transform())
    canvas.area(rectangle(4, 5, 58, 9), 0.74)
    canvas.area(rectangle(8, 9, 22, 15), JIG)
    canvas.area(rectangle(38, 9, 54, 15), JIG)
    canvas.area(rectangle(10, 15, 52, 17.5), _METAL)
    canvas.area(rectangle(24, 24, 41, 35), JIG)
    canvas.area(rectangle(27.5, 9, 30.5, 24), _DARK)
    canvas.area(rectangle(47, 17.5, 51, 20), JIG)
    canvas.area(rectangle(45.5, 20, 52.5, 27), GONE)
    canvas.area(rectangle(48, 27, 50, 36), _METAL)
    canvas.lead("tip on the bench: zero", P2(3.0, 2.2), P2(29.0, 9.0))
    canvas.lead("depth block", P2(1.0, 27.0), P2(46.5, 24.5))
    canvas.lead("stop rod", P2(1.0, 34.5), P2(48.5, 33.0))
    canvas.lead("offcut", P2(1.0, 21.0), P2(9.5, 12.0))
    return canvas.sheet()


def depth_fixed() -> Sheet:
    """A fixed-base router upside down: the block's notch stands over the bit."""
    canvas = Canvas("depth", "Setting a fixed base", 60.0, 38.0, Transform())
    canvas.area(rectangle(24, 7, 40, 11), JIG)
    canvas.area(rectangle(8, 11, 56, 14), _METAL)
    canvas.area(rectangle(30.4, 14, 33.6, 26), _DARK)
    gate = [P2(15, 14), P2(21, 14), P2(21, 26), P2(43, 26), P2(43, 14), P2(49, 14), P2(49, 32), P2(15, 32)]
    canvas.area(polygon(gate), GONE)
    canvas.lead("bit just touches the notch", P2(2.0, 35.4), P2(32.0, 26.0))
    canvas.lead("depth block", P2(1.0, 8.0), P2(17.0, 18.0))
    canvas.lead("router, upside down", P2(59.0, 4.0), P2(39.0, 8.5), Anchor.RIGHT)
    return canvas.sheet()


def gap_reading(*, spaced: bool, rising: bool) -> Sheet:
    """Where to read: a straightedge on the gluing face, the gap at the saddle mark, heights exaggerated.

    `spaced`: the plane runs close to the top or into it, so the straightedge lies on two equal spacers. `rising`: the
    plane rises from the join over a domed top; else it runs level or forward.
    """
    canvas = Canvas("reading", "Reading the gap", 62.0, 42.0, Transform())
    join, saddle, level = 20.0, 52.0, 18.0
    rise, dome = (0.2, 2.5) if rising else (-0.03, 0.0)
    lift = (3.0 if rising else 7.0) if spaced else 0.0

    def plane(x: float, over: float = 0.0) -> P2:
        return P2(x, level + (x - join) * rise + over)

    top = [Vertex(join, level, -0.06 if dome else 0.0), Vertex(60.0, level + dome)]
    canvas.area(Path((*top, Vertex(60.0, 6.0), Vertex(join, 6.0))), WOOD)
    canvas.area([plane(2), plane(join), P2(join, 7.0), P2(16.0, 9.0), plane(13, -4.6), plane(2, -4.8)], WOOD)
    canvas.area([plane(3.5, lift), plane(59, lift), plane(59, lift + 4.0), plane(3.5, lift + 4.0)], 1.0)
    for x in (4.0, 15.0) if spaced else ():
        canvas.area([plane(x), plane(x + 2.5), plane(x + 2.5, lift), plane(x, lift)], GONE)
    foot = P2(saddle, level + (dome and dome + 0.75))
    gap_at = P2(saddle + 1.2, foot.y + 2.9) if spaced and not rising else P2(saddle + 1.5, 32.6)
    canvas.measure(foot, plane(saddle, lift), "" if spaced else "gap", gap_at, Anchor.LEFT)
    canvas.line([P2(saddle, foot.y), P2(saddle, 3.6)], Role.CENTRE)
    canvas.line([P2(join, 6.0), P2(join, 3.6)], Role.DIMENSION)
    canvas.measure(P2(join, 4.9), P2(saddle, 4.9), "to the saddle mark", P2(36.0, 2.0))
    if spaced:
        canvas.words("straightedge on two equal spacers", P2(2.0, 39.6))
        canvas.lead("spacer and gap, read together", P2(2.0, 34.2), P2(saddle, 21.5))
    else:
        canvas.words("straightedge on the gluing face", P2(2.0, 39.6))
        canvas.lead("no fretboard on it", P2(2.0, 34.6), P2(17.0, 20.5))
    canvas.words("top", P2(30.0, 12.0))
    canvas.lead("neck", P2(1.0, 6.0), P2(10.0, 14.8))
    return canvas.sheet()


def shoulder_taper(*, raise_gap: bool, tenon: bool) -> Sheet:
    """The shoulder from the side: wood off its back end raises the gap, wood off at the join lowers it."""
    name, title = ("taper_raise", "To raise the gap") if raise_gap else ("taper_lower", "To lower the gap")
    canvas = Canvas(name, title, 48.0, 38.0, Transform())
    join, end = P2(26.0, 31.0), P2(26.0, 9.0)
    canvas.area([P2(3, 31), join, end, P2(20, 10.2), P2(14.0, 22.5), P2(3, 24.5)], WOOD)
    if tenon:
        canvas.area(rectangle(26.0, 11.0, 37.0, 31.0), JIG)
    wedge = [join, end, P2(21.5, 9.0)] if raise_gap else [join, end, P2(21.5, 31.0)]
    canvas.area(wedge, 0.45)
    canvas.words(title.lower(), P2(3.0, 2.6))
    at_join, at_back = ("nothing", "full") if raise_gap else ("full", "nothing")
    canvas.lead(at_join, P2(32.0, 35.0), join.minus(P2(0.0 if raise_gap else 1.6, 0.0)))
    canvas.lead(at_back, P2(32.0, 6.6), end.minus(P2(1.6 if raise_gap else 0.0, 0.0)))
    if tenon:
        canvas.words("tenon", P2(31.5, 20.0), Anchor.MIDDLE)
    return canvas.sheet()


def sideways_taper(*, tenon: bool) -> Sheet:
    """The heel from above: wood comes off on the side to which the centreline misses."""
    canvas = Canvas("sideways", "The centreline misses", 56.0, 38.0, Transform())
    middle = 18.5
    canvas.line([P2(2, middle), P2(54, middle)], Role.CENTRE)
    canvas.area([P2(3, 10.5), P2(20, 10.5), P2(20, 26.5), P2(3, 26.5)], WOOD)
    canvas.area([P2(20, 26.5), P2(20, 10.5), P2(18.2, 26.5)], 0.45)
    if tenon:
        canvas.area(rectangle(20.0, middle - 3.5, 27.0, middle + 3.5), JIG)
    canvas.line([P2(3.0, 17.7), P2(47.0, 24.5)], Role.VISIBLE, Pen(0.35))
    canvas.measure(P2(46.0, middle), P2(46.0, 24.3), "", P2(46.0, 21.5))
    canvas.words("miss", P2(46.0, 28.5), Anchor.MIDDLE)
    canvas.lead("off here", P2(3.0, 33.5), P2(19.2, 25.6))
    canvas.words("centreline, seen from above", P2(2.0, 2.6))
    canvas.lead("saddle mark", P2(29.0, 9.0), P2(46.0, middle))
    return canvas.sheet()


def tenon_end() -> Sheet:
    """Mortise and tenon cut through: floor, end and side clearance."""
    canvas = Canvas("clearances", "Clearances", 62.0, 32.5, Transform())
    canvas.area([P2(3, 2), P2(42, 2), P2(42, 10), P2(24, 10), P2(24, 32), P2(3, 32)], WOOD)
    canvas.area([P2(42, 2), P2(59, 2), P2(59, 32), P2(27, 32), P2(27, 12.5), P2(42, 12.5)], JIG)
    canvas.line([P2(42.0, 12.5), P2(42.0, 32.0)], Role.HIDDEN, DASHED)
    canvas.measure(P2(24.0, 22.0), P2(27.0, 22.0), "floor", P2(13.0, 22.0))
    canvas.measure(P2(37.0, 10.0), P2(37.0, 12.5), "end", P2(34.5, 6.0), Anchor.RIGHT)
    canvas.words("tenon", P2(34.5, 26.0), Anchor.MIDDLE)
    canvas.words("heel", P2(50.5, 18.0), Anchor.MIDDLE)
    canvas.words("block", P2(4.5, 5.0))
    return canvas.sheet()
