"""Rolls and waste over real outlines of 100 to 10,000 m2: by eye, cut to length, run on, and the limit.

In: the open reference outlines beside the repository (`../shared/data/outlines`: roof faces, ground outlines and footprints;
licences and sources per outline in the files), the program (BAYLAP_BIN, or target/release/baylap). Out: tables in markdown.
Selection: every outline of the three files whose rings are sound in whole mm and whose area, openings taken off, is 100 to
10,000 m2; the same ring met twice is taken once. Settings: rolls 1.0 x 50 m, side and end laps 75 mm, longest piece 25 m,
50 mm kept clear of the walls, bays of three courses up to 60 m2, no kerf, nothing credited for rests that are kept.

By eye is what a gang does that measures as it goes, and is worked out here with shapely, not by the program: along the longest
wall; the first course hard against the side that holds more of the roof, the others at the pitch; every connected run of a
course cut into as few pieces as the gang can lay, all of one length but the last; pieces cut in laying order from the roll in
hand, and the roll put aside for good when the next piece does not fit. Run on by eye does not put it aside: it laps on.

Waste, laps in it, is the area of the rolls opened less that of the field, in percent of the rolls. Waste beyond side laps counts
each roll with what it covers at the pitch, its width less the side lap: what is lost to ends, edges and rests. The limits are
rolls: by cut length, what the least cut length of any wall's direction, its normal and any start fills; by area, what the field
fills when nothing laps at all.

    python tests/bench/roofs.py [--length 50000] [--every 1]
"""

from __future__ import annotations

import argparse
import json
import math
import statistics
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import Polygon

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "judge"))
import geometry  # noqa: E402
import outlines  # noqa: E402
import plans  # noqa: E402
import run  # noqa: E402

WIDTH, LAP, LONGEST = 1000, 75, 25_000
LEAST, MOST = 100e6, 10_000e6


@dataclass
class Tally:
    """One way of laying one outline."""

    rolls: int
    roll_area: int
    field: float
    end_laps: int = 0

    @property
    def waste(self):
        return lost(self.roll_area, self.field)

    @property
    def waste_beyond_laps(self):
        return lost(self.roll_area * (WIDTH - LAP) / WIDTH, self.field)


def lost(whole, used):
    return 100 * (whole - used) / whole


def selection(every):
    """Rings by name."""
    found, seen = {}, set()
    for file in outlines.reference_files():
        for name, feature in outlines.reference(file).items():
            rings = feature["rings"]
            if not plans.is_valid(rings) or not LEAST <= Polygon(rings[0], rings[1:]).area <= MOST:
                continue
            key = json.dumps(rings)
            if key not in seen:
                seen.add(key)
                found[f"{file.stem}/{name}"] = rings
    return dict(list(found.items())[::every])


def by_eye(plan, length):
    """Runs of a straightforward layout, and what is cut for them."""
    field = geometry.drawn(plan).field
    ring = plan["decks"][0]["ring"]
    corners = [c["at"] for c in ring]
    walls = [(math.dist(a, b), a, b) for a, b in zip(corners, corners[1:] + corners[:1])]
    _, a, b = max(walls)
    turn = math.atan2(b[1] - a[1], b[0] - a[0])
    seen = shapely.transform(field, lambda p: p @ np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]))
    u0, v0, u1, v1 = seen.bounds
    if seen.centroid.y > (v0 + v1) / 2:
        seen = shapely.transform(seen, lambda p: p * [1, -1])
        v0, v1 = -v1, -v0
    longest = min(LONGEST, length)
    pieces = []
    for k in range(max(1, math.ceil((v1 - v0 - LAP) / (WIDTH - LAP) - 1e-6))):
        low = v0 + k * (WIDTH - LAP)
        for part in geometry.parts(seen.intersection(shapely.box(u0 - 1, low, u1 + 1, low + WIDTH))):
            p0, q0, p1, q1 = part.bounds
            # What lies in the lap of the course before is covered by it.
            if k > 0 and q1 <= low + LAP + 1:
                continue
            rest = math.ceil(p1 - p0 - 0.02)
            while rest > longest:
                pieces.append(longest)
                rest -= longest - LAP
            pieces.append(rest)
    return pieces, field.area


def first_fit(pieces, length):
    """Rolls when each piece is cut from the first part-used roll that holds it."""
    left = []
    for piece in pieces:
        at = next((i for i, room in enumerate(left) if room >= piece), None)
        if at is None:
            left.append(length - piece)
        else:
            left[at] -= piece
    return len(left)


def in_hand(pieces, length):
    """Rolls when each piece is cut from the roll in hand."""
    rolls, left = 0, 0
    for piece in pieces:
        if piece > left:
            rolls, left = rolls + 1, length
        left -= piece
    return rolls


def measure(rings_by_name, length):
    """Way of laying -> tally of each outline."""
    named = {}
    for name, rings in rings_by_name.items():
        for way, settings in WAYS.items():
            direction = settings.get("direction", "best")
            rest = {k: v for k, v in settings.items() if k != "direction"}
            rolls = [plans.PRODUCTS["rolls"][0] | {"length": length}]
            named[way, name] = plans.of_rings(name, rings, direction, rolls=rolls, longest_piece=min(LONGEST, length), bay_area=None, **rest)
    answers = run.lay_texts({f"{way}|{name}": plans.to_file(plan) for (way, name), plan in named.items()})
    table = {}
    for name in rings_by_name:
        plan = named["cut, best direction", name]
        layouts = {way: answers[f"{way}|{name}"].layout for way in WAYS}
        if any(not layout or not layout["rolls"] for layout in layouts.values()):
            print(f"{name}: nothing laid, left out", file=sys.stderr)
            continue
        pieces, _ = by_eye(plan, length)
        totals = {way: layout["totals"] for way, layout in layouts.items()}
        field = totals["cut, best direction"]["field_area"]
        row = {"by eye": first_fit(pieces, length), IN_HAND: in_hand(pieces, length)}
        row |= {way: total["rolls"] for way, total in totals.items()}
        best = totals["cut, best direction"]
        row |= {"limit by cut length": best["rolls_by_length"], "limit by area": best["rolls_by_area"]}
        for way, rolls in row.items():
            laps = totals[way]["end_laps"] if way in totals else 0
            table.setdefault(way, []).append(Tally(rolls, rolls * WIDTH * length, field, laps))
    return table


IN_HAND = "by eye, roll in hand only"
#: Way of laying -> settings.
WAYS = {
    "cut, longest wall": {"direction": "longest_wall"},
    "cut, best direction": {},
    "run on, longest wall": {"direction": "longest_wall", "laying": "run_on"},
    "run on, best direction": {"laying": "run_on"},
}


def show(table):
    """The table: a mean over all area, and the spread over the outlines."""
    spread = "area-weighted mean | median | 10th percentile | 90th percentile"
    print(f"| | rolls | waste, laps in it: {spread} | waste beyond side laps: {spread} | end laps |")
    print("|---|" + "---:|" * 10)
    for way in ["by eye", IN_HAND, *WAYS, "limit by cut length", "limit by area"]:
        tallies = table[way]
        area, field = sum(t.roll_area for t in tallies), sum(t.field for t in tallies)
        cells = [str(sum(t.rolls for t in tallies)), *figures(lost(area, field), [t.waste for t in tallies])]
        beyond = figures(lost(area * (WIDTH - LAP) / WIDTH, field), [t.waste_beyond_laps for t in tallies])
        # A field that nothing laps on is no way of laying.
        cells += beyond if way != "limit by area" else ["–"] * 4
        cells.append(str(sum(t.end_laps for t in tallies)) if way in WAYS else "–")
        print(f"| {way} | " + " | ".join(cells) + " |")


def figures(mean, wastes):
    tenths = statistics.quantiles(wastes, n=10, method="inclusive")
    return [f"{x:.1f} %" for x in (mean, statistics.median(wastes), tenths[0], tenths[-1])]


def main():
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--length", type=int, default=50_000)
    asked.add_argument("--every", type=int, default=1)
    asked = asked.parse_args()
    rings = selection(asked.every)
    table = measure(rings, asked.length)
    field = sum(t.field for t in table["by eye"]) / 1e6
    print(f"{len(table['by eye'])} outlines, {field:,.0f} m2 net of what is kept clear, rolls 1.0 x {asked.length / 1000:g} m.\n")
    show(table)


if __name__ == "__main__":
    main()
