"""`baylap order` on small jobs drawn by lot, against the best order found in two plain ways.

BAYLAP_ORDERS is how many jobs of up to 7 bays are put in order (100); a few have 8 and 9. CP-SAT, the third way, is no package
of the judges: `tests/bench/order.py` holds it against the program and against the sets used here.
"""

import copy
import os
from concurrent.futures import ProcessPoolExecutor

import pytest

import days_answers
import days_exact
import days_order
import days_tasks
import family

COUNT = int(os.environ.get("BAYLAP_ORDERS", "100"))


def judge_one(job):
    """One task with its answer."""
    name, task, answer = job
    found = days_answers.replay(task, answer) or days_answers.against_the_best(task, answer)
    return [f"{name}: {b.check}: {b.what}" for b in found]


def small_jobs():
    return days_tasks.tasks(COUNT, 2, 7, seed=1) | days_tasks.tasks(8, 8, 9, seed=2)


def test_small_jobs_are_put_in_the_best_order():
    todo = small_jobs()
    made = days_tasks.answers(todo)
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        wrong = [what for found in pool.map(judge_one, [(n, todo[n], made[n]) for n in todo]) for what in found]
    scores = [a["score"] for a in made.values()]
    proved, faulty = sum(s["proved"] for s in scores), sum(s["broken"] > 0 for s in scores)
    family.REPORT.append(f"days, order of small jobs: {len(todo)} jobs, {proved} proved, {faulty} with ties that cannot all be kept, {len(wrong)} do not hold")
    assert not wrong, "\n".join(wrong[:20])
    # The lots must have drawn what is to be judged.
    assert sum(s["days"] > 1 for s in scores) > COUNT / 3 and faulty > 0


def test_large_jobs_are_replayed():
    todo = days_tasks.tasks(12, 20, 60, seed=3)
    made = days_tasks.answers(todo)
    wrong = [f"{n}: {b.check}: {b.what}" for n in todo for b in days_answers.replay(todo[n], made[n])]
    # Without ties there is always an order that breaks nothing: from the furthest bay to a way off, bay by bay.
    wrong += [f"{n}: {made[n]['score']['broken']} broken without a tie" for n, t in todo.items() if made[n]["score"]["broken"] and not tied(t)]
    family.REPORT.append(f"days, order of large jobs: {len(todo)} jobs of 20 to 60 bays, {len(wrong)} do not hold")
    assert not wrong, "\n".join(wrong)


def tied(task):
    return any(value is not None for site in task["sites"] for value in site["tie"].values())


def test_the_two_plain_ways_agree():
    for name, task in days_tasks.tasks(24, 2, 4, seed=4).items():
        read = days_order.of_json(task)
        trial, sets = days_exact.by_trial(read), days_exact.by_subsets(read)
        assert trial[0] == sets, f"{name}: every order gives {trial[0]}, the sets {sets}"


@pytest.fixture(scope="module")
def answered():
    """A job of several days by two gangs with its answer."""
    for name, task in days_tasks.tasks(60, 7, 9, (2,), seed=5).items():
        made = days_tasks.answers({name: task})[name]
        if made["score"]["days"] >= 2 and made["score"]["joints"] and made["score"]["facing"] and not made["score"]["broken"]:
            return task, made
    raise AssertionError("the lots drew no such job")


@pytest.mark.parametrize("name", days_answers.FIGURES)
def test_a_figure_off_by_one_is_seen(answered, name):
    task, made = copy.deepcopy(answered)
    made["score"][name] += 1
    assert {b.about for b in days_answers.replay(task, made) if b.check == "score"} == {name}


def test_a_better_order_than_the_best_is_not_believed(answered):
    task, made = copy.deepcopy(answered)
    made["score"] |= {"cost": made["score"]["cost"] - 1, "least": made["score"]["least"] - 1}
    assert {b.check for b in days_answers.against_the_best(task, made)} == {"optimum"}


def test_a_least_above_the_best_is_seen(answered):
    task, made = copy.deepcopy(answered)
    made["score"]["least"] += 1
    assert {b.check for b in days_answers.replay(task, made)} == {"bound"}
    assert {b.check for b in days_answers.against_the_best(task, made)} == {"bound"}


def test_proved_with_something_broken_is_seen(answered):
    task, made = copy.deepcopy(answered)
    made["score"] |= {"proved": True, "least": made["score"]["cost"], "broken": 1}
    assert "bound" in {b.check for b in days_answers.replay(task, made)}
