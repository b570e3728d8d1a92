"""Torsion, warping and shear constants of sections without closed form, by scikit-fem.

    pip install -r tests/second_opinion/requirements.txt
    python3 tests/second_opinion/torsion.py            writes torsion.csv
    python3 tests/second_opinion/torsion.py --check    compares it

Sections of rectangles lie on a grid that grows finer towards every corner; the ring is made of curved quadrilaterals. Both
problems are solved with polynomials of the fourth degree; the torsion constant is the mean of both, which must agree.
"""

import csv
import sys
from pathlib import Path

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuadP, LinearForm, MeshQuad, MeshQuad2
from skfem.helpers import dot, grad

POISSON = 0.3
TABLE = Path(__file__).with_name("torsion.csv")
COLUMNS = ["section", "torsion_constant", "warping_constant", "shear_centre_x", "shear_centre_y", "shear_area_x", "shear_area_y"]

# Rectangles (x, y, to x, to y) that do not overlap, and the holes between them.
SECTIONS = {
    "angle 100x75x10": ([(0, 0, 10, 100), (10, 0, 75, 10)], []),
    "tee 120x90x8x14": ([(0, 0, 120, 14), (50, 14, 58, 90)], []),
    "channel of unequal flanges": ([(0, 0, 8, 160), (8, 0, 90, 12), (8, 150, 60, 160)], []),
    "box of unequal walls": ([(0, 0, 100, 8), (0, 68, 100, 80), (0, 8, 5, 68), (90, 8, 100, 68)], [(5, 8, 90, 68)]),
    "box of two cells": (
        [(0, 0, 150, 10), (0, 72, 150, 80), (0, 10, 6, 72), (60, 10, 68, 72), (138, 10, 150, 72)],
        [(6, 10, 60, 72), (68, 10, 138, 72)],
    ),
}
# Outer radius, inner radius, how far the hole lies to the right.
RING = ("ring of an eccentric hole", 50.0, 25.0, 15.0)


def graded(places):
    """Grid lines that grow denser towards each of some places."""
    lines = []
    for low, high in zip(places, places[1:]):
        half = 0.5 * (high - low)
        steps = [half * 0.35**k for k in range(11)]
        lines += [low] + [low + s for s in reversed(steps)] + [high - s for s in steps[1:]]
    return np.array(lines + [places[-1]])


def of_rectangles(rectangles):
    x = graded(sorted({v for r in rectangles for v in (r[0], r[2])}))
    y = graded(sorted({v for r in rectangles for v in (r[1], r[3])}))
    mesh = MeshQuad.init_tensor(x, y)
    middle = mesh.p[:, mesh.t].mean(axis=1)
    inside = np.zeros(mesh.t.shape[1], bool)
    for left, low, right, high in rectangles:
        inside |= (left < middle[0]) & (middle[0] < right) & (low < middle[1]) & (middle[1] < high)
    return mesh.remove_elements(np.nonzero(~inside)[0])


def of_ring(outer, inner, aside):
    around, across = 96, 12
    mesh = MeshQuad.init_tensor(np.linspace(0, 1, around + 1), np.linspace(0, 1, across + 1))
    mesh = MeshQuad2.from_mesh(mesh)

    def place(p):
        angle, part = 2 * np.pi * p[0], p[1]
        edge = np.array([aside + inner * np.cos(angle), inner * np.sin(angle)])
        rim = np.array([outer * np.cos(angle), outer * np.sin(angle)])
        return rim + (edge - rim) * part

    return mesh, place


def solve(matrix, side, held):
    free = np.setdiff1d(np.arange(matrix.shape[0]), held)
    result = np.zeros(matrix.shape[0])
    result[free] = splu(sparse.csc_matrix(matrix[free][:, free])).solve(side[free])
    return result


def constants(basis, stiff, soft, outer, holes, elastic=1.0, shear=1.0, poisson=POISSON, apart=2e-6):
    """Of a basis with its matrices, the unknowns along the outer edge, and for each hole those at its corners, all and its area.

    `stiff` is weighed with the shear modulus, `soft` with its reciprocal; moduli are those over the reference material's, at each
    place of the basis. The bounds of the torsion constant may be `apart` by so much of it."""
    x, y = basis.global_coordinates()
    x, y = np.asarray(x), np.asarray(y)
    e, g = elastic + 0 * x, shear + 0 * x
    weight = basis.dx
    area = (weight * e).sum()
    cx, cy = (weight * e * x).sum() / area, (weight * e * y).sum() / area
    x, y = x - cx, y - cy
    xx, yy, xy = (weight * e * y * y).sum(), (weight * e * x * x).sum(), (weight * e * x * y).sum()
    determinant = xx * yy - xy * xy

    def load(vector, scalar):
        return LinearForm(lambda v, w: grad(v)[0] * vector[0] + grad(v)[1] * vector[1] + v * scalar).assemble(basis)

    def values(u):
        field = basis.interpolate(u)
        return np.asarray(field), np.asarray(field.grad)

    w, dw = values(solve(stiff, load((g * y, -g * x), 0 * x), [0]))
    upper = (weight * g * ((dw[0] - y) ** 2 + (dw[1] + x) ** 2)).sum()

    # One unknown for each hole.
    count = soft.shape[0]
    column = np.arange(count)
    for k, (corners, others, _) in enumerate(holes):
        # A constant along an edge is its value at the corners, and nothing of the polynomials that vanish there.
        column[others] = -1
        column[corners] = count + k
    column[outer] = -1
    kept = np.nonzero(column >= 0)[0]
    _, renumbered = np.unique(column[kept], return_inverse=True)
    joined = sparse.csr_matrix((np.ones(len(kept)), (kept, renumbered)), (count, renumbered.max() + 1))
    side = joined.T @ load((0 * x, 0 * x), 2.0 + 0 * x)
    for k, (*_, hole) in enumerate(holes):
        side[renumbered.max() - len(holes) + 1 + k] += 2 * hole
    _, ds = values(joined @ splu(sparse.csc_matrix(joined.T @ soft @ joined)).solve(side))
    lower = (weight * (ds[0] ** 2 + ds[1] ** 2) / g).sum()

    by_x, by_y = (weight * e * x * w).sum(), (weight * e * y * w).sum()
    sx, sy = (xy * by_x - yy * by_y) / determinant, (xx * by_x - xy * by_y) / determinant
    about = w - (weight * e * w).sum() / area - sy * x + sx * y
    warping = (weight * e * about**2).sum()

    half, twice = poisson / 2, 2 * (1 + poisson)
    r, q = x * x - y * y, 2 * x * y
    d = half * np.array([xx * r - xy * q, xy * r + xx * q])
    h = half * np.array([-xy * r + yy * q, -yy * r - xy * q])
    areas = []
    for vector, scalar in ((d, twice * e * (xx * x - xy * y)), (h, twice * e * (yy * y - xy * x))):
        _, du = values(solve(stiff, load(g * vector, scalar), [0]))
        flow = du - vector
        areas.append((twice * determinant) ** 2 / (weight * g * (flow[0] ** 2 + flow[1] ** 2)).sum())
    # The ring is meshed to 1e-8 of its area.
    if not -1e-7 * upper <= upper - lower < apart * upper:
        raise SystemExit(f"bounds {lower} and {upper} do not agree")
    return [0.5 * (lower + upper), warping, cx + sx, cy + sy, *areas]


def edges(basis, holes):
    """The unknowns along the outer edge, and for each rectangular hole those at its corners, all and its area."""
    places = basis.mesh.p
    facets = basis.mesh.boundary_facets()
    middle = places[:, basis.mesh.facets[:, facets]].mean(axis=1)
    outer = np.ones(len(facets), bool)
    along = []
    for left, low, right, high in holes:
        own = (left <= middle[0]) & (middle[0] <= right) & (low <= middle[1]) & (middle[1] <= high)
        outer &= ~own
        unknowns = basis.get_dofs(facets[own])
        along.append((unknowns.nodal["u"], unknowns.all(), (right - left) * (high - low)))
    return basis.get_dofs(facets[outer]).all(), along


def grid(rectangles):
    return Basis(of_rectangles(rectangles), ElementQuadP(4), intorder=10)


def on_grid(rectangles, holes):
    basis = grid(rectangles)
    stiffness = BilinearForm(lambda u, v, w: dot(grad(u), grad(v))).assemble(basis)
    return constants(basis, stiffness, stiffness, *edges(basis, holes))


def on_ring(outer, inner, aside):
    mesh, place = of_ring(outer, inner, aside)
    # The strip from 0 to 1 is closed to a ring: its two ends are one.
    mapped = MeshQuad2(place(mesh.doflocs), mesh.t)
    basis = Basis(mapped, ElementQuadP(4), intorder=12)
    flat = Basis(mesh, ElementQuadP(4), intorder=12)
    stiffness = BilinearForm(lambda u, v, w: dot(grad(u), grad(v))).assemble(basis)
    left = flat.get_dofs(lambda p: np.isclose(p[0], 0.0)).all()
    right = flat.get_dofs(lambda p: np.isclose(p[0], 1.0)).all()
    rim = flat.get_dofs(lambda p: np.isclose(p[1], 0.0)).all()
    edge = flat.get_dofs(lambda p: np.isclose(p[1], 1.0))
    return closed(basis, stiffness, flat, left, right, rim, edge, np.pi * inner * inner)


def closed(basis, stiffness, flat, left, right, rim, edge, hole):
    """As `constants`, with the unknowns at the right end of a strip made those of the left end."""
    key = lambda unknowns: sorted(unknowns, key=lambda k: (round(flat.doflocs[1, k], 9), k))
    pairs = dict(zip(key(right), key(left)))
    column = np.array([pairs.get(k, k) for k in range(stiffness.shape[0])])
    names, renumbered = np.unique(column, return_inverse=True)
    joined = sparse.csr_matrix((np.ones(len(column)), (np.arange(len(column)), renumbered)))

    class Joined:
        """A basis whose unknowns are those of the closed ring."""

        dx = basis.dx
        global_coordinates = staticmethod(basis.global_coordinates)

        @staticmethod
        def interpolate(u):
            return basis.interpolate(joined @ u)

    original = LinearForm.assemble

    def assemble(form, target, **rest):
        return joined.T @ original(form, basis, **rest) if target is Joined else original(form, target, **rest)

    LinearForm.assemble = assemble
    try:
        new = lambda unknowns: np.unique(renumbered[unknowns])
        matrix = joined.T @ stiffness @ joined
        return constants(Joined, matrix, matrix, new(rim), [(new(edge.nodal["u"]), new(edge.all()), hole)])
    finally:
        LinearForm.assemble = original


def rows():
    for name, (rectangles, holes) in SECTIONS.items():
        yield [name, *on_grid(rectangles, holes)]
    name, *ring = RING
    yield [name, *on_ring(*ring)]


def write_or_check(table, found):
    """Writes rows to a table, or compares them with it."""
    if "--check" in sys.argv:
        with table.open() as file:
            stored = list(csv.reader(file))[1:]
        for new, old in zip(found, stored, strict=True):
            for value, text in zip(new[1:], old[1:]):
                if new[0] != old[0] or abs(value - float(text)) > 1e-6 * max(abs(value), 1.0):
                    raise SystemExit(f"{new[0]}: {value}, not {text}")
        return
    with table.open("w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        for row in found:
            writer.writerow([row[0], *(f"{value:.9g}" for value in row[1:])])


if __name__ == "__main__":
    write_or_check(TABLE, list(rows()))
