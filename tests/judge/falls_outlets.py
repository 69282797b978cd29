"""What each outlet takes, and what happens when it is blocked.

In: a `Surface` and the layout. Out: what is wrong. Must hold: flow is rain times area times run-off; capacity is by
the weir and orifice formulas of trade.md 2.1 (EN 12056-3 as widely restated, the standard itself not read): round, weir
`k D h^1.5 / 7500` up to h = D/2, orifice `k D^2 h^0.5 / 15000` beyond; others `k Lw h^1.5 / 24000` and `k Ao h^0.5 / 12000`
beyond h = 2 Ao / Lw; k 0.5 behind a strainer; a siphonic outlet has neither, its maker's test counts. Blocking an outlet takes
it out of the ways out and fills the surface anew, no higher than the least top of an upstand that the water reaches.
"""

from __future__ import annotations

import math

from falls_descent import NOWHERE, Descent, sink_of
from falls_surface import Broken, upstand_tops
from falls_water import NEVER, Water


def capacity(mouth, head, strainer):
    """Litres per second at a head in mm."""
    k = 0.5 if strainer else 1.0
    if "round" in mouth:
        d = mouth["round"]["diameter"]
        return k * d * head**1.5 / 7500 if 2 * head <= d else k * d * d * head**0.5 / 15000
    weir, area = mouth["other"]["weir"], mouth["other"]["area"]
    return k * weir * head**1.5 / 24000 if head * weir <= 2 * area else k * area * head**0.5 / 12000


def judge(surface, layout):
    """Every outlet of the plan."""
    stated, broken = layout["falls"]["outlets"], []
    if [o["id"] for o in stated] != [o["id"] for o in surface.plan["outlets"]]:
        return [Broken("outlets", "outlets do not stand in the order of the plan")]
    for outlet, work in zip(surface.plan["outlets"], stated):
        broken += rate(surface.plan, outlet, work)
        broken += way_out(surface, outlet, work)
        broken += blocked(surface, outlet, work)
    return broken


def rate(plan, outlet, work):
    """Flow, capacity and the head that the flow needs."""
    settings = {"rain": None, "runoff": 1000} | (plan.get("drainage") or {})
    intake = {"mouth": None, "strainer": False, "head": 35} | (outlet.get("intake") or {})
    broken, where = [], tuple(outlet["at"])

    def wrong(what, got, wanted):
        if (got is None) != (wanted is None) or got is not None and abs(got - wanted) > 1 + 1e-6 * abs(wanted):
            broken.append(Broken("outlets", f"outlet {outlet['id']}: {what} {got}, found {wanted}", 0.0, where))

    flow = None
    if settings["rain"] is not None:
        litres = settings["rain"] / 10 / 3600 * (work["size"] + work["wall_area"]) / 1e6 * settings["runoff"] / 1000
        flow = 1000 * litres
    wrong("flow", work["flow"], flow)
    # What a siphonic outlet takes is its maker's to test: it is no weir.
    mouth = None if outlet.get("kind") == "siphonic" else intake["mouth"]
    if mouth is None and work["head_um"] is not None:
        broken.append(Broken("outlets", f"outlet {outlet['id']} has a depth of water and no mouth to work it from", 0.0, where))
    wrong("capacity", work["capacity"], None if mouth is None else 1000 * capacity(mouth, intake["head"], intake["strainer"]))
    if work["head_um"] is not None and mouth is not None and work["flow"] is not None:
        taken = capacity(mouth, work["head_um"] / 1000, intake["strainer"])
        if abs(taken - work["flow"] / 1000) > 0.002 + 1e-3 * taken:
            broken.append(Broken("outlets", f"outlet {outlet['id']}: {work['head_um']} of water take {taken:.4f} l/s, the flow is {work['flow']}", 0.0, where))
    return broken


def way_out(surface, outlet, work):
    """The level that water leaves an outlet at."""
    exits = [e for e in surface.exits if e.sink == ("outlet", outlet["id"])]
    if not exits or work["level_um"] is None:
        if exits and work["level_um"] is None:
            return [Broken("outlets", f"outlet {outlet['id']} lies on the surface and has no level", 0.0, tuple(outlet["at"]))]
        return []
    broken = []
    if abs(work["level_um"] - exits[0].level) > (0 if surface.is_whole else 1):
        broken.append(Broken("outlets", f"outlet {outlet['id']}: level {work['level_um']}, found {exits[0].level}", abs(work["level_um"] - exits[0].level), tuple(outlet["at"])))
    if work["overflow"] != exits[0].overflow:
        broken.append(Broken("outlets", f"outlet {outlet['id']}: overflow is {work['overflow']}", 0.0, tuple(outlet["at"])))
    return broken


def blocked(surface, outlet, work):
    """The pool over a blocked outlet: it rises to the least of the way out and the top of an upstand that it reaches."""
    told, sink = work["blocked"], ("outlet", outlet["id"])
    exits = [e for e in surface.exits if e.sink == sink]
    point = exits[0].point if exits else surface.point_near(outlet["at"], 0.001)
    if point is None or work["overflow"] or outlet.get("kind") == "overflow":
        return []
    if not told:
        return [Broken("outlets", f"outlet {outlet['id']} lies on the surface, and nothing says what happens when it is blocked", 0.0, tuple(outlet["at"]))]
    return over_it(surface, outlet, told, point)


def over_it(surface, outlet, told, point):
    """As `blocked`, for an outlet at a point of the surface."""
    sink, name, where = ("outlet", outlet["id"]), f"outlet {outlet['id']} blocked", tuple(outlet["at"])
    free, water = Water(surface, sink), Water(surface, sink, upstand_tops(surface))
    broken = []

    def wrong(what, got, wanted, room):
        if abs(got - wanted) > room:
            broken.append(Broken("outlets", f"{name}: {what} {got}, found {wanted}", abs(got - wanted), where))

    exact, level = surface.is_whole, water.level[point]
    number = water.pool_of.get(point)
    pool = water.pools[number] if number is not None else None
    # Nothing bounds its rise: it has neither a way out nor an upstand.
    size, volume, depth = (pool.area, pool.volume, level - int(surface.z[point])) if pool else (0, 0, 0)
    wrong("depth", told["depth_um"], depth, 0 if exact else 1)
    wrong("size", told["size"], size, 1 + (0 if exact else 1e-4 * size + 1000))
    wrong("volume", told["volume"], volume, 1 + 1e-6 * volume + (0 if exact else 0.002 * size))
    said = sink_of(told["goes_to"])
    sinks = goes_to(surface, free, water, point)
    if said not in sinks:
        broken.append(Broken("outlets", f"{name}: its water goes to {sorted(sinks)}, not {said}", 0.0, where))
    return broken


def goes_to(surface, free, water, point):
    """Where the water over a blocked outlet goes: nowhere, as the layout writes it, when it runs over an upstand first."""
    if water.level[point] < free.level[point] or free.level[point] == NEVER:
        return {NOWHERE}
    return Descent(surface, free).from_point_or_pool(point)
