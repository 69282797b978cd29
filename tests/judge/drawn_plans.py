"""Plans drawn by hand to be hard to lay.

In: nothing. Out: plans by name. Each is valid: it must be laid, and no law broken. Shapes that a real roof can have:
arms, courts, openings that touch and overlap, slivers, necks, joints, changes of level, free edges.
"""

from __future__ import annotations

import math

from plans import FREE, KERB, PARAPET, Draw

L = [(0, 0), (12_000, 0), (12_000, 5000), (5000, 5000), (5000, 9000), (0, 9000)]
BIG = [(0, 0), (40_000, 0), (40_000, 18_000), (0, 18_000)]
BOX = [(0, 0), (20_000, 0), (20_000, 10_000), (0, 10_000)]


def polygon(n, radius, cx=0, cy=0, turn=0.0):
    """A regular polygon on whole mm."""
    return [
        (round(cx + radius * math.cos(math.radians(turn + 360 * k / n))), round(cy + radius * math.sin(math.radians(turn + 360 * k / n))))
        for k in range(n)
    ]


def star(n, outer, inner, cx=0, cy=0):
    """A star on whole mm: every second corner re-entrant."""
    return [p for pair in zip(polygon(n, outer, cx, cy), polygon(n, inner, cx, cy, 180 / n)) for p in pair]


def all_plans() -> dict[str, dict]:
    """Every plan."""
    made = {
        "l": Draw().deck(*L),
        "l on the skew": Draw().deck(*L).angle(1000, 1000, 17.3),
        "t": Draw().deck((0, 0), (20_000, 0), (20_000, 4000), (12_000, 4000), (12_000, 15_000), (8000, 15_000), (8000, 4000), (0, 4000)),
        "u": Draw().deck((0, 0), (15_000, 0), (15_000, 12_000), (10_000, 12_000), (10_000, 4000), (5000, 4000), (5000, 12_000), (0, 12_000)),
        "u across": Draw()
        .deck((0, 0), (15_000, 0), (15_000, 12_000), (10_000, 12_000), (10_000, 4000), (5000, 4000), (5000, 12_000), (0, 12_000))
        .angle(1000, 1000, 90),
        "courtyard": Draw().deck(*BIG).rect_opening(10_000, 6000, 15_000, 6000),
        "courtyard on the skew": Draw().deck(*BIG).rect_opening(10_000, 6000, 15_000, 6000).angle(1000, 1000, 61.7),
        "openings touch along an edge": Draw().deck(*BOX).rect_opening(5000, 3000, 2000, 2000).rect_opening(7000, 3000, 1500, 3000),
        "openings touch at a corner": Draw().deck(*BOX).rect_opening(5000, 3000, 2000, 2000).rect_opening(7000, 5000, 2000, 2000),
        "openings overlap": Draw().deck(*BOX).rect_opening(5000, 3000, 2000, 2000).rect_opening(6000, 4000, 3000, 2500),
        "openings overlap on the skew": Draw()
        .deck(*BOX)
        .opening((5000, 3000), (8000, 3700), (7300, 6100), (4500, 5000))
        .opening((7000, 3100), (9111, 4777), (6100, 5333)),
        "opening on the edge": Draw().deck(*BOX).rect_opening(4000, 0, 3000, 2000),
        "opening over the edge": Draw().deck(*BOX).rect_opening(4000, -1000, 3000, 3000),
        "opening over a corner": Draw().deck(*BOX).rect_opening(-500, -500, 3000, 2000),
        "opening touches the edge at a corner": Draw().deck(*BOX).opening((5000, 0), (7000, 2000), (5000, 4000), (3000, 2000)),
        "opening close to the edge": Draw().deck(*BOX).rect_opening(4000, 60, 3000, 2000),
        "opening parts the deck": Draw().deck(*BOX).rect_opening(9000, -100, 1500, 10_200),
        "opening close to an opening": Draw().deck(*BOX).rect_opening(4000, 3000, 3000, 2000).rect_opening(7090, 3000, 3000, 2000),
        "many openings": many_openings(),
        "sliver edge": Draw().deck((0, 0), (10_000, 0), (10_003, 4), (10_003, 6000), (0, 6000)),
        "sliver edges all round": Draw().deck((5, 0), (9995, 0), (10_000, 5), (10_000, 5995), (9995, 6000), (5, 6000), (0, 5995), (0, 5)),
        "sliver notch": Draw().deck((0, 0), (5000, 0), (5000, 5), (5005, 5), (5005, 0), (10_000, 0), (10_000, 6000), (0, 6000)),
        "sharp spike": Draw().deck((0, 0), (20_000, 0), (20_000, 6000), (9000, 6000), (9050, 12_000), (8950, 6000), (0, 6000)),
        "sharp cut": Draw().deck((0, 0), (20_000, 0), (20_000, 6000), (9050, 6000), (9000, 1000), (8950, 6000), (0, 6000)),
        "triangle": Draw().deck((0, 0), (17_000, 1234), (5432, 9876)),
        "needle": Draw().deck((0, 0), (30_000, 0), (30_000, 900)),
        "neck narrower than a roll": Draw().deck(
            (0, 0), (8000, 0), (8000, 3000), (14_000, 3000), (14_000, 0), (20_000, 0), (20_000, 8000), (14_000, 8000), (14_000, 3600), (8000, 3600), (8000, 8000), (0, 8000)
        ),
        "neck narrower than a roll, across": Draw()
        .deck((0, 0), (8000, 0), (8000, 3000), (14_000, 3000), (14_000, 0), (20_000, 0), (20_000, 8000), (14_000, 8000), (14_000, 3600), (8000, 3600), (8000, 8000), (0, 8000))
        .angle(1000, 1000, 77),
        "neck closed by the clear strips": Draw().deck(
            (0, 0), (8000, 0), (8000, 3000), (14_000, 3000), (14_000, 0), (20_000, 0), (20_000, 8000), (14_000, 8000), (14_000, 3090), (8000, 3090), (8000, 8000), (0, 8000)
        ),
        "two decks": Draw().deck(*L).deck((20_000, 0), (30_000, 2000), (29_000, 9000), (21_000, 8000)),
        "two decks that touch": Draw().deck(*BOX).deck((20_000, 0), (28_000, 0), (28_000, 7000), (20_000, 7000)),
        "joint across": Draw().deck(*BIG).joint((18_000, 0), (18_000, 18_000)),
        "joint at an angle": Draw().deck(*BIG).joint((12_345, 0), (20_111, 18_000)).angle(1000, 1000, 12.7),
        "two joints that cross": Draw().deck(*BIG).joint((18_000, 0), (20_000, 18_000)).joint((0, 7777), (40_000, 9001)),
        "joint with corners": Draw().deck(*BIG).joint((18_000, 0), (18_000, 6000), (23_456, 9000), (23_456, 18_000)),
        "joint through an opening": Draw().deck(*BIG).rect_opening(15_000, 6000, 6000, 5000).joint((18_000, 0), (18_000, 18_000)),
        "joint along a wall": Draw().deck(*L).joint((5000, 5000), (5000, 0)),
        "free edges": Draw().deck(*L, edge=[FREE, PARAPET, FREE, PARAPET, FREE, PARAPET]),
        "edge changes on a straight side": Draw().deck((0, 0), (7000, 0), (12_000, 0), (12_000, 8000), (0, 8000), edge=[FREE, PARAPET] + [FREE] * 3),
        "edge changes on a side bent by 1 mm": Draw().deck((0, 0), (7000, 1), (12_000, 0), (12_000, 8000), (0, 8000), edge=[FREE, PARAPET] + [FREE] * 3),
        "free edges with a gap": Draw(edge_gap=30).deck(*L, edge=[FREE, PARAPET, FREE, PARAPET, FREE, PARAPET]),
        "all free": Draw().deck(*L, edge=FREE).rect_opening(2000, 2000, 1000, 1000, edge=FREE),
        "canopy": Draw().deck((0, 0), (12_000, 0), (12_000, 8000), (0, 8000), edge=FREE),
        "drawn zone line": Draw().deck(*L).zone_line((5000, 0), (5000, 5000)).angle(1000, 1000, 90).angle(9000, 1000, 0),
        "drawn zone line on the skew": Draw().deck(*BIG).zone_line((17_000, 0), (22_222, 18_000)).angle(1000, 1000, 71).angle(39_000, 1000, 3),
        "drawn zone line with corners": Draw()
        .deck(*BIG)
        .zone_line((17_000, 0), (17_000, 9000), (25_000, 9000), (25_000, 18_000))
        .angle(1000, 1000, 90)
        .angle(39_000, 1000, 0),
        "drawn zone line through an opening": Draw()
        .deck(*BIG)
        .rect_opening(15_000, 6000, 6000, 5000)
        .zone_line((18_000, 0), (18_000, 18_000))
        .angle(1000, 1000, 90)
        .angle(39_000, 1000, 0),
        "change of level": Draw().deck(*BIG).zone_line((17_000, 0), (17_000, 18_000), kind="level_change"),
        "joint and drawn line": Draw().deck(*BIG).joint((12_000, 0), (12_000, 18_000)).zone_line((26_000, 0), (26_000, 18_000)),
        "pipes": pipes(),
        "pitch pocket": Draw().deck(*BOX).pipe(5000, 5000, 60, pocket=1).pipe(5200, 5000, 60, pocket=1).pipe(5100, 5150, 90, pocket=1),
        "square post": Draw().deck(*BOX).box((5000, 5000), (5300, 5000), (5300, 5300), (5000, 5300)).angle(1000, 1000, 30),
        "post with a collar of its own": Draw().deck(*BOX).box((5000, 5000), (5300, 5100), (5200, 5400), collar=250),
        "outlets": Draw().deck(*BIG).outlet(10_000, 9000).outlet(30_000, 9000, bowl=400).outlet(20_000, 500, bowl=250),
        "outlet close to a wall": Draw().deck(*BOX).outlet(10_000, 120, bowl=200, clear_zone=300),
        "octagon": Draw().deck(*polygon(8, 9000, turn=11)),
        "round": Draw().deck(*polygon(90, 9000)),
        "round with a round opening": Draw().deck(*polygon(90, 9000)).opening(*polygon(60, 2500, 1500, 900)),
        "star": Draw().deck(*star(7, 12_000, 5000)),
        "comb": comb(),
        "spiral": Draw().deck((0, 0), (20_000, 0), (20_000, 14_000), (4000, 14_000), (4000, 5000), (15_000, 5000), (15_000, 9000), (8000, 9000), (8000, 11_000), (17_000, 11_000), (17_000, 3000), (0, 3000)),
        "smaller than a roll is wide": Draw().deck((0, 0), (700, 0), (700, 500), (0, 500)),
        "as narrow as a roll": Draw().deck((0, 0), (9000, 0), (9000, 1100), (0, 1100)),
        "one mm wider than a roll": Draw().deck((0, 0), (9000, 0), (9000, 1101), (0, 1101)),
        "exactly two courses": Draw().deck((0, 0), (9000, 0), (9000, 2025), (0, 2025)),
        "long": Draw().deck((0, 0), (130_000, 0), (130_000, 3000), (0, 3000)),
        "long with short rolls": Draw(rolls=[{"name": "", "width": 1000, "length": 10_000, "on_hand": None}]).deck((0, 0), (63_000, 0), (63_000, 7000), (0, 7000)),
        "long bays limited": Draw(bay_length=9000).deck((0, 0), (63_000, 0), (63_000, 7000), (0, 7000)),
        "small bays": Draw(bay_area=2000).deck(*BIG).rect_opening(10_000, 6000, 5000, 4000),
        "one course to a bay": Draw(courses_per_bay=1).deck(*L),
        "wide rolls": Draw(rolls=[{"name": "", "width": 2000, "length": 20_000, "on_hand": None}], side_lap=200, end_lap=300, foot=300).deck(*BIG),
        "narrow rolls with kerf": Draw(rolls=[{"name": "", "width": 500, "length": 15_000, "on_hand": None}], kerf=5).deck(*L),
        "wide clear": Draw(clear=500, foot=600).deck(*L).rect_opening(2000, 2000, 800, 800),
        "laps grown": Draw(narrow_course="grow_laps").deck(*BOX),
        "narrow course left": Draw(narrow_course="leave").deck((0, 0), (9000, 0), (9000, 3100), (0, 3100)),
        "far from zero": Draw().deck(*[(x + 9_000_000, y - 8_000_000) for x, y in L]),
        "start on the left": Draw().deck(*L).direction(1000, 1000, "longest_wall", "left"),
        "start on the right": Draw().deck(*L).direction(1000, 1000, "longest_wall", "right"),
        "along a line": Draw().deck(*L).direction(1000, 1000, {"along": {"from": [0, 0], "to": [3000, 1234]}}),
    }
    return {name: draw.plan | {"job": {"name": name}} for name, draw in made.items()}


def many_openings():
    """A deck with a grid of kerbs, a little turned."""
    draw = Draw().deck(*BIG)
    for i in range(8):
        for j in range(4):
            x, y = 2500 + 4700 * i + 13 * j, 2300 + 4000 * j + 17 * i
            draw.opening((x, y), (x + 1200, y + 90), (x + 1110, y + 1290), (x - 90, y + 1200), edge=KERB)
    return draw.angle(1000, 1000, 5)


def pipes():
    """A deck with round penetrations, some with collars that overlap and one beside the wall."""
    draw = Draw().deck(*BOX)
    for x, y, d in [(3000, 3000, 110), (3150, 3100, 110), (8000, 980, 300), (12_000, 5000, 50), (19_800, 5000, 110)]:
        draw.pipe(x, y, d)
    return draw


def comb():
    """A deck with many narrow arms."""
    points = [(0, 0), (20_000, 0)]
    for k in reversed(range(10)):
        points += [(2000 * k + 1200, 6000 + 100 * k), (2000 * k + 400, 6000 + 100 * k), (2000 * k + 400, 2000), (2000 * k, 2000)]
    points[2:2] = [(20_000, 2000), (19_200, 2000)]
    return Draw().deck(*[p for p in points if p != (0, 2000)] + [(0, 2000)])
