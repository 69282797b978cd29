"""Judging many plans at once.

In: plans by name. Out: a report of how many were laid, how many broke which law, and the worst departures. Must hold: a
valid plan that the program gives no layout for, or lays nothing for, counts as refused. Lines of the report are printed
at the end of the test run.
"""

from __future__ import annotations

import os
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field

import laws
import plans
import run

#: Lines for the end of the run.
REPORT: list[str] = []


def thinned(cases, ways):
    """One case of every so many, all of them where BAYLAP_ALL is set: of cases that come by name and, within it, by way, each name
    in one way, the ways taking turns."""
    if os.environ.get("BAYLAP_ALL"):
        return list(cases)
    return [case for n, case in enumerate(cases) if n % ways == n // ways % ways]


@dataclass
class Verdict:
    """What was found on one plan."""

    name: str
    broken: list
    refused: str = ""
    worst: dict = field(default_factory=dict)
    pieces: int = 0


def judge_one(job) -> Verdict:
    """One plan with the program's answer."""
    name, plan, answer = job
    if answer.layout is None:
        return Verdict(name, [], f"no layout: {answer.said}")
    case = laws.Case(name, plan, answer.layout)
    broken = laws.judge(case)
    errors = [f for f in answer.layout["findings"] if f["severity"] == "error"]
    refused = "; ".join(f["text"] for f in errors)
    if not answer.layout["pieces"] and case.drawn.field.buffer(-laws.BAND).area > 0:
        refused = refused or "nothing laid"
    return Verdict(name, broken, refused, case.worst, len(answer.layout["pieces"]))


def verdicts(named_plans, answers) -> list[Verdict]:
    """All plans with their answers, on every core."""
    jobs = [(name, plan, answers[name]) for name, plan in named_plans.items()]
    if len(jobs) < 8:
        return [judge_one(job) for job in jobs]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        return list(pool.map(judge_one, jobs, chunksize=8))


def judge(family, named_plans, *options) -> list[Verdict]:
    """Lays and judges a family of plans, and reports on it."""
    answers = run.lay_texts({name: plans.to_file(plan) for name, plan in named_plans.items()}, *options)
    found = verdicts(named_plans, answers)
    report(family, found)
    return found


def report(family, found):
    """One line, or a few, on a family."""
    by_law = Counter(law for v in found for law in {b.law for b in v.broken})
    refused = [v for v in found if v.refused]
    worst: dict = {}
    for v in found:
        for law, error in v.worst.items():
            worst[law] = max(worst.get(law, 0.0), error)
    REPORT.append(
        f"{family}: {len(found)} layouts, {sum(v.pieces for v in found)} pieces, "
        f"{sum(1 for v in found if v.broken)} broken, {len(refused)} refused"
    )
    if worst:
        names = {1: "cover, share of field", 3: "clear, mm short", 5: "piece beyond its cut, mm"}
        REPORT.append("    worst: " + "; ".join(f"{names.get(k, k)} {v:.2g}" for k, v in sorted(worst.items())))
    for law, count in sorted(by_law.items()):
        first = next(b for v in found for b in v.broken if b.law == law)
        REPORT.append(f"    law {law} ({laws.LAWS[law]}) broken on {count}, e.g. {first.what}")


def complaint(found, most=12) -> str:
    """What to print when a family does not hold; empty when it does."""
    bad = [v for v in found if v.broken or v.refused]
    lines = [f"{len(bad)} of {len(found)} layouts do not hold"]
    for v in bad[:most]:
        lines += [f"  {v.name}: refused: {v.refused}"] if v.refused else []
        lines += [f"  {v.name}: law {b.law} ({laws.LAWS[b.law]}): {b.what} (by {b.error:.4g}, at {b.at})" for b in v.broken[:3]]
    return "\n".join(lines) if bad else ""
