"""A small sound layout built here by plain arithmetic, to test the judge itself.

In: nothing. Out: a plan of a 12.1 x 4.8 m deck with a movement joint, and a layout of it: two zones of five courses,
each course of the first zone in two pieces. With a height of 4.25 m the last course is 450 mm wide, and its pieces are slit
two by two from one length. Must hold: no law is broken. It is no engine: it only knows this rectangle.
"""

from __future__ import annotations

from plans import Draw

CLEAR, WIDTH, LAP, PITCH = 50, 1000, 75, 925
JOINT = 9000
COURSES = 5
ROLL = 15_000
HEIGHT, HEIGHT_SLIT = 4800, 4250


def plan(height=HEIGHT, **products):
    """The plan."""
    rolls = [{"name": "", "width": WIDTH, "length": ROLL, "on_hand": None}]
    draw = Draw("hand built", rolls=rolls, longest_piece=6000, slitting="any_piece", **products)
    draw.deck((0, 0), (12_100, 0), (12_100, height), (0, height)).joint((JOINT, 0), (JOINT, height))
    return draw.plan


def rect(x0, y0, x1, y1):
    """A region: one rectangle, anticlockwise."""
    return [[[x0, y0], [x1, y0], [x1, y1], [x0, y1]]]


def layout(height=HEIGHT):
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
                "area": [rect(x0, 0, x1, height)],
                "field": [rect(u0, CLEAR, u1, height - CLEAR)],
                "courses": courses,
            }
        )
        for first, last in ((1, 3), (4, 5)):
            add_bay(bays, pieces, number, (x0, x1, height), (u0, u1), (first, last))
    rolls = cut(pieces)
    made = {"format": "baylap-layout", "version": 1, "job": "hand built", "zones": zones, "bays": bays}
    made |= {"pieces": pieces, "rolls": rolls, "details": {}, "totals": {}, "findings": []}
    return add_up(made)


def add_bay(bays, pieces, zone, deck, field, courses):
    """A bay of some whole courses with its pieces."""
    first, last = courses
    y0 = 0 if first == 1 else CLEAR + (first - 1) * PITCH
    y1 = deck[2] if last == COURSES else CLEAR + last * PITCH
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
            top = min(CLEAR + v0 + WIDTH, deck[2] - CLEAR)
            piece |= {"from": start, "to": end, "length": end - start, "across": [v0, top - CLEAR]}
            piece |= {"lap_from": LAP if k else 0, "lap_to": LAP if k + 1 < len(cuts) else 0}
            piece |= {"lap_before": LAP if course > 1 else 0, "lap_after": LAP if course < COURSES else 0}
            piece["as_laid"] = [rect(field[0] + start, CLEAR + v0, field[0] + end, top)]
            piece["area"] = (end - start) * (top - CLEAR - v0)
            bay["pieces"].append(piece["number"])
            pieces.append(piece)
    bays.append(bay)


def cut(pieces):
    """Rolls opened one after the other; a slit piece lies beside the one before it where it can."""
    rolls, beside = [], None
    for piece in pieces:
        wide = piece["across"][1] - piece["across"][0]
        longer = max(0, piece["length"] - beside["length"]) if beside else 0
        if beside and wide < WIDTH and beside["free"] + wide <= WIDTH and longer <= rolls[-1]["rest"]:
            piece |= {"roll": rolls[-1]["number"], "roll_from": beside["from"], "roll_across": beside["free"]}
            rolls[-1]["pieces"].append(piece["number"])
            rolls[-1]["rest"] -= longer
            beside = {"from": beside["from"], "length": beside["length"] + longer, "free": beside["free"] + wide}
            continue
        if not rolls or rolls[-1]["rest"] < piece["length"]:
            rolls.append({"number": len(rolls) + 1, "kind": 0, "width": WIDTH, "length": ROLL, "pieces": [], "strips": [], "kerf": 0, "rest": ROLL})
        roll = rolls[-1]
        piece |= {"roll": roll["number"], "roll_from": ROLL - roll["rest"], "roll_across": 0}
        beside = {"from": piece["roll_from"], "length": piece["length"], "free": wide}
        roll["pieces"].append(piece["number"])
        roll["rest"] -= piece["length"]
    for roll in rolls:
        roll["kept"] = roll["rest"] >= 1000
    return rolls


def add_strips(layout):
    """Strips for all upstands, 150 mm high on a foot of 150 mm: six of six metres, three side by side, from a roll of their own."""
    number = len(layout["rolls"]) + 1
    layout["strips"] = [
        {"number": k + 1, "at": [0, 0], "length": 6000, "width": 300, "roll": number, "roll_from": 6000 * (k // 3), "roll_across": 300 * (k % 3), "from_offcut": False}
        for k in range(6)
    ]
    roll = {"number": number, "kind": 0, "width": WIDTH, "length": ROLL, "pieces": [], "strips": [1, 2, 3, 4, 5, 6]}
    layout["rolls"].append(roll | {"kerf": 0, "rest": ROLL - 12_000, "kept": True})


def add_up(layout):
    """Fills in the totals, after a change too."""
    pieces, rolls = layout["pieces"], [r for r in layout["rolls"] if r["pieces"]]
    field = sum((z["field"][0][0][2][0] - z["field"][0][0][0][0]) * (z["field"][0][0][2][1] - z["field"][0][0][0][1]) for z in layout["zones"])
    laid, cut_area = sum(p["area"] for p in pieces), sum(p["length"] * (p["across"][1] - p["across"][0]) for p in pieces)
    opened, offcuts = sum(r["width"] * r["length"] for r in rolls), sum(r["width"] * r["rest"] for r in rolls if r["kept"])
    cuts = {(p["roll"], p["roll_from"]): 0 for p in pieces}
    for p in pieces:
        cuts[p["roll"], p["roll_from"]] = max(cuts[p["roll"], p["roll_from"]], p["length"])
    length = sum(p["length"] for p in pieces)
    layout["totals"] = {
        "field_area": field,
        "deck_area": sum(b["size"] for b in layout["bays"]),
        "pieces": len(pieces),
        "bays": len(layout["bays"]),
        "cut_length": length,
        "end_laps": sum(p["lap_to"] > 0 for p in pieces),
        "rolls": len(rolls),
        "rolls_least": -(-sum(cuts.values()) // ROLL),
        "rolls_by_area": -(-field // (WIDTH * ROLL)),
        "rolls_by_length": -(-field // (WIDTH * ROLL)),
        "open_rolls": 1,
        "strip_rolls": len(layout["rolls"]) - len(rolls),
        "strips_from_offcuts": 0,
        "proved": len(rolls) == -(-sum(cuts.values()) // ROLL),
        "roll_area": opened,
        "waste": {"laps": laid - field, "trim": cut_area - laid, "scrap": opened - cut_area - offcuts, "offcuts": offcuts},
    }
    return layout
