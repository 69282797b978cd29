"""The protection sheet on the demo jobs, on random roofs and on the plans drawn by hand.

BAYLAP_SHEETS is how many random roofs get a sheet (80); rolls and laps of the sheet change from roof to roof.
"""

import json
import os
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


def judge(what, todo):
    """Plans laid in one go and judged on every core, with a line for the end of the run."""
    answers = run.lay_texts({name: plans.to_file(plan) for name, plan in todo.items()})
    refused = [name for name, answer in answers.items() if answer.layout is None]
    assert not refused, f"{len(refused)} plans were refused: {refused[:3]}"
    jobs = [(name, todo[name], answers[name].layout) for name in todo]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = list(pool.map(judge_one, jobs, chunksize=4))
    bad = [(name, broken) for name, broken, _ in found if broken]
    family.REPORT.append(f"protection sheet, {what}: {len(bad)} of {len(found)} do not hold; {sum(n for _, _, n in found)} pieces")
    lines = [f"  {name}: {b.check}: {b.what} (by {b.error:.4g}, at {b.at})" for name, broken in bad[:12] for b in broken[:3]]
    assert not bad, f"{len(bad)} of {len(found)} sheets do not hold\n" + "\n".join(lines)
    return found


def sheeted(named):
    """Plans with one roll of sheet after the other."""
    return {name: plan | {"products": plan["products"] | SHEETS[k % len(SHEETS)]} for k, (name, plan) in enumerate(named.items())}


def test_demo_jobs():
    judge("demo jobs", {f.stem: plans.filled(json.loads(f.read_text())["plan"]) for f in FILES})


def test_random_roofs():
    found = judge("random roofs", sheeted(days_plans.plans(COUNT)))
    assert sum(pieces > 0 for _, _, pieces in found) > 0.9 * COUNT


def test_plans_drawn_by_hand():
    judge("drawn by hand", sheeted(drawn_plans.all_plans()))
