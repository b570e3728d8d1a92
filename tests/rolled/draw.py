#!/usr/bin/env python3
"""Draws rolled shapes from their printed dimensions, and writes the printed values beside them as tracearm check reads them.

    python3 tests/rolled/draw.py            writes tests/rolled/*.dxf and shared/rolled/*.csv
    python3 tests/rolled/draw.py --check    writes nothing; exit 1 where a file differs

Python standard library only; the same bytes every time. Dimensions (`dim_*`) and printed values (`pub_*`) come from
shared/check-values/rolled_shapes.csv, which names their sources. Each shape is a layer of its drawing.
"""

import csv
import io
import math
import pathlib
import sys

ROOT = pathlib.Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT / "tests"))
from fixture_drawings.writer import Drawing, moved  # noqa: E402

# ---------------------------------------------------------------------------------------------------------- outlines


def rounded_corners(corners):
    """A bulge ring from corners (x, y, radius): each radius > 0 is an arc that touches both edges."""
    out = []
    for i, (x, y, r) in enumerate(corners):
        if r == 0.0:
            out.append((x, y, 0.0))
            continue
        (ax, ay, _), (bx, by, _) = corners[i - 1], corners[(i + 1) % len(corners)]
        ux, uy, vx, vy = x - ax, y - ay, bx - x, by - y
        before, after = math.hypot(ux, uy), math.hypot(vx, vy)
        ux, uy, vx, vy = ux / before, uy / before, vx / after, vy / after
        turn = math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
        tangent = r * abs(math.tan(turn / 2.0))
        out.append((x - tangent * ux, y - tangent * uy, math.tan(turn / 4.0)))
        out.append((x + tangent * vx, y + tangent * vy, 0.0))
    return out


def i_shape(d):
    """Parallel flanges; the root fillets touch web and flange."""
    h, b, tw, tf, r = d["h"] / 2, d["b"] / 2, d["tw"] / 2, d["tf"], d["r"]
    right = [(b, -h, 0.0), (b, tf - h, 0.0), (tw, tf - h, r), (tw, h - tf, r), (b, h - tf, 0.0), (b, h, 0.0)]
    left = [(-x, y, r) for x, y, r in reversed(right)]
    return [rounded_corners(right + left)]


def channel(d):
    """Tapered flanges, `tf` thick at `tf_at` from the back of the web; root r1 and toe r2 touch the tapered face."""
    h, b, tw = d["h"] / 2, d["b"], d["tw"]
    inside = lambda x: h - d["tf"] - d["slope"] * (d["tf_at"] - x)  # noqa: E731
    toe, root = inside(b), inside(tw)
    lower = [(0.0, -h, 0.0), (b, -h, 0.0), (b, -toe, d["r2"]), (tw, -root, d["r1"])]
    upper = [(tw, root, d["r1"]), (b, toe, d["r2"]), (b, h, 0.0), (0.0, h, 0.0)]
    return [rounded_corners(lower + upper)]


def tee(d):
    """Half of an I shape, flange up."""
    h, b, tw, tf, r = d["h"], d["b"] / 2, d["tw"] / 2, d["tf"], d["r"]
    right = [(tw, 0.0, 0.0), (tw, h - tf, r), (b, h - tf, 0.0), (b, h, 0.0)]
    return [rounded_corners(right + [(-x, y, r) for x, y, r in reversed(right)])]


def angle(d):
    """The corner down left, `h` tall and `b` wide; root r1, toes r2."""
    h, b, t, r1, r2 = d["h"], d["b"], d["t"], d["r1"], d["r2"]
    return [rounded_corners([(0, 0, 0.0), (b, 0, 0.0), (b, t, r2), (t, t, r1), (t, h, r2), (0, h, 0.0)])]


def box(d):
    """Rectangular hollow section, corners ro outside and ri inside."""
    outside = lambda x, y, r: rounded_corners([(-x, -y, r), (x, -y, r), (x, y, r), (-x, y, r)])  # noqa: E731
    x, y, t = d["b"] / 2, d["h"] / 2, d["t"]
    return [outside(x, y, d["ro"]), outside(x - t, y - t, d["ri"])]


def pipe(d):
    r = d["d"] / 2
    return [[(r, 0.0, 1.0), (-r, 0.0, 1.0)], [(r - d["t"], 0.0, 1.0), (d["t"] - r, 0.0, 1.0)]]


# ------------------------------------------------------------------------------------------------------------ shapes

# Name in the table of dimensions, name of the layer (which may hold no slash), outline.
EUROPEAN = [
    ("IPE 200", "IPE 200", i_shape), ("IPE 600", "IPE 600", i_shape), ("HE 200 A", "HE 200 A", i_shape),
    ("HE 300 B", "HE 300 B", i_shape), ("HE 200 M", "HE 200 M", i_shape), ("UPN 200", "UPN 200", channel),
]
AMERICAN = [
    ("W18X50", "W18X50", i_shape), ("W24X76", "W24X76", i_shape), ("W14X90", "W14X90", i_shape),
    ("WT7X45", "WT7X45", tee), ("HSS12X8X1/2", "HSS12X8X.500", box),
    ("HSS10.750X0.500", "HSS10.750X0.500", pipe),
]
# Shapes whose radii are not in the table, so that the outline is somewhat free: drawn with the customary ones.
AMERICAN_FREE = [("C10X15.3", "C10X15.3", channel), ("L6X4X1/2", "L6X4X.500", angle)]

# Printed value, column of the schedule and its power of the length. An elastic modulus is printed for the furthest
# fibre: the toes of a channel and of an angle, the foot of a tee.
SYMMETRIC = {
    "A": ("area", 2), "I_maj": ("second_moment_x", 4), "I_min": ("second_moment_y", 4), "i_maj": ("gyration_x", 1),
    "i_min": ("gyration_y", 1), "Wel_maj": ("elastic_modulus_x_top", 3), "Wel_min": ("elastic_modulus_y_right", 3),
    "Wpl_maj": ("plastic_modulus_x", 3), "Wpl_min": ("plastic_modulus_y", 3),
}
TEE = {**SYMMETRIC, "Wel_maj": ("elastic_modulus_x_bottom", 3)}
ANGLE = {**SYMMETRIC, "I_v": ("second_moment_2", 4), "tan_alpha": ("principal_angle", None)}
COLUMNS = list(dict.fromkeys([*SYMMETRIC.values(), *TEE.values(), *ANGLE.values()]))
# $INSUNITS, unit of the printed values, and the tables with their shapes, of each drawing.
SETS = {
    "european": (4, "cm", [("european", EUROPEAN)]),
    "american": (1, "in", [("american", AMERICAN), ("american-free", AMERICAN_FREE)]),
}


def heading(column, unit):
    key, power = column
    if power is None:
        return f"{key}_deg"
    return f"{key}_{unit}{power if power > 1 else ''}"


def expected(row, outline):
    """The printed values of a shape by column, as text with the digits that are printed."""
    values = {column: row[f"pub_{key}"] for key, column in {tee: TEE, angle: ANGLE}.get(outline, SYMMETRIC).items()}
    slope = values.get(("principal_angle", None))
    if slope:
        # Printed is the slope of axis 2 against the long leg, which is that of axis 1 against +x.
        values[("principal_angle", None)] = f"{math.degrees(math.atan(float(slope))):.2f}"
    return values


def files():
    """Every file by its path in the project."""
    with open(ROOT / "shared/check-values/rolled_shapes.csv", newline="") as table:
        shapes = {row["id"]: row for row in csv.DictReader(table)}
    out = {}
    for drawing, (units, unit, tables) in SETS.items():
        d = Drawing("AC1015", units=units, measurement=1 if units == 4 else 0)
        # A row of shapes, each on its own place of the sheet.
        gap = 50.0 if units == 4 else 2.0
        at, up = 2.4 * gap, 1.7 * gap
        for name, rows in tables:
            text = io.StringIO()
            writer = csv.writer(text, lineterminator="\n")
            used = [c for c in COLUMNS if any(expected(shapes[i], o).get(c) for i, _, o in rows)]
            writer.writerow(["section", *(heading(c, unit) for c in used), "source"])
            for shape, layer, outline in rows:
                row = shapes[shape]
                size = {k[4:]: float(v) for k, v in row.items() if k.startswith("dim_") and v}
                rings = outline(size)
                left, right = min(v[0] for v in rings[0]), max(v[0] for v in rings[0])
                for vertices in rings:
                    d.lwpolyline(layer, moved(vertices, at - left, up))
                at += right - left + gap
                values = expected(row, outline)
                writer.writerow([layer, *(values.get(c, "") for c in used), f"{row['standard']}: {row['source']}"])
            out[f"shared/rolled/{name}.csv"] = text.getvalue().encode()
        out[f"tests/rolled/{drawing}.dxf"] = d.text_file().encode()
    return out


def main():
    different = []
    for name, data in files().items():
        path = ROOT / name
        if not path.exists() or path.read_bytes() != data:
            different.append(name)
            if "--check" not in sys.argv[1:]:
                path.parent.mkdir(exist_ok=True)
                path.write_bytes(data)
    if "--check" in sys.argv[1:]:
        for name in different:
            print(f"{name} differs from what tests/rolled/draw.py writes", file=sys.stderr)
        return 1 if different else 0
    print(f"{len(different)} files written")
    return 0


if __name__ == "__main__":
    sys.exit(main())
