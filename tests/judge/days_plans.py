"""Random roofs whose work takes several days, with gangs, melters, ways off, calendars and ties.

In: how many. Out: plans by name. Must hold: the same plans everywhere (own random numbers); every plan is valid. Bays are small and
work is slow, so that a roof of a few metres takes a handful of days. Most plans give every rate, so that minutes can be found again;
the others leave some to the examples.
"""

from __future__ import annotations

import copy

import shapely
from shapely.geometry import LineString, Point, Polygon

import falls_plans
from lots import Lots
from plans import FREE, KERB, PARAPET, Draw

WALL = {"upstand": {"height": 300, "kind": "wall"}}
#: Outlines of the surfaces for falls are made so many times larger.
LARGER = 2
RATES = {
    "prime": (3000, 12_000), "protect": (2000, 6000), "upstand": (3000, 12_000), "free_edge": (5000, 20_000), "joint": (2000, 8000),
    "penetration": (5, 30), "pocket": (20, 60), "outlet": (10, 50), "first_thing": (0, 60), "melt_start": (10, 90), "melt_rate": (100, 400),
    "melter_litres": (200, 800), "bucket": (600, 1800), "walk": (20_000, 60_000), "lead": (0, 60), "gas": (80, 200),
}


def plans(count, seed=0):
    """Name -> plan."""
    made, drawn = {}, 0
    while len(made) < count:
        drawn += 1
        plan = roof(Lots(500_000 + 1000 * seed + drawn))
        if plan is not None:
            made[f"days {seed}/{drawn}"] = plan
    return made


def roof(lots):
    """One plan, or None when its lots fell badly."""
    ring = [(LARGER * x, LARGER * y) for x, y in falls_plans.outline(lots)]
    shape = Polygon(ring)
    if not shape.is_valid or shape.area < 15e6:
        return None
    draw = Draw("days by lot", rolls=[{"name": "", "width": 1000, "length": 15_000, "on_hand": None}], bay_area=lots.one_of([400, 700, 1200]), courses_per_bay=lots.one_of([2, 3]))
    draw.plan["gang"] |= gang(lots)
    draw.deck(*ring, edge=edges(lots, len(ring)))
    deck = shape
    for hole in falls_plans.openings(lots, shape):
        draw.opening(*hole, edge=[lots.one_of([KERB, KERB, FREE])] * 4)
        deck = deck.difference(Polygon(hole))
    things(lots, draw, deck)
    line(lots, draw, shape)
    if lots.between(0, 1):
        levels(lots, draw, ring)
    # Directions are not searched for: it is no matter of days, and takes most of the time.
    inner = deck.representative_point()
    draw.direction(round(inner.x), round(inner.y), lots.one_of(["longest_wall", {"angle": {"mdeg": 1000 * lots.between(0, 179)}}]))
    draw.plan["programme"] = programme(lots, draw, deck)
    if lots.between(0, 1):
        draw.plan["products"]["upstand_strips"] = True
    draw.plan["detailing"] = {"joint_girth": 400, "bar_centres": lots.one_of([200, 300]), "pocket_depth": lots.one_of([60, 75, 100])}
    return draw.plan


def gang(lots):
    """People, rate and day of the plan's gang."""
    return {"people": lots.between(2, 6), "rate": lots.between(600, 2500), "day_minutes": lots.between(150, 480)}


def edges(lots, count):
    return [lots.one_of([PARAPET, PARAPET, WALL, FREE]) for _ in range(count)]


def things(lots, draw, deck):
    """Pipes, some in a pocket, outlets, ways off and melters."""
    places = falls_plans.inside(lots, deck.buffer(-200), lots.between(2, 9))
    kinds = ["pipe", "pipe", "pocket", "outlet", "outlet"]
    for x, y in places:
        kind = lots.one_of(kinds)
        if kind == "pipe":
            draw.pipe(x, y, lots.between(50, 200))
        elif kind == "pocket":
            draw.pipe(x, y, 60, pocket=1)
            draw.pipe(x + 120, y + 30, 40, pocket=1)
            kinds.remove("pocket")
        else:
            draw.outlet(x, y, bowl=150, clear_zone=lots.one_of([300, 600]))
    rim = list(deck.exterior.coords)
    draw.plan["ways"], draw.plan["melters"] = [], []
    for _ in range(lots.one_of([0, 1, 1, 1, 2])):
        x, y = lots.one_of(rim)
        if lots.between(0, 1):
            x, y = deck.exterior.interpolate(lots.between(0, 999) / 1000, normalized=True).coords[0]
        draw.add("ways", name="", at=[round(x) + lots.between(-40, 40), round(y) + lots.between(-40, 40)])
    for _ in range(lots.one_of([0, 1, 1, 2])):
        x0, y0, x1, y1 = (round(v) for v in deck.bounds)
        draw.add("melters", name="", at=[lots.between(x0 - 3000, x1 + 3000), lots.between(y0 - 3000, y1 + 3000)], litres=lots.one_of([None, 300]))


def line(lots, draw, shape):
    """A movement joint or a change of level right across, now and then."""
    kind = lots.one_of([None, "joint", "level_change"])
    if kind is None:
        return
    x0, y0, x1, y1 = (round(v) for v in shape.bounds)
    x = lots.between(x0 + (x1 - x0) // 3, x1 - (x1 - x0) // 3)
    lean = lots.one_of([0, 0, 400])
    points = [(x, y0 - 100), (x + lean, y1 + 100)]
    # A line through corners or along things is no plan that people draw.
    near = [*map(Point, shape.exterior.coords), *(Point(o["at"]).buffer(o["clear_zone"]) for o in draw.plan["outlets"])]
    near += [Point(p["shape"]["circle"]["centre"]).buffer(300) for p in draw.plan["penetrations"]]
    near += [Polygon([c["at"] for c in o["ring"]]) for o in draw.plan["openings"]]
    if LineString(points).distance(shapely.union_all(near)) < 300:
        return
    draw.joint(*points) if kind == "joint" else draw.zone_line(*points, kind=kind)


def levels(lots, draw, ring):
    """A plane, or levels at the corners and outlets."""
    if lots.between(0, 1):
        at = list(ring[0])
        plane = {"id": next(draw.ids), "at": at, "level": 0, "direction_mdeg": 1000 * lots.between(0, 359), "one_in": lots.between(30, 120), "area": []}
        draw.plan["levels"] = {"spots": [], "lines": [], "planes": [plane]}
        return
    lean = (lots.between(-25, 25), lots.between(-25, 25))
    places = [tuple(p) for p in ring] + [tuple(o["at"]) for o in draw.plan["outlets"]]
    low = {tuple(o["at"]) for o in draw.plan["outlets"]}
    spots = [{"id": next(draw.ids), "at": list(p), "level": round((p[0] * lean[0] + p[1] * lean[1]) / 1000) + lots.between(0, 40) - (60 if p in low else 0)} for p in places]
    draw.plan["levels"] = {"spots": spots, "lines": [], "planes": []}


def programme(lots, draw, deck):
    """Gangs, rates, calendar, ties and prices."""
    melters = [m["id"] for m in draw.plan["melters"]]
    gangs = []
    for k in range(lots.one_of([0, 1, 2, 2, 3])):
        gangs.append({"id": next(draw.ids), "name": f"Gang {k + 1}", "people": lots.between(2, 6), "melter": lots.one_of([None, *melters])})
    rates = {name: lots.between(*span) for name, span in RATES.items()}
    if lots.between(0, 4) == 0:
        for name in list(rates)[:: lots.between(2, 5)]:
            rates[name] = None
    made = {"gangs": gangs, "rates": rates, "calendar": calendar(lots), "ties": ties(lots, draw, deck, gangs)}
    if lots.between(0, 3) == 0:
        made["details"] = {"others": {"people": lots.between(1, 3)}}
    if lots.between(0, 3) == 0:
        made["prices"] = {"day": lots.between(10_000, 200_000), "facing_metre": 3000, "joint_metre": lots.between(0, 2000), "bad_joint_metre": 5000, "parted": 1000, "left_behind": 20_000, "haul": lots.between(0, 200)}
    return made


def calendar(lots):
    """A start near the end of a year, or none."""
    if lots.between(0, 3) == 0:
        return {}
    start = f"2026-12-{lots.between(10, 31)}"
    week = [True] * 5 + [lots.between(0, 1) == 1, False] if lots.between(0, 2) else [lots.between(0, 2) > 0 for _ in range(6)] + [True]
    lost = [f"2027-01-{lots.between(10, 20)}"] if lots.between(0, 2) == 0 else []
    return {"start": start, "week": week, "holidays": ["2026-12-25", "2027-01-01"], "lost": lost, "weather": lots.one_of([0, 0, 10, 25])}


def ties(lots, draw, deck, gangs):
    """Ties of one or two places on the deck."""
    made = []
    for at in falls_plans.inside(lots, deck, lots.one_of([0, 0, 1, 2])):
        tie = {"id": next(draw.ids), "at": list(at)}
        what = lots.one_of(["day", "gang", "turn", "date"])
        if what == "gang" and gangs:
            tie["gang"] = lots.one_of(gangs)["id"]
        elif what == "date":
            tie["date"] = f"2026-12-{lots.between(14, 31)}"
        else:
            tie["turn" if what == "turn" else "day"] = lots.between(1, 4)
        made.append(tie)
    return made


def with_programme(plan, gangs, day_minutes=480):
    """A demo plan with so many gangs and every rate given, so that its minutes can be found again."""
    plan = copy.deepcopy(plan)
    top = max([0, *(thing.get("id", 0) for kind in plan.values() if isinstance(kind, list) for thing in kind if isinstance(thing, dict))])
    people = plan["gang"].get("people", 4)
    plan["gang"] |= {"rate": 1500, "day_minutes": day_minutes}
    melters = [m["id"] for m in plan.get("melters", [])]
    named = [{"id": top + 1000 + k, "name": f"Gang {k + 1}", "people": people, "melter": melters[k] if k < len(melters) else None} for k in range(gangs)] if gangs > 1 else []
    rates = {name: (low + high) // 2 for name, (low, high) in RATES.items()}
    plan["programme"] = {"gangs": named, "rates": rates, "calendar": {"start": "2026-11-30"}}
    plan["detailing"] = {"joint_girth": 400, "bar_centres": 200, "pocket_depth": 75}
    return plan
