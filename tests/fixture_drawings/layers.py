"""What other layers hold that lies in a section: holes, frames, copies."""

from . import cos, fixture, rings, sin
from .writer import circle, rectangle, turned


def end_plate(x, y):
    return [(x, y, 0.0), (x + 210.0, y, 0.0), (x + 210.0, y + 96.0, 0.0), (x + 160.0, y + 140.0, 0.0), (x, y + 140.0, 0.0)]


@fixture("holes-on-layer.dxf", "bolt holes and a slot on a layer of their own, the slot across the edge of the plate: the plate is measured without them, with a warning")
def holes_on_layer(sheet, d):
    d.lwpolyline("PLATE", end_plate(30.0, 20.0))
    for x, y in ((60.0, 45.0), (60.0, 135.0), (200.0, 45.0)):
        d.circle("BOLT HOLES", x, y, 11.0)
    d.lwpolyline("BOLT HOLES", rectangle(225.0, 80.0, 30.0, 14.0))
    sheet.shows("PLATE", rings(end_plate(30.0, 20.0)))


@fixture("holes-frozen.dxf", "bolt holes on a layer that is frozen: nothing is said of them on the plate's row")
def holes_frozen(sheet, d):
    d.layer("BOLT HOLES", 1)
    d.lwpolyline("PLATE", end_plate(30.0, 20.0))
    d.circle("BOLT HOLES", 60.0, 45.0, 11.0)
    sheet.shows("PLATE", rings(end_plate(30.0, 20.0)))


@fixture("holes-by-diameter.dxf", "holes with a layer for each diameter, one of them with a countersink on a layer of its own: five layers, one warning")
def holes_by_diameter(sheet, d):
    d.lwpolyline("PLATE", end_plate(-90.0, 45.0))
    for layer, x, y, radius in (("D09", -60.0, 70.0, 4.5), ("D11", -20.0, 70.0, 5.5), ("D14", 20.0, 70.0, 7.0), ("D18", 60.0, 70.0, 9.0), ("D18 SINK", 60.0, 70.0, 17.0)):
        d.circle(layer, x, y, radius)
    sheet.shows("PLATE", rings(end_plate(-90.0, 45.0)))


@fixture("layer-repeats-outline.dxf", "a plate drawn again on a second layer, as loose lines; hatched on a third; and a washer beside it on a fourth that touches its edge: nothing to be told")
def layer_repeats_outline(sheet, d):
    edge = turned(rectangle(40.0, 25.0, 120.0, 70.0), 17.0, (40.0, 25.0))
    d.lwpolyline("CUT", edge)
    d.circle("CUT", 75.0, 80.0, 12.0)
    d.loose("PAINT", rings(edge)[0], (2, 0, 3, 1), (0, 3))
    d.circle("PAINT", 75.0, 80.0, 12.0)
    d.hatch("FILL", [(3, [(x, y, 0.0) for x, y, *_ in edge]), (18, [(87.0, 80.0, 1.0), (63.0, 80.0, 1.0)])])
    d.circle("WASHER", 40.0 - 30.0 * sin(17.0) - 15.0 * cos(17.0), 25.0 + 30.0 * cos(17.0) - 15.0 * sin(17.0), 15.0)
    sheet.shows("CUT", rings(edge), [circle(75.0, 80.0, 12.0)])
    sheet.shows("PAINT", rings(edge), [circle(75.0, 80.0, 12.0)])


@fixture("frame-around.dxf", "the frame of a sheet around two plates, whose holes share a layer, a lug and filled arrow heads: the frame has one note, the plates a warning each")
def frame_around(sheet, d):
    d.lwpolyline("FRAME", rectangle(0.0, 0.0, 594.0, 420.0))
    d.lwpolyline("FRAME", rectangle(404.0, 10.0, 180.0, 55.0))
    d.lwpolyline("PLATE", end_plate(40.0, 220.0))
    d.lwpolyline("RIB", rectangle(320.0, 230.0, 130.0, 90.0))
    for x, y in ((70.0, 250.0), (70.0, 330.0), (345.0, 250.0)):
        d.circle("HOLES", x, y, 9.0)
    d.lwpolyline("LUG", rectangle(60.0, 90.0, 80.0, 60.0))
    d.solid("DIMENSIONS", [(100.0, 300.0), (112.0, 298.0), (112.0, 302.0), (112.0, 302.0)])
    sheet.shows("PLATE", rings(end_plate(40.0, 220.0)))
