"""A small sound layout built here by plain arithmetic, to test the judge itself.

In: nothing. Out: a plan of a 12.1 x 4.8 m deck with a movement joint, and a layout of it: two zones of five courses,
each course of the first zone in two pieces. Must hold: no law is broken. It is no engine: it only knows this rectangle.
"""

from __future__ import annotations

from plans import Draw

CLEAR, WIDTH, LAP, PITCH = 50, 1000, 75, 925
JOINT = 9000
COURSES = 5
ROLL = 15_000


def plan():
    """The plan."""
    draw = Draw("hand built", rolls=[{"name": "", "width": WIDTH, "length": ROLL, "on_hand": None}], longest_piece=6000)
    draw.deck((0, 0), (12_100, 0), (12_100, 4800), (0, 4800)).joint((JOINT, 0), (JOINT, 4800))
    return draw.plan


def rect(x0, y0, x1, y1):
    """A region: one rectangle, anticlockwise."""
    return [[[x0, y0], [x1, y0], [x1, y1], [x0, y1]]]


def layout():
    """The layout."""
    zones, bays, pieces = [], [], []
    for number, (x0, x1) in enumerate([(0, JOINT), (JOINT, 12_100)], start=1):
        # The clear strip is kept along the walls, not along the joint.
        u0, u1 = (CLEAR, x1) if number == 1 else (x0, x1 - CLEAR)
        courses = [{"number": k + 1, "from": k * PITCH, "to": k * PITCH + WIDTH} for k in range(COURSES)]
        frame = {"origin_um": [u0 * 1000, CLEAR * 1000], "along": [1.0, 0.0], "across": [0.0, 1.0]}
        zones.append(
            {
                "number": number,
                "deck": 1,
                "frame": frame,
                "direction_mdeg": 0,
                "area": [rect(x0, 0, x1, 4800)],
                "field": [rect(u0, CLEAR, u1, 4800 - CLEAR)],
                "courses": courses,
            }
        )
        for first, last in ((1, 3), (4, 5)):
            add_bay(bays, pieces, number, (x0, x1), (u0, u1), (first, last))
    rolls = cut(pieces)
    made = {"format": "baylap-layout", "version": 1, "job": "hand built", "zones": zones, "bays": bays}
    made |= {"pieces": pieces, "rolls": rolls, "details": {}, "totals": {}, "findings": []}
    return add_up(made)


def add_bay(bays, pieces, zone, deck, field, courses):
    """A bay of some whole courses with its pieces."""
    first, last = courses
    y0 = 0 if first == 1 else CLEAR + (first - 1) * PITCH
    y1 = 4800 if last == COURSES else CLEAR + last * PITCH
    bay = {"number": len(bays) + 1, "zone": zone, "courses": [first, last], "area": [rect(deck[0], y0, deck[1], y1)]}
    bay |= {"size": (deck[1] - deck[0]) * (y1 - y0), "length": deck[1] - deck[0], "pieces": [], "beside": []}
    bay["label"] = [(deck[0] + deck[1]) // 2, (y0 + y1) // 2]
    for course in range(first, last + 1):
        length = field[1] - field[0]
        # Neighbouring courses are cut 400 mm apart.
        cuts = [0] if length <= 6000 else [0, 4000 + 400 * (course % 2)]
        for k, start in enumerate(cuts):
            end = cuts[k + 1] + LAP if k + 1 < len(cuts) else length
            piece = {"number": len(pieces) + 1, "zone": zone, "bay": bay["number"], "course": course}
            v0 = (course - 1) * PITCH
            top = min(CLEAR + v0 + WIDTH, 4800 - CLEAR)
            piece |= {"from": start, "to": end, "length": end - start, "across": [v0, v0 + WIDTH]}
            piece |= {"lap_from": LAP if k else 0, "lap_to": LAP if k + 1 < len(cuts) else 0}
            piece |= {"lap_before": LAP if course > 1 else 0, "lap_after": LAP if course < COURSES else 0}
            piece["as_laid"] = [rect(field[0] + start, CLEAR + v0, field[0] + end, top)]
            piece["area"] = (end - start) * (top - CLEAR - v0)
            bay["pieces"].append(piece["number"])
            pieces.append(piece)
    bays.append(bay)


def cut(pieces):
    """Rolls opened one after the other."""
    rolls = []
    for piece in pieces:
        if not rolls or rolls[-1]["rest"] < piece["length"]:
            rolls.append({"number": len(rolls) + 1, "kind": 0, "width": WIDTH, "length": ROLL, "pieces": [], "kerf": 0, "rest": ROLL})
        roll = rolls[-1]
        piece |= {"roll": roll["number"], "roll_from": ROLL - roll["rest"]}
        roll["pieces"].append(piece["number"])
        roll["rest"] -= piece["length"]
    for roll in rolls:
        roll["kept"] = roll["rest"] >= 1000
    return rolls


def add_up(layout):
    """Fills in the totals, after a change too."""
    pieces, rolls = layout["pieces"], layout["rolls"]
    field = sum((z["field"][0][0][2][0] - z["field"][0][0][0][0]) * (z["field"][0][0][2][1] - z["field"][0][0][0][1]) for z in layout["zones"])
    laid, cut_area = sum(p["area"] for p in pieces), sum(p["length"] * (p["across"][1] - p["across"][0]) for p in pieces)
    rest = {kept: sum(r["width"] * r["rest"] for r in rolls if r["kept"] == kept) for kept in (True, False)}
    length = sum(p["length"] for p in pieces)
    layout["totals"] = {
        "field_area": field,
        "deck_area": 12_100 * 4800,
        "pieces": len(pieces),
        "bays": len(layout["bays"]),
        "cut_length": length,
        "rolls": len(rolls),
        "rolls_least": -(-length // ROLL),
        "proved": len(rolls) == -(-length // ROLL),
        "roll_area": sum(r["width"] * r["length"] for r in rolls),
        "waste": {"laps": laid - field, "trim": cut_area - laid, "scrap": rest[False], "offcuts": rest[True]},
    }
    return layout
