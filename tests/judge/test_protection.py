"""The protection sheet on the demo jobs, on random roofs and on the plans drawn by hand.

BAYLAP_SHEETS is how many random roofs get a sheet (80); rolls and laps of the sheet change from roof to roof. The demo jobs hold
without exception. Random roofs are small, slanting and cut into bays of a few square metres: on some a piece comes a few square
centimetres too near to a lap between two later bays, and how many may is bounded here. Nothing else may break.
"""

import json
import os
from collections import Counter
from concurrent.futures import ProcessPoolExecutor

import days_plans
import drawn_plans
import family
import plans
import protection
import run

COUNT = int(os.environ.get("BAYLAP_SHEETS", "80"))
FILES = sorted(f for f in (run.ROOT / "demo-data").glob("*.json") if f.name != "index.json")
#: Rolls and laps of the sheet, one after the other: the usual, wide and short, with end laps of their own, close to the laps.
SHEETS = [
    {},
    {"sheet_width": 1500, "sheet_length": 10_000, "sheet_lap": 100},
    {"sheet_width": 1100, "sheet_end_lap": 150, "sheet_off_laps": 200},
    {"sheet_width": 1000, "sheet_length": 7500, "sheet_lap": 50, "sheet_off_laps": 50},
]


def judge_one(job):
    name, plan, layout = job
    return name, protection.judge(plan, layout), len((layout.get("protection") or {"pieces": []})["pieces"])


#: Not right yet: the share of roofs, hundredths, that may break a check; the others none may break.
MOST = {"open": 4}


def judge(what, todo, most=None):
    """Plans laid in one go and judged on every core, with a line for the end of the run. `most` is the share of plans, hundredths,
    that may break a check."""
    answers = run.lay_texts({name: plans.to_file(plan) for name, plan in todo.items()})
    refused = [name for name, answer in answers.items() if answer.layout is None]
    assert not refused, f"{len(refused)} plans were refused: {refused[:3]}"
    jobs = [(name, todo[name], answers[name].layout) for name in todo]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = list(pool.map(judge_one, jobs, chunksize=4))
    bad = [(name, broken) for name, broken, _ in found if broken]
    family.REPORT.append(f"protection sheet, {what}: {len(bad)} of {len(found)} do not hold; {sum(n for _, _, n in found)} pieces")
    counts = Counter(check for _, broken, _ in found for check in {b.check for b in broken})
    family.REPORT.extend(f"    {check} does not hold on {count}" for check, count in sorted(counts.items()))
    over = {check for check, count in counts.items() if 100 * count > (most or {}).get(check, 0) * len(found)}
    lines = [f"  {name}: {b.check}: {b.what} (by {b.error:.4g}, at {b.at})" for name, broken in bad for b in broken if b.check in over]
    assert not over, f"{sorted(over)} do not hold on {dict(counts)} of {len(found)} sheets\n" + "\n".join(lines[:30])
    return found


def sheeted(named):
    """Plans with one roll of sheet after the other."""
    return {name: plan | {"products": plan["products"] | SHEETS[k % len(SHEETS)]} for k, (name, plan) in enumerate(named.items())}


def test_demo_jobs():
    judge("demo jobs", {f.stem: plans.filled(json.loads(f.read_text())["plan"]) for f in FILES})


def test_random_roofs():
    found = judge("random roofs", sheeted(days_plans.plans(COUNT)), MOST)
    assert sum(pieces > 0 for _, _, pieces in found) > 0.9 * COUNT


def test_plans_drawn_by_hand():
    judge("drawn by hand", sheeted(drawn_plans.all_plans()), MOST)
