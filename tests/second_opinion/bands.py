#!/usr/bin/env python3
"""Computes bands.jsonl: random polylines with a width, and what shapely makes of their bands.

    pip install -r tests/second_opinion/requirements.txt
    python3 tests/second_opinion/bands.py            writes bands.jsonl
    python3 tests/second_opinion/bands.py --check    writes nothing; exit 1 where it differs

Each edge is a polygon of its two sides, arcs cut into 4,000 chords, and each corner a kite; their union is shapely's. Of straight
polylines it is held to shapely's own buffers with flat ends and mitred corners, 1e-9, where every edge is longer than the band is
wide: buffers round off what they take for details of shorter ones. Many run over themselves or fold; none has a corner sharper than
35°, where mitres are cut off in ways that differ.
"""

import json
import math
import pathlib
import random
import sys

from shapely import unary_union
from shapely.geometry import LinearRing, LineString, MultiPolygon, Polygon

HERE = pathlib.Path(__file__).parent
CHORDS = 4000


def hold_to_buffer(band, vertices, width, closed):
    path = (LinearRing if closed else LineString)([v[:2] for v in vertices])
    ends = path.coords
    if min(math.dist(p, q) for p, q in zip(ends, ends[1:])) > width:
        buffer = path.buffer(width / 2, cap_style="flat", join_style="mitre", mitre_limit=4.0)
        assert abs(buffer.area / band.area - 1.0) < 1e-9, (vertices, width, buffer.area, band.area)
        return 1
    return 0


def edge_of(p, q):
    """Points along an edge with the directions there, and the radius (None where it is straight)."""
    (x0, y0, bulge), (x1, y1, _) = p, q
    if bulge == 0.0:
        along = math.atan2(y1 - y0, x1 - x0)
        return [((x0, y0), along), ((x1, y1), along)], None
    sweep = 4.0 * math.atan(bulge)
    chord, heading = math.hypot(x1 - x0, y1 - y0), math.atan2(y1 - y0, x1 - x0)
    radius = chord / (2.0 * math.sin(abs(sweep) / 2.0))
    sense = math.copysign(1.0, sweep)
    first = heading - sweep / 2.0
    cx, cy = x0 - sense * radius * math.sin(first), y0 + sense * radius * math.cos(first)
    points = []
    for k in range(CHORDS + 1):
        along = first + sweep * k / CHORDS
        points.append(((cx + sense * radius * math.sin(along), cy - sense * radius * math.cos(along)), along))
    return points, radius


def beside(point, along, distance):
    return (point[0] - distance * math.sin(along), point[1] + distance * math.cos(along))


def united(vertices, width, closed):
    half = width / 2
    follow = vertices[1:] + (vertices[:1] if closed else [])
    edges = [edge_of(p, q) for p, q in zip(vertices, follow)]
    parts = []
    for points, radius in edges:
        if radius is not None and radius <= half:
            return None
        left, right = [beside(p, a, half) for p, a in points], [beside(p, a, -half) for p, a in points]
        parts.append(Polygon(left + right[::-1]))
    pairs = list(zip(edges, edges[1:] + (edges[:1] if closed else [])))
    for (before, _), (after, _) in pairs:
        (vertex, a), (_, b) = before[-1], after[0]
        turn = math.remainder(b - a, math.tau)
        side = -math.copysign(half, turn)
        reach = half * math.tan(abs(turn) / 2.0)
        corner = beside(vertex, a, side)
        tip = (corner[0] + reach * math.cos(a), corner[1] + reach * math.sin(a))
        kite = Polygon([vertex, corner, tip, beside(vertex, b, side)])
        if kite.area > 0.0:
            parts.append(kite)
    # The last digits of shared edges leave slits between the parts: fewer on a grid, and these are no holes.
    whole = unary_union(parts, grid_size=1e-9)
    kept = [Polygon(p.exterior, [h for h in p.interiors if Polygon(h).area > 1e-6 * h.length]) for p in getattr(whole, "geoms", [whole])]
    return kept[0] if len(kept) == 1 else MultiPolygon(kept)


def sharpest(vertices, closed):
    """The smallest angle that two edges enclose, degrees."""
    follow = vertices[1:] + (vertices[:1] if closed else [])
    edges = [edge_of(p, q)[0] for p, q in zip(vertices, follow)]
    pairs = list(zip(edges, edges[1:] + (edges[:1] if closed else [])))
    return min(180.0 - abs(math.degrees(math.remainder(after[0][1] - before[-1][1], math.tau))) for before, after in pairs)


def polylines():
    dice = random.Random(20261)
    found = held = 0
    while found < 60:
        arcs, closed = found >= 36, found % 3 == 0
        count = dice.randint(3, 7)
        x, y = dice.uniform(-300.0, 300.0), dice.uniform(-300.0, 300.0)
        vertices = []
        for _ in range(count):
            bulge = round(dice.uniform(-0.9, 0.9), 4) if arcs and dice.random() < 0.6 else 0.0
            vertices.append((round(x + dice.uniform(0.0, 90.0), 4), round(y + dice.uniform(0.0, 60.0), 4), bulge))
        width = round(dice.choice([dice.uniform(1.0, 6.0), dice.uniform(6.0, 25.0)]), 4)
        if sharpest(vertices, closed) < 35.0:
            continue
        band = united(vertices, width, closed)
        if band is None:
            continue
        held += 0 if arcs else hold_to_buffer(band, vertices, width, closed)
        found += 1
        holes = sum(len(p.interiors) for p in getattr(band, "geoms", [band]))
        yield {
            "id": f"band {found}", "vertices": vertices, "width": width, "closed": closed, "arcs": arcs,
            "area": band.area, "centroid_x": band.centroid.x, "centroid_y": band.centroid.y, "perimeter": band.length,
            "parts": len(getattr(band, "geoms", [band])), "holes": holes,
        }
    print(f"{found} bands, {held} held to buffers")


def main():
    text = "".join(json.dumps(p) + "\n" for p in polylines())
    path = HERE / "bands.jsonl"
    if "--check" in sys.argv[1:]:
        if not path.exists() or path.read_text() != text:
            print("tests/second_opinion/bands.jsonl differs", file=sys.stderr)
            return 1
        return 0
    path.write_text(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
