"""How outlines are drawn: closed, loose, with gaps, twice, beside one another, inside one another."""

import math

from . import fixture, rings
from .writer import QUARTER, circle, ellipse, moved, rectangle, ring, rounded, slot, start, turned


@fixture("gantry-end-plate.dxf", "end plate of a gantry crane: arcs, round and slotted holes, loose pieces and closed polylines on three layers")
def gantry_end_plate(sheet, d):
    # The plate: loose lines and arcs in no particular order, two rounded corners and two chamfers.
    plate = ring([
        (144.0, 80.0, 0.0), (336.0, 80.0, QUARTER), (360.0, 104.0, 0.0), (360.0, 470.0, 0.0), (330.0, 500.0, 0.0),
        (150.0, 500.0, 0.0), (120.0, 470.0, 0.0), (120.0, 104.0, QUARTER),
    ])
    d.loose("PLATE", plate, order=[3, 0, 6, 1, 5, 7, 2, 4], backwards={0, 5})
    holes = [(165.0, 130.0), (315.0, 130.0), (165.0, 250.0), (315.0, 250.0), (165.0, 345.0), (315.0, 345.0)]
    for x, y in holes:
        d.circle("PLATE", x, y, 11.0)
    slots = [slot(178.0, 440.0, 50.0, 22.0), slot(302.0, 440.0, 50.0, 22.0)]
    for s in slots:
        d.lwpolyline("PLATE", s)
    sheet.shows("PLATE", [plate], [circle(x, y, 11.0) for x, y in holes] + rings(*slots))
    # The web stiffener: sniped at the weld with concave quarter circles.
    stiffener = [
        (445.0, 80.0, 0.0), (510.0, 80.0, 0.0), (510.0, 380.0, 0.0), (445.0, 380.0, -QUARTER),
        (420.0, 355.0, 0.0), (420.0, 105.0, -QUARTER),
    ]
    d.lwpolyline("WEB STIFFENER", stiffener)
    sheet.shows("WEB STIFFENER", rings(stiffener))
    # The gusset: a hollowed free edge, with a drain hole.
    gusset = ring([(560.0, 80.0, 0.0), (760.0, 80.0, 0.0), (760.0, 105.0, -0.22), (585.0, 290.0, 0.0), (560.0, 290.0, 0.0)])
    d.loose("GUSSET", gusset, order=[2, 4, 1, 0, 3], backwards={1, 4})
    d.circle("GUSSET", 596.0, 118.0, 14.0)
    sheet.shows("GUSSET", [gusset], [circle(596.0, 118.0, 14.0)])


@fixture("base-plate.dxf", "closed polyline with arcs (bulges), one of them on the closing edge; anchor holes")
def base_plate(sheet, d):
    outline, anchors = base_plate_shape()
    d.lwpolyline("BASE PLATE", outline)
    for x, y, r in anchors:
        d.circle("BASE PLATE", x, y, r)
    sheet.shows("BASE PLATE", rings(outline), [circle(*a) for a in anchors])


def base_plate_shape():
    # The last vertex carries the bulge of the edge back to the first.
    outline = [(40.0, 25.0, 0.0), (300.0, 25.0, 0.35), (300.0, 165.0, 0.0), (90.0, 205.0, QUARTER), (40.0, 155.0, -0.12)]
    return outline, [(85.0, 60.0, 9.0), (265.0, 60.0, 9.0), (95.0, 160.0, 9.0), (262.0, 138.0, 13.0)]


@fixture("hinge-lug.dxf", "outline of loose lines and an arc, shuffled, some drawn backwards")
def hinge_lug(sheet, d):
    lug = ring(turned([(30.0, 15.0, 0.0), (114.0, 15.0, 0.0), (104.0, 70.0, 0.9), (40.0, 70.0, 0.0)], 23.0, (30.0, 15.0)))
    eye = turned([(72.0, 78.0)], 23.0, (30.0, 15.0))[0]
    d.loose("LUG", lug, order=[2, 0, 3, 1], backwards={0, 3})
    d.circle("LUG", eye[0], eye[1], 12.5)
    sheet.shows("LUG", [lug], [circle(eye[0], eye[1], 12.5)])


@fixture("jib-bracket.dxf", "loose lines that miss each other by 0.004 mm at the corners, below the joining tolerance of 0.01 mm")
def jib_bracket(sheet, d):
    corners = turned([(-60.0, 12.0), (150.0, 12.0), (150.0, 40.0), (20.0, 110.0), (-60.0, 110.0)], -11.0)
    pieces, drawn = [], []
    for i, p in enumerate(corners):
        q = corners[(i + 1) % len(corners)]
        k = 0.003 / math.dist(p, q)
        a = (p[0] + k * (q[0] - p[0]), p[1] + k * (q[1] - p[1]))
        b = (q[0] - k * (q[0] - p[0]), q[1] - k * (q[1] - p[1]))
        pieces.append(("line", a, b))
        drawn.append(("line", a, b))
    # The gaps are closed by straight links; the drawn lines stay where they are.
    closed = []
    for i, piece in enumerate(pieces):
        closed += [piece, ("line", piece[2], pieces[(i + 1) % len(pieces)][1])]
    d.loose("JIB BRACKET", drawn, order=[1, 4, 2, 0, 3], backwards={2, 3})
    sheet.shows("JIB BRACKET", [closed])


@fixture("rail-clamp.dxf", "outlines that are nearly closed (gaps of 0.8 mm and 0.6 mm), alone on their layers: no figure, but the open ends")
def rail_clamp(sheet, d):
    clamp = ring([(200.0, 40.0, 0.0), (272.0, 40.0, 0.0), (272.0, 58.0, QUARTER), (252.0, 78.0, 0.0), (200.0, 78.0, 0.0)])
    clamp[4] = ("line", (200.0, 78.0), (200.0, 40.8))
    d.loose("CLAMP", clamp, order=[3, 1, 4, 0, 2])
    d.lwpolyline("CLAMP POLYLINE", [(300.0, 40.0, 0.0), (372.0, 40.0, 0.0), (372.0, 62.0, 0.3), (300.0, 78.0, 0.0), (300.0, 40.6, 0.0)], closed=False)


@fixture("clamp-beside-plate.dxf", "a nearly closed outline beside a closed one on the same layer: the closed one is measured, with a warning")
def clamp_beside_plate(sheet, d):
    plate = rounded(-140.0, 30.0, 120.0, 75.0, 15.0)
    d.lwpolyline("PLATE", plate)
    clamp = ring([(20.0, 40.0, 0.0), (92.0, 40.0, 0.0), (92.0, 58.0, QUARTER), (72.0, 78.0, 0.0), (20.0, 78.0, 0.0)])
    clamp[4] = ("line", (20.0, 78.0), (20.0, 40.8))
    d.loose("PLATE", clamp)
    sheet.shows("PLATE", rings(plate))


@fixture("centre-lines.dxf", "centre lines across a closed outline; on a second layer, tails beyond the corners of a loose one")
def centre_lines(sheet, d):
    plate = rectangle(410.0, -95.0, 180.0, 110.0)
    d.lwpolyline("BASE PLATE", plate)
    anchors = [(440.0, -65.0, 9.0), (560.0, -65.0, 9.0), (500.0, -15.0, 16.0)]
    for x, y, r in anchors:
        d.circle("BASE PLATE", x, y, r)
        d.line("BASE PLATE", (x - 1.5 * r, y), (x + 1.5 * r, y))
        d.line("BASE PLATE", (x, y - 1.5 * r), (x, y + 1.5 * r))
    d.line("BASE PLATE", (395.0, -40.0), (605.0, -40.0))
    sheet.shows("BASE PLATE", rings(plate), [circle(*a) for a in anchors])
    gusset = [(640.0, -95.0), (760.0, -95.0), (700.0, 20.0)]
    d.line("GUSSET", (625.0, -95.0), (760.0, -95.0))
    d.line("GUSSET", (760.0, -95.0), (700.0, 20.0))
    d.line("GUSSET", (700.0, 20.0), (640.0, -95.0))
    d.line("GUSSET", (700.0, 20.0), (704.0, 33.0))
    d.line("GUSSET", (704.0, 33.0), (715.0, 33.0))
    sheet.shows("GUSSET", rings(gusset))


@fixture("drawn-twice.dxf", "outlines drawn twice: a closed one (again from another corner, backwards), and loose lines; counted once")
def drawn_twice(sheet, d):
    plate = [(15.0, -20.0, 0.0), (135.0, -20.0, 0.25), (135.0, 60.0, 0.0), (15.0, 80.0, 0.0)]
    back = [(15.0, 80.0, 0.0), (135.0, 60.0, -0.25), (135.0, -20.0, 0.0), (15.0, -20.0, 0.0)]
    d.lwpolyline("CLOSED", plate)
    d.lwpolyline("CLOSED", back)
    sheet.shows("CLOSED", rings(plate))
    shim = [(180.0, -20.0), (290.0, -5.0), (270.0, 60.0), (180.0, 45.0)]
    d.loose("LOOSE", ring(shim))
    d.loose("LOOSE", ring(shim), order=[2, 0, 3, 1], backwards={0, 2})
    sheet.shows("LOOSE", rings(shim))


@fixture("overlapping-lines.dxf", "edges drawn as collinear lines that overlap, or lie within one another")
def overlapping_lines(sheet, d):
    corners = [(10.0, 70.0), (150.0, 70.0), (150.0, 128.0), (10.0, 128.0)]
    d.line("PACKER", (10.0, 70.0), (90.0, 70.0))
    d.line("PACKER", (150.0, 70.0), (60.0, 70.0))
    d.line("PACKER", (150.0, 70.0), (150.0, 128.0))
    d.line("PACKER", (150.0, 128.0), (10.0, 128.0))
    d.line("PACKER", (120.0, 128.0), (35.0, 128.0))
    d.line("PACKER", (10.0, 128.0), (10.0, 70.0))
    sheet.shows("PACKER", rings(corners))


@fixture("tee-contact.dxf", "a web whose lines end on the middle of the flange's edge (T-contact): one body")
def tee_contact(sheet, d):
    flange, web = rectangle(55.0, 200.0, 160.0, 14.0), [(123.0, 200.0), (123.0, 88.0), (133.0, 88.0), (133.0, 200.0)]
    tee = [(55.0, 200.0), (123.0, 200.0), (123.0, 88.0), (133.0, 88.0), (133.0, 200.0), (215.0, 200.0), (215.0, 214.0), (55.0, 214.0)]
    flange, web, tee = (turned(v, 34.0) for v in (flange, web, tee))
    d.loose("TEE", ring(flange))
    d.loose("TEE", ring(web)[:3])
    sheet.shows("TEE", rings(tee))


@fixture("shared-line.dxf", "two plates that share one drawn line: the line is a joint, not an edge")
def shared_line(sheet, d):
    a, b, c, e, f, g = (20.0, 30.0), (110.0, 30.0), (110.0, 95.0), (20.0, 95.0), (175.0, 44.0), (175.0, 80.0)
    for p, q in ((a, b), (b, c), (c, e), (e, a), (b, f), (f, g), (g, c)):
        d.line("PLATES", p, q)
    sheet.shows("PLATES", rings([a, b, f, g, c, e]))


@fixture("islands.dxf", "islands in holes in islands: solid, hole, solid, hole, solid by depth")
def islands(sheet, d):
    outer, hole = rounded(70.0, -30.0, 260.0, 180.0, 20.0), rectangle(95.0, -5.0, 190.0, 130.0)
    d.lwpolyline("GAUGE", outer)
    d.lwpolyline("GAUGE", hole)
    for x, y, r in ((180.0, 55.0, 50.0), (170.0, 60.0, 30.0), (165.0, 55.0, 12.0), (255.0, 20.0, 11.0)):
        d.circle("GAUGE", x, y, r)
    solid = rings(outer) + [circle(180.0, 55.0, 50.0), circle(165.0, 55.0, 12.0), circle(255.0, 20.0, 11.0)]
    sheet.shows("GAUGE", solid, rings(hole) + [circle(170.0, 60.0, 30.0)])


@fixture("crossing-outlines.dxf", "closed outlines that cross: two plates, and a hole across the edge of its plate")
def crossing_outlines(sheet, d):
    d.lwpolyline("LAPPED PLATES", rectangle(10.0, 10.0, 120.0, 60.0))
    d.lwpolyline("LAPPED PLATES", turned(rectangle(90.0, 30.0, 100.0, 70.0), 12.0, (90.0, 30.0)))
    d.lwpolyline("EDGE HOLE", rectangle(260.0, 10.0, 90.0, 60.0))
    d.circle("EDGE HOLE", 350.0, 37.0, 14.0)


@fixture("touching-outlines.dxf", "closed outlines that touch: girder plates edge on edge, and a hole that touches its plate's edge")
def touching_outlines(sheet, d):
    d.lwpolyline("GIRDER", rectangle(-80.0, 300.0, 160.0, 16.0))
    d.lwpolyline("GIRDER", rectangle(-5.0, 40.0, 10.0, 260.0))
    d.lwpolyline("GIRDER", rectangle(-60.0, 24.0, 120.0, 16.0))
    d.lwpolyline("TANGENT HOLE", rectangle(160.0, 24.0, 90.0, 60.0))
    d.circle("TANGENT HOLE", 236.0, 50.0, 14.0)


@fixture("crane-runway.dxf", "runway girder of three plates under a deck, voids on a layer of their own, one across an edge; for `crane-runway.toml`")
def crane_runway(sheet, d):
    d.lwpolyline("GIRDER", rectangle(-120.0, 0.0, 240.0, 20.0))
    d.lwpolyline("GIRDER", rectangle(-6.0, 20.0, 12.0, 460.0))
    d.lwpolyline("GIRDER", rectangle(-150.0, 480.0, 300.0, 20.0))
    d.lwpolyline("DECK", rectangle(-600.0, 500.0, 1200.0, 150.0))
    d.circle("HOLES", -90.0, 10.0, 6.0)
    d.circle("HOLES", 90.0, 10.0, 6.0)
    d.lwpolyline("HOLES", rectangle(110.0, 5.0, 20.0, 10.0))


@fixture("split-jaws.dxf", "two separate parts: the equal-area axis lies in the gap between them")
def split_jaws(sheet, d):
    # Equal areas, unequal shapes: 36 x 20 and 48 x 15.
    lower, upper = rectangle(14.0, 10.0, 36.0, 20.0), rectangle(4.0, 52.0, 48.0, 15.0)
    d.lwpolyline("JAWS", lower)
    d.lwpolyline("JAWS", upper)
    sheet.shows("JAWS", rings(lower, upper))


@fixture("window-frame.dxf", "hollow extrusion with three chambers, a slot and rounded lips")
def window_frame(sheet, d):
    outer = [
        (12.0, 8.0, 0.0), (74.0, 8.0, QUARTER), (77.0, 11.0, 0.0), (77.0, 34.0, 0.0), (92.0, 34.0, 1.0), (92.0, 38.0, 0.0),
        (77.0, 38.0, 0.0), (77.0, 66.0, QUARTER), (74.0, 69.0, 0.0), (47.0, 69.0, 0.0), (47.0, 60.0, 0.0), (39.0, 60.0, 0.0),
        (39.0, 69.0, 0.0), (12.0, 69.0, QUARTER), (9.0, 66.0, 0.0), (9.0, 11.0, QUARTER),
    ]
    chambers = [rounded(11.2, 10.2, 29.0, 26.0, 1.2), rounded(42.4, 10.2, 32.4, 26.0, 1.2), rectangle(11.2, 38.4, 25.6, 28.4)]
    d.lwpolyline("FRAME", outer)
    for c in chambers:
        d.lwpolyline("FRAME", c)
    sheet.shows("FRAME", rings(outer), rings(*chambers))


@fixture("far-from-origin.dxf", "a bracket 1 km from the drawing's origin (coordinates about 1e6 mm)", measurement=1)
def far_from_origin(sheet, d):
    bracket = moved(turned([(0.0, 0.0, 0.0), (96.0, 0.0, 0.0), (96.0, 12.0, -QUARTER), (24.0, 60.0, 0.0), (0.0, 72.0, 0.0)], 17.0), 1.0e6, -2.5e5)
    d.lwpolyline("BRACKET", bracket)
    sheet.shows("BRACKET", rings(bracket))


@fixture("half-ellipse.dxf", "whole ellipses, turned; on a second layer, an elliptical arc closed by a line")
def half_ellipse(sheet, d):
    outer = ellipse((140.0, -60.0), (78.0, 31.0), 0.6)
    inner = ellipse((150.0, -52.0), (-9.0, 22.0), 0.45)
    d.piece("PORTHOLE", outer)
    d.piece("PORTHOLE", inner)
    sheet.shows("PORTHOLE", [[outer]], [[inner]])
    arc = ellipse((320.0, -60.0), (64.0, 15.0), 0.55, 0.3, 2.4)
    t = 0.3 + 2.4
    end = start(("ellipse", arc[1], arc[2], arc[3], t, 0.0))
    d.piece("COVER", arc)
    d.line("COVER", start(arc), end)
    sheet.shows("COVER", [[arc, ("line", end, start(arc))]])


@fixture("full-edge-contact.dxf", "two plates that share a whole edge: one body")
def full_edge_contact(sheet, d):
    low, high = rectangle(30.0, -15.0, 70.0, 40.0), rectangle(100.0, -15.0, 25.0, 40.0)
    d.lwpolyline("PLATES", turned(low, 27.0))
    d.lwpolyline("PLATES", turned(high, 27.0))


def staggered():
    # The upper plate stands on part of the lower one's edge and hangs over its end.
    return rectangle(0.0, 0.0, 90.0, 35.0), rectangle(52.0, 35.0, 61.0, 20.0)


@fixture("tee-contact-far.dxf", "plates that touch along part of an edge, no corner of one on a corner of the other: at odd angles, and 1e6 mm out")
def tee_contact_far(sheet, d):
    for layer, angle, away in (("AT 13", 13.7, (0.0, 0.0)), ("AT 61", 61.3, (140.0, -60.0)), ("FAR", 36.87, (1.0e6, -7.5e5))):
        for plate in staggered():
            d.lwpolyline(layer, moved(turned(plate, angle), *away))


@fixture("hair-gaps.dxf", "plates 1e-7 mm apart, and plates that overlap by 1e-7 mm: measured as drawn, within what 1e-7 mm can matter")
def hair_gaps(sheet, d):
    for layer, y, angle in (("GAP", 35.0 + 1e-7, 0.0), ("GAP TURNED", 35.0 + 1e-7, 23.0), ("LAP", 35.0 - 1e-7, 0.0), ("LAP TURNED", 35.0 - 1e-7, 23.0)):
        d.lwpolyline(layer, turned(rectangle(0.0, 0.0, 90.0, 35.0), angle))
        d.lwpolyline(layer, turned(rectangle(12.0, y, 61.0, 20.0), angle))


@fixture("shared-circle.dxf", "two bodies that share part of one circle: a disc set into the hollow of a plate, which it fills")
def shared_circle(sheet, d):
    # The plate's hollow has the disc's radius and centre; 40, 30 and 50 give whole coordinates.
    plate = [(-70.0, 30.0, 0.0), (-40.0, 30.0, HOLLOW), (40.0, 30.0, 0.0), (70.0, 30.0, 0.0), (70.0, -75.0, 0.0), (-70.0, -75.0, 0.0)]
    d.lwpolyline("SEAT", moved(plate, 210.0, 45.0))
    d.circle("SEAT", 210.0, 45.0, 50.0)


# The lower arc from (-40, 30) to (40, 30) about the origin: anticlockwise, more than half a circle.
HOLLOW = math.tan((math.pi + 2.0 * math.atan2(30.0, 40.0)) / 4.0)


@fixture("bow-tie.dxf", "a polyline that crosses itself: both lobes are taken as solid, with a warning")
def bow_tie(sheet, d):
    d.lwpolyline("BOW TIE", [(20.0, 10.0), (110.0, 70.0), (110.0, 10.0), (20.0, 90.0)])


@fixture("hole-in-lap.dxf", "a hole through the lap of two plates: it lies in both, and is a hole all the same")
def hole_in_lap(sheet, d):
    d.lwpolyline("LAP", rectangle(10.0, 20.0, 120.0, 60.0))
    d.lwpolyline("LAP", rectangle(80.0, 35.0, 110.0, 70.0))
    d.circle("LAP", 104.0, 58.0, 11.0)


@fixture("corner-bracket.dxf", "loose lines and arcs of a corner bracket with a row of holes; its width jumps beside the upright equal-area axis")
def corner_bracket(sheet, d):
    up, half = 0.5 * math.pi, math.pi
    edge = [
        ("line", (20225.0, -760.0), (20225.0, -350.0)), ("arc", (20220.0, -350.0), 5.0, 0.0, up),
        ("line", (20220.0, -345.0), (20165.0, -345.0)), ("line", (20165.0, -345.0), (20165.0, -810.0)),
        ("arc", (20210.0, -810.0), 45.0, half, up), ("line", (20210.0, -855.0), (20615.0, -855.0)),
        ("line", (20615.0, -855.0), (20615.0, -800.0)), ("arc", (20610.0, -800.0), 5.0, 0.0, up),
        ("line", (20610.0, -795.0), (20260.0, -795.0)), ("arc", (20260.0, -760.0), 35.0, half, up),
    ]
    slot = [
        ("line", (20375.0, -834.0), (20405.0, -834.0)), ("arc", (20405.0, -825.0), 9.0, -up, half),
        ("line", (20405.0, -816.0), (20375.0, -816.0)), ("arc", (20375.0, -825.0), 9.0, up, half),
    ]
    for piece in edge[::2] + edge[1::2] + slot:
        if piece[0] == "line":
            d.line("BRACKET", piece[1], piece[2])
        else:
            _, centre, radius, start, sweep = piece
            d.arc("BRACKET", centre, radius, math.degrees(start), math.degrees(start + sweep))
    holes = [(20195.0, -445.0 - 40.0 * k) for k in range(-1, 9)]
    for x, y in holes:
        d.circle("BRACKET", x, y, 11.0)
    # Along the edge the fillet is travelled clockwise.
    fillet = ("arc", (20260.0, -760.0), 35.0, -up, -up)
    sheet.shows("BRACKET", [edge[:-1] + [fillet]], [slot] + [circle(x, y, 11.0) for x, y in holes])
