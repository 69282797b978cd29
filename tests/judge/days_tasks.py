"""Small jobs drawn by lot, to be put in order: bays as sites, no roofs.

In: how many, of how many sites and gangs. Out: tasks as `baylap order` reads them. Must hold: the same tasks everywhere (own
random numbers); sites that touch name each other with the same length and bad part; in each group of sites that hang together
people leave the roof somewhere. The sites stand in a grid of which some are left out, so that they touch as bays do.
"""

from __future__ import annotations

import json
import subprocess

import run
from lots import Lots

#: The usual prices of the plan's documentation.
PRICES = {"day": 80_000, "facing_metre": 4_000, "joint_metre": 500, "bad_joint_metre": 4_000, "parted": 4_000, "left_behind": 8_000, "haul": 20}


def tasks(count, least=2, most=9, gangs=(1, 2), seed=0, tied=True):
    """Name -> task."""
    made = {}
    for number in range(count):
        lots = Lots(100_000 * seed + number)
        sites = lots.between(least, most)
        made[f"task {seed}/{number}"] = task(lots, sites, lots.one_of(gangs), tied and lots.between(0, 2) == 0)
    return made


def task(lots, count, gangs, tied=False):
    """One task."""
    cells = grid(lots, count)
    minutes = [lots.between(20, 200) for _ in cells]
    sites = [site(lots, m, gangs) for m in minutes]
    tilt = (lots.between(-2, 2), lots.between(-2, 2))
    for i, (x, y) in enumerate(cells):
        for j, (u, v) in enumerate(cells):
            if j > i and abs(x - u) + abs(y - v) == 1:
                join(lots, sites, i, j, (x - u) * tilt[0] + (y - v) * tilt[1])
    for group in groups(sites):
        for _ in range(lots.one_of([1, 1, 2])):
            sites[lots.one_of(group)]["exit"] = True
    made = {"sites": sites, "day": days(lots, minutes, gangs), "prices": prices(lots)}
    if tied:
        tie(lots, made)
    return made


def grid(lots, count):
    """Cells of a grid a few wide, some left out."""
    wide = lots.between(1, 1 + round(count**0.5 * 1.5))
    cells, k = [], 0
    while len(cells) < count:
        if lots.between(0, 9) > 0:
            cells.append((k % wide, k // wide))
        k += 1
    return cells


def site(lots, minutes, gangs):
    """A site by itself; one gang is faster than another."""
    pace = [1, lots.one_of([1, 1, 1.5])]
    hauls = [lots.between(0, 400_000) for _ in range(gangs)]
    return {"minutes": [round(minutes * pace[g]) for g in range(gangs)], "haul": hauls, "beside": [], "exit": False, "tie": {"day": None, "gang": None, "turn": None}}


def join(lots, sites, i, j, rise):
    """Two sites that touch; `rise` tells which lies above."""
    length = lots.one_of([0, 1, 1, 1, 1, 1]) * lots.between(500, 12_000)
    bad = lots.one_of([0, 0, 0, 1]) * lots.between(0, length)
    over = lots.between(0, length) if rise else 0
    sites[i]["beside"].append({"site": j, "length": length, "bad": bad, "above": over if rise > 0 else 0})
    sites[j]["beside"].append({"site": i, "length": length, "bad": bad, "above": over if rise < 0 else 0})


def groups(sites):
    """The sites in groups that hang together, each as a list."""
    left, found = set(range(len(sites))), []
    while left:
        stack = [min(left)]
        left.discard(stack[0])
        group = []
        while stack:
            i = stack.pop()
            group.append(i)
            for b in sites[i]["beside"]:
                if b["site"] in left:
                    left.discard(b["site"])
                    stack.append(b["site"])
        found.append(group)
    return found


def days(lots, minutes, gangs):
    """Minutes of a day: two to four bays, now and then less than the longest one."""
    usual = lots.between(2, 4) * sum(minutes) // len(minutes)
    return [max(30, usual + lots.between(-20, 60)) if lots.between(0, 7) else max(minutes) - 1 for _ in range(gangs)]


def prices(lots):
    """The usual ones, or by lot."""
    if lots.between(0, 1):
        return dict(PRICES)
    return {name: lots.between(0, 2 * usual) for name, usual in PRICES.items()}


def tie(lots, made):
    """Ties a few sites, now and then so that they cannot all be kept."""
    for _ in range(lots.between(1, 4)):
        tied = lots.one_of(made["sites"])["tie"]
        what = lots.one_of(["day", "gang", "turn"])
        most = {"day": 3, "gang": len(made["day"]), "turn": len(made["sites"])}[what]
        tied[what] = lots.between(0, most - 1)


def answers(named):
    """What the program makes of tasks: name -> answer."""
    asked = json.dumps(list(named.values()))
    done = subprocess.run([str(run.program()), "order", "-"], input=asked, capture_output=True, text=True, timeout=600)
    if done.returncode != 0:
        raise AssertionError(f"the program ended with {done.returncode}: {done.stderr[-500:]}")
    return dict(zip(named, json.loads(done.stdout)))
