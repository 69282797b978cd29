"""Falls on hundreds of random surfaces, on drawn ones and on the demo roofs: surface, water, classes, catchments, seams.

BAYLAP_FALLS is how many random surfaces are laid (500); they are small, so that all are laid and judged within a minute.
"""

import copy
import json
import os
from concurrent.futures import ProcessPoolExecutor

import pytest

import falls
import falls_places
import falls_plans
import falls_seams
import falls_surface
import falls_water
import family
import plans
import run

COUNT = int(os.environ.get("BAYLAP_FALLS", "500"))
#: Surfaces of longer runs that showed something: a lap of which the edge of the deck leaves 20 mm; a blocked outlet whose water
#: runs over an upstand lower than the outlet.
SHOWN = [(3, 29), (3, 495), (3, 534)]
FILES = sorted(f for f in (run.ROOT / "demo-data").glob("*.json") if f.name != "index.json")


def layouts(todo):
    """Plans laid in one go: name -> layout, each refused plan told."""
    answers = run.lay_texts({name: plans.to_file(plan) for name, plan in todo.items()})
    refused = {name: a.said for name, a in answers.items() if a.layout is None}
    assert not refused, f"{len(refused)} plans were refused: {dict(list(refused.items())[:3])}"
    return {name: a.layout for name, a in answers.items()}


def judge_one(job):
    """One plan with its layout."""
    name, plan, layout, places, with_seams = job
    return falls.judge(name, plan, layout, places, with_seams)


def judge(todo, places, seams):
    """Every plan, on every core."""
    made = layouts(todo)
    jobs = [(name, todo[name], made[name], places, k < seams) for k, name in enumerate(todo)]
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        return made, list(pool.map(judge_one, jobs, chunksize=4))


def report(what, found):
    """A line for the end of the run."""
    counts = ", ".join(f"{count} {name}" for name, count in falls.summed(found).items())
    family.REPORT.append(f"falls, {what}: {sum(bool(one.broken) for one in found)} of {len(found)} do not hold; {counts}")


def test_random_surfaces():
    todo = falls_plans.plans(COUNT) | falls_plans.again(SHOWN)
    _, found = judge(todo, 10, len(todo))
    report("random surfaces", found)
    assert not falls.complaint(found), falls.complaint(found)
    # The lots must have drawn what is to be judged.
    counts = falls.summed(found)
    assert counts["surfaces"] == len(todo) and counts["ponds"] > COUNT / 10


def test_drawn_surfaces():
    _, found = judge(falls_plans.two_falls(), 100, len(falls_plans.two_falls()))
    report("drawn surfaces", found)
    assert not falls.complaint(found), falls.complaint(found)


def test_stepped_surfaces():
    todo = falls_plans.steps(COUNT // 4)
    made, found = judge(todo, 20, len(todo))
    report("decks with a change of level", found)
    assert not falls.complaint(found), falls.complaint(found)
    # Nearly all must have a step that is judged: levels on the line may fit neither side's others.
    steps = [bool(falls_surface.Surface(plan, made[name]).steps) for name, plan in todo.items()]
    assert sum(steps) > 0.95 * len(steps), f"{len(steps) - sum(steps)} of {len(steps)} have no step"


def test_hard_shapes():
    todo = falls_plans.hard_shapes()
    _, found = judge(todo, 20, len(todo))
    report("shapes that are hard to lay", found)
    assert not falls.complaint(found), falls.complaint(found)


def demo_plans():
    return {f.stem: plans.filled(json.loads(f.read_text())["plan"]) for f in FILES}


def test_demo_roofs():
    todo = demo_plans()
    made, found = judge(todo, 400, len(todo))
    report("demo roofs", found)
    assert not falls.complaint(found), falls.complaint(found)
    assert sum(made[name]["falls"] is not None for name in todo) >= 4


def test_no_bay_edge_is_in_a_bad_place_that_could_be_in_a_good_one():
    todo = demo_plans()
    made, complaints, bad = layouts(todo), [], 0
    for name, plan in todo.items():
        layout = made[name]
        if layout["falls"] is None:
            continue
        surface = falls_surface.Surface(plan, layout)
        ground = falls_seams.Ground(plan, surface, falls_water.Water(surface))
        seams = falls_seams.Seams(layout)
        could, count = falls_places.judge(plan, layout, seams, ground)
        bad += count
        complaints += [f"{name}: {length:.0f} mm of the edge between bays {seam['between']}: {where}" for seam, length, where in could]
        complaints += [f"{name}: {what} at {at}" for what, at in falls_places.better_places(layout, ground)]
    family.REPORT.append(f"falls, demo roofs: {bad} bay edges in a pond or a clear zone, {len(complaints)} could lie better")
    assert not complaints, "\n".join(complaints)


def water_of(layout):
    """What of a layout is about the surface and its water, without levels: it must not change with them."""
    kept = copy.deepcopy({k: layout["falls"][k] for k in ("facets", "class_areas", "ponds", "outlets", "over_edges", "trapped", "low_lines", "ridges")})
    for pond in kept["ponds"]:
        del pond["level_um"]
    for outlet in kept["outlets"]:
        outlet.pop("level_um")
    return kept


@pytest.mark.parametrize("shift", [1, -12_345])
def test_a_constant_added_to_all_levels_shifts_them_and_changes_nothing_else(shift):
    todo = falls_plans.plans(40, seed=7)
    moved = {name: falls_plans.with_levels(plan, lambda level: level + shift) for name, plan in todo.items()}
    before, after = layouts(todo), layouts(moved)
    for name in todo:
        one, two = before[name]["falls"], after[name]["falls"]
        room = 0 if exact(one) else 1
        assert len(one["points"]) == len(two["points"]), name
        for p, q in zip(one["points"], two["points"]):
            assert p[:2] == q[:2] and abs(q[2] - p[2] - 1000 * shift) <= room, name
        assert [abs(q["level_um"] - p["level_um"] - 1000 * shift) <= room for p, q in zip(one["ponds"], two["ponds"])] == [True] * len(two["ponds"]), name
        if room == 0:
            assert water_of(before[name]) == water_of(after[name]), name
            assert before[name]["seams"] == after[name]["seams"], name


def exact(layout_falls):
    """Whether nothing of a surface was rounded."""
    return not any(v % 1000 for p in layout_falls["points"] for v in p)


def test_levels_scaled_scale_depths_and_volumes():
    todo = {}
    for name, plan in falls_plans.plans(60, seed=8).items():
        # Sills, levels of outlets and the least pond are no levels of the deck: they would have to be scaled with them.
        for outlet in plan["outlets"]:
            outlet["intake"] |= {"sill": 0, "level": None}
        plan["drainage"]["least_pond"] = 0
        todo[name] = plan
    scaled = {name: falls_plans.with_levels(plan, lambda level: 3 * level) for name, plan in todo.items()}
    before, after, ponds = layouts(todo), layouts(scaled), 0
    for name in todo:
        one, two = before[name]["falls"], after[name]["falls"]
        if not exact(one):
            continue
        assert len(one["ponds"]) == len(two["ponds"]), name
        key = lambda p: (p["level_um"], p["deepest"])  # noqa: E731
        for p, q in zip(sorted(one["ponds"], key=key), sorted(two["ponds"], key=key)):
            ponds += 1
            assert q["level_um"] == 3 * p["level_um"] and q["depth_um"] == 3 * p["depth_um"], name
            assert abs(q["volume"] - 3 * p["volume"]) <= 2 and (q["size"], q["spill"], q["area"]) == (p["size"], p["spill"], p["area"]), name
    assert ponds > 10
