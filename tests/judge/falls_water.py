"""Where water stands and how deep, worked out from the surface of a layout.

In: a `Surface`. Out: water levels, ponds, and what is wrong with those of the layout. Must hold: the water level of a point
is the least highest level on any way out. It is found by letting the level rise: points come to the surface of the water from
the lowest up and join those beside them (a forest of joined sets); a set that meets a way out no higher than the water has
found its level. Levels are whole thousandths of a mm and compared exactly; areas and volumes are integrated facet by facet.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import Point, Polygon

import geometry
from falls_surface import BAND, ROUNDING, Broken

#: The water level of a point with no way out.
NEVER = 1 << 60


def water_levels(surface, exits):
    """Water level of each point, thousandths of a mm."""
    level = [NEVER] * len(surface.um)
    events = [(int(z), 0, p) for p, z in enumerate(surface.z)] + [(e.level, 1, e.point) for e in exits]
    leader = list(range(len(surface.um)))
    waiting = [[] for _ in leader]
    drained = [False] * len(leader)
    up = [False] * len(leader)

    def top(p):
        while leader[p] != p:
            leader[p] = leader[leader[p]]
            p = leader[p]
        return p

    def settle(p, h):
        for member in waiting[p]:
            level[member] = h
        waiting[p] = []
        drained[p] = True

    for h, is_exit, p in sorted(events):
        if is_exit:
            if not drained[top(p)]:
                settle(top(p), h)
            continue
        up[p], waiting[p] = True, [p]
        for other in surface.beside[p]:
            if not up[other]:
                continue
            a, b = top(p), top(other)
            if a == b:
                continue
            if drained[a] or drained[b]:
                settle(a, h)
                settle(b, h)
            leader[b] = a
            waiting[a] += waiting[b]
            waiting[b] = []
    return level


@dataclass
class Pool:
    """Water that stands: its points, its level and what it holds."""

    deck: int
    points: set
    level: int
    facets: list = field(default_factory=list)
    area: float = 0.0
    volume: float = 0.0
    depth: int = 0
    shape: object = None


def pools(surface, level):
    """Every pool: wet points joined by edges, with the wet part of their facets."""
    wet = {p for p, h in enumerate(level) if surface.z[p] < h < NEVER}
    found, of = [], {}
    while wet:
        seed = wet.pop()
        members, todo = {seed}, [seed]
        while todo:
            for other in surface.beside[todo.pop()]:
                if other in wet:
                    wet.remove(other)
                    members.add(other)
                    todo.append(other)
        pool = Pool(surface.decks[surface.around[seed][0]], members, level[seed])
        pool.depth = max(pool.level - int(surface.z[p]) for p in members)
        of |= dict.fromkeys(members, len(found))
        found.append(pool)
    for f, corners in enumerate(surface.facets.tolist()):
        held = {of[p] for p in corners if p in of}
        for n in held:
            found[n].facets.append(f)
    for pool in found:
        measure(surface, pool)
    return found


def measure(surface, pool):
    """Area, volume and outline of a pool."""
    shapes = []
    for f in pool.facets:
        depths = [(pool.level - int(surface.z[p])) / 1000 for p in surface.facets[f]]
        area, volume = wet_part(float(surface.areas[f]), depths)
        pool.area += area
        pool.volume += volume
        ring = under_water(surface.at[surface.facets[f]], depths)
        if len(ring) >= 3:
            shapes.append(Polygon(ring))
    pool.shape = shapely.union_all([s for s in shapes if s.area > 0], grid_size=1e-4) if shapes else geometry.EMPTY


def wet_part(area, depths):
    """Area and volume of the part of a facet under water, from the depths at its corners (negative above the water)."""
    d = sorted(depths, reverse=True)
    if d[0] <= 0:
        return 0.0, 0.0
    if d[2] >= 0:
        return area, area * sum(d) / 3
    if d[1] <= 0:
        share = d[0] / (d[0] - d[1]) * d[0] / (d[0] - d[2])
        return area * share, area * share * d[0] / 3
    # Two corners under water: the whole prism, less what stands out at the third.
    out = d[2] / (d[2] - d[0]) * d[2] / (d[2] - d[1])
    return area * (1 - out), area * sum(d) / 3 - area * out * d[2] / 3


def under_water(corners, depths):
    """The part of a triangle under water."""
    ring = []
    for k in range(3):
        (a, da), (b, db) = (corners[k], depths[k]), (corners[(k + 1) % 3], depths[(k + 1) % 3])
        if da >= 0:
            ring.append(tuple(a))
        if da * db < 0:
            ring.append(tuple(a + (b - a) * (da / (da - db))))
    return ring


class Water:
    """Water levels and pools of a surface, all found once."""

    def __init__(self, surface, without=None, more=()):
        self.surface = surface
        self.exits = [e for e in surface.exits if e.sink != without] + list(more)
        self.level = water_levels(surface, self.exits)
        self.pools = pools(surface, self.level)

    @functools.cached_property
    def pool_of(self):
        """Pool by point."""
        return {p: n for n, pool in enumerate(self.pools) for p in pool.points}

    def spills(self, pool):
        """Points that water leaves a pool by: at its own level, on its rim or at an outlet in it."""
        inside = {e.point for e in self.exits if e.point in pool.points and e.level == pool.level}
        rim = {q for p in pool.points for q in self.surface.beside[p] if q not in pool.points and self.surface.z[q] == pool.level}
        return inside | {q for q in rim if self.level[q] == pool.level}


def judge(surface, water, layout):
    """Whether the ponds of the layout are those that stand."""
    ponds, broken = layout["falls"]["ponds"], []
    least = 1000 * (surface.plan.get("drainage") or {}).get("least_pond", 2)
    left = list(range(len(water.pools)))
    if [p["number"] for p in ponds] != list(range(1, len(ponds) + 1)):
        broken.append(Broken("ponds", "ponds do not count from 1"))
    if any(a["depth_um"] < b["depth_um"] for a, b in zip(ponds, ponds[1:])):
        broken.append(Broken("ponds", "the deepest pond does not stand first"))
    for pond in ponds:
        if pond["depth_um"] < least:
            broken.append(Broken("ponds", f"pond {pond['number']} is shallower than what is to be told", pond["depth_um"] / 1000, tuple(pond["deepest"])))
        match = [n for n in left if fits(surface, water.pools[n], pond)]
        if not match:
            broken.append(Broken("ponds", f"no water stands {pond['depth_um'] / 1000} mm deep at the place of pond {pond['number']}", pond["depth_um"] / 1000, tuple(pond["deepest"])))
            continue
        left.remove(match[0])
        broken += same(surface, water, water.pools[match[0]], pond)
    for n in left:
        pool = water.pools[n]
        if pool.depth >= least + (0 if surface.is_whole else 1):
            at = surface.at[min(pool.points, key=lambda p: surface.z[p])]
            broken.append(Broken("ponds", f"{pool.depth / 1000} mm of water stand on {pool.area:.0f} mm2 and no pond says so", pool.depth / 1000, tuple(np.round(at).astype(int).tolist())))
    return broken


def fits(surface, pool, pond):
    """Whether a pond is the one that stands here: its deepest place is under this pool's water."""
    lowest = min(int(surface.z[p]) for p in pool.points)
    deepest = [p for p in pool.points if surface.z[p] <= lowest + 1]
    near = min(math.dist(surface.at[p], pond["deepest"]) for p in deepest)
    return pond["deck"] == pool.deck and (near <= BAND or pool.shape.distance(Point(pond["deepest"])) <= BAND)


def same(surface, water, pool, pond):
    """What of a pond departs from the pool it is."""
    broken, where, name = [], tuple(pond["deepest"]), f"pond {pond['number']}"

    def wrong(what, got, wanted, room):
        if abs(got - wanted) > room:
            broken.append(Broken("ponds", f"{name}: {what} {got}, found {wanted}", abs(got - wanted), where))

    # A level of the file is rounded by half a thousandth of a mm: that is 1e-6 m for sum and difference.
    exact = surface.is_whole
    wrong("level", pond["level_um"], pool.level, 0 if exact else 1)
    wrong("depth", pond["depth_um"], pool.depth, 0 if exact else 1)
    rounding = 0.0 if exact else 2 * ROUNDING
    spread = rounding * (pool.shape.length * (1 + 1 / max(1e-4, gentlest(surface, pool))) + 1)
    wrong("volume", pond["volume"], pool.volume, 1 + 1e-6 * pool.volume + rounding * 2 * pool.area)
    wrong("size", pond["size"], pool.area, 1 + 1e-9 * pool.area + spread)
    wrong("mass", pond["mass"], pond["volume"] / 1e4, 0.51)
    deepest_at = surface.level(pond["deepest"])
    if deepest_at is not None:
        steepest = max(float(surface.falls_of[f]) for f in pool.facets)
        wrong("depth at its deepest place", round(pool.level - deepest_at), pool.depth, 1 + 1500 * steepest)
    area = geometry.areas_of(pond["area"])
    # At a step the outline of each side is snapped by itself.
    band = shapely.union_all([pool.shape.boundary, *surface.step_lines])
    for rest, what in ((area.difference(pool.shape), "is drawn where no water stands"), (pool.shape.difference(area), "is not drawn where water stands")):
        size, far, at = geometry.beyond(rest, band, BAND + spread / max(1.0, pool.shape.length))
        if size > 2:
            broken.append(Broken("ponds", f"{name} {what}: {size:.0f} mm2", far, at))
    spills = [surface.at[p] for p in water.spills(pool)]
    if pond["spill"] is None:
        broken.append(Broken("ponds", f"{name} has a way out and no spill", 0.0, where))
    elif min((math.dist(pond["spill"], s) for s in spills), default=math.inf) > BAND:
        broken.append(Broken("ponds", f"{name} does not spill at {pond['spill']}", 0.0, tuple(pond["spill"])))
    return broken


def gentlest(surface, pool):
    """The least fall of the facets that the edge of the water crosses: how far rounding can move it."""
    crossed = [f for f in pool.facets if (surface.z[surface.facets[f]] > pool.level).any()]
    return min((float(surface.falls_of[f]) for f in crossed), default=1.0)
