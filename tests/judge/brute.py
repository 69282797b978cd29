"""Cut length by brute force: every whole-mm start of the first course in every direction of a wall and its normal.

In: rings in whole mm (the field itself: nothing is kept clear), roll width, side lap. Out: for one direction the cut length
of every start. Must hold: every start is counted by itself with shapely (GEOS), strip by strip; nothing is taken from the
engine's code, no breakpoint is reckoned, and no two starts share a result.

What is counted. Courses of the roll's width follow each other at width less lap; the first starts 0 to a pitch outside the
field, in whole mm from the side that holds more of the field; chainage is counted from the end that holds more of it. The runs of a course are the connected parts of its strip of
the field. A run wholly in the lap of the course before is covered by it and left out; so is one wholly in the lap of the
course after, where that course has a run there that is not left out itself. The cut length is the sum of the runs' extents
along the courses, each end rounded out to whole mm but for a hair of 0.02 mm, 1 mm at least. Corners within 0.71 mm of an
edge of a course are put on it first, at right angles to it: the layout's corners are whole mm on the plan, so nothing finer
can be laid.

The engine reckons in whole thousandths of a mm. Where an end lies within 3 of them of the hair's edge the count may go
either way, so every cut length is a least and a most, nearly always equal. An end on an edge that runs nearly along the
courses moves many times as far as that edge does: what departs is counted again with a wider grain.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

HAIR = 0.02
ON_LINE = 0.71
#: What the engine's whole thousandths may change, mm; and where an edge runs nearly along the courses.
GRAIN, WIDE_GRAIN = 0.003, 0.015
#: Parts smaller than this are the overlay's own noise, mm2.
NOTHING = 1e-7
FAR = 1e9


def directions(rings):
    """Every distinct direction of a wall and its normal, as whole vectors, by angle."""
    found = {}
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1]):
            for x, y in ((bx - ax, by - ay), (ay - by, bx - ax)):
                g = math.gcd(x, y) * (-1 if y < 0 or y == 0 and x < 0 else 1)
                found[(x // g, y // g)] = None
    return sorted(found, key=lambda d: math.atan2(d[1], d[0]))


def mdeg(direction):
    """A direction in thousandths of a degree, 0 to 179999."""
    return round(math.degrees(math.atan2(direction[1], direction[0])) * 1000) % 180_000


@dataclass
class Seen:
    """A field seen along a direction: u along it, v across, both from 0."""

    rings: list
    breadth: int

    @classmethod
    def along(cls, rings, direction, flips=(False, False)):
        """`flips`: whether u runs against the direction, and whether v grows to its right instead of its left."""
        length = math.hypot(*direction)
        seen = []
        for ring in rings:
            xs, ys = np.array(ring, dtype=float).T
            u, v = (xs * direction[0] + ys * direction[1]) / length, (ys * direction[0] - xs * direction[1]) / length
            seen.append((-u if flips[0] else u, -v if flips[1] else v))
        low = [min(ring[k].min() for ring in seen) for k in (0, 1)]
        seen = [(u - low[0], v - low[1]) for u, v in seen]
        breadth = max(v.max() for _, v in seen)
        return cls(seen, max(1, math.ceil(breadth - HAIR)))


def from_heavier_side(rings, direction):
    """The field along a direction, u and v from the sides that hold more of it; both ways where neither does."""
    plain = Seen.along(rings, direction)
    shape = Polygon(np.column_stack(plain.rings[0]), [np.column_stack(r) for r in plain.rings[1:]])
    flips = []
    for k, centre in enumerate((shape.centroid.x, shape.centroid.y)):
        lean = centre - max(ring[k].max() for ring in plain.rings) / 2
        flips.append([False, True] if abs(lean) < 1e-3 else [bool(lean > 0)])
    return [Seen.along(rings, direction, both) for both in itertools.product(*flips)]


@dataclass
class Sums:
    """Cut length by start, mm: no less than `least`, no more than `most`."""

    least: np.ndarray
    most: np.ndarray


def sums_of(ways, width, lap, grain=GRAIN) -> Sums:
    """The cut length of every start, seen in one or several ways, of which any will do. With more than the usual grain
    corners as near as that to 0.71 mm off a line may be put on it or not."""
    on_lines = [ON_LINE] if grain == GRAIN else [ON_LINE - GRAIN, ON_LINE, ON_LINE + GRAIN]
    every = [sums(seen, width, lap, on_line, grain) for seen in ways for on_line in on_lines]
    return Sums(np.min([s.least for s in every], axis=0), np.max([s.most for s in every], axis=0))


def sums(seen, width, lap, on_line, grain) -> Sums:
    """The cut length of every start, 0 to the pitch."""
    pitch = width - lap
    # One strip for every place that a course of any start may have.
    offsets = np.arange(1 - pitch, max(1, seen.breadth - lap))
    bounds, strip = runs(seen, offsets, width, lap, on_line)
    kept = needed(bounds, strip, offsets, seen.breadth, width, lap)
    bounds, strip = bounds[kept], strip[kept]
    first = (-offsets[strip]) % pitch
    found = []
    for hair in (HAIR + grain, HAIR - grain):
        length = np.maximum(np.ceil(bounds[:, 2] - hair) - np.floor(bounds[:, 0] + hair), 1)
        found.append(np.bincount(first, length, minlength=pitch).astype(int))
    return Sums(*found)


def runs(seen, offsets, width, lap, on_line):
    """Bounds (u0, v0, u1, v1) of every run, and the strip it lies in."""
    low, high = offsets.astype(float), offsets.astype(float) + width
    before = np.where(offsets > 0, low + lap, FAR)
    after = np.where(offsets < seen.breadth - width, high - lap, FAR)
    lines = np.stack([low, before, after, high])
    shells = shapely.linearrings(noded(seen.rings[0], lines, on_line))
    holes = [shapely.linearrings(noded(ring, lines, on_line)) for ring in seen.rings[1:]]
    areas = shapely.polygons(shells, np.stack(holes, axis=1)) if holes else shapely.polygons(shells)
    end = max(u.max() for u, _ in seen.rings) + 1
    cut = intersection(areas, shapely.box(-1, low, end, high))
    parts, strip = shapely.get_parts(cut, return_index=True)
    area = shapely.area(parts) > NOTHING
    parts, strip = parts[area], strip[area]
    return shapely.bounds(parts), strip


def intersection(areas, boxes):
    """The areas cut by the boxes; a corner put on a line may have crossed a ring, which is then mended."""
    try:
        return shapely.intersection(areas, boxes)
    except shapely.GEOSException:
        return shapely.intersection(shapely.make_valid(areas), boxes)


def noded(ring, lines, on_line):
    """The ring once for every strip: corners near a line put on it, a corner wherever an edge crosses the strip's edges."""
    u, v = ring
    off = np.abs(lines[:, :, None] - v)
    nearest_line = np.take_along_axis(lines.T, off.argmin(axis=0), axis=1)
    put = np.where(off.min(axis=0) <= on_line, nearest_line, v)
    a, b = put, np.roll(put, -1, axis=1)
    u_next, v_next = np.roll(u, -1), np.roll(v, -1)
    corner = np.stack([np.broadcast_to(u, put.shape), put], axis=2)
    crossed = []
    for line in (lines[0], lines[3]):
        line = line[:, None]
        cuts = (a - line) * (b - line) < 0
        with np.errstate(divide="ignore", invalid="ignore"):
            at = u + (line - v) / (v_next - v) * (u_next - u)
        place = np.stack([np.where(cuts, at, u), np.where(cuts, line, put)], axis=2)
        crossed.append((cuts, place))
    (cuts_low, low), (cuts_high, high) = crossed
    upward = (b > a)[:, :, None]
    one = np.where(upward, np.where(cuts_low[:, :, None], low, corner), np.where(cuts_high[:, :, None], high, corner))
    two = np.where(upward, np.where(cuts_high[:, :, None], high, one), np.where(cuts_low[:, :, None], low, one))
    return np.stack([corner, one, two], axis=2).reshape(put.shape[0], -1, 2)


def needed(bounds, strip, offsets, breadth, width, lap):
    """Which runs no neighbouring course covers."""
    t = offsets[strip].astype(float)
    in_lap_before = (t > 0) & (bounds[:, 3] <= t + lap + 1e-6)
    in_lap_after = (t < breadth - width) & (bounds[:, 1] >= t + width - lap - 1e-6)
    kept = ~in_lap_before
    index = np.searchsorted(strip, np.arange(len(offsets) + 1))
    for i in np.flatnonzero(in_lap_after & kept):
        # The runs of the course after that lie over this one.
        k = strip[i] + width - lap
        others = range(index[k], index[k + 1]) if k < len(offsets) else ()
        over = (j for j in others if bounds[j, 0] < bounds[i, 2] - 1e-9 and bounds[j, 2] > bounds[i, 0] + 1e-9)
        reach = bounds[i, 3] >= t[i] + width - 1e-6
        kept[i] = not (reach and any(not in_lap_before[j] for j in over))
    return kept
