"""Layers, units, encodings and files that are not as they should be."""

from . import fixture, rings
from .outlines import base_plate_shape
from .writer import QUARTER, binary, circle, moved, rectangle, ring, rounded, scaled, turned


def gusset(x, y):
    return moved([(0.0, 0.0, 0.0), (84.0, 0.0, 0.0), (84.0, 15.0, -0.2), (20.0, 66.0, 0.0), (0.0, 66.0, 0.0)], x, y)


@fixture("layer-states.dxf", "layers that are off, frozen and not plotted, and construction points (Defpoints)")
def layer_states(sheet, d):
    for name, x, flags, color, plot in (("SHOWN", 10.0, 0, 7, True), ("OFF", 130.0, 0, -3, True), ("FROZEN", 250.0, 1, 5, True), ("NO PLOT", 370.0, 0, 7, False), ("Defpoints", 490.0, 0, 7, False)):
        d.layer(name, flags, color, plot)
        d.lwpolyline(name, gusset(x, 20.0))
        if name != "Defpoints":
            sheet.shows(name, rings(gusset(x, 20.0)))


@fixture("paper-space.dxf", "a drawing frame in paper space: only model space is measured")
def paper_space(sheet, d):
    d.lwpolyline("GUSSET", gusset(35.0, 10.0))
    d.paper_space()
    d.lwpolyline("GUSSET", rectangle(0.0, 0.0, 400.0, 277.0))
    d.lwpolyline("FRAME", rectangle(5.0, 5.0, 410.0, 287.0))
    d.model()
    sheet.shows("GUSSET", rings(gusset(35.0, 10.0)))


@fixture("inches.dxf", "drawn in inches ($INSUNITS 1)", units="in")
def inches(sheet, d):
    d.units, d.measurement = 1, 0
    plate = [(1.25, 0.5, 0.0), (7.0, 0.5, 0.0), (7.0, 3.25, QUARTER), (6.25, 4.0, 0.0), (1.25, 4.5, 0.0)]
    d.lwpolyline("PLATE", plate)
    d.circle("PLATE", 2.5, 2.0, 0.46875)
    sheet.shows("PLATE", rings(scaled(plate, 25.4)), [circle(2.5 * 25.4, 2.0 * 25.4, 0.46875 * 25.4)])


@fixture("metres.dxf", "drawn in metres ($INSUNITS 6)", units="m")
def metres(sheet, d):
    d.units = 6
    d.lwpolyline("PLATE", [(0.125, 0.25), (1.5, 0.25), (1.25, 0.875), (0.125, 0.75)])
    sheet.shows("PLATE", rings([(125.0, 250.0), (1500.0, 250.0), (1250.0, 875.0), (125.0, 750.0)]))


@fixture("unitless.dxf", "no unit ($INSUNITS 0, no $MEASUREMENT): millimetres are assumed, and said so", units="none")
def unitless(sheet, d):
    d.units, d.measurement = 0, None
    d.lwpolyline("GUSSET", gusset(-20.0, 45.0))
    sheet.shows("GUSSET", rings(gusset(-20.0, 45.0)))


@fixture("imperial.dxf", "no unit, and $MEASUREMENT 0 (imperial), as many metric drawings have: millimetres are assumed, with a warning that gives the size in both readings", units="none (imperial)")
def imperial(sheet, d):
    d.units, d.measurement = None, 0
    plate = [(20.0, 10.0), (55.0, 12.5), (47.5, 35.0), (20.0, 30.0)]
    d.lwpolyline("PLATE", plate)
    sheet.shows("PLATE", rings(plate))


@fixture("codepage-1252.dxf", "layer name in code page 1252, as files before R2007 write it", version="AC1015", codepage="ANSI_1252")
def codepage_1252(sheet, d):
    d.lwpolyline("Tr\u00e4ger \u00d8 50", gusset(12.0, -30.0))
    sheet.shows("Tr\u00e4ger \u00d8 50", rings(gusset(12.0, -30.0)))
    sheet.contents = d.text_file().encode("cp1252")


@fixture("utf8-layers.dxf", "layer names in UTF-8, as files from R2007 write them")
def utf8_layers(sheet, d):
    for i, name in enumerate(("Schwei\u00dfnaht", "\u677f", "\u03b1-girder")):
        d.lwpolyline(name, gusset(15.0 + 120.0 * i, 22.0))
        sheet.shows(name, rings(gusset(15.0 + 120.0 * i, 22.0)))
    sheet.contents = d.text_file().encode("utf-8")


@fixture("escaped-layer.dxf", "layer name with \\U+XXXX escapes", version="AC1015", codepage="ANSI_1252")
def escaped_layer(sheet, d):
    d.lwpolyline("\\U+677F-\\U+00D8 20", gusset(-95.0, 22.0))
    sheet.shows("\u677f-\u00d8 20", rings(gusset(-95.0, 22.0)))


@fixture("formula-layers.dxf", "layer names that a spreadsheet would run as formulas", )
def formula_layers(sheet, d):
    for i, name in enumerate(("=SUM(A1)", "+plate", "-plate", "@plate")):
        plate = moved(turned(rectangle(0.0, 0.0, 60.0 + 10.0 * i, 25.0), 15.0), 20.0 + 120.0 * i, 30.0)
        d.lwpolyline(name, plate)
        sheet.shows(name, rings(plate))


@fixture("no-outlines.dxf", "nothing closed: open lines and a note")
def no_outlines(sheet, d):
    d.line("GRID", (0.0, 0.0), (500.0, 0.0))
    d.line("GRID", (0.0, 120.0), (500.0, 120.0))
    d.line("GRID", (35.0, -40.0), (35.0, 300.0))
    d.text("NOTES", (60.0, 60.0), 12.0, "All welds 6 mm throat")


@fixture("zero-size.dxf", "shapes without size: beside a plate, and alone on a layer")
def zero_size(sheet, d):
    d.lwpolyline("PLATE", gusset(40.0, 40.0))
    d.circle("PLATE", 60.0, 55.0, 0.0)
    d.line("PLATE", (200.0, 10.0), (200.0, 10.0))
    d.lwpolyline("PLATE", [(210.0, 10.0), (210.0, 10.0), (210.0, 10.0)])
    sheet.shows("PLATE", rings(gusset(40.0, 40.0)))
    d.circle("NOTHING", 300.0, 20.0, 0.0)
    d.lwpolyline("NOTHING", [(310.0, 10.0), (340.0, 10.0), (310.0, 10.0)])


@fixture("zero-length-edges.dxf", "a closed polyline with doubled vertices, a bulge on an edge without length, and a last vertex equal to the first")
def zero_length_edges(sheet, d):
    plate = [(30.0, 12.0, 0.0), (130.0, 12.0, 0.0), (130.0, 12.0, 0.5), (130.0, 12.0, 0.3), (130.0, 70.0, 1e-17), (30.0, 82.0, 0.0), (30.0, 12.0, 0.0)]
    d.lwpolyline("PLATE", plate)
    sheet.shows("PLATE", rings([(30.0, 12.0, 0.0), (130.0, 12.0, 0.3), (130.0, 70.0, 0.0), (30.0, 82.0, 0.0)]))


@fixture("bad-numbers.dxf", "numbers that are none: on their own layers, and beside a good plate")
def bad_numbers(sheet, d):
    d.lwpolyline("PLATE", gusset(40.0, 15.0))
    d.circle("PLATE", 60.0, 30.0, 111.125)
    d.circle("COMMA", 212.125, 30.0, 9.0)
    d.lwpolyline("WORD", [(313.125, 15.0), (360.0, 15.0), (340.0, 60.0)])
    sheet.shows("PLATE", rings(gusset(40.0, 15.0)))
    text = d.text_file()
    for good, bad in (("111.125", "1e400"), ("212.125", "212,125"), ("313.125", "nan")):
        assert text.count(f"\n{good}\n") == 1
        text = text.replace(f"\n{good}\n", f"\n{bad}\n")
    sheet.contents = text.encode("ascii")


def line_ends(newline):
    def draw(sheet, d):
        outline, anchors = base_plate_shape()
        d.lwpolyline("BASE PLATE", outline)
        for a in anchors:
            d.circle("BASE PLATE", *a)
        sheet.shows("BASE PLATE", rings(outline), [circle(*a) for a in anchors])
        sheet.contents = d.text_file(newline).encode("ascii")

    return draw


fixture("line-ends-crlf.dxf", "lines end in carriage return and line feed")(line_ends("\r\n"))
fixture("line-ends-cr.dxf", "lines end in carriage return alone")(line_ends("\r"))


@fixture("truncated.dxf", "the file ends in the middle of an entity; what came before is complete")
def truncated(sheet, d):
    plate = rounded(25.0, 60.0, 150.0, 80.0, 18.0)
    d.lwpolyline("PLATE", plate)
    d.lwpolyline("GUSSET", [(230.0, 60.0), (290.0, 60.0), (234.5625, 111.0)])
    sheet.shows("PLATE", rings(plate))
    text = d.text_file()
    sheet.contents = text[: text.index("234.5625") + 4].encode("ascii")


@fixture("not-a-drawing.dxf", "a cutting list with the wrong ending", units="", version="")
def not_a_drawing(sheet, d):
    sheet.contents = b"Cutting list, gantry crane\n1 end plate 240 x 420 x 20\n4 gussets 200 x 210 x 12\n2 rail clamps\n"


def bracket(d, layer, x, y):
    """A plate of 90 by 70 with one corner cut by 30 and 20, and a hole of diameter 24, in loose pieces and a circle."""
    d.line(layer, (x, y), (x + 90.0, y))
    d.line(layer, (x + 90.0, y), (x + 90.0, y + 50.0))
    d.line(layer, (x + 60.0, y + 70.0), (x + 90.0, y + 50.0))
    d.line(layer, (x + 60.0, y + 70.0), (x, y + 70.0))
    d.line(layer, (x, y + 70.0), (x, y))
    d.circle(layer, x + 30.0, y + 40.0, 12.0)


@fixture("binary-r12.dxf", "a binary drawing with group codes of one byte", units="none", version="AC1009")
def binary_r12(sheet, d):
    bracket(d, "BRACKET", -40.0, 25.0)
    d.polyline("LUG", rounded(85.0, 20.0, 60.0, 45.0, 12.0))
    sheet.contents = binary(d.pairs(), wide=False)


@fixture("binary-r2000.dxf", "a binary drawing with group codes of two bytes, and a hole in a block", version="AC1015", codepage="ANSI_1252")
def binary_r2000(sheet, d):
    d.block("HOLE", (5.0, 2.0))
    d.circle("0", 5.0, 2.0, 9.0)
    d.model()
    d.lwpolyline("LUG", rounded(85.0, 20.0, 60.0, 45.0, 12.0))
    d.insert("LUG", "HOLE", (112.0, 41.0))
    sheet.contents = binary(d.pairs(), wide=True)


@fixture("damaged-binary-cut.dxf", "a binary drawing that ends in the middle of an entity; what came before is complete", version="AC1015")
def binary_cut(sheet, d):
    bracket(d, "BRACKET", -40.0, 25.0)
    d.lwpolyline("LUG", rounded(85.0, 20.0, 60.0, 45.0, 12.0))
    contents = binary(d.pairs(), wide=True)
    sheet.contents = contents[: contents.index(b"LWPOLYLINE") + 150]


@fixture("damaged-slip.dxf", "a line is lost in one outline, and doubled in the header: the first costs that outline, the second nothing else")
def slip(sheet, d):
    bracket(d, "BRACKET", -40.0, 25.0)
    d.lwpolyline("LUG", [(185.0, 20.0), (245.0, 20.0), (245.0, 65.0)])
    d.lwpolyline("BRACKET", rounded(85.0, 20.0, 60.0, 45.0, 12.0))
    text = d.text_file()
    assert text.count("\n185.0\n") == 1 and text.count("\n$HANDSEED\n") == 1
    sheet.contents = text.replace("\n185.0\n", "\n").replace("\n$HANDSEED\n", "\n$HANDSEED\n$HANDSEED\n").encode("ascii")


@fixture("damaged-endsec.dxf", "the mark that ends the entities (ENDSEC) is missing, which is harmless")
def endsec(sheet, d):
    bracket(d, "BRACKET", -40.0, 25.0)
    pairs = d.pairs()
    last = pairs.index((2, "OBJECTS")) - 2
    assert pairs[last] == (0, "ENDSEC")
    d.pairs = lambda: pairs[:last] + pairs[last + 1 :]
    sheet.contents = d.text_file().encode("ascii")


@fixture("damaged-tail.dxf", "rubbish after the mark of the end (EOF), which is harmless")
def tail(sheet, d):
    bracket(d, "BRACKET", -40.0, 25.0)
    sheet.contents = d.text_file().encode("ascii") + b"rubbish\n\x1a\0\0\0  0\nLINE\n 10\n"
