"""Days on random roofs and on the demo jobs: laws, ties, dates, work and materials, all found again.

BAYLAP_DAYS is how many random roofs are put into days (160).
"""

import json
import os
from concurrent.futures import ProcessPoolExecutor

import pytest

import days
import days_plans
import family
import plans
import run

COUNT = int(os.environ.get("BAYLAP_DAYS", "160"))
FILES = sorted(f for f in (run.ROOT / "demo-data").glob("*.json") if f.name != "index.json")


def judge_one(job):
    return days.judge(*job)


def judge(what, todo):
    """Plans laid in one go and judged on every core, with a line for the end of the run."""
    answers = run.lay_texts({name: plans.to_file(plan) for name, plan in todo.items()})
    refused = {name: a.said for name, a in answers.items() if a.layout is None}
    assert not refused, f"{len(refused)} plans were refused: {dict(list(refused.items())[:3])}"
    jobs = [(name, todo[name], answers[name].layout) for name in todo]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = list(pool.map(judge_one, jobs, chunksize=4))
    counts = ", ".join(f"{count} {name}" for name, count in days.summed(found).items())
    family.REPORT.append(f"days, {what}: {sum(bool(one.broken) for one in found)} of {len(found)} do not hold; {counts}")
    return found


def test_random_roofs():
    found = judge("random roofs", days_plans.plans(COUNT))
    assert not days.complaint(found), days.complaint(found)
    # The lots must have drawn what is to be judged.
    counts = days.summed(found)
    assert counts["layouts"] == COUNT and counts["days"] > 2 * COUNT and counts["day joints"] > COUNT and counts["gangs"] > COUNT


@pytest.mark.parametrize("gangs", [1, 2])
def test_demo_jobs(gangs):
    read = {f.stem: plans.filled(json.loads(f.read_text())["plan"]) for f in FILES}
    todo = {f"{name}, {gangs} gangs": days_plans.with_programme(plan, gangs) for name, plan in read.items()}
    if gangs == 1:
        # As they are, too: whatever they leave out is an example.
        todo |= read
    found = judge(f"demo jobs, {gangs} gangs", todo)
    assert not days.complaint(found), days.complaint(found)
