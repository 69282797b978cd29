"""Every judge of days on one layout.

In: a plan and its layout. Out: what is broken, each by the check that found it, with how much was looked at. It lays nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import days_calendar
import days_ground
import days_layout
import days_materials
import days_melting
import days_work
from days_order import Broken
from falls import summed


@dataclass
class Judged:
    """What was found on one layout."""

    name: str
    broken: list
    counts: dict = field(default_factory=dict)


def judge(name, plan, layout) -> Judged:
    """All checks on one layout."""
    if layout is None:
        return Judged(name, [Broken("form", "there is no layout")])
    if layout.get("days") is None:
        return Judged(name, [Broken("form", "there are bays and no days")] if layout["bays"] else [])
    ground, days = days_ground.Ground(plan, layout), layout["days"]
    replay = days_layout.Replay(plan, layout, ground)
    broken = days_layout.form(replay) or days_layout.judge(replay)
    counts = {"layouts": 1, "bays": len(layout["bays"]), "days": len(days["days"]), "gangs": len(days["gangs"])}
    counts |= {"day joints": sum(len(d["joints"]) for d in days["days"]), "proved": int(days["score"]["proved"]), "with laws or ties broken": int(days["score"]["broken"] > 0)}
    if any(b.check in ("form", "once") for b in broken):
        return Judged(name, broken, counts)
    broken = broken + days_ground.judge(ground) + days_calendar.judge(plan, days)
    broken += days_work.judge(plan, layout, ground) + days_work.sums(layout) + days_materials.judge(plan, layout, ground)
    broken += days_melting.judge(plan, layout)
    return Judged(name, broken, counts)


def complaint(found, most=12):
    """What to print when something does not hold; empty when all does."""
    bad = [one for one in found if one.broken]
    lines = [f"{len(bad)} of {len(found)} layouts do not hold"] if bad else []
    for one in bad[:most]:
        lines += [f"  {one.name}: {b.check}: {b.what} (by {b.error:.4g})" for b in one.broken[:4]]
    return "\n".join(lines)
