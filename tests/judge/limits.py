"""Law 11 of a layout: what it says cannot be beaten.

In: a `laws.Case`. Out: what is broken. Must hold: a bound is worked out here anew where it is plain arithmetic, and is never
above what a packing made here reaches; the layout never opens more rolls than first-fit decreasing would; "proved" is only
said where the bound is met. The packings here are first fit and best fit, longest first: simple, and no code of the project.
"""

from __future__ import annotations

import bisect

from stock import is_slit, width


def judge(case):
    """(what, by how much) of each broken rule."""
    if not case.layout["rolls"]:
        return []
    return by_area(case) + by_length(case) + by_packing(case) + choices(case)


def largest(case):
    """Area of the largest roll that can be laid."""
    return max(r["width"] * r["length"] for r in case.products["rolls"] if r["width"] > case.products["side_lap"])


def by_area(case):
    """Rolls that the area of the field fills."""
    totals, broken = case.layout["totals"], []
    least = -(-totals["field_area"] // largest(case))
    if totals.get("rolls_by_area", least) != least:
        broken.append((f"totals.rolls_by_area is {totals['rolls_by_area']}, the field fills {least}", 0.0))
    if totals["rolls"] < least:
        broken.append((f"{totals['rolls']} rolls cannot cover a field that fills {least}", 0.0))
    return broken


def by_length(case):
    """Rolls that the least cut length of the ways tried fills; nothing unslit opens fewer."""
    totals, layout, broken = case.layout["totals"], case.layout, []
    if "rolls_by_length" not in totals:
        return []
    least = totals["rolls_by_area"]
    if case.products.get("slitting", "none") == "none":
        area = sum(min((way["cut_length"] * way["width"] for way in choice["ways"]), default=0) for choice in layout.get("choices", []))
        least = max(least, -(-area // largest(case)))
    if totals["rolls_by_length"] != least:
        broken.append((f"totals.rolls_by_length is {totals['rolls_by_length']}, the ways give {least}", 0.0))
    if totals["rolls"] < totals["rolls_by_length"]:
        broken.append((f"{totals['rolls']} rolls, below the {totals['rolls_by_length']} that cut lengths fill", 0.0))
    return broken


def packed(lengths, room, kerf, best=False):
    """Rolls opened by first fit, or best fit, longest first."""
    rooms = []
    for length in sorted(lengths, reverse=True):
        need = length + kerf
        if best:
            at = bisect.bisect_left(rooms, need)
            left = rooms.pop(at) - need if at < len(rooms) else room + kerf - need
            bisect.insort(rooms, left)
        else:
            at = next((i for i, left in enumerate(rooms) if left >= need), None)
            if at is None:
                rooms.append(room + kerf - need)
            else:
                rooms[at] -= need
    return len(rooms)


def by_packing(case):
    """The bound for these pieces against packings made here, and against the length and the large pieces by themselves."""
    totals, layout, broken = case.layout["totals"], case.layout, []
    if totals["rolls"] < totals["rolls_least"]:
        broken.append((f"{totals['rolls']} rolls, below the bound of {totals['rolls_least']}", 0.0))
    kerf, kinds = case.products["kerf"], case.products["rolls"]
    # Every slit piece by itself across the widest roll it fits: more than is needed, so no bound may be above it.
    widths = {}
    for piece in layout["pieces"]:
        wide = width(piece)
        own = max(k["width"] for k in kinds) if is_slit(case, piece) else wide
        widths.setdefault(own, []).append(piece["length"])
    room = {wide: max(k["length"] for k in kinds if k["width"] == wide) for wide in widths}
    reached = sum(min(packed(lengths, room[wide], kerf, best) for best in (False, True)) for wide, lengths in widths.items())
    if totals["rolls_least"] > reached:
        broken.append((f"bound of {totals['rolls_least']} rolls, a packing opens {reached}", 0.0))
    if len(kinds) > 1 or kinds[0].get("on_hand") is not None:
        return broken
    opened = sum(1 for roll in layout["rolls"] if roll["pieces"])
    if not case.plan["gang"].get("hold_open_rolls", False) and opened > reached:
        broken.append((f"{opened} rolls, first or best fit opens {reached}", 0.0))
    if totals["proved"] != (totals["rolls"] == totals["rolls_least"]):
        broken.append((f"proved is {totals['proved']} with {totals['rolls']} rolls and a bound of {totals['rolls_least']}", 0.0))
    if any(is_slit(case, piece) for piece in layout["pieces"]):
        return broken
    lengths, longest = [p["length"] for p in layout["pieces"]], kinds[0]["length"]
    material = -(-sum(lengths) // longest)
    halves = sum(1 for length in lengths if 2 * length + kerf > longest)
    if totals["rolls_least"] < material:
        broken.append((f"bound of {totals['rolls_least']} rolls is below the material's {material}", 0.0))
    if max(material, halves) > totals["rolls"]:
        broken.append((f"{totals['rolls']} rolls cannot hold the pieces", 0.0))
    return broken


def choices(case):
    """What was tried for a zone fits what is laid in it."""
    broken = []
    for choice in case.layout.get("choices", []):
        zone = case.zones.get(choice["zone"])
        if zone is None or not zone["courses"] or not choice["ways"]:
            continue
        way, name = choice["ways"][choice["taken"]], f"zone {choice['zone']}"
        turns = (way["direction_mdeg"] - zone["direction_mdeg"]) % 180_000
        if min(turns, 180_000 - turns) > 1:
            broken.append((f"{name} is laid at {zone['direction_mdeg']}, its choice is {way['direction_mdeg']}", 0.0))
        order = [(w["direction_mdeg"], w["width"]) for w in choice["ways"]]
        if order != sorted(order):
            broken.append((f"{name}: the ways tried do not stand in order", 0.0))
        first = zone["courses"][0]
        if first["to"] - first["from"] != way["width"]:
            broken.append((f"{name} is laid {first['to'] - first['from']} wide, its choice is {way['width']}", 0.0))
        broken += [(f"{name}: {what}", 0.0) for what in cut_length(case, zone, choice, way)]
    return broken


def cut_length(case, zone, choice, way):
    """The runs laid in a zone are as long as its choice says, and no shorter than the least of its way; with laps that have
    grown the courses lie elsewhere, and neither can be said."""
    pieces = [p for p in case.layout["pieces"] if p["zone"] == zone["number"]]
    laid = sum(p["length"] - p["lap_to"] for p in pieces)
    pitches = {b["from"] - a["from"] for a, b in zip(zone["courses"], zone["courses"][1:])}
    if pitches - {way["width"] - case.products["side_lap"]}:
        return []
    if laid < way["cut_length"]:
        return [f"runs of {laid} are laid, the least is said to be {way['cut_length']}"]
    if not choice["starts"]:
        return []
    if choice["first"] != -zone["courses"][0]["from"]:
        return [f"the first course starts {-zone['courses'][0]['from']} outside, its choice is {choice['first']}"]
    told = on_curve(choice["starts"], choice["first"])
    return [] if told == laid else [f"runs of {laid} are laid, the curve says {told}"]


def on_curve(starts, first):
    """Cut length at a start: straight between the points of the curve."""
    at = bisect.bisect_right([s[0] for s in starts], first) - 1
    (a, cut_a), (b, cut_b) = starts[at], starts[min(at + 1, len(starts) - 1)]
    return cut_a if a == b else cut_a + (cut_b - cut_a) * (first - a) / (b - a)
