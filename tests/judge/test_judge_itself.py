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
import stock


def judged(spoil=None, plan_spoil=None, totals=True, height=hand_built.HEIGHT):
    """The broken laws after spoiling the sound layout."""
    plan, layout = hand_built.plan(height), hand_built.layout(height)
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
    assert judged(height=hand_built.HEIGHT_SLIT) == []
    assert judged(with_strips, strips_wanted) == []


def strips_wanted(plan):
    plan["products"]["upstand_strips"] = True


def with_strips(layout):
    hand_built.add_strips(layout)


def slit_pieces(layout):
    return [p for p in layout["pieces"] if p["across"][1] - p["across"][0] < hand_built.WIDTH]


def test_the_slit_layout_slits():
    # Two pieces of zone 1 of 4475 and 4525 mm, one of zone 2: 450 mm wide, the first two side by side in one length.
    pieces = slit_pieces(hand_built.layout(hand_built.HEIGHT_SLIT))
    assert [p["across"][1] - p["across"][0] for p in pieces] == [450, 450, 450]
    assert any(p["roll_across"] == 450 for p in pieces)


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


# Law 5, of slit pieces, strips, and the rolls at hand.


def spoil_slit_overlap(layout):
    beside = next(p for p in slit_pieces(layout) if p["roll_across"] > 0)
    beside["roll_across"] -= 1


def spoil_slit_off_the_roll(layout):
    beside = next(p for p in slit_pieces(layout) if p["roll_across"] > 0)
    beside["roll_across"] = hand_built.WIDTH - 449


def spoil_slit_outside_course(layout):
    piece = slit_pieces(layout)[-1]
    piece["across"] = [v + 551 for v in piece["across"]]


def spoil_slit_narrower_than_laid(layout):
    piece = slit_pieces(layout)[-1]
    piece["across"][1] -= 2


def spoil_shorter_cut(layout):
    # The length cut is that of the shorter of two pieces side by side.
    roll = next(r for r in layout["rolls"] if any(p["roll"] == r["number"] and p["roll_across"] > 0 for p in layout["pieces"]))
    roll["rest"] += 1


@pytest.mark.parametrize("spoil", [spoil_slit_overlap, spoil_slit_off_the_roll, spoil_slit_outside_course, spoil_slit_narrower_than_laid, spoil_shorter_cut])
def test_law_5_slit_pieces(spoil):
    broken = numbers(judged(spoil, height=hand_built.HEIGHT_SLIT))
    assert 5 in broken and not set(broken) - {5, 6}, broken


def test_law_5_no_kerf_between_slit_pieces():
    def plan_spoil(plan):
        plan["products"]["kerf"] = 1

    broken = judged(plan_spoil=plan_spoil, height=hand_built.HEIGHT_SLIT)
    assert any("no kerf between" in b.what for b in broken if b.law == 5)


@pytest.mark.parametrize("slitting", ["none", "outer_courses"])
def test_law_5_slit_where_it_is_not_allowed(slitting):
    def plan_spoil(plan):
        plan["products"]["slitting"] = slitting

    broken = numbers(judged(plan_spoil=plan_spoil, height=hand_built.HEIGHT_SLIT))
    assert broken == ([] if slitting == "outer_courses" else [5])


def spoil_strip_overlap(layout):
    layout["strips"][1]["roll_across"] -= 1


def spoil_strip_twice(layout):
    layout["rolls"][0]["strips"].append(3)


def spoil_strip_dropped(layout):
    gone = layout["strips"].pop()
    layout["rolls"][-1]["strips"].remove(gone["number"])


def spoil_strip_called_offcut(layout):
    layout["strips"][0]["from_offcut"] = True


def spoil_strip_into_a_piece(layout):
    strip = layout["strips"][5]
    layout["rolls"][-1]["strips"].remove(6)
    layout["rolls"][0]["strips"].append(6)
    strip |= {"roll": 1, "roll_from": 0, "roll_across": 700}


@pytest.mark.parametrize("spoil", [spoil_strip_overlap, spoil_strip_twice, spoil_strip_dropped, spoil_strip_called_offcut, spoil_strip_into_a_piece])
def test_law_5_strips(spoil):
    def both(layout):
        hand_built.add_strips(layout)
        spoil(layout)

    assert numbers(judged(both, strips_wanted)) == [5]


def test_law_5_strips_that_nobody_asked_for():
    assert numbers(judged(with_strips)) == [5]


def test_law_5_more_rolls_than_are_on_hand():
    def plan_spoil(plan):
        plan["products"]["rolls"][0]["on_hand"] = 1

    assert numbers(judged(plan_spoil=plan_spoil)) == [5]

    def spoil(layout):
        layout["findings"] = [{"severity": "warning", "code": "rolls-short", "about": "job", "at": None, "text": "", "mend": ""}]

    assert judged(spoil, plan_spoil) == []


def two_rolls_in_turn(layout):
    """The first two rolls are cut in turn, so that both are part-used."""
    layout["rolls"] = hand_built.cut(layout["pieces"][::2] + layout["pieces"][1::2])


def test_law_5_more_rolls_part_used_than_counted():
    broken = judged(two_rolls_in_turn)
    assert any("open_rolls" in b.what for b in broken if b.law == 5)


def test_law_5_more_rolls_part_used_than_allowed():
    layout = hand_built.layout()
    two_rolls_in_turn(layout)
    counted = stock.most_part_used(layout)
    assert counted > 1

    def spoil(layout):
        two_rolls_in_turn(layout)
        hand_built.add_up(layout)["totals"]["open_rolls"] = counted

    def plan_spoil(plan):
        plan["gang"]["open_rolls"] = counted - 1

    broken = [b for b in judged(spoil, plan_spoil, totals=False) if "part-used" in b.what]
    assert numbers(broken) == [5]

    def found(layout):
        spoil(layout)
        layout["findings"] = [{"severity": "note", "code": "open-rolls", "about": "job", "at": None, "text": "", "mend": ""}]

    assert not [b for b in judged(found, plan_spoil, totals=False) if "part-used" in b.what]


def test_rolls_part_used_are_counted_as_by_hand():
    # Roll 1 serves bays 1 and 3, roll 2 bay 2 alone, roll 3 bays 2 and 4: after bay 2 rolls 1 and 3 are part-used.
    pieces = [{"number": n, "bay": bay} for n, bay in enumerate([1, 3, 2, 2, 4], start=1)]
    rolls = [{"pieces": [1, 2]}, {"pieces": [3]}, {"pieces": [4, 5]}]
    assert stock.most_part_used({"pieces": pieces, "rolls": rolls}) == 2


def test_law_2_a_piece_left_out_that_another_laps_on_to():
    def spoil(layout):
        gone = next(p for p in layout["pieces"] if p["lap_from"])
        layout["pieces"].remove(gone)
        for number, piece in enumerate(layout["pieces"], start=1):
            piece["number"] = number
        for bay in layout["bays"]:
            bay["pieces"] = [p["number"] for p in layout["pieces"] if p["bay"] == bay["number"]]
        recut(layout)

    broken = judged(spoil)
    assert {1, 2} <= set(numbers(broken)) and any("laps on to nothing" in b.what for b in broken)


def test_law_2_an_end_lap_in_the_last_metre_of_a_run():
    def plan_spoil(plan):
        plan["products"]["least_piece"] = 4476

    broken = judged(plan_spoil=plan_spoil)
    assert numbers(broken) == [2] and broken[0].error == 1

    def spoil(layout):
        short = [p["number"] for p in layout["pieces"] if p["length"] < 4476 and (p["lap_from"] or p["lap_to"])]
        layout["findings"] = [
            {"severity": "warning", "code": "piece-short", "about": {"piece": n}, "at": None, "text": "", "mend": ""} for n in short
        ]

    assert judged(spoil, plan_spoil) == []


def test_law_4_an_end_lap_beside_an_outlet():
    def plan_spoil(plan):
        # Bowl and collar of no size: only its clear zone is there.
        plan["outlets"].append({"id": 99, "at": [4500, 1500], "bowl": 0, "clear_zone": 600})

    assert numbers(judged(plan_spoil=plan_spoil)) == [4]


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


@pytest.mark.parametrize(
    "change",
    [{"proved": True, "rolls_least": 3}, {"rolls_least": 99}, {"rolls_least": 1}, {"rolls_by_area": 1}, {"rolls_by_length": 9}],
)
def test_law_11_a_bound_that_is_none(change):
    def spoil(layout):
        layout["totals"] |= change

    broken = judged(spoil, totals=False)
    assert numbers(broken) == [11]


def test_law_11_more_rolls_than_first_fit_opens():
    def spoil(layout):
        # Every piece from a roll of its own.
        layout["rolls"] = [roll for piece in layout["pieces"] for roll in hand_built.cut([piece])]
        for number, (roll, piece) in enumerate(zip(layout["rolls"], layout["pieces"]), start=1):
            roll["number"] = piece["roll"] = number
        hand_built.add_up(layout)["totals"]["open_rolls"] = 0

    broken = judged(spoil, totals=False)
    assert numbers(broken) == [11] and "first or best fit opens" in broken[0].what


def choice(**changes):
    """What was tried for the first zone: the one way that is laid."""
    way = {"direction_mdeg": 0, "width": 1000, "cut_length": 5 * 8950, "first": 0}
    return {"zone": 1, "ways": [way | changes.pop("way", {})], "taken": 0, "first": 0, "starts": [[0, 5 * 8950], [924, 6 * 8950]]} | changes


@pytest.mark.parametrize(
    "changes, says",
    [
        ({}, ""),
        ({"way": {"direction_mdeg": 90_000}}, "its choice is 90000"),
        ({"way": {"width": 500}}, "its choice is 500"),
        ({"way": {"cut_length": 5 * 8950 + 1}}, "the least is said to be"),
        ({"first": 10}, "the first course starts 0 outside"),
        ({"starts": [[0, 5 * 8950 + 1], [924, 6 * 8950]]}, "the curve says"),
    ],
)
def test_law_11_a_choice_that_is_not_what_is_laid(changes, says):
    def spoil(layout):
        layout["choices"] = [choice(**changes)]

    def plan_spoil(plan):
        # The bound by cut length holds for unslit pieces only; this layout slits none.
        plan["products"]["slitting"] = "any_piece"

    broken = judged(spoil, plan_spoil)
    assert (broken == []) == (says == "") and all(b.law == 11 and says in b.what for b in broken)


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
