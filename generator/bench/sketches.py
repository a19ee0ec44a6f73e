"""Pictures of the bench that look alike for every job: depth setting, the reading, the tapers, the clearances."""

from __future__ import annotations

from generator.bench.canvas import DASHED, GONE, JIG, LOW, WIDTH, WOOD, Canvas
from generator.drawing.sheet import Sheet
from generator.drawing.style import Role
from generator.geometry2d import P2, Path, Transform, Vertex
from generator.parts.base import Anchor
from generator.shapes2d import polygon, rectangle


def depth_plunge() -> Sheet:
    """A plunge router on the plate: tip on the work, the depth block between stop rod and turret."""
    canvas = Canvas("depth", "Setting the plunge", WIDTH, LOW, Transform())
    canvas.area(rectangle(4, 5, 58, 11), WOOD)
    canvas.area(rectangle(4, 11, 20, 16), JIG)
    canvas.area(rectangle(38, 11, 58, 16), JIG)
    canvas.area(rectangle(10, 16, 52, 18.5), 0.55)
    canvas.area(rectangle(24, 25, 41, 36), JIG)
    canvas.area(rectangle(27.5, 11, 30.5, 25), 0.35)
    canvas.area(rectangle(25.2, 13.5, 26.2, 18.5), 0.55)
    canvas.area(rectangle(31.8, 13.5, 32.8, 18.5), 0.55)
    canvas.area(rectangle(47, 18.5, 51, 21), JIG)
    canvas.area(rectangle(45.5, 21, 52.5, 28), GONE)
    canvas.area(rectangle(48, 28, 50, 37), 0.55)
    canvas.lead("tip on the work: zero", P2(3.0, 2.0), P2(29.0, 11.0))
    canvas.lead("depth block", P2(3.0, 24.0), P2(46.5, 24.5))
    canvas.lead("stop rod", P2(3.0, 33.0), P2(48.5, 33.0))
    canvas.words("plate", P2(4.8, 13.5), height=1.8)
    canvas.words("work", P2(52.0, 8.0), Anchor.MIDDLE, height=1.8)
    return canvas.sheet()


def depth_fixed() -> Sheet:
    """A fixed-base router upside down: the block's notch stands over the bit."""
    canvas = Canvas("depth", "Setting a fixed base", WIDTH, LOW, Transform())
    canvas.area(rectangle(24, 2, 44, 11), JIG)
    canvas.area(rectangle(10, 11, 58, 14), 0.55)
    canvas.area(rectangle(32.4, 14, 35.6, 26), 0.35)
    gate = [P2(17, 14), P2(23, 14), P2(23, 26), P2(45, 26), P2(45, 14), P2(51, 14), P2(51, 32), P2(17, 32)]
    canvas.area(polygon(gate), GONE)
    canvas.lead("bit just touches the notch", P2(3.0, 35.4), P2(34.0, 26.0))
    canvas.lead("depth block", P2(1.0, 5.0), P2(19.0, 18.0))
    canvas.words("upside down", P2(34.0, 6.5), Anchor.MIDDLE, height=1.8)
    return canvas.sheet()


def gap_reading(*, spaced: bool) -> Sheet:
    """Where to read: a straightedge on the neck plane, the gap at the saddle mark, heights exaggerated.

    `spaced`: the plane runs close to the top or into it, so the straightedge lies on two equal spacers.
    """
    canvas = Canvas("reading", "Reading the gap", WIDTH, 42.0, Transform())
    join, saddle, level = 20.0, 52.0, 18.0
    rise, lift, dome = (-0.03, 7.0, 0.0) if spaced else (0.2, 0.0, 2.5)

    def plane(x: float, over: float = 0.0) -> P2:
        return P2(x, level + (x - join) * rise + over)

    top = [Vertex(join, level, -0.06 if dome else 0.0), Vertex(60.0, level + dome)]
    canvas.area(Path((*top, Vertex(60.0, 6.0), Vertex(join, 6.0))), WOOD)
    canvas.area([plane(2), plane(join), P2(join, 7.0), P2(16.0, 9.0), plane(13, -4.6), plane(2, -4.8)], WOOD)
    canvas.area([plane(3.5, lift), plane(59, lift), plane(59, lift + 4.0), plane(3.5, lift + 4.0)], 1.0)
    for x in (4.0, 15.0) if spaced else ():
        canvas.area([plane(x), plane(x + 2.5), plane(x + 2.5, lift), plane(x, lift)], GONE)
    foot = P2(saddle, level + (dome and dome + 0.75))
    gap_at = P2(saddle + 1.2, foot.y + 2.9) if spaced else P2(saddle + 1.5, 32.6)
    canvas.measure(foot, plane(saddle, lift), "" if spaced else "gap", gap_at, Anchor.LEFT)
    canvas.line([P2(saddle, foot.y), P2(saddle, 3.6)], Role.CENTRE)
    canvas.line([P2(join, 6.0), P2(join, 3.6)], Role.DIMENSION)
    canvas.measure(P2(join, 4.6), P2(saddle, 4.6), "to the saddle mark", P2(36.0, 2.0))
    if spaced:
        canvas.words("straightedge on two equal spacers", P2(2.0, 39.6))
        canvas.lead("spacer and gap, read together", P2(2.0, 34.2), P2(saddle, 21.5))
    else:
        canvas.words("straightedge on the bare neck plane", P2(2.0, 39.6))
        canvas.lead("no fretboard on the neck", P2(2.0, 34.6), P2(17.0, 20.5))
    canvas.words("top", P2(30.0, 12.0), height=1.8)
    canvas.lead("neck", P2(2.0, 6.0), P2(10.0, 14.8))
    return canvas.sheet()


def shoulder_taper(*, raise_gap: bool) -> Sheet:
    """The shoulder from the side: wood off its back end raises the gap, wood off at the join lowers it."""
    name, title = ("taper_raise", "To raise the gap") if raise_gap else ("taper_lower", "To lower the gap")
    canvas = Canvas(name, title, 48.0, LOW, Transform())
    join, end = P2(26.0, 31.0), P2(26.0, 9.0)
    canvas.area([P2(3, 31), join, end, P2(20, 10.2), P2(14.0, 22.5), P2(3, 24.5)], WOOD)
    canvas.area(rectangle(26.0, 11.0, 33.0, 31.0), JIG)
    wedge = [join, end, P2(21.5, 9.0)] if raise_gap else [join, end, P2(21.5, 31.0)]
    canvas.area(wedge, 0.45)
    canvas.words(title.lower(), P2(3.0, 2.6))
    at_join, at_back = ("nothing", "full") if raise_gap else ("full", "nothing")
    canvas.lead(at_join, P2(32.0, 34.5), join.minus(P2(0.0 if raise_gap else 1.6, 0.0)))
    canvas.lead(at_back, P2(32.0, 6.6), end.minus(P2(1.6 if raise_gap else 0.0, 0.0)))
    canvas.words("tenon", P2(34.0, 20.0), height=1.8)
    return canvas.sheet()


def sideways_taper() -> Sheet:
    """The heel from above: wood comes off on the side to which the centreline misses."""
    canvas = Canvas("sideways", "The centreline misses", 52.0, LOW, Transform())
    middle = 18.5
    canvas.line([P2(2, middle), P2(50, middle)], Role.CENTRE)
    canvas.area([P2(3, 10.5), P2(20, 10.5), P2(20, 26.5), P2(3, 26.5)], WOOD)
    canvas.area([P2(20, 26.5), P2(20, 10.5), P2(18.2, 26.5)], 0.45)
    canvas.area(rectangle(20.0, middle - 3.5, 27.0, middle + 3.5), JIG)
    canvas.line([P2(3.0, 17.7), P2(47.0, 24.5)], Role.VISIBLE)
    canvas.measure(P2(46.0, middle), P2(46.0, 24.3), "", P2(46.0, 21.5))
    canvas.words("miss", P2(44.5, 27.5), Anchor.MIDDLE, height=1.8)
    canvas.lead("off here", P2(3.0, 32.0), P2(19.2, 25.6))
    canvas.words("centreline, seen from above", P2(3.0, 2.6))
    canvas.lead("saddle mark", P2(28.0, 9.0), P2(46.0, middle))
    return canvas.sheet()


def tenon_end() -> Sheet:
    """Mortise and tenon cut through: floor, end and side clearance."""
    canvas = Canvas("clearances", "Clearances", WIDTH, 34.0, Transform())
    canvas.area([P2(3, 2), P2(42, 2), P2(42, 10), P2(24, 10), P2(24, 32), P2(3, 32)], WOOD)
    canvas.area([P2(42, 2), P2(59, 2), P2(59, 32), P2(27, 32), P2(27, 12.5), P2(42, 12.5)], JIG)
    canvas.line([P2(42.0, 12.5), P2(42.0, 32.0)], Role.HIDDEN, DASHED)
    canvas.measure(P2(24.0, 22.0), P2(27.0, 22.0), "floor", P2(14.0, 22.0))
    canvas.measure(P2(36.0, 10.0), P2(36.0, 12.5), "end", P2(33.5, 6.0), Anchor.RIGHT)
    canvas.words("tenon", P2(34.5, 26.0), Anchor.MIDDLE, height=1.8)
    canvas.words("heel", P2(50.5, 18.0), Anchor.MIDDLE, height=1.8)
    canvas.words("neck block", P2(4.5, 5.0), height=1.8)
    return canvas.sheet()
