"""The engine's least cut length against brute force on small random roofs (`brute.py` says what is counted).

For every roof, every direction of a wall and its normal, every whole-mm start of the first course: none gives a cut length
below the least that the engine reports for that direction, and the engine reports none that no start gives. For the
direction taken, the engine's curve of cut length against start is the brute one at every start; and what is laid is what
brute force counts at the start that was taken.

BAYLAP_ROOFS says how many roofs: 100 unless told otherwise, which takes half a minute on two processors; 300 take a minute
and a half.
"""

import os
from concurrent.futures import ProcessPoolExecutor

import numpy as np

import brute
import family
import plans
import run
import small_roofs


def plan_of(name, rings, width, lap):
    """Field and deck are the same: nothing is kept clear. Nothing splits a run."""
    return plans.of_rings(
        name,
        rings,
        "best",
        rolls=[{"name": "", "width": width, "length": 50_000, "on_hand": None}],
        side_lap=lap,
        end_lap=20,
        clear=0,
        least_strip=50,
        bay_area=None,
    )


def test_no_start_of_any_direction_beats_the_engine():
    roofs = small_roofs.roofs(int(os.environ.get("BAYLAP_ROOFS", "100")))
    answers = run.lay_texts({name: plans.to_file(plan_of(name, *roof)) for name, roof in roofs.items()})
    jobs = [(name, roof, answers[name].layout) for name, roof in roofs.items()]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = list(pool.map(compare, jobs, chunksize=4))
    directions, starts = (sum(counted[k] for counted, _ in found) for k in (0, 1))
    wrong = [line for _, lines in found for line in lines]
    family.REPORT.append(f"brute force: {len(roofs)} roofs, {directions} directions, {starts} starts, {len(wrong)} departures")
    assert not wrong, "\n".join(wrong[:30])


def compare(job):
    """Directions and starts tried, and what departs."""
    name, (rings, width, lap), layout = job
    if layout is None or len(layout["choices"]) != 1:
        return (0, 0), [f"{name}: nothing laid"]
    (choice,) = layout["choices"]
    ways = {way["direction_mdeg"]: way for way in choice["ways"]}
    ours, wrong = min(way["cut_length"] for way in choice["ways"]), []
    directions = brute.directions(rings)
    for direction in directions:
        angle = brute.mdeg(direction)
        # The last digit of the angle may be rounded either way.
        way = next((ways[(angle + k) % 180_000] for k in (0, -1, 1) if (angle + k) % 180_000 in ways), None)
        if way is None:
            wrong.append(f"{name}: direction {angle} was not tried")
            continue
        departs = departures(layout, way, ours, (rings, direction, width, lap), brute.GRAIN)
        if departs:
            departs = departures(layout, way, ours, (rings, direction, width, lap), brute.WIDE_GRAIN)
        wrong += [f"{name}, direction {angle}: {what}" for what in departs]
    return (len(directions), len(directions) * (width - lap)), wrong


def departures(layout, way, ours, roof, grain):
    """What departs from brute force in one direction."""
    rings, direction, width, lap = roof
    sums = brute.sums_of(brute.from_heavier_side(rings, direction), width, lap, grain)
    wrong = []
    if not sums.least.min() <= way["cut_length"] <= sums.most.min():
        wrong.append(f"least cut length {way['cut_length']}, by brute force {sums.most.min()}")
    if ours > sums.most.min():
        wrong.append(f"{ours} is the least of all directions, by brute force {sums.most.min()} in this one")
    (choice,) = layout["choices"]
    if way is choice["ways"][choice["taken"]]:
        wrong += curve(choice, sums, width - lap) + as_laid(layout, roof, grain)
    return wrong


def curve(choice, sums, pitch):
    """Where the engine's curve of cut length against start is not the brute one; straight between its points."""
    firsts, cuts = zip(*choice["starts"])
    if (firsts[0], firsts[-1]) != (0, pitch - 1):
        return [f"the curve runs from {firsts[0]} to {firsts[-1]}"]
    told = np.interp(np.arange(pitch), firsts, cuts)
    off = np.flatnonzero((told < sums.least) | (told > sums.most))
    return [f"start {k}: {told[k]} on the curve, by brute force {sums.most[k]}" for k in off[:1]]


def as_laid(layout, roof, grain):
    """Whether what is laid is what brute force counts at its start, in the frame it is laid in."""
    rings, direction, width, lap = roof
    (zone,), (choice,) = layout["zones"], layout["choices"]
    along, across = zone["frame"]["along"], zone["frame"]["across"]
    flips = direction[0] * along[0] + direction[1] * along[1] < 0, direction[0] * across[1] - direction[1] * across[0] < 0
    own = brute.sums_of([brute.Seen.along(rings, direction, flips)], width, lap, grain)
    first, laid = -zone["courses"][0]["from"], layout["totals"]["cut_length"]
    if first != choice["first"]:
        return [f"the first course starts {first} mm outside, {choice['first']} is said"]
    return [] if own.least[first] <= laid <= own.most[first] else [f"start {first}: {laid} laid, by brute force {own.most[first]}"]


# The judge's own count against plain arithmetic.


def count(rings, direction, first, width=300, lap=50):
    sums = brute.sums_of(brute.from_heavier_side(rings, direction), width, lap)
    assert sums.least[first] == sums.most[first]
    return sums.least[first]


def test_a_rectangle_is_counted_as_by_hand():
    ring = [(0, 0), (2000, 0), (2000, 1050), (0, 1050)]
    # Pitch 250: courses at 0, 250, 500, 750 reach 1050, so four of 2000; moved out by 1 mm it takes a fifth.
    assert [count([ring], (1, 0), first) for first in (0, 1, 249)] == [8000, 10_000, 10_000]
    # Across it: eight courses reach 2050, and 50 mm to spare.
    assert [count([ring], (0, 1), first) for first in (0, 50, 51)] == [8 * 1050, 8 * 1050, 9 * 1050]


def test_runs_part_at_an_opening_and_in_the_lap_they_are_left_out():
    ring = [(0, 0), (2000, 0), (2000, 550), (0, 550)]
    opening = [(800, 100), (800, 450), (1200, 450), (1200, 100)]
    # Two courses, 0..300 and 250..550: each goes round the opening and is one run.
    assert count([ring, opening], (1, 0), 0) == 4000
    # An opening that reaches right across the second of three courses parts it in two.
    taller, through = [(0, 0), (2000, 0), (2000, 780), (0, 780)], [(800, 200), (800, 560), (1200, 560), (1200, 200)]
    assert count([taller, through], (1, 0), 20) == 2000 + 1600 + 2000
    # A step up of 40 mm lies in the lap of the course before and takes no course of its own.
    step = [(0, 0), (2000, 0), (2000, 290), (0, 290)]
    assert count([step], (1, 0), 0) == 2000


def test_ends_are_rounded_out_to_whole_mm():
    # Legs 3 and 4, long side 5: along the long side the one course is 2000 long, to the mm.
    ring = [(0, 0), (1600, 1200), (1600 - 120, 1200 + 160), (-120, 160)]
    assert count([ring], (4, 3), 0) == 2000
    # Along x it reaches from -120 to 1600; each of its courses ends on slanting edges.
    assert brute.mdeg((4, 3)) == 36_870
