"""A small sound layout of falls built here, to test the judges of falls themselves.

In: nothing. Out: a plan of an 8 x 4 m deck with one free edge, an outlet and levels at whole mm, and a layout of its surface,
water, catchments, bays and seams. Must hold: nothing is wrong with it. The facets are drawn by hand as a fan round
each of two low points; everything else follows from them by the judges' own arithmetic, which the tests check against closed
forms elsewhere.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

import falls_classes
import falls_descent
import falls_seams
import falls_surface
import falls_water
import hand_built
from plans import FREE, PARAPET, Draw

#: x, y, level: a trough with two pits, the east one with the outlet; the north edge is free and high.
POINTS = [(0, 0, 120), (4000, 0, 90), (8000, 0, 140), (8000, 4000, 130), (4000, 4000, 95), (0, 4000, 110), (2000, 2000, 20), (6000, 2000, 40)]
FACETS = [(0, 1, 6), (1, 4, 6), (4, 5, 6), (5, 0, 6), (1, 2, 7), (2, 3, 7), (3, 4, 7), (4, 1, 7)]
OUTLET = 7


def plan():
    """The plan."""
    draw = Draw("falls by hand")
    draw.deck((0, 0), (8000, 0), (8000, 4000), (0, 4000), edge=[PARAPET, PARAPET, FREE, PARAPET])
    draw.outlet(*POINTS[OUTLET][:2], clear_zone=400)
    draw.plan["levels"] = {"spots": [{"id": 100 + k, "at": [x, y], "level": z} for k, (x, y, z) in enumerate(POINTS)], "lines": [], "planes": []}
    draw.plan["drainage"] = {"rain": 750}
    return draw.plan


def region(shape):
    """A shape as regions of the layout."""
    found = []
    for part in getattr(shape, "geoms", [shape]):
        part = shapely.geometry.polygon.orient(part)
        found.append([[[round(x), round(y)] for x, y in list(ring.coords)[:-1]] for ring in (part.exterior, *part.interiors)])
    return found


def layout(of=None):
    """The layout."""
    of = of or plan()
    falls = {"points": [[1000 * v for v in p] for p in POINTS], "facets": [{"corners": list(c), "deck": 1} for c in FACETS]}
    falls["rule"] = {"rule": "bs6229", "name": "", "source": "", "least_ppm": 12_500, "design_ppm": 25_000, "flat_ppm": 2000}
    falls["input"] = {"spots": len(POINTS), "line_points": 0, "planes": 0, "between": 0, "beyond": 0}
    made = {"falls": falls, "findings": [], "bays": [], "pieces": [], "zones": [zone()], "totals": {"deck_area": 32_000_000}}
    for courses in ((1, 3), (4, 5)):
        hand_built.add_bay(made["bays"], made["pieces"], 1, (0, 8000, 4000), (50, 7950), courses)
    surface = falls_surface.Surface(of, made)
    water = falls_water.Water(surface)
    descent = falls_descent.Descent(surface, water)
    for f, facet in enumerate(falls["facets"]):
        fill_facet(surface, water, descent, f, facet)
    areas = [sum(float(surface.areas[f]) for f, facet in enumerate(falls["facets"]) if facet["class"] == name) for name in falls_classes.CLASSES]
    falls["class_areas"] = [round(a) for a in areas]
    falls["ponds"] = [pond(surface, water, descent, n + 1, pool) for n, pool in enumerate(sorted(water.pools, key=lambda p: -p.depth))]
    # The fan round the outlet is its catchment; the other fan spills over the free edge or into it, see `spill`.
    east = shapely.union_all(surface.polygons[4:])
    west = surface.areas[:4].sum()
    spilt = falls_descent.sink_of(falls["ponds"][0]["drains_to"])[0] == "outlet"
    whole = shapely.union_all(surface.polygons) if spilt else east
    falls["outlets"] = [outlet(of, surface, whole)]
    falls |= {"over_edges": 0 if spilt else round(west), "trapped": 0, "contours": []}
    return add_seams(of, made, surface, water)


def zone():
    """The one zone: five courses along the length."""
    courses = [{"number": k + 1, "from": k * hand_built.PITCH, "to": k * hand_built.PITCH + hand_built.WIDTH} for k in range(hand_built.COURSES)]
    frame = {"origin_um": [50_000, 50_000], "along": [1.0, 0.0], "across": [0.0, 1.0]}
    return {"number": 1, "deck": 1, "area": [hand_built.rect(0, 0, 8000, 4000)], "frame": frame, "courses": courses}


def add_seams(of, made, surface, water):
    """Bay edges and laps found bit by bit of 10 mm, and their sums."""
    seams, ground = falls_seams.Seams(made), falls_seams.Ground(of, surface, water)
    made["seams"] = []
    for (kind, pair), line in sorted(seams.wanted().items()):
        seam = {"kind": kind, "between": list(pair), "top": max(pair), "parts": []}
        (ax, ay), *_, (bx, by) = shapely.line_merge(line).coords
        count = max(1, round(line.length / 10))
        ends = np.column_stack([np.linspace(ax, bx, count + 1), np.linspace(ay, by, count + 1)])
        shapes = seams.bays if kind == "bay_edge" else seams.laid
        side = falls_seams.upper_side(shapes, seam, ends[0], ends[-1])[0]
        along = (ends[-1] - ends[0]) / np.hypot(*(ends[-1] - ends[0]))
        for a, b in zip(ends, ends[1:]):
            verdict = sorted(ground.verdicts((a + b) / 2, along, side))[0]
            if seam["parts"] and seam["parts"][-1]["verdict"] == verdict:
                seam["parts"][-1]["b"] = [round(v) for v in b]
            else:
                seam["parts"].append({"a": [round(v) for v in a], "b": [round(v) for v in b], "verdict": verdict, "better": None})
        made["seams"].append(seam)
    for name, (sure, _) in (("low_lines", ground.low), ("ridges", ground.ridge)):
        made["falls"][name] = [[[round(v) for v in surface.at[p]] for p in edge] for edge in sure]
    made["findings"] = facing(made)
    return add_up(made)


def facing(made):
    """The one zone's finding about laps that face the water; none when none does."""
    laps, by_bay = {}, {}
    for n, seam in enumerate(made["seams"]):
        bay = made["pieces"][seam["top"] - 1]["bay"]
        for part in seam["parts"]:
            if seam["kind"] != "bay_edge" and part["verdict"] == "faces_water":
                laps.setdefault(n, (bay, part["a"]))
                by_bay[bay] = by_bay.get(bay, 0.0) + math.dist(part["a"], part["b"])
    if not laps:
        return []
    worst = max(by_bay, key=by_bay.get)
    text = f"In zone 1, {len(laps)} laps face the water for {sum(by_bay.values()) / 1000:.1f} m: most of it in bay {worst}, {by_bay[worst] / 1000:.1f} m."
    return [{"code": "laps-face-water", "at": next(at for bay, at in laps.values() if bay == worst), "about": {"zone": 1}, "text": text}]


def add_up(made):
    """The lengths by verdict of a layout."""
    names = {"bay_edge": "bay_edges", "side_lap": "side_laps", "end_lap": "end_laps"}
    sums = [{"verdict": v} | dict.fromkeys(names.values(), 0) for v in falls_seams.VERDICTS]
    for seam in made["seams"]:
        for part in seam["parts"]:
            sums[falls_seams.VERDICTS.index(part["verdict"])][names[seam["kind"]]] += math.dist(part["a"], part["b"])
    made["falls"]["lengths"] = [{k: v if k == "verdict" else round(v) for k, v in entry.items()} for entry in sums]
    return made


def fill_facet(surface, water, descent, f, facet):
    """Fall, class and sink of a facet."""
    down = -surface.slopes[f]
    facet["fall_ppm"] = round(1e6 * float(surface.falls_of[f]))
    facet["direction_mdeg"] = round(float(np.degrees(np.arctan2(down[1], down[0])) * 1000))
    facet["drains_to"] = written(sorted(descent.from_place(surface.at[surface.facets[f]].mean(axis=0), f))[0])
    facet["class"] = sorted(falls_classes.classes(surface, water, descent, f, falls_classes.limits(surface.plan)))[0]


def written(sink):
    return "nowhere" if sink[0] == "nowhere" else {sink[0]: sink[1]}


def pond(surface, water, descent, number, pool):
    """A pond of the layout."""
    deepest = min(pool.points, key=lambda p: surface.z[p])
    spill = sorted(water.spills(pool))[0]
    made = {"number": number, "deck": pool.deck, "area": region(pool.shape), "size": round(pool.area), "level_um": pool.level, "depth_um": pool.depth}
    made |= {"deepest": [round(v) for v in surface.at[deepest]], "volume": round(pool.volume), "mass": round(pool.volume / 1e4)}
    sinks = sorted(descent.reach([("pool", water.pools.index(pool))]), reverse=True)
    return made | {"spill": [round(v) for v in surface.at[spill]], "drains_to": written(sinks[0])}


def outlet(of, surface, shape):
    """The outlet's work."""
    drawn = of["outlets"][0]
    without = falls_water.Water(surface, ("outlet", drawn["id"]))
    pool = without.pools[without.pool_of[OUTLET]]
    sinks = falls_descent.Descent(surface, without).reach([("pool", without.pool_of[OUTLET])])
    made = {"id": drawn["id"], "overflow": False, "level_um": 1000 * POINTS[OUTLET][2], "catchment": region(shape), "size": round(shape.area), "wall_area": 0}
    made |= {"flow": round(1000 * 75 / 3600 * shape.area / 1e6), "capacity": None, "head_um": None}
    made["blocked"] = {"depth_um": pool.level - 1000 * POINTS[OUTLET][2], "size": round(pool.area), "volume": round(pool.volume), "goes_to": written(sorted(sinks)[0])}
    return made
