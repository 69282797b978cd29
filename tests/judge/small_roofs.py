"""Small random roofs to be searched by brute force.

In: how many. Out: rings in whole mm by name: outer ring, then openings. Must hold: the same roofs everywhere (own random
numbers); every ring is sound, openings keep clear of each other and of the outline; walls that are nearly but not quite
parallel are not among them, for an engine may call those one direction. Rolls are 300 to 500 mm wide, so that a roof of 1 to
3 m has a handful of courses and all its starts can be tried.
"""

from __future__ import annotations

import math

from shapely.geometry import Polygon

from lots import Lots

#: Whole vectors that the axes of a roof are turned to; the first stays as drawn.
TURNS = [(1, 0), (1, 0), (1, 0), (3, 1), (4, 3), (5, 2), (7, 3), (8, 1), (9, 7), (2, 5), (1, 6), (11, 10)]


def roofs(count):
    """Name -> (rings, roll width, side lap)."""
    made = {}
    seed = 0
    while len(made) < count:
        lots = Lots(seed)
        seed += 1
        shape = SHAPES[len(made) % len(SHAPES)]
        rings = turned(with_openings([shape(lots)], lots), lots.one_of(TURNS))
        if is_fit(rings):
            width = lots.between(300, 500)
            made[f"{shape.__name__} {seed}"] = (rings, width, lots.between(20, 75))
    return made


def rectangle(lots):
    w, h = lots.between(900, 2400), lots.between(900, 2400)
    return [(0, 0), (w, 0), (w, h), (0, h)]


def angle(lots):
    w, h = lots.between(1000, 2400), lots.between(1000, 2400)
    x, y = lots.between(250, w - 250), lots.between(250, h - 250)
    return [(0, 0), (w, 0), (w, y), (x, y), (x, h), (0, h)]


def tee(lots):
    w, h, bar = lots.between(1200, 2400), lots.between(900, 2000), lots.between(300, 700)
    x = lots.between(200, w // 2)
    x1 = x + lots.between(250, w - x - 100)
    return [(0, 0), (w, 0), (w, bar), (x1, bar), (x1, h), (x, h), (x, bar), (0, bar)]


def trough(lots):
    w, h, base = lots.between(1200, 2400), lots.between(900, 2000), lots.between(250, 700)
    x = lots.between(250, w // 2)
    x1 = x + lots.between(150, w - x - 150)
    return [(0, 0), (w, 0), (w, lots.between(base + 50, h)), (x1, h), (x1, base), (x, base), (x, h), (0, h)]


def quarter(lots):
    """A corner cut off askew."""
    w, h = lots.between(1000, 2400), lots.between(1000, 2200)
    x, y = lots.between(200, w - 100), lots.between(200, h - 100)
    return [(0, 0), (w, 0), (w, y), (x, h), (0, h)]


def star(lots):
    n = lots.between(3, 6)
    return around(lots, 2 * n, [(900, 1300), (350, 700)])


def loose(lots):
    """No two walls alike."""
    return around(lots, lots.between(4, 7), [(600, 1300)])


def around(lots, count, radii):
    """Corners round a middle, some way from evenly."""
    points = []
    for k in range(count):
        low, high = radii[k % len(radii)]
        radius, turn = lots.between(low, high), 2 * math.pi * (k + lots.between(0, 500) / 1000) / count
        points.append((round(radius * math.cos(turn)), round(radius * math.sin(turn))))
    return points


SHAPES = [rectangle, angle, tee, trough, quarter, star, loose]


def with_openings(rings, lots):
    """Adds up to two openings, each within what is left."""
    outer = Polygon(rings[0])
    x0, y0, x1, y1 = (round(b) for b in outer.bounds)
    for _ in range(lots.one_of([0, 1, 1, 2])):
        x, y = lots.between(x0, x1), lots.between(y0, y1)
        w, h = lots.between(40, 500), lots.between(40, 500)
        lean = lots.one_of([0, 0, 0, lots.between(10, 120)])
        ring = [(x, y), (x + w, y + lean), (x + w - lean, y + h + lean), (x - lean, y + h)]
        if outer.buffer(-30).contains(Polygon(ring)) and all(Polygon(r).distance(Polygon(ring)) > 30 for r in rings[1:]):
            rings = rings + [ring]
    return rings


def turned(rings, to):
    """The rings turned to a whole vector, about as large as before; whole mm and parallels are kept exactly."""
    a, b = to
    scale = math.hypot(a, b)
    coarse = [[(round(x / scale), round(y / scale)) for x, y in ring] for ring in rings]
    return [[(a * x - b * y, b * x + a * y) for x, y in ring] for ring in coarse]


def is_fit(rings):
    """Sound, one piece, and no two walls nearly parallel."""
    shape = Polygon(rings[0], rings[1:])
    if not shape.is_valid or shape.area < 300_000 or any(len(set(r)) < len(r) for r in rings):
        return False
    if any(Polygon(r).distance(shape.exterior) < 5 for r in rings[1:]):
        return False
    walls = [(b[0] - a[0], b[1] - a[1]) for r in rings for a, b in zip(r, r[1:] + r[:1])]
    for i, (ax, ay) in enumerate(walls):
        for bx, by in walls[:i]:
            for turn in (ax * by - ay * bx, ax * bx + ay * by):
                if turn != 0 and abs(turn) < 0.005 * math.hypot(ax, ay) * math.hypot(bx, by):
                    return False
    return True
