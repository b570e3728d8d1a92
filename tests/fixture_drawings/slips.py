"""How drafting slips: pieces that run past their corners, gaps that decide what others are, outlines retraced."""

import math

from . import fixture, rings
from .writer import QUARTER, rectangle, ring, turned


def lengthened(piece, at_start, at_end):
    """A line or an arc that goes on along its own direction."""
    if piece[0] == "line":
        _, p, q = piece
        k = 1.0 / math.dist(p, q)
        along = ((q[0] - p[0]) * k, (q[1] - p[1]) * k)
        return ("line", (p[0] - at_start * along[0], p[1] - at_start * along[1]), (q[0] + at_end * along[0], q[1] + at_end * along[1]))
    kind, centre, radius, begin, sweep = piece
    turn = math.copysign(1.0, sweep) / radius
    return (kind, centre, radius, begin - at_start * turn, sweep + (at_start + at_end) * turn)


@fixture("overshooting-corners.dxf", "loose pieces that run past their corners by up to 0.009 mm: what hangs over is cut off at the crossing")
def overshooting_corners(sheet, d):
    plate = ring(rectangle(20.0, 10.0, 100.0, 60.0))
    d.loose("ONE CORNER", [lengthened(plate[0], 0.0, 0.001)] + plate[1:], order=[2, 0, 3, 1])
    sheet.shows("ONE CORNER", [plate])
    gusset = ring(turned([(160.0, 10.0), (290.0, 10.0), (290.0, 44.0), (208.0, 71.0), (160.0, 71.0)], 23.0, (160.0, 10.0)))
    past = [(0.004, 0.009), (0.007, 0.003), (0.0, 0.002), (0.006, 0.009), (0.009, 0.0)]
    d.loose("ALL CORNERS", [lengthened(piece, *by) for piece, by in zip(gusset, past)], order=[1, 4, 2, 0, 3], backwards={1, 3})
    sheet.shows("ALL CORNERS", [gusset])
    strap = ring([(340.0, 10.0, 0.0), (420.0, 10.0, QUARTER), (432.0, 22.0, 0.0), (432.0, 60.0, 0.0), (340.0, 60.0, 0.0)])
    d.loose("ROUNDED", [lengthened(p, *by) for p, by in zip(strap, [(0.0, 0.0), (0.005, 0.004), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)])], order=[3, 1, 0, 4, 2])
    sheet.shows("ROUNDED", [strap])


@fixture("open-edge-decides.dxf", "outlines that are nearly closed, round holes and within a plate: what the others are hangs on them, so there are no figures")
def open_edge_decides(sheet, d):
    frame = ring(rectangle(15.0, 20.0, 110.0, 70.0))
    frame[3] = ("line", (15.0, 90.0), (15.0, 20.5))
    d.loose("ROUND HOLES", frame, order=[2, 0, 1, 3])
    d.circle("ROUND HOLES", 45.0, 55.0, 9.0)
    d.circle("ROUND HOLES", 95.0, 50.0, 14.0)
    d.lwpolyline("WITHIN PLATE", rectangle(160.0, 20.0, 120.0, 70.0))
    pocket = ring(rectangle(185.0, 35.0, 40.0, 30.0))
    pocket[3] = ("line", (185.0, 65.0), (185.0, 35.3))
    d.loose("WITHIN PLATE", pocket)


@fixture("retraced-plate.dxf", "a plate drawn again 0.002 mm inside itself: one outline, with a warning, and no wall between")
def retraced_plate(sheet, d):
    plate = turned(rectangle(30.0, -40.0, 140.0, 65.0), 12.0, (30.0, -40.0))
    again = turned(rectangle(30.002, -39.998, 139.996, 64.996), 12.0, (30.0, -40.0))
    d.lwpolyline("PLATE", again)
    d.lwpolyline("PLATE", plate)
    d.circle("PLATE", 92.0, 2.0, 11.0)


@fixture("bow-tie-even.dxf", "a polyline that crosses itself so that the areas of its lobes cancel, with a hole in one of them")
def bow_tie_even(sheet, d):
    d.lwpolyline("BOW TIE", [(400.0, 0.0), (500.0, 100.0), (500.0, 0.0), (400.0, 100.0)])
    d.circle("BOW TIE", 480.0, 47.0, 8.0)


@fixture("finer-than-joined.dxf", "a slot, a chamfer and a step finer than the joining tolerance, drawn in loose lines that meet: they stay as drawn")
def finer_than_joined(sheet, d):
    corners = [
        (10.0, 20.0), (48.0, 20.0), (48.0, 31.0), (48.006, 31.0), (48.006, 20.0), (90.0, 20.0), (90.0, 57.994),
        (89.995, 58.0), (10.0, 58.0), (10.0, 40.004), (9.996, 40.0),
    ]
    plate = ring(turned(corners, -17.0, (10.0, 20.0)))
    d.loose("PLATE", plate, order=[4, 0, 7, 2, 9, 5, 1, 10, 3, 8, 6], backwards={0, 3, 8})


@fixture("line-across-branches.dxf", "a lug of loose pieces with a web line, and a brace that crosses both: crossings are joints, the outer edge is that of all")
def line_across_branches(sheet, d):
    outer = [(20.0, 10.0), (130.0, 10.0), (130.0, 75.0), (20.0, 75.0)]
    d.loose("LUG", ring(outer), order=[2, 0, 3, 1])
    d.line("LUG", (20.0, 42.0), (130.0, 42.0))
    d.line("LUG", (20.0, 30.0), (130.0, 66.0))
    d.line("LUG", (75.0, 10.0), (92.0, 75.0))
    sheet.shows("LUG", rings(outer))
