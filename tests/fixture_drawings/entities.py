"""The kinds of entity: old polylines, splines, ellipses, solids, blocks, mirrored planes."""

import math

from . import cos, fixture, rings, sat, sin
from .writer import QUARTER, circle, ellipse, mirrored, moved, rectangle, ring, rounded, scaled, slot, turned


@fixture("r12-polyline.dxf", "old POLYLINE/VERTEX/SEQEND outlines with bulges", version="AC1009", units=None, measurement=None)
def r12_polyline(sheet, d):
    plate = [(25.0, 10.0, 0.0), (145.0, 10.0, 0.6), (145.0, 60.0, 0.0), (85.0, 96.0, -0.3), (25.0, 96.0, 0.0)]
    hole = [(60.0, 40.0, 1.0), (84.0, 40.0, 1.0)]
    d.polyline("BRACKET", plate)
    d.polyline("BRACKET", hole)
    sheet.shows("BRACKET", rings(plate), rings(hole))


@fixture("r12-curve-fit.dxf", "POLYLINE smoothed by curve fitting: the added vertices are part of the outline", version="AC1009", units=None, measurement=None)
def r12_curve_fit(sheet, d):
    # An oval of arcs; every second vertex was added by the fitting.
    oval, flags = [], []
    for i in range(8):
        r = 60.0 if i % 2 == 0 else 44.0
        oval.append((90.0 + 1.3 * r * cos(45.0 * i), 70.0 + 0.8 * r * sin(45.0 * i), 0.12 if i % 2 else 0.15))
        flags.append(1 if i % 2 else 0)
    d.polyline("COVER", oval, flags=3, vertex_flags=flags)
    sheet.shows("COVER", rings(oval))


@fixture("r12-spline-fit.dxf", "POLYLINE smoothed to a spline: the frame of control points is not part of the outline", version="AC1009", units=None, measurement=None)
def r12_spline_fit(sheet, d):
    frame = [(30.0, 40.0), (150.0, 20.0), (170.0, 110.0), (95.0, 90.0), (40.0, 150.0)]
    fine = []
    for X, Y in uniform_cubic(frame):
        for k in range(8):
            fine.append((horner(X, k / 8.0), horner(Y, k / 8.0)))
    flags = [16] * len(frame) + [8] * len(fine)
    d.polyline("COVER", frame + fine, flags=5, vertex_flags=flags, smooth=6)
    sheet.shows("COVER", rings(fine))


@fixture("polyline-3d.dxf", "closed 3D polyline that lies in a level plane (z = 25)")
def polyline_3d(sheet, d):
    plate = turned([(12.0, 7.0), (132.0, 7.0), (118.0, 66.0), (60.0, 81.0), (12.0, 66.0)], 8.0)
    d.polyline("COVER", plate, flags=9, z=25.0)
    sheet.shows("COVER", rings(plate))


@fixture("tilted-plane.dxf", "a tilted circle, polyline and 3D polyline, measured as seen from above; a line straight up is left out")
def tilted_plane(sheet, d):
    # Their areas are worked out by hand in tests/fixtures.rs.
    d.circle("FLANGE", 40.0, -25.0, 35.0, extrusion=(2.0 / 7.0, 3.0 / 7.0, 6.0 / 7.0), z=14.0)
    flap = [(10.0, 5.0), (50.0, 5.0, 1.0), (50.0, 35.0), (10.0, 35.0)]
    d.lwpolyline("FLAP", flap, extrusion=(0.6, 0.0, 0.8))
    d.polyline("CHUTE", [(20.0, 10.0), (140.0, 25.0), (125.0, 95.0), (35.0, 80.0)], flags=9, heights=[0.0, 30.0, 62.0, 25.0])
    d.line("CHUTE", (20.0, 10.0, 0.0), (20.0, 10.0, 40.0))


def uniform_cubic(control):
    """The spans of the closed uniform cubic B-spline: coefficients of x(t), y(t) for each."""
    spans, n = [], len(control)
    for i in range(n):
        span = []
        for axis in (0, 1):
            p = [control[(i + k) % n][axis] for k in range(4)]
            span.append([
                (p[0] + 4.0 * p[1] + p[2]) / 6.0, (p[2] - p[0]) / 2.0,
                (p[0] - 2.0 * p[1] + p[2]) / 2.0, (p[3] - p[0] + 3.0 * (p[1] - p[2])) / 6.0,
            ])
        spans.append(span)
    return spans


def horner(coefficients, t):
    value = 0.0
    for c in reversed(coefficients):
        value = value * t + c
    return value


@fixture("spline-circle.dxf", "closed rational splines that are exact circles: a ring for a shaft seal")
def spline_circle(sheet, d):
    for x, y, r in ((85.0, -40.0, 60.0), (92.0, -34.0, 22.5)):
        corners = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
        control = [(x + r * a, y + r * b) for a, b in corners]
        weights = [1.0 if i % 2 == 0 else math.sqrt(0.5) for i in range(9)]
        d.spline("SEAL", 2, [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4], control, weights, flags=13)
    sheet.shows("SEAL", [circle(85.0, -40.0, 60.0)], [circle(92.0, -34.0, 22.5)])


@fixture("spline-periodic.dxf", "periodic cubic spline, control points wrapped and knots unclamped")
def spline_periodic(sheet, d):
    control = [(40.0, 30.0), (130.0, 10.0), (190.0, 60.0), (150.0, 120.0), (95.0, 85.0), (60.0, 130.0), (15.0, 90.0)]
    wrapped = control + control[:3]
    d.spline("CAM", 3, list(range(-3, 11)), wrapped, flags=11)
    sheet.shows("CAM", [[("poly", X, Y) for X, Y in uniform_cubic(control)]])


@fixture("spline-fit-points.dxf", "closed spline given by fit points alone (36 points of a circle of radius 48): the curve between them is the reader's choice")
def spline_fit_points(sheet, d):
    fit = [(70.0 + 48.0 * cos(10.0 * i), 35.0 + 48.0 * sin(10.0 * i)) for i in range(36)]
    d.spline("CAM", 3, [], [], flags=1025 | 8, fit=fit + fit[:1])


@fixture("solid-trace.dxf", "SOLID with four and with three corners, and TRACE: filled areas, whose last corners are crossed")
def solid_trace(sheet, d):
    shim, wedge, strip = [(12.0, 9.0), (95.0, 20.0), (88.0, 61.0), (20.0, 55.0)], [(120.0, 10.0), (180.0, 22.0), (131.0, 70.0)], [(210.0, 10.0), (290.0, 14.0), (289.0, 26.0), (209.0, 22.0)]
    d.solid("SHIM", [shim[0], shim[1], shim[3], shim[2]])
    d.solid("WEDGE", wedge + wedge[-1:])
    d.solid("STRIP", [strip[0], strip[1], strip[3], strip[2]], kind="TRACE")
    sheet.shows("SHIM", rings(shim))
    sheet.shows("WEDGE", rings(wedge))
    sheet.shows("STRIP", rings(strip))


PLATE = [(0.0, 0.0, 0.0), (110.0, 0.0, 0.0), (110.0, 46.0, QUARTER), (86.0, 70.0, 0.0), (0.0, 52.0, 0.0)]
HOLE = (31.0, 24.0, 10.0)


def plate_block(d, name="PLATE", layer="PLATE", base=(0.0, 0.0)):
    d.block(name, base)
    d.lwpolyline(layer, PLATE)
    d.circle(layer, *HOLE)
    d.model()


@fixture("block-nested.dxf", "a block in a block, each turned and scaled; base points off the origin")
def block_nested(sheet, d):
    d.block("HOLE", (5.0, 3.0))
    d.lwpolyline("PLATE", [(0.0, 3.0, 1.0), (10.0, 3.0, 1.0)])
    d.model()
    d.block("PLATE", (20.0, 10.0))
    d.lwpolyline("PLATE", PLATE)
    d.insert("PLATE", "HOLE", (40.0, 28.0), (1.8, 1.8), 30.0)
    d.model()
    d.insert("PLATE", "PLATE", (300.0, 150.0), (1.5, 1.5), -37.0)
    outline = moved(turned(scaled(moved(PLATE, -20.0, -10.0), 1.5), -37.0), 300.0, 150.0)
    hole = moved(turned(scaled([(20.0, 18.0)], 1.5), -37.0), 300.0, 150.0)[0]
    sheet.shows("PLATE", rings(outline), [circle(hole[0], hole[1], 5.0 * 1.8 * 1.5)])


@fixture("block-mirrored.dxf", "an insert mirrored (x scale −1) and turned: arcs turn the other way")
def block_mirrored(sheet, d):
    plate_block(d)
    d.insert("PLATE", "PLATE", (-60.0, 40.0), (-1.0, 1.0), 25.0)
    hole = moved(turned([(-HOLE[0], HOLE[1])], 25.0), -60.0, 40.0)[0]
    sheet.shows("PLATE", rings(moved(turned(mirrored(PLATE), 25.0), -60.0, 40.0)), [circle(hole[0], hole[1], HOLE[2])])


@fixture("block-unequal-scale.dxf", "an insert scaled unequally: arcs and circles become elliptical arcs")
def block_unequal_scale(sheet, d):
    plate_block(d)
    d.insert("PLATE", "PLATE", (15.0, 90.0), (1.25, 0.7), 20.0)

    def place(x, y, shift=True):
        return turned([(1.25 * x, 0.7 * y)], 20.0)[0] if not shift else moved(turned([(1.25 * x, 0.7 * y)], 20.0), 15.0, 90.0)[0]

    outline = []
    for piece in ring(PLATE):
        if piece[0] == "line":
            outline.append(("line", place(*piece[1]), place(*piece[2])))
        else:
            _, c, r, a, sweep = piece
            outline.append(("ellipse", place(*c), place(r, 0.0, False), place(0.0, r, False), a, sweep))
    hole = ("ellipse", place(*HOLE[:2]), place(HOLE[2], 0.0, False), place(0.0, HOLE[2], False), 0.0, 2.0 * math.pi)
    sheet.shows("PLATE", [outline], [[hole]])


@fixture("block-array.dxf", "an insert as an array of three columns and two rows, turned: the spacing turns with it")
def block_array(sheet, d):
    d.block("HOLE")
    d.circle("GRATING", 0.0, 0.0, 8.0)
    d.model()
    plate = turned(rectangle(0.0, 0.0, 130.0, 75.0), 18.0)
    plate = moved(plate, 40.0, -15.0)
    d.lwpolyline("GRATING", plate)
    first = moved(turned([(25.0, 20.0)], 18.0), 40.0, -15.0)[0]
    d.insert("GRATING", "HOLE", first, (1.0, 1.0), 18.0, columns=3, rows=2, spacing=(40.0, 32.0))
    holes = [moved(turned([(25.0 + 40.0 * i, 20.0 + 32.0 * j)], 18.0), 40.0, -15.0)[0] for i in range(3) for j in range(2)]
    sheet.shows("GRATING", rings(plate), [circle(x, y, 8.0) for x, y in holes])


@fixture("block-layer-zero.dxf", "entities on layer 0 of a block take the layer of the insert, the others keep their own")
def block_layer_zero(sheet, d):
    d.block("CORNER")
    d.lwpolyline("0", rectangle(0.0, 0.0, 60.0, 35.0))
    d.lwpolyline("RIB", rectangle(80.0, 0.0, 9.0, 35.0))
    d.model()
    d.insert("SHELF", "CORNER", (50.0, 12.0), (1.0, 1.0), 40.0)
    sheet.shows("SHELF", rings(moved(turned(rectangle(0.0, 0.0, 60.0, 35.0), 40.0), 50.0, 12.0)))
    sheet.shows("RIB", rings(moved(turned(rectangle(80.0, 0.0, 9.0, 35.0), 40.0), 50.0, 12.0)))


@fixture("mirrored-plane.dxf", "extrusion (0, 0, −1): x is mirrored for polylines, circles and arcs, not for lines")
def mirrored_plane(sheet, d):
    down = (0.0, 0.0, -1.0)
    plate = moved(PLATE, 30.0, 15.0)
    d.lwpolyline("CLOSED", mirrored(plate), extrusion=down)
    d.circle("CLOSED", -(30.0 + HOLE[0]), 15.0 + HOLE[1], HOLE[2], extrusion=down)
    sheet.shows("CLOSED", rings(plate), [circle(30.0 + HOLE[0], 15.0 + HOLE[1], HOLE[2])])
    lug = ring(moved(PLATE, 220.0, 15.0))
    for piece in lug:
        if piece[0] == "line":
            d.line("LOOSE", piece[1], piece[2])
        else:
            # Seen from below, the angle a becomes 180° − a, and the arc runs from its end to its beginning.
            _, c, r, a, sweep = piece
            begin, end = math.degrees(a), math.degrees(a + sweep)
            d.arc("LOOSE", (-c[0], c[1]), r, (180.0 - end) % 360.0, (180.0 - begin) % 360.0, extrusion=down)
    sheet.shows("LOOSE", [lug])


@fixture("arcs-past-zero.dxf", "arcs whose angles pass 0°, and a full circle drawn as two arcs")
def arcs_past_zero(sheet, d):
    # A segment: arc from 320° to 25° closed by its chord.
    centre, r, begin, end = (60.0, 45.0), 70.0, 320.0, 25.0
    p = (centre[0] + r * cos(begin), centre[1] + r * sin(begin))
    q = (centre[0] + r * cos(end), centre[1] + r * sin(end))
    d.arc("SEGMENT", centre, r, begin, end)
    d.line("SEGMENT", p, q)
    sheet.shows("SEGMENT", [[("arc", centre, r, math.radians(-40.0), math.radians(65.0)), ("line", q, p)]])
    d.arc("WASHER", (200.0, 45.0), 33.0, 350.0, 10.0)
    d.arc("WASHER", (200.0, 45.0), 33.0, 10.0, 350.0)
    d.circle("WASHER", 205.0, 41.0, 14.0)
    sheet.shows("WASHER", [circle(200.0, 45.0, 33.0)], [circle(205.0, 41.0, 14.0)])


@fixture("region.dxf", "a region turned by its own transform, a flat body in a mirrored block, and a curved body, which is left out", version="AC1015")
def region(sheet, d):
    # Their areas are worked out by hand in tests/fixtures.rs.
    holes = [circle(55.0, 60.0, 14.0), ring(slot(120.0, 60.0, 50.0, 22.0)), [ellipse((90.0, 30.0), (10.0, 4.0), 0.5)]]
    plate = sat.body([[ring(rounded(20.0, 15.0, 150.0, 90.0, 12.0))] + holes], turn=30.0, move=(40.0, -25.0))
    d.modelled("REGION", "PLATE", map(sat.hidden, plate))
    d.block("LUGS")
    lugs = [[ring([(210.0, 20.0), (250.0, 20.0), (250.0, 38.0), (210.0, 38.0)])], [ring([(210.0, 50.0), (246.0, 50.0), (222.0, 71.0)])]]
    d.modelled("BODY", "LUGS", map(sat.hidden, sat.body(lugs)))
    d.model()
    d.insert("LUGS", "LUGS", (500.0, 0.0), scale=(-1.0, 1.0))
    drum = sat.body([[circle(300.0, 40.0, 25.0)]], surface="cone-surface $-1 300 40 0 0 0 1 25 0 0 1 I I 0 1 25 forward I I I I")
    d.modelled("BODY", "PLATE", map(sat.hidden, drum))
