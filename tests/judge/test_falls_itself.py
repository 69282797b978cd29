"""The judges of falls themselves: their arithmetic against closed forms, and each check can fail.

In the first part surfaces with known ponds go through the judges' own water and descent. In the second a sound layout, built by
hand and not by the project, is spoilt in one way, and the check that is about it must name it.
"""

import copy
import json
import math
import random
import re

import pytest
import shapely
from run import ROOT
from shapely.geometry.polygon import orient

import falls
import falls_classes
import falls_descent
import falls_hand_built
import falls_outlets
import falls_places
import falls_seams
import falls_surface
import falls_water
import hand_built
from plans import FREE, PARAPET, Draw

LEVELS = ROOT.parent / "shared" / "data" / "levels"


def bare_surface(points, facets, outlets, free=False):
    """A surface in metres, with outlets at some of its points, walled or free all round; levels to a thousandth of a mm."""
    draw = Draw("bare")
    outline = around(facets)
    draw.deck(*[[round(1000 * v) for v in points[p][:2]] for p in outline], edge=FREE if free else PARAPET)
    for p in outlets:
        draw.outlet(*[1000 * v for v in points[p][:2]])
    layout = {"falls": {"points": [[round(1e6 * v) for v in p] for p in points], "facets": [{"corners": f, "deck": 1} for f in facets]}}
    return falls_surface.Surface(draw.plan, layout)


def around(facets):
    """The points round the outside of facets, in order."""
    sides = {(f[k], f[(k + 1) % 3]) for f in facets for k in range(3)}
    following = {a: b for a, b in sides if (b, a) not in sides}
    ring = [next(iter(following))]
    while (after := following[ring[-1]]) != ring[0]:
        ring.append(after)
    return ring


def data(name):
    """A file of the open reference data."""
    file = LEVELS / name
    if not file.is_file():
        pytest.skip(f"the open reference data is not here: {name} beside the repository")
    return json.loads(file.read_text())


def test_closed_forms():
    # tin_closed_form.json, written for this project: prisms, cones and planes with their volumes by formula.
    for case in data("tin_closed_form.json"):
        surface = bare_surface(case["points"], case["triangles"], case["outlets"])
        pools, wanted = falls_water.Water(surface).pools, case["expected"]
        assert len(pools) == wanted["ponds"], case["name"]
        assert sum(p.volume for p in pools) / 1e9 == pytest.approx(wanted["volume"], rel=1e-5, abs=1e-12), case["name"]
        assert sum(p.area for p in pools) / 1e6 == pytest.approx(wanted["wet_area"], rel=1e-5, abs=1e-12), case["name"]
        assert max((p.depth for p in pools), default=0) / 1e6 == pytest.approx(wanted["max_depth"], abs=1e-6), case["name"]


def test_grids_with_sinks():
    # sink_grids.json: grids of a public test set (MIT), each square in two facets, with an oracle for both diagonals.
    for case in data("sink_grids.json")["cases"]:
        z, dx = case["z"], case["dx"]
        rows, columns = len(z), len(z[0])
        points = [(c * dx, r * dx, z[r][c]) for r in range(rows) for c in range(columns)]
        for diagonal, wanted in case["tin_oracle"].items():
            surface = bare_surface(points, squares(rows, columns, diagonal), [], free=True)
            water = falls_water.Water(surface)
            assert [h / 1e6 for h in water.level] == pytest.approx(wanted["fill"], abs=1e-6)
            got = sorted((p.level / 1e6, p.depth / 1e6, p.volume / 1e9, p.area / 1e6) for p in water.pools)
            told = sorted((p["level"], p["depth"], p["volume"], p["wet_area"]) for p in wanted["ponds"])
            assert len(got) == len(told)
            for a, b in zip(got, told):
                assert a == pytest.approx(b, abs=2e-6)


def squares(rows, columns, diagonal):
    """Facets of a grid, anticlockwise; the diagonal is named as it looks with row 0 on top."""
    facets = []
    for r in range(rows - 1):
        for c in range(columns - 1):
            a, b = r * columns + c, r * columns + c + 1
            d, e = a + columns, b + columns
            facets += [[a, b, e], [a, e, d]] if diagonal == "\\" else [[a, b, d], [b, e, d]]
    return facets


def fourway(outlet_at_middle=True):
    """A deck that falls to its middle from all four corners: 12 x 8 m."""
    points = [(0, 0, 0.1), (12, 0, 0.1), (12, 8, 0.1), (0, 8, 0.1), (6, 4, 0)]
    return bare_surface(points, [[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]], [4] if outlet_at_middle else [])


def by_lot(seed):
    """A random surface: a convex deck, levels by lot, an outlet at up to three points, some edges free."""
    lots = random.Random(seed)
    places = [(0, 0), (9000, 0), (9000, 7000), (0, 7000)] + [(lots.randint(300, 8700), lots.randint(300, 6700)) for _ in range(lots.randint(3, 25))]
    places = list(dict.fromkeys(places))
    triangles = shapely.delaunay_triangles(shapely.MultiPoint(places)).geoms
    number = {p: k for k, p in enumerate(places)}
    facets = [[number[(round(x), round(y))] for x, y in list(orient(t).exterior.coords)[:3]] for t in triangles]
    draw = Draw("by lot").deck(*places[:4], edge=[FREE if lots.random() < 0.3 else PARAPET for _ in range(4)])
    for x, y in lots.sample(places[4:], lots.randint(0, 3)):
        draw.add("outlets", at=[x, y], bowl=100, clear_zone=300, intake={"sill": lots.choice([0, 0, 20])})
    points = [[1000 * x, 1000 * y, 1000 * lots.randint(0, 60)] for x, y in places]
    return falls_surface.Surface(draw.plan, {"falls": {"points": points, "facets": [{"corners": f, "deck": 1} for f in facets]}})


def relaxed(surface):
    """Water levels the slow way: each point takes the least of its neighbours' until nothing changes."""
    level = [falls_water.NEVER] * len(surface.um)
    for e in surface.exits:
        level[e.point] = min(level[e.point], e.level)
    changed = True
    while changed:
        changed = False
        for p, beside in enumerate(surface.beside):
            best = max(int(surface.z[p]), min(level[q] for q in beside))
            if best < level[p]:
                level[p], changed = best, True
    return level


@pytest.mark.parametrize("seed", range(60))
def test_rising_water_and_relaxation_agree(seed):
    surface = by_lot(seed)
    assert falls_water.water_levels(surface, surface.exits) == relaxed(surface)


@pytest.mark.parametrize("seed", range(25))
def test_the_walker_and_small_steps_agree(seed):
    surface = by_lot(seed)
    water = falls_water.Water(surface)
    descent = falls_descent.Descent(surface, water)
    lots, agreed, looked = random.Random(seed), 0, 0
    for _ in range(12):
        place = (lots.uniform(500, 8500), lots.uniform(500, 6500))
        end = small_steps(surface, place)
        sinks = descent.from_place(place)
        if not surface.facets_at(end):
            continue
        point = surface.point_near(end, 10)
        near = descent.from_place(end) | (descent.reach([("point", point)]) if point is not None else set())
        looked += 1
        agreed += bool(sinks & near)
    # Steps of 5 mm may go over a low line now and then.
    assert agreed >= looked - 1


def small_steps(surface, place):
    """Down by steps of 5 mm until the level grows."""
    at, level = list(place), surface.level(place)
    for _ in range(4000):
        held = surface.facets_at(at)
        if not held or surface.falls_of[held[0]] < 1e-9:
            break
        down = -surface.slopes[held[0]] / surface.falls_of[held[0]]
        after = (at[0] + 5 * down[0], at[1] + 5 * down[1])
        grown = surface.level(after)
        if grown is None or grown > level + 1e-9:
            break
        at, level = after, grown
    return tuple(at)


def test_no_way_out_has_no_level():
    water = falls_water.Water(fourway(outlet_at_middle=False))
    assert set(water.level) == {falls_water.NEVER} and not water.pools


def test_descent_comes_to_the_outlet():
    surface = fourway()
    descent = falls_descent.Descent(surface, falls_water.Water(surface))
    for place in ((100, 100), (6000, 10), (11_000, 7000), (1, 4000)):
        assert descent.from_place(place) == {("outlet", 2)}


def test_descent_runs_over_the_free_edge_it_falls_to():
    # A plane that falls to the south over a free edge; west, east and north are walls.
    draw = Draw("plane").deck((0, 0), (4000, 0), (4000, 3000), (0, 3000), edge=[FREE, PARAPET, PARAPET, PARAPET])
    points = [[0, 0, 0], [4_000_000, 0, 0], [4_000_000, 3_000_000, 60_000], [0, 3_000_000, 60_000]]
    layout = {"falls": {"points": points, "facets": [{"corners": c, "deck": 1} for c in ([0, 1, 2], [0, 2, 3])]}}
    surface = falls_surface.Surface(draw.plan, layout)
    descent = falls_descent.Descent(surface, falls_water.Water(surface))
    assert descent.from_place((1234, 2345)) == {("edge", 1)}
    assert [round(float(f), 6) for f in surface.falls_of] == [0.02, 0.02]


def test_descent_spills_from_pond_to_pond():
    # A gutter 8 m long and level across: pits of 0 and -20 with saddles of 50 and 30, the outlet beyond the second.
    along = [(0, 60), (2000, 0), (4000, 50), (5000, -20), (6000, 30), (8000, -60)]
    points = [(x / 1000, y, z / 1000) for y in (0, 1) for x, z in along]
    n = len(along)
    facets = [f for k in range(n - 1) for f in ([k, k + 1, n + k + 1], [k, n + k + 1, n + k])]
    surface = bare_surface(points, facets, [n - 1])
    water = falls_water.Water(surface)
    assert sorted(p.level for p in water.pools) == [30_000, 50_000]
    descent = falls_descent.Descent(surface, water)
    assert descent.from_place((1900, 500)) == {("outlet", 2)}
    first = falls_classes.first_pools(descent, surface.facets_at((1900, 500))[0], (1900, 500))
    assert [water.pools[p].level for p in first] == [50_000]


def test_capacities():
    # trade.md D5 to D9, worked from the formulas of EN 12056-3 as widely restated.
    round_100, opening = {"round": {"diameter": 100}}, {"other": {"weir": 400, "area": 10_000}}
    assert falls_outlets.capacity(round_100, 35, False) == pytest.approx(2.761, abs=5e-4)
    assert falls_outlets.capacity(round_100, 35, True) == pytest.approx(1.380, abs=6e-4)
    assert falls_outlets.capacity({"round": {"diameter": 150}}, 35, False) == pytest.approx(4.141, abs=5e-4)
    assert falls_outlets.capacity(round_100, 60, False) == pytest.approx(5.164, abs=5e-4)
    assert falls_outlets.capacity(opening, 35, False) == pytest.approx(3.451, abs=5e-4)
    assert falls_outlets.capacity(opening, 60, False) == pytest.approx(6.455, abs=5e-4)


def test_higher_side_on_top_sheds():
    # The deck falls to the south; what lies on top is to the north (higher), then to the south (lower).
    surface = bare_surface([(0, 0, 0), (4, 0, 0), (4, 3, 0.06), (0, 3, 0.06)], [[0, 1, 2], [0, 2, 3]], [0])
    ground = falls_seams.Ground(surface.plan, surface, falls_water.Water(surface))
    at, east, north = (2000, 1500), [1, 0], [0, 1]
    assert ground.verdicts(at, falls_seams.np.array(east), falls_seams.np.array(north)) == {"sheds"}
    assert ground.verdicts(at, falls_seams.np.array(east), -falls_seams.np.array(north)) == {"faces_water"}
    assert ground.verdicts(at, falls_seams.np.array(north), falls_seams.np.array(east)) == {"with_fall"}
    assert ground.verdicts((100, 100), falls_seams.np.array(east), falls_seams.np.array(north)) == {"at_outlet"}


SOUND = falls_hand_built.layout()


def judged(spoil=None, plan_spoil=None, add_up=False):
    """The checks that name something after spoiling the sound layout."""
    plan, layout = falls_hand_built.plan(), copy.deepcopy(SOUND)
    if plan_spoil:
        plan_spoil(plan)
    if spoil:
        spoil(layout)
    if add_up:
        falls_hand_built.add_up(layout)
    return falls.judge("spoilt", plan, layout, 40).broken


def checks(broken):
    return sorted({b.check for b in broken})


def test_a_sound_layout_has_nothing_wrong():
    assert judged() == []


def part(layout, kind, verdict):
    """The first part of a kind with a verdict."""
    return next(p for s in layout["seams"] if s["kind"] == kind for p in s["parts"] if p["verdict"] == verdict)


def test_surface_with_a_hole():
    def spoil(layout):
        del layout["falls"]["facets"][3]

    assert "surface" in checks(judged(spoil))


def test_surface_with_a_facet_upside_down():
    def spoil(layout):
        layout["falls"]["facets"][2]["corners"].reverse()

    assert checks(judged(spoil)) == ["surface"]


def test_surface_that_leaves_a_spot_out():
    def spoil(plan):
        plan["levels"]["spots"][6]["level"] += 1

    assert checks(judged(None, spoil)) == ["surface"]


def test_surface_off_its_line():
    def spoil(plan):
        points = [{"at": [2000, 2000], "level": 20}, {"at": [6000, 2000], "level": 40}]
        plan["levels"]["lines"].append({"id": 900, "kind": "low_line", "points": points})

    assert checks(judged(None, spoil)) == ["surface"]


@pytest.mark.parametrize("field, by", [("level_um", 1), ("depth_um", 1), ("volume", 500), ("size", 20), ("mass", 1)])
def test_pond_off_by_little(field, by):
    def spoil(layout):
        layout["falls"]["ponds"][0][field] += by

    assert checks(judged(spoil)) == ["ponds"]


def test_pond_left_out():
    def spoil(layout):
        layout["falls"]["ponds"].clear()

    assert checks(judged(spoil)) == ["ponds"]


def test_pond_where_none_is():
    def spoil(layout):
        pond = copy.deepcopy(layout["falls"]["ponds"][0])
        layout["falls"]["ponds"].append(pond | {"number": 2, "deepest": [6000, 2000]})

    assert checks(judged(spoil)) == ["ponds"]


def test_pond_drawn_too_large():
    def spoil(layout):
        layout["falls"]["ponds"][0]["area"] = [[[[0, 0], [4000, 0], [4000, 4000], [0, 4000]]]]

    assert checks(judged(spoil)) == ["ponds"]


@pytest.mark.parametrize("field, to", [("spill", [4000, 4000]), ("spill", None), ("drains_to", "nowhere"), ("drains_to", {"edge": 1})])
def test_pond_that_spills_elsewhere(field, to):
    def spoil(layout):
        layout["falls"]["ponds"][0][field] = to

    assert checks(judged(spoil)) == ["ponds"]


@pytest.mark.parametrize("field, to", [("fall_ppm", 30_000), ("direction_mdeg", 12_345), ("class", "flat"), ("class", "below_least")])
def test_class_of_a_facet(field, to):
    def spoil(layout):
        layout["falls"]["facets"][5][field] = to

    assert checks(judged(spoil)) == ["classes"]


def test_water_too_shallow_to_tell_is_run_through():
    # A trough that falls from x = 0 to its pit at x = 9 m, with a film of 1 mm at x = 4 m on the way; its spill is at x = 5 m.
    levels = [60, 50, 40, 30, 20, 21, 12, 8, 4, 0, 6, 9]
    points, n = [(x, y, z / 1000) for y in (0, 1) for x, z in enumerate(levels)], len(levels)
    facets = [f for k in range(n - 1) for f in ([k, k + 1, n + k + 1], [k, n + k + 1, n + k])]
    surface = bare_surface(points, facets, [n - 1])
    descent = falls_descent.Descent(surface, falls_water.Water(surface))
    pools = descent.water.pools
    facet = surface.facets_at((1900, 500))[0]
    for least, depths in ((0, [1000]), (1000, [1000]), (1001, [9000])):
        first = falls_classes.first_pools(descent, facet, (1900, 500), least)
        assert [pools[p].depth for p in first] == depths


def test_pond_shallower_than_what_is_told():
    def deep(plan):
        plan["drainage"]["least_pond"] = 80

    assert "ponds" in checks(judged(None, deep))


def test_back_fall_passed_over():
    def spoil(layout):
        back = next(f for f in layout["falls"]["facets"] if f["class"] == "back_fall")
        back["class"] = "good"

    assert checks(judged(spoil)) == ["classes"]


def test_class_areas_that_do_not_add_up():
    def spoil(layout):
        layout["falls"]["class_areas"][4] += 1

    assert checks(judged(spoil)) == ["classes"]


def test_rule_with_another_figure():
    def spoil(layout):
        layout["falls"]["rule"]["least_ppm"] = 12_000

    assert checks(judged(spoil)) == ["classes"]


def test_catchments_that_do_not_add_up():
    def spoil(layout):
        layout["falls"]["trapped"] += 1

    assert checks(judged(spoil)) == ["catchments"]


def test_catchment_drawn_elsewhere():
    def spoil(layout):
        layout["falls"]["outlets"][0]["catchment"] = [[[[0, 0], [4000, 0], [4000, 4000], [0, 4000]]]]

    assert "catchments" in checks(judged(spoil))


def test_facet_that_drains_elsewhere():
    def spoil(layout):
        layout["falls"]["facets"][6]["drains_to"] = {"edge": 1}

    assert checks(judged(spoil)) == ["catchments"]


@pytest.mark.parametrize("field", ["depth_um", "size", "volume"])
def test_blocked_outlet(field):
    def spoil(layout):
        layout["falls"]["outlets"][0]["blocked"][field] += 2000

    assert checks(judged(spoil)) == ["outlets"]


def blocked_in_a_pyramid(heights, sill=None):
    """A 12 x 8 m deck that falls 100 mm from all round to an outlet in the middle, with upstands so high, and what the judge
    says of 130 mm of water over it when it is blocked; perhaps with an overflow at a corner, its sill so high."""
    surface = fourway()
    for corner, height in zip(surface.plan["decks"][0]["ring"], heights):
        corner["edge"] = {"upstand": {"height": height, "kind": "kerb"}}
    if sill is not None:
        surface.plan["outlets"].append({"id": 90, "at": [0, 0], "clear_zone": 300, "kind": "overflow", "intake": {"sill": sill}})
    # 30 mm over all of the deck, and the pyramid under it: a third of its base times its height.
    size = 12_000 * 8000
    told = {"depth_um": 130_000, "size": size, "volume": size * 30 + size * 100 / 3, "goes_to": "nowhere" if sill is None else {"outlet": 90}}
    outlet = surface.plan["outlets"][0]
    return [b.what for b in falls_outlets.over_it(surface, outlet, told, 4)]


def test_blocked_outlet_under_upstands():
    assert not blocked_in_a_pyramid([150, 30, 150, 150])
    assert not blocked_in_a_pyramid([30, 30, 30, 30])
    # Higher or lower upstands: depth and volume are others; so where an overflow lets it out lower or higher than the upstand.
    assert len(blocked_in_a_pyramid([150, 31, 150, 150])) == 2
    assert len(blocked_in_a_pyramid([150, 150, 20, 150])) == 2
    assert not blocked_in_a_pyramid([150, 40, 150, 150], sill=30)
    assert not blocked_in_a_pyramid([150, 30, 150, 150], sill=30)
    over = blocked_in_a_pyramid([150, 30, 150, 150], sill=40)
    assert len(over) == 1 and "goes to [('nowhere',)]" in over[0]


def test_outlet_that_nothing_is_said_of_when_it_is_blocked():
    def spoil(layout):
        layout["falls"]["outlets"][0]["blocked"] = None

    assert checks(judged(spoil)) == ["outlets"]


def test_siphonic_outlet_has_no_weir():
    def siphonic(plan):
        plan["outlets"][0]["kind"] = "siphonic"
        plan["outlets"][0]["intake"] = {"mouth": {"round": {"diameter": 100}}}

    def figures(field, to):
        return lambda layout: layout["falls"]["outlets"][0].__setitem__(field, to)

    assert not judged(None, siphonic)
    assert checks(judged(figures("capacity", 2761), siphonic)) == ["outlets"]
    assert checks(judged(figures("head_um", 20_000), siphonic)) == ["outlets"]


@pytest.mark.parametrize("field, to", [("flow", 600), ("capacity", 1000), ("level_um", 40_001), ("overflow", True)])
def test_outlet_figures(field, to):
    def spoil(layout):
        layout["falls"]["outlets"][0][field] = to

    assert checks(judged(spoil)) == ["outlets"]


@pytest.mark.parametrize("kind", ["bay_edge", "side_lap", "end_lap"])
def test_seam_left_out(kind):
    def spoil(layout):
        layout["seams"].remove(next(s for s in layout["seams"] if s["kind"] == kind))

    assert checks(judged(spoil, add_up=True)) == ["seams"]


def test_seam_too_many():
    def spoil(layout):
        seam = copy.deepcopy(next(s for s in layout["seams"] if s["kind"] == "side_lap"))
        layout["seams"].append(seam | {"between": [1, 10], "top": 10})

    assert "seams" in checks(judged(spoil, add_up=True))


def test_seam_cut_short():
    def spoil(layout):
        seam = next(s for s in layout["seams"] if s["kind"] == "side_lap")
        seam["parts"] = seam["parts"][: len(seam["parts"]) // 2]

    assert checks(judged(spoil, add_up=True)) == ["seams"]


def test_the_piece_on_top_is_the_one_laid_later():
    def spoil(layout):
        seam = next(s for s in layout["seams"] if s["kind"] == "side_lap")
        seam["top"] = min(seam["between"])

    assert "seams" in checks(judged(spoil))


@pytest.mark.parametrize("was", ["sheds", "faces_water", "in_pond", "at_outlet"])
def test_verdict_changed(was):
    def spoil(layout):
        found = part(layout, "side_lap", was)
        found["verdict"] = "sheds" if was != "sheds" else "faces_water"
        layout["findings"] = falls_hand_built.facing(layout)

    assert checks(judged(spoil, add_up=True)) == ["verdicts"]


def test_lengths_that_do_not_add_up():
    def spoil(layout):
        layout["falls"]["lengths"][1]["side_laps"] += 1000

    assert checks(judged(spoil)) == ["seams"]


def test_low_line_left_out():
    def spoil(layout):
        layout["falls"]["low_lines"].pop()

    assert checks(judged(spoil)) == ["seams"]


def two_zones(overlap):
    """Two pieces of two zones, the later one reaching so far over the line at 9000."""
    pieces = [
        {"number": 1, "zone": 1, "course": 1, "as_laid": [hand_built.rect(0, 0, 9000, 1000)]},
        {"number": 2, "zone": 2, "course": 1, "as_laid": [hand_built.rect(9000 - overlap, 200, 12_000, 1200)]},
    ]
    return falls_seams.Seams({"pieces": pieces, "zones": [], "bays": []})


def test_pieces_that_only_meet_at_a_joint_have_no_lap():
    assert not two_zones(0).wanted() and not two_zones(-20).wanted()
    lapped = two_zones(100).wanted()
    # The edges of the upper piece over the lower one: 800 mm across, 100 mm along.
    assert list(lapped) == [("end_lap", (1, 2))] and lapped["end_lap", (1, 2)].length == pytest.approx(900, abs=1)


def test_bays_on_the_skew_share_their_edge_though_corners_are_snapped():
    # The corner in the middle of the second bay's edge is snapped 0.3 mm off the first bay's line.
    one = [[[[0, 0], [4000, 0], [4571, 3000], [0, 3000]]]]
    two = [[[[4001, 0], [9000, 0], [9000, 3000], [4572, 3000]]]]
    bays = [{"number": 1, "area": one}, {"number": 2, "area": two}]
    assert list(falls_seams.Seams({"pieces": [], "zones": [], "bays": bays}).wanted()) == []
    two[0][0] = [[9000, 0], [9000, 3000], [4571, 3000], [4286, 1499], [4001, 0]]
    shared = falls_seams.Seams({"pieces": [], "zones": [], "bays": bays}).wanted()
    assert list(shared) == [("bay_edge", (1, 2))]


def test_zone_said_to_have_laps_that_face_the_water():
    def spoil(layout):
        layout["findings"].append({"code": "laps-face-water", "at": [4000, 2000], "about": {"zone": 77}, "text": ""})

    assert checks(judged(spoil)) == ["seams"]


def test_laps_that_face_the_water_without_a_finding():
    def spoil(layout):
        assert layout["findings"]
        layout["findings"].clear()

    assert checks(judged(spoil)) == ["seams"]


@pytest.mark.parametrize("pattern, instead", [(r"\d+ laps", "77 laps"), (r"for [\d.]+ m", "for 0.2 m"), (r"bay \d+", "bay 77"), (r"bay (\d+), [\d.]+ m", r"bay \1, 0.2 m")])
def test_finding_about_laps_with_a_wrong_figure(pattern, instead):
    def spoil(layout):
        before = layout["findings"][0]["text"]
        layout["findings"][0]["text"] = re.sub(pattern, instead, before)
        assert layout["findings"][0]["text"] != before

    assert checks(judged(spoil)) == ["seams"]


def test_finding_about_laps_with_a_wrong_place():
    def spoil(layout):
        layout["findings"][0]["at"] = [0, 0]

    assert checks(judged(spoil)) == ["seams"]


def test_laid_from_the_high_end():
    def spoil(layout):
        swap = {"sheds": "faces_water", "faces_water": "sheds"}
        for seam in layout["seams"]:
            for p in seam["parts"]:
                p["verdict"] = "faces_water" if seam["kind"] == "side_lap" and p["verdict"] in swap else p["verdict"]

    assert "order" in checks(judged(spoil, add_up=True))


def ends(length, at):
    """A layout of one bay row cut at a chainage, with a pond over that chainage, for the search of better places."""
    bays = []
    for number, (u0, u1) in enumerate([(0, at), (at, length)], start=1):
        bays.append({"number": number, "zone": 1, "courses": [1, 3], "length": u1 - u0, "area": [[[[u0, 0], [u1, 0], [u1, 2900], [u0, 2900]]]]})
    frame = {"origin_um": [0, 0], "along": [1.0, 0.0], "across": [0.0, 1.0]}
    seam = {"kind": "bay_edge", "between": [1, 2], "top": 2, "parts": [{"a": [at, 0], "b": [at, 2900], "verdict": "in_pond", "better": None}]}
    return {"bays": bays, "pieces": [], "seams": [seam], "zones": [{"number": 1, "frame": frame, "courses": []}]}


@pytest.mark.parametrize("bay_area, wanted", [(6000, 1), (2910, 0)])
def test_a_better_place_keeps_the_pour_limit(bay_area, wanted):
    # 20 m in two bays of 10 m: 29 m2 each. With bays of 60 m2 the edge can slide, with 29.1 m2 it cannot.
    layout = ends(20_000, 10_000)
    ground = falls_places_ground([(9000, 0), (11_000, 0), (11_000, 2900), (9000, 2900)])
    plan = {"gang": {"bay_area": bay_area, "bay_length": None, "courses_per_bay": 3}}
    could, count = falls_places.judge(plan, layout, falls_seams.Seams(layout), ground)
    assert (len(could), count) == (wanted, 1)


def falls_places_ground(pond):
    """Ground with one pond and no outlet."""
    from types import SimpleNamespace

    from shapely.geometry import Polygon

    pool = SimpleNamespace(shape=Polygon(pond), depth=20_000)
    return SimpleNamespace(water=SimpleNamespace(pools=[pool]), least=2000, outlets=[], runs_along=lambda *_: False)


def test_a_better_place_leads_there():
    better = {"at": [1000, 4000], "distance": 3000, "direction_mdeg": 90_000, "along": True}
    line = {"a": [0, 1000], "b": [2000, 1000]}
    assert list(falls_places.distance(line, better)) == []
    assert list(falls_places.distance(line, better | {"distance": 2000})) != []
    assert math.isclose(better["distance"], 3000)


def step_of(left, right, drawn=True, spanning=False):
    """Two square metres side by side: levels in mm at their corners, anticlockwise from the lower left; free at the far left."""
    draw = Draw("step")
    draw.deck((0, 0), (2000, 0), (2000, 1000), (0, 1000), edge=[PARAPET, PARAPET, PARAPET, FREE])
    if drawn:
        draw.plan["zone_lines"] = [{"id": 90, "points": [[1000, 0], [1000, 1000]], "kind": "level_change"}]
    ends = [(0, 0), (1, 0), (1, 1), (0, 1)], [(1, 0), (2, 0), (2, 1), (1, 1)]
    points = [[x * 1_000_000, y * 1_000_000, z * 1000] for ring, levels in zip(ends, (left, right)) for (x, y), z in zip(ring, levels)]
    facets = [[0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7]]
    if spanning:
        points.append([1_200_000, 500_000, 0])
        facets = [[0, 1, 8], [1, 2, 8], [2, 3, 8], [3, 0, 8], *facets[2:]]
    layout = {"falls": {"points": points, "facets": [{"corners": f, "deck": 1} for f in facets]}}
    return falls_surface.Surface(draw.plan, layout)


def test_water_drops_over_a_step_and_runs_on():
    surface = step_of([0, 20, 20, 0], [520, 540, 540, 520])
    assert falls_surface.steps(surface) == [] and falls_surface.borders(surface) == [] and len(surface.steps) == 2
    water = falls_water.Water(surface)
    assert water.pools == [] and falls_descent.Descent(surface, water).from_place((1500, 400)) == {("edge", 1)}


def test_water_stands_at_the_foot_of_a_step_and_not_above_it():
    # The left side falls to the step: what stands there rises to the free edge, 20 mm up.
    surface = step_of([20, 0, 0, 20], [520, 540, 540, 520])
    water = falls_water.Water(surface)
    assert [pool.depth for pool in water.pools] == [20_000] and water.level[4] == 520_000
    # And to the deck above, where that is the lower way out.
    surface = step_of([90, 0, 0, 90], [30, 10, 10, 30])
    surface.plan["decks"][0]["ring"][3]["edge"], surface.plan["decks"][0]["ring"][1]["edge"] = PARAPET, FREE
    assert falls_water.Water(surface).level[1] == 30_000


def test_steps_that_are_none():
    assert [b.what for b in falls_surface.steps(step_of([0, 20, 20, 0], [520, 540, 540, 520], drawn=False))] == ["a step stands where no change of level is drawn"] * 2
    turned = falls_surface.steps(step_of([0, 20, 80, 0], [50, 540, 540, 50]))
    assert {b.what for b in turned} == {"a step goes up at one end and down at the other"}
    assert "spans a change of level" in falls_surface.steps(step_of([0, 20, 20, 0], [520, 540, 540, 520], spanning=True))[0].what
