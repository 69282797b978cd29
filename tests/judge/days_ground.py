"""What the order of the bays rests on, found again from polygons: which bays touch, where people leave, what their edges do.

In: a plan and its layout. Out: common edges of bays, neighbours, exits, bad parts of edges, what faces the water. Must hold: it is
all found from the areas of the bays and from the plan with shapely; verdicts on the water are those of the layout's seams, which
`falls_seams` judges. Where snapping decides, both answers are kept: `sure` and `perhaps`.
"""

from __future__ import annotations

import functools
import math

import shapely
from shapely.geometry import LineString, Point

import days_order
from falls_seams import Seams

#: Bays of two zones touch when they run side by side for a person's width, mm (common practice, no source).
PERSON = 500
#: People leave by bays this near to a way off, mm (common practice, no source).
STEP = 1000
#: Lengths may depart by their snapping, mm: at each end of each straight part.
SNAP = 4.0
BAD = {"in_pond", "at_outlet", "low_line"}


class Ground:
    """The bays of a layout and what lies between them; bays by number."""

    def __init__(self, plan, layout):
        self.plan, self.layout = plan, layout
        self.seams = Seams(layout)
        self.shapes = self.seams.bays
        self.bays = {bay["number"]: bay for bay in layout["bays"]}

    @functools.cached_property
    def edges(self):
        """(lower, higher number) -> the line that two bays share, whatever runs along it."""
        return {pair: line for (_, pair), line in self.seams.bay_edges().items()}

    @functools.cached_property
    def barriers(self):
        """Movement joints and changes of level: what is laid on their two sides is not joined."""
        lines = [LineString(joint["points"]) for joint in self.plan["joints"]]
        lines += [LineString(line["points"]) for line in self.plan["zone_lines"] if line.get("kind") == "level_change"]
        return shapely.union_all(lines) if lines else LineString()

    @functools.cached_property
    def joined(self):
        """The part of each common edge over which what is laid is joined: not at a joint, nor at a change of level, nor between
        decks."""
        band = self.barriers.buffer(SNAP)
        return {pair: outside(line, band) if self.same_deck(*pair) else LineString() for pair, line in self.edges.items()}

    def same_deck(self, a, b):
        zones = self.seams.zones
        return zones[self.bays[a]["zone"]]["deck"] == zones[self.bays[b]["zone"]]["deck"]

    @functools.cached_property
    def water(self):
        """(lower, higher number) -> length of the edge by verdict where what is laid is joined, mm."""
        found: dict = {}
        band = self.barriers.buffer(SNAP)
        for seam in self.layout["seams"]:
            if seam["kind"] == "bay_edge" and self.same_deck(*seam["between"]):
                lengths = found.setdefault(tuple(sorted(seam["between"])), {})
                for part in seam["parts"]:
                    # Nothing is lapped across a joint or a change of level.
                    if band.contains(Point((part["a"][0] + part["b"][0]) / 2, (part["a"][1] + part["b"][1]) / 2)):
                        continue
                    lengths[part["verdict"]] = lengths.get(part["verdict"], 0.0) + math.dist(part["a"], part["b"])
        return found

    def bad(self, pair):
        """How much of an edge is a bad place for a day joint, mm."""
        if self.layout.get("falls") is not None:
            return sum(length for verdict, length in self.water.get(pair, {}).items() if verdict in BAD)
        zones = [Point(o["at"]).buffer(o["clear_zone"], quad_segs=64) for o in self.plan["outlets"]]
        joined = self.joined.get(pair, LineString())
        return joined.intersection(shapely.union_all(zones)).length if zones else 0.0

    @functools.cached_property
    def neighbours(self):
        """Bays that the layout says touch, by number."""
        return {n: set(bay["beside"]) for n, bay in self.bays.items()}

    @functools.cached_property
    def groups(self):
        """Bays in groups that hang together."""
        left, found = set(self.bays), []
        while left:
            group, stack = set(), [min(left)]
            while stack:
                n = stack.pop()
                if n not in group:
                    group.add(n)
                    stack += self.neighbours[n]
            found.append(group)
            left -= group
        return found

    def exits(self, hair):
        """The bays that people leave by, to within a hair: the nearest to each way off with all within a step of it; where they
        reach none of a group, all of it."""
        found = set()
        for way in self.plan.get("ways", []):
            far = {n: shape.distance(Point(way["at"])) for n, shape in self.shapes.items()}
            least = max(min(far.values()), STEP)
            found |= {n for n in far if far[n] <= least + hair}
        return found | {n for group in self.groups if not group & found for n in group}


def outside(line, band):
    """A line without the straight parts that run along a band: one that meets it at an angle is kept whole."""
    pairs = [pair for part in getattr(line, "geoms", [line]) for pair in zip(part.coords, part.coords[1:])]
    kept = [LineString(pair) for pair in pairs if not band.contains(LineString(pair).interpolate(0.5, normalized=True))]
    return shapely.MultiLineString(kept) if kept else LineString()


def judge(ground):
    """Whether the bays that are said to touch do."""
    broken = []
    for n, others in ground.neighbours.items():
        for other in others:
            pair = (min(n, other), max(n, other))
            if n not in ground.neighbours.get(other, ()):
                broken.append(days_order.Broken("beside", f"bay {n} names bay {other} beside it, which does not name it", n))
            length = ground.edges[pair].length if pair in ground.edges else 0.0
            if length < least_edge(ground, pair) - SNAP:
                broken.append(days_order.Broken("beside", f"bays {pair[0]} and {pair[1]} are said to touch, they share {length:.0f} mm", n, length))
    for (a, b), line in ground.edges.items():
        if line.length > PERSON + SNAP and b not in ground.neighbours[a]:
            broken.append(days_order.Broken("beside", f"bays {a} and {b} share {line.length:.0f} mm and are not said to touch", a, line.length))
    return broken


def least_edge(ground, pair):
    """What two bays share at the least to touch: within a zone anything."""
    a, b = (ground.bays[n]["zone"] for n in pair)
    return SNAP + 1 if a == b else PERSON
