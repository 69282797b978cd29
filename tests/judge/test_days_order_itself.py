"""The replay of an order itself: its figures worked out by hand, and each check can fail.

The job: four bays in a row, 0 to 3, people leave from 3. Each takes one gang 100 minutes and another 50; two fit in the day of
the first. Edges are 2,000, 3,000 and 4,000 mm; 500 mm of the middle one are bad; bay 1 lies above bay 0 over all its edge.
"""

import pytest

import days_exact
import days_order
from days_order import Placed, Task
from days_tasks import PRICES

EDGES = {(0, 1): (2000, 0, 0), (1, 2): (3000, 500, 0), (2, 3): (4000, 0, 0)}


def row(day=(200, 100), exits=(3,)):
    beside = [{} for _ in range(4)]
    for (i, j), (length, bad, _) in EDGES.items():
        beside[i][j] = (length, bad, 0)
        beside[j][i] = (length, bad, 2000 if j == 1 else 0)
    return Task([[100, 50]] * 4, [[30_000, 10_000]] * 4, beside, frozenset(exits), [(None, None, None)] * 4, list(day), PRICES)


def by_one(*days):
    """Placed by the first gang alone: each day the sites in their order."""
    return days_order.of_turns(row(), {(d, 0): list(sites) for d, sites in enumerate(days)})


def checks(placed, task=None):
    return sorted({b.check for b in days_order.judge(task or row(), placed)})


def test_a_sound_order_and_what_it_comes_to():
    placed = by_one([0, 1], [2, 3])
    assert checks(placed) == []
    made = days_order.score(row(), placed)
    assert (made.days, made.facing, made.joints, made.bad_joints, made.parted, made.left_behind, made.haul) == (2, 0, 3000, 500, 0, 0, 120_000)
    # 2 x 80000 + 3 m x 500 + 0.5 m x 4000 + 1.2 x 20
    assert made.cost == 160_000 + 1500 + 2000 + 24


def test_bays_laid_in_the_way_of_others():
    # Bay 3 is the way off: laid first, nothing is left for the day.
    assert checks(by_one([3, 2], [1, 0])) == ["way off"]
    made = days_order.score(row(), by_one([3], [2], [1], [0]))
    # At the ends of three days 3, 2 and 1 bays lie behind finished ones; bay 1 is laid before bay 0, which it lies above.
    assert (made.broken, made.left_behind, made.facing, made.days) == (0, 3 + 2 + 1, 2000, 4)


def test_what_was_laid_the_day_before_may_be_walked_on():
    assert checks(by_one([3], [0, 1], [2])) == []


def test_groups_of_a_gang():
    made = days_order.score(row(), by_one([0, 2], [1, 3]))
    assert made.parted == 2


def test_two_gangs_that_begin_at_once_must_not_close_each_others_way():
    # Whichever lays bay 2, from bay 1 there is no way to bay 3 past it; people who leave by bay 0 as well are not held up.
    for turns in ({(0, 0): [2], (0, 1): [1], (1, 0): [0, 3]}, {(0, 0): [1], (0, 1): [2], (1, 0): [0, 3]}):
        broken = days_order.judge(row(), days_order.of_turns(row(), turns))
        assert [(b.check, b.about) for b in broken] == [("way off", 1)]
        assert checks(days_order.of_turns(row(), turns), row(exits=(0, 3))) == []


def test_a_gang_shut_in_by_another():
    # Bay 1 takes the first gang 100 minutes; the second begins bay 2 beside it and bay 3 at 50: bay 1 is reached and not left.
    placed = days_order.of_turns(row(), {(0, 0): [1], (0, 1): [2, 3], (1, 0): [0]})
    assert checks(placed) == ["way off"] and days_order.score(row(), placed).broken == 1
    # Where people leave by bay 0 as well it may stay.
    assert checks(placed, row(exits=(0, 3))) == []


def test_a_bay_begun_when_another_is_done_does_not_shut_it_in():
    # People leave by bays 0 and 3. The second gang lays bay 0, then bay 2 beside bay 1: when that is done, or before.
    placed = lambda task: days_order.of_turns(task, {(0, 0): [1], (0, 1): [0, 2], (1, 0): [3]})  # noqa: E731
    late, early = row(day=(200, 200), exits=(0, 3)), row(day=(200, 200), exits=(0, 3))
    late.minutes = [[100, 100], *late.minutes[1:]]
    assert checks(placed(late), late) == [] and checks(placed(early), early) == ["way off"]


def test_the_sets_see_a_gang_shut_in():
    # Two bays in a row, one day each if a day by two gangs shuts one of them in; people leave from bay 1.
    task = Task([[100, 50], [100, 50]], [[0, 0]] * 2, [{1: (2000, 0, 0)}, {0: (2000, 0, 0)}], frozenset([1]), [(None, None, None)] * 2, [100, 50], PRICES)
    assert days_exact.by_subsets(task) == days_exact.by_trial(task)[0] == (0, 2 * PRICES["day"] + 2 * PRICES["joint_metre"])
    # Tied to one day it is told.
    task.ties = [(0, None, None)] * 2
    assert days_exact.by_subsets(task) == days_exact.by_trial(task)[0] == (1, PRICES["day"])


@pytest.mark.parametrize("spoil, named", [
    (lambda p: p[:-1], ["once"]),
    (lambda p: [*p, p[-1]], ["once"]),
    (lambda p: [p[1], p[0], *p[2:]], ["once"]),
    (lambda p: [Placed(0, 0, 7, 0, 100), *p[1:]], ["once"]),
    (lambda p: [Placed(0, 0, 0, 0, 90), Placed(0, 90, 0, 1, 190), *p[2:]], ["minutes"]),
    (lambda p: [p[0], Placed(0, 110, 0, 1, 210), *p[2:]], ["day", "turns"]),
    (lambda p: [p[0], Placed(0, 90, 0, 1, 190), *p[2:]], ["turns", "way off"]),
])
def test_a_spoilt_order_is_named(spoil, named):
    assert checks(spoil(by_one([0, 1], [2, 3]))) == named


def test_more_than_a_day_holds():
    assert checks(by_one([0, 1, 2], [3])) == ["day"]


def test_a_bay_longer_than_a_day_has_it_for_itself():
    short = row(day=(90, 100))
    assert checks(by_one([0], [1], [2], [3]), short) == []
    assert checks(by_one([0, 1], [2], [3]), short) == ["day"]


@pytest.mark.parametrize("tie", [(1, None, None), (None, 1, None), (None, None, 1)])
def test_a_tie_not_kept(tie):
    task = row()
    task.ties = [tie, *task.ties[1:]]
    assert checks(by_one([0, 1], [2, 3]), task) == ["tie"]
    assert days_order.score(task, by_one([0, 1], [2, 3])).broken == 1


def test_money_is_rounded_once_halves_up():
    made = days_order.Score(facing=1, joints=1, haul=0)
    assert days_order.cost({**PRICES, "facing_metre": 300, "joint_metre": 199}, made) == 0
    assert days_order.cost({**PRICES, "facing_metre": 300, "joint_metre": 200}, made) == 1
