"""Fall, direction and class of each facet, by the rule that the plan asks for.

In: a `Surface`, its water and a walker. Out: what is wrong. Must hold: the figures of the rules stand here again, from the
sources named beside them; a facet whose fall lies within its own rounding of a limit may be in either class.
"""

from __future__ import annotations

import math

import numpy as np

from falls_surface import Broken, place

#: Least and design fall, millionths. BS 6229:2018 as reported (1:80, 1:40); zero falls as reported (level, 1:80);
#: DIN 18531-1 as reported (2 %); AS 4654.2:2012 as reported (1:100); IBC 1507 (1/4 in 12); MIL-HDBK-1001/5 (1/4 and 1/2 inch
#: in a foot). Where only a least is known the design is the same.
RULES = {
    "bs6229": (1 / 80, 1 / 40),
    "bs6229_zero_fall": (0.0, 1 / 80),
    "din18531": (0.02, 0.02),
    "as4654": (1 / 100, 1 / 100),
    "ibc1507": (1 / 48, 1 / 48),
    "mil_hdbk1001": (1 / 48, 1 / 24),
}
CLASSES = ["back_fall", "flat", "below_least", "below_design", "good"]


def limits(plan):
    """Flat, least and design fall of a plan."""
    settings = {"rule": "bs6229", "least_one_in": 80, "design_one_in": 40, "flat_one_in": 500} | (plan.get("drainage") or {})

    def one_in(n):
        return 1 / n if n else 0.0

    project = (one_in(settings["least_one_in"]), one_in(settings["design_one_in"]))
    least, design = project if settings["rule"] == "project" else RULES[settings["rule"]]
    return one_in(settings["flat_one_in"]), least, max(least, design)


def judge(surface, water, descent, layout):
    """Every facet against its rule, and the area of each class."""
    falls, broken = layout["falls"], []
    flat, least, design = limits(surface.plan)
    stated = falls["rule"]
    for name, wanted in (("flat_ppm", flat), ("least_ppm", least), ("design_ppm", design)):
        if abs(stated[name] - 1e6 * wanted) > 1:
            broken.append(Broken("classes", f"rule says {name} {stated[name]}, its source {1e6 * wanted:.1f}", abs(stated[name] - 1e6 * wanted)))
    areas = dict.fromkeys(CLASSES, 0.0)
    for f, facet in enumerate(falls["facets"]):
        areas[facet["class"]] += float(surface.areas[f])
        broken += numbers(surface, f, facet)
        allowed = classes(surface, water, descent, f, (flat, least, design))
        if facet["class"] not in allowed:
            what = f"facet {f} falls {surface.falls_of[f]:.6f}, it is {facet['class']} and not {' or '.join(sorted(allowed))}"
            broken.append(Broken("classes", what, 0.0, place(surface, f)))
    for name, got in zip(CLASSES, falls["class_areas"]):
        # Corners are rounded to thousandths of a mm, and the sum is made whole over five classes.
        if abs(areas[name] - got) > 2 + 1e-6 * areas[name]:
            broken.append(Broken("classes", f"class {name} is {got} mm2, its facets {areas[name]:.1f}", abs(areas[name] - got)))
    return broken


def numbers(surface, f, facet):
    """Fall and direction of a facet."""
    fall, doubt, broken = float(surface.falls_of[f]), float(surface.doubt[f]), []
    if abs(facet["fall_ppm"] - 1e6 * fall) > 0.51 + 1e6 * doubt:
        broken.append(Broken("classes", f"facet {f} falls {1e6 * fall:.1f} millionths, not {facet['fall_ppm']}", abs(facet["fall_ppm"] - 1e6 * fall), place(surface, f)))
    if fall > 4 * doubt + 1e-6:
        down = -surface.slopes[f]
        turn = math.degrees(math.atan2(down[1], down[0])) * 1000
        off = (facet["direction_mdeg"] - turn + 180_000) % 360_000 - 180_000
        if abs(off) > 1 + math.degrees(doubt / fall) * 1000:
            broken.append(Broken("classes", f"facet {f} falls towards {turn:.1f}, not {facet['direction_mdeg']}", abs(off), place(surface, f)))
    elif facet["fall_ppm"] == 0 and facet["direction_mdeg"] != 0:
        broken.append(Broken("classes", f"facet {f} is level and has a direction", 0.0, place(surface, f)))
    return broken


def classes(surface, water, descent, f, rule):
    """The classes that a facet can be in."""
    flat, least, design = rule
    fall, doubt = float(surface.falls_of[f]), float(surface.doubt[f]) + 1e-9
    found = set()
    if fall < flat + doubt:
        found.add("flat")
    if fall >= flat - doubt:
        if fall < least + doubt:
            found.add("below_least")
        if least - doubt <= fall < design + doubt:
            found.add("below_design")
        if fall >= design - doubt:
            found.add("good")
        back = back_fall(surface, water, descent, f)
        if back:
            # Never both: a back-fall is one whatever its fall, unless which pool takes its water is a matter of rounding.
            found = found | {"back_fall"} if back == "maybe" else {"back_fall"} | (found & {"flat"})
    return found


def back_fall(surface, water, descent, f):
    """Whether a facet falls away from the place its water leaves by: the spill of the first pond that the water of its middle
    comes to lies up the fall. "maybe" where several ponds or spills can be meant, or it is square to the fall."""
    middle = surface.at[surface.facets[f]].mean(axis=0)
    down = -surface.slopes[f]
    least = 1000 * (surface.plan.get("drainage") or {}).get("least_pond", 2)
    pools = first_pools(descent, f, middle, least)
    answers = set()
    for n in pools:
        if n is None:
            answers.add(False)
            continue
        for p in water.spills(water.pools[n]):
            to = surface.at[p] - middle
            along = float(down @ to) / (np.hypot(*down) * np.hypot(*to) + 1e-12)
            answers |= {True, False} if abs(along) < 1e-3 else {along < 0}
    return "maybe" if len(answers) > 1 else answers == {True}


def first_pools(descent, f, middle, least=0):
    """The ponds, no shallower than `least`, that the water of a place may come to first; None among them where it may come to none.
    Water that stands less deep is no pond: it is run through. Within rounding of the limit either may hold."""
    seen, todo, found = set(), descent.run(f, middle), set()
    while todo:
        node = todo.pop()
        if node in seen:
            continue
        seen.add(node)
        if node[0] == "pool":
            depth, hair = descent.water.pools[node[1]].depth, 0 if descent.surface.is_whole else 1
            if depth >= least - hair:
                found.add(node[1])
            if depth < least + hair:
                todo += descent.from_pool(node[1])
        elif node[0] == "point":
            todo += descent.from_point(node[1])
            # On level deck all ways are equally good: past a pond that stands no higher, too.
            s, level = descent.surface, descent.water.level
            todo += [("point", q) for q in s.beside[node[1]] if s.z[q] == s.z[node[1]] == level[q] == level[node[1]]]
        else:
            found.add(None)
    return found
