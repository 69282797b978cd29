"""Times the engine beside GEOS, in one run on one machine, and prints a table.

In: BAYLAP_TIMED, BAYLAP_TIMED_FALLS and BAYLAP_TIMED_WAYS (the built examples of these names), and for the browser
BAYLAP_URL (the served page) and BAYLAP_CHROMIUM. Out: tables. Must hold: the native engine and GEOS take turns, so that a busy machine slows both; the browser follows at
once, in a page that also draws; a ratio is formed only of times of one run. No time makes the program fail; a field
other than GEOS's own does. Nothing is written but files of a temporary directory.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

import numpy
import shapely
from shapely.geometry import Polygon

import days
import drag
import falls
import plans
import ways
from page import in_the_browser

#: Runs of the engine in one turn, and turns.
RUNS, TURNS = 5, 7
#: Layouts in the browser.
VISITS = 7
#: Targets: times GEOS's own time; milliseconds.
AT_MOST_TIMES, AT_MOST_MS = 3.0, 50.0


def main():
    load = os.getloadavg()
    with tempfile.TemporaryDirectory() as folder:
        for name, (width, height, number, _) in plans.ROOFS.items():
            size = f"{width / 1000:g} x {height / 1000:g} m, {number} openings"
            show(name, size, measure(name, Path(folder)))
        if os.environ.get("BAYLAP_TIMED_FALLS"):
            falls.show(Path(folder))
        if os.environ.get("BAYLAP_TIMED_WAYS"):
            ways.show()
        if os.environ.get("BAYLAP_TIMED_ORDER"):
            days.show(Path(folder))
    drag.show()
    cores = os.cpu_count()
    after = os.getloadavg()
    print(f"\nMilliseconds. Load of this machine before and after: {load[0]:.1f} and {after[0]:.1f}, on {cores}")
    print("processors; where it is above their number, only the ratios mean anything, the one by least times most.")
    versions = f"GEOS {shapely.geos_version_string} through shapely {shapely.__version__}"
    print(f"{versions} cuts the same courses from the same field; the engine does all its work.")


def measure(name, folder):
    """Name of a row -> its times."""
    plan, out = folder / f"{name}.json", folder / f"{name}.layout.json"
    plan.write_text(plans.plan_file(name))
    said = native(plan, 1, out)
    strips, field = job(json.loads(plan.read_text())["plan"], json.loads(out.read_text()))
    ways = geos_ways(strips, field)
    times = {"engine, native": []} | {way: [] for way in ways}
    for _ in range(TURNS):
        times["engine, native"] += [micros / 1000 for micros in native(plan, RUNS)["all_us"]]
        for way, cut in ways.items():
            times[way] += [clock(cut) for _ in range(RUNS)]
    if os.environ.get("BAYLAP_URL"):
        times["engine, browser worker"] = in_the_browser([plans.plan_file(name, mm) for mm in range(VISITS + 1)])
    print(f"\n{said['pieces']} pieces in {said['bays']} bays, {len(strips)} courses;"
          f" the field has {shapely.get_num_coordinates(field)} corners for GEOS")
    return times


def native(plan, runs, out=None):
    command = [os.environ["BAYLAP_TIMED"], plan, str(runs)] + ([out] if out else [])
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def clock(work):
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000


def job(plan, layout):
    """What GEOS has to cut: the course strips, and the field as GEOS itself makes it from the drawing.

    Not the layout's field: that has a corner wherever a course crosses its edge, which would slow GEOS down.
    """
    (zone,) = layout["zones"]
    clear = 50
    field = hollow(plan["decks"][0]["ring"]).buffer(-clear, join_style="mitre")
    kerbs = [hollow(o["ring"]).buffer(clear, join_style="mitre", mitre_limit=20) for o in plan["openings"]]
    field = field.difference(shapely.union_all(kerbs))
    laid = sum(Polygon(region[0], region[1:]).area for region in zone["field"])
    assert abs(field.area / laid - 1) < 1e-5, f"engine and GEOS do not have the same field: {laid} and {field.area}"
    origin = numpy.array(zone["frame"]["origin_um"]) / 1000
    along, across = numpy.array(zone["frame"]["along"]), numpy.array(zone["frame"]["across"])
    low, high = ends(field, origin, along)
    strips = []
    for course in zone["courses"]:
        corners = [(low, course["from"]), (high, course["from"]), (high, course["to"]), (low, course["to"])]
        strips.append(Polygon([origin + u * along + v * across for u, v in corners]))
    return strips, field


def hollow(ring):
    return Polygon([corner["at"] for corner in ring])


def ends(field, origin, along):
    """A metre beyond the field at either end of its courses."""
    chainages = (shapely.get_coordinates(field) - origin) @ along
    return chainages.min() - 1000, chainages.max() + 1000


def geos_ways(strips, field):
    """The ways to have GEOS cut the strips. Each must give the same area."""
    array = numpy.array(strips)

    def prepared():
        shapely.prepare(field)
        meets = shapely.intersects(field, array)
        cut = shapely.intersection(array[meets], field)
        shapely.destroy_prepared(field)
        return cut

    ways = {
        "GEOS, strip by strip": lambda: [strip.intersection(field) for strip in strips],
        "GEOS, all strips in one call": lambda: shapely.intersection(array, field),
        "GEOS, prepared field": prepared,
    }
    if all(strip.equals(shapely.box(*strip.bounds)) for strip in strips):
        ways[CLIP] = lambda: [shapely.clip_by_rect(field, *strip.bounds) for strip in strips]
    areas = [shapely.area(cut()).sum() for cut in ways.values()]
    assert max(areas) - min(areas) < 1e-9 * max(areas), f"the ways differ: {dict(zip(ways, areas))}"
    return ways


#: Cuts by upright rectangles only and promises no valid result, so it is no measure of an engine that lays in any
#: direction; it is shown because it is fast.
CLIP = "GEOS, clip by upright rectangle"


def show(name, size, times):
    medians = {row: statistics.median(t) for row, t in times.items()}
    overlays = {row: m for row, m in medians.items() if row.startswith("GEOS") and row != CLIP}
    fastest = min(overlays, key=overlays.get)
    print(f"Roof \"{name}\", {size}; the measure is the fastest of GEOS's overlays: {fastest}")
    print(f"  {'':34} {'median':>9} {'least':>9} {'x GEOS':>8} {'by least':>9}  target")
    for row, median in medians.items():
        least, ratio = min(times[row]), median / overlays[fastest]
        by_least = least / min(min(times[way]) for way in overlays)
        said = verdict(name, row, median, ratio)
        print(f"  {row:34} {median:9.2f} {least:9.2f} {ratio:8.2f} {by_least:9.2f}  {said}")


def verdict(name, row, median, ratio):
    """In words; a target that was not asked of a row is not judged."""
    if row == CLIP:
        return "for comparison only: works for upright courses alone"
    if not row.startswith("engine"):
        return ""
    words = []
    if name.startswith("large"):
        words.append(f"{'PASS' if ratio <= AT_MOST_TIMES else 'OVER TARGET'} (at most {AT_MOST_TIMES:g} x GEOS)")
    if name == "middling" and "browser" in row:
        words.append(f"{'PASS' if median < AT_MOST_MS else 'OVER TARGET'} (under {AT_MOST_MS:g} ms)")
    return ", ".join(words)


if __name__ == "__main__":
    main()
