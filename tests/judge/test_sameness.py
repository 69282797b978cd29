"""Law 10: turning, mirroring, moving, reversing or renumbering a job, or adding points on its edges, changes no quantity.

Moving by whole mm, reversing and renumbering change no coordinate, so the totals must be equal to the last digit. Turning
snaps every corner to whole mm again, and so may change lengths by that much, and tip a choice between equals. Directions are
held in the plain tests and free in those of the best direction.
"""

import math
import os

import pytest
from shapely.affinity import rotate

import family
import geometry
import laws
import outlines
import plans
import run
from drawn_plans import all_plans

#: Changes that keep every length exact.
EXACT = {
    "moved": lambda plan: plans.moved(plan, 12_345, -6789),
    "reversed": lambda plan: plans.reringed(plan, reverse=True, start=0),
    "renumbered": lambda plan: plans.reringed(plan, reverse=False, start=2),
    "reversed and renumbered": lambda plan: plans.reringed(plan, reverse=True, start=3),
}
#: Changes that put corners elsewhere on the whole-mm grid, or add some.
SNAPPED = {
    "turned by 37 degrees": lambda plan: plans.rotated(plan, 37),
    "turned by 90 degrees": lambda plan: plans.rotated(plan, 90),
    "mirrored": plans.mirrored,
    "with points on edges": plans.with_points,
}
#: How far snapping moves a deck's edge on average, at most, mm.
SNAP = 0.5
#: Change of the least cut length that snapping may make, as a share, in a direction held and over all directions.
LENGTH_SHARE, BEST_SHARE = 2e-3, 5e-3
#: Change of what is laid: another start or way that costs the same but for a hair may be taken, for the one zone that is
#: settled first and then for the others. Rolls: one, or one in fifty.
CHOICE_SHARE = 2e-2


def edge_length(plan):
    """Length of every edge drawn, mm."""
    rings = [[c["at"] for c in thing["ring"]] for thing in plan["decks"] + plan["openings"]]
    return sum(math.dist(a, b) for ring in rings for a, b in zip(ring, ring[1:] + ring[:1]))


def decided(named):
    """Plans whose answer does not hang on a hair: where walls of two directions tie for the longest, or the courses fit the
    field to the mm, snapping may tip the choice, and no rule could keep both the choice and the laws."""
    answers = run.lay_texts({name: plans.to_file(plan) for name, plan in named.items()})
    return {n: plan for n, plan in named.items() if not any(on_a_hair(plan, zone) for zone in answers[n].layout["zones"])}


def on_a_hair(plan, zone):
    """Whether snapping could tip the direction or the number of courses of a zone."""
    if not zone["courses"]:
        return False
    _, v0, _, v1 = geometry.to_frame(zone["frame"], geometry.areas_of(zone["field"])).bounds
    lap = plan["products"]["side_lap"]
    pitch = plan["products"]["rolls"][0]["width"] - lap
    spare = (v1 - v0 - lap) % pitch
    if min(spare, pitch - spare) <= laws.BAND:
        return True
    if any(s.get("direction", "longest_wall") != "longest_wall" for s in plan["zones"]):
        return False
    # The walls of the zone, corners put on them left out, and as drawn, where the zone is all of a deck.
    shapes = [geometry.areas_of(zone["area"]).simplify(laws.BAND)] + geometry.drawn(plan).decks
    return any(ties([wall for ring in geometry.rings_left(shape) for wall in ring]) for shape in shapes)


def ties(walls):
    """Whether walls of two directions are the longest, but for snapping."""
    measured = [(math.dist(a, b), math.atan2(b[1] - a[1], b[0] - a[0])) for a, b in walls]
    longest, direction = max(measured)
    return any(longest - length <= 2 and abs(math.sin(angle - direction)) > 1e-3 for length, angle in measured)


def least_length(layout):
    """The least sum of run lengths of the ways tried, over all zones, mm."""
    return sum(min((way["cut_length"] for way in choice["ways"]), default=0) for choice in layout["choices"])


def differences(name, plan, before, after, exact, share=LENGTH_SHARE):
    """What differs between two layouts. Of starts and ways that cost the same but for a hair, any may be taken: so what is
    compared of a job that snapping moved is what the choice is made from and what comes of it, not the choice itself."""
    least, then = least_length(before), least_length(after)
    before, after = before["totals"], after["totals"]
    if exact:
        return [f"{name}: {k} {before[k]}, then {after[k]}" for k in before if before[k] != after[k]]
    area = SNAP * edge_length(plan)
    allowed = {"deck_area": area, "field_area": area, "cut_length": CHOICE_SHARE * before["cut_length"] + before["pieces"]}
    found = [f"{name}: {k} {before[k]}, then {after[k]}" for k, most in allowed.items() if abs(after[k] - before[k]) > most]
    if abs(least - then) > share * least + before["pieces"]:
        found.append(f"{name}: least cut length {least}, then {then}")
    if abs(before["rolls"] - after["rolls"]) > max(1, before["rolls"] // 50):
        found.append(f"{name}: {before['rolls']} rolls, then {after['rolls']}")
    return found


def same(family_name, named):
    """Compares every plan with every changed form of it."""
    count = len(named)
    named = decided(named)
    family.REPORT.append(f"{family_name}: {count - len(named)} of {count} plans left out of law 10: they hang on a hair")
    assert len(named) > 0.7 * count
    texts = {name: plans.to_file(plan) for name, plan in named.items()}
    for change, make in (EXACT | SNAPPED).items():
        texts |= {f"{name}, {change}": plans.to_file(make(plan)) for name, plan in named.items()}
    answers = run.lay_texts(texts)
    found = []
    for change in EXACT | SNAPPED:
        here = []
        for name in named:
            before, after = answers[name].layout, answers[f"{name}, {change}"].layout
            assert before and after, f"{name}, {change}: {answers[f'{name}, {change}'].said}"
            here += differences(f"{name}, {change}", named[name], before, after, change in EXACT)
        family.REPORT.append(f"{family_name}, {change}: {len(named)} plans, {len({h.split(':')[0] for h in here})} differ")
        found += here
    return found


def on_the_edge_of_a_course(plan, layout):
    """Whether snapping could make a course more or less of any way: the breadth fits the courses to the mm."""
    rolls, lap = plan["products"]["rolls"], plan["products"]["side_lap"]
    for zone in layout["zones"]:
        shape = geometry.areas_of(zone["field"])
        for way in next(c for c in layout["choices"] if c["zone"] == zone["number"])["ways"]:
            turn = math.radians(way["direction_mdeg"] / 1000)
            _, v0, _, v1 = rotate(shape, -turn, origin=(0, 0), use_radians=True).bounds
            spare = (v1 - v0 - lap) % (way["width"] - lap)
            if min(spare, way["width"] - lap - spare) <= laws.BAND:
                return True
    return not rolls


def same_in_the_best_direction(family_name, named):
    """Compares every plan with every changed form of it, the engine free to choose."""
    texts = {name: plans.to_file(plan) for name, plan in named.items()}
    for change, make in (EXACT | SNAPPED).items():
        texts |= {f"{name}, {change}": plans.to_file(make(plan)) for name, plan in named.items()}
    answers = run.lay_texts(texts)
    edge = {name for name, plan in named.items() if on_the_edge_of_a_course(plan, answers[name].layout)}
    family.REPORT.append(f"{family_name}: {len(edge)} of {len(named)} plans left out of law 10: a way fits to the mm")
    assert len(edge) < 0.5 * len(named)
    found = []
    for change in EXACT | SNAPPED:
        here = []
        for name in named:
            before, after = answers[name].layout, answers[f"{name}, {change}"].layout
            assert before and after, f"{name}, {change}: {answers[f'{name}, {change}'].said}"
            if change in EXACT or name not in edge:
                here += differences(f"{name}, {change}", named[name], before, after, change in EXACT, BEST_SHARE)
        family.REPORT.append(f"{family_name}, {change}: {len({h.split(':')[0] for h in here})} of {len(named)} plans differ")
        found += here
    return found


def buildings(first, every):
    """(name, rings) of every so many-th valid outline of the city quarter, three times as many where BAYLAP_ALL is set; skips
    the test where it is not installed."""
    every = every if os.environ.get("BAYLAP_ALL") else 3 * every
    file = outlines.quarter_file()
    if file is None:
        pytest.skip("momepy is not installed: pip install --no-deps --require-hashes -r tests/requirements-data.txt")
    return [(name, rings) for name, rings in list(outlines.quarter(file).items())[first::every] if plans.is_valid(rings)]


def test_drawn_plans_stay_the_same_in_the_best_direction():
    named = {n: plan | {"zones": []} for n, plan in all_plans().items()}
    found = same_in_the_best_direction("drawn by hand, best direction", named)
    assert not found, f"{len(found)} differences\n" + "\n".join(found[:40])


def test_buildings_stay_the_same_in_the_best_direction():
    rolls = [{"name": "", "width": 1000, "length": 20_000, "on_hand": None}]
    named = {name: plans.of_rings(name, rings, "best", rolls=rolls) for name, rings in buildings(1, 6)}
    found = same_in_the_best_direction("city quarter, best direction", named)
    assert not found, f"{len(found)} differences\n" + "\n".join(found[:40])


def test_drawn_plans_stay_the_same():
    found = same("drawn by hand", all_plans())
    assert not found, f"{len(found)} differences\n" + "\n".join(found[:40])


def test_buildings_stay_the_same():
    named = {name: plans.of_rings(name, rings, {"angle": {"mdeg": 12_300}}) for name, rings in buildings(0, 3)}
    found = same("city quarter", named)
    assert not found, f"{len(found)} differences\n" + "\n".join(found[:40])
