"""Pictures of the bench that look alike for every job: depth setting, the reading, the tapers, the clearances."""

from __future__ import annotations

from generator.bench.canvas import DASHED, GONE, HEIGHT, JIG, WIDTH, WOOD, Canvas
from generator.drawing.sheet import Sheet
from generator.drawing.style import Role
from generator.geometry2d import P2, Path, Transform, Vertex, polygon, rectangle
from generator.parts.base import Anchor


def depth_plunge() -> Sheet:
    """A plunge router on the plate: tip on the work, the depth block between stop rod and turret."""
    canvas = Canvas("depth", "Setting the plunge", WIDTH, HEIGHT, Transform())
    canvas.area(rectangle(4, 6, 58, 13), WOOD)
    canvas.area(rectangle(4, 13, 20, 18), JIG)
    canvas.area(rectangle(38, 13, 58, 18), JIG)
    canvas.area(rectangle(10, 18, 52, 20.5), 0.55)
    canvas.area(rectangle(24, 28, 44, 43), JIG)
    canvas.area(rectangle(27.5, 13, 30.5, 28), 0.35)
    canvas.area(rectangle(25.2, 15.5, 26.2, 20.5), 0.55)
    canvas.area(rectangle(31.8, 15.5, 32.8, 20.5), 0.55)
    canvas.area(rectangle(47, 20.5, 51, 23), JIG)
    canvas.area(rectangle(45.5, 23, 52.5, 31), GONE)
    canvas.area(rectangle(48, 31, 50, 44), 0.55)
    canvas.lead("tip on the work: zero", P2(3.0, 2.6), P2(29.0, 13.0))
    canvas.lead("depth block", P2(3.0, 36.0), P2(47.0, 27.5))
    canvas.lead("stop rod", P2(3.0, 41.5), P2(48.5, 40.0))
    canvas.words("plate", P2(4.8, 15.5), height=1.8)
    canvas.words("work", P2(52.0, 9.5), Anchor.MIDDLE, height=1.8)
    return canvas.sheet()


def depth_fixed() -> Sheet:
    """A fixed-base router upside down: the block's notch stands over the bit."""
    canvas = Canvas("depth", "Setting a fixed base", WIDTH, HEIGHT, Transform())
    canvas.area(rectangle(22, 3, 42, 16), JIG)
    canvas.area(rectangle(8, 16, 56, 19), 0.55)
    canvas.area(rectangle(30.4, 19, 33.6, 33), 0.35)
    gate = [P2(15, 19), P2(21, 19), P2(21, 33), P2(43, 33), P2(43, 19), P2(49, 19), P2(49, 40), P2(15, 40)]
    canvas.area(polygon(gate), GONE)
    canvas.lead("bit just touches the notch", P2(3.0, 43.2), P2(32.0, 33.0))
    canvas.lead("depth block", P2(3.0, 28.0), P2(17.0, 30.0))
    canvas.words("base, upside down", P2(32.0, 13.0), Anchor.MIDDLE, height=1.8)
    return canvas.sheet()


def gap_reading() -> Sheet:
    """Where to read: a straightedge on the neck plane, the gap at the saddle mark, the height exaggerated."""
    canvas = Canvas("reading", "Reading the gap", WIDTH, HEIGHT + 2.0, Transform())
    join, saddle = 20.0, 52.0
    top = Path((Vertex(join, 18.0, -0.06), Vertex(60.0, 20.5)), closed=False)
    canvas.area(Path((Vertex(join, 18.0, -0.06), Vertex(60.0, 20.5), Vertex(60.0, 6.0), Vertex(join, 6.0))), WOOD)
    canvas.path(top)
    rise = 0.2
    plane = [P2(2.0, 18.0 - 18.0 * rise), P2(join, 18.0)]
    heel = [*plane, P2(join, 7.0), P2(16.0, 9.0), P2(13.0, 13.4 - 5.0 * rise), P2(2.0, 13.2 - 18.0 * rise)]
    canvas.area(heel, WOOD)
    edge = [P2(6.0, 18.0 - 14.0 * rise), P2(59.0, 18.0 + 39.0 * rise)]
    canvas.area([*edge, edge[1].plus(P2(0, 4)), edge[0].plus(P2(0, 4))], 1.0)
    low = P2(saddle, 21.25)
    high = P2(saddle, 18.0 + (saddle - join) * rise)
    canvas.measure(low, high, "gap", P2(saddle + 1.5, 33.5), Anchor.LEFT)
    canvas.line([P2(saddle, 21.0), P2(saddle, 3.6)], Role.CENTRE)
    canvas.line([P2(join, 6.0), P2(join, 3.6)], Role.DIMENSION)
    canvas.measure(P2(join, 4.6), P2(saddle, 4.6), "to the saddle mark", P2(36.0, 2.0))
    canvas.words("straightedge on the bare neck plane", P2(2.0, 43.0))
    canvas.lead("no fretboard on the neck", P2(2.0, 37.5), P2(17.0, 20.5))
    canvas.words("top", P2(30.0, 12.0), height=1.8)
    canvas.lead("neck", P2(2.0, 6.0), P2(10.0, 14.2))
    return canvas.sheet()


def shoulder_taper(*, raise_gap: bool) -> Sheet:
    """The shoulder from the side: wood off its back end raises the gap, wood off at the join lowers it."""
    name, title = ("taper_raise", "To raise the gap") if raise_gap else ("taper_lower", "To lower the gap")
    canvas = Canvas(name, title, 48.0, HEIGHT, Transform())
    join, end = P2(26.0, 38.0), P2(26.0, 10.0)
    canvas.area([P2(3, 38), join, end, P2(20, 11.5), P2(14.0, 27.0), P2(3, 29.5)], WOOD)
    canvas.area(rectangle(26.0, 12.5, 33.0, 38.0), JIG)
    wedge = [join, end, P2(21.5, 10.0)] if raise_gap else [join, end, P2(21.5, 38.0)]
    canvas.area(wedge, 0.45)
    canvas.words(title.lower(), P2(3.0, 2.4))
    at_join, at_back = ("nothing", "full") if raise_gap else ("full", "nothing")
    canvas.lead(at_join, P2(32.0, 41.0), join.minus(P2(0.0 if raise_gap else 1.6, 0.0)))
    canvas.lead(at_back, P2(32.0, 7.0), end.minus(P2(1.6 if raise_gap else 0.0, 0.0)))
    canvas.words("tenon", P2(34.0, 25.0), height=1.8)
    return canvas.sheet()


def sideways_taper() -> Sheet:
    """The heel from above: wood comes off on the side to which the centreline misses."""
    canvas = Canvas("sideways", "The centreline misses", 52.0, HEIGHT, Transform())
    canvas.line([P2(2, 22), P2(50, 22)], Role.CENTRE)
    canvas.area([P2(3, 13), P2(20, 13), P2(20, 29.5), P2(3, 29.5)], WOOD)
    canvas.area([P2(20, 29.5), P2(20, 13), P2(18.2, 29.5)], 0.45)
    canvas.area(rectangle(20.0, 18.0, 27.0, 25.0), JIG)
    canvas.line([P2(3.0, 21.2), P2(47.0, 28.0)], Role.VISIBLE)
    canvas.measure(P2(46.0, 22.0), P2(46.0, 27.8), "", P2(46.0, 25.0))
    canvas.words("miss", P2(44.5, 31.0), Anchor.MIDDLE, height=1.8)
    canvas.lead("off here", P2(3.0, 36.0), P2(19.2, 28.6))
    canvas.words("seen from above", P2(26.0, 43.2), Anchor.MIDDLE)
    canvas.lead("saddle mark", P2(28.0, 8.0), P2(46.0, 22.0))
    return canvas.sheet()


def tenon_end() -> Sheet:
    """Mortise and tenon cut through: floor, end and side clearance."""
    canvas = Canvas("clearances", "Clearances", WIDTH, 40.0, Transform())
    canvas.area([P2(3, 4), P2(42, 4), P2(42, 12), P2(24, 12), P2(24, 37), P2(3, 37)], WOOD)
    canvas.area([P2(42, 4), P2(59, 4), P2(59, 37), P2(27, 37), P2(27, 14.5), P2(42, 14.5)], JIG)
    canvas.line([P2(42.0, 14.5), P2(42.0, 37.0)], Role.HIDDEN, DASHED)
    canvas.measure(P2(24.0, 26.0), P2(27.0, 26.0), "floor", P2(14.0, 26.0))
    canvas.measure(P2(36.0, 12.0), P2(36.0, 14.5), "end", P2(33.5, 7.6), Anchor.RIGHT)
    canvas.words("tenon", P2(34.5, 30.0), Anchor.MIDDLE, height=1.8)
    canvas.words("heel", P2(50.5, 20.0), Anchor.MIDDLE, height=1.8)
    canvas.words("neck block", P2(4.5, 7.0), height=1.8)
    return canvas.sheet()
