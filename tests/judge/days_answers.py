"""An answer of `baylap order` held against the replay and against the best order.

In: a task and the answer. Out: what is wrong. Must hold: every figure of the score is that of the replay; an order breaks no more
than it says; what is said to be proved is the best there is, and nothing costs less than what is said to be the least.
"""

from __future__ import annotations

import days_exact
import days_order
from days_order import Broken

FIGURES = ("days", "facing", "joints", "bad_joints", "parted", "left_behind", "haul", "broken", "cost")


def replay(task_json, answer):
    """What is wrong with an answer by replay alone."""
    task, placed = days_order.of_json(task_json), days_order.placed_of_json(answer)
    broken = days_order.each_once(task, placed) or days_order.turns(task, placed)
    if broken:
        return broken
    return broken + figures(answer["score"], days_order.score(task, placed)) + bounds(answer["score"])


def figures(stated, score):
    """Each figure of a score."""
    return [
        Broken("score", f"{name} is said to be {stated[name]}, by replay it is {getattr(score, name)}", name, abs(stated[name] - getattr(score, name)))
        for name in FIGURES
        if stated[name] != getattr(score, name)
    ]


def bounds(stated):
    """What is said of the least cost: proved says that it is met and that nothing is broken."""
    broken = []
    if stated["least"] > stated["cost"]:
        broken.append(Broken("bound", f"no order is said to cost less than {stated['least']}, this one costs {stated['cost']}", "least"))
    if stated["proved"] and (stated["broken"] or stated["cost"] != stated["least"]):
        broken.append(Broken("bound", f"said to be proved, with {stated['broken']} broken, {stated['cost']} for a least of {stated['least']}", "proved"))
    return broken


def against_the_best(task_json, answer):
    """What is wrong with an answer beside the best order of all."""
    stated, best = answer["score"], days_exact.by_subsets(days_order.of_json(task_json))
    got, broken = (stated["broken"], stated["cost"]), []
    if got != best:
        broken.append(Broken("optimum", f"{got[0]} broken at {got[1]}, the best has {best[0]} at {best[1]}", stated["proved"], got[1] - best[1]))
    if best[0] == 0 and stated["least"] > best[1]:
        broken.append(Broken("bound", f"no order is said to cost less than {stated['least']}, one costs {best[1]}", "least"))
    return broken
