"""Laws 1 to 7 and 11 of a layout, judged with shapely (GEOS).

In: a plan and the `layout.json` made from it. Out: a list of broken laws, each with its number, what is wrong, how much
and where. Must hold: each law is judged from the polygons and the numbers of the layout file and from the plan itself,
never with the project's code. A law is a function of a `Case`; law 10 compares layouts and is in `test_sameness.py`;
laws 8 and 9 are not judged here.

Tolerances. Whole-mm polygons that share corners are compared exactly (relative 1e-6, which is the overlay's own noise).
What is recomputed from the plan is compared within BAND: the layout snaps a computed corner once to whole mm, so a shared
edge can lie up to 0.71 mm off, and as much again where a snapped corner is put on a slanting edge.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, field as dataclass_field
from itertools import combinations, pairwise

import shapely
from shapely.geometry import LineString

import geometry
import limits
import stock as rolls
from geometry import areas_of, beyond, box_on_plan, doubled_area, drawn, parts, to_frame

BAND = 1.5
EXACT = 1e-6
LAWS = {
    0: "form",
    1: "cover",
    2: "laps",
    3: "clear",
    4: "stagger",
    5: "stock",
    6: "bays",
    7: "joints",
    10: "sameness",
    11: "bounds",
}


@dataclass(frozen=True)
class Broken:
    """One broken law: what is wrong, by how much (mm, or a share where it says so) and where on the plan."""

    law: int
    what: str
    error: float = 0.0
    at: tuple | None = None


@dataclass
class Case:
    """A plan with its layout."""

    name: str
    plan: dict
    layout: dict
    worst: dict = dataclass_field(default_factory=dict)

    @functools.cached_property
    def products(self):
        return self.plan["products"]

    @functools.cached_property
    def drawn(self):
        return drawn(self.plan)

    @functools.cached_property
    def zones(self):
        return {zone["number"]: zone for zone in self.layout["zones"]}

    @functools.cached_property
    def zone_fields(self):
        return {n: areas_of(zone["field"]) for n, zone in self.zones.items()}

    @functools.cached_property
    def zone_areas(self):
        return {n: areas_of(zone["area"]) for n, zone in self.zones.items()}

    @functools.cached_property
    def pieces(self):
        return {piece["number"]: piece for piece in self.layout["pieces"]}

    @functools.cached_property
    def rolls(self):
        return {roll["number"]: roll for roll in self.layout["rolls"]}

    @functools.cached_property
    def strips(self):
        return {strip["number"]: strip for strip in self.layout.get("strips", [])}

    @functools.cached_property
    def laid(self):
        return {n: areas_of(piece["as_laid"]) for n, piece in self.pieces.items()}

    @functools.cached_property
    def bay_areas(self):
        return {bay["number"]: areas_of(bay["area"]) for bay in self.layout["bays"]}

    @functools.cached_property
    def field(self):
        return shapely.union_all(list(self.zone_fields.values()))

    @functools.cached_property
    def cover(self):
        return shapely.union_all(list(self.laid.values()))

    def course_pieces(self, zone, course):
        """Pieces of one course, by chainage."""
        return sorted(self.by_course.get((zone, course), []), key=lambda p: (p["from"], p["to"]))

    @functools.cached_property
    def by_course(self):
        groups: dict = {}
        for piece in self.layout["pieces"]:
            groups.setdefault((piece["zone"], piece["course"]), []).append(piece)
        return groups

    def note(self, law, error):
        """Remembers the greatest departure that was still within tolerance or not."""
        self.worst[law] = max(self.worst.get(law, 0.0), float(error))

    def has_finding(self, test, place=None, within=2000.0):
        """Whether some finding passes a test, and lies near a place if one is given."""
        return any(
            test(f) and (place is None or (f["at"] is not None and math.dist(f["at"], place) <= within))
            for f in self.layout["findings"]
        )


def judge(case) -> list[Broken]:
    """Every law on one layout."""
    broken = form(case)
    if any(b.law == 0 for b in broken):
        return broken
    for law in (cover, laps, clear, stagger, stock, bays, joints, bounds):
        broken += law(case)
    return broken


def form(case):
    """Law 0, of the file itself: numbers count from 1, areas are valid and as large as they say."""
    layout = case.layout
    if (layout["format"], layout["version"]) != ("baylap-layout", 1):
        return [Broken(0, f"format is {layout['format']!r} version {layout['version']}")]
    broken = []
    for kind in ("zones", "bays", "pieces", "rolls", "strips"):
        numbers = [thing["number"] for thing in layout.get(kind, [])]
        if numbers != list(range(1, len(numbers) + 1)):
            broken.append(Broken(0, f"{kind} do not count from 1"))
    regions = [(f"piece {p['number']}", p["as_laid"], p["area"]) for p in layout["pieces"]]
    regions += [(f"bay {b['number']}", b["area"], b["size"]) for b in layout["bays"]]
    for zone in layout["zones"]:
        regions += [(f"zone {zone['number']} {k}", zone[k], None) for k in ("area", "field")]
    for name, area, stated in regions:
        exact = doubled_area(area) / 2
        if abs(areas_of(area).area - exact) > max(1.0, EXACT * exact):
            broken.append(Broken(0, f"{name}: its regions overlap or wind the wrong way", exact, tuple(area[0][0][0])))
        if stated is not None and abs(stated - exact) > 1:
            broken.append(Broken(0, f"{name}: area stated {stated}, is {exact}", abs(stated - exact)))
    for piece in layout["pieces"]:
        if piece["zone"] not in case.zones or piece["length"] != piece["to"] - piece["from"] or not piece["as_laid"]:
            broken.append(Broken(0, f"piece {piece['number']} is not sound"))
    return broken


# Law 1


def cover(case):
    """The pieces cover the field, all of it and nothing else; the field is the plan's own."""
    broken = []
    field, laid = case.field, case.cover
    if field.area == 0:
        if not laid.is_empty:
            broken.append(Broken(1, "pieces where there is no field", laid.area))
    else:
        bare, outside = field.difference(laid), laid.difference(field)
        case.note(1, (bare.area + outside.area) / field.area)
        for rest, what in ((bare, "field left bare"), (outside, "laid outside the field")):
            if rest.area / field.area > EXACT:
                broken.append(Broken(1, f"{what}: {rest.area:.0f} mm2", rest.area / field.area, place_in(rest)))
    own = case.drawn
    broken += same_area(case, field, own.field, own.round_edges, "field")
    broken += same_area(case, shapely.union_all(list(case.zone_areas.values())), deck_net(case), own.round_edges, "zones")
    broken += [b for n, area in case.zone_areas.items() for b in field_within(case, n, area)]
    # Fields that meet at a line of the plan may overlap or part by their snapping, up to 1 mm along it.
    parting = sum(LineString(line["points"]).length for line in case.plan["joints"] + case.plan["zone_lines"])
    if abs(case.layout["totals"]["field_area"] - field.area) > max(2.0, EXACT * field.area) + parting:
        broken.append(Broken(1, "totals.field_area is not the area of the field"))
    return broken


def deck_net(case):
    """The deck that the zones partition: net of openings."""
    return case.drawn.deck


def same_area(case, theirs, ours, round_edges, name):
    """Broken laws where an area of the layout departs from the judge's own by more than snapping explains."""
    broken = []
    missing = ours.difference(theirs).difference(round_edges)
    extra = theirs.difference(ours)
    # Where zones part, each snaps its own edge.
    lines = [LineString(line["points"]) for line in case.plan["joints"] + case.plan["zone_lines"]]
    edge = shapely.union_all([geometry.polygonal(ours).boundary, *lines])
    for law, rest, what in ((1, missing, f"{name} lacks a part"), (3 if name == "field" else 1, extra, f"{name} goes too far")):
        area, far, place = beyond(rest, edge, BAND)
        if area:
            broken.append(Broken(law, f"{what}: {area:.0f} mm2", far, place))
    return broken


def field_within(case, number, area):
    """Without a drawn zone line to lap across, the field of a zone lies in the zone."""
    if any(line.get("kind", "drawn") == "drawn" for line in case.plan["zone_lines"]):
        return []
    rest, far, place = beyond(case.zone_fields[number].difference(area), area.boundary, BAND)
    return [Broken(1, f"field of zone {number} lies outside it", far, place)] if rest else []


def place_in(shape):
    """A place in a shape, whole mm."""
    point = shape.representative_point()
    return (round(point.x), round(point.y))


# Law 2


def laps(case):
    """Side laps, end laps and laps across drawn zone lines are never below what is asked."""
    broken = []
    for number, zone in case.zones.items():
        broken += side_laps(case, number, zone)
        broken += end_laps(case, number, zone)
    return broken + laps_on_to_nothing(case) + short_pieces(case) + laps_over_lines(case)


def laps_on_to_nothing(case):
    """A piece that is said to lap on to another in its course has that other: no piece of a run is left out."""
    broken = []
    for pieces in case.by_course.values():
        starts, ends = {p["from"] for p in pieces}, {p["to"] for p in pieces}
        for piece in pieces:
            for lap, at, others in ((piece["lap_to"], piece["to"] - piece["lap_to"], starts), (piece["lap_from"], piece["from"] + piece["lap_from"], ends)):
                if lap > 0 and at not in others:
                    broken.append(Broken(2, f"piece {piece['number']} laps on to nothing at {at}", lap))
    return broken


def short_pieces(case):
    """No piece of a run in several is shorter than the least piece, so no end lap lies nearer than that to a run's end; or a
    finding names the piece."""
    least, broken = case.products["least_piece"], []
    for piece in case.layout["pieces"]:
        if piece["length"] < least and (piece["lap_from"] > 0 or piece["lap_to"] > 0):
            if not case.has_finding(lambda f: f["code"] == "piece-short" and f["about"] == {"piece": piece["number"]}):
                broken.append(Broken(2, f"piece {piece['number']} is {piece['length']} long, the least is {least}", least - piece["length"]))
    return broken


def side_laps(case, number, zone):
    """Neighbouring courses overlap by the side lap, as planned and as laid."""
    broken, side_lap = [], case.products["side_lap"]
    kept = kept_runs(case, number, zone)
    for course, after in pairwise(zone["courses"]):
        lap = course["to"] - after["from"]
        if lap < side_lap:
            broken.append(Broken(2, f"zone {number}: courses {course['number']} and {after['number']} lap {lap}", side_lap - lap))
            continue
        broken += [
            Broken(2, f"pieces {a['number']} and {b['number']} lap {got} sideways", side_lap - got)
            for a in case.course_pieces(number, course["number"])
            for b in case.course_pieces(number, after["number"])
            # A slit piece ends where the field does: what the field leaves of the lap is judged below.
            if not (rolls.is_slit(case, a) or rolls.is_slit(case, b))
            and (got := a["across"][1] - b["across"][0]) < side_lap and shapely.dwithin(case.laid[a["number"]], case.laid[b["number"]], BAND)
        ]
        broken += laid_side_lap(case, number, zone, kept, course, after)
    return broken


def laid_side_lap(case, number, zone, kept, course, after):
    """As laid, both courses are there all over the band they share, wherever both have a run and a piece."""
    band = (after["from"], course["to"])
    wanted, got = kept[course["number"]].intersection(kept[after["number"]]), None
    for c in (course, after):
        pieces = case.course_pieces(number, c["number"])
        if not pieces:
            return []
        boxes = [box_on_plan(zone["frame"], (p["from"], p["to"]), band) for p in pieces]
        wanted = wanted.intersection(shapely.union_all(boxes))
        laid = shapely.union_all([case.laid[p["number"]] for p in pieces])
        got = laid if got is None else got.intersection(laid)
    wanted = geometry.polygonal(wanted)
    area, far, place = beyond(wanted.difference(got), wanted.boundary, BAND)
    if area:
        what = f"zone {number}: courses {course['number']} and {after['number']} do not both lie in their lap"
        return [Broken(2, what, far, place)]
    return []


def reach(zone, shape):
    """Least and greatest chainage of a shape in the frame of a zone, with room."""
    u0, _, u1, _ = to_frame(zone["frame"], shape).bounds
    return u0 - 10, u1 + 10


def runs(case, number, zone, course):
    """The connected runs of a course: its strip of the zone's field."""
    field = case.zone_fields[number]
    return parts(field.intersection(box_on_plan(zone["frame"], reach(zone, field), (course["from"], course["to"]))))


def kept_runs(case, number, zone):
    """For each course, the runs that need pieces of their own: not those that lie in the laps with its neighbours."""
    courses = zone["courses"]
    kept = {}
    for i, course in enumerate(courses):
        covered = [(c["from"], c["to"]) for c in courses[max(0, i - 1) : i] + courses[i + 1 : i + 2]]
        wide = []
        for run in runs(case, number, zone, course):
            _, v0, _, v1 = to_frame(zone["frame"], run).bounds
            if not any(lo - BAND <= v0 and v1 <= hi + BAND for lo, hi in covered):
                wide.append(run)
        kept[course["number"]] = shapely.union_all(wide) if wide else geometry.EMPTY
    return kept


def end_laps(case, number, zone):
    """In every run each piece laps on to the next by the end lap, and says so."""
    broken, end_lap = [], case.products["end_lap"]
    for course in zone["courses"]:
        for run in runs(case, number, zone, course):
            here = [p for p in case.course_pieces(number, course["number"]) if covers(case, p, run)]
            for a, b in pairwise(here):
                lap = a["to"] - b["from"]
                if lap >= end_lap:
                    if a["lap_to"] != lap or b["lap_from"] != lap:
                        broken.append(Broken(2, f"pieces {a['number']} and {b['number']} lap {lap}, not as stated"))
                elif neck(zone, run, b["from"], a["to"]) > 2 * BAND:
                    where = place_of(zone, a["to"], course)
                    broken.append(Broken(2, f"pieces {a['number']} and {b['number']} lap {lap} endways", end_lap - lap, where))
    return broken


def covers(case, piece, run):
    """Whether a piece lies in a run (and not merely against it)."""
    return case.laid[piece["number"]].intersection(run).area > 0.5 * case.laid[piece["number"]].area


def neck(zone, run, u0, u1):
    """The least width of a run between two chainages."""
    local = to_frame(zone["frame"], run)
    _, v0, _, v1 = local.bounds
    return min(local.intersection(LineString([(u, v0 - 1), (u, v1 + 1)])).length for u in (u0, (u0 + u1) / 2, u1))


def place_of(zone, u, course):
    """The middle of a course at a chainage, on the plan."""
    x, y = geometry.to_plan(zone["frame"], [(u, (course["from"] + course["to"]) / 2)])[0]
    return (round(x), round(y))


def laps_over_lines(case):
    """Across a drawn zone line the fields of both zones overlap by the side lap at least."""
    broken, lap = [], case.products["side_lap"]
    for line in case.plan["zone_lines"]:
        if line.get("kind", "drawn") != "drawn":
            continue
        drawn_line = LineString(line["points"])
        for (a, one), (b, two) in combinations(case.zone_fields.items(), 2):
            if not (one.dwithin(drawn_line, lap) and two.dwithin(drawn_line, lap)):
                continue
            shared = drawn_line.intersection(case.zone_areas[a].buffer(BAND)).intersection(case.zone_areas[b].buffer(BAND))
            # Away from the ends of the line, where the field's own edge cuts the lap short.
            inner = shared.intersection(case.field.buffer(-2 * lap))
            if inner.length < lap:
                continue
            got = one.intersection(two)
            # Of the band of one lap on both sides of the line, at least one lap's width must be double.
            band = inner.buffer(lap, cap_style="flat")
            share = got.intersection(band).area / (inner.length * lap)
            if share < 0.98:
                broken.append(Broken(2, f"zones {a} and {b} lap {share * lap:.0f} mm across line {line['id']}", lap * (1 - share), place_in(inner)))
    return broken


# Law 3


def clear(case):
    """Nothing is laid within the clear strips, openings, collars and bowls; the foot is wide enough or a finding says so."""
    own, products, laid = case.drawn, case.products, case.cover
    broken = []
    holes = laid.intersection(own.holes)
    area, far, place = beyond(holes, own.holes.boundary, BAND)
    if area:
        broken.append(Broken(3, f"{area:.0f} mm2 laid in an opening", far, place))
    for keep in geometry.keep_outs(case.plan)[0]:
        area, far, place = beyond(laid.intersection(keep), keep.boundary, BAND)
        if area:
            broken.append(Broken(3, f"{area:.0f} mm2 laid in a collar or bowl", far, place))
    if len(own.decks) == 1 and not laid.is_empty:
        kinds = ((own.upstands, own.free, products["clear"], "upstand"), (own.free, own.upstands, products["edge_gap"], "free edge"))
        for edges, others, wanted, name in kinds:
            # The distance is from the face: where another kind of edge goes on, the end of a wall is no face.
            edges = edges.difference(shapely.buffer(others, wanted)) if wanted > 0 else geometry.EMPTY
            if edges.is_empty:
                continue
            got = laid.distance(edges)
            case.note(3, wanted - got)
            if got < wanted - BAND:
                where = shapely.get_coordinates(shapely.shortest_line(laid, edges))[0]
                broken.append(Broken(3, f"laid {got:.2f} mm from an {name}, not {wanted}", wanted - got, tuple(map(round, where))))
    has_upstand = not own.upstands.is_empty
    if has_upstand and products["foot"] - products["clear"] < products["side_lap"]:
        if not case.has_finding(lambda f: "foot" in f["code"] or "foot" in f["text"]):
            broken.append(Broken(3, "the foot is too narrow to lap on, and no finding says so"))
    return broken


# Law 4


def stagger(case):
    """End laps of neighbouring courses are the stagger apart and clear of outlets, or a finding names the place."""
    broken, wanted = [], case.products["stagger"]
    for number, zone in case.zones.items():
        joins = {c["number"]: list(end_lap_places(case, number, c["number"])) for c in zone["courses"]}
        for course in zone["courses"]:
            broken += beside_outlets(case, zone, course, joins[course["number"]])
        for course, after in pairwise(zone["courses"]):
            for u, lap in joins[course["number"]]:
                for u_after, lap_after in joins[after["number"]]:
                    apart = abs(u - u_after)
                    # Laps at either end of an opening are not beside each other.
                    if apart >= wanted or lap.distance(lap_after) > wanted:
                        continue
                    place = place_of(zone, u, course)
                    if not case.has_finding(about_end_laps, place):
                        what = f"zone {number}: end laps of courses {course['number']} and {after['number']} are {apart} apart"
                        broken.append(Broken(4, what, wanted - apart, place))
    return broken


def beside_outlets(case, zone, course, joins):
    """No end lap lies in the clear zone of an outlet, or a finding names the place."""
    broken = []
    for outlet in case.plan["outlets"]:
        clear_zone = shapely.Point(outlet["at"]).buffer(outlet.get("clear_zone", 0))
        for u, lap in joins:
            place = place_of(zone, u, course)
            if lap.intersection(clear_zone.buffer(-BAND)).area > 1.0 and not case.has_finding(about_end_laps, place):
                broken.append(Broken(4, f"an end lap in the clear zone of outlet {outlet['id']}", 0.0, place))
    return broken


def about_end_laps(finding):
    """Whether a finding is about end laps that could not be placed by the rules."""
    return "stagger" in finding["code"] or "end-lap" in finding["code"] or "end lap" in finding["text"]


def end_lap_places(case, zone, course):
    """Chainage and laid area of each end lap of a course."""
    for a, b in combinations(case.course_pieces(zone, course), 2):
        if b["from"] < a["to"]:
            lap = case.laid[a["number"]].intersection(case.laid[b["number"]])
            if lap.area > 0:
                yield b["from"], lap


# Law 5


def stock(case):
    """Every piece fits its roll and comes from one roll only; every roll adds up."""
    return [Broken(5, what, error) for what, error in rolls.judge(case)]


# Law 6


def bays(case):
    """Bays partition each zone's deck, keep the pour limit or say why not, and hold their own pieces."""
    broken = []
    by_zone: dict = {n: [] for n in case.zones}
    for bay in case.layout["bays"]:
        if bay["zone"] not in by_zone:
            broken.append(Broken(6, f"bay {bay['number']} lies in no zone"))
            continue
        by_zone[bay["zone"]].append(bay)
        broken += pour_limit(case, bay)
        broken += bay_pieces(case, bay)
    for number, zone in case.zones.items():
        broken += partition(case, number, zone, by_zone[number])
    bay_of = {p["number"]: p["bay"] for p in case.layout["pieces"]}
    listed = [(n, bay["number"]) for bay in case.layout["bays"] for n in bay["pieces"]]
    if sorted(listed) != sorted(bay_of.items()):
        wrong = sorted(set(listed) ^ set(bay_of.items()))[:3]
        broken.append(Broken(6, f"pieces and bays do not name each other: {wrong}"))
    return broken


def partition(case, number, zone, here):
    """No overlap, nothing left over."""
    if doubled_area(zone["area"]) != sum(doubled_area(b["area"]) for b in here):
        gap = (doubled_area(zone["area"]) - sum(doubled_area(b["area"]) for b in here)) / 2
        return [Broken(6, f"bays of zone {number} are {gap} mm2 short of its deck", abs(gap))]
    broken = []
    shapes = [case.bay_areas[b["number"]] for b in here]
    if shapes:
        whole = case.zone_areas[number]
        rest = whole.symmetric_difference(shapely.union_all(shapes))
        if rest.area > EXACT * whole.area:
            broken.append(Broken(6, f"bays of zone {number} do not fill its deck", rest.area, place_in(rest)))
    tree = shapely.STRtree(shapes)
    for i, j in zip(*tree.query(shapes, predicate="intersects")) if shapes else ():
        if i < j and (twice := shapes[i].intersection(shapes[j]).area) > EXACT * max(1.0, shapes[i].area):
            broken.append(Broken(6, f"bays {here[i]['number']} and {here[j]['number']} overlap", twice))
    return broken


def pour_limit(case, bay):
    """The area and length of a bay against the gang's limits."""
    gang = case.plan["gang"]
    area = doubled_area(bay["area"]) / 2
    u0, _, u1, _ = to_frame(case.zones[bay["zone"]]["frame"], case.bay_areas[bay["number"]]).bounds
    over = []
    if gang["bay_area"] is not None and area > gang["bay_area"] * 10_000:
        over.append(f"{area / 1e6:.2f} m2")
    if gang["bay_length"] is not None and u1 - u0 > gang["bay_length"] + 1.0:
        over.append(f"{u1 - u0:.0f} mm long")
    if over and not case.has_finding(lambda f: f["about"] == {"bay": bay["number"]}):
        return [Broken(6, f"bay {bay['number']} is {' and '.join(over)}, past the pour limit, and no finding says why")]
    return []


def bay_pieces(case, bay):
    """The pieces of a bay lie in its zone and courses, and partly in it at least."""
    broken = []
    first, last = bay["courses"]
    # What lies over a drawn zone line, in the lap across it, belongs to a bay that ends at the line.
    over_a_line = any(line.get("kind", "drawn") == "drawn" for line in case.plan["zone_lines"])
    reach = case.products["side_lap"] if over_a_line else 0
    for n in bay["pieces"]:
        piece = case.pieces.get(n)
        if piece is None or piece["zone"] != bay["zone"] or not first <= piece["course"] <= last:
            broken.append(Broken(6, f"piece {n} is no piece of bay {bay['number']}"))
        elif not lies_in(case.laid[n], case.bay_areas[bay["number"]], reach):
            broken.append(Broken(6, f"piece {n} lies outside its bay {bay['number']}"))
    return broken


def lies_in(laid, area, reach):
    """Whether a piece lies at least partly in an area, or within reach of it."""
    return laid.intersection(area).area > 0 or reach > 0 and shapely.dwithin(laid, area, reach)


# Law 7


def joints(case):
    """No piece and no bay crosses a movement joint or a change of level."""
    lines = [(j["id"], j["points"]) for j in case.plan["joints"]]
    lines += [(z["id"], z["points"]) for z in case.plan["zone_lines"] if z.get("kind") == "level_change"]
    shapes = [("piece", n, s) for n, s in case.laid.items()] + [("bay", n, s) for n, s in case.bay_areas.items()]
    broken = []
    for joint, points in lines:
        line = LineString(points)
        for kind, n, shape in shapes:
            if shape.intersects(line) and (inside := shape.buffer(-BAND).intersection(line).length) > 2.0:
                broken.append(Broken(7, f"{kind} {n} crosses joint {joint}", inside, place_in(shape.intersection(line))))
    return broken


# Law 11


def bounds(case):
    """Bounds are bounds, and "proved" is only said when they are met."""
    return [Broken(11, what, error) for what, error in limits.judge(case)]
