"""Filled areas and parallel lines: HATCH, MPOLYGON, MLINE, 3DFACE."""

import math

from . import fixture, rings
from .entities import HOLE, PLATE
from .writer import (
    QUARTER, arc_edge, circle, ellipse, ellipse_edge, line_edge, mirrored, mitres, moved, point, rectangle, ring, rounded, scaled, slot,
    spline_edge, turned,
)

# Flags of a hatch's path.
EXTERNAL, POLYLINE, TEXT_BOX, OUTERMOST = 1, 2, 8, 16


@fixture("hatch-polylines.dxf", "a hatch bounded by polylines with bulges, above the drawing plane: a cover plate with a slot, and no other outline")
def hatch_polylines(sheet, d):
    plate, opening = turned(rounded(20.0, -35.0, 140.0, 84.0, 17.0), 13.0), turned(slot(71.0, 5.0, 52.0, 18.0), 13.0)
    # The second loop runs clockwise.
    back = [(x, y, -b) for (x, y, _), (_, _, b) in zip(opening[::-1], opening[-2::-1] + opening[-1:])]
    d.hatch("COVER", [(EXTERNAL | POLYLINE, plate), (OUTERMOST | POLYLINE, back)], style=1, z=12.0, seeds=((40.0, 10.0), (90.0, 30.0)))
    sheet.shows("COVER", rings(plate), rings(opening))


@fixture("hatch-edges.dxf", "hatches bounded by lines, arcs, ellipse arcs and splines, anticlockwise and clockwise")
def hatch_edges(sheet, d):
    # A lug: a round nose, a notch that the outline runs round clockwise, and a full circle for the hole.
    nose, notch = ((120.0, 40.0), 30.0), ((50.0, 70.0), 12.0)
    edges = [
        line_edge((20.0, 10.0), (120.0, 10.0)), arc_edge(*nose, -90.0, 90.0), line_edge((120.0, 70.0), (62.0, 70.0)),
        arc_edge(*notch, 360.0, 180.0), line_edge((38.0, 70.0), (20.0, 70.0)), line_edge((20.0, 70.0), (20.0, 10.0)),
    ]
    d.hatch("LUG", [(EXTERNAL, edges), (0, [arc_edge((117.0, 38.0), 13.0, 0.0, 360.0)])])
    lug = [
        ("line", (20.0, 10.0), (120.0, 10.0)), ("arc", *nose, -0.5 * math.pi, math.pi), ("line", (120.0, 70.0), (62.0, 70.0)),
        ("arc", *notch, 0.0, -math.pi), ("line", (38.0, 70.0), (20.0, 70.0)), ("line", (20.0, 70.0), (20.0, 10.0)),
    ]
    sheet.shows("LUG", [lug], [circle(117.0, 38.0, 13.0)])
    # A hatch cover: from its lower right an ellipse arc to 30° as seen from the centre, then straight; an elliptical
    # notch is taken out of the bottom clockwise.
    c, major, ratio = (260.0, 30.0), (60.0, 25.0), 0.6
    big, small = ellipse(c, major, ratio), ellipse((248.0, 25.0), (-8.0, 12.0), 0.75)

    def at(e, t):
        return (e[1][0] + e[2][0] * math.cos(t) + e[3][0] * math.sin(t), e[1][1] + e[2][1] * math.cos(t) + e[3][1] * math.sin(t))

    def parameter(ratio, degrees):
        return math.atan2(math.sin(math.radians(degrees)) / ratio, math.cos(math.radians(degrees)))

    begin, end = parameter(ratio, -70.0), parameter(ratio, 150.0)
    first, last, corner = at(big, begin), at(big, end), (195.0, -30.0)
    edges = [ellipse_edge(c, major, ratio, -70.0, 150.0), line_edge(last, corner), line_edge(corner, first)]
    # The hole in two arcs, both clockwise.
    hole = [ellipse_edge((248.0, 25.0), (-8.0, 12.0), 0.75, 200.0, 40.0), ellipse_edge((248.0, 25.0), (-8.0, 12.0), 0.75, 40.0, -160.0)]
    d.hatch("COVER", [(EXTERNAL, edges), (0, hole)])
    sheet.shows("COVER", [[("ellipse", c, big[2], big[3], begin, end - begin), ("line", last, corner), ("line", corner, first)]], [[small]])
    # A cam: a quarter circle as a rational spline, a cubic, and two lines.
    control = [(420.0, 80.0), (385.0, 110.0), (371.0, 60.0), (350.0, 50.0)]
    edges = [
        line_edge((350.0, 10.0), (450.0, 10.0)), line_edge((450.0, 10.0), (450.0, 50.0)),
        spline_edge(2, [0, 0, 0, 1, 1, 1], [(450.0, 50.0), (450.0, 80.0), (420.0, 80.0)], [1.0, math.sqrt(0.5), 1.0]),
        spline_edge(3, [0, 0, 0, 0, 2, 2, 2, 2], control), line_edge((350.0, 50.0), (350.0, 10.0)),
    ]
    d.hatch("CAM", [(EXTERNAL, edges)])
    cubic = [[p[0], 3.0 * (q[0] - p[0]), 3.0 * (p[0] - 2.0 * q[0] + r[0]), s[0] - 3.0 * r[0] + 3.0 * q[0] - p[0]]
             for p, q, r, s in [[[v[axis]] for v in control] for axis in (0, 1)]]
    cam = [
        ("line", (350.0, 10.0), (450.0, 10.0)), ("line", (450.0, 10.0), (450.0, 50.0)), ("arc", (420.0, 50.0), 30.0, 0.0, 0.5 * math.pi),
        ("poly", cubic[0], cubic[1]), ("line", (350.0, 50.0), (350.0, 10.0)),
    ]
    sheet.shows("CAM", [cam])


@fixture("hatch-styles.dxf", "the three styles of islands, and a box around a text, which takes no material away")
def hatch_styles(sheet, d):
    for i, (layer, style) in enumerate((("NESTED", 0), ("OUTERMOST", 1), ("ENTIRE", 2))):
        x = 10.0 + 170.0 * i
        plate, window, pad = rectangle(x, 5.0, 150.0, 90.0), rectangle(x + 12.0, 14.0, 110.0, 70.0), rectangle(x + 30.0, 22.0, 41.0, 37.0)
        box = rectangle(x + 126.0, 60.0, 20.0, 8.0)
        paths = [(EXTERNAL | POLYLINE, plate), (OUTERMOST | POLYLINE, window), (POLYLINE, pad), (OUTERMOST | TEXT_BOX | POLYLINE, box)]
        d.hatch(layer, paths, style=style)
        if style == 0:
            sheet.shows(layer, rings(plate, pad), rings(window))
        else:
            sheet.shows(layer, rings(plate), rings(window) if style == 1 else ())


@fixture("hatch-mirrored-plane.dxf", "extrusion (0, 0, −1): the paths of a hatch are mirrored with its plane")
def hatch_mirrored_plane(sheet, d):
    plate = moved(PLATE, 30.0, 15.0)
    hole = (30.0 + HOLE[0], 15.0 + HOLE[1])
    paths = [(EXTERNAL | POLYLINE, mirrored(plate)), (0, [arc_edge((-hole[0], hole[1]), HOLE[2], 360.0, 0.0)])]
    d.hatch("PLATE", paths, extrusion=(0.0, 0.0, -1.0), z=-4.0)
    sheet.shows("PLATE", rings(plate), [circle(*hole, HOLE[2])])


@fixture("hatch-in-block.dxf", "a hatch in a block that is mirrored and scaled unequally: arcs become elliptical arcs")
def hatch_in_block(sheet, d):
    d.block("PLATE", (0.0, 0.0))
    d.hatch("0", [(EXTERNAL | POLYLINE, PLATE), (0, [arc_edge(HOLE[:2], HOLE[2], 40.0, -180.0), arc_edge(HOLE[:2], HOLE[2], 180.0, 40.0)])])
    d.model()
    d.insert("PLATE", "PLATE", (215.0, 60.0), (-1.3, 0.8), 20.0)

    def place(x, y, shift=(215.0, 60.0)):
        return moved(turned([(-1.3 * x, 0.8 * y)], 20.0), *shift)[0]

    outline = []
    for piece in ring(PLATE):
        if piece[0] == "line":
            outline.append(("line", place(*piece[1]), place(*piece[2])))
        else:
            _, c, r, a, sweep = piece
            outline.append(("ellipse", place(*c), place(r, 0.0, (0.0, 0.0)), place(0.0, r, (0.0, 0.0)), a, sweep))
    hole = ("ellipse", place(*HOLE[:2]), place(HOLE[2], 0.0, (0.0, 0.0)), place(0.0, HOLE[2], (0.0, 0.0)), 0.0, 2.0 * math.pi)
    sheet.shows("PLATE", [outline], [[hole]])


@fixture("mpolygon.dxf", "MPOLYGON: a polygon with a hole, moved by its offset; its loops are closed though no flag says so")
def mpolygon(sheet, d):
    shelf, hole = turned(rounded(5.0, 8.0, 96.0, 61.0, 11.0), -9.0), turned(slot(50.0, 34.0, 33.0, 12.0), -9.0)
    d.mpolygon("SHELF", [shelf, hole], offset=(7.0, -3.0))
    sheet.shows("SHELF", rings(moved(shelf, 7.0, -3.0)), rings(moved(hole, 7.0, -3.0)))


def beside(vertices, offset, closed=False):
    """Where a multiline's line at this offset runs."""
    return [(p[0] + m[0] * offset * k, p[1] + m[1] * offset * k) for p, _, m, k in mitres(vertices, closed)]


@fixture("mline-closed.dxf", "a closed MLINE: the wall of a box section, scaled")
def mline_closed(sheet, d):
    d.mline_style("WALL", 0, (0.5, -0.5))
    corners = [(15.0, 20.0), (160.0, 8.0), (171.0, 90.0), (40.0, 118.0)]
    d.mline("BOX", "WALL", corners, closed=True, scale=14.0)
    sheet.shows("BOX", rings(beside(corners, -7.0, True)), rings(beside(corners, 7.0, True)))


@fixture("mline-caps.dxf", "open MLINEs whose ends are closed by their style: straight, round, and round inside too")
def mline_caps(sheet, d):
    d.mline_style("BAR", 16 | 256, (6.0, 0.0, -4.0))
    d.mline_style("LINK", 64 | 1024, (9.0, -9.0))
    d.mline_style("SLEEVE", 64 | 32 | 1024 | 512, (9.0, 5.0, -5.0, -9.0))
    bar = [(10.0, 10.0), (90.0, 25.0), (120.0, 80.0)]
    d.mline("BAR", "BAR", bar)
    sheet.shows("BAR", rings(beside(bar, -4.0) + beside(bar, 6.0)[::-1]))

    def stadium(path, half):
        right, left = beside(path, -half), beside(path, half)[::-1]
        vertices = [(x, y, 0.0) for x, y in right + left]
        vertices[len(right) - 1] = (*right[-1], 1.0)
        vertices[-1] = (*left[-1], 1.0)
        return vertices

    link = [(160.0, 20.0), (230.0, 48.0), (255.0, 110.0)]
    d.mline("LINK", "LINK", link)
    sheet.shows("LINK", rings(stadium(link, 9.0)))
    sleeve = [(300.0, 15.0), (350.0, 85.0)]
    d.block("SLEEVE", (0.0, 0.0))
    d.mline("0", "SLEEVE", sleeve)
    d.model()
    d.insert("SLEEVE", "SLEEVE", (640.0, 3.0), (-1.0, 1.0))
    placed = [(640.0 - x, 3.0 + y, -b) for x, y, b in stadium(sleeve, 9.0)], [(640.0 - x, 3.0 + y, -b) for x, y, b in stadium(sleeve, 5.0)]
    sheet.shows("SLEEVE", rings(placed[0]), rings(placed[1]))


@fixture("mline-break.dxf", "a closed MLINE with a break, and an open one whose style is missing: what closes them is drawn beside them")
def mline_break(sheet, d):
    d.mline_style("WALL", 0, (5.0, -5.0))
    corners = [(10.0, 10.0), (150.0, 10.0), (150.0, 100.0), (10.0, 100.0)]
    d.mline("SPLIT RING", "WALL", corners, closed=True, breaks={0: (60.0, 78.0)})
    # Along the first side places count from where each line crosses the mitre: at x = 15 inside, at x = 5 outside.
    d.line("SPLIT RING", (75.0, 15.0), (65.0, 5.0))
    d.line("SPLIT RING", (93.0, 15.0), (83.0, 5.0))
    split = [(83.0, 5.0), (155.0, 5.0), (155.0, 105.0), (5.0, 105.0), (5.0, 5.0), (65.0, 5.0), (75.0, 15.0), (15.0, 15.0), (15.0, 95.0), (145.0, 95.0), (145.0, 15.0), (93.0, 15.0)]
    sheet.shows("SPLIT RING", rings(split))
    d.mline_style("LOST", 16 | 256, (8.0, -8.0))
    d.mline("STRIP", "LOST", [(200.0, 30.0), (280.0, 30.0)])
    del d.mline_styles["LOST"]
    d.line("STRIP", (200.0, 22.0), (200.0, 38.0))
    d.line("STRIP", (280.0, 22.0), (280.0, 38.0))
    sheet.shows("STRIP", rings(rectangle(200.0, 22.0, 80.0, 16.0)))


@fixture("faces.dxf", "3DFACE: two that share a hidden edge, a triangle, a tilted one, and one that stands upright")
def faces(sheet, d):
    a, b, c, e, f, g = (10.0, 5.0), (70.0, 12.0), (64.0, 60.0), (15.0, 66.0), (120.0, 20.0), (115.0, 71.0)
    d.face("GUSSET", [a, b, c, e], hidden=2)
    d.face("GUSSET", [b, f, g, c], hidden=8)
    sheet.shows("GUSSET", rings([a, b, f, g, c, e]))
    wedge = [(150.0, 10.0), (210.0, 22.0), (161.0, 70.0)]
    d.face("WEDGE", wedge + wedge[-1:])
    sheet.shows("WEDGE", rings(wedge))
    # Seen from above; the rise along x is 3 in 4. The area is worked out by hand in tests/fixtures.rs.
    d.face("FLAP", [(240.0, 10.0, 0.0), (280.0, 10.0, 30.0), (280.0, 55.0, 30.0), (240.0, 55.0, 0.0)])
    d.face("FLAP", [(240.0, 10.0, 0.0), (280.0, 10.0, 0.0), (280.0, 10.0, 40.0), (240.0, 10.0, 40.0)])


@fixture("hatch-repeats-outlines.dxf", "hatches beside outlines: one repeats a plate and its hole, one fills half of a frame's opening, one lies alone on its layer")
def hatch_repeats_outlines(sheet, d):
    plate, hole = rectangle(15.0, 20.0, 130.0, 85.0), slot(80.0, 60.0, 60.0, 24.0)
    d.lwpolyline("WALL", plate)
    d.lwpolyline("WALL", hole)
    d.hatch("WALL", [(EXTERNAL | POLYLINE, plate), (OUTERMOST | POLYLINE, hole)])
    sheet.shows("WALL", rings(plate), rings(hole))
    frame, opening = rectangle(200.0, 20.0, 110.0, 70.0), rectangle(215.0, 35.0, 80.0, 40.0)
    d.lwpolyline("FRAME", frame)
    d.lwpolyline("FRAME", opening)
    d.hatch("FRAME", [(EXTERNAL | POLYLINE, rectangle(215.0, 35.0, 30.0, 40.0))])
    sheet.shows("FRAME", rings(frame), rings(opening))
    core = rectangle(30.0, 130.0, 55.0, 25.0)
    d.hatch("CORE", [(EXTERNAL | POLYLINE, core)])
    sheet.shows("CORE", rings(core))


@fixture("hatch-beside-hole.dxf", "a plate drawn as a hatch, with its bolt hole beside it as a circle on the same layer: nothing but the hatch bounds the plate")
def hatch_beside_hole(sheet, d):
    d.hatch("PLATE", [(EXTERNAL | POLYLINE, rectangle(15.0, 20.0, 160.0, 110.0))])
    d.circle("PLATE", 60.0, 85.0, 13.0)
    sheet.shows("PLATE", [circle(60.0, 85.0, 13.0)])
