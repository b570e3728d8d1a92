#!/usr/bin/env python3
"""Computes values.csv: what the program must find for the fixtures, the published shapes and a set of random outlines.

    pip install -r tests/second_opinion/requirements.txt
    python3 tests/second_opinion/values.py            writes values.csv and outlines.jsonl
    python3 tests/second_opinion/values.py --check    writes nothing; exit 1 where they differ

Written figures are rounded to 17 digits from 40-digit integrals (exact.py). Before anything is written they are held to
  - sympy: area, centroid and moments of the polygons in exact fractions, 1e-30;
  - shapely: the fixtures read by ezdxf, curves cut into chords within 1e-5 drawing units, area and centroid, 1e-5;
  - the closed forms (1e-13) and the rolled shapes (printed to 13 digits, 1e-11) of shared/check-values.
"""

import csv
import io
import json
import math
import pathlib
import random
import sys

HERE = pathlib.Path(__file__).parent
ROOT = HERE.parent.parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

import sympy  # noqa: E402
from mpmath import mp, mpf  # noqa: E402
from shapely.geometry import Polygon  # noqa: E402

import drawn  # noqa: E402
import exact  # noqa: E402
from fixture_drawings import FIXTURES  # noqa: E402
from fixture_drawings.writer import ring  # noqa: E402


# --------------------------------------------------------------------------------------------------- random outlines


def random_outlines():
    """Star-shaped outlines with bulges and a hole, unequal, off the origin; seeded."""
    dice = random.Random(20260)
    for number in range(12):
        corners = dice.randint(5, 9)
        x0, y0, turn = dice.uniform(-400.0, 400.0), dice.uniform(-400.0, 400.0), dice.uniform(0.0, math.tau)
        straight = number % 3 == 0
        # Arcs on a slender star could cross beside its sharp corners.
        slender = 10.0 ** dice.uniform(-1.5, 0.0) if straight else dice.uniform(0.7, 1.0)

        def star(low, high):
            out = []
            for i in range(corners):
                a = math.tau * (i + dice.uniform(-0.25, 0.25)) / corners
                r = dice.uniform(low, high)
                x, y = r * math.cos(a), slender * r * math.sin(a)
                bulge = 0.0 if straight else dice.choice([0.0, dice.uniform(-0.1, 0.1)])
                out.append([round(x0 + x * math.cos(turn) - y * math.sin(turn), 6), round(y0 + x * math.sin(turn) + y * math.cos(turn), 6), bulge])
            return out

        loops = [star(60.0, 100.0)]
        if number % 2:
            loops.append(star(6.0, 14.0))
        chords = [[exact.Piece(p).at(mpf(k) / 32) for p in ring(loop) for k in range(32)] for loop in loops]
        assert Polygon(chords[0], chords[1:]).is_valid, "a random outline crosses itself"
        yield {"id": f"outline {number + 1}", "loops": loops}


# -------------------------------------------------------------------------------------------------- published shapes


def region_of_loops(loops):
    rings = [ring([tuple(v) for v in loop]) for loop in loops]
    return solid_and_void(rings)


def solid_and_void(rings):
    """In the published outlines the ring of the largest extent is solid and the others are holes."""
    def size(r):
        extents = [exact.Region([r]).extent(a) for a in (0, 1)]
        return (extents[0][1] - extents[0][0]) * (extents[1][1] - extents[1][0])

    rings = sorted(rings, key=size, reverse=True)
    return rings[:1], rings[1:]


def pieces_of(outline):
    out = []
    for piece in outline:
        if "line" in piece:
            out.append(("line", tuple(piece["line"][0]), tuple(piece["line"][1])))
        elif "poly" in piece:
            assert piece["poly"]["t"] == [0, 1]
            out.append(("poly", piece["poly"]["X"], piece["poly"]["Y"]))
        else:
            e = piece["ellipse"]
            out.append(("ellipse", tuple(e["c"]), (e["a"], 0.0), (0.0, e["b"]), e["t0"], e["t1"] - e["t0"]))
    return out


def closed_forms():
    with open(ROOT / "shared/check-values/closed_forms.csv", newline="") as f:
        for row in csv.DictReader(f):
            outline = json.loads(row["outline"])
            if "bulge_loops" in outline:
                yield row, region_of_loops(outline["bulge_loops"])
            else:
                yield row, solid_and_void([pieces_of(r) for r in outline["pieces"]])


CLOSED = {
    "A": "area", "cx": "centroid_x", "cy": "centroid_y", "Ix": "second_moment_x", "Iy": "second_moment_y", "Ixy": "product_moment_xy",
    "I1": "second_moment_1", "I2": "second_moment_2", "Wx_top": "elastic_modulus_x_top", "Wx_bot": "elastic_modulus_x_bottom",
    "Wy_left": "elastic_modulus_y_left", "Wy_right": "elastic_modulus_y_right", "rx": "gyration_x", "ry": "gyration_y",
    "Zx": "plastic_modulus_x", "Zy": "plastic_modulus_y", "y_pna": "plastic_axis_y", "x_pna": "plastic_axis_x", "perimeter": "perimeter",
}
ROLLED = {
    "A": "area", "cx": "centroid_x", "cy": "centroid_y", "Ix": "second_moment_x", "Iy": "second_moment_y", "Ixy": "product_moment_xy",
    "I1": "second_moment_1", "I2": "second_moment_2", "Wx_top": "elastic_modulus_x_top", "Wx_bot": "elastic_modulus_x_bottom",
    "Wy_left": "elastic_modulus_y_left", "Wy_right": "elastic_modulus_y_right", "Zx": "plastic_modulus_x", "Zy": "plastic_modulus_y",
    "pnay": "plastic_axis_y", "pnax": "plastic_axis_x", "P": "perimeter", "x0": "x_min", "x1": "x_max", "y0": "y_min", "y1": "y_max",
}


def scale_of(key, values):
    """What a quantity that may be 0 is measured against."""
    if key.startswith(("centroid", "plastic_axis", "x_m", "y_m")):
        return max(values["x_max"] - values["x_min"], values["y_max"] - values["y_min"])
    return values["second_moment_1"] if key == "product_moment_xy" else values[key]


def hold(what, key, got, want, tolerance, values):
    difference = abs(got - mpf(want)) / abs(scale_of(key, values))
    if difference > tolerance:
        raise SystemExit(f"{what}: {key} is {mp.nstr(got, 17)}, published {want}, differs by {mp.nstr(difference, 3)}")
    return difference


# ------------------------------------------------------------------------------------------------------------- sympy


def hold_polygon(what, solid, void, values):
    """Area, centroid and central second moments of polygons in exact fractions."""
    sums = [sympy.Rational(0)] * 6
    for group, wanted in ((solid, 1), (void, -1)):
        for r in group:
            if any(p[0] != "line" for p in r):
                return False
            points = [tuple(map(sympy.Rational, p[1])) for p in r]
            m = [sympy.Rational(0)] * 6
            for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1]):
                c = x0 * y1 - x1 * y0
                m[0] += c / 2
                m[1] += c * (x0 + x1) / 6
                m[2] += c * (y0 + y1) / 6
                m[3] += c * (y0 * y0 + y0 * y1 + y1 * y1) / 12
                m[4] += c * (x0 * x0 + x0 * x1 + x1 * x1) / 12
                m[5] += c * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0) / 24
            sign = wanted if m[0] > 0 else -wanted
            sums = [a + sign * b for a, b in zip(sums, m)]
    area, sx, sy, ix, iy, ixy = sums
    cx, cy = sx / area, sy / area
    fractions = {
        "area": area, "centroid_x": cx, "centroid_y": cy, "second_moment_x": ix - area * cy * cy,
        "second_moment_y": iy - area * cx * cx, "product_moment_xy": ixy - area * cx * cy,
    }
    for key, want in fractions.items():
        hold(what, key, values[key], mpf(want.p) / mpf(want.q), mpf(10) ** -30, values)
    return True


# -------------------------------------------------------------------------------------------------------------- main


def main():
    rows, counts, worst = [], {"sympy": 0, "shapely": 0, "closed forms": 0, "rolled shapes": 0}, {}

    def take(source, section, solid, void):
        values = exact.properties(solid, void)
        if hold_polygon(f"{source} {section}", solid, void, values):
            counts["sympy"] += 1
        rows.append((source, section, values))
        return values

    for name, (_, _, _, build) in FIXTURES.items():
        sheet = build()
        for layer, (solid, void) in sheet.shapes.items():
            values = take(name, layer, solid, void)
            found = drawn.area_and_centroid(ROOT / "fixtures" / name, layer)
            if found:
                area, cx, cy = found
                hold(f"{name} {layer} as drawn", "area", values["area"], area, 1e-5, values)
                hold(f"{name} {layer} as drawn", "centroid_x", values["centroid_x"], cx, 1e-5, values)
                hold(f"{name} {layer} as drawn", "centroid_y", values["centroid_y"], cy, 1e-5, values)
                counts["shapely"] += 1
    for row, (solid, void) in closed_forms():
        values = take("closed form", row["id"], solid, void)
        for column, key in CLOSED.items():
            if row[column]:
                off = hold(row["id"], key, values[key], row[column], 1e-13, values)
                worst["closed forms"] = max(worst.get("closed forms", 0), off)
                counts["closed forms"] += 1
    outlines = {}
    with open(ROOT / "shared/check-values/rolled_outlines.jsonl") as f:
        for line in f:
            outline = json.loads(line)
            outlines[outline["id"]] = outline["loops"]
    with open(ROOT / "shared/check-values/rolled_shapes.csv", newline="") as f:
        for row in csv.DictReader(f):
            values = take("rolled shape", row["id"], *region_of_loops(outlines[row["id"]]))
            for column, key in ROLLED.items():
                off = hold(row["id"], key, values[key], row["exact_" + column], 1e-11, values)
                worst["rolled shapes"] = max(worst.get("rolled shapes", 0), off)
                counts["rolled shapes"] += 1
    lines = ""
    for outline in random_outlines():
        take("random outline", outline["id"], *region_of_loops(outline["loops"]))
        lines += json.dumps(outline) + "\n"

    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    keys = list(rows[0][2])
    writer.writerow(["source", "section"] + keys)
    for source, section, values in rows:
        cells = []
        for key in keys:
            # Below 1e-14 of its scale a figure is the rounding of the drawn coordinates: the shape's own value is 0.
            zero = key in ("product_moment_xy", "centroid_x", "centroid_y", "plastic_axis_x", "plastic_axis_y")
            tiny = zero and abs(values[key]) < mpf(10) ** -14 * scale_of(key, values)
            cells.append("0" if tiny else mp.nstr(values[key], 17, min_fixed=-6, max_fixed=17))
        writer.writerow([source, section] + cells)
    print(f"{len(rows)} sections; held to {counts}; largest differences {({k: mp.nstr(v, 3) for k, v in worst.items()})}")
    files = {"values.csv": text.getvalue(), "outlines.jsonl": lines}
    different = [n for n, data in files.items() if not (HERE / n).exists() or (HERE / n).read_text() != data]
    if "--check" in sys.argv[1:]:
        for name in different:
            print(f"tests/second_opinion/{name} differs", file=sys.stderr)
        return 1 if different else 0
    for name in different:
        (HERE / name).write_text(files[name])
    return 0


if __name__ == "__main__":
    sys.exit(main())
