"""Laws 1 to 7 and 11 on plans drawn by hand to be hard to lay."""

import family
import pytest
from drawn_plans import all_plans
from shapely.geometry import Polygon


def test_the_plans_are_sound():
    for name, plan in all_plans().items():
        for thing in plan["decks"] + plan["openings"]:
            ring = Polygon([c["at"] for c in thing["ring"]])
            assert ring.is_valid and ring.area > 0, name


def test_drawn_plans():
    complaint = family.complaint(family.judge("drawn by hand", all_plans()))
    assert not complaint, complaint
