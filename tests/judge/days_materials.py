"""What each day and the job take, counted again from areas, pieces and rolls.

In: a plan, its layout with days, a `days_ground.Ground`. Out: what is not so. Must hold: every figure is that of what is done on the
day, rounded up once; each roll is carried up once, on the first day that something is cut from it, and lies part-used at the end of
every day from then on but the last; the days together take what the job takes, to a unit a day. The protection sheet is that of its
pieces as cut where it is laid out, and by area where it is not. Densities, coats, blocks, cover of the primer and of the sheet are the
plan's (documented values where it leaves them out); rates that it leaves out are not checked.
"""

from __future__ import annotations

import shapely
from shapely.geometry import Point

from days_order import Broken
from days_work import NEAR, coats

USUAL = {"density": 1200, "block": 1800, "primer_coverage": 400, "sheet_width": 1000, "sheet_length": 20_000, "sheet_lap": 75}


def ceil(amount, per):
    return -(-amount // per) if per > 0 else 0


def judge(plan, layout, ground):
    """The materials of the job and of each day."""
    days, broken = layout["days"], []
    work = {w["bay"]: w for w in days["bays"]}
    poured = {t["bay"]: k for k, day in enumerate(days["days"]) for t in day["turns"]}
    ahead = {bay: k for k, day in enumerate(days["days"]) for bay in day.get("details_of", [])}
    detailed = poured | ahead
    broken += figures("the job", days["materials"], wanted(plan, layout, ground, list(work), list(work)))
    for k, day in enumerate(days["days"]):
        fields = [n for n in work if poured.get(n) == k]
        details = [n for n in work if detailed.get(n) == k]
        broken += figures(f"day {day['number']}", day["materials"], wanted(plan, layout, ground, fields, details))
    return broken + rolls(layout, ground, poured, detailed) + adds_up(days, layout.get("protection") is not None)


def wanted(plan, layout, ground, fields, details):
    """Figures for the fields of some bays and the details of some: {name: whole number}."""
    work = {w["bay"]: w for w in layout["days"]["bays"]}
    products = USUAL | {k: plan["products"][k] for k in USUAL if k in plan["products"]}
    area = sum(ground.bays[n]["size"] for n in fields)
    upstands = [u["length"] for n in details for u in work[n]["upstands"]]
    made = {
        "membrane_kg": ceil(area * sum(coats(plan)) * products["density"], 10**11),
        "details_kg": ceil(sum(work[n]["details_millilitres"] for n in details) * products["density"], 10**6),
        "primer_litres": ceil(area, 10**4 * products["primer_coverage"]),
        "strip": sum(work[n]["joints"] for n in details),
        "bar": sum(upstands),
    }
    kg = made["membrane_kg"] + made["details_kg"]
    made["blocks"] = ceil(100 * kg, products["block"])
    wide, long, lap = products["sheet_width"], products["sheet_length"], products["sheet_lap"]
    made["sheet_area"] = ceil(area * wide * long, (wide - lap) * (long - lap))
    if layout.get("protection"):
        own = [p for p in layout["protection"]["pieces"] if p["bay"] in set(fields)]
        made["sheet_area"] = sum(p["length"] * (p["across"][1] - p["across"][0]) for p in own)
    gas = (plan.get("programme") or {}).get("rates", {}).get("gas")
    detailing = plan.get("detailing") or {}
    if gas is not None:
        made["gas"] = ceil(kg * gas, 100)
    if detailing.get("bar_centres"):
        made["fixings"] = sum(ceil(length, detailing["bar_centres"]) for length in upstands)
    if detailing.get("joint_girth"):
        made["strip_area"] = made["strip"] * detailing["joint_girth"]
    return made


def figures(name, stated, found):
    return [Broken("materials", f"{name}: {what} {stated[what]}, found {value}", what, abs(stated[what] - value)) for what, value in found.items() if stated[what] != value]


def rolls(layout, ground, poured, detailed):
    """Rolls carried up and part-used, from the pieces and strips cut from them."""
    days, broken = layout["days"], []
    bay_of = {piece["number"]: piece["bay"] for piece in layout["pieces"]}
    strips = {strip["number"]: strip for strip in layout.get("strips", [])}
    sure, doubtful = {}, set()
    for roll in layout["rolls"]:
        times = [poured[bay_of[n]] for n in roll["pieces"]]
        for n in roll.get("strips", []):
            near = [bay for bay, shape in ground.shapes.items() if shape.distance(Point(strips[n]["at"])) <= nearest(ground, strips[n]["at"]) + NEAR]
            when = {detailed[bay] for bay in near}
            times.append(min(when))
            if len(when) > 1:
                doubtful.add(roll["number"])
        if times:
            sure[roll["number"]] = (min(times), max(times))
    for k, day in enumerate(days["days"]):
        up = {n for n, (first, _) in sure.items() if first == k}
        part = {n for n, (first, last) in sure.items() if first <= k < last}
        for what, found in (("rolls_up", up), ("rolls_part", part)):
            if set(day["materials"][what]) - doubtful != found - doubtful or len(set(day["materials"][what])) != len(day["materials"][what]):
                broken.append(Broken("rolls", f"day {day['number']}: {what} {sorted(day['materials'][what])}, found {sorted(found)}", what))
    numbers = [roll["number"] for roll in layout["rolls"]]
    carried = sorted(n for day in days["days"] for n in day["materials"]["rolls_up"])
    if carried != numbers or sorted(days["materials"]["rolls_up"]) != numbers:
        broken.append(Broken("rolls", f"rolls {carried} are carried up, {len(numbers)} are opened", "rolls_up"))
    kept = [roll["number"] for roll in layout["rolls"] if roll["kept"]]
    if sorted(days["materials"]["rolls_part"]) != kept:
        broken.append(Broken("rolls", f"rolls {sorted(days['materials']['rolls_part'])} are said to come back, those with a rest worth keeping are {kept}", "rolls_part"))
    return broken


def nearest(ground, at):
    return min(shapely.distance(shape, Point(at)) for shape in ground.shapes.values())


def adds_up(days, laid_out):
    """The days take what the job takes; the protection sheet, where it is laid out, to the square millimetre."""
    broken, count = [], len(days["days"])
    for what, room in (("membrane_kg", count), ("details_kg", count), ("blocks", 2 * count), ("primer_litres", count), ("sheet_area", 0 if laid_out else count), ("strip", 0), ("bar", 0), ("fixings", 0)):
        total, job = sum(day["materials"][what] for day in days["days"]), days["materials"][what]
        if not job <= total <= job + room:
            broken.append(Broken("materials", f"{what}: the days take {total}, the job {job}", what, abs(total - job)))
    return broken
