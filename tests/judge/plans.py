"""Plans to judge: from outlines of buildings, and drawn by hand.

In: rings in metres or millimetres. Out: plans as the plan file holds them, every setting written out so that the judge
knows it. Must hold: coordinates are whole mm; ids are unique. It knows nothing of layouts.
"""

from __future__ import annotations

import copy
import itertools
import json
import math

from shapely.geometry import Polygon

PARAPET = {"upstand": {"height": 150, "kind": "parapet"}}
KERB = {"upstand": {"height": 150, "kind": "kerb"}}
FREE = {"free": {"kind": "drip"}}

#: The laying directions every outline is judged in.
DIRECTIONS = {"wall": "longest_wall", "0": {"angle": {"mdeg": 0}}, "33": {"angle": {"mdeg": 33_300}}}

#: Values that the plan's documentation gives to settings left out.
PRODUCTS = {
    "rolls": [{"name": "", "width": 1000, "length": 50_000, "on_hand": None}],
    "side_lap": 75,
    "end_lap": 75,
    "stagger": 300,
    "clear": 50,
    "edge_gap": 0,
    "foot": 150,
    "collar": 100,
    "least_strip": 300,
    "least_piece": 1000,
    "longest_piece": 25_000,
    "narrow_course": "move_first",
    "least_offcut": 1000,
    "kerf": 0,
    "laying": "cut",
    "slitting": "none",
    "upstand_strips": False,
}
GANG = {"courses_per_bay": 3, "bay_area": 6000, "bay_length": None, "open_rolls": 3, "hold_open_rolls": False}
LISTS = ("decks", "openings", "penetrations", "outlets", "joints", "zone_lines", "zones")


def corners(points, edge=None):
    """A ring with the same edge all round, or with the edges of a list."""
    edges = edge if isinstance(edge, list) else itertools.repeat(edge or PARAPET)
    return [{"at": list(p), "edge": e} for p, e in zip(points, edges)]


class Draw:
    """A plan being drawn: hands out ids."""

    def __init__(self, name="", **products):
        gang = {k: products.pop(k) for k in list(products) if k in GANG}
        self.plan = {"job": {"name": name}} | {k: [] for k in LISTS}
        self.plan["products"] = copy.deepcopy(PRODUCTS) | products
        self.plan["gang"] = GANG | gang
        self.ids = itertools.count(1)

    def add(self, to, **thing):
        """Adds a thing to one of the plan's lists."""
        self.plan[to].append({"id": next(self.ids)} | thing)
        return self

    def deck(self, *points, edge=None):
        return self.add("decks", ring=corners(points, edge))

    def opening(self, *points, edge=None):
        return self.add("openings", ring=corners(points, edge or KERB))

    def rect_opening(self, x, y, w, h, edge=None):
        return self.opening((x, y), (x + w, y), (x + w, y + h), (x, y + h), edge=edge)

    def pipe(self, x, y, diameter, **more):
        return self.add("penetrations", shape={"circle": {"centre": [x, y], "diameter": diameter}}, **more)

    def box(self, *points, **more):
        return self.add("penetrations", shape={"ring": {"corners": [list(p) for p in points]}}, **more)

    def outlet(self, x, y, bowl=300, clear_zone=500):
        return self.add("outlets", at=[x, y], bowl=bowl, clear_zone=clear_zone)

    def joint(self, *points):
        return self.add("joints", points=[list(p) for p in points])

    def zone_line(self, *points, kind="drawn"):
        return self.add("zone_lines", points=[list(p) for p in points], kind=kind)

    def direction(self, x, y, direction, start="best"):
        return self.add("zones", at=[x, y], direction=direction, start=start)

    def angle(self, x, y, degrees, start="best"):
        return self.direction(x, y, {"angle": {"mdeg": round(degrees * 1000)}}, start)


def whole_mm(ring):
    """A ring in metres as whole mm, not closed, no corner twice in a row."""
    points = [(round(x * 1000), round(y * 1000)) for x, y, *_ in ring]
    points = [p for p, before in zip(points, points[-1:] + points[:-1]) if p != before]
    return points


def of_rings(name, rings, direction="longest_wall", **products):
    """A plan of one deck: outer ring, then openings, whole mm."""
    draw = Draw(name, **products).deck(*rings[0])
    for ring in rings[1:]:
        draw.opening(*ring)
    place = Polygon(rings[0], rings[1:]).representative_point()
    return draw.direction(round(place.x), round(place.y), direction).plan


def is_valid(rings) -> bool:
    """Whether rings in whole mm still make one sound area."""
    if any(len(ring) < 3 for ring in rings):
        return False
    shape = Polygon(rings[0], rings[1:])
    return shape.is_valid and shape.area > 0


def to_file(plan) -> str:
    """The plan file."""
    return json.dumps({"format": "baylap-plan", "version": 1, "plan": plan})


def filled(plan):
    """A plan read from a file, with settings left out given their documented values."""
    plan = copy.deepcopy(plan)
    for kind in LISTS:
        plan.setdefault(kind, [])
    plan["products"] = copy.deepcopy(PRODUCTS) | plan.get("products", {})
    plan["gang"] = GANG | plan.get("gang", {})
    return plan


def mapped(plan, move, turn=lambda mdeg: mdeg, flip=False):
    """The plan with every point moved and every direction turned; `flip` when `move` mirrors."""
    plan = copy.deepcopy(plan)

    def point(p):
        x, y = move(*p)
        return [round(x), round(y)]

    def ring(r):
        for corner in r:
            corner["at"] = point(corner["at"])

    for thing in plan["decks"] + plan["openings"]:
        ring(thing["ring"])
    for thing in plan["penetrations"]:
        shape = thing["shape"]
        if "circle" in shape:
            shape["circle"]["centre"] = point(shape["circle"]["centre"])
        else:
            shape["ring"]["corners"] = [point(p) for p in shape["ring"]["corners"]]
    for thing in plan["outlets"] + plan["zones"]:
        thing["at"] = point(thing["at"])
    for thing in plan["joints"] + plan["zone_lines"]:
        thing["points"] = [point(p) for p in thing["points"]]
    for zone in plan["zones"]:
        direction = zone.get("direction", "longest_wall")
        if "along" in direction:
            direction["along"] = {end: point(p) for end, p in direction["along"].items()}
        if "angle" in direction:
            zone["direction"]["angle"]["mdeg"] = turn(zone["direction"]["angle"]["mdeg"]) % 360_000
        if flip:
            zone["start"] = {"left": "right", "right": "left"}.get(zone.get("start"), zone.get("start", "best"))
    return plan


def rotated(plan, degrees):
    """The plan turned about its first corner, snapped to whole mm again."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    ox, oy = plan["decks"][0]["ring"][0]["at"]

    def move(x, y):
        return ox + (x - ox) * c - (y - oy) * s, oy + (x - ox) * s + (y - oy) * c

    return mapped(plan, move, lambda mdeg: mdeg + round(degrees * 1000))


def mirrored(plan):
    """The plan mirrored left to right."""
    return mapped(plan, lambda x, y: (-x, y), lambda mdeg: 180_000 - mdeg, flip=True)


def moved(plan, dx, dy):
    """The plan moved by whole mm."""
    return mapped(plan, lambda x, y: (x + dx, y + dy))


def reringed(plan, reverse=True, start=1):
    """The same plan with every ring run the other way, or begun at another corner."""
    plan = copy.deepcopy(plan)
    for thing in plan["decks"] + plan["openings"]:
        ring = thing["ring"]
        if reverse:
            places = [c["at"] for c in reversed(ring)]
            # The edge of a corner runs to the next one: reversed, it belongs to the corner at its other end.
            edges = [c["edge"] for c in reversed(ring[:-1])] + [ring[-1]["edge"]]
            ring = [{"at": p, "edge": e} for p, e in zip(places, edges)]
        k = start % len(ring)
        thing["ring"] = ring[k:] + ring[:k]
    return plan


def with_points(plan):
    """The same plan with corners added on edges, where they fall on whole mm exactly."""
    plan = copy.deepcopy(plan)
    for thing in plan["decks"] + plan["openings"]:
        ring, more = thing["ring"], []
        for corner, following in zip(ring, ring[1:] + ring[:1]):
            more.append(corner)
            (ax, ay), (bx, by) = corner["at"], following["at"]
            steps = math.gcd(bx - ax, by - ay)
            if steps > 1:
                k = steps // 2
                at = [ax + (bx - ax) // steps * k, ay + (by - ay) // steps * k]
                more.append({"at": at, "edge": corner["edge"]})
        thing["ring"] = more
    return plan
