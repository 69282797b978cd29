"""Where the water of a place goes, and what each outlet catches: judged with a walker of our own.

In: a `Surface` and its `Water`. Out: the set of sinks that the water of a place can reach, and what is wrong with catchments,
sinks of facets and outlets of the layout. Must hold: water runs straight down each facet, along an edge where both sides push
it there, over a step downwards and along its foot, from a point by the steepest way, out of a pool over its spill. Where ways are equally good (level facets, two
spills of one level, a point on a free edge) all of them are followed: a place then has several sinks, and each is right.
"""

from __future__ import annotations

import functools
import math
import random

import numpy as np
from shapely.geometry import Point

import geometry
from falls_surface import BAND, Broken, deck_area

#: Falls below this are level: the file's own rounding over a few metres.
LEVEL = 1e-9
NOWHERE = ("nowhere",)


def sink_of(stated):
    """A sink as the layout writes it."""
    return NOWHERE if stated == "nowhere" else next(iter(stated.items()))


class Descent:
    """Walks down a surface."""

    def __init__(self, surface, water):
        self.surface, self.water = surface, water
        self.exits_at = {}
        for e in water.exits:
            self.exits_at.setdefault(e.point, []).append(e)

    def from_place(self, place, facet=None):
        """Every sink that the water of a place can reach."""
        held = [facet] if facet is not None else self.surface.facets_at(place)
        return self.reach([n for f in held[:1] for n in self.run(f, np.asarray(place, float))])

    def reach(self, nodes):
        """Sinks reached from points, pools and sinks."""
        seen, todo, sinks = set(nodes), list(nodes), set()
        while todo:
            node = todo.pop()
            if node[0] == "point":
                following = self.from_point(node[1])
            elif node[0] == "pool":
                following = self.from_pool(node[1])
            else:
                sinks.add(node)
                continue
            todo += [n for n in following if n not in seen]
            seen |= set(following)
        return sinks or {NOWHERE}

    def from_point_or_pool(self, point):
        """Every sink that the water of a point of the surface, under water or not, can reach."""
        number = self.water.pool_of.get(point)
        return self.reach([("point", point) if number is None else ("pool", number)])

    def run(self, facet, at, ways=0):
        """Down from a place of a facet to the first point, or over an edge: (nodes)."""
        s = self.surface
        came = None
        for _ in range(4 * len(s.facets) + 10):
            corners = s.facets[facet].tolist()
            down = -s.slopes[facet]
            if s.falls_of[facet] <= LEVEL:
                return [("point", p) for p in corners]
            k, at = self.leave(facet, at, down, came)
            a, b = corners[k], corners[(k + 1) % 3]
            for p in (a, b):
                if np.hypot(*(s.at[p] - at)) < 1e-6:
                    return [("point", p)]
            other, over = self.beyond(a, b)
            if other is None:
                return over
            inward = self.inward(a, b)
            if s.falls_of[other] <= LEVEL:
                return [("point", p) for p in s.facets[other].tolist()]
            if -s.slopes[other] @ inward <= LEVEL:
                return self.along(*over)
            facet, came = other, over[::-1]
        return [NOWHERE]

    def beyond(self, a, b):
        """What is beyond an edge of a facet: (facet, its edge turned round), or (None, nodes) where water does not go on over
        it. A step is gone over downwards only."""
        s = self.surface
        there = s.sides.get((b, a))
        if there is not None:
            return there[0], (a, b)
        if (a, b) in s.steps and s.is_lower((a, b)):
            over = s.steps[a, b]
            return s.sides[over][0], over[::-1]
        kind = s.border.get((a, b)) or ("wall",)
        return None, [kind] if kind[0] == "edge" else self.along(a, b)

    def inward(self, a, b):
        """Unit vector across the edge from a to b, to its right: out of the facet that has it anticlockwise."""
        d = self.surface.at[b] - self.surface.at[a]
        return np.array([d[1], -d[0]]) / np.hypot(*d)

    def leave(self, facet, at, down, came):
        """The edge of a facet that a run down leaves by, and where."""
        s, best = self.surface, None
        corners = s.facets[facet].tolist()
        for k in range(3):
            a, b = corners[k], corners[(k + 1) % 3]
            if (a, b) == came:
                continue
            out = self.inward(a, b)
            speed = float(down @ out)
            if speed <= 0:
                continue
            t = max(0.0, float((s.at[a] - at) @ out) / speed)
            if best is None or t < best[0]:
                best = (t, k)
        if best is None:
            # Along the edge it came over: to the lower of its ends.
            k = min(range(3), key=lambda i: s.z[corners[i]])
            return k, s.at[corners[k]]
        t, k = best
        a, b = s.at[corners[k]], s.at[corners[(k + 1) % 3]]
        share = float((at + t * down - a) @ (b - a)) / float((b - a) @ (b - a))
        return k, a + min(1.0, max(0.0, share)) * (b - a)

    def along(self, a, b):
        """Along an edge to its lower end."""
        za, zb = self.surface.z[a], self.surface.z[b]
        return [("point", p) for p, z in ((a, za), (b, zb)) if z == min(za, zb)]

    @functools.lru_cache(maxsize=None)
    def from_point(self, p):
        """Where the water of a point can go."""
        s, level, found = self.surface, self.water.level, []
        wet = level[p] > s.z[p]
        if p in self.water.pool_of:
            return [("pool", self.water.pool_of[p])]
        if wet:
            return [NOWHERE]
        for e in self.exits_at.get(p, []):
            if e.level != s.z[p]:
                continue
            found.append(e.sink)
            # Water runs into an open outlet; along a free edge or past an overflow it may go on.
            if e.sink[0] == "outlet" and not e.overflow:
                return [e.sink]
        down = self.steepest(p)
        if down:
            return found + down
        flat = [q for q in s.beside[p] if s.z[q] == s.z[p] and level[q] == s.z[p]]
        return found + [("point", q) for q in flat]

    def steepest(self, p, lower=None):
        """The steepest ways down from a point, over facets and along edges."""
        s, ways = self.surface, []
        for q in s.beside[p]:
            if s.z[q] < s.z[p]:
                far = float(np.hypot(*(s.at[q] - s.at[p])))
                # Down a step there is nothing steeper.
                fall = (s.z[p] - s.z[q]) / 1000 / far if far > 0 else 1e9
                ways.append((float(fall), ("point", q), None))
        for f in s.around[p]:
            corners = s.facets[f].tolist()
            k = corners.index(p)
            b, c = s.at[corners[(k + 1) % 3]] - s.at[p], s.at[corners[(k + 2) % 3]] - s.at[p]
            down = -s.slopes[f]
            if cross(b, down) > 0 and cross(down, c) > 0:
                ways.append((float(s.falls_of[f]), None, (f, corners[(k + 1) % 3], corners[(k + 2) % 3])))
        if not ways:
            return []
        best = max(w[0] for w in ways)
        # Directions that leave a facet within rounding of its edge are as steep as the edge.
        room = 1e-6 * best + 1e-9
        found = []
        for fall, point, over in ways:
            if fall < best - room:
                continue
            found += [point] if point else self.across(p, *over)
        return found

    def across(self, p, f, b, c):
        """From a corner down through a facet, over the edge facing it."""
        s = self.surface
        down, out = -s.slopes[f], self.inward(b, c)
        t = float((s.at[b] - s.at[p]) @ out) / float(down @ out)
        at = s.at[p] + t * down
        other, over = self.beyond(b, c)
        if other is None:
            return over
        if s.falls_of[other] > LEVEL and -s.slopes[other] @ out <= LEVEL:
            return self.along(*over)
        return self.run_on(other, at, over[::-1])

    def run_on(self, facet, at, came):
        """As `run`, having just come over an edge."""
        k, there = (None, None)
        s = self.surface
        if s.falls_of[facet] <= LEVEL:
            return [("point", q) for q in s.facets[facet].tolist()]
        # A hair inside the facet, the run cannot leave by the edge it came over.
        middle = s.at[s.facets[facet]].mean(axis=0)
        return self.run(facet, at + (middle - at) * 1e-9)

    @functools.lru_cache(maxsize=None)
    def from_pool(self, n):
        """Where the water that spills from a pool can go."""
        s, level, pool, found = self.surface, self.water.level, self.water.pools[n], []
        for p in self.water.spills(pool):
            found += [e.sink for e in self.exits_at.get(p, []) if e.level == pool.level]
            if p in pool.points:
                continue
            found += [("point", q) for q in s.beside[p] if level[q] < pool.level]
            found += [w for w in self.steepest(p) if w != ("pool", n) and not (w[0] == "point" and self.water.pool_of.get(w[1]) == n)]
            found += [("point", q) for q in s.beside[p] if level[q] == pool.level and q not in pool.points]
        return found


def cross(a, b):
    return float(a[0] * b[1] - a[1] * b[0])


def sums(surface, layout):
    """Catchments, what runs over edges and what is trapped are the decks, to the mm2; so are the classes."""
    falls, broken = layout["falls"], []
    named = set(surface.decks)
    whole, room = deck_area(surface, named), 0.5 * len(named) + 1e-3
    if len(named) == len(surface.plan["decks"]):
        # Where an opening cuts an edge off whole mm, the deck is what the layout makes of it.
        whole = layout["totals"]["deck_area"]
    parts = sum(o["size"] for o in falls["outlets"]) + falls["over_edges"] + falls["trapped"]
    if abs(parts - whole) > room:
        broken.append(Broken("catchments", f"catchments, edges and trapped are {parts} mm2, the decks {whole}", abs(parts - whole)))
    if abs(sum(falls["class_areas"]) - whole) > room:
        broken.append(Broken("classes", f"classes are {sum(falls['class_areas'])} mm2, the decks {whole}", abs(sum(falls["class_areas"]) - whole)))
    return broken


def facet_sinks(surface, descent, layout):
    """Each facet says where the water of its middle goes."""
    broken = []
    for f, facet in enumerate(layout["falls"]["facets"]):
        middle, stated = surface.at[surface.facets[f]].mean(axis=0), sink_of(facet["drains_to"])
        if stated not in descent.from_place(middle, f) and not near_border(surface, descent, f, middle, stated, 3.0):
            got = sorted(descent.from_place(middle, f))
            broken.append(Broken("catchments", f"water of facet {f} is said to go to {stated}, it goes to {got}", 0.0, tuple(np.round(middle).astype(int).tolist())))
    return broken


def near_border(surface, descent, facet, place, sink, reach):
    """Whether water from within some mm of a place goes to a sink."""
    for k in range(12):
        turn = math.pi * k / 6
        at = place + reach * np.array([math.cos(turn), math.sin(turn)])
        if any(sink in descent.from_place(at, f) for f in surface.facets_at(at)[:2]):
            return True
    return False


def within_a_facet(surface, descent, facet, sink):
    """Whether water from some place of a facet, or of one that touches it, goes to a sink."""
    beside = {f for p in surface.facets[facet] for f in surface.around[p]}
    for f in beside:
        corners = surface.at[surface.facets[f]]
        for w in ((1, 1, 1), (8, 1, 1), (1, 8, 1), (1, 1, 8), (4, 4, 1), (1, 4, 4), (4, 1, 4)):
            if sink in descent.from_place(np.average(corners, axis=0, weights=w), f):
                return True
    return False


def places(surface, descent, layout, count, seed=1):
    """(what is wrong, how many places were near a border, how many had several sinks) of places drawn by lot."""
    lots, broken, near, several = random.Random(seed), [], 0, 0
    catchments = {("outlet", o["id"]): geometry.areas_of(o["catchment"]) for o in layout["falls"]["outlets"]}
    if not len(surface.facets):
        return [], 0, 0
    chosen = lots.choices(range(len(surface.facets)), weights=surface.areas.tolist(), k=count)
    for f in chosen:
        w = np.array([lots.expovariate(1) for _ in range(3)])
        place = (surface.at[surface.facets[f]] * (w / w.sum())[:, None]).sum(axis=0)
        sinks = descent.from_place(place, f)
        several += len(sinks) > 1
        stated = {s for s, area in catchments.items() if not area.is_empty and area.intersects(Point(place))}
        said = stated or {s for s in sinks if s[0] != "outlet"} or {("no outlet",)}
        if said & sinks:
            continue
        near += 1
        if stated and any(near_border(surface, descent, f, place, s, 3.0) for s in stated):
            continue
        # Beside the drawn edge of a catchment, within its snapping to whole mm.
        if not stated and any(catchments[s].distance(Point(place)) < 3 * BAND for s in sinks if s in catchments):
            continue
        if stated and any(within_a_facet(surface, descent, f, s) for s in stated):
            continue
        broken.append(Broken("catchments", f"water goes to {sorted(sinks)}, the place lies in the catchment of {sorted(said)}", 0.0, tuple(np.round(place).astype(int).tolist())))
    return broken, near, several


def catchment_sizes(surface, layout):
    """Each catchment is as large as it is drawn, but for what slivers its drawing may lack, and does not overlap another."""
    broken, shapes = [], []
    for outlet in layout["falls"]["outlets"]:
        shape = geometry.areas_of(outlet["catchment"])
        drawn = shape.area
        # A corner of the drawing is snapped to whole mm.
        room = 10 + BAND * shape.length
        if abs(drawn - outlet["size"]) > room:
            broken.append(Broken("catchments", f"catchment of outlet {outlet['id']} is {outlet['size']} mm2, drawn {drawn:.0f}", abs(drawn - outlet["size"])))
        for other, name in shapes:
            twice = shape.intersection(other).buffer(-BAND)
            if twice.area > 0:
                broken.append(Broken("catchments", f"catchments of outlets {name} and {outlet['id']} overlap", twice.area))
        shapes.append((shape, outlet["id"]))
    return broken


def pond_sinks(water, descent, layout):
    """Where what spills from each pond goes."""
    broken = []
    for pond in layout["falls"]["ponds"]:
        here = [n for n, pool in enumerate(water.pools) if pool.deck == pond["deck"] and pool.shape.distance(Point(pond["deepest"])) <= BAND]
        stated = sink_of(pond["drains_to"])
        if here and not any(stated in descent.reach([("pool", n)]) for n in here):
            got = sorted(descent.reach([("pool", here[0])]))
            broken.append(Broken("ponds", f"pond {pond['number']} is said to drain to {stated}, it drains to {got}", 0.0, tuple(pond["deepest"])))
    return broken
