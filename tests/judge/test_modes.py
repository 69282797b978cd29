"""Laws 1 to 7 and 11 in every way of laying: run-on and mixed, slit, grown laps, several rolls, few rolls part-used, strips of
upstands; on outlines of real buildings in the best direction and three held ones, and on the plans drawn by hand.

Sources of the outlines: see `test_outlines.py`, which judges all of them in the plain way of laying. Here every so many-th
case of all outlines, ways of laying and directions is judged; BAYLAP_EVERY says how many are passed over, 1 for none.
"""

import copy
import os

import family
import modes
import outlines
import plans
from drawn_plans import all_plans

#: No divisor of the number of ways of laying and directions, so that all come up.
EVERY = int(os.environ.get("BAYLAP_EVERY", "83"))


def rings_by_name():
    """Every sound outline."""
    found = {}
    file = outlines.quarter_file()
    if file is not None:
        found |= outlines.quarter(file)
    for file in outlines.reference_files():
        found |= {f"{file.stem}/{name}": feature["rings"] for name, feature in outlines.reference(file).items()}
    return {name: rings for name, rings in found.items() if plans.is_valid(rings)}


def test_outlines_in_every_mode():
    rings = rings_by_name()
    todo = {mode: {} for mode in modes.MODES}
    for name, mode, way in modes.sample(rings, EVERY):
        plan = plans.of_rings(name, rings[name], modes.ALL_DIRECTIONS[way], **copy.deepcopy(modes.MODES[mode]))
        todo[mode][f"{name}/{mode}/{way}"] = plan
    complaints = [family.complaint(family.judge(f"outlines, {mode}", plans)) for mode, plans in todo.items() if plans]
    assert not any(complaints), "\n".join(filter(None, complaints))


def test_drawn_plans_in_every_mode():
    complaints = []
    for n, (mode, settings) in enumerate(modes.MODES.items()):
        todo = {}
        for k, (name, plan) in enumerate(all_plans().items()):
            # Every third plan in each mode, another third in the next; those with rolls of their own keep them.
            if (k + n) % 3 == 0:
                todo[f"{name}/{mode}"] = with_settings(plan, settings)
        complaints.append(family.complaint(family.judge(f"drawn by hand, {mode}", todo)))
    assert not any(complaints), "\n".join(filter(None, complaints))


def with_settings(plan, settings):
    """The plan laid in a mode, in the best direction where it sets none."""
    plan, usual = copy.deepcopy(plan), plans.PRODUCTS["rolls"]
    for key, value in copy.deepcopy(settings).items():
        if key in plans.GANG:
            plan["gang"][key] = value
        elif key != "rolls" or plan["products"]["rolls"] == usual:
            plan["products"][key] = value
    return plan


def test_every_mode_and_direction_comes_up():
    cases = {(mode, way) for _, mode, way in modes.sample(range(1000), EVERY)}
    assert len(cases) == len(modes.MODES) * len(modes.ALL_DIRECTIONS)
