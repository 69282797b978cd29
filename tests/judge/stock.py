"""Law 5 of a layout: what is cut from which roll.

In: a `laws.Case`. Out: what is broken. A roll is looked at as what it is: a rectangle, with the rectangles cut from it.
Must hold: every piece and every strip is cut from one roll; none is wider or longer than its roll or the gang's longest
piece; no two overlap and a kerf lies between them; what is covered, kerf and rest make up the roll's length, to the mm; no
more rolls of a kind are opened than are on hand, unless a finding says so; the same of rolls part-used at once.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import combinations

import geometry
from geometry import to_frame


@dataclass(frozen=True)
class Block:
    """A rectangle cut from a roll."""

    name: str
    along: tuple
    across: tuple

    def apart(self, other, kerf):
        """Whether a cut of the kerf lies between two blocks."""
        return any(a[1] + kerf <= b[0] or b[1] + kerf <= a[0] for a, b in ((self.along, other.along), (self.across, other.across)))


def width(piece):
    return piece["across"][1] - piece["across"][0]


def course_of(case, piece):
    return next(c for c in case.zones[piece["zone"]]["courses"] if c["number"] == piece["course"])


def is_slit(case, piece):
    """Whether a piece is narrower than its course."""
    course = course_of(case, piece)
    return width(piece) < course["to"] - course["from"]


def judge(case):
    """Everything about rolls: (what, by how much) of each broken rule."""
    broken = one_roll_each(case, "pieces") + one_roll_each(case, "strips")
    for piece in case.layout["pieces"]:
        broken += piece_fits(case, piece)
    for strip in case.layout.get("strips", []):
        broken += strip_fits(case, strip)
    for roll in case.layout["rolls"]:
        broken += roll_adds_up(case, roll)
    return broken + on_hand(case) + part_used(case) + upstands(case) + counts(case) + waste(case)


def one_roll_each(case, kind):
    """Each piece or strip stands on one roll, the one it names."""
    numbers = Counter(n for roll in case.layout["rolls"] for n in roll.get(kind, []))
    things = {thing["number"]: thing for thing in case.layout.get(kind, [])}
    rolls = {roll["number"]: roll for roll in case.layout["rolls"]}
    broken = []
    for n in sorted(set(numbers) | set(things)):
        if numbers[n] != 1 or n not in things:
            broken.append((f"{kind[:-1]} {n} is on {numbers[n]} rolls", 0.0))
        elif n not in rolls.get(things[n]["roll"], {}).get(kind, []):
            broken.append((f"{kind[:-1]} {n} is not on roll {things[n]['roll']}, which it names", 0.0))
    return broken


def piece_fits(case, piece):
    """A piece within its course, its roll, and what is laid of it within the piece."""
    n, wide = piece["number"], width(piece)
    roll = case.rolls.get(piece["roll"])
    if roll is None:
        return []
    broken, longest = [], min(roll["length"], case.products["longest_piece"])
    if piece["length"] > longest:
        broken.append((f"piece {n} is {piece['length']} long, more than {longest}", piece["length"] - longest))
    if wide > roll["width"] or piece["length"] <= 0 or wide <= 0:
        broken.append((f"piece {n} is {wide} wide, its roll {roll['width']}", wide - roll["width"]))
    course = course_of(case, piece)
    if piece["across"][0] < course["from"] or piece["across"][1] > course["to"]:
        broken.append((f"piece {n} lies outside its course", 0.0))
    if is_slit(case, piece):
        broken += may_be_slit(case, piece)
    elif wide != roll["width"] or piece.get("roll_across", 0) != 0:
        broken.append((f"piece {n} is {wide} wide, not slit, and its roll {roll['width']}", 0.0))
    u0, v0, u1, v1 = to_frame(case.zones[piece["zone"]]["frame"], case.laid[n]).bounds
    over = max(piece["from"] - u0, u1 - piece["to"], piece["across"][0] - v0, v1 - piece["across"][1])
    case.note(5, over)
    if over > 1.0:
        broken.append((f"piece {n} as laid is larger than cut", over))
    return broken


def may_be_slit(case, piece):
    """Pieces are slit only where the plan lets them."""
    slitting = case.products.get("slitting", "none")
    courses = case.zones[piece["zone"]]["courses"]
    outer = piece["course"] in (courses[0]["number"], courses[-1]["number"])
    if slitting == "any_piece" or slitting == "outer_courses" and outer:
        return []
    return [(f"piece {piece['number']} is slit, which the plan does not allow", 0.0)]


def strip_fits(case, strip):
    """A strip no longer than the gang's longest piece, and counted as an offcut where the field opened its roll."""
    broken, n = [], strip["number"]
    if strip["length"] > case.products["longest_piece"]:
        broken.append((f"strip {n} is {strip['length']} long", strip["length"] - case.products["longest_piece"]))
    roll = case.rolls.get(strip["roll"])
    if roll is not None and strip["from_offcut"] != bool(roll["pieces"]):
        broken.append((f"strip {n}: from an offcut or not, roll {roll['number']} says otherwise", 0.0))
    return broken


def blocks(case, roll):
    """What is cut from a roll."""
    made = [(f"piece {n}", case.pieces[n], width(case.pieces[n])) for n in roll["pieces"] if n in case.pieces]
    made += [(f"strip {n}", case.strips[n], case.strips[n]["width"]) for n in roll.get("strips", []) if n in case.strips]
    found = []
    for name, thing, wide in made:
        at, across = thing["roll_from"], thing.get("roll_across", 0)
        found.append(Block(name, (at, at + thing["length"]), (across, across + wide)))
    return found


def roll_adds_up(case, roll):
    """The blocks of one roll: within it, apart, in order, and adding up to its length."""
    broken, n, kinds = [], roll["number"], case.products["rolls"]
    if roll["kind"] >= len(kinds) or any(roll[k] != kinds[roll["kind"]][k] for k in ("width", "length")):
        broken.append((f"roll {n} is of no kind in the plan", 0.0))
    cut = blocks(case, roll)
    for block in cut:
        if block.along[0] < 0 or block.along[1] > roll["length"] or block.across[0] < 0 or block.across[1] > roll["width"]:
            broken.append((f"roll {n}: {block.name} reaches beyond it", max(block.along[1] - roll["length"], block.across[1] - roll["width"])))
    kerf = case.products["kerf"]
    broken += [(f"roll {n}: {a.name} and {b.name} overlap or have no kerf between", 0.0) for a, b in combinations(cut, 2) if not a.apart(b, kerf)]
    places = [(case.pieces[p]["roll_from"], case.pieces[p].get("roll_across", 0)) for p in roll["pieces"] if p in case.pieces]
    if places != sorted(places):
        broken.append((f"roll {n}: its pieces do not stand in order", 0.0))
    covered = covered_length(cut)
    if covered + roll["kerf"] + roll["rest"] != roll["length"] or min(roll["rest"], roll["kerf"]) < 0:
        broken.append((f"roll {n}: cuts {covered}, kerf {roll['kerf']} and rest {roll['rest']} are not {roll['length']}", 0.0))
    ends = len({block.along[1] for block in cut})
    if cut and (roll["kerf"] > kerf * ends or max(b.along[1] for b in cut) > roll["length"] - roll["rest"]):
        broken.append((f"roll {n}: kerf {roll['kerf']} for {ends} cuts, rest {roll['rest']}", 0.0))
    if roll["kept"] != (roll["rest"] >= case.products["least_offcut"]) and roll["rest"] > 0:
        broken.append((f"roll {n}: a rest of {roll['rest']} is {'kept' if roll['kept'] else 'scrap'}", 0.0))
    if not cut:
        broken.append((f"roll {n} is opened for nothing", 0.0))
    return broken


def covered_length(cut):
    """Length along a roll that blocks cover together."""
    end = covered = 0
    for start, stop in sorted(block.along for block in cut):
        covered += max(0, stop - max(start, end))
        end = max(end, stop)
    return covered


def on_hand(case):
    """Rolls of each kind against those on hand."""
    opened, broken = Counter(roll["kind"] for roll in case.layout["rolls"]), []
    for k, kind in enumerate(case.products["rolls"]):
        most = kind.get("on_hand")
        if most is not None and opened[k] > most and not case.has_finding(lambda f: f["code"] == "rolls-short"):
            broken.append((f"{opened[k]} rolls of kind {k}, {most} on hand, and no finding says so", opened[k] - most))
    return broken


def most_part_used(layout):
    """Most rolls part-used at the end of any bay: begun in it or before and needed after it."""
    bay_of = {piece["number"]: piece["bay"] for piece in layout["pieces"]}
    spans = [[bay_of[n] for n in roll["pieces"]] for roll in layout["rolls"] if roll["pieces"]]
    ends = sorted({bay for span in spans for bay in span})
    return max((sum(min(span) <= end < max(span) for span in spans) for end in ends), default=0)


def part_used(case):
    """Rolls part-used at once: as counted, and within the gang's limit unless a finding says so."""
    totals, gang = case.layout["totals"], case.plan["gang"]
    if any(n not in case.pieces for roll in case.layout["rolls"] for n in roll["pieces"]):
        return []
    counted, broken = most_part_used(case.layout), []
    if totals.get("open_rolls", counted) != counted:
        broken.append((f"totals.open_rolls is {totals['open_rolls']}, counted {counted}", 0.0))
    limit = gang.get("open_rolls", 0)
    if 0 < limit < counted and not case.has_finding(lambda f: f["code"] == "open-rolls"):
        broken.append((f"{counted} rolls part-used at once, {limit} allowed, and no finding says so", counted - limit))
    return broken


def upstands(case):
    """Where strips are wanted, those of each girth are as long as the upstands of that girth, or a finding says which lack."""
    if not case.products.get("upstand_strips", False):
        return [("there are strips, which the plan does not ask for", 0.0)] if case.layout.get("strips") else []
    if case.has_finding(lambda f: f["code"] in ("upstand-without-strip", "too-many-strips")):
        return []
    lap, got, broken = case.products["end_lap"], Counter(), []
    for strip in case.layout["strips"]:
        got[strip["width"]] += strip["length"] - lap
    wanted = geometry.upstand_lengths(case.plan)
    for girth, length in wanted.items():
        if got[girth] < length - 1.0:
            broken.append((f"strips {girth} wide reach {got[girth]} of {length:.0f} mm of upstand", length - got[girth]))
    broken += [(f"strips {girth} wide are for no upstand", 0.0) for girth in got if girth not in wanted]
    return broken


def counts(case):
    """What the totals count."""
    totals, layout = case.layout["totals"], case.layout
    for_field = [roll for roll in layout["rolls"] if roll["pieces"]]
    counted = {"pieces": len(layout["pieces"]), "rolls": len(for_field), "bays": len(layout["bays"])}
    counted["cut_length"] = sum(p["length"] for p in layout["pieces"])
    counted["end_laps"] = sum(p["lap_to"] > 0 for p in layout["pieces"])
    counted["strip_rolls"] = len(layout["rolls"]) - len(for_field)
    counted["strips_from_offcuts"] = sum(s["length"] * s["width"] for s in layout.get("strips", []) if s["from_offcut"])
    return [(f"totals.{k} is {totals[k]}, counted {v}", 0.0) for k, v in counted.items() if totals.get(k, v) != v]


def waste(case):
    """The area of the rolls opened for the field is the field, the waste and the strips, to the square millimetre."""
    totals, layout, broken = case.layout["totals"], case.layout, []
    rolls = [roll for roll in layout["rolls"] if roll["pieces"]]
    opened = sum(r["width"] * r["length"] for r in rolls)
    if totals["roll_area"] != opened:
        broken.append((f"roll area {totals['roll_area']}, the rolls come to {opened}", 0.0))
    split, strips = totals["waste"], totals.get("strips_from_offcuts", 0)
    if totals["field_area"] + sum(split.values()) + strips != totals["roll_area"] or min(split.values()) < 0:
        broken.append((f"field, strips {strips} and waste {split} do not add up to the rolls' {totals['roll_area']}", 0.0))
    offcuts = sum(r["width"] * r["rest"] for r in rolls if r["kept"])
    if split["offcuts"] != offcuts:
        broken.append((f"offcuts {split['offcuts']}, the rests come to {offcuts}", 0.0))
    # Laps and trim counted from the pieces; shoelace areas, exact but for halves.
    laid = sum(p["area"] for p in layout["pieces"])
    cut = sum(p["length"] * width(p) for p in layout["pieces"])
    for part, counted in (("laps", laid - totals["field_area"]), ("trim", cut - laid)):
        if abs(split[part] - counted) > len(layout["pieces"]) + 2:
            broken.append((f"{part} {split[part]}, counted {counted}", 0.0))
    return broken
