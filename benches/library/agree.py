#!/usr/bin/env python3
"""Compares the figures of plain.py with those of tracearm, layer by layer:

    tracearm schedule FOLDER -o ours.csv
    python3 benches/library/plain.py FOLDER > plain.csv
    python3 benches/library/agree.py ours.csv plain.csv [--within 1e-3]

Moduli about axes 1 and 2 are compared where both see axis 1 within a degree: where both moments are all but equal its
direction is rounding, and near 90 and near -90 are one axis, but turn the page the other way up.

Layers are compared whose status is ok; the exit code is 1 if a figure differs by more than --within, or if a layer is
missing in one of the two. A difference is a share: of lengths, of the extents; of moments, of the larger one; else of
the figure itself.
"""

import argparse
import csv
import sys


def read(path):
    with open(path, newline="", encoding="utf-8") as file:
        return {(row["drawing"], row["layer"]): row for row in csv.DictReader(file)}


def scale(column, row):
    """What a difference of this figure is a share of."""
    if column.startswith(("x_", "y_", "centroid_")):
        sides = (float(row[f"{axis}_max_mm"]) - float(row[f"{axis}_min_mm"]) for axis in "xy")
        return max(*sides)
    if column.startswith(("second_moment", "product_moment")):
        return max(float(row["second_moment_1_mm4"]), 1e-300)
    return abs(float(row[column])) or 1e-300


def main():
    parser = argparse.ArgumentParser(description="Compares the figures of plain.py with those of tracearm.")
    parser.add_argument("ours")
    parser.add_argument("plain")
    parser.add_argument("--within", type=float, default=1e-3)
    arguments = parser.parse_args()
    ours, plain = read(arguments.ours), read(arguments.plain)
    good = {key for key, row in ours.items() if row["status"] == "ok"}
    missing = sorted(good - plain.keys()) + sorted(plain.keys() - ours.keys())
    for drawing, layer in missing[:20]:
        print(f"only in one of them: {drawing}, layer {layer}")
    both = sorted(good & plain.keys())
    if not both:
        print("nothing to compare")
        return 1
    drawings = len({drawing for drawing, _ in both})
    apart = len(ours) - len(good)
    print(f"{len(both)} layers of {drawings} drawings compared; {apart} with another status than ok left out")
    columns = [c for c in plain[both[0]] if c not in ("drawing", "layer", "principal_angle_deg")]
    worst = {column: (0.0, both[0]) for column in columns}
    turned, outside = 0, []
    for key in both:
        angles = (float(rows[key]["principal_angle_deg"]) for rows in (ours, plain))
        same_axes = abs(next(angles) - next(angles)) <= 1.0
        turned += not same_axes
        for column in columns:
            if not same_axes and ("modulus_1" in column or "modulus_2" in column):
                continue
            if ours[key][column] and plain[key][column]:
                share = abs(float(ours[key][column]) - float(plain[key][column])) / scale(column, ours[key])
                worst[column] = max(worst[column], (share, key))
                if share > arguments.within:
                    outside.append((column, share, *key))
    print(f"{turned} of them with another direction of axis 1: moduli about axes 1 and 2 not compared there")
    print("largest difference of each figure, as a share, and where:")
    for column in columns:
        share, (drawing, layer) = worst[column]
        print(f"{column:34} {share:9.2e}  {drawing}, {layer}")
    for column, share, drawing, layer in outside[:20]:
        print(f"outside {arguments.within}: {column} by {share:.2e} in {drawing}, layer {layer}")
    print(f"{len(outside)} figures outside {arguments.within}, {len(missing)} layers missing in one of them")
    return 1 if missing or outside else 0


if __name__ == "__main__":
    sys.exit(main())
