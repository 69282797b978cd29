"""The small layout of `hand_built` put into days here by plain arithmetic, to test the judges of days.

In: nothing. Out: a plan and a layout with days. Four bays, two on each side of a movement joint, numbered as they are poured: bay 1
on a Friday, for bays 1 and 2 take more than a day, bays 2 to 4 on the Tuesday after it, as the Monday is a holiday. People leave over bay 4. Must hold: nothing is
broken. An outlet stands 225 mm from the edge between bays 1 and 2, and its clear zone of 500 mm makes some of that edge bad.
"""

from __future__ import annotations

import math

import hand_built

#: The corners of the bays: x0, y0, x1, y1.
#: Minutes from the start of work to the first litre: bays are begun then.
MELT = 30
BAYS = {1: (0, 0, 9000, 2825), 2: (0, 2825, 9000, 4800), 3: (9000, 0, 12_100, 2825), 4: (9000, 2825, 12_100, 4800)}
BESIDE = {1: [2, 3], 2: [1, 4], 3: [1, 4], 4: [2, 3]}
#: Upstands along each bay, mm, corners that the deck runs into, and movement joints done with it.
UPSTANDS = {1: 9000 + 2825, 2: 9000 + 1975, 3: 3100 + 2825, 4: 3100 + 1975}
JOINTS = {1: 2825, 2: 1975, 3: 0, 4: 0}
DAYS = [[1], [2, 3, 4]]
RATES = {
    "prime": 12_000, "protect": 6000, "upstand": 12_000, "free_edge": 10_000, "joint": 5000, "penetration": 20, "pocket": 45,
    "outlet": 40, "first_thing": 30, "bucket": 1200, "walk": 40_000, "gas": 147, "melt_start": MELT, "melt_rate": 300, "melter_litres": 2000,
}
WAY, MELTER, OUTLET = (12_100, 4000), (-1000, 1000), (3000, 2600)
BAD = round(2 * math.sqrt(500**2 - 225**2))


def plan():
    """The plan."""
    made = hand_built.plan(hand_built.HEIGHT)
    made["gang"] |= {"people": 4, "rate": 3000, "day_minutes": 390}
    made["outlets"] = [{"id": 90, "at": list(OUTLET), "bowl": 200, "clear_zone": 500}]
    made["ways"], made["melters"] = [{"id": 91, "at": list(WAY)}], [{"id": 92, "at": list(MELTER)}]
    made["programme"] = {
        "gangs": [],
        "rates": dict(RATES),
        "calendar": {"start": "2026-11-27", "holidays": ["2026-11-30"], "lost": [], "weather": 50},
        "ties": [{"id": 93, "at": [1000, 1000], "day": 1}],
    }
    made["detailing"] = {"joint_girth": 450, "bar_centres": 200, "pocket_depth": 75}
    return made


def layout():
    """The layout with its days."""
    made = hand_built.layout()
    for bay in made["bays"]:
        bay["beside"] = BESIDE[bay["number"]]
    made |= {"seams": [], "falls": None}
    made["details"] = {"upstands": [{"kind": "parapet", "height": 150, "length": 33_800}], "free_edges": 0, "joints": 4800, "penetrations": 0, "pockets": 0, "outlets": 1}
    work = [of_bay(n) for n in BAYS]
    haul = sum(w["loads"] * w["haul"][0] for w in work)
    cost = 2 * 80_000 + (2 * (500 * 9000 + 4000 * BAD) * 100 + 2 * 20 * haul + 100_000) // 200_000
    made["days"] = {
        "gangs": [{"id": 0, "name": "", "people": 4, "minutes": 360}],
        "bays": work,
        "days": [of_day(k, bays, work, made) for k, bays in enumerate(DAYS)],
        "score": {"broken": 0, "days": 2, "facing": 0, "joints": 9000, "bad_joints": BAD, "parted": 0, "left_behind": 0, "haul": haul, "cost": cost, "least": 160_000, "proved": False},
        "examples": [],
        # Two days, and one more for the weather.
        "finish": "2026-12-02",
        "materials": materials(work, work, [r["number"] for r in made["rolls"]], [r["number"] for r in made["rolls"] if r["kept"]]),
    }
    return made


def size(n):
    x0, y0, x1, y1 = BAYS[n]
    return (x1 - x0) * (y1 - y0)


def label(n):
    x0, y0, x1, y1 = BAYS[n]
    return ((x0 + x1) // 2, (y0 + y1) // 2)


def way_to(n):
    """From the melter round to the way off, and from bay to bay."""
    along = {4: [4], 3: [4, 3], 2: [4, 2], 1: [4, 2, 1]}[n]
    if n == 1:
        along = min(([4, 2, 1], [4, 3, 1]), key=length_over)
    return round(math.dist(MELTER, WAY) + length_over(along))


def length_over(bays):
    places = [WAY, *(label(n) for n in bays)]
    return sum(math.dist(a, b) for a, b in zip(places, places[1:]))


def of_bay(n):
    """The work of a bay."""
    cold, detail = size(n) * 6 // 1000, UPSTANDS[n] * 300 * 6 // 1000
    loads = math.ceil(math.ceil((cold + detail) * 1.0976) / 12_000)
    hours = size(n) / 10_000
    details = UPSTANDS[n] / 12_000 * 60 + JOINTS[n] / 5000 * 60 + (40 if n == 1 else 0)
    minutes = {"prime": math.ceil(hours / 12_000 * 60), "details": math.ceil(details), "pour": math.ceil(hours / 3000 * 60)}
    minutes |= {"haul": math.ceil(loads * 2 * way_to(n) / (40_000 * 4)), "protect": math.ceil(hours / 6000 * 60)}
    return {
        "bay": n,
        "upstands": [{"kind": "parapet", "height": 150, "length": UPSTANDS[n], "girth": 300}],
        "outside_corners": 0, "inside_corners": 1, "free_edges": 0, "joints": JOINTS[n],
        "penetrations": [], "pockets": [], "outlets": [90] if n == 1 else [],
        "millilitres": cold, "details_millilitres": detail, "loads": loads, "melters": [92], "haul": [way_to(n)], "minutes": [minutes],
    }


def of_day(k, bays, work, made):
    """One day."""
    at, turns = MELT, []
    for n in bays:
        took = sum(work[n - 1]["minutes"][0].values())
        turns.append({"bay": n, "gang": 1, "from": at, "to": at + took})
        at += took
    bay_of = {p["number"]: p["bay"] for p in made["pieces"]}
    spans = {r["number"]: [bay_of[p] in DAYS[0] for p in r["pieces"]] for r in made["rolls"]}
    up = [n for n, first in spans.items() if any(first) == (k == 0)]
    part = [n for n, first in spans.items() if any(first) and not all(first)] if k == 0 else []
    own = [work[n - 1] for n in bays]
    return {
        "number": k + 1, "date": ["2026-11-27", "2026-12-01"][k], "turns": turns, "details_of": [], "test_at": list(label(bays[0])),
        "joints": [{"laid": 1, "next": 2, "length": 9000, "bad": BAD}] if k == 0 else [], "melters": [melter(turns, work)], "materials": materials(own, own, up, part),
    }


def melter(turns, work):
    """The melter through a day, from one change of its draws to the next: 5 litres a minute from the first pour on, and room for
    all of it. What cannot be drawn is short."""
    draws = []
    for turn in turns:
        w, took = work[turn["bay"] - 1], work[turn["bay"] - 1]["minutes"][0]
        details = turn["from"] + took["prime"]
        pour, end = details + took["details"], turn["to"] - took["protect"]
        draws += [(details, pour, w["details_millilitres"] * 1.0976 / 1000), (pour, end, w["millilitres"] * 1.0976 / 1000)]
    last = max(to for _, to, _ in draws)
    times = sorted({MELT, *(t for a, b, _ in draws for t in (a, b))})
    level, short, levels = 0.0, None, [[0, 0], [MELT, 0]]
    for a, b in zip(times, times[1:]):
        net = 5 - sum(litres / (to - start) for start, to, litres in draws if start <= a and b <= to)
        if net < 0 and level + net * (b - a) < 0:
            empty = a + level / -net
            short = empty if short is None else short
            levels += [[empty, 0]]
        level = max(0.0, level + net * (b - a))
        levels.append([b, level])
    drawn = sum(litres for _, _, litres in draws)
    levels = [[math.floor(at), math.floor(litres)] for at, litres in levels]
    return {"melter": 92, "drawn": math.ceil(drawn), "melted": math.floor(5 * (last - MELT)), "short_at": None if short is None else math.floor(short), "level": levels}


def materials(fields, details, up, part):
    """What some bays take."""
    area, cold = sum(size(w["bay"]) for w in fields), sum(w["details_millilitres"] for w in details)
    field_kg, detail_kg = math.ceil(area * 0.006 * 1.2 / 1000 - 1e-9), math.ceil(cold * 1.2 / 1000 - 1e-9)
    bar = [w["upstands"][0]["length"] for w in details]
    return {
        "membrane_kg": field_kg, "details_kg": detail_kg, "blocks": math.ceil((field_kg + detail_kg) / 18), "primer_litres": math.ceil(area / 4e6),
        "rolls_up": up, "rolls_part": part, "sheet_area": math.ceil(area * 20_000_000 / (925 * 19_925)), "strip": sum(w["joints"] for w in details),
        "strip_area": 450 * sum(w["joints"] for w in details), "bar": sum(bar), "fixings": sum(math.ceil(b / 200) for b in bar), "gas": math.ceil((field_kg + detail_kg) * 1.47 - 1e-9),
    }
