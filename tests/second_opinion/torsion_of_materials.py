"""Torsion, warping and shear constants of sections of several materials, by scikit-fem.

    pip install -r tests/second_opinion/requirements.txt
    python3 tests/second_opinion/torsion_of_materials.py            writes torsion_of_materials.csv
    python3 tests/second_opinion/torsion_of_materials.py --check    compares it

As torsion.py, with an elastic and a shear modulus for each rectangle, over those of the reference material, and without lateral
contraction (Poisson ratio 0). In the fourth degree, on a grid that grows finer towards every corner in which materials meet.
"""

from pathlib import Path

import numpy as np
from skfem import BilinearForm
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
    basis = torsion.grid([r for r, _ in rectangles])
    x, y = (np.asarray(c) for c in basis.global_coordinates())
    e, g = np.zeros_like(x), np.zeros_like(x)
    for (left, low, right, high), moduli in rectangles:
        inside = (left < x) & (x < right) & (low < y) & (y < high)
        e[inside], g[inside] = moduli
    stiff = BilinearForm(lambda u, v, w: g * dot(grad(u), grad(v))).assemble(basis)
    soft = BilinearForm(lambda u, v, w: dot(grad(u), grad(v)) / g).assemble(basis)
    return torsion.constants(basis, stiff, soft, *torsion.edges(basis, holes), e, g, poisson=0.0, apart=2e-5)


if __name__ == "__main__":
    torsion.write_or_check(TABLE, [[name, *constants(*section)] for name, section in SECTIONS.items()])
