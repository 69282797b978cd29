"""The work of each bay, found again from polygons.

In: a plan, its layout with days, a `days_ground.Ground`. Out: what of the work is not so. Must hold: upstands, free edges and corners
are those of the deck's rings that the bay lies against; joints, penetrations, pitch pockets and outlets each belong to one bay;
membrane is every coat over the bay and over the girth of its upstands; ways are shortest ways over bays that touch, from middle to
middle, found here by Dijkstra over what the layout calls middles; minutes follow from the user's rates where the plan gives them,
each trade rounded up. A movement joint between two bays is done with either. Lengths may depart by their snapping.

Rates, the growth of hot membrane, and what a bucket holds are inputs. Hot: bitumen grows by 0.00061 per degree from 15 to 200 C
(trade.md section 3), so that 160 degrees make 1.0976 of 1.
"""

from __future__ import annotations

import heapq
import math

import shapely
from shapely.geometry import LineString, MultiPoint, Point, Polygon

import geometry
from days_ground import SNAP
from days_order import Broken

HOT = 1 + 0.00061 * 160
#: Edges that turn by less than this are one bend, no corner (common practice, no source); near it either will do.
BEND, DOUBT = math.cos(math.radians(25)), 0.02
#: Edges shorter than this are what snapping left, mm.
SHORTEST = 3.0
#: Bays whose edges are this nearly as far from a wall may either have it, mm.
EVEN = 1.0
#: A thing this near to several bays may belong to any, mm.
NEAR = 3.0


def judge(plan, layout, ground):
    """Everything about the work of the bays."""
    days = layout["days"]
    work = {w["bay"]: w for w in days["bays"]}
    broken = walls(plan, ground, work) + corners(plan, ground, work) + joints(plan, ground, work)
    broken += things(plan, ground, work) + membrane(plan, ground, work)
    broken += ways(plan, ground, work, days["gangs"]) + minutes(plan, ground, work, days["gangs"])
    return broken


class Walls:
    """The edges of the decks, each with what stands there."""

    def __init__(self, plan):
        self.lines, self.kinds = [], []
        drawn, stands = geometry.source_edges(plan)[0], []
        for thing in plan["decks"] + plan["openings"]:
            stands += [kind_of(corner.get("edge")) for corner in thing["ring"]]
        tree = shapely.STRtree(drawn)
        self.rings = []
        for deck in geometry.drawn(plan).decks:
            for ring in geometry.rings_left(deck):
                own = []
                for a, b in ring:
                    middle = Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
                    own.append((a, b, stands[tree.nearest(middle)]))
                    self.lines.append(LineString([a, b]))
                    self.kinds.append(own[-1][2])
                self.rings.append(own)


def kind_of(edge):
    """("upstand", kind, height) or ("free",)."""
    upstand = (edge or {"upstand": {"height": 150, "kind": "parapet"}}).get("upstand")
    return ("upstand", upstand["kind"], upstand["height"]) if upstand else ("free",)


def walls(plan, ground, work):
    """Upstands and free edges along each bay, by kind and height. Each stretch of a wall is done with the bay nearest to it."""
    found, broken = Walls(plan), []
    sure, perhaps, parts = shared_out(found, ground.shapes)
    for n in ground.shapes:
        got = {("upstand", u["kind"], u["height"]): u["length"] for u in work[n]["upstands"]}
        got[("free",)] = work[n]["free_edges"]
        for kind in sure[n].keys() | perhaps[n].keys() | got.keys():
            least = sure[n].get(kind, 0.0)
            most, has = least + perhaps[n].get(kind, 0.0), got.get(kind, 0)
            off = max(least - has, has - most)
            if off > 2 * SNAP * (1 + parts[n].get(kind, 0)):
                broken.append(Broken("walls", f"bay {n}: {' '.join(map(str, kind))} {has} mm, found {least:.0f} to {most:.0f}", n, off))
        foot = plan["products"]["foot"]
        broken += [Broken("walls", f"bay {n}: girth {u['girth']} for a height of {u['height']} on a foot of {foot}", n) for u in work[n]["upstands"] if u["girth"] != u["height"] + foot]
    return broken


def shared_out(found, shapes):
    """For each bay by kind of wall: the lengths that no other bay lies as near to, those that one does within the snapping, and how
    many walls there are."""
    edges = {n: [edge for ring in geometry.rings_left(shape) for edge in ring] for n, shape in shapes.items()}
    sure, perhaps, parts = ({n: {} for n in shapes} for _ in range(3))
    tree, names = shapely.STRtree(list(shapes.values())), list(shapes)
    for line, kind in zip(found.lines, found.kinds):
        near = [names[i] for i in tree.query(line, predicate="dwithin", distance=NEAR)]
        held = [(n, span) for n in near for edge in edges[n] for span in beside(line, edge)]
        ends = sorted({v for _, (start, end, _) in held for v in (start, end)})
        touched = set()
        for start, end in zip(ends, ends[1:]):
            middle = (start + end) / 2
            off = [(n, abs(at(middle))) for n, (a, b, at) in held if a <= middle <= b]
            if not off:
                continue
            nearest = min(far for _, far in off)
            first = {n for n, far in off if far <= nearest + EVEN}
            for n in first:
                into = sure if len(first) == 1 else perhaps
                into[n][kind] = into[n].get(kind, 0.0) + end - start
            touched |= {n for n, _ in off}
        for n in touched:
            parts[n][kind] = parts[n].get(kind, 0) + 1
    return sure, perhaps, parts


def beside(wall, edge):
    """The stretch of a wall that an edge of a bay lies along, as (start, end, how far off at a place), mm; none where it is not near all
    the way, but only leads off at an angle."""
    (ax, ay), (bx, by) = wall.coords
    ux, uy = (bx - ax) / wall.length, (by - ay) / wall.length
    # Of the edges of a bay those with the bay on the side of the deck: the others run the other way.
    (s, off), (t, off_t) = [((x - ax) * ux + (y - ay) * uy, (y - ay) * ux - (x - ax) * uy) for x, y in edge]
    start, end = max(s, 0.0), min(t, wall.length)
    if end <= start:
        return []
    at = lambda v: off + (v - s) / (t - s) * (off_t - off)  # noqa: E731
    return [(start, end, at)] if max(abs(at(start)), abs(at(end))) <= NEAR else []


def corners(plan, ground, work):
    """Corners between upstands: those that stand into the deck and those that it runs into, each with one bay it touches."""
    sure, perhaps = {"outside": [], "inside": []}, {"outside": [], "inside": []}
    for ring in Walls(plan).rings:
        ring = [(a, b, kind) for a, b, kind in ring if math.dist(a, b) >= SHORTEST]
        for (a, b, one), (c, d, two) in zip(ring, ring[1:] + ring[:1]):
            if one[0] != "upstand" or two[0] != "upstand":
                continue
            u, v = geometry.unit((a, b)), geometry.unit((c, d))
            ahead, left = float(u @ v), float(u[0] * v[1] - u[1] * v[0])
            side = "inside" if left > 0 else "outside"
            if ahead < BEND + DOUBT:
                (sure if ahead < BEND - DOUBT else perhaps)[side].append(Point(b))
    broken = []
    for side in ("outside", "inside"):
        total = sum(w[f"{side}_corners"] for w in work.values())
        if not len(sure[side]) <= total <= len(sure[side]) + len(perhaps[side]):
            broken.append(Broken("corners", f"{total} {side} corners, found {len(sure[side])}", side, abs(total - len(sure[side]))))
        for n, shape in ground.shapes.items():
            near = [p for p in sure[side] if shape.distance(p) <= NEAR]
            alone = [p for p in near if sum(s.distance(p) <= NEAR + SNAP for s in ground.shapes.values()) == 1]
            also = sum(shape.distance(p) <= NEAR + SNAP for p in perhaps[side] + sure[side])
            if not len(alone) <= work[n][f"{side}_corners"] <= also:
                broken.append(Broken("corners", f"bay {n}: {work[n][f'{side}_corners']} {side} corners, found {len(near)}", n))
    return broken


def joints(plan, ground, work):
    """Movement joints: each part with one of the bays beside it, none with two."""
    deck = shapely.union_all(geometry.drawn(plan).decks)
    # A part along the edge of the deck parts nothing.
    lines = [LineString(joint["points"]).intersection(deck).difference(deck.boundary.buffer(NEAR)) for joint in plan["joints"]]
    broken, pieces = [], 0
    for n, shape in ground.shapes.items():
        beside = [line.intersection(shape.buffer(NEAR)) for line in lines]
        beside = [line for line in beside if line.length > 0]
        pieces += len(beside)
        most = sum(line.length for line in beside)
        over = work[n]["joints"] - most
        if over > 4 * SNAP * (1 + len(beside)) + 2 * NEAR:
            broken.append(Broken("joints", f"bay {n}: {work[n]['joints']} mm of movement joints, at most {most:.0f} lie beside it", n, over))
    all_of_them = shapely.union_all(lines).length
    off = abs(sum(w["joints"] for w in work.values()) - all_of_them)
    if off > 4 * SNAP * (1 + pieces) + 2 * NEAR:
        broken.append(Broken("joints", f"{sum(w['joints'] for w in work.values())} mm of movement joints in all, found {all_of_them:.0f}", "all", off))
    return broken


def things(plan, ground, work):
    """Penetrations, pitch pockets and outlets: each with one bay, the one that holds it or lies nearest."""
    places = {"penetrations": {}, "pockets": {}, "outlets": {o["id"]: Point(o["at"]) for o in plan["outlets"]}}
    by_pocket: dict = {}
    for thing in plan["penetrations"]:
        if thing.get("pocket") is None:
            places["penetrations"][thing["id"]] = middle(thing)
        else:
            by_pocket.setdefault(thing["pocket"], []).append(middle(thing))
    places["pockets"] = {number: MultiPoint(points).centroid for number, points in by_pocket.items()}
    broken = []
    for what, at in places.items():
        stated = [(thing, n) for n, w in work.items() for thing in w[what]]
        if sorted(thing for thing, _ in stated) != sorted(at):
            broken.append(Broken("things", f"{what} {sorted(thing for thing, _ in stated)} are with bays, the plan has {sorted(at)}", what))
            continue
        for thing, n in stated:
            off = {m: shape.distance(at[thing]) for m, shape in ground.shapes.items()}
            if off[n] > min(off.values()) + NEAR:
                broken.append(Broken("things", f"{what}: {thing} is with bay {n}, {off[n]:.0f} mm off; another lies {min(off.values()):.0f} mm off", n, off[n]))
    return broken


def middle(thing):
    """The middle of a penetration."""
    shape = thing["shape"]
    return Point(shape["circle"]["centre"]) if "circle" in shape else MultiPoint(shape["ring"]["corners"]).centroid


def membrane(plan, ground, work):
    """Millilitres of each bay: every coat over its area; over the girth of its upstands, and what fills its pitch pockets."""
    thick, broken = sum(coats(plan)) / 100, []
    for n, w in work.items():
        wanted = ground.bays[n]["size"] * thick / 1000
        if abs(w["millilitres"] - wanted) > 1:
            broken.append(Broken("membrane", f"bay {n}: {w['millilitres']} ml over {ground.bays[n]['size']} mm2, found {wanted:.0f}", n, abs(w["millilitres"] - wanted)))
        girths = sum(u["length"] * u["girth"] for u in w["upstands"]) * thick / 1000
        filled = sum(pocket_volume(plan, number) for number in w["pockets"])
        room = 1 + 0.02 * filled
        if filled is not None and not girths + filled - room <= w["details_millilitres"] <= girths + filled + room:
            broken.append(Broken("membrane", f"bay {n}: {w['details_millilitres']} ml for details, found {girths + filled:.0f}", n, abs(w["details_millilitres"] - girths - filled)))
    return broken


def coats(plan):
    return plan["products"].get("coats", [300, 300])


def pocket_volume(plan, number):
    """Membrane of a pitch pocket, ml: the least convex shape round its pipes and their collars, less the pipes, to its depth."""
    pipes = [p for p in plan["penetrations"] if p.get("pocket") == number]
    depth = (plan.get("detailing") or {}).get("pocket_depth") or 75
    outer, taken = [], 0.0
    for pipe in pipes:
        collar = plan["products"]["collar"] if pipe.get("collar") is None else pipe["collar"]
        shape = pipe["shape"]
        own = Point(shape["circle"]["centre"]).buffer(shape["circle"]["diameter"] / 2, quad_segs=64) if "circle" in shape else Polygon(shape["ring"]["corners"])
        outer.append(own.buffer(collar, quad_segs=64))
        taken += own.area
    return (shapely.union_all(outer).convex_hull.area - taken) * depth / 1000


def ways(plan, ground, work, gangs):
    """The way from the melter of each gang to the middle of each bay."""
    melters = plan.get("melters", [])
    if not melters:
        return [Broken("ways", f"bay {n}: a way of {w['haul']} from no melter", n) for n, w in work.items() if any(w["haul"])]
    far = {m["id"]: from_melter(plan, ground, Point(m["at"])) for m in melters}
    named = {g["id"]: g.get("melter") for g in (plan.get("programme") or {}).get("gangs", [])}
    broken = []
    for n, w in work.items():
        for k, gang in enumerate(gangs):
            own = named.get(gang["id"])
            allowed = [far[own][n]] if own in far else [min(way[n] for way in far.values())]
            lows, highs = [a[0] for a in allowed], [a[1] for a in allowed]
            if not min(lows) - 2 <= w["haul"][k] <= max(highs) + 2:
                broken.append(Broken("ways", f"bay {n}: gang {k + 1} carries {w['haul'][k]} mm, found {min(lows):.0f}", n, abs(w["haul"][k] - min(lows))))
    return broken


def from_melter(plan, ground, at):
    """Bay -> (shortest way, the same where the bay first come to is in doubt), mm."""
    found = {}
    for group in ground.groups:
        options = [shortest(ground, group, entry) for entry in entries(plan, ground, group, at)]
        for n in group:
            found[n] = (min(o[n] for o in options), max(o[n] for o in options))
    return found


def entries(plan, ground, group, at):
    """Where people come to a group of bays from a melter: (bay, distance to its middle); several where a hair decides."""
    held = [n for n in group if ground.shapes[n].distance(at) <= SNAP / 2]
    if held:
        return [(n, at.distance(label(ground, n))) for n in held]
    over = [Point(way["at"]) for way in plan.get("ways", [])] or [at]
    found = []
    for place in over:
        off = {n: ground.shapes[n].distance(place) for n in group}
        found += [(n, at.distance(place) + place.distance(label(ground, n))) for n in group if off[n] <= min(off.values()) + SNAP / 2]
    least = min(far for _, far in found)
    near = [(n, far) for n, far in found if far <= least + 1]
    # The way off that makes it shortest; where it leads to one of several bays, to any of them.
    return near if len(over) > 1 else found


def label(ground, n):
    return Point(ground.bays[n]["label"])


def shortest(ground, group, entry):
    """Shortest ways from one bay over bays that touch, from middle to middle."""
    far, heap = {}, [(entry[1], entry[0])]
    while heap:
        way, n = heapq.heappop(heap)
        if n in far:
            continue
        far[n] = way
        for m in ground.neighbours[n]:
            if m in group and m not in far:
                heapq.heappush(heap, (way + label(ground, n).distance(label(ground, m)), m))
    return far


def minutes(plan, ground, work, gangs):
    """Minutes of each gang by trade, where the plan gives the rate."""
    programme, broken = plan.get("programme") or {}, []
    rates, by_gang = programme.get("rates", {}), programme.get("details", "gang") == "gang"
    usual = max(1, plan["gang"].get("people", 4))
    for n, w in work.items():
        size, loads = ground.bays[n]["size"], loads_of(w, rates, by_gang)
        if loads is not None and w["loads"] != loads:
            broken.append(Broken("minutes", f"bay {n}: {w['loads']} buckets, found {loads}", n))
        for k, gang in enumerate(gangs):
            share = usual / max(1, gang["people"])
            wanted = {
                "prime": by_area(size, rates.get("prime"), share),
                "pour": by_area(size, plan["gang"].get("rate"), share),
                "protect": by_area(size, rates.get("protect"), share),
                "details": details(w, rates, share) if by_gang else 0.0,
                "haul": w["loads"] * 2 * w["haul"][k] / (rates["walk"] * max(1, gang["people"])) if rates.get("walk") else None,
            }
            for trade, found in wanted.items():
                got = w["minutes"][k][trade]
                if found is not None and not found - 0.02 <= got <= math.ceil(found - 1e-9) + 0.02:
                    broken.append(Broken("minutes", f"bay {n}, gang {k + 1}: {got} minutes to {trade}, found {found:.2f}", n, abs(got - found)))
    return broken


def by_area(size, rate, share):
    """Minutes for an area at hundredths of a m2 an hour."""
    return size / (rate * 10_000) * 60 * share if rate else None


def details(w, rates, share):
    """Minutes for what stands along and through a bay, where all rates are given."""
    length = sum(u["length"] for u in w["upstands"])
    parts = [(length, "upstand", 60), (w["free_edges"], "free_edge", 60), (w["joints"], "joint", 60)]
    if any(amount and not rates.get(rate) for amount, rate, _ in parts):
        return None
    total = sum(60 * amount / rates[rate] for amount, rate, _ in parts if amount)
    for things_of, rate in (("penetrations", "penetration"), ("pockets", "pocket"), ("outlets", "outlet")):
        if w[things_of] and rates.get(rate) is None:
            return None
        total += len(w[things_of]) * (rates.get(rate) or 0)
    return total * share


def loads_of(w, rates, by_gang):
    """Buckets of hot membrane, where the plan says what a bucket holds."""
    if not rates.get("bucket"):
        return None
    cold = w["millilitres"] + (w["details_millilitres"] if by_gang else 0)
    return -(-math.ceil(cold * HOT - 1e-6) // (10 * rates["bucket"]))


def sums(layout):
    """The work of all bays is what the layout says of its details."""
    details_of, work, broken = layout["details"], layout["days"]["bays"], []
    got = {}
    for w in work:
        for u in w["upstands"]:
            key = (u["kind"], u["height"])
            got[key] = got.get(key, 0) + u["length"]
    wanted = {(u["kind"], u["height"]): u["length"] for u in details_of["upstands"]}
    for key in got.keys() | wanted.keys():
        if abs(got.get(key, 0) - wanted.get(key, 0)) > 2 + len(work):
            broken.append(Broken("sums", f"{key[0]} upstands {key[1]} high: {got.get(key, 0)} mm over the bays, {wanted.get(key, 0)} in all", key))
    for name, length in (("free_edges", sum(w["free_edges"] for w in work)), ("joints", sum(w["joints"] for w in work))):
        if abs(length - details_of[name]) > 2 + 2 * len(work):
            broken.append(Broken("sums", f"{name}: {length} mm over the bays, {details_of[name]} in all", name))
    for name in ("penetrations", "pockets", "outlets"):
        if sum(len(w[name]) for w in work) != details_of[name]:
            broken.append(Broken("sums", f"{name}: {sum(len(w[name]) for w in work)} over the bays, {details_of[name]} in all", name))
    return broken
