"""The protection sheet of a layout, judged with shapely (GEOS).

In: a plan and the `layout.json` made from it. Out: what does not hold, each with its check, how much and where. Must hold: the
sheet is judged from its polygons and numbers, from the reinforcement's polygons and from the plan, never with the project's
code. The checks:

- cover: the sheet covers the decks, all of them and nothing else;
- stock: no piece is longer or wider than its roll, pieces lie apart on the rolls, and the figures add up;
- open: no sheet lies on a bay laid after it, nor nearer to a lap of the reinforcement with such a bay than is asked;
- laps: beside every edge of a piece inside the deck another piece lies, as broad as the lap;
- off: no edge of sheet runs beside a lap of the reinforcement nearer than asked, unless the layout lists a lap or an edge there;
- list: laps and edges that are listed are there, as long and as near as they say;
- layers: no place lies under four sheets, unless the layout names it or lists an end lap there as nearer than the stagger.

Where a zone line is drawn the sheet laps over it; at joints and changes of level it stops. Tolerances as in `laws`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import shapely
from shapely.geometry import LineString, Point

from geometry import EMPTY, areas_of, beyond, box_on_plan, doubled_area, parts, polygonal, to_frame

#: Snapping, mm, as in `laws`.
BAND = 1.5
#: Beyond every plan, mm.
FAR = 1e9
#: Shortest edge of sheet that can be said to run beside anything, mm.
SHORTEST = 200
USUAL = {"sheet_width": 1000, "sheet_length": 20_000, "sheet_lap": 75, "sheet_end_lap": None, "sheet_off_laps": 150, "stagger": 300, "least_offcut": 1000}


@dataclass(frozen=True)
class Broken:
    """What does not hold: the check, what is wrong, by how much and where."""

    check: str
    what: str
    error: float = 0.0
    at: tuple | None = None


class Sheet:
    """A layout with its sheet, as shapes."""

    def __init__(self, plan, layout):
        self.plan, self.layout, self.sheet = plan, layout, layout["protection"]
        products = USUAL | {k: plan["products"][k] for k in USUAL if k in plan["products"]}
        self.width, self.length, self.side = products["sheet_width"], products["sheet_length"], products["sheet_lap"]
        self.end = self.side if products["sheet_end_lap"] is None else products["sheet_end_lap"]
        self.off, self.stagger, self.least_offcut = products["sheet_off_laps"], products["stagger"], products["least_offcut"]
        self.zones = {zone["number"]: zone for zone in layout["zones"]}
        self.areas = {n: areas_of(zone["area"]) for n, zone in self.zones.items()}
        self.bays = {bay["number"]: areas_of(bay["area"]) for bay in layout["bays"]}
        self.pieces = {piece["number"]: piece for piece in self.sheet["pieces"]}
        self.laid = {n: areas_of(piece["as_laid"]) for n, piece in self.pieces.items()}
        self.fleece = [(piece, areas_of(piece["as_laid"])) for piece in layout["pieces"]]
        self.groups = grouped(plan, self.areas)
        pitches = [b["from"] - a["from"] for zone in layout["zones"] for a, b in zip(zone["courses"], zone["courses"][1:])]
        self.open = min([self.off] + [pitch // 2 for pitch in pitches])

    def ground(self, zone):
        """The deck that the sheet of a zone lies on without a stop: its own and that beyond drawn lines."""
        return next(shape for numbers, shape in self.groups if zone in numbers)


def grouped(plan, areas):
    """Zones joined across drawn lines: [(numbers, their deck)]."""
    drawn = [LineString(line["points"]) for line in plan["zone_lines"] if line.get("kind", "drawn") == "drawn"]
    lines = shapely.union_all(drawn).buffer(5) if drawn else EMPTY
    sets = [{n} for n in areas]
    for a, b in combinations(areas, 2):
        if drawn and areas[a].buffer(3).intersection(areas[b].buffer(3)).intersection(lines).area > 6 * 100:
            one, two = (next(s for s in sets if n in s) for n in (a, b))
            if one is not two:
                sets.remove(two)
                one |= two
    return [(s, polygonal(shapely.union_all([areas[n].buffer(1, join_style="mitre") for n in s]).buffer(-1, join_style="mitre"))) for s in sets]


def judge(plan, layout) -> list[Broken]:
    """Every check on one layout."""
    if layout.get("protection") is None:
        laid = layout["pieces"] and all(zone["courses"] for zone in layout["zones"])
        products = USUAL | plan["products"]
        fits = products["sheet_width"] > products["sheet_lap"]
        return [Broken("form", "there are bays and no protection sheet")] if laid and fits and layout.get("days") else []
    sheet = Sheet(plan, layout)
    broken = form(sheet)
    if broken:
        return broken
    for check in (cover, stock, figures, left_open, laps, off, listed, layers):
        broken += check(sheet)
    return broken


def form(sheet):
    """Numbers count from 1, pieces are of their bays, areas are as large as they say."""
    broken = []
    for kind in ("pieces", "rolls"):
        numbers = [thing["number"] for thing in sheet.sheet[kind]]
        if numbers != list(range(1, len(numbers) + 1)):
            broken.append(Broken("form", f"{kind} do not count from 1"))
    if [b["bay"] for b in sheet.sheet["bays"]] != list(sheet.bays):
        broken.append(Broken("form", "the bays of the sheet are not those of the layout"))
    for bay in sheet.sheet["bays"]:
        own = [n for n, p in sheet.pieces.items() if p["bay"] == bay["bay"]]
        if own != bay["pieces"]:
            broken.append(Broken("form", f"bay {bay['bay']} names pieces {bay['pieces']}, has {own}"))
    for n, piece in sheet.pieces.items():
        exact = doubled_area(piece["as_laid"]) / 2
        # A wedge narrower than a mm may be folded over by snapping.
        if abs(piece["area"] - exact) > 1 or abs(sheet.laid[n].area - exact) > max(1.0, sheet.laid[n].length):
            broken.append(Broken("form", f"piece {n}: area stated {piece['area']}, is {exact}", abs(piece["area"] - exact)))
        if piece["length"] != piece["to"] - piece["from"]:
            broken.append(Broken("form", f"piece {n} is not as long as it says"))
    return broken


def cover(sheet):
    """The sheet covers the decks and nothing else; no piece is larger than its rectangle."""
    broken = []
    deck = shapely.union_all(list(sheet.areas.values()))
    laid = shapely.union_all(list(sheet.laid.values()))
    # Where zones part, each snaps its own edge.
    edge = shapely.union_all([area.boundary for area in sheet.areas.values()])
    for rest, what in ((deck.difference(laid), "deck left bare"), (laid.difference(deck), "laid beyond the deck")):
        area, far, place = beyond(rest, edge, BAND)
        if area:
            broken.append(Broken("cover", f"{what}: {area:.0f} mm2", far, place))
    for n, piece in sheet.pieces.items():
        box = box_on_plan(sheet.zones[piece["zone"]]["frame"], (piece["from"], piece["to"]), piece["across"])
        area, far, place = beyond(sheet.laid[n].difference(box), box.boundary, BAND)
        if area:
            broken.append(Broken("cover", f"piece {n} is larger than its cut", far, place))
    return broken


def stock(sheet):
    """Every piece is cut from one roll that holds it, apart from the others."""
    broken, rolls = [], {roll["number"]: roll for roll in sheet.sheet["rolls"]}
    for n, piece in sheet.pieces.items():
        wide = piece["across"][1] - piece["across"][0]
        if piece["length"] > sheet.length or wide > sheet.width or wide <= 0:
            broken.append(Broken("stock", f"piece {n} is {piece['length']} by {wide}, the roll {sheet.length} by {sheet.width}"))
        if piece["roll"] not in rolls or n not in rolls[piece["roll"]]["pieces"]:
            broken.append(Broken("stock", f"piece {n} is cut from no roll"))
        elif piece["roll_from"] < 0 or piece["roll_from"] + piece["length"] > sheet.length or piece["roll_across"] < 0 or piece["roll_across"] + wide > sheet.width:
            broken.append(Broken("stock", f"piece {n} does not lie on its roll"))
    for roll in rolls.values():
        own = [sheet.pieces[n] for n in roll["pieces"]]
        for a, b in combinations(own, 2):
            along = min(a["roll_from"] + a["length"], b["roll_from"] + b["length"]) - max(a["roll_from"], b["roll_from"])
            wide = [p["roll_across"] + p["across"][1] - p["across"][0] for p in (a, b)]
            if along > 0 and min(wide) > max(a["roll_across"], b["roll_across"]):
                broken.append(Broken("stock", f"pieces {a['number']} and {b['number']} overlap on roll {roll['number']}", along))
        used = max((p["roll_from"] + p["length"] for p in own), default=0)
        if not own or used + roll["rest"] != sheet.length:
            broken.append(Broken("stock", f"roll {roll['number']} has {roll['rest']} left, {sheet.length - used} is"))
        if roll["kept"] != (roll["rest"] > 0 and roll["rest"] >= sheet.least_offcut):
            broken.append(Broken("stock", f"roll {roll['number']}: a rest of {roll['rest']} is kept: {roll['kept']}"))
    return broken


def figures(sheet):
    """Sums: of the sheet, of its bays, and the figures of the job and of the days that come from them."""
    broken, stated, pieces = [], sheet.sheet["totals"], sheet.pieces.values()
    def cut(own):
        return sum(p["length"] * (p["across"][1] - p["across"][0]) for p in own)

    kinds = {kind: sum(lap["length"] for lap in sheet.sheet["laps"] if lap["kind"] == kind) for kind in ("side", "end", "zone_line")}
    found = {
        "pieces": len(pieces),
        "cut_area": cut(pieces),
        "laid_area": sum(p["area"] for p in pieces),
        "cut_length": sum(p["length"] for p in pieces),
        "side_laps": kinds["side"],
        "end_laps": kinds["end"],
        "line_laps": kinds["zone_line"],
        "near": sum(lap.get("near", 0) for lap in sheet.sheet["laps"]),
        "rolls": len(sheet.sheet["rolls"]),
    }
    broken += [Broken("figures", f"{k} is {stated[k]}, found {v}", abs(stated[k] - v)) for k, v in found.items() if stated[k] != v]
    for bay in sheet.sheet["bays"]:
        own = cut(sheet.pieces[n] for n in bay["pieces"])
        if bay["cut_area"] != own:
            broken.append(Broken("figures", f"bay {bay['bay']}: {bay['cut_area']} as cut, found {own}", abs(bay["cut_area"] - own)))
    least = math.ceil(found["cut_area"] / (sheet.width * sheet.length))
    if not least <= stated["rolls_least"] <= found["rolls"]:
        broken.append(Broken("figures", f"at least {stated['rolls_least']} rolls of {found['rolls']}, the area alone fills {least}"))
    totals = sheet.layout["totals"]
    if (totals["sheet_area"], totals["sheet_rolls"]) != (found["cut_area"], found["rolls"]):
        broken.append(Broken("figures", f"the job takes {totals['sheet_area']} in {totals['sheet_rolls']} rolls, found {found['cut_area']} in {found['rolls']}"))
    return broken


def left_open(sheet):
    """Laps of the reinforcement with a later bay lie under no sheet laid before that bay, nor near one."""
    broken = []
    tree = shapely.STRtree([shape for _, shape in sheet.fleece])
    numbers = list(sheet.laid)
    over = shapely.STRtree([sheet.laid[n] for n in numbers])
    for p, shape in sheet.fleece:
        for k in tree.query(shape):
            q, other = sheet.fleece[k]
            if not p["bay"] < q["bay"]:
                continue
            lap = polygonal(shape.intersection(other)).buffer(-BAND / 2, join_style="mitre")
            if lap.is_empty:
                continue
            # Beyond a joint nothing is joined, and sheet may lie as near as it likes.
            near = lap.buffer(BAND / 2 + max(0.0, sheet.open - BAND)).intersection(sheet.ground(q["zone"]))
            for j in over.query(near):
                piece = sheet.pieces[numbers[j]]
                rest = sheet.laid[numbers[j]].intersection(near) if piece["bay"] < q["bay"] else EMPTY
                if rest.area > 100:
                    at = rest.representative_point()
                    broken.append(Broken("open", f"sheet piece {piece['number']} of bay {piece['bay']} covers the lap of bays {p['bay']} and {q['bay']}", rest.area, (round(at.x), round(at.y))))
    for n, piece in sheet.pieces.items():
        for bay, shape in sheet.bays.items():
            if bay > piece["bay"]:
                area, far, place = beyond(sheet.laid[n].intersection(shape), shape.boundary, BAND)
                if area:
                    broken.append(Broken("open", f"sheet piece {n} of bay {piece['bay']} lies on bay {bay}", far, place))
    return broken


def edges(sheet, n):
    """The edges of a piece inside the deck, in the frame of its zone: [(line, 'side' | 'end' | 'other')]."""
    piece = sheet.pieces[n]
    frame, ground = sheet.zones[piece["zone"]]["frame"], sheet.ground(piece["zone"])
    # Where the piece ends with the deck nothing laps.
    inner = sheet.laid[n].boundary.difference(ground.boundary.buffer(2 * BAND))
    for line in getattr(inner, "geoms", [inner]):
        points = list(to_frame(frame, line).coords)
        for a, b in zip(points, points[1:]):
            d = (abs(b[0] - a[0]), abs(b[1] - a[1]))
            if max(d) > 2 * BAND:
                kind = "side" if d[1] <= BAND else "end" if d[0] <= BAND else "other"
                yield LineString([a, b]), kind


def laps(sheet):
    """Beside every edge of a piece inside the deck another piece lies, as broad as the lap, on the piece's own side."""
    broken = []
    numbers = list(sheet.laid)
    tree = shapely.STRtree([sheet.laid[n] for n in numbers])
    for n in numbers:
        piece, own = sheet.pieces[n], sheet.laid[n]
        frame, ground = sheet.zones[piece["zone"]]["frame"], sheet.ground(piece["zone"])
        others = shapely.union_all([sheet.laid[numbers[k]] for k in tree.query(own) if numbers[k] != n])
        own, others, wall = to_frame(frame, own), to_frame(frame, others), to_frame(frame, ground.boundary)
        for line, kind in edges(sheet, n):
            lap = {"side": sheet.side, "end": sheet.end}.get(kind, min(sheet.side, sheet.end))
            if lap <= 2 * BAND:
                continue
            strip = line.buffer(lap - BAND, cap_style="flat").intersection(own)
            rest = polygonal(strip.difference(others)).buffer(-BAND / 2, join_style="mitre")
            # A strip may reach past a re-entrant corner of the deck.
            rest = polygonal(rest.difference(wall.buffer(2 * BAND)))
            if rest.area > 100:
                at = rest.representative_point()
                at = shapely.Point(*to_place(frame, at))
                broken.append(Broken("laps", f"piece {n} of bay {piece['bay']}: nothing laps its {kind} edge over {line.length:.0f} mm", rest.area, (round(at.x), round(at.y))))
    return broken


def to_place(frame, at):
    """A place of a frame, on the plan."""
    return [o / 1000 + at.x * a + at.y * c for o, a, c in zip(frame["origin_um"], frame["along"], frame["across"])]


def bands(sheet, zone):
    """Laps of the reinforcement of a zone in its frame: (along the courses, across them), from its pieces as laid."""
    frame = sheet.zones[zone]["frame"]
    own = [(p, to_frame(frame, shape)) for p, shape in sheet.fleece if p["zone"] == zone]
    side, end = [], []
    for (p, one), (q, two) in combinations(own, 2):
        apart = abs(p["course"] - q["course"])
        if apart > 1 or min(p["to"], q["to"]) <= max(p["from"], q["from"]):
            continue
        shared = polygonal(one.intersection(two))
        (end if apart == 0 else side).extend(part for part in parts(shared) if part.area > 100)
    return side, end


def off(sheet):
    """No edge of sheet runs beside a lap of the reinforcement nearer than asked, unless a lap listed as near lies there."""
    broken = []
    for zone in sheet.zones:
        side, end = bands(sheet, zone)
        frame = sheet.zones[zone]["frame"]
        near = [lap for lap in sheet.sheet["laps"] if lap.get("off") is not None and sheet.pieces[lap["pieces"][1]]["zone"] == zone]
        # A lap listed stands for the corners where it meets others, too.
        room = max(sheet.side, sheet.end) + 2 * BAND
        boxes = [shapely.box(lap["along"][0], lap["across"][0], lap["along"][1], lap["across"][1]).buffer(room, join_style="mitre") for lap in near]
        for edge in sheet.sheet.get("near_edges", []):
            if sheet.pieces[edge["piece"]]["zone"] == zone:
                (u0, u1), (v0, v1) = edge["along"], edge["across"]
                boxes.append(LineString([(u0, v0), (u1, v1)]).buffer(2 * BAND, cap_style="square"))
        known = shapely.union_all(boxes) if boxes else EMPTY
        for n, piece in sheet.pieces.items():
            if piece["zone"] != zone:
                continue
            for line, kind in edges(sheet, n):
                if kind == "other" or line.length < SHORTEST:
                    continue
                axis = 0 if kind == "side" else 1
                for band in side if kind == "side" else end:
                    lo, hi = band.bounds[axis], band.bounds[axis + 2]
                    ends = sorted(c[axis] for c in line.coords)
                    beside = min(hi, ends[1]) - max(lo, ends[0])
                    if beside < SHORTEST:
                        continue
                    gap = line.distance(band)
                    # What lies past the lap's ends runs beside nothing.
                    reach = (lo, -FAR, hi, FAR) if axis == 0 else (-FAR, lo, FAR, hi)
                    too_near = band.buffer(sheet.off - BAND, join_style="mitre").intersection(shapely.box(*reach))
                    if gap < sheet.off - BAND and line.intersection(too_near).difference(known).length >= SHORTEST:
                        at = to_place(frame, line.interpolate(0.5, normalized=True))
                        broken.append(Broken("off", f"piece {n} of bay {piece['bay']}: a {kind} edge runs {gap:.0f} mm from a lap of the reinforcement over {beside:.0f} mm", sheet.off - gap, tuple(map(round, at))))
    return broken


def listed(sheet):
    """Laps listed are there; those of some length are listed; what is said to be near is."""
    broken, zone_of = [], {n: p["zone"] for n, p in sheet.pieces.items()}
    numbers = list(sheet.laid)
    tree = shapely.STRtree([sheet.laid[n] for n in numbers])
    known = {tuple(lap["pieces"]) for lap in sheet.sheet["laps"]}
    most = max(sheet.side, sheet.end, 1)
    for n in numbers:
        for k in tree.query(sheet.laid[n]):
            m = numbers[k]
            if m > n and (n, m) not in known:
                # What is narrower than a lap is what two pieces share beside a third that laps them both.
                lap = polygonal(sheet.laid[n].intersection(sheet.laid[m]))
                lap = lap.buffer(BAND - min(sheet.side, sheet.end) / 2, join_style="mitre")
                shared = lap.buffer(min(sheet.side, sheet.end) / 2 - BAND, join_style="mitre").area
                if shared > 5 * most * most:
                    broken.append(Broken("list", f"pieces {n} and {m} lap and are not listed", shared))
    below = {zone: bands(sheet, zone) for zone in sheet.zones}
    for lap in sheet.sheet["laps"]:
        one, two = (sheet.laid[n] for n in lap["pieces"])
        shared = polygonal(one.intersection(two))
        name = f"lap of pieces {lap['pieces']}"
        if shared.is_empty:
            broken.append(Broken("list", f"{name} is not there"))
            continue
        if lap["kind"] == "zone_line":
            continue
        zone = zone_of[lap["pieces"][1]]
        box = shapely.box(lap["along"][0], lap["across"][0], lap["along"][1], lap["across"][1])
        (u0, u1), (v0, v1) = lap["along"], lap["across"]
        middle = LineString([(u0, (v0 + v1) / 2), (u1, (v0 + v1) / 2)] if lap["kind"] == "side" else [((u0 + u1) / 2, v0), ((u0 + u1) / 2, v1)])
        length = middle.intersection(to_frame(sheet.zones[zone]["frame"], shared)).length
        breadth = v1 - v0 if lap["kind"] == "side" else u1 - u0
        if abs(length - lap["length"]) > 4 * BAND + 0.002 * length:
            broken.append(Broken("list", f"{name} is said to be {lap['length']} long, is {length:.0f}", abs(length - lap["length"])))
        if (breadth < (sheet.side if lap["kind"] == "side" else sheet.end)) != lap.get("narrow", False):
            broken.append(Broken("list", f"{name} is {breadth} broad", breadth))
        if lap.get("off") is not None:
            found = [band for band in below[zone][0 if lap["kind"] == "side" else 1] if box.distance(band) <= lap["off"] + BAND]
            if not found or lap["off"] >= sheet.off or lap.get("near", 0) <= 0:
                broken.append(Broken("list", f"{name} is said to be {lap['off']} off a lap of the reinforcement"))
    for edge in sheet.sheet.get("near_edges", []):
        zone = zone_of[edge["piece"]]
        (u0, u1), (v0, v1) = edge["along"], edge["across"]
        line = LineString([(u0, v0), (u1, v1)])
        rim = to_frame(sheet.zones[zone]["frame"], sheet.laid[edge["piece"]].boundary)
        astray = line.difference(rim.buffer(2 * BAND)).length
        found = [band for band in below[zone][0 if edge["kind"] == "side" else 1] if line.distance(band) <= edge["off"] + 2 * BAND]
        if astray > 2 * BAND or not found or not 0 <= edge["off"] < sheet.off:
            broken.append(Broken("list", f"edge of piece {edge['piece']} at {edge['along']} {edge['across']} is not there or not {edge['off']} near", astray))
    return broken


def layers(sheet):
    """No place under four sheets, but those named, and near an end lap listed as nearer than the stagger to one beside it."""
    numbers, four, any_four = list(sheet.laid), [], []
    tree = shapely.STRtree([sheet.laid[n] for n in numbers])
    over = {n: [numbers[k] for k in tree.query(sheet.laid[n]) if numbers[k] > n] for n in numbers}
    for n in numbers:
        for a, b, c in combinations(over[n], 3):
            shared = polygonal(sheet.laid[n].intersection(sheet.laid[a]).intersection(sheet.laid[b]).intersection(sheet.laid[c]))
            any_four += [shared] if shared.area > 1 else []
            four += [shared] if shared.buffer(-BAND / 2, join_style="mitre").area > 100 else []
    named = [Point(at) for at in sheet.sheet.get("deep", [])]
    astray = [at for at in named if not any(shape.distance(at) <= BAND for shape in any_four)]
    broken = [Broken("layers", "no four sheets where the layout names them", 1.0, (at.x, at.y)) for at in astray]
    crowded = [Point(lap["at"]) for lap in sheet.sheet["laps"] if lap.get("stagger") is not None]
    return broken + [
        Broken("layers", f"four sheets over {shape.area:.0f} mm2", shape.area, tuple(map(round, shape.representative_point().coords[0])))
        for shape in four
        if all(shape.distance(at) > 2 * sheet.width for at in crowded) and all(shape.distance(at) > BAND for at in named)
    ]
