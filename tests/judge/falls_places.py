"""Whether a bay edge in a pond or within an outlet's clear zone could lie elsewhere.

In: a plan, its layout, `Seams` and `Ground`. Out: the edges that have a place that is free of both, each with that place. Must
hold: a place counts only if both bays keep the pour limits there, no other bay edge is moved, and it runs along no low line: an edge across the courses
slides along them between the far ends of its two bays; an edge along them goes to another course line, with no more courses
in a bay than the gang lays. It is a coarse search of our own, in steps of 100 mm, and finds no place that needs two edges moved.
"""

from __future__ import annotations

import functools
import math

import numpy as np
import shapely
from shapely.geometry import LineString, Point

import geometry
from falls_seams import ALONG, BESIDE
from falls_surface import BAND

STEP = 100
BAD = ("in_pond", "at_outlet")
#: A bay is no shorter than this, mm, when an edge is slid.
LEAST_BAY = 1000


def bad_ground(ground):
    """Where no bay edge should lie: ponds that count, and clear zones."""
    shapes = [pool.shape for pool in ground.water.pools if pool.depth >= ground.least]
    shapes += [Point(at).buffer(radius, quad_segs=32) for at, radius in ground.outlets]
    return shapely.union_all(shapes) if shapes else geometry.EMPTY


def bad_edges(layout):
    """Bay edges in a bad place, with the length that is."""
    for seam in layout["seams"]:
        if seam["kind"] != "bay_edge":
            continue
        length = sum(math.dist(p["a"], p["b"]) for p in seam["parts"] if p["verdict"] in BAD)
        if length > 2 * BAND:
            yield seam, length


def judge(plan, layout, seams, ground):
    """(edges that could lie better, edges in a bad place)."""
    bad, could, count = (bad_ground(ground), ground), [], 0
    for seam, length in bad_edges(layout):
        count += 1
        found = elsewhere(plan, layout, seams, bad, seam)
        if found:
            could.append((seam, length, found))
    return could, count


def elsewhere(plan, layout, seams, bad, seam):
    """A better place for a whole bay edge, as words, or None."""
    a, b = (layout["bays"][n - 1] for n in seam["between"])
    if a["zone"] != b["zone"]:
        return None
    zone = seams.zones[a["zone"]]
    areas = [geometry.to_frame(zone["frame"], seams.bays[bay["number"]]) for bay in (a, b)]
    both = shapely.union_all(areas, grid_size=1e-3)
    bad, ground = bad
    free = functools.partial(is_free, zone["frame"], geometry.to_frame(zone["frame"], bad), ground)
    if a["courses"] == b["courses"]:
        return slid(plan, both, free)
    if a["courses"][1] + 1 == b["courses"][0] or b["courses"][1] + 1 == a["courses"][0]:
        return lifted(plan, zone, both, free, sorted([a["courses"], b["courses"]]), seam, layout)
    return None


def is_free(frame, bad, ground, cut):
    """Whether an edge there keeps clear of ponds and clear zones, and runs along no low line."""
    if cut.length == 0 or cut.distance(bad) <= BAND:
        return False
    for part in getattr(cut, "geoms", [cut]):
        a, b = geometry.to_plan(frame, [part.coords[0], part.coords[-1]])
        along = (b - a) / np.hypot(*(b - a))
        for share in np.linspace(0.02, 0.98, 1 + round(part.length / 100)):
            for how in ("sure", "perhaps"):
                if ground.runs_along(a + share * (b - a), along, "low_line", how, BESIDE, ALONG):
                    return False
    return True


def slid(plan, both, free):
    """Another chainage for an edge across the courses."""
    u0, v0, u1, v1 = both.bounds
    for u in np.arange(u0 + LEAST_BAY, u1 - LEAST_BAY, STEP):
        cut = LineString([(u, v0 - 1), (u, v1 + 1)]).intersection(both)
        # Nothing crossed is no edge: the two bays would be one.
        if free(cut) and within_limits(plan, split(both, u, 0)):
            return f"chainage {u:.0f} of {u0:.0f} to {u1:.0f}"
    return None


def lifted(plan, zone, both, free, courses, seam, layout):
    """Another course line for an edge along the courses."""
    first, last, limit = courses[0][0], courses[1][1], plan["gang"]["courses_per_bay"]
    # Bays of more than these courses beside the two would be cut by the same line.
    if not only_these(layout, seam):
        return None
    by_number = {c["number"]: c for c in zone["courses"]}
    for k in range(first, last):
        if k == courses[0][1] or k - first + 1 > limit or last - k > limit:
            continue
        v = edge_between(both, by_number[k], by_number[k + 1])
        u0, _, u1, _ = both.bounds
        cut = LineString([(u0 - 1, v), (u1 + 1, v)]).intersection(both)
        if free(cut) and within_limits(plan, split(both, v, 1)):
            return f"between courses {k} and {k + 1}"
    return None


def edge_between(both, course, after):
    """Where a bay edge between two courses lies: at the first edge of the later one."""
    return after["from"]


def only_these(layout, seam):
    """Whether the two bays share their edge with each other alone, so that it can move without others."""
    a, b = (layout["bays"][n - 1] for n in seam["between"])
    return abs(a["length"] - b["length"]) <= 2


def split(both, at, axis):
    """The two sides of a line square to an axis."""
    x0, y0, x1, y1 = both.bounds
    if axis == 0:
        boxes = shapely.box(x0 - 1, y0 - 1, at, y1 + 1), shapely.box(at, y0 - 1, x1 + 1, y1 + 1)
    else:
        boxes = shapely.box(x0 - 1, y0 - 1, x1 + 1, at), shapely.box(x0 - 1, at, x1 + 1, y1 + 1)
    return [both.intersection(box) for box in boxes]


def within_limits(plan, sides):
    """Whether bays keep the pour limits and stay in one piece."""
    gang = plan["gang"]
    for side in sides:
        if side.is_empty or len(geometry.parts(side)) != 1:
            return False
        if gang["bay_area"] is not None and side.area > gang["bay_area"] * 10_000:
            return False
        u0, _, u1, _ = side.bounds
        if gang["bay_length"] is not None and u1 - u0 > gang["bay_length"]:
            return False
    return True


def better_places(layout, ground):
    """What the layout says is better is better: (what is wrong, where)."""
    bad = bad_ground(ground)
    for seam in layout["seams"]:
        for part in seam["parts"]:
            better = part["better"]
            if better is None:
                continue
            at = Point(better["at"])
            if seam["kind"] != "bay_edge":
                yield f"a {seam['kind']} is told to move", part["a"]
            elif not bad.is_empty and bad.distance(at) < 0.1 and bad.buffer(-2 * BAND).distance(at) < 0.1:
                yield f"the better place {better['at']} of the edge between bays {seam['between']} is as bad", part["a"]
            else:
                yield from distance(part, better)


def distance(part, better):
    """The distance and direction of a better place lead from the part to it."""
    turn = math.radians(better["direction_mdeg"] / 1000)
    way = np.array([math.cos(turn), math.sin(turn)]) * better["distance"]
    start = Point(np.array(better["at"], float) - way)
    if LineString([part["a"], part["b"]]).distance(start) > 3 + 1e-4 * better["distance"]:
        yield f"{better['distance']} mm towards {better['direction_mdeg']} do not lead to {better['at']}", part["a"]
