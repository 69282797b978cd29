"""What each outlet takes, and what happens when it is blocked.

In: a `Surface`, its water and the layout. Out: what is wrong. Must hold: flow is rain times area times run-off; capacity is by
the weir and orifice formulas of trade.md 2.1 (EN 12056-3 as widely restated, the standard itself not read): round, weir
`k D h^1.5 / 7500` up to h = D/2, orifice `k D^2 h^0.5 / 15000` beyond; others `k Lw h^1.5 / 24000` and `k Ao h^0.5 / 12000`
beyond h = 2 Ao / Lw; k 0.5 behind a strainer. Blocking an outlet takes it out of the ways out and fills the surface anew.
"""

from __future__ import annotations

import math

from falls_descent import NOWHERE, Descent, sink_of
from falls_surface import Broken
from falls_water import NEVER, Water


def capacity(mouth, head, strainer):
    """Litres per second at a head in mm."""
    k = 0.5 if strainer else 1.0
    if "round" in mouth:
        d = mouth["round"]["diameter"]
        return k * d * head**1.5 / 7500 if 2 * head <= d else k * d * d * head**0.5 / 15000
    weir, area = mouth["other"]["weir"], mouth["other"]["area"]
    return k * weir * head**1.5 / 24000 if head * weir <= 2 * area else k * area * head**0.5 / 12000


def judge(surface, layout, water):
    """Every outlet of the plan."""
    stated, broken = layout["falls"]["outlets"], []
    if [o["id"] for o in stated] != [o["id"] for o in surface.plan["outlets"]]:
        return [Broken("outlets", "outlets do not stand in the order of the plan")]
    for outlet, work in zip(surface.plan["outlets"], stated):
        broken += rate(surface.plan, outlet, work)
        broken += way_out(surface, outlet, work)
        broken += blocked(surface, outlet, work, water)
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
    mouth = intake["mouth"]
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


def blocked(surface, outlet, work, water):
    """The pool over a blocked outlet."""
    told, name, where = work["blocked"], f"outlet {outlet['id']} blocked", tuple(outlet["at"])
    exits = [e for e in surface.exits if e.sink == ("outlet", outlet["id"])]
    if not told or not exits:
        return []
    point = exits[0].point
    without = Water(surface, exits[0].sink)
    broken = []

    def wrong(what, got, wanted, room):
        if abs(got - wanted) > room:
            broken.append(Broken("outlets", f"{name}: {what} {got}, found {wanted}", abs(got - wanted), where))

    level = without.level[point]
    if level == NEVER:
        if sink_of(told["goes_to"]) != NOWHERE:
            broken.append(Broken("outlets", f"{name}: the water has nowhere to go, not {told['goes_to']}", 0.0, where))
        return broken
    number = without.pool_of.get(point)
    pool = without.pools[number] if number is not None else None
    exact = surface.is_whole
    wrong("depth", told["depth_um"], level - int(surface.z[point]), 0 if exact else 1)
    wrong("size", told["size"], pool.area if pool else 0, 1 + (0 if exact else 1e-4 * (pool.area if pool else 0) + 1000))
    volume = pool.volume if pool else 0
    wrong("volume", told["volume"], volume, 1 + 1e-6 * volume + (0 if exact else 0.002 * (pool.area if pool else 0)))
    descent = Descent(surface, without)
    sinks = descent.reach([("pool", number)] if pool else [("point", point)])
    if sink_of(told["goes_to"]) not in sinks:
        broken.append(Broken("outlets", f"{name}: its water goes to {sorted(sinks)}, not {told['goes_to']}", 0.0, where))
    return broken
