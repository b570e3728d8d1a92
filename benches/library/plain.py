#!/usr/bin/env python3
"""The plain script that an engineer would write without tracearm: ezdxf reads, shapely makes polygons of what is drawn
on each layer, numpy integrates along their edges. One row for each layer with a closed outline, as CSV:

    python3 benches/library/plain.py [--jobs N] DRAWING-OR-FOLDER ...

Figures are in millimetres, in the columns that `tracearm schedule` has. Curves are chords that keep within 1e-4 of the
size of what is drawn on the layer, and 64 at least for a circle. Open lines are left out without a word, as are kinds
of entities that are not named here.
"""

import argparse
import contextlib
import csv
import math
import multiprocessing
import pathlib
import sys
import time

import ezdxf
import numpy as np
import shapely
from shapely import STRtree

# Chords keep to their curves within this share of the size of what is drawn on the layer.
FLATNESS = 1e-4
# A small hole in a large plate is still a circle of 64 chords.
WIDEST_STEP = 2.0 * math.pi / 64.0
# Ends nearer than this share of that size are one point.
JOIN = 1e-6
# The equal-area axes are sought until the halves differ by less than this share, and no longer than so many steps.
HALVES, STEPS = 1e-12, 60
# Millimetres of a drawing unit by $INSUNITS.
UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}

COLUMNS = (
    "drawing layer parts holes area_mm2 perimeter_mm x_min_mm x_max_mm y_min_mm y_max_mm centroid_x_mm centroid_y_mm "
    "second_moment_x_mm4 second_moment_y_mm4 product_moment_xy_mm4 second_moment_1_mm4 second_moment_2_mm4 "
    "principal_angle_deg gyration_x_mm gyration_y_mm gyration_1_mm gyration_2_mm "
    "elastic_modulus_x_top_mm3 elastic_modulus_x_bottom_mm3 elastic_modulus_y_left_mm3 elastic_modulus_y_right_mm3 "
    "elastic_modulus_1_top_mm3 elastic_modulus_1_bottom_mm3 elastic_modulus_2_left_mm3 elastic_modulus_2_right_mm3 "
    "plastic_modulus_x_mm3 plastic_modulus_y_mm3 plastic_modulus_1_mm3 plastic_modulus_2_mm3"
).split()


class Layer:
    """What is drawn on one layer; arcs stay numbers until it is known how fine their chords must be."""

    def __init__(self):
        self.lines = []  # (x1, y1, x2, y2)
        self.arcs = []  # (x, y, radius, start, sweep), in radians
        self.circles = []  # (x, y, radius)
        self.polylines = []  # (array of x, y, bulge; closed)

    def size(self):
        points = [np.array(self.lines).reshape(-1, 2)]
        points += [vertices[:, :2] for vertices, _ in self.polylines]
        rounds = np.array([arc[:3] for arc in self.arcs] + self.circles).reshape(-1, 3)
        points += [rounds[:, :2] - rounds[:, 2:], rounds[:, :2] + rounds[:, 2:]]
        points = np.concatenate(points)
        return float(np.hypot(*np.ptp(points, axis=0))) if len(points) else 0.0


def layers_of(drawing):
    layers = {}
    for entity in drawing.modelspace():
        kind, dxf = entity.dxftype(), entity.dxf
        if kind not in ("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE"):
            continue
        layer = layers.setdefault(dxf.layer, Layer())
        if kind == "LINE":
            start, end = dxf.start, dxf.end
            layer.lines.append((start.x, start.y, end.x, end.y))
        elif kind == "ARC":
            start = math.radians(dxf.start_angle)
            sweep = math.radians((dxf.end_angle - dxf.start_angle) % 360.0)
            layer.arcs.append((dxf.center.x, dxf.center.y, dxf.radius, start, sweep))
        elif kind == "CIRCLE":
            layer.circles.append((dxf.center.x, dxf.center.y, dxf.radius))
        elif kind == "LWPOLYLINE":
            layer.polylines.append((np.array(entity.get_points("xyb")), entity.closed))
        elif entity.is_2d_polyline:
            vertices = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]
            layer.polylines.append((np.array(vertices), entity.is_closed))
    return layers


def arc_points(x, y, radius, start, sweep, tolerance):
    step = min(2.0 * math.acos(max(1.0 - tolerance / radius, 0.0)), WIDEST_STEP)
    count = max(math.ceil(abs(sweep) / step), 1)
    angles = start + np.linspace(0.0, sweep, count + 1)
    return np.column_stack((x + radius * np.cos(angles), y + radius * np.sin(angles)))


def polyline_points(vertices, closed, tolerance):
    if closed and not np.array_equal(vertices[0, :2], vertices[-1, :2]):
        vertices = np.vstack((vertices, vertices[0]))
    bulged = np.flatnonzero(vertices[:-1, 2])
    if not len(bulged):
        return vertices[:, :2]
    pieces, done = [], 0
    for i in bulged:
        (x1, y1, bulge), (x2, y2) = vertices[i], vertices[i + 1, :2]
        along = (1.0 - bulge * bulge) / (4.0 * bulge)
        x = (x1 + x2) / 2.0 - (y2 - y1) * along
        y = (y1 + y2) / 2.0 + (x2 - x1) * along
        start, radius = math.atan2(y1 - y, x1 - x), math.hypot(x1 - x, y1 - y)
        between = arc_points(x, y, radius, start, 4.0 * math.atan(bulge), tolerance)[1:-1]
        pieces += [vertices[done : i + 1, :2], between]
        done = i + 1
    return np.concatenate(pieces + [vertices[done:, :2]])


def joined(chains, tolerance):
    """Moves ends that lie within the tolerance onto one point: the one that stands first."""
    ends = np.array([end for chain in chains for end in (chain[0], chain[-1])])
    points = shapely.points(ends)
    first, second = STRtree(points).query(points, predicate="dwithin", distance=tolerance)
    nearest = np.arange(len(ends))
    np.minimum.at(nearest, first, second)
    ends = ends[nearest]
    for i, chain in enumerate(chains):
        chain[0], chain[-1] = ends[2 * i], ends[2 * i + 1]
    return chains


def rings_of(layer, size):
    """The closed outlines of a layer as polygons without holes."""
    tolerance = FLATNESS * size
    closed, loose = [], []
    for circle in layer.circles:
        closed.append(arc_points(*circle, 0.0, 2.0 * math.pi, tolerance))
    for vertices, is_closed in layer.polylines:
        if len(vertices) < 2:
            continue
        points = polyline_points(vertices, is_closed, tolerance)
        ends_meet = np.hypot(*(points[0] - points[-1])) <= JOIN * size
        (closed if ends_meet else loose).append(points.copy())
    for x1, y1, x2, y2 in layer.lines:
        loose.append(np.array(((x1, y1), (x2, y2))))
    for arc in layer.arcs:
        loose.append(arc_points(*arc, tolerance))
    rings = [shapely.Polygon(points) for points in closed if len(points) >= 4]
    if loose:
        loose = joined(loose, JOIN * size)
        counts = np.array([len(points) for points in loose])
        lines = shapely.linestrings(np.concatenate(loose), indices=np.repeat(np.arange(len(loose)), counts))
        faces = shapely.get_parts(shapely.polygonize(lines))
        rings.extend(shapely.polygons(shapely.get_exterior_ring(faces)))
    return np.array(rings, dtype=object)


def solid_of(rings):
    """What is bounded by an odd number of rings is solid; plates that touch become one."""
    if len(rings) == 1:
        return rings[0]
    tree = STRtree(rings)
    inner, outer = tree.query(shapely.point_on_surface(rings), predicate="within")
    # A ring lies within another one if its inner point does and it is the smaller.
    area = shapely.area(rings)
    within = area[inner] < area[outer]
    inner, outer = inner[within], outer[within]
    depth = np.bincount(inner, minlength=len(rings))
    holes_of = {}
    for hole, around in zip(inner, outer):
        if depth[hole] % 2 and depth[around] == depth[hole] - 1:
            holes_of.setdefault(around, []).append(rings[hole].exterior)
    solids = [
        shapely.Polygon(rings[i].exterior, holes_of[i]) if i in holes_of else rings[i]
        for i in np.flatnonzero(depth % 2 == 0)
    ]
    return solids[0] if len(solids) == 1 else shapely.union_all(solids)


def edges_of(solid):
    """All edges as x1, y1, x2, y2, the solid at their left."""
    parts = shapely.get_parts(shapely.orient_polygons(solid))
    rings = shapely.get_rings(parts)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[:-1] == ring[1:]
    return points[:-1][same], points[1:][same], parts, rings


def plastic_moduli(heights, runs):
    """∬|distance from the equal-area axis| dA for several directions at once. `heights` are those of both ends of all
    edges above some axis (directions × edges × 2), `runs` how far each edge goes along that axis."""

    def above(level):
        """Area above the level and its first moment about it, integrated along the edges."""
        a = heights[..., 0] - level[:, None]
        b = heights[..., 1] - level[:, None]
        # Share of each edge that lies above the level, as heights at both of its ends there.
        top, bottom = np.maximum(a, b), np.minimum(a, b)
        rise = top - bottom
        crossing = (top > 0.0) & (bottom < 0.0)
        share = np.where(crossing, top / np.where(rise > 0.0, rise, 1.0), top > 0.0)
        low = np.maximum(bottom, 0.0)
        top = np.maximum(top, 0.0)
        area = -(runs * share * (top + low)).sum(axis=1) / 2.0
        first = -(runs * share * (top * top + top * low + low * low)).sum(axis=1) / 6.0
        return area, first

    low, high = heights.min(axis=(1, 2)), heights.max(axis=(1, 2))
    area, first_low = above(low)
    # The area above is the whole at the lowest level and nothing at the highest: regula falsi, with the Illinois rule.
    over, under = area / 2.0, -area / 2.0
    side = np.zeros(len(low))
    for step in range(STEPS):
        level = (low * under - high * over) / (under - over)
        area_above, first_above = above(level)
        rest = area_above - area / 2.0
        if np.all(np.abs(rest) <= HALVES * area):
            break
        if step == STEPS - 1:
            raise ArithmeticError("the equal-area axes were not found")
        lower = rest > 0.0
        under = np.where(lower & (side > 0), under / 2.0, np.where(lower, under, rest))
        over = np.where(~lower & (side < 0), over / 2.0, np.where(lower, rest, over))
        low, high = np.where(lower, level, low), np.where(lower, high, level)
        side = np.where(lower, 1, -1)
    # First moment of the whole about the level, and what lies above: the lower half counts with the other sign.
    whole = first_low - area * (level - heights.min(axis=(1, 2)))
    return 2.0 * first_above - whole


def figures(solid, scale):
    """The row of a solid, in millimetres."""
    start, end, parts, rings = edges_of(solid)
    # About a point inside, so that no digits are lost far from the origin.
    origin = (start.min(axis=0) + start.max(axis=0)) / 2.0
    (x1, y1), (x2, y2) = ((start - origin) * scale).T, ((end - origin) * scale).T
    cross = x1 * y2 - x2 * y1
    area = cross.sum() / 2.0
    x = ((x1 + x2) * cross).sum() / (6.0 * area)
    y = ((y1 + y2) * cross).sum() / (6.0 * area)
    ix = ((y1 * y1 + y1 * y2 + y2 * y2) * cross).sum() / 12.0 - area * y * y
    iy = ((x1 * x1 + x1 * x2 + x2 * x2) * cross).sum() / 12.0 - area * x * x
    ixy = ((x1 * y2 + 2.0 * x1 * y1 + 2.0 * x2 * y2 + x2 * y1) * cross).sum() / 24.0 - area * x * y
    mean, half, radius = (ix + iy) / 2.0, (ix - iy) / 2.0, math.hypot((ix - iy) / 2.0, ixy)
    i1, i2 = mean + radius, mean - radius
    # A product moment that is but rounding must not choose between 90° and -90°.
    turn = 0.0 if abs(ixy) <= 1e-9 * mean else -ixy
    angle = 0.5 * math.atan2(turn, half) if radius > 1e-9 * mean else 0.0
    # Heights above four axes through the centroid: x, y (its left is up), 1 and 2; and how far edges go along them.
    turns = np.array([0.0, math.pi / 2.0, angle, angle + math.pi / 2.0])[:, None]
    cos, sin = np.cos(turns), np.sin(turns)
    heights = np.stack(((y1 - y) * cos - (x1 - x) * sin, (y2 - y) * cos - (x2 - x) * sin), axis=-1)
    runs = (x2 - x1) * cos + (y2 - y1) * sin
    tops, bottoms = heights.max(axis=(1, 2)), -heights.min(axis=(1, 2))
    plastic = plastic_moduli(heights, runs)
    at = origin * scale
    return [
        len(parts), len(rings) - len(parts), area, np.hypot(x2 - x1, y2 - y1).sum(),
        at[0] + x1.min(), at[0] + x1.max(), at[1] + y1.min(), at[1] + y1.max(), at[0] + x, at[1] + y,
        ix, iy, ixy, i1, i2, math.degrees(angle),
        math.sqrt(ix / area), math.sqrt(iy / area), math.sqrt(i1 / area), math.sqrt(i2 / area),
        ix / tops[0], ix / bottoms[0], iy / tops[1], iy / bottoms[1],
        i1 / tops[2], i1 / bottoms[2], i2 / tops[3], i2 / bottoms[3],
        *plastic,
    ]  # fmt: skip


def rows_of(path):
    """The rows of one drawing, and what could not be measured."""
    try:
        drawing = ezdxf.readfile(path)
        layers = sorted(layers_of(drawing).items())
    except Exception as error:  # One bad drawing must not end the run.
        return [], [f"{path}: {error!r}"]
    scale = UNITS.get(drawing.header.get("$INSUNITS", 0), 1.0)
    rows, errors = [], []
    for name, layer in layers:
        try:
            rings = rings_of(layer, layer.size())
            if len(rings):
                row = figures(solid_of(rings), scale)
                rows.append([str(path), name] + row[:2] + [f"{figure:.6g}" for figure in row[2:]])
        except Exception as error:  # Nor must one bad layer: shapely refuses outlines that cross themselves.
            errors.append(f"{path}: layer {name}: {error!r}")
    return rows, errors


def drawings_in(places):
    for place in map(pathlib.Path, places):
        yield from sorted(place.rglob("*.dxf")) if place.is_dir() else [place]


def main():
    parser = argparse.ArgumentParser(description="Section properties of drawings by ezdxf, shapely and numpy.")
    parser.add_argument("places", nargs="+", metavar="DRAWING-OR-FOLDER")
    parser.add_argument("--jobs", type=int, default=1, help="processes")
    arguments = parser.parse_args()
    paths = list(drawings_in(arguments.places))
    start, count, failed = time.perf_counter(), 0, 0
    writer = csv.writer(sys.stdout)
    writer.writerow(COLUMNS)
    with contextlib.ExitStack() as stack:
        each = map(rows_of, paths)
        if arguments.jobs > 1:
            pool = stack.enter_context(multiprocessing.Pool(arguments.jobs))
            each = pool.imap(rows_of, paths, chunksize=8)
        for rows, errors in each:
            writer.writerows(rows)
            count += len(rows)
            failed += len(errors)
            for error in errors:
                print(error, file=sys.stderr)
    seconds = time.perf_counter() - start
    told = f"{len(paths)} drawings, {count} layers, {failed} failed, {seconds:.2f} s"
    print(f"{told}: {len(paths) / seconds:.1f} drawings/s", file=sys.stderr)


if __name__ == "__main__":
    main()
