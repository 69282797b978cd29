"""The surface of the decks, read back from `layout.json` and judged against the plan.

In: a plan and its layout. Out: a `Surface` that the other judges of falls ask, and what is wrong with its shape. Must hold:
points and levels are taken as the whole thousandths of a mm of the file, so that levels are compared exactly; areas and slopes
are worked out here anew; nothing is taken from the project's code. Where levels between points come from is not judged beyond
the points, lines and planes that the plan gives.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

import geometry

#: A corner of a deck is snapped to whole mm once: what lies on an edge of the plan is this near to it, mm.
BAND = 1.5
#: Levels this near to an edge are put on it, mm; an outlet or a level has its point of the surface within it.
NEAR = 6.0
#: Half of the last figure of a coordinate in the file, mm.
ROUNDING = 0.0005
#: How far from a drawn change of level a step in the surface may lie, mm: ends near an edge are put on it.
STEP_NEAR = 6.0
#: Where water goes that runs over an upstand.
UPSTAND = ("upstand", 0)


@dataclass(frozen=True)
class Broken:
    """What is wrong: the check that found it, what, by how much and where on the plan."""

    check: str
    what: str
    error: float = 0.0
    at: tuple | None = None


@dataclass(frozen=True)
class Exit:
    """A way out of the surface: at a point, from a level on, and where to."""

    level: int
    point: int
    sink: tuple
    overflow: bool = False


class Surface:
    """Points, facets and edges of the decks that have levels."""

    def __init__(self, plan, layout):
        falls = layout["falls"]
        self.plan, self.falls = plan, falls
        self.um = np.array(falls["points"], dtype=np.int64).reshape(-1, 3)
        self.at = self.um[:, :2] / 1000.0
        self.z = self.um[:, 2]
        self.facets = np.array([f["corners"] for f in falls["facets"]], dtype=np.int64).reshape(-1, 3)
        self.decks = [f["deck"] for f in falls["facets"]]

    @functools.cached_property
    def doubled(self):
        """Twice the area of each facet, square thousandths of a mm, exact."""
        a, b, c = (self.um[self.facets[:, k], :2] for k in range(3))
        return (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])

    @functools.cached_property
    def areas(self):
        """Area of each facet, mm2."""
        return self.doubled / 2e6

    @functools.cached_property
    def slopes(self):
        """How much the level grows for each mm along x and y, for each facet: by Cramer's rule in its corners."""
        p, z = self.um[self.facets, :2].astype(float), self.z[self.facets].astype(float)
        rows = np.stack([p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]], axis=1)
        rise = np.stack([z[:, 1] - z[:, 0], z[:, 2] - z[:, 0]], axis=1)
        return np.linalg.solve(rows, rise[..., None])[..., 0]

    @functools.cached_property
    def falls_of(self):
        """Fall of each facet as a number: 1:80 is 0.0125."""
        return np.hypot(self.slopes[:, 0], self.slopes[:, 1])

    @functools.cached_property
    def doubt(self):
        """By how much the fall of each facet may depart because its corners are rounded in the file."""
        p = self.at[self.facets]
        sides = np.linalg.norm(p - np.roll(p, -1, axis=1), axis=2)
        heights = 2 * self.areas / sides.max(axis=1)
        return 2 * ROUNDING * (1 + self.falls_of) / heights

    @functools.cached_property
    def is_whole(self):
        """Whether every coordinate and level is a whole mm, so that nothing was rounded on the way into the file."""
        return not (self.um % 1000).any()

    @functools.cached_property
    def sides(self):
        """Facets by directed edge: (a, b) belongs to the facet that has it anticlockwise."""
        found = {}
        for f, corners in enumerate(self.facets.tolist()):
            for k in range(3):
                found.setdefault((corners[k], corners[(k + 1) % 3]), []).append(f)
        return found

    @functools.cached_property
    def around(self):
        """Facets at each point."""
        found = [[] for _ in self.um]
        for f, corners in enumerate(self.facets.tolist()):
            for point in corners:
                found[point].append(f)
        return found

    @functools.cached_property
    def beside(self):
        """Points joined to each point by an edge, or by the riser of a step."""
        found = [set() for _ in self.um]
        risers = [pair for edge, over in self.steps.items() for pair in zip(edge, reversed(over)) if pair[0] != pair[1]]
        for a, b in list(self.sides) + risers:
            found[a].add(b)
            found[b].add(a)
        return found

    @functools.cached_property
    def steps(self):
        """Edges with another deck surface right above or below them: edge -> the edge there, the other way round."""
        ends = {edge: tuple(tuple(self.um[p, :2].tolist()) for p in edge) for edge in self.sides if edge[::-1] not in self.sides}
        by_place = {}
        for edge, (a, b) in ends.items():
            by_place.setdefault((self.decks[self.sides[edge][0]], a, b), []).append(edge)
        found = {}
        for edge, (a, b) in ends.items():
            there = by_place.get((self.decks[self.sides[edge][0]], b, a), [])
            if there:
                found[edge] = there[0]
        return found

    @functools.cached_property
    def step_lines(self):
        """The edges of steps, as lines."""
        return [LineString(self.at[list(edge)]) for edge in self.steps]

    def is_lower(self, edge):
        """Whether a step goes down from an edge."""
        over = self.steps[edge]
        return int(self.z[list(edge)].sum()) > int(self.z[list(over)].sum())

    @functools.cached_property
    def border(self):
        """Edges with no facet beyond: edge -> ("wall", height of its upstand) or ("edge", id of the thing whose free
        edge it is), or None when it lies on no edge of the plan. Steps are apart."""
        edges = [e for e in self.sides if (e[1], e[0]) not in self.sides and e not in self.steps]
        return {edge: self.kind_of(edge) for edge in edges}

    @functools.cached_property
    def rim(self):
        """All edges with no facet beyond, as lines."""
        return shapely.union_all([LineString(self.at[list(edge)]) for edge in self.border])

    def kind_of(self, edge):
        """What stands along a border."""
        deck = self.decks[self.sides[edge][0]]
        lines, kinds = self.drawn_edges(deck)
        a, b = self.at[list(edge)]
        places = [Point(a + (b - a) * t) for t in (0.1, 0.5, 0.9)]
        off = [[line.distance(p) for p in places] for line in lines]
        nearest = min(range(len(lines)), key=lambda i: max(off[i]))
        return kinds[nearest] if max(off[nearest]) <= BAND else None

    @functools.lru_cache(maxsize=None)
    def drawn_edges(self, deck):
        """Edges of the plan that can bound a deck: its own and those of all openings."""
        lines, kinds = [], []
        things = [d for d in self.plan["decks"] if d["id"] == deck] + self.plan["openings"]
        for thing in things:
            ring = thing["ring"]
            for corner, following in zip(ring, ring[1:] + ring[:1]):
                edge = corner.get("edge", {})
                lines.append(LineString([corner["at"], following["at"]]))
                kinds.append(("edge", thing["id"]) if "free" in edge else ("wall", edge.get("upstand", {}).get("height", 0)))
        return lines, kinds

    @functools.cached_property
    def polygons(self):
        """The facets as shapes."""
        return shapely.polygons(self.at[self.facets])

    @functools.cached_property
    def tree(self):
        return shapely.STRtree(self.polygons)

    def facets_at(self, place):
        """The facets that hold a place."""
        return sorted(self.tree.query(Point(place), predicate="intersects").tolist())

    def level_at(self, facet, place):
        """Level of a facet's plane, thousandths of a mm."""
        a = self.facets[facet][0]
        return self.z[a] + 1000 * float(self.slopes[facet] @ (np.asarray(place, float) - self.at[a]))

    def level(self, place):
        """Level of the surface, thousandths of a mm; None beside it."""
        held = self.facets_at(place)
        return self.level_at(held[0], place) if held else None

    def point_near(self, place, within=NEAR):
        """The point of the surface nearest to a place, if near enough."""
        if not len(self.um):
            return None
        far = np.hypot(*(self.at - np.asarray(place, float)).T)
        best = int(far.argmin())
        return best if far[best] <= within else None

    @functools.cached_property
    def exits(self):
        """Every way out of the surface: open outlets, and both ends of each free edge."""
        found = []
        for outlet in self.plan["outlets"]:
            intake = outlet.get("intake") or {}
            point = self.point_near(outlet["at"])
            if point is None or intake.get("blocked"):
                continue
            level = self.z[point] if intake.get("level") is None else 1000 * intake["level"]
            sill = 1000 * intake.get("sill", 0)
            overflow = outlet.get("kind") == "overflow" or (outlet.get("kind") == "chute" and sill > 0)
            found.append(Exit(int(max(level + sill, self.z[point])), point, ("outlet", outlet["id"]), overflow))
        for edge, kind in self.border.items():
            if kind and kind[0] == "edge":
                found += [Exit(int(self.z[p]), p, kind) for p in edge]
        return found


def upstand_tops(surface):
    """Where water that rises at the foot of an upstand runs over it: both ends of each edge, at the level there plus the height
    of the upstand."""
    walls = [(edge, kind[1]) for edge, kind in surface.border.items() if kind and kind[0] == "wall"]
    return [Exit(int(surface.z[p]) + 1000 * max(0, height), p, UPSTAND) for edge, height in walls for p in edge]


def deck_area(surface, decks):
    """Area of some decks as the plan draws them, mm2."""
    return sum(area.area for d, area in zip(surface.plan["decks"], geometry.drawn(surface.plan).decks) if d["id"] in decks)


def judge(surface, layout):
    """Whether the facets cover the decks once, keep to their edges, and pass through what the plan gives."""
    broken = shape(surface)
    if broken:
        return broken
    return cover(surface, layout) + borders(surface) + steps(surface) + spots(surface) + lines(surface) + planes(surface)


def shape(surface):
    """Facets have an area, run anticlockwise, and meet at whole edges."""
    broken = []
    if len(surface.facets) and (surface.facets.min() < 0 or surface.facets.max() >= len(surface.um)):
        return [Broken("surface", "a facet names a point that is not there")]
    for f in np.flatnonzero(surface.doubled <= 0):
        broken.append(Broken("surface", f"facet {f} has no area or runs clockwise", float(surface.doubled[f]), place(surface, f)))
    for edge, facets in surface.sides.items():
        if len(facets) > 1:
            broken.append(Broken("surface", f"facets {facets} lie on the same side of an edge", 0.0, place(surface, facets[0])))
    return broken


def place(surface, facet):
    """The middle of a facet, whole mm."""
    x, y = surface.at[surface.facets[facet]].mean(axis=0)
    return (round(x), round(y))


def cover(surface, layout):
    """The facets cover each deck, all of it, once and nothing else."""
    broken = []
    decks = {d["id"]: area for d, area in zip(surface.plan["decks"], geometry.drawn(surface.plan).decks)}
    for deck in sorted(set(surface.decks)):
        if deck not in decks:
            broken.append(Broken("surface", f"there is no deck {deck}"))
            continue
        mine = [f for f, d in enumerate(surface.decks) if d == deck]
        whole = shapely.union_all(surface.polygons[mine])
        total = float(surface.areas[mine].sum())
        stated, room = decks[deck].area, 1.0 + ROUNDING * decks[deck].length + snapped(decks[deck])
        if abs(total - stated) > room:
            broken.append(Broken("surface", f"facets of deck {deck} are {total:.1f} mm2, the deck {stated:.1f}", abs(total - stated)))
        if abs(whole.area - total) > room:
            broken.append(Broken("surface", f"facets of deck {deck} overlap", abs(whole.area - total)))
        for rest, what in ((decks[deck].difference(whole), "bare"), (whole.difference(decks[deck]), "beyond the deck")):
            area, far, where = geometry.beyond(rest, decks[deck].boundary, BAND)
            if area:
                broken.append(Broken("surface", f"surface of deck {deck}: {area:.0f} mm2 {what}", far, where))
    return broken


def snapped(deck):
    """What the area of a deck may change by because its corners are snapped: nothing when all are on whole mm."""
    off = any(v % 1 for ring in geometry.rings_left(deck) for a, _ in ring for v in a)
    return BAND * deck.length if off else 0.0


def borders(surface):
    """Where the surface ends, an edge of the plan stands."""
    return [
        Broken("surface", "the surface ends where no edge is drawn", 0.0, tuple(np.round(surface.at[edge[0]]).astype(int).tolist()))
        for edge, kind in surface.border.items()
        if kind is None
    ]


def steps(surface):
    """A step stands on a change of level, one side of it is the higher all along, and no facet spans a change of level that has
    a step."""
    broken, s = [], surface
    drawn = [LineString(line["points"]) for line in s.plan.get("zone_lines", []) if line.get("kind") == "level_change"]
    for edge, over in s.steps.items():
        at = s.at[list(edge)]
        middle, where = Point(at.mean(axis=0)), tuple(np.round(at.mean(axis=0)).astype(int).tolist())
        if not any(line.distance(middle) <= STEP_NEAR for line in drawn):
            broken.append(Broken("surface", "a step stands where no change of level is drawn", 0.0, where))
        rises = [int(s.z[p] - s.z[q]) for p, q in zip(edge, reversed(over))]
        if min(rises) < -1 and max(rises) > 1:
            broken.append(Broken("surface", "a step goes up at one end and down at the other", 0.0, where))
    stepped = [line for line in drawn if any(line.distance(Point(s.at[list(e)].mean(axis=0))) <= STEP_NEAR for e in s.steps)]
    for f, shape in enumerate(s.polygons):
        inner = shape.buffer(-STEP_NEAR)
        if any(inner.intersects(line) for line in stepped):
            broken.append(Broken("surface", f"facet {f} spans a change of level", 0.0, place(s, f)))
    return broken


def on_decks(surface, at):
    """Whether a place lies on a deck that has a surface."""
    return bool(surface.facets_at(at))


def spots(surface):
    """Every spot level on a deck is a point of the surface; where two lie at one place, one of them is."""
    given, broken = surface.plan.get("levels", {}).get("spots", []), []
    used = 0
    for spot in given:
        if not on_decks(surface, spot["at"]):
            continue
        rivals = [s["level"] for s in given if math.dist(s["at"], spot["at"]) <= NEAR]
        near = np.flatnonzero(np.hypot(*(surface.at - np.asarray(spot["at"], float)).T) <= NEAR)
        used += 1
        if not any(abs(surface.z[p] - 1000 * level) <= 1 for p in near for level in rivals):
            broken.append(Broken("surface", f"spot {spot['id']} of level {spot['level']} is no point of the surface", 0.0, tuple(spot["at"])))
    stated = surface.falls["input"]["spots"]
    if stated > len(given):
        broken.append(Broken("surface", f"{stated} spots are said to be used, the plan has {len(given)}"))
    return broken


def lines(surface):
    """A ridge or low line with a level at every point lies in the surface, straight between its levels, on edges of facets."""
    levels, broken = surface.plan.get("levels", {}), []
    given = [line for line in levels.get("lines", []) if all(p.get("level") is not None for p in line["points"])]
    spots = [s["at"] for s in levels.get("spots", [])]
    edges = shapely.union_all([LineString(surface.at[list(e)]) for e in surface.sides]) if given else None
    for line in given:
        for p, q in zip(line["points"], line["points"][1:]):
            a, b = np.array(p["at"], float), np.array(q["at"], float)
            way = LineString([a, b])
            # Another line across it, or a spot on it, may bend it.
            others = [LineString([r["at"] for r in o["points"]]) for o in levels["lines"] if o["id"] != line["id"]]
            if any(way.distance(o) < NEAR for o in others) or any(NEAR < min(math.dist(s, a), math.dist(s, b)) and way.distance(Point(s)) < NEAR for s in spots):
                continue
            held = way.intersection(shapely.union_all(surface.polygons))
            off = held.difference(edges.buffer(BAND)).length
            if off > BAND:
                broken.append(Broken("surface", f"line {line['id']} is no edge of facets for {off:.0f} mm", off, tuple(p["at"])))
            for t in np.linspace(0.013, 0.987, 11):
                at = a + (b - a) * t
                got, wanted = surface.level(at), 1000 * (p["level"] + (q["level"] - p["level"]) * t)
                steepest = float(surface.falls_of.max())
                if got is not None and abs(got - wanted) > 2 + 1000 * steepest * 2 * ROUNDING + (0 if surface.is_whole else 20):
                    broken.append(Broken("surface", f"line {line['id']} lies {abs(got - wanted) / 1000:.3f} mm off its level", abs(got - wanted) / 1000, tuple(np.round(at).astype(int).tolist())))
                    break
    return broken


def planes(surface):
    """Where a plan gives one plane and nothing else for a deck, every point of that deck lies on it."""
    levels, broken = surface.plan.get("levels", {}), []
    given = levels.get("planes", [])
    if levels.get("spots") or levels.get("lines") or len(given) != 1 or given[0].get("area"):
        return []
    plane = given[0]
    turn = math.radians(plane["direction_mdeg"] / 1000)
    fall = 1 / plane["one_in"] if plane["one_in"] else 0.0
    down = np.array([math.cos(turn), math.sin(turn)]) * fall
    for p in sorted({int(i) for i in surface.facets.flatten()}):
        wanted = plane["level"] - float(down @ (surface.at[p] - np.array(plane["at"], float)))
        if abs(surface.z[p] / 1000 - wanted) > 0.002:
            broken.append(Broken("surface", f"a point lies off plane {plane['id']}", abs(surface.z[p] / 1000 - wanted), tuple(np.round(surface.at[p]).astype(int).tolist())))
    return broken
