"""Random decks with random levels, small enough to be laid by the hundred.

In: how many. Out: plans by name. Must hold: the same plans everywhere (own random numbers); every plan is valid. Most give a
level to every corner, outlet and point at whole mm, so that the layout's surface is exact to the last figure and levels,
depths and volumes can be compared without rounding; the rest leave corners to the engine.
"""

from __future__ import annotations

import copy
import math

from shapely.geometry import Point, Polygon

import drawn_plans
from plans import FREE, KERB, PARAPET, Draw
from small_roofs import Lots

KINDS = ["gravity", "gravity", "gravity", "overflow", "chute", "siphonic"]
#: Levels keep this far from edges, openings and one another, mm.
APART = 250


def plans(count, seed=0):
    """Name -> plan."""
    made, drawn = {}, 0
    while len(made) < count:
        drawn += 1
        lots = Lots(1000 * seed + drawn)
        plan = surface(lots)
        if plan is not None:
            made[f"surface {seed}/{drawn}"] = plan
    return made


def again(lots):
    """Name -> plan of surfaces that showed something once, by seed and number."""
    return {f"surface {seed}/{drawn}": surface(Lots(1000 * seed + drawn)) for seed, drawn in lots}


def surface(lots):
    """One plan, or None when its lots fell badly."""
    ring = outline(lots)
    shape = Polygon(ring)
    if not shape.is_valid or shape.area < 2e6:
        return None
    holes = openings(lots, shape)
    whole = lots.between(0, 4) > 0
    draw = Draw("levels by lot", rolls=[{"name": "", "width": 1000, "length": 20_000, "on_hand": None}], bay_area=lots.one_of([None, 800, 2000]))
    draw.deck(*ring, edge=edges(lots, len(ring), 6))
    for hole in holes:
        draw.opening(*hole, edge=[KERB] * 4 if lots.between(0, 3) else edges(lots, 4, 2))
    open_deck = shape.difference(Polygon()) if not holes else shape
    for hole in holes:
        open_deck = open_deck.difference(Polygon(hole))
    places = inside(lots, open_deck, lots.between(3, 14))
    out = places[: lots.between(0, 3)]
    rough = lots.one_of([5, 40, 120])
    lean = (lots.between(-30, 30), lots.between(-30, 30))
    spots = []
    corners = [tuple(p) for p in ring] + [tuple(p) for hole in holes for p in hole]
    known = (corners if whole else corners[:: lots.between(1, 3)]) + places
    for x, y in known:
        level = round(x * lean[0] / 1000 + y * lean[1] / 1000) + lots.between(0, rough)
        draw.plan.setdefault("levels", {"spots": [], "lines": [], "planes": []})
        spots.append({"id": 1000 + len(spots), "at": [x, y], "level": level})
    draw.plan["levels"] = {"spots": spots, "lines": [], "planes": []}
    level_of = {tuple(s["at"]): s["level"] for s in spots}
    for at in out:
        draw.add("outlets", at=list(at), bowl=100, clear_zone=300, kind=lots.one_of(KINDS), intake=intake(lots, level_of[at]))
    draw.plan["drainage"] = drainage(lots)
    return draw.plan


def steps(count):
    """Name -> plan of decks with a change of level across them, each side with levels by lot."""
    made, drawn = {}, 0
    while len(made) < count:
        drawn += 1
        made[f"step {drawn}"] = stepped(Lots(55_000 + drawn))
    return made


def stepped(lots):
    """A rectangle parted by a straight or a bent change of level: spots at all corners and, for both sides, on the line."""
    w, h = lots.between(3000, 7000), lots.between(2500, 6000)
    edges_of = edges(lots, 4, 6)
    draw = Draw("step by lot", rolls=[{"name": "", "width": 1000, "length": 20_000, "on_hand": None}])
    draw.deck((0, 0), (w, 0), (w, h), (0, h), edge=edges_of)
    a, b = lots.between(1000, w - 1000), lots.between(1000, w - 1000)
    line = [(a, 0), (b, h)] if lots.between(0, 1) else [(a, 0), ((a + b) // 2 + lots.between(-300, 300), h // 2), (b, h)]
    draw.plan["zone_lines"] = [{"id": 900, "name": "", "points": [list(p) for p in line], "kind": "level_change"}]
    left = Polygon([(0, 0), *line, (0, h)])
    right = Polygon([(w, 0), (w, h), *reversed(line)])
    # How far the right side stands above the left: a step over walls, over pools, hardly any.
    up, rough = lots.one_of([900, 300, 120, 60]), lots.one_of([5, 30])
    spots, outlets = [], []
    for side, corners, base in ((left, [(0, 0), (0, h)], 0), (right, [(w, 0), (w, h)], up)):
        inner = inside(lots, side, lots.between(3, 8))
        outlets += inner[: lots.between(0, 1)]
        for x, y in corners + inner + list(line):
            spots.append({"id": 1000 + len(spots), "at": [x, y], "level": base + lots.between(0, rough)})
    draw.plan["levels"] = {"spots": spots, "lines": [], "planes": []}
    level_of = {tuple(s["at"]): s["level"] for s in spots}
    for at in outlets:
        draw.add("outlets", at=list(at), bowl=100, clear_zone=300, kind=lots.one_of(KINDS), intake=intake(lots, level_of[at]))
    draw.plan["drainage"] = drainage(lots)
    return draw.plan


def intake(lots, level):
    """What an outlet takes: mostly at the deck, some with a sill, a level of their own, or blocked."""
    made = {"level": None, "sill": lots.one_of([0, 0, 0, 15, 40]), "strainer": bool(lots.between(0, 1)), "head": 35, "blocked": lots.between(0, 7) == 0}
    if lots.between(0, 4) == 0:
        made["level"] = level + lots.one_of([-10, 0, 20])
    made["mouth"] = lots.one_of([None, {"round": {"diameter": 100}}, {"other": {"weir": 400, "area": 10_000}}])
    return made


def drainage(lots):
    """Settings of the rule and the rain."""
    rule = lots.one_of(["bs6229", "bs6229_zero_fall", "din18531", "as4654", "ibc1507", "mil_hdbk1001", "project"])
    return {"rule": rule, "least_one_in": 100, "design_one_in": 50, "flat_one_in": 500, "least_pond": lots.one_of([0, 2]), "rain": lots.one_of([None, 750])}


def outline(lots):
    """A small outline: square, an angle, or loose."""
    w, h = lots.between(2000, 6000), lots.between(2000, 6000)
    kind = lots.between(0, 3)
    if kind == 0:
        return [(0, 0), (w, 0), (w, h), (0, h)]
    if kind == 1:
        x, y = lots.between(800, w - 800), lots.between(800, h - 800)
        return [(0, 0), (w, 0), (w, y), (x, y), (x, h), (0, h)]
    n = lots.between(4, 8)
    points = []
    for k in range(n):
        turn, radius = 2 * math.pi * (k + lots.between(0, 600) / 1000) / n, lots.between(1500, 3000)
        points.append((round(radius * math.cos(turn)), round(radius * math.sin(turn))))
    return points


def edges(lots, count, share):
    """Upstands, and one edge in `share` or so free."""
    return [FREE if lots.between(1, share) == 1 else PARAPET for _ in range(count)]


def openings(lots, shape):
    """Up to two openings well inside."""
    x0, y0, x1, y1 = (round(v) for v in shape.bounds)
    found = []
    for _ in range(lots.one_of([0, 0, 1, 1, 2])):
        x, y, w, h = lots.between(x0, x1), lots.between(y0, y1), lots.between(300, 1200), lots.between(300, 1200)
        lean = lots.one_of([0, 0, 70])
        ring = [(x, y), (x + w, y + lean), (x + w - lean, y + h + lean), (x - lean, y + h)]
        if shape.buffer(-400).contains(Polygon(ring)) and all(Polygon(r).distance(Polygon(ring)) > 400 for r in found):
            found.append(ring)
    return found


def inside(lots, shape, count):
    """Places on a deck, away from its edges and from one another."""
    x0, y0, x1, y1 = (round(v) for v in shape.bounds)
    inner, found = shape.buffer(-APART), []
    for _ in range(6 * count):
        at = (lots.between(x0, x1), lots.between(y0, y1))
        if len(found) < count and inner.contains(Point(at)) and all(math.dist(at, p) > APART for p in found):
            found.append(at)
    return found


def with_levels(plan, change):
    """The plan with every level changed; sills stay."""
    plan = copy.deepcopy(plan)
    levels = plan["levels"]
    for spot in levels["spots"]:
        spot["level"] = change(spot["level"])
    for line in levels["lines"]:
        for point in line["points"]:
            if point.get("level") is not None:
                point["level"] = change(point["level"])
    for plane in levels["planes"]:
        plane["level"] = change(plane["level"])
    for outlet in plan["outlets"]:
        intake_of = outlet.get("intake")
        if intake_of and intake_of.get("level") is not None:
            intake_of["level"] = change(intake_of["level"])
    return plan


def hard_shapes():
    """The plans drawn to be hard to lay, with levels by lot on and beside their decks."""
    made = {}
    for n, (name, plan) in enumerate(drawn_plans.all_plans().items()):
        lots, plan = Lots(77_000 + n), copy.deepcopy(plan)
        xs, ys = zip(*[c["at"] for d in plan["decks"] for c in d["ring"]])
        lean = (lots.between(-20, 20), lots.between(-20, 20))
        spots, places = [], [c["at"] for d in plan["decks"] for c in d["ring"][:: lots.between(1, 3)]]
        places += [[lots.between(min(xs), max(xs)), lots.between(min(ys), max(ys))] for _ in range(lots.between(4, 12))]
        for x, y in places:
            if all(math.dist((x, y), s["at"]) > APART for s in spots):
                level = round((x - xs[0]) * lean[0] / 1000 + (y - ys[0]) * lean[1] / 1000) + lots.between(0, 25)
                spots.append({"id": 5000 + len(spots), "at": [x, y], "level": level})
        plan["levels"] = {"spots": spots, "lines": [], "planes": []}
        for deck in plan["decks"]:
            # Somewhere for the water to go.
            deck["ring"][n % len(deck["ring"])]["edge"] = FREE
        made[f"levels on {name}"] = plan
    return made


def two_falls():
    """Decks with lines and planes instead of spots."""
    low = Draw("low line").deck((0, 0), (9000, 0), (9000, 6000), (0, 6000)).outlet(2000, 3000).outlet(7000, 3000)
    low.plan["levels"] = {
        "spots": [{"id": 50 + k, "at": list(at), "level": 60} for k, at in enumerate([(0, 0), (9000, 0), (9000, 6000), (0, 6000)])],
        "lines": [{"id": 60, "kind": "low_line", "points": [{"at": [0, 3000], "level": 0}, {"at": [9000, 3000], "level": 0}]}],
        "planes": [],
    }
    plane = Draw("plane").deck((0, 0), (9000, 0), (9000, 6000), (0, 6000), edge=[FREE, PARAPET, PARAPET, PARAPET]).rect_opening(4000, 2000, 1000, 1500)
    plane.plan["levels"] = {"spots": [], "lines": [], "planes": [{"id": 50, "at": [0, 0], "level": 0, "direction_mdeg": -90_000 + 7130, "one_in": 60, "area": []}]}
    level = Draw("dead level").deck((0, 0), (9000, 0), (9000, 6000), (0, 6000)).outlet(2000, 3000)
    level.plan["levels"] = {"spots": [], "lines": [], "planes": [{"id": 50, "at": [0, 0], "level": 10, "direction_mdeg": 0, "one_in": 0, "area": []}]}
    back = Draw("falls away from its outlet").deck((0, 0), (9000, 0), (9000, 6000), (0, 6000)).outlet(8000, 3000)
    back.plan["levels"] = {"spots": [], "lines": [], "planes": [{"id": 50, "at": [0, 0], "level": 0, "direction_mdeg": 180_000, "one_in": 80, "area": []}]}
    return {d.plan["job"]["name"]: d.plan for d in (low, plane, level, back)}
