"""Polylines with a width. `shows` has what lies within their centre lines, which is what counts unless asked otherwise; areas
of the bands are worked out by hand in tests/widths.rs."""

import math

from . import cos, fixture, rings, sin
from .writer import QUARTER, circle, moved, rectangle, turned

ELL = [(0.0, 0.0), (38.0, 0.0), (38.0, 28.0)]
LOOP = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (50.0, 50.0), (50.0, -50.0)]


def placed(vertices, dx, dy):
    return moved(turned(vertices, 25.0), dx, dy)


@fixture("wide-open.dxf", "open polylines with a width, which close nothing: straight, tapered, to a point, with a mitred corner, a quarter of a circle, a tapered arc, over itself, too sharp for a mitre")
def wide_open(sheet, d):
    straight = [(0.0, 0.0), (50.0, 0.0)]
    d.lwpolyline("STRIP", placed(straight, 20.0, 30.0), closed=False, width=6.0)
    d.lwpolyline("TAPER", placed(straight, 120.0, 30.0), closed=False, widths=[(10.0, 4.0), (0.0, 0.0)])
    d.lwpolyline("WEDGE", placed(straight, 220.0, 30.0), closed=False, widths=[(10.0, 0.0), (0.0, 0.0)])
    d.lwpolyline("ELL", placed(ELL, 320.0, 30.0), closed=False, width=4.0)
    d.lwpolyline("BEND", placed([(50.0, 0.0, QUARTER), (0.0, 50.0)], 420.0, 30.0), closed=False, width=8.0)
    arc = [(40.0, 0.0, math.tan(math.radians(30.0))), (40.0 * cos(120.0), 40.0 * sin(120.0))]
    d.lwpolyline("HORN", placed(arc, 520.0, 30.0), closed=False, widths=[(6.0, 18.0), (0.0, 0.0)])
    d.lwpolyline("LOOP", placed(LOOP, 20.0, 180.0), closed=False, width=10.0)
    d.lwpolyline("BARB", placed([(50.0, 0.0), (0.0, 0.0), (50.0 * cos(20.0), 50.0 * sin(20.0))], 220.0, 180.0), closed=False, width=3.0)


@fixture("wide-closed.dxf", "closed polylines with a width: a frame, a ring of two arcs, a dot as wide as its circle, a slot, a frame filled by its own width; one without a width beside them")
def wide_closed(sheet, d):
    frame = placed(rectangle(0.0, 0.0, 60.0, 35.0), 20.0, 30.0)
    ring_of_two = placed([(-20.0, 0.0, 1.0), (20.0, 0.0, 1.0)], 150.0, 60.0)
    dot = placed([(-5.0, 0.0, 1.0), (5.0, 0.0, 1.0)], 220.0, 60.0)
    slot = placed([(0.0, 0.0), (30.0, 0.0, 1.0), (30.0, 24.0), (0.0, 24.0, 1.0)], 280.0, 40.0)
    filled = placed(rectangle(0.0, 0.0, 60.0, 8.0), 20.0, 140.0)
    for layer, vertices, width in (("FRAME", frame, 5.0), ("RING", ring_of_two, 12.0), ("DOT", dot, 10.0), ("SLOT", slot, 7.0), ("FILLED", filled, 10.0)):
        d.lwpolyline(layer, vertices, width=width)
        sheet.shows(layer, rings(vertices))
    plain = placed(rectangle(0.0, 0.0, 44.0, 21.0), 150.0, 140.0)
    d.lwpolyline("PLAIN", plain)
    sheet.shows("PLAIN", rings(plain))


@fixture("wide-r12.dxf", "old polylines with a width: by default, by vertices, by both; closed, open and tapered", units="None", version="AC1009")
def wide_r12(sheet, d):
    frame = placed(rectangle(0.0, 0.0, 60.0, 35.0), 20.0, 30.0)
    d.polyline("FRAME", frame, width=5.0)
    sheet.shows("FRAME", rings(frame))
    d.polyline("ELL", placed(ELL, 120.0, 30.0), flags=0, widths={0: (4.0, 4.0), 1: (4.0, 4.0)})
    # The second edge takes the default of 4.
    d.polyline("STEP", placed([(0.0, 0.0), (20.0, 0.0), (50.0, 0.0), (70.0, 0.0)], 220.0, 30.0), flags=0, width=4.0, widths={0: (10.0, 6.0), 2: (8.0, 2.0)})


@fixture("wide-in-block.dxf", "a polyline with a width in blocks: mirrored and scaled, scaled unequally, and in a plane seen from below")
def wide_in_block(sheet, d):
    d.block("FRAME")
    d.lwpolyline("0", rectangle(0.0, 0.0, 60.0, 35.0), width=5.0)
    d.model()
    d.insert("MIRRORED", "FRAME", (100.0, 40.0), (-1.5, 1.5), 30.0)
    sheet.shows("MIRRORED", rings(moved(turned(scaled_by(rectangle(0.0, 0.0, 60.0, 35.0), -1.5, 1.5), 30.0), 100.0, 40.0)))
    d.insert("SQUEEZED", "FRAME", (200.0, 40.0), (2.0, 0.5), 30.0)
    sheet.shows("SQUEEZED", rings(moved(turned(scaled_by(rectangle(0.0, 0.0, 60.0, 35.0), 2.0, 0.5), 30.0), 200.0, 40.0)))
    bend = [(50.0, 0.0, QUARTER), (0.0, 50.0, 0.0), (0.0, 0.0, 0.0)]
    d.lwpolyline("BELOW", [(-x - 400.0, y, -b) for x, y, b in bend], width=8.0, extrusion=(0.0, 0.0, -1.0))
    sheet.shows("BELOW", rings(moved(bend, 400.0, 0.0)))


def scaled_by(vertices, kx, ky):
    return [(v[0] * kx, v[1] * ky) for v in vertices]


@fixture("wide-partly.dxf", "polylines that have a width on a part of their length: an arrow, and a plate with one wide edge; a round hole on a layer with a wide polyline that closes nothing")
def wide_partly(sheet, d):
    arrow = [(10.0, 10.0), (60.0, 20.0), (75.0, 23.0)]
    d.lwpolyline("ARROW", arrow, closed=False, widths=[(0.0, 0.0), (6.0, 0.0), (0.0, 0.0)])
    plate = placed(rectangle(0.0, 0.0, 60.0, 35.0), 120.0, 30.0)
    d.lwpolyline("PLATE", plate, widths=[(4.0, 4.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)])
    sheet.shows("PLATE", rings(plate))
    d.lwpolyline("TRACK", placed([(0.0, 0.0), (80.0, 0.0)], 220.0, 30.0), closed=False, width=6.0)
    d.circle("TRACK", 330.0, 60.0, 9.0)
    sheet.shows("TRACK", [circle(330.0, 60.0, 9.0)])
