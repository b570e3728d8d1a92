#!/usr/bin/env python3
"""Computes composed.jsonl: sections of several layers and materials, and what shapely and numpy make of them.

    pip install -r tests/second_opinion/requirements.txt
    python3 tests/second_opinion/composed.py            writes composed.jsonl
    python3 tests/second_opinion/composed.py --check    writes nothing; exit 1 where it differs

Each line has the outlines by layer, the job, and the figures: area, centroid and second moments of the transformed section, mass
for each metre, and by pairs of bodies the area that they share. Unions and differences are shapely's, moments the corner formulas
with exactly rounded sums over its polygons about a corner near to them.
"""

import fnmatch
import json
import math
import pathlib
import random
import sys

import numpy as np
from shapely import unary_union
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

FILE = pathlib.Path(__file__).with_name("composed.jsonl")
CASES = 40
MATERIALS = {"S": (7850.0, 210000.0), "C": (2500.0, 33000.0), "A": (2700.0, 70000.0), "W": (420.0, 11000.0)}


def box(x, y, width, height):
    return Polygon([(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


def tee(x, y, b, h, web, flange):
    middle = x + b / 2
    return Polygon([
        (middle - web / 2, y), (middle + web / 2, y), (middle + web / 2, y + h - flange), (x + b, y + h - flange),
        (x + b, y + h), (x, y + h), (x, y + h - flange), (middle - web / 2, y + h - flange),
    ])


def ell(x, y, b, h, t):
    return Polygon([(x, y), (x + b, y), (x + b, y + t), (x + t, y + t), (x + t, y + h), (x, y + h)])


def shape(rng, x, y):
    kind = rng.randrange(4)
    b, h = rng.uniform(20, 90), rng.uniform(20, 90)
    if kind == 0:
        return tee(x, y, b, h, 0.2 * b, 0.15 * h)
    if kind == 1:
        return ell(x, y, b, h, 0.18 * min(b, h))
    if kind == 2:
        return rotate(box(x, y, b, 0.3 * h), rng.uniform(5, 85))
    return box(x, y, b, h)


def body(polygons):
    """Rings in rings by depth; rings of one depth are united."""
    order = sorted(polygons, key=lambda p: -p.area)
    depths = []
    for k, inner in enumerate(order):
        depths.append(max((depths[j] + 1 for j in range(k) if order[j].covers(inner)), default=0))
    solid = Polygon()
    for depth in range(max(depths) + 1):
        level = unary_union([p for p, d in zip(order, depths) if d == depth])
        solid = solid.difference(level) if depth % 2 else solid.union(level)
    return solid


def sums(solid, about):
    """Area, first and second moments about a point."""
    terms = [[] for _ in range(6)]
    for polygon in getattr(solid, "geoms", [solid]):
        if polygon.geom_type != "Polygon":
            continue
        for ring, sign in [(polygon.exterior, 1.0)] + [(r, -1.0) for r in polygon.interiors]:
            p = np.asarray(ring.coords)[:, :2] - about
            (x0, y0), (x1, y1) = p[:-1].T, p[1:].T
            cross = x0 * y1 - x1 * y0
            sign = sign * math.copysign(1.0, cross.sum())
            for out, values in zip(terms, (
                cross / 2, cross * (x0 + x1) / 6, cross * (y0 + y1) / 6,
                cross * (x0**2 + x0 * x1 + x1**2) / 12, cross * (y0**2 + y0 * y1 + y1**2) / 12,
                cross * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0) / 24,
            )):
                out.extend(sign * values)
    return [math.fsum(out) for out in terms]


def fits(pattern, layer):
    return fnmatch.fnmatchcase(layer.lower(), pattern.lower())


def case(rng, number):
    """Layers of outlines, the patterns that the job has for them, and their materials."""
    groups = rng.sample(["WEB", "DECK", "CASING", "PLATE"], rng.randint(2, 3))
    layers, solid, materials = {}, [], {}
    for group in groups:
        names = [group] if rng.random() < 0.4 else [f"{group} {mark}" for mark in rng.sample("ABCD", rng.randint(2, 3))]
        solid.append(group if len(names) == 1 else f"{group}*")
        shared = rng.choice(sorted(MATERIALS))
        for name in names:
            x, y = rng.uniform(0, 80), rng.uniform(0, 60)
            layers[name] = [shape(rng, x, y)]
            if rng.random() < 0.3:
                cx, cy = (c + 1e-3 for c in layers[name][0].representative_point().coords[0])
                hole = box(cx - 0.9, cy - 0.7, 1.8, 1.4)
                if layers[name][0].contains(hole):
                    layers[name].append(hole)
            # Layers of one pattern often differ in their material.
            materials[name] = rng.choice(sorted(MATERIALS)) if rng.random() < 0.5 else shared
    void = []
    if rng.random() < 0.6:
        layers["BOLTS"] = [box(rng.uniform(10, 90), rng.uniform(5, 90), 9.0, 7.0) for _ in range(rng.randint(1, 3))]
        void = ["BOLTS"]
    turn, off = rng.uniform(0, 360), (rng.uniform(-4000, 4000), rng.uniform(-4000, 4000))
    layers = {
        name: [translate(rotate(p, turn, origin=(0, 0)), *off) for p in polygons] for name, polygons in layers.items()
    }
    # What is written in the file is what counts.
    layers = {name: [Polygon(list(p.exterior.coords)[:-1]) for p in polygons] for name, polygons in layers.items()}
    return layers, solid, void, materials, off


def figures(layers, solid, void, materials, off):
    ranked = [
        (next(k for k, pattern in enumerate(solid) if fits(pattern, name)), name.lower(), name)
        for name in layers if name in materials
    ]
    order, members = [], {}
    for _, _, name in sorted(ranked):
        if materials[name] not in members:
            order.append(materials[name])
        members.setdefault(materials[name], []).append(body(layers[name]))
    cut = unary_union([p for name in void for p in layers[name]]) if void else Polygon()
    reference = MATERIALS[order[0]][1]
    total, mass, shared = np.zeros(6), 0.0, []
    # Outlines are solid, hole, solid on each layer by itself.
    drawn = {material: unary_union(members[material]) for material in order}
    about = np.array(off)
    for k, material in enumerate(order):
        own = drawn[material].difference(cut)
        for other in order[:k]:
            area = own.intersection(drawn[other]).area
            if area > 1e-9 * own.area:
                shared.append([material, other, area])
        if k:
            own = own.difference(unary_union([drawn[other] for other in order[:k]]))
        if own.area < 1e-6 * drawn[material].area:
            return None
        density, modulus = MATERIALS[material]
        part = np.array(sums(own, about))
        total += part * (modulus / reference)
        mass += part[0] * 1e-6 * density
    area, sx, sy, ixx, iyy, ixy = total
    cx, cy = sx / area, sy / area
    return {
        "area": area, "centroid_x": cx + off[0], "centroid_y": cy + off[1],
        "second_moment_x": iyy - area * cy * cy, "second_moment_y": ixx - area * cx * cx,
        "product_moment_xy": ixy - area * cx * cy, "mass_per_length": mass,
        "reference": order[0], "shared": shared,
    }


def lines():
    rng = random.Random(20261130)
    number = 0
    while number < CASES:
        layers, solid, void, materials, off = case(rng, number)
        found = figures(layers, solid, void, materials, off)
        if found is None:
            continue
        number += 1
        yield json.dumps({
            "id": f"composed {number}",
            "layers": {name: [[list(c) for c in p.exterior.coords[:-1]] for p in polygons] for name, polygons in layers.items()},
            "solid": solid, "void": void, "materials": materials, **found,
        })


def main():
    text = "\n".join(lines()) + "\n"
    if "--check" in sys.argv[1:]:
        same = FILE.exists() and FILE.read_text() == text
        print("as written" if same else f"{FILE} differs")
        return 0 if same else 1
    FILE.write_text(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
