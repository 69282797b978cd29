"""Laws 1 to 7 and 11 on plans drawn by hand to be hard to lay."""

import family
import laws
import plans
import run
from drawn_plans import L, all_plans
from shapely.geometry import Polygon


def test_the_plans_are_sound():
    for name, plan in all_plans().items():
        for thing in plan["decks"] + plan["openings"]:
            ring = Polygon([c["at"] for c in thing["ring"]])
            assert ring.is_valid and ring.area > 0, name


def test_drawn_plans():
    complaint = family.complaint(family.judge("drawn by hand", all_plans()))
    assert not complaint, complaint


def test_a_foot_too_narrow_is_found_and_the_rest_is_laid():
    plan = plans.Draw("foot too narrow", clear=100, foot=150).deck(*L).plan
    layout = run.lay_texts({"foot": plans.to_file(plan)})["foot"].layout
    assert laws.judge(laws.Case("foot", plan, layout)) == []
    errors = [f["about"] for f in layout["findings"] if f["severity"] == "error"]
    assert errors == [{"setting": "products.foot"}]
