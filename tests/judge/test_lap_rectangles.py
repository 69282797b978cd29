"""Plain rectangles whose courses, pieces and laps are known exactly.

Source: `lap_rectangles.json` of the open reference data beside the repository (arithmetic: placed area = X*Y +
(n-1)*s*X + (k-1)*e*Y + (n-1)(k-1)*s*e). Courses along X, no clear strip, the last course as it falls.
"""

import json

import pytest
import shapely

import family
import geometry
import outlines
import plans
import run

FILE = outlines.SHARED / "lap_rectangles.json"


def mm(metres):
    return round(metres * 1000)


def plan_of(case):
    """The plan of one rectangle."""
    x, y, length = mm(case["X"]), mm(case["Y"]), mm(case["roll_len"])
    draw = plans.Draw(
        rolls=[{"name": "", "width": mm(case["roll_w"]), "length": length, "on_hand": None}],
        side_lap=mm(case["side_lap"]),
        end_lap=mm(case["end_lap"]),
        longest_piece=length,
        clear=0,
        edge_gap=0,
        foot=500,
        narrow_course="leave",
        bay_area=None,
    )
    draw.deck((0, 0), (x, 0), (x, y), (0, y), edge=plans.FREE)
    return draw.angle(x // 2, y // 2, 0, "right").plan


def twice(shapes):
    """Area that lies in two of some shapes."""
    return sum(s.area for s in shapes) - shapely.union_all(shapes).area


def measured(layout):
    """The figures of the file, from the pieces of the layout."""
    pieces = layout["pieces"]
    courses = sorted({p["course"] for p in pieces})
    by_course = [[p for p in pieces if p["course"] == c] for c in courses]
    laid = [[geometry.areas_of(p["as_laid"]) for p in course] for course in by_course]
    last = layout["zones"][0]["courses"][-1]["from"]
    return {
        "runs": {len(layout["zones"][0]["courses"]), len(courses)},
        "pieces_per_run": {len(course) for course in by_course},
        "run_cut_length": {sum(p["length"] for p in course) for course in by_course},
        "last_from": last,
        "placed_area_full_width": sum(p["length"] * (p["across"][1] - p["across"][0]) for p in pieces),
        "placed_area_last_ripped": sum(s.area for course in laid for s in course),
        "side_lap_area": twice([shapely.union_all(course) for course in laid]),
        "end_lap_area": sum(twice(course) for course in laid),
    }


def wanted(case):
    """The same figures as the file gives them, in mm."""
    areas = ("placed_area_full_width", "placed_area_last_ripped", "side_lap_area", "end_lap_area")
    return {
        "runs": {case["runs"]},
        "pieces_per_run": {case["pieces_per_run"]},
        "run_cut_length": {mm(case["run_cut_length"])},
        "last_from": mm(case["Y"]) - mm(case["last_strip_width"]),
    } | {k: pytest.approx(case[k] * 1e6, abs=1.0) for k in areas}


@pytest.mark.skipif(not FILE.is_file(), reason="the open reference data is not here: lap_rectangles.json beside the repository")
def test_lap_rectangles():
    cases = json.loads(FILE.read_text())["cases"]
    named = {f"{c['X']} x {c['Y']}": plan_of(c) for c in cases}
    assert len(named) == len(cases) > 0
    answers = run.lay_texts({name: plans.to_file(plan) for name, plan in named.items()})
    found = family.verdicts(named, answers)
    family.report("lap rectangles", found)
    assert not family.complaint(found), family.complaint(found)
    for name, case in zip(named, cases):
        assert measured(answers[name].layout) == wanted(case), name
