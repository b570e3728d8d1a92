"""Section properties of rings of lines, arcs, elliptical arcs and polynomial pieces, in 40-digit arithmetic.

Shares nothing with the program: every integral is taken along the boundary by 24-point Gauss-Legendre panels in mpmath
(exact for lines and polynomial pieces; below 1e-25 relative for arcs of at most 45 degrees a panel), extremes by the
stationary points of each piece, equal-area axes by bisection and secant steps on the exact area below a line.
A ring is a list of pieces as in tests/fixture_drawings/writer.py.
"""

from mpmath import mp, mpf

mp.dps = 40


def legendre(n):
    """Nodes and weights of n-point Gauss-Legendre quadrature on (0, 1)."""
    nodes = []
    for i in range(n):
        x = mp.cos(mp.pi * (i + mpf(3) / 4) / (n + mpf(1) / 2))
        for _ in range(60):
            p, q = mpf(1), x
            for k in range(2, n + 1):
                p, q = q, ((2 * k - 1) * x * q - (k - 1) * p) / k
            slope = n * (x * q - p) / (x * x - 1)
            step = q / slope
            x -= step
            if abs(step) < mpf(10) ** -38:
                break
        nodes.append(((1 + x) / 2, 1 / ((1 - x * x) * slope * slope)))
    return nodes


NODES = legendre(24)


class Piece:
    """A piece of boundary with parameter t from 0 to 1, in a frame turned by an angle."""

    def __init__(self, piece, cosine=mpf(1), sine=mpf(0)):
        self.kind = piece[0]

        def turn(p):
            x, y = mpf(p[0]), mpf(p[1])
            return (cosine * x + sine * y, cosine * y - sine * x)

        if self.kind == "line":
            self.p, self.q = turn(piece[1]), turn(piece[2])
            self.panels = 1
        elif self.kind in ("arc", "ellipse"):
            self.c = turn(piece[1])
            if self.kind == "arc":
                r = mpf(piece[2])
                self.u, self.v = turn((r, 0)), turn((0, r))
            else:
                self.u, self.v = turn(piece[2]), turn(piece[3])
            self.a, self.sweep = mpf(piece[-2]), mpf(piece[-1])
            # A sweep typed as the double nearest to a whole turn means the whole turn.
            if abs(abs(self.sweep) - 2 * mp.pi) < mpf(10) ** -12:
                self.sweep = mp.sign(self.sweep) * 2 * mp.pi
            self.panels = max(1, int(mp.ceil(abs(self.sweep) / (mp.pi / 4))))
        else:
            n = max(len(piece[1]), len(piece[2]))
            xs, ys = (list(map(mpf, c)) + [mpf(0)] * (n - len(c)) for c in piece[1:3])
            both = [turn(p) for p in zip(xs, ys)]
            self.X, self.Y = [b[0] for b in both], [b[1] for b in both]
            self.panels = 1

    def at(self, t):
        if self.kind == "line":
            return tuple(a + (b - a) * t for a, b in zip(self.p, self.q))
        if self.kind == "poly":
            return (mp.polyval(self.X[::-1], t), mp.polyval(self.Y[::-1], t))
        c, s = mp.cos_sin(self.a + self.sweep * t)
        return tuple(self.c[k] + self.u[k] * c + self.v[k] * s for k in (0, 1))

    def slope(self, t):
        if self.kind == "line":
            return tuple(b - a for a, b in zip(self.p, self.q))
        if self.kind == "poly":
            return tuple(mp.polyval([k * c for k, c in enumerate(C)][:0:-1], t) for C in (self.X, self.Y))
        c, s = mp.cos_sin(self.a + self.sweep * t)
        return tuple(self.sweep * (self.v[k] * c - self.u[k] * s) for k in (0, 1))

    def where(self, axis, value):
        """Parameters in (0, 1) at which the coordinate equals the value."""
        if self.kind == "line":
            d = self.q[axis] - self.p[axis]
            found = [] if d == 0 else [(value - self.p[axis]) / d]
        elif self.kind == "poly":
            C = list((self.X, self.Y)[axis])
            C[0] -= value
            found = real_roots(C)
        else:
            found = self.angles(axis, value - self.c[axis])
        return sorted(t for t in found if 0 < t < 1)

    def angles(self, axis, value):
        """Parameters where u cos + v sin of one axis equals the value."""
        amplitude = mp.hypot(self.u[axis], self.v[axis])
        if amplitude == 0 or abs(value) > amplitude:
            return []
        phase, off = mp.atan2(self.v[axis], self.u[axis]), mp.acos(value / amplitude)
        return self.parameters([phase + off, phase - off])

    def parameters(self, angles):
        out = []
        for angle in angles:
            for k in range(-3, 4):
                out.append((angle + 2 * k * mp.pi - self.a) / self.sweep)
        return out

    def stationary(self, axis):
        """Parameters in (0, 1) where the coordinate has an extreme."""
        if self.kind == "line":
            found = []
        elif self.kind == "poly":
            found = real_roots([k * c for k, c in enumerate((self.X, self.Y)[axis])][1:])
        else:
            phase = mp.atan2(self.v[axis], self.u[axis])
            found = self.parameters([phase, phase + mp.pi])
        return [t for t in found if 0 < t < 1]

    def length(self):
        if self.kind == "line":
            return mp.hypot(self.q[0] - self.p[0], self.q[1] - self.p[1])
        if self.kind == "arc":
            return mp.hypot(*self.u) * abs(self.sweep)
        # The speed of an ellipse or a polynomial is not a polynomial: adaptive quadrature.
        cuts = [mpf(i) / 8 for i in range(9)]
        return mp.quad(lambda t: mp.hypot(*self.slope(t)), cuts)

    def integrate(self, f, cuts=()):
        """The integral of f(x, y, dx/dt, dy/dt) over t, with panels that end at the cuts."""
        ends = sorted({mpf(i) / self.panels for i in range(self.panels + 1)} | set(cuts))
        total = mpf(0)
        for a, b in zip(ends, ends[1:]):
            for node, weight in NODES:
                t = a + (b - a) * node
                total += (b - a) * weight * f(*self.at(t), *self.slope(t))
        return total


def real_roots(coefficients):
    """Where a polynomial, constant term first, changes sign between 0 and 1: bisection between its own extremes."""
    if len(coefficients) < 2:
        return []
    extremes = real_roots([k * c for k, c in enumerate(coefficients)][1:])
    f = lambda t: mp.polyval(coefficients[::-1], t)  # noqa: E731
    found = []
    ends = [mpf(0)] + extremes + [mpf(1)]
    for lo, hi in zip(ends, ends[1:]):
        low = f(lo)
        if low * f(hi) >= 0:
            continue
        for _ in range(135):
            middle = (lo + hi) / 2
            if low * f(middle) > 0:
                lo = middle
            else:
                hi = middle
        found.append((lo + hi) / 2)
    return found


class Region:
    """Solid rings without void rings, in a frame turned by an angle (axis x of the frame points along the angle)."""

    def __init__(self, solid, void=(), angle=mpf(0)):
        self.solid, self.void = solid, void
        c, s = mp.cos_sin(angle)
        self.pieces = []  # (sign, piece): solid rings count anticlockwise, void rings clockwise
        for group, sign in ((solid, 1), (void, -1)):
            for r in group:
                pieces = [Piece(p, c, s) for p in r]
                ox, oy = pieces[0].at(mpf(0))
                area = sum(p.integrate(lambda x, y, dx, dy: (x - ox) * dy - (y - oy) * dx) for p in pieces)
                self.pieces += [(sign if area > 0 else -sign, p) for p in pieces]

    def sum(self, f):
        return sum((sign * p.integrate(f) for sign, p in self.pieces), mpf(0))

    def extent(self, axis):
        values = []
        for _, p in self.pieces:
            values += [p.at(t)[axis] for t in [mpf(0), mpf(1)] + p.stationary(axis)]
        return min(values), max(values)

    def below(self, axis, c):
        """Area below the line coordinate = c, and its first moment about that line (not positive)."""
        area, first = mpf(0), mpf(0)
        for sign, p in self.pieces:
            ends = [mpf(0)] + p.where(axis, c) + [mpf(1)]
            for a, b in zip(ends, ends[1:]):
                if p.at((a + b) / 2)[axis] >= c:
                    continue
                n = max(1, int(mp.ceil((b - a) * p.panels)))
                for k in range(n):
                    lo, hi = a + (b - a) * k / n, a + (b - a) * (k + 1) / n
                    for node, weight in NODES:
                        t = lo + (hi - lo) * node
                        h = p.at(t)[axis] - c
                        along = p.slope(t)[1 - axis] * (hi - lo) * weight * sign
                        area += h * along
                        first += h * h / 2 * along
        # Along +x the region lies to the left for axis y (sign −), along +y to the left for axis x (sign +).
        return (-area, -first) if axis == 1 else (area, first)

    def plastic(self, axis, area, centroid):
        """Equal-area position and plastic modulus for lines at right angles to the axis of the frame."""
        half = area / 2
        levels = sorted({p.at(t)[axis] for _, p in self.pieces for t in [mpf(0), mpf(1)] + p.stationary(axis)})
        sums = [self.below(axis, c)[0] for c in levels]
        tiny = area * mpf(10) ** -20
        flat = [c for c, s in zip(levels, sums) if abs(s - half) <= tiny]
        if flat:
            position = (flat[0] + flat[-1]) / 2
        else:
            k = max(i for i, s in enumerate(sums) if s < half)
            lo, hi, f_lo, f_hi = levels[k], levels[k + 1], sums[k] - half, sums[k + 1] - half
            position = lo
            side = 0
            for _ in range(120):
                # False position, halving the value kept at an end that stays (Illinois).
                position = (lo * f_hi - hi * f_lo) / (f_hi - f_lo)
                value = self.below(axis, position)[0] - half
                if abs(value) < area * mpf(10) ** -28 or hi - lo < mpf(10) ** -30 * (1 + abs(hi)):
                    break
                if value < 0:
                    lo, f_lo = position, value
                    if side == -1:
                        f_hi /= 2
                    side = -1
                else:
                    hi, f_hi = position, value
                    if side == 1:
                        f_lo /= 2
                    side = 1
        return position, area * (centroid - position) - 2 * self.below(axis, position)[1]


def properties(solid, void=()):
    """Every dimensional column of shared/schedule-columns.csv, by key."""
    r = Region(solid, void)
    # The doubles of a ring close to about 1e-16 of the coordinates only: a local origin keeps that out of the moments.
    ox, oy = r.pieces[0][1].at(mpf(0))
    area = r.sum(lambda x, y, dx, dy: ((x - ox) * dy - (y - oy) * dx) / 2)
    cx = ox + r.sum(lambda x, y, dx, dy: (x - ox) ** 2 * dy / 2) / area
    cy = oy + r.sum(lambda x, y, dx, dy: -((y - oy) ** 2) * dx / 2) / area
    ix = r.sum(lambda x, y, dx, dy: -((y - cy) ** 3) * dx / 3)
    iy = r.sum(lambda x, y, dx, dy: (x - cx) ** 3 * dy / 3)
    ixy = r.sum(lambda x, y, dx, dy: (x - cx) ** 2 * (y - cy) * dy / 2)
    x0, x1 = r.extent(0)
    y0, y1 = r.extent(1)
    mean, half = (ix + iy) / 2, mp.hypot((ix - iy) / 2, ixy)
    i1, i2 = mean + half, (ix * iy - ixy * ixy) / (mean + half)
    angle = mpf(0) if i1 - i2 <= mpf(10) ** -9 * i1 else mp.atan2(-2 * ixy, ix - iy) / 2
    if abs(ixy) <= mpf(10) ** -13 * i1 and angle != 0:
        angle = mpf(0) if ix > iy else mp.pi / 2
    page = Region(solid, void, angle)
    c1, c2 = mp.cos(angle) * cx + mp.sin(angle) * cy, mp.cos(angle) * cy - mp.sin(angle) * cx
    (u0, u1), (v0, v1) = page.extent(0), page.extent(1)
    axis_y, zx = r.plastic(1, area, cy)
    axis_x, zy = r.plastic(0, area, cx)
    _, z1 = page.plastic(1, area, c2)
    _, z2 = page.plastic(0, area, c1)
    return {
        "area": area, "perimeter": sum(p.length() for _, p in r.pieces),
        "x_min": x0, "x_max": x1, "y_min": y0, "y_max": y1, "centroid_x": cx, "centroid_y": cy,
        "second_moment_x": ix, "second_moment_y": iy, "product_moment_xy": ixy,
        "second_moment_1": i1, "second_moment_2": i2, "principal_angle": mp.degrees(angle),
        "gyration_x": mp.sqrt(ix / area), "gyration_y": mp.sqrt(iy / area),
        "gyration_1": mp.sqrt(i1 / area), "gyration_2": mp.sqrt(i2 / area),
        "elastic_modulus_x_top": ix / (y1 - cy), "elastic_modulus_x_bottom": ix / (cy - y0),
        "elastic_modulus_y_left": iy / (cx - x0), "elastic_modulus_y_right": iy / (x1 - cx),
        "elastic_modulus_1_top": i1 / (v1 - c2), "elastic_modulus_1_bottom": i1 / (c2 - v0),
        "elastic_modulus_2_left": i2 / (c1 - u0), "elastic_modulus_2_right": i2 / (u1 - c1),
        "plastic_modulus_x": zx, "plastic_modulus_y": zy, "plastic_modulus_1": z1, "plastic_modulus_2": z2,
        "plastic_axis_y": axis_y, "plastic_axis_x": axis_x,
    }
