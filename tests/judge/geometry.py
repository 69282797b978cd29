"""Deck and field of a plan, worked out with shapely (GEOS) alone.

In: a plan as the plan file holds it, or regions as `layout.json` holds them. Out: shapely areas in mm.
Must hold: nothing here is taken from the project's code; the rules are those of the terms "deck", "clear" and "field".
It knows nothing of courses, bays or rolls.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.polygon import orient

#: Longest mitre at a re-entrant corner, as a multiple of the distance.
MITRE_LIMIT = 10.0

#: Least area that counts, mm2: whole-mm triangles have 0.5 at least, the overlay's own noise is far less.
SPECK = 0.1

EMPTY = Polygon()


def polygonal(shape):
    """Only the areas of a shape: lines and points fall away."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    return shapely.union_all([g for g in getattr(shape, "geoms", []) if g.geom_type in ("Polygon", "MultiPolygon")])


def area_of(rings) -> Polygon:
    """One region of the layout: outer ring, then holes."""
    shape = Polygon(rings[0], rings[1:])
    return shape if shape.is_valid else polygonal(shapely.make_valid(shape))


def areas_of(regions):
    """Several regions that do not overlap, as one shape."""
    shapes = [area_of(rings) for rings in regions]
    return shapes[0] if len(shapes) == 1 else shapely.union_all(shapes) if shapes else EMPTY


def doubled_area(regions) -> int:
    """Twice the area of regions, exact: outer rings run anticlockwise, holes clockwise."""
    return sum(
        ax * by - bx * ay for rings in regions for ring in rings for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1])
    )


def to_plan(frame, places):
    """Places (u, v) of a zone's frame, on the plan."""
    origin = np.array(frame["origin_um"], dtype=float) / 1000.0
    return origin + np.asarray(places, dtype=float) @ np.array([frame["along"], frame["across"]])


def to_frame(frame, shape):
    """A shape of the plan in the zone's frame."""
    (ax, ay), (cx, cy) = frame["along"], frame["across"]
    ox, oy = (v / 1000.0 for v in frame["origin_um"])
    return shapely.transform(
        shape, lambda p: np.column_stack(((p[:, 0] - ox) * ax + (p[:, 1] - oy) * ay, (p[:, 0] - ox) * cx + (p[:, 1] - oy) * cy))
    )


def box_on_plan(frame, u, v) -> Polygon:
    """The rectangle [u0, u1] x [v0, v1] of a frame, on the plan."""
    return Polygon(to_plan(frame, [(u[0], v[0]), (u[1], v[0]), (u[1], v[1]), (u[0], v[1])]))


@dataclass
class Drawn:
    """What the plan draws, as areas: one deck per outline, with what the reinforcement must keep away from."""

    decks: list
    deck: object
    field: object
    holes: object
    upstands: object
    free: object
    round_edges: object


def drawn(plan) -> Drawn:
    """Decks and field of a plan."""
    products = plan["products"]
    openings = [ring_area(o["ring"]) for o in plan["openings"]]
    holes = shapely.union_all(openings) if openings else EMPTY
    edges, free_flags = source_edges(plan)
    tree = shapely.STRtree(edges)
    decks, bands, upstands, free = [], [], [], []
    for outline in plan["decks"]:
        deck = polygonal(ring_area(outline["ring"]).difference(holes))
        decks.append(deck)
        for walls in rings_left(deck):
            widths = []
            for a, b in walls:
                is_free = free_flags[tree.nearest(Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))]
                (free if is_free else upstands).append(LineString([a, b]))
                widths.append(products["edge_gap"] if is_free else products["clear"])
            bands += [clip(deck, band) for band in bands_along(walls, widths)]
    collars, round_edges = keep_outs(plan)
    deck = shapely.union_all(decks) if decks else EMPTY
    field = polygonal(deck.difference(shapely.union_all(bands + collars)))
    return Drawn(decks, deck, field, holes, shapely.union_all(upstands), shapely.union_all(free), shapely.union_all(round_edges))


def upstand_lengths(plan):
    """Length of upstand along the decks by the girth of its strips: height and foot, mm."""
    lines, girths = source_edges(plan)[0], []
    for thing in plan["decks"] + plan["openings"]:
        for corner in thing["ring"]:
            upstand = corner.get("edge", {"upstand": {"height": 150}}).get("upstand")
            girths.append(upstand["height"] + plan["products"]["foot"] if upstand else 0)
    tree, found = shapely.STRtree(lines), {}
    for deck in drawn(plan).decks:
        for walls in rings_left(deck):
            for a, b in walls:
                girth = girths[tree.nearest(Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))]
                if girth > 0:
                    found[girth] = found.get(girth, 0.0) + math.dist(a, b)
    return found


def clip(deck, band):
    """A band within its own deck: the upstand of one deck keeps nothing off another."""
    return polygonal(band.intersection(deck))


def ring_area(ring) -> Polygon:
    """What a ring of corners encloses."""
    shape = Polygon([corner["at"] for corner in ring])
    return shape if shape.is_valid else polygonal(shapely.make_valid(shape))


def source_edges(plan):
    """Every edge drawn in the plan, with whether it is free."""
    lines, flags = [], []
    for thing in plan["decks"] + plan["openings"]:
        ring = thing["ring"]
        for corner, following in zip(ring, ring[1:] + ring[:1]):
            lines.append(LineString([corner["at"], following["at"]]))
            flags.append("free" in corner.get("edge", {}))
    return lines, flags


def rings_left(deck):
    """The edges of every ring of an area, area on the left."""
    for part in getattr(deck, "geoms", [deck]):
        part = orient(part)
        for ring in (part.exterior, *part.interiors):
            points = list(ring.coords)
            yield [(a, b) for a, b in zip(points, points[1:]) if a != b]


def bands_along(walls, widths):
    """Strips of the given widths on the left of closed walls, mitred where the wall turns right."""
    for (wall, width), (after, width_after) in zip(
        zip(walls, widths), zip(walls[1:] + walls[:1], widths[1:] + widths[:1])
    ):
        (a, b), along = np.array(wall), unit(wall)
        if width > 0:
            yield Polygon([a, b, b + width * left(along), a + width * left(along)])
        join = mitre(b, along, width, unit(after), width_after)
        if join is not None:
            yield join


def mitre(corner, along, width, along_after, width_after):
    """The corner piece between two strips where the wall turns right, or None."""
    turn = along[0] * along_after[1] - along[1] * along_after[0]
    if turn > -1e-12 or max(width, width_after) <= 0:
        return None
    start, end = corner + width * left(along), corner + width_after * left(along_after)
    reach = ((end - start)[0] * along_after[1] - (end - start)[1] * along_after[0]) / turn
    tip = start + reach * along
    limit = MITRE_LIMIT * max(width, width_after)
    if math.dist(tip, corner) <= limit:
        points = [corner, start, tip, end]
    elif width == width_after:
        half = math.sqrt(max(0.0, (1 - float(along @ along_after)) / 2))
        cut = max(0.0, (limit - width * math.sqrt(1 - half * half)) / half)
        points = [corner, start, start + cut * along, end - cut * along_after, end]
    else:
        points = [corner, start, end]
    shape = Polygon(points)
    return shape if shape.is_valid else shape.convex_hull


def unit(wall):
    """Direction of a wall."""
    d = np.subtract(wall[1], wall[0])
    return d / math.hypot(*d)


def left(direction):
    """The direction at right angles to the left."""
    return np.array([-direction[1], direction[0]])


def keep_outs(plan):
    """Collars of penetrations and bowls of outlets; and the edges of the round ones, which the plan may draw as polygons."""
    areas, rounds = [], []
    for thing in plan["penetrations"]:
        collar = plan["products"]["collar"] if thing.get("collar") is None else thing["collar"]
        if "circle" in thing["shape"]:
            circle = thing["shape"]["circle"]
            disc(areas, rounds, circle["centre"], circle["diameter"] / 2 + collar)
        else:
            ring = Polygon(thing["shape"]["ring"]["corners"])
            areas.append(ring.buffer(collar, join_style="mitre", mitre_limit=MITRE_LIMIT) if collar else ring)
    for outlet in plan["outlets"]:
        disc(areas, rounds, outlet["at"], outlet["bowl"] / 2)
    return areas, rounds


def disc(areas, rounds, centre, radius):
    """A disc, and the band outside it that a polygon drawn round it may take: a hundredth of the radius."""
    if radius <= 0:
        return
    shape = Point(centre).buffer(radius, quad_segs=64)
    areas.append(shape)
    rounds.append(Point(centre).buffer(radius * 1.01 + 1.5, quad_segs=64).difference(shape))


def parts(shape):
    """The connected areas of a shape."""
    shape = polygonal(shape)
    return [g for g in (shape.geoms if isinstance(shape, MultiPolygon) else [shape]) if not g.is_empty]


def beyond(difference, edge, width):
    """What of a difference between two areas is further than `width` from an edge they share: (area, greatest distance, place)."""
    if difference.area < SPECK:
        return 0.0, 0.0, None
    rest = polygonal(difference.difference(shapely.buffer(edge, width)))
    if rest.area < SPECK:
        return 0.0, 0.0, None
    place = rest.representative_point()
    far = max(shapely.distance(shapely.points(shapely.get_coordinates(rest)), edge))
    return rest.area, far, (round(place.x), round(place.y))
