"""Every judge of falls on one layout.

In: a plan and its layout. Out: what is broken, each by the check that found it, with how much was looked at. Must hold: a
surface that is not sound is judged no further. It lays nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import falls_classes
import falls_descent
import falls_outlets
import falls_seams
import falls_surface
import falls_water
from falls_surface import Broken


@dataclass
class Judged:
    """What was found on one layout."""

    name: str
    broken: list
    counts: dict = field(default_factory=dict)


def judge(name, plan, layout, places=20, with_seams=True) -> Judged:
    """All checks on one layout."""
    if layout is None:
        return Judged(name, [Broken("surface", "there is no layout")])
    if layout.get("falls") is None:
        return Judged(name, [Broken("surface", "there are levels and no falls")] if has_levels(plan) else [])
    surface = falls_surface.Surface(plan, layout)
    broken = falls_surface.judge(surface, layout)
    counts = {"surfaces": 1, "facets": len(surface.facets), "ponds": len(layout["falls"]["ponds"])}
    if any(b.check == "surface" and "facet" in b.what for b in broken):
        return Judged(name, broken, counts)
    water = falls_water.Water(surface)
    descent = falls_descent.Descent(surface, water)
    broken += falls_water.judge(surface, water, layout)
    broken += falls_descent.pond_sinks(water, descent, layout)
    broken += falls_classes.judge(surface, water, descent, layout)
    broken += falls_descent.sums(surface, layout) + falls_descent.catchment_sizes(surface, layout)
    broken += falls_descent.facet_sinks(surface, descent, layout)
    wrong, near, several = falls_descent.places(surface, descent, layout, places)
    broken += wrong + falls_outlets.judge(surface, layout)
    counts |= {"places": places, "near a border": near, "with several sinks": several}
    if with_seams:
        found, seams = falls_seams.judge(plan, layout, surface, water)
        broken += found
        counts |= seams
    return Judged(name, broken, counts)


def has_levels(plan):
    """Whether a plan gives enough levels for a surface."""
    levels = plan.get("levels") or {}
    return len(levels.get("spots", [])) >= 3 or bool(levels.get("planes"))


def summed(found):
    """Counts over many layouts."""
    total: dict = {}
    for one in found:
        for name, count in one.counts.items():
            total[name] = total.get(name, 0) + count
    return total


def complaint(found, most=12):
    """What to print when something does not hold; empty when all does."""
    bad = [one for one in found if one.broken]
    lines = [f"{len(bad)} of {len(found)} layouts do not hold"] if bad else []
    for one in bad[:most]:
        lines += [f"  {one.name}: {b.check}: {b.what} (by {b.error:.4g}, at {b.at})" for b in one.broken[:4]]
    return "\n".join(lines)
