"""Bay edges and laps against the water, recomputed from the surface and from what is laid.

In: a plan, its layout, the `Surface` and its water. Out: what is wrong with the seams of the layout, and counts. Must hold:
which pairs of bays and pieces meet, where their seam runs, which side is higher and what that does to the water are all found
here again from polygons and facets. A place within a hair of a limit (the edge of a pond, of a clear zone, of a facet, an angle
of a rule) may have either verdict.

The rules: worst first, a place is within the clear zone of an outlet; in a pond; along a low line or a ridge; level; or on a
slope. Along means within 150 mm and 30 degrees; what runs within 15 degrees of the fall runs with it (common practice, no
source). On a slope the higher side should lie on top.
"""

from __future__ import annotations

import functools
import math
import re
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import LineString, Point

import falls_classes
import geometry
from falls_surface import BAND, Broken
from falls_water import NEVER

BESIDE, ALONG, WITH_FALL = 150.0, 30.0, 15.0
#: A seam shorter than this need not be listed, mm.
SHORT = 30.0
#: Lengths of drawn parts are snapped to whole mm at both ends.
SNAP = 2.0
#: Areas that share a line are no further apart, mm: half the diagonal of a square mm, and some.
HAIR = 0.8
#: The same for bays of two zones: each zone's corners on a line between them are snapped by themselves.
HAIR_OF_ZONES = 1.5
ANY = frozenset({"with_fall", "sheds", "level", "raised", "faces_water", "low_line", "in_pond", "at_outlet"})
VERDICTS = ["with_fall", "sheds", "level", "raised", "faces_water", "low_line", "in_pond", "at_outlet"]


class Seams:
    """The seams that a layout must have."""

    def __init__(self, layout):
        self.layout = layout
        self.pieces = {p["number"]: p for p in layout["pieces"]}
        self.zones = {z["number"]: z for z in layout["zones"]}
        self.laid = {p["number"]: geometry.areas_of(p["as_laid"]) for p in layout["pieces"]}
        self.bays = {b["number"]: geometry.areas_of(b["area"]) for b in layout["bays"]}

    def wanted(self):
        """(kind, pair) -> the line of the seam, for bays that share an edge and pieces that overlap."""
        return self.bay_edges() | self.laps()

    def bay_edges(self):
        """The edges that two bays share."""
        found, zone = {}, {b["number"]: b.get("zone") for b in self.layout["bays"]}
        for a, b in touching(self.bays):
            hair = HAIR if zone[a] == zone[b] else HAIR_OF_ZONES
            edge = self.bays[a].boundary.intersection(self.bays[b].boundary.buffer(hair, cap_style="flat"))
            if self.bays[a].boundary.intersection(self.bays[b]).length > 0 or edge.length > SHORT:
                found["bay_edge", (a, b)] = straight(edge)
        return found

    def laps(self):
        """The line of each lap: where the edge of the upper piece lies over the lower one."""
        found = {}
        for a, b in touching(self.laid):
            one, two = self.pieces[a], self.pieces[b]
            if self.laid[a].intersection(self.laid[b]).buffer(-BAND).is_empty:
                continue
            low, top = min(a, b), max(a, b)
            if one["zone"] != two["zone"]:
                found["end_lap", (low, top)] = straight(self.laid[top].boundary.intersection(self.laid[low].buffer(-0.05)))
            elif one["course"] == two["course"]:
                found["end_lap", (low, top)] = self.lap_line(low, top, False)
            elif abs(one["course"] - two["course"]) == 1:
                found["side_lap", (low, top)] = self.lap_line(low, top, True)
        return found

    def sure(self, kind, pair, line):
        """The part of a seam's line that must be listed: of a lap, where the pieces overlap, and the lower one goes on beyond the
        line, by more than their snapping."""
        if kind == "bay_edge":
            return line
        low, overlap = self.laid[pair[0]], self.laid[pair[0]].intersection(self.laid[pair[1]])
        return straight(line.intersection(low.buffer(-BAND)).intersection(overlap.buffer(-BAND).buffer(BAND + 1)))

    def lap_line(self, low, top, is_side):
        """The line of a lap within one zone, on the plan."""
        under, over = self.pieces[low], self.pieces[top]
        frame = self.zones[over["zone"]]["frame"]
        if is_side:
            v = over["across"][0 if over["course"] > under["course"] else 1]
            ends = [(min(over["from"], under["from"]) - 5, v), (max(over["to"], under["to"]) + 5, v)]
        else:
            u = over["from"] if over["from"] > under["from"] else over["to"]
            ends = [(u, min(over["across"][0], under["across"][0]) - 5), (u, max(over["across"][1], under["across"][1]) + 5)]
        line = LineString(geometry.to_plan(frame, ends))
        return straight(line.intersection(self.laid[low].buffer(BAND)).intersection(self.laid[top].buffer(BAND)))


def touching(shapes):
    """Pairs of shapes that touch or overlap, by number."""
    names = sorted(shapes)
    if not names:
        return
    tree = shapely.STRtree([shapes[n] for n in names])
    # Corners are snapped to whole mm: what shares a line on the skew may be a hair apart.
    for i, j in zip(*tree.query([shapes[n] for n in names], predicate="dwithin", distance=HAIR)):
        if i < j:
            yield names[i], names[j]


def straight(shape):
    """Only the lines of a shape."""
    if shape.geom_type in ("LineString", "MultiLineString"):
        return shape
    lines = [g for g in getattr(shape, "geoms", []) if g.geom_type in ("LineString", "MultiLineString")]
    return shapely.union_all(lines) if lines else LineString()


class Ground:
    """What the water does at a place, with what is within a hair of it."""

    def __init__(self, plan, surface, water):
        self.plan, self.surface, self.water = plan, surface, water
        self.flat = falls_classes.limits(plan)[0]
        self.least = 1000 * (plan.get("drainage") or {}).get("least_pond", 2)
        self.low, self.ridge = self.lines(1), self.lines(-1)
        self.outlets = [(np.array(o["at"], float), o["clear_zone"]) for o in plan["outlets"]]

    def lines(self, sign):
        """Edges where the facets on both sides fall towards it (sign 1) or away from it (-1): surely, and perhaps."""
        s, sure, perhaps = self.surface, [], []
        for (a, b), facets in s.sides.items():
            beyond = s.sides.get((b, a))
            if beyond is None or a > b:
                continue
            d = s.at[b] - s.at[a]
            out = np.array([d[1], -d[0]]) / np.hypot(*d)
            f, g = facets[0], beyond[0]
            least = min(sign * float(-s.slopes[f] @ out), sign * float(s.slopes[g] @ out))
            doubt = float(max(s.doubt[f], s.doubt[g])) + 1e-6
            if least > self.flat + doubt:
                sure.append((a, b))
            elif least > -doubt:
                perhaps.append((a, b))
        return sure, perhaps

    @functools.cached_property
    def trees(self):
        """Search trees over low lines and ridges, sure and perhaps."""
        made = {}
        for name, (sure, perhaps) in (("low_line", self.low), ("raised", self.ridge)):
            for how, edges in (("sure", sure), ("perhaps", perhaps)):
                lines = [LineString(self.surface.at[list(e)]) for e in edges]
                made[name, how] = (lines, shapely.STRtree(lines))
        return made

    def runs_along(self, place, along, name, how, beside, angle):
        """Whether a line through a place runs along a low line or ridge; surely only beside it, not round its ends."""
        lines, tree = self.trees[name, how]
        for i in tree.query(Point(place).buffer(beside)):
            if lines[i].distance(Point(place)) > beside:
                continue
            (ax, ay), (bx, by) = lines[i].coords
            d = np.array([bx - ax, by - ay])
            on = float((np.asarray(place) - (ax, ay)) @ d) / float(d @ d)
            if beside < BESIDE and min(on, 1 - on) * np.hypot(*d) < SNAP:
                continue
            if abs(float(d @ along)) >= math.cos(math.radians(angle)) * np.hypot(*d):
                return True
        return False

    def depth(self, place, facet):
        """(level, depth of its pool, how deep a place lies under it, all thousandths of a mm) or None."""
        s = self.surface
        pools = {self.water.pool_of[p] for p in s.facets[facet].tolist() if p in self.water.pool_of}
        if not pools:
            return None
        pool = self.water.pools[pools.pop()]
        return pool.level, pool.depth, pool.level - s.level_at(facet, place)

    def verdicts(self, place, along, towards_top, depth_doubt=True):
        """The verdicts that a part of a seam may have at a place."""
        s, found = self.surface, set()
        place = np.asarray(place, float)
        near = [(float(np.hypot(*(place - at))), zone) for at, zone in self.outlets]
        if any(d < zone - SNAP - 0.01 * zone for d, zone in near):
            return {"at_outlet"}
        if any(d < zone + SNAP + 0.01 * zone for d, zone in near):
            found.add("at_outlet")
        facets = s.tree.query(Point(place), predicate="dwithin", distance=SNAP).tolist()
        # Where bays run along the edge of the deck they may leave the surface by their snapping.
        if not facets or s.rim.distance(Point(place)) <= BAND:
            found.add(None)
        for f in facets:
            found |= self.on_facet(place, along, towards_top, f)
        return found

    def on_facet(self, place, along, towards_top, f):
        """As `verdicts`, for one facet; outlets apart."""
        s, found = self.surface, set()
        if any(self.water.level[p] == NEVER for p in s.facets[f]):
            return set(ANY)
        stands = self.depth(place, f)
        hair = 1000 * SNAP * float(s.falls_of[f]) + 2
        if stands is not None:
            _, deepest, here = stands
            doubt = 0 if s.is_whole else 1
            if here > hair and deepest >= self.least + doubt:
                return {"in_pond"}
            if here > -hair and deepest >= self.least - doubt:
                found.add("in_pond")
        for name in ("low_line", "raised"):
            if self.runs_along(place, along, name, "sure", BESIDE - SNAP, ALONG - 1):
                return found | {name} | ({"low_line"} if self.runs_along(place, along, "low_line", "perhaps", BESIDE + SNAP, ALONG + 1) else set())
            if any(self.runs_along(place, along, name, how, BESIDE + SNAP, ALONG + 1) for how in ("sure", "perhaps")):
                found.add(name)
        fall, doubt = float(s.falls_of[f]), float(s.doubt[f]) + 1e-9
        if fall < self.flat + doubt:
            found.add("level")
        if fall >= self.flat - doubt:
            found |= self.on_slope(s.slopes[f], towards_top, doubt)
        return found

    def on_slope(self, slope, towards_top, doubt):
        """Whether the higher side lies on top."""
        fall = float(np.hypot(*slope))
        across = float(slope @ towards_top)
        sine = across / fall
        hair = 0.02 + 2 * doubt / fall
        found = set()
        if abs(sine) < math.sin(math.radians(WITH_FALL)) + hair:
            found.add("with_fall")
        if abs(sine) > math.sin(math.radians(WITH_FALL)) - hair:
            found.add("sheds" if across > 0 else "faces_water")
        return found


def judge(plan, layout, surface, water):
    """Every seam of a layout: (what is wrong, counts)."""
    seams, ground = Seams(layout), Ground(plan, surface, water)
    broken, counts = listed(seams), {"seams": len(layout["seams"]), "parts": 0}
    for seam in layout["seams"]:
        found, parts = verdicts(seams, ground, seam)
        broken += found
        counts["parts"] += parts
    broken += sums(layout) + low_lines(ground, layout) + findings(layout)
    # A way off can bind the order; without one nothing does.
    broken += [] if plan.get("ways") else order(seams, layout)
    return broken, counts


def key(seam):
    return seam["kind"], tuple(sorted(seam["between"]))


def listed(seams):
    """Every seam there is is in the list, once, all along, and no other."""
    broken, wanted = [], seams.wanted()
    stated = {}
    for seam in seams.layout["seams"]:
        if key(seam) in stated:
            broken.append(Broken("seams", f"{name_of(seam)} is listed twice"))
        stated[key(seam)] = seam
        if seam["top"] != max(seam["between"]):
            broken.append(Broken("seams", f"{name_of(seam)}: {seam['top']} is said to lie on top, {max(seam['between'])} is laid later"))
    for what, line in wanted.items():
        seam = stated.pop(what, None)
        if seam is None:
            sure = seams.sure(*what, line)
            if sure.length > SHORT:
                broken.append(Broken("seams", f"{what[0]} between {what[1][0]} and {what[1][1]} is not listed: {sure.length:.0f} mm", sure.length, middle(sure)))
            continue
        broken += runs(seam, line, seams.sure(*what, line))
    for seam in stated.values():
        part = seam["parts"][0]
        broken.append(Broken("seams", f"{name_of(seam)} is listed, and they do not meet", 0.0, tuple(part["a"])))
    return broken


def name_of(seam):
    return f"{seam['kind']} between {seam['between'][0]} and {seam['between'][1]}"


def middle(line):
    at = line.interpolate(0.5, normalized=True)
    return (round(at.x), round(at.y))


def runs(seam, line, sure):
    """The parts of a seam run along its line, at least along all that is sure."""
    parts = [LineString([p["a"], p["b"]]) for p in seam["parts"] if p["a"] != p["b"]]
    got = shapely.union_all(parts) if parts else LineString()
    bare, off = sure.difference(got.buffer(SNAP + 1)), got.difference(line.buffer(SNAP + 1))
    broken = []
    if longest(bare) > SHORT:
        broken.append(Broken("seams", f"{name_of(seam)} has no part along {bare.length:.0f} mm", bare.length, middle(bare)))
    if longest(off) > SHORT:
        broken.append(Broken("seams", f"{name_of(seam)} has a part off its line for {off.length:.0f} mm", off.length, middle(off)))
    twice = sum(p.length for p in parts) - got.length
    if twice > SHORT:
        broken.append(Broken("seams", f"{name_of(seam)} has parts that lie over each other for {twice:.0f} mm", twice))
    return broken


def longest(shape):
    return max((g.length for g in getattr(shape, "geoms", [shape])), default=0.0)


def verdicts(seams, ground, seam):
    """Each part of a seam against the ground: (what is wrong, parts looked at)."""
    broken, looked = [], 0
    shapes = seams.bays if seam["kind"] == "bay_edge" else seams.laid
    if seam["top"] not in shapes:
        return [Broken("seams", f"{name_of(seam)}: there is no {seam['top']}")], 0
    for part in seam["parts"]:
        a, b = np.array(part["a"], float), np.array(part["b"], float)
        length = float(np.hypot(*(b - a)))
        if length < SHORT:
            continue
        looked += 1
        along = (b - a) / length
        towards = upper_side(shapes, seam, a, b)
        shares = (0.5,) if length < 60 else (0.15, 0.5, 0.85)
        for share in shares:
            place = a + share * (b - a)
            allowed = set()
            for side in towards:
                allowed |= ground.verdicts(place, along, side)
            if part["verdict"] not in allowed:
                at = tuple(np.round(place).astype(int).tolist())
                what = f"{name_of(seam)}, {seam['top']} on top, is said to be {part['verdict']}, it is {' or '.join(map(str, sorted(map(str, allowed))))}"
                broken.append(Broken("verdicts", what, length, at))
                break
    return broken, looked


def upper_side(shapes, seam, a, b):
    """Unit vectors across a part towards what lies on top: one, or both where neither side tells."""
    along = (b - a) / np.hypot(*(b - a))
    left = np.array([-along[1], along[0]])
    top, other = shapes[seam["top"]], shapes[min(seam["between"])]
    score = 0
    for share in (0.1, 0.3, 0.5, 0.7, 0.9):
        at = a + share * (b - a)
        held = [top.distance(Point(at + side * 4 * left)) <= 1.0 for side in (1, -1)]
        score += int(held[0]) - int(held[1])
    if score == 0:
        return [left, -left]
    return [left if score > 0 else -left]


def sums(layout):
    """Lengths by verdict add up."""
    broken, names = [], {"bay_edge": "bay_edges", "side_lap": "side_laps", "end_lap": "end_laps"}
    stated = {entry["verdict"]: entry for entry in layout["falls"]["lengths"]}
    for verdict in VERDICTS:
        for kind, name in names.items():
            lengths = [math.dist(p["a"], p["b"]) for s in layout["seams"] if s["kind"] == kind for p in s["parts"] if p["verdict"] == verdict]
            got = stated.get(verdict, {}).get(name, 0)
            if abs(got - sum(lengths)) > 1 + 0.51 * len(lengths):
                broken.append(Broken("seams", f"{name} {verdict}: {got} mm are said, the parts add up to {sum(lengths):.0f}", abs(got - sum(lengths))))
    return broken


def low_lines(ground, layout):
    """The low lines and ridges of the layout are the edges where falls meet and part."""
    broken, s = [], ground.surface
    for name, (sure, perhaps), sign in (("low_lines", ground.low, 1), ("ridges", ground.ridge, -1)):
        lines = [LineString(line) for line in layout["falls"][name] if line[0] != line[1]]
        stated = shapely.union_all(lines) if lines else LineString()
        must = shapely.union_all([LineString(s.at[list(e)]) for e in sure]) if sure else LineString()
        may = shapely.union_all([LineString(s.at[list(e)]) for e in sure + perhaps]) if sure + perhaps else LineString()
        for rest, what in ((must.difference(stated.buffer(BAND)), "lack one"), (stated.difference(may.buffer(BAND)), "name one that is none")):
            if longest(rest) > SHORT:
                broken.append(Broken("seams", f"{name} {what} of {rest.length:.0f} mm", rest.length, middle(rest)))
    return broken


def findings(layout):
    """Each zone with laps that face the water has one finding, no other zone has any; it names their number, their length and the
    bay with most of it, and its place is on one of that bay's. A lap is of the zone and the bay of the piece on top."""
    pieces = {p["number"]: p for p in layout["pieces"]}
    facing = {}
    for seam in layout["seams"]:
        parts = [LineString([p["a"], p["b"]]) for p in seam["parts"] if p["verdict"] == "faces_water" and p["a"] != p["b"]]
        if seam["kind"] != "bay_edge" and parts and seam["top"] in pieces:
            top = pieces[seam["top"]]
            facing.setdefault(top["zone"], []).append((top["bay"], shapely.union_all(parts)))
    told = {}
    for finding in layout["findings"]:
        if finding["code"] == "laps-face-water":
            about = finding["about"]
            told.setdefault(about.get("zone") if isinstance(about, dict) else None, []).append(finding)
    broken = [Broken("seams", f"laps of zone {zone} are said to face the water, and none does") for zone in told if zone not in facing]
    for zone, laps in facing.items():
        broken += [Broken("seams", f"zone {zone}: {what}", sum(lap.length for _, lap in laps), middle(laps[0][1])) for what in facing_told(laps, told.get(zone, []))]
    return broken


def facing_told(laps, told):
    """What is wrong with the findings about laps of one zone that face the water, each lap a bay and its lines."""
    if len(told) != 1:
        yield f"{len(laps)} laps face the water and {len(told)} findings say so"
        return
    said = re.search(r"(\d+) laps? faces? the water for ([\d.]+) (m|mm): most of it in bay (\d+), ([\d.]+) (m|mm)\b", told[0]["text"])
    if not said:
        yield f"a finding does not say how many laps face the water, for how long and where: {told[0]['text']}"
        return
    by_bay = {}
    for bay, lap in laps:
        by_bay[bay] = by_bay.get(bay, 0.0) + lap.length
    count, bay = int(said[1]), int(said[4])
    # Metres are told to a tenth, mm whole.
    of_all, of_bay = (float(length) * {"m": 1000, "mm": 1}[unit] for length, unit in (said.group(2, 3), said.group(5, 6)))
    if count != len(laps) or abs(of_all - sum(by_bay.values())) > 51:
        yield f"{count} laps are said to face the water for {of_all:.0f} mm, {len(laps)} do for {sum(by_bay.values()):.0f} mm"
    if by_bay.get(bay, 0.0) < max(by_bay.values()) - 1 or abs(of_bay - by_bay[bay]) > 51:
        yield f"bay {bay} is said to be the worst with {of_bay:.0f} mm, of {by_bay}"
    own = shapely.union_all([lap for of, lap in laps if of == bay])
    if told[0]["at"] is None or own.distance(Point(told[0]["at"])) > SNAP:
        yield f"the finding's place {told[0]['at']} is on no lap of bay {bay} that faces the water"


def order(seams, layout):
    """No zone would be better laid the other way round: of its side laps and bay edges not clearly more face the water than shed it."""
    broken, length = [], {}
    for seam in layout["seams"]:
        things = seams.pieces if seam["kind"] != "bay_edge" else {b["number"]: b for b in layout["bays"]}
        zones = {things[n]["zone"] for n in seam["between"] if n in things}
        if seam["kind"] == "end_lap" or len(zones) != 1:
            continue
        zone = zones.pop()
        for part in seam["parts"]:
            if part["verdict"] in ("sheds", "faces_water"):
                length.setdefault(zone, {"sheds": 0.0, "faces_water": 0.0})[part["verdict"]] += math.dist(part["a"], part["b"])
    for zone, sums_of in length.items():
        if sums_of["faces_water"] > 1.2 * sums_of["sheds"] + 1000:
            broken.append(Broken("order", f"zone {zone}: {sums_of['faces_water']:.0f} mm of side laps and bay edges face the water, {sums_of['sheds']:.0f} shed it", sums_of["faces_water"]))
    return broken
