"""The roofs that are timed.

In: a size, a number of openings and a seed. Out: plan files as text, default products, nothing set but what is drawn.
Must hold: the same arguments give the same file on every machine, so it has its own random numbers; openings keep
clear of each other and of the outline. It times nothing.
"""

from __future__ import annotations

import json
import math

PARAPET = {"upstand": {"height": 150, "kind": "parapet"}}
KERB = {"upstand": {"height": 150, "kind": "kerb"}}

#: Name -> width and height of the deck (mm), number of openings, laying direction (thousandths of a degree).
ROOFS = {
    "large": (100_000, 100_000, 50, None),
    "large, laid askew": (100_000, 100_000, 50, 33_300),
    "middling": (40_000, 25_000, 20, None),
}


class Lots:
    """Whole random numbers, the same everywhere (a linear congruential generator modulo 2^64)."""

    def __init__(self, seed):
        self.state = seed

    def between(self, low, high):
        """A whole number from `low` to `high`, both included."""
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return low + (self.state >> 33) % (high - low + 1)


def plan_file(name, shift=0):
    """The plan file of a roof of `ROOFS`; `shift` mm moves one opening, to make another plan of the same size."""
    width, height, number, direction = ROOFS[name]
    rings = openings(width, height, number, Lots(2024))
    rings[0] = [(x + shift, y) for x, y in rings[0]]
    deck = [(0, 0), (width, 0), (width, height), (0, height)]
    plan = {
        "job": {"name": f"{name} roof, timed"},
        "decks": [{"id": 1, "ring": ring(deck, PARAPET)}],
        "openings": [{"id": 2 + i, "ring": ring(points, KERB)} for i, points in enumerate(rings)],
    }
    if direction is not None:
        # No opening comes as near to the corner as this.
        plan["zones"] = [{"id": 1000, "at": [300, 300], "direction": {"angle": {"mdeg": direction}}}]
    return json.dumps({"format": "baylap-plan", "version": 1, "plan": plan})


#: Side of the deck with levels, mm; its outlets stand in the middle of its quarters.
SIDE = 100_000
LOW = [(x, y) for x in (SIDE // 4, SIDE * 3 // 4) for y in (SIDE // 4, SIDE * 3 // 4)]


def levels_file(number, shift=0, rolls=True):
    """The plan file of a deck with so many levels, one in each cell of a grid, moved about in it.

    It falls 1 in 60 to the nearest outlet, as measured: 8 mm up or down, so that water stands in many places. `shift` mm
    moves an outlet, to make another plan of the same size. Without `rolls` there is nothing to lay with: falls alone are left.
    """
    lots = Lots(2025)
    columns = max(1, math.isqrt(number))
    rows = math.ceil(number / columns)
    spots = []
    for i in range(number):
        x = i % columns * SIDE // columns + lots.between(100, SIDE // columns - 100)
        y = i // columns * SIDE // rows + lots.between(100, SIDE // rows - 100)
        fall = min(abs(x - a) + abs(y - b) for a, b in LOW) // 60
        spots.append({"id": 1000 + i, "at": [x, y], "level": fall + lots.between(-8, 8)})
    outlets = [{"id": 2 + i, "at": [x, y], "bowl": 300, "clear_zone": 500} for i, (x, y) in enumerate(LOW)]
    outlets[0]["at"][0] += shift
    plan = {
        "job": {"name": f"{number} levels, timed"},
        "decks": [{"id": 1, "ring": ring([(0, 0), (SIDE, 0), (SIDE, SIDE), (0, SIDE)], PARAPET)}],
        "outlets": outlets,
        "levels": {"spots": spots},
    }
    if not rolls:
        plan["products"] = {"rolls": []}
    return json.dumps({"format": "baylap-plan", "version": 1, "plan": plan})


def bays_file(shift=0):
    """The plan file of a roof of some sixty bays and two gangs, with a fall, two ways off and two melters; `shift` mm moves an
    outlet, to make another plan of the same size.

    The direction is given and pieces are long: the order is what is timed.
    """
    corners = [(0, 0), (54_000, 0), (54_000, 18_000), (36_000, 18_000), (36_000, 33_000), (0, 33_000)]
    edges = [PARAPET] * 6
    plan = {
        "job": {"name": "sixty bays, timed"},
        "decks": [{"id": 1, "ring": [{"at": list(p), "edge": e} for p, e in zip(corners, edges)]}],
        "openings": [{"id": 2 + i, "ring": ring(box, KERB)} for i, box in enumerate(LIGHTS)],
        "outlets": [{"id": 10 + i, "at": [x, 400], "bowl": 300, "clear_zone": 500} for i, x in enumerate((12_000 + shift, 42_000))],
        "levels": {"spots": [], "lines": [], "planes": [{"id": 12, "at": [0, 0], "level": 0, "direction_mdeg": 270_000, "one_in": 60, "area": []}]},
        "zones": [{"id": 13, "at": [300, 300], "direction": {"angle": {"mdeg": 0}}}],
        "ways": [{"id": 14, "name": "", "at": [0, 5_000]}, {"id": 15, "name": "", "at": [36_000, 30_000]}],
        "melters": [{"id": 16, "at": [-3_000, 5_000]}, {"id": 17, "at": [39_000, 30_000]}],
        "gang": {"bay_area": 3_000, "rate": 1_500, "day_minutes": 480},
        "programme": {"gangs": [{"id": 18, "name": "", "people": 4}, {"id": 19, "name": "", "people": 4}]},
    }
    return json.dumps({"format": "baylap-plan", "version": 1, "plan": plan})


#: Roof lights of `bays_file`.
LIGHTS = [[(x, y), (x + 1_800, y), (x + 1_800, y + 1_200), (x, y + 1_200)] for x, y in ((8_000, 8_000), (20_000, 22_000), (28_000, 10_000), (44_000, 9_000))]


def openings(width, height, number, lots):
    """One opening in each cell of a grid, moved about in it: rectangles, turned rectangles and angles in turn."""
    columns = max(1, round(math.sqrt(number * width / height)))
    rows = math.ceil(number / columns)
    cell_x, cell_y = width // columns, height // rows
    shapes = [rectangle, turned, angle]
    rings = []
    for i in range(number):
        shape = shapes[i % len(shapes)](lots, min(cell_x, cell_y) // 4)
        reach_x, reach_y = (max(p[axis] for p in shape) for axis in (0, 1))
        left = i % columns * cell_x + lots.between(600, cell_x - reach_x - 600)
        below = i // columns * cell_y + lots.between(600, cell_y - reach_y - 600)
        rings.append([(left + x, below + y) for x, y in shape])
    return rings


def rectangle(lots, most):
    w, h = lots.between(800, most), lots.between(800, most)
    return [(0, 0), (w, 0), (w, h), (0, h)]


def turned(lots, most):
    w, h = lots.between(600, most), lots.between(600, most)
    # Corners by whole numbers, so that no machine's sine comes in: sides run along (4, 3) and (-3, 4).
    a, b = w // 5, h // 5
    return [(3 * b, 0), (3 * b + 4 * a, 3 * a), (4 * a, 3 * a + 4 * b), (0, 4 * b)]


def angle(lots, most):
    w, h = lots.between(1200, most), lots.between(1200, most)
    return [(0, 0), (w, 0), (w, h // 2), (w // 2, h // 2), (w // 2, h), (0, h)]


def ring(points, edge):
    return [{"at": list(p), "edge": edge} for p in points]
