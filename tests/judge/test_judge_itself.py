"""The judge itself: it passes a sound layout, and each law can fail.

In every test a sound layout, built by hand and not by the project, is spoilt in one way and everything that follows from
it is put right, so that the judge must name that law and no other.
"""

import copy
import math

import pytest
import shapely
from shapely.geometry import Polygon

import geometry
import hand_built
import laws
import plans


def judged(spoil=None, plan_spoil=None, totals=True):
    """The broken laws after spoiling the sound layout."""
    plan, layout = hand_built.plan(), hand_built.layout()
    if plan_spoil:
        plan_spoil(plan)
    if spoil:
        spoil(layout)
    if totals:
        hand_built.add_up(layout)
    return laws.judge(laws.Case("spoilt", plan, copy.deepcopy(layout)))


def numbers(broken):
    return sorted({b.law for b in broken})


def stretch(piece, side, by):
    """Moves one end of a piece (0 from, 1 to) with its polygon."""
    x0, y0, x1, y1 = piece["as_laid"][0][0][0] + piece["as_laid"][0][0][2]
    x0, x1 = (x0 + by, x1) if side == 0 else (x0, x1 + by)
    piece["from" if side == 0 else "to"] += by
    piece["length"] = piece["to"] - piece["from"]
    piece["as_laid"] = [hand_built.rect(x0, y0, x1, y1)]
    piece["area"] = (x1 - x0) * (y1 - y0)


def recut(layout):
    """Cuts the rolls anew."""
    layout["rolls"] = hand_built.cut(layout["pieces"])


def test_a_sound_layout_breaks_no_law():
    assert judged() == []


def test_law_0_a_miscounted_area():
    def spoil(layout):
        layout["bays"][0]["size"] += 5

    assert numbers(judged(spoil)) == [0]


def test_law_1_a_piece_dropped():
    def spoil(layout):
        gone = layout["pieces"].pop()
        for bay in layout["bays"]:
            bay["pieces"] = [n for n in bay["pieces"] if n != gone["number"]]
        recut(layout)

    assert numbers(judged(spoil)) == [1]


def test_law_1_a_piece_short_of_the_edge():
    def spoil(layout):
        stretch(layout["pieces"][0], 0, 3)
        recut(layout)

    assert numbers(judged(spoil)) == [1]


def test_law_1_a_field_that_leaves_out_a_part():
    def spoil(layout):
        # Field and pieces agree with each other, but not with the plan.
        zone = layout["zones"][1]
        zone["field"] = [hand_built.rect(hand_built.JOINT, 50, 12_040, 4750)]
        for piece in [p for p in layout["pieces"] if p["zone"] == 2]:
            stretch(piece, 1, -10)
        recut(layout)

    broken = judged(spoil)
    assert numbers(broken) == [1] and "field lacks a part" in broken[0].what


def test_law_2_an_end_lap_too_short():
    def spoil(layout):
        first, second = layout["pieces"][:2]
        stretch(first, 1, -10)
        first["lap_to"] = second["lap_from"] = 65
        recut(layout)

    broken = judged(spoil)
    assert numbers(broken) == [2] and broken[0].error == 10


def test_law_2_an_end_lap_not_as_stated():
    def spoil(layout):
        layout["pieces"][0]["lap_to"] = 80

    assert numbers(judged(spoil)) == [2]


def test_law_2_a_side_lap_too_short():
    def spoil(layout):
        # Course 3 of zone 2 is laid 1 mm further out, and with it all that follows.
        for zone_course in layout["zones"][1]["courses"][2:]:
            zone_course["from"] += 1
            zone_course["to"] += 1
        for piece in [p for p in layout["pieces"] if p["zone"] == 2 and p["course"] >= 3]:
            piece["across"] = [v + 1 for v in piece["across"]]
            x0, y0, x1, y1 = piece["as_laid"][0][0][0] + piece["as_laid"][0][0][2]
            piece["as_laid"] = [hand_built.rect(x0, y0 + 1, x1, min(y1 + 1, 4750))]
            piece["area"] = (x1 - x0) * (min(y1 + 1, 4750) - y0 - 1)

    broken = judged(spoil)
    assert numbers(broken) == [2] and broken[0].error == 1


def test_law_2_a_side_lap_only_on_paper():
    def spoil(layout):
        # The polygon is trimmed out of the lap, though the numbers say that it is there.
        piece = next(p for p in layout["pieces"] if p["zone"] == 2 and p["course"] == 2)
        x0, y0, x1, y1 = piece["as_laid"][0][0][0] + piece["as_laid"][0][0][2]
        piece["as_laid"] = [hand_built.rect(x0, y0 + 30, x1, y1)]
        piece["area"] = (x1 - x0) * (y1 - y0 - 30)

    assert numbers(judged(spoil)) == [2]


def test_law_2_a_drawn_line_not_lapped():
    def plan_spoil(plan):
        plan["zone_lines"] = [plan["joints"].pop() | {"kind": "drawn"}]

    assert numbers(judged(plan_spoil=plan_spoil)) == [2]


def test_law_3_a_wall_where_a_piece_lies():
    def plan_spoil(plan):
        plan["openings"].append({"id": 99, "ring": plans.corners([(3000, 1000), (4000, 1000), (4000, 2000), (3000, 2000)])})

    broken = judged(plan_spoil=plan_spoil)
    assert 3 in numbers(broken) and any("opening" in b.what for b in broken)


@pytest.mark.parametrize("add", [
    {"penetrations": {"id": 99, "shape": {"circle": {"centre": [3000, 1000], "diameter": 100}}}},
    {"penetrations": {"id": 99, "shape": {"ring": {"corners": [[3000, 1000], [3200, 1000], [3200, 1200]]}}, "collar": 30}},
    {"outlets": {"id": 99, "at": [3000, 1000], "bowl": 300, "clear_zone": 500}},
])
def test_law_3_a_collar_or_bowl_where_a_piece_lies(add):
    def plan_spoil(plan):
        for kind, thing in add.items():
            plan[kind].append(thing)

    assert numbers(judged(plan_spoil=plan_spoil)) == [3]


def test_law_3_a_wider_clear_strip():
    def plan_spoil(plan):
        plan["products"]["clear"] = 55

    broken = judged(plan_spoil=plan_spoil)
    assert numbers(broken) == [3] and any(b.error == pytest.approx(5, abs=0.01) for b in broken)


def test_law_3_a_foot_too_narrow_without_a_finding():
    def plan_spoil(plan):
        plan["products"]["foot"] = 124

    assert numbers(judged(plan_spoil=plan_spoil)) == [3]


def test_law_4_end_laps_too_close():
    def plan_spoil(plan):
        plan["products"]["stagger"] = 401

    broken = judged(plan_spoil=plan_spoil)
    assert numbers(broken) == [4] and broken[0].error == 1

    def spoil(layout):
        # A finding that names each place excuses it.
        layout["findings"] = [
            {"severity": "warning", "code": "stagger", "about": "job", "at": list(b.at), "text": "", "mend": ""} for b in broken
        ]

    assert judged(spoil, plan_spoil) == []


def spoil_twice_cut(layout):
    layout["rolls"][1]["pieces"].append(1)


def spoil_rest(layout):
    layout["rolls"][0]["rest"] += 1


def spoil_place_on_roll(layout):
    layout["pieces"][1]["roll_from"] -= 1


def spoil_width(layout):
    for roll in layout["rolls"]:
        roll["width"] = 999


@pytest.mark.parametrize("spoil", [spoil_twice_cut, spoil_rest, spoil_place_on_roll, spoil_width])
def test_law_5_rolls_that_do_not_add_up(spoil):
    assert numbers(judged(spoil)) == [5]


def test_law_5_a_piece_longer_than_may_be():
    def plan_spoil(plan):
        plan["products"]["longest_piece"] = 4474

    assert numbers(judged(plan_spoil=plan_spoil)) == [5]


@pytest.mark.parametrize("key", ["rolls", "pieces", "cut_length", "roll_area"])
def test_law_5_a_miscount(key):
    def spoil(layout):
        hand_built.add_up(layout)["totals"][key] += 1
        layout["totals"]["proved"] = layout["totals"]["rolls"] == layout["totals"]["rolls_least"]

    assert numbers(judged(spoil, totals=False)) == [5]


@pytest.mark.parametrize("part", ["laps", "trim", "scrap", "offcuts"])
def test_law_5_waste_that_does_not_add_up(part):
    def spoil(layout):
        layout["totals"]["waste"][part] += 1

    assert numbers(judged(spoil, totals=False)) == [5]


def test_law_6_a_bay_moved():
    def spoil(layout):
        bay = layout["bays"][0]
        bay["area"] = [hand_built.rect(0, 10, 9000, 50 + 3 * hand_built.PITCH + 10)]

    assert numbers(judged(spoil)) == [6]


def test_law_6_a_bay_too_small():
    def spoil(layout):
        bay = layout["bays"][0]
        bay["area"] = [hand_built.rect(0, 1, 9000, 50 + 3 * hand_built.PITCH)]
        bay["size"] -= 9000

    assert numbers(judged(spoil)) == [6]


def test_law_6_past_the_pour_limit_without_a_finding():
    def plan_spoil(plan):
        plan["gang"]["bay_area"] = 2500

    assert numbers(judged(plan_spoil=plan_spoil)) == [6]


def test_law_6_a_piece_of_another_bay():
    def spoil(layout):
        layout["pieces"][0]["bay"] = 2

    assert numbers(judged(spoil)) == [6]


def test_law_7_a_joint_moved():
    def plan_spoil(plan):
        plan["joints"][0]["points"] = [[9010, 0], [9010, 4800]]

    assert numbers(judged(plan_spoil=plan_spoil)) == [7]


def test_law_7_a_second_joint():
    def plan_spoil(plan):
        plan["joints"].append({"id": 99, "points": [[0, 2000], [12_100, 2100]]})

    assert numbers(judged(plan_spoil=plan_spoil)) == [7]


@pytest.mark.parametrize("change", [{"proved": True, "rolls_least": 3}, {"rolls_least": 99}, {"rolls_least": 1}])
def test_law_11_a_bound_that_is_none(change):
    def spoil(layout):
        layout["totals"] |= change

    broken = judged(spoil, totals=False)
    assert numbers(broken) == [11]


# The judge's own geometry against GEOS's offset curves.


def uniform(points, clear):
    """A deck with the same clear all round, and its field as GEOS offsets it."""
    draw = plans.Draw(clear=clear).deck(*points)
    return geometry.drawn(draw.plan).field, Polygon(points).buffer(-clear, join_style="mitre", mitre_limit=10)


@pytest.mark.parametrize("clear", [10, 50, 500])
def test_bands_agree_with_the_offset_of_geos(clear):
    shapes = [
        [(0, 0), (12_000, 0), (12_000, 5000), (5000, 5000), (5000, 9000), (0, 9000)],
        [(0, 0), (17_000, 1234), (5432, 9876)],
        [(0, 0), (15_000, 0), (15_000, 12_000), (10_000, 11_000), (9000, 4000), (5000, 4700), (4000, 12_000), (0, 10_000)],
    ]
    for points in shapes:
        ours, theirs = uniform(points, clear)
        assert ours.symmetric_difference(theirs).area <= 1e-6 * theirs.area


def test_an_edge_without_clear_meets_one_with():
    # At the re-entrant corner of an L the strip runs on to the line of the free edge and ends there.
    points = [(0, 0), (12_000, 0), (12_000, 5000), (5000, 5000), (5000, 9000), (0, 9000)]
    edges = [plans.FREE] * 6
    edges[2] = plans.PARAPET
    field = geometry.drawn(plans.Draw(clear=100).deck(*points, edge=edges).plan).field
    assert field.area == Polygon(points).area - 100 * 7000
    assert shapely.box(5000, 4900, 12_000, 5000).intersection(field).area == 0


def test_a_round_opening_keeps_its_circle_clear():
    area, rounds = [], []
    geometry.disc(area, rounds, (0, 0), 200)
    assert area[0].area == pytest.approx(math.pi * 200**2, rel=1e-3)
    assert rounds[0].intersection(area[0]).area == 0
