"""Torsion, warping and shear constants of sections of several materials, by scikit-fem.

    pip install -r tests/second_opinion/requirements.txt
    python3 tests/second_opinion/torsion_of_materials.py            writes torsion_of_materials.csv
    python3 tests/second_opinion/torsion_of_materials.py --check    compares it

As torsion.py, with an elastic and a shear modulus for each rectangle, over those of the reference material, and without lateral
contraction (Poisson ratio 0). In the fourth degree, on a grid that grows finer towards every corner in which materials meet.
"""

import csv
import sys
from pathlib import Path

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuadP, LinearForm
from skfem.helpers import dot, grad

import torsion

TABLE = Path(__file__).with_name("torsion_of_materials.csv")

STEEL, DECK, LIGHT = (1.0, 1.0), (0.157143, 0.170238), (0.333333, 0.30)

# Rectangles (x, y, to x, to y), the elastic and the shear modulus of each, and the holes between them.
SECTIONS = {
    "tee with deck": (
        [((50, 0, 58, 76), STEEL), ((0, 76, 120, 90), STEEL), ((-40, 90, 190, 150), DECK)],
        [],
    ),
    "filled box of unequal walls": (
        [
            ((0, 0, 100, 8), STEEL),
            ((0, 68, 100, 80), STEEL),
            ((0, 8, 5, 68), STEEL),
            ((90, 8, 100, 68), STEEL),
            ((5, 8, 90, 68), DECK),
        ],
        [],
    ),
    "box of two materials": (
        [
            ((0, 0, 100, 8), STEEL),
            ((0, 68, 100, 80), STEEL),
            ((0, 8, 5, 68), LIGHT),
            ((90, 8, 100, 68), LIGHT),
        ],
        [(5, 8, 90, 68)],
    ),
}


def constants(rectangles, holes):
    basis = Basis(torsion.of_rectangles([r for r, _ in rectangles]), ElementQuadP(4), intorder=10)
    x, y = (np.asarray(c) for c in basis.global_coordinates())
    e, g = np.zeros_like(x), np.zeros_like(x)
    for (left, low, right, high), moduli in rectangles:
        inside = (left < x) & (x < right) & (low < y) & (y < high)
        e[inside], g[inside] = moduli
    weight = basis.dx
    area = (weight * e).sum()
    cx, cy = (weight * e * x).sum() / area, (weight * e * y).sum() / area
    x, y = x - cx, y - cy
    xx, yy, xy = ((weight * e * t).sum() for t in (y * y, x * x, x * y))
    determinant = xx * yy - xy * xy
    stiff = BilinearForm(lambda u, v, w: g * dot(grad(u), grad(v))).assemble(basis)
    soft = BilinearForm(lambda u, v, w: dot(grad(u), grad(v)) / g).assemble(basis)

    def load(vector, scalar):
        return LinearForm(lambda v, w: grad(v)[0] * vector[0] + grad(v)[1] * vector[1] + v * scalar).assemble(basis)

    def values(u):
        field = basis.interpolate(u)
        return np.asarray(field), np.asarray(field.grad)

    w, dw = values(torsion.solve(stiff, load((g * y, -g * x), 0 * x), [0]))
    upper = (weight * g * ((dw[0] - y) ** 2 + (dw[1] + x) ** 2)).sum()

    places = basis.mesh.p
    facets = basis.mesh.boundary_facets()
    middle = places[:, basis.mesh.facets[:, facets]].mean(axis=1)
    outer = np.ones(len(facets), bool)
    count = soft.shape[0]
    column = np.arange(count)
    for k, (left, low, right, high) in enumerate(holes):
        own = (left <= middle[0]) & (middle[0] <= right) & (low <= middle[1]) & (middle[1] <= high)
        outer &= ~own
        unknowns = basis.get_dofs(facets[own])
        column[unknowns.all()] = -1
        column[unknowns.nodal["u"]] = count + k
    column[basis.get_dofs(facets[outer]).all()] = -1
    kept = np.nonzero(column >= 0)[0]
    _, renumbered = np.unique(column[kept], return_inverse=True)
    joined = sparse.csr_matrix((np.ones(len(kept)), (kept, renumbered)), (count, renumbered.max() + 1))
    side = joined.T @ load((0 * x, 0 * x), 2.0 + 0 * x)
    for k, (left, low, right, high) in enumerate(holes):
        side[renumbered.max() - len(holes) + 1 + k] += 2 * (right - left) * (high - low)
    _, ds = values(joined @ splu(sparse.csc_matrix(joined.T @ soft @ joined)).solve(side))
    lower = (weight * (ds[0] ** 2 + ds[1] ** 2) / g).sum()

    by_x, by_y = (weight * e * x * w).sum(), (weight * e * y * w).sum()
    sx, sy = (xy * by_x - yy * by_y) / determinant, (xx * by_x - xy * by_y) / determinant
    about = w - (weight * e * w).sum() / area - sy * x + sx * y
    warping = (weight * e * about**2).sum()

    areas = []
    for scalar in (2 * e * (xx * x - xy * y), 2 * e * (yy * y - xy * x)):
        _, du = values(torsion.solve(stiff, load((0 * x, 0 * x), scalar), [0]))
        areas.append((2 * determinant) ** 2 / (weight * g * (du[0] ** 2 + du[1] ** 2)).sum())
    if not -1e-7 * upper <= upper - lower < 2e-5 * upper:
        raise SystemExit(f"bounds {lower} and {upper} do not agree")
    return [0.5 * (lower + upper), warping, cx + sx, cy + sy, *areas]


def main():
    found = [[name, *constants(*section)] for name, section in SECTIONS.items()]
    if "--check" in sys.argv:
        with TABLE.open() as file:
            stored = list(csv.reader(file))[1:]
        for new, old in zip(found, stored, strict=True):
            for value, text in zip(new[1:], old[1:]):
                if new[0] != old[0] or abs(value - float(text)) > 1e-6 * max(abs(value), 1.0):
                    raise SystemExit(f"{new[0]}: {value}, not {text}")
        return
    with TABLE.open("w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(torsion.COLUMNS)
        for row in found:
            writer.writerow([row[0], *(f"{value:.9g}" for value in row[1:])])


if __name__ == "__main__":
    main()
