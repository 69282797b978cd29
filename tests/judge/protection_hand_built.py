"""A sheet laid by hand on the hand-built layout, to test the judge of the sheet.

In: nothing. Out: the plan and the layout of `hand_built` with a protection sheet: rolls of 1000 mm and 6 m, laps of 75 mm, 150 mm
off the laps of the reinforcement. Bays 1 and 3 stop 150 mm short of bays 2 and 4, which lap on to them; in zone 1 every course takes
two pieces. Must hold: nothing is broken. It is no engine: it only knows this rectangle.
"""

from __future__ import annotations

import hand_built
from hand_built import CLEAR, HEIGHT, JOINT

WIDTH, LENGTH, LAP, OFF = 1000, 6000, 75, 150
#: Courses of sheet of the first and the second bay of a zone, in its frame.
STRIPS = ([(-50, 775), (700, 1700), (1625, 2625)], [(2550, 3550), (3475, 4475), (4400, 4750)])


def plan():
    """The plan."""
    made = hand_built.plan()
    made["products"] |= {"sheet_width": WIDTH, "sheet_length": LENGTH, "sheet_lap": LAP, "sheet_off_laps": OFF}
    return made


def layout():
    """The layout with its sheet."""
    made = hand_built.layout()
    made["protection"] = sheet()
    return add_up(made)


def sheet():
    """The sheet, its figures not added up."""
    bays, pieces = [], []
    for zone, (x0, x1) in enumerate([(0, JOINT), (JOINT, 12_100)], start=1):
        origin = CLEAR if zone == 1 else x0
        for half, strips in enumerate(STRIPS):
            bay = 2 * zone - 1 + half
            courses = [{"number": k, "from": lo, "to": hi} for k, (lo, hi) in enumerate(strips, start=1)]
            bays.append({"bay": bay, "zone": zone, "courses": courses, "pieces": [], "cut_area": 0})
            for course in courses:
                # Rolled out as far as they go, every other one 400 mm shorter.
                cut = LENGTH - 400 * ((course["number"] + half) % 2)
                spans = [(x0, x1)] if x1 - x0 <= LENGTH else [(x0, x0 + cut), (x0 + cut - LAP, x1)]
                for a, b in spans:
                    v0, v1 = course["from"], course["to"]
                    rect = hand_built.rect(a, max(0, v0 + CLEAR), b, min(HEIGHT, v1 + CLEAR))
                    piece = {"number": len(pieces) + 1, "zone": zone, "bay": bay, "course": course["number"]}
                    piece |= {"from": a - origin, "to": b - origin, "across": [v0, v1], "length": b - a}
                    piece |= {"as_laid": [rect], "roll": 0, "roll_from": 0, "roll_across": 0}
                    pieces.append(piece)
    return {"bays": bays, "pieces": pieces, "laps": [], "rolls": [], "totals": {}}


def add_up(made):
    """Everything that follows from the pieces: areas, laps, rolls, sums."""
    sheet = made["protection"]
    for piece in sheet["pieces"]:
        (x0, y0), _, (x1, y1), _ = piece["as_laid"][0][0]
        piece["area"] = (x1 - x0) * (y1 - y0)
    sheet["laps"] = laps(made)
    sheet["rolls"] = cut(sheet["pieces"])
    for bay in sheet["bays"]:
        own = [p for p in sheet["pieces"] if p["bay"] == bay["bay"]]
        bay["pieces"] = [p["number"] for p in own]
        bay["cut_area"] = sum(cut_area(p) for p in own)
    length = {kind: sum(lap["length"] for lap in sheet["laps"] if lap["kind"] == kind) for kind in ("side", "end")}
    area = sum(bay["cut_area"] for bay in sheet["bays"])
    rolls = len(sheet["rolls"])
    sheet["totals"] = {
        "pieces": len(sheet["pieces"]), "cut_area": area, "laid_area": sum(p["area"] for p in sheet["pieces"]),
        "cut_length": sum(p["length"] for p in sheet["pieces"]), "side_laps": length["side"], "end_laps": length["end"],
        "line_laps": 0, "near": 0, "rolls": rolls, "rolls_least": -(-area // (WIDTH * LENGTH)),
    }
    made["totals"] |= {"sheet_area": area, "sheet_rolls": rolls}
    return made


def cut_area(piece):
    return piece["length"] * (piece["across"][1] - piece["across"][0])


def laps(made):
    """Where rectangles of one zone overlap for more than a corner."""
    found, pieces = [], made["protection"]["pieces"]
    for i, p in enumerate(pieces):
        for q in pieces[i + 1 :]:
            (x0, y0), _, (x1, y1), _ = p["as_laid"][0][0]
            (a0, b0), _, (a1, b1), _ = q["as_laid"][0][0]
            along, across = (max(x0, a0), min(x1, a1)), (max(y0, b0), min(y1, b1))
            size = (along[1] - along[0], across[1] - across[0])
            if p["zone"] != q["zone"] or min(size) <= 0 or max(size) <= 2 * LAP:
                continue
            u, origin = size[0] >= size[1], CLEAR if p["zone"] == 1 else JOINT
            lap = {"kind": "side" if u else "end", "pieces": [p["number"], q["number"]]}
            lap |= {"along": [v - origin for v in along], "across": [v - CLEAR for v in across], "length": max(size)}
            found.append(lap | {"at": [sum(along) // 2, sum(across) // 2]})
    return found


def cut(pieces):
    """Rolls filled one after the other, each piece as wide as its roll."""
    rolls = []
    for piece in pieces:
        room = next((r for r in rolls if r["rest"] >= piece["length"]), None)
        if room is None:
            room = {"number": len(rolls) + 1, "pieces": [], "rest": LENGTH, "kept": False}
            rolls.append(room)
        piece |= {"roll": room["number"], "roll_from": LENGTH - room["rest"], "roll_across": 0}
        room["pieces"].append(piece["number"])
        room["rest"] -= piece["length"]
        room["kept"] = room["rest"] >= 1000
    return rolls
