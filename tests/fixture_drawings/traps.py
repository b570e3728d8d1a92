"""What real files hold that is easily read wrongly: one matter each, beside shapes of the workshop."""

import math
import struct

from . import fixture, rings
from .entities import HOLE, PLATE, plate_block, uniform_cubic
from .files import gusset
from .writer import circle, mirrored, moved, point, rectangle, turned


# ---------------------------------------------------------------------------------------------------------- entities


@fixture("mesh-beside-plate.dxf", "a polygon mesh and a polyface mesh beside a plate: they draw no outline")
def mesh_beside_plate(sheet, d):
    d.lwpolyline("PLATE", gusset(25.0, 35.0))
    corners = [(200.0, 10.0), (200.0, 70.0), (290.0, 10.0), (290.0, 70.0)]
    d.entity("POLYLINE", "PLATE", [(66, 1)] + point(10, 0.0, 0.0) + [(70, 16), (71, 2), (72, 2)], "AcDbPolygonMesh")
    for p in corners:
        d.entity("VERTEX", "PLATE", [(100, "AcDbPolygonMeshVertex")] + point(10, *p) + [(70, 64)], "AcDbVertex")
    d.entity("SEQEND", "PLATE", [])
    d.entity("POLYLINE", "PLATE", [(66, 1)] + point(10, 0.0, 0.0) + [(70, 64), (71, 3), (72, 1)], "AcDbPolyFaceMesh")
    for p in corners[:3]:
        d.entity("VERTEX", "PLATE", [(100, "AcDbPolyFaceMeshVertex")] + point(10, *p) + [(70, 192)], "AcDbVertex")
    face = point(10, 0.0, 0.0) + [(70, 128), (71, 1), (72, 2), (73, 3)]
    d.entity("VERTEX", "PLATE", [(100, "AcDbFaceRecord")] + face)
    d.entity("SEQEND", "PLATE", [])
    sheet.shows("PLATE", rings(gusset(25.0, 35.0)))


@fixture("mirrored-solid.dxf", "SOLID and TRACE with extrusion (0, 0, −1): x of their corners is mirrored")
def mirrored_solid(sheet, d):
    shim, strip = [(12.0, 9.0), (95.0, 20.0), (88.0, 61.0), (20.0, 55.0)], [(210.0, 10.0), (290.0, 14.0), (289.0, 26.0), (209.0, 22.0)]
    for layer, kind, corners in (("SHIM", "SOLID", shim), ("STRIP", "TRACE", strip)):
        a, b, c, e = [(-x, y) for x, y in corners]
        d.solid(layer, [a, b, e, c], kind=kind, extrusion=(0.0, 0.0, -1.0))
        sheet.shows(layer, rings(corners))


@fixture("ellipse-mirrored.dxf", "elliptical arcs, by parameters that are no angles: in a mirrored block, and with extrusion (0, 0, −1)")
def ellipse_mirrored(sheet, d):
    centre, major, ratio, begin, end = (70.0, 30.0), (52.0, 20.0), 0.45, 0.4, 2.9

    def at(t):
        return (centre[0] + major[0] * math.cos(t) - ratio * major[1] * math.sin(t), centre[1] + major[1] * math.cos(t) + ratio * major[0] * math.sin(t))

    d.block("CAP")
    d.ellipse("CAP", centre, major, ratio, begin, end)
    d.line("CAP", at(begin), at(end))
    d.model()
    d.insert("CAP", "CAP", (-15.0, 60.0), (-1.0, 1.0))

    def left(p):
        return (-p[0] - 15.0, p[1] + 60.0)

    u, v = (-major[0], major[1]), (ratio * major[1], ratio * major[0])
    sheet.shows("CAP", [[("ellipse", left(centre), u, v, begin, end - begin), ("line", left(at(end)), left(at(begin)))]])
    # Seen from below the minor axis stands on the other side of the major one; centre and major axis are as they are.
    pairs = point(10, 250.0, 40.0) + point(11, 48.0, -14.0) + [(210, 0.0), (220, 0.0), (230, -1.0), (40, 0.6), (41, 0.3), (42, 2.2)]
    d.entity("ELLIPSE", "LID", pairs, "AcDbEllipse")
    u, v = (48.0, -14.0), (0.6 * -14.0, 0.6 * -48.0)

    def below(t):
        return (250.0 + u[0] * math.cos(t) + v[0] * math.sin(t), 40.0 + u[1] * math.cos(t) + v[1] * math.sin(t))

    d.line("LID", below(0.3), below(2.2))
    sheet.shows("LID", [[("ellipse", (250.0, 40.0), u, v, 0.3, 1.9), ("line", below(2.2), below(0.3))]])


@fixture("spline-unclamped.dxf", "open cubic spline whose knots are not clamped: it begins and ends within its control points, where lines meet it")
def spline_unclamped(sheet, d):
    control = [(20.0, 10.0), (35.0, 80.0), (80.0, 95.0), (120.0, 70.0), (150.0, 90.0), (190.0, 20.0)]
    d.spline("FAIRING", 3, list(range(10)), control, flags=8)
    spans = [span for span in uniform_cubic(control)[:3]]
    begin = tuple(axis[0] for axis in spans[0])
    end = tuple(sum(axis) for axis in spans[-1])
    corner = (begin[0] + 20.0, -15.0)
    d.line("FAIRING", end, corner)
    d.line("FAIRING", corner, begin)
    sheet.shows("FAIRING", [[("poly", X, Y) for X, Y in spans] + [("line", end, corner), ("line", corner, begin)]])


@fixture("negative-radius.dxf", "a circle with a negative radius: measured without the sign, with a warning")
def negative_radius(sheet, d):
    d.lwpolyline("PLATE", rectangle(15.0, -20.0, 96.0, 61.0))
    d.circle("PLATE", 50.0, 8.0, -11.5)
    sheet.shows("PLATE", rings(rectangle(15.0, -20.0, 96.0, 61.0)), [circle(50.0, 8.0, 11.5)])


@fixture("numbers-out-of-range.dxf", "numbers that cannot be drawn: a denormal radius, an infinite centre, falling knots, a scale of 0; beside a plate")
def numbers_out_of_range(sheet, d):
    d.lwpolyline("PLATE", gusset(40.0, 15.0))
    d.circle("TINY", 12.0, 13.0, 1e-310)
    d.circle("FAR", 1.7e308, 13.0, 1.7e308)
    d.spline("FALLING", 2, [0, 0, 0, 3, 2, 5, 5, 5], [(0.0, 0.0), (40.0, 5.0), (50.0, 60.0), (10.0, 70.0), (0.0, 0.0)])
    d.block("HOLE")
    d.circle("0", 0.0, 0.0, 6.0)
    d.model()
    d.insert("SCALE", "HOLE", (60.0, 30.0), (0.0, 1.0))
    d.line("INFINITE", (313.125, 10.0), (40.0, 70.0))
    sheet.shows("PLATE", rings(gusset(40.0, 15.0)))
    sheet.contents = replaced(d.text_file(), "313.125", "inf").encode("ascii")


def replaced(text, old, new):
    assert text.count(f"\n{old}\n") == 1, old
    return text.replace(f"\n{old}\n", f"\n{new}\n")


# ------------------------------------------------------------------------------------------------------------ blocks


@fixture("block-missing.dxf", "references to blocks that are missing, beside a plate: left out, with a warning")
def block_missing(sheet, d):
    d.lwpolyline("PLATE", gusset(-40.0, 25.0))
    d.insert("PLATE", "HOLE 22", (-20.0, 40.0))
    d.insert("PLATE", "HOLE 22", (5.0, 40.0), columns=3, spacing=(12.0, 0.0))
    sheet.shows("PLATE", rings(gusset(-40.0, 25.0)))


@fixture("block-within-itself.dxf", "a block that holds a reference to itself: its other entities are measured, with a warning")
def block_within_itself(sheet, d):
    d.block("PLATE")
    d.lwpolyline("PLATE", gusset(0.0, 0.0))
    d.insert("PLATE", "PLATE", (200.0, 0.0))
    d.model()
    d.insert("PLATE", "PLATE", (35.0, 12.0), (1.0, 1.0), 20.0)
    sheet.shows("PLATE", rings(moved(turned(gusset(0.0, 0.0), 20.0), 35.0, 12.0)))


@fixture("block-mirrored-plane.dxf", "an insert with extrusion (0, 0, −1): seen from below, its place too")
def block_mirrored_plane(sheet, d):
    plate_block(d, base=(12.0, 5.0))
    d.insert("PLATE", "PLATE", (-80.0, 25.0), (1.2, 1.2), 30.0, extrusion=(0.0, 0.0, -1.0))

    def place(vertices):
        own = [(1.2 * (v[0] - 12.0), 1.2 * (v[1] - 5.0)) + tuple(v[2:]) for v in vertices]
        return mirrored(moved(turned(own, 30.0), -80.0, 25.0))

    hole = place([HOLE[:2]])[0]
    sheet.shows("PLATE", rings(place(PLATE)), [circle(hole[0], hole[1], 1.2 * HOLE[2])])


@fixture("block-array-too-large.dxf", "an array of 32,767 by 32,767 holes beside a plate: more than is read, so the drawing is refused")
def block_array_too_large(sheet, d):
    d.lwpolyline("PLATE", gusset(18.0, -60.0))
    d.block("HOLE")
    d.circle("0", 0.0, 0.0, 2.5)
    d.model()
    d.insert("PLATE", "HOLE", (30.0, -50.0), columns=32767, rows=32767, spacing=(7.0, 8.0))


@fixture("block-external.dxf", "a reference to another drawing file (external reference) beside a plate: not opened, with a warning")
def block_external(sheet, d):
    d.lwpolyline("PLATE", gusset(18.0, 75.0))
    d.block("GRID")
    d.model()
    d.insert("PLATE", "GRID", (0.0, 0.0))
    sheet.shows("PLATE", rings(gusset(18.0, 75.0)))
    text = d.text_file()
    assert text.count("  2\nGRID\n 70\n0\n") == 1
    sheet.contents = text.replace("  2\nGRID\n 70\n0\n", "  2\nGRID\n 70\n4\n").encode("ascii")


# ------------------------------------------------------------------------------------------------------ layers, text


@fixture("layer-case.dxf", "one layer, its name in small and in capital letters")
def layer_case(sheet, d):
    d.lwpolyline("Flange", rectangle(20.0, 30.0, 150.0, 44.0))
    d.circle("Flange", 60.0, 50.0, 9.0)
    d.circle("Flange", 131.0, 53.0, 13.0)
    text = d.text_file()
    first = text.index("\nENTITIES\n")
    last = text.rindex("\nFlange\n")
    sheet.contents = (text[:first] + text[first:last] + text[last:].replace("\nFlange\n", "\nFLANGE\n", 1)).encode("ascii")
    sheet.shows("Flange", rings(rectangle(20.0, 30.0, 150.0, 44.0)), [circle(60.0, 50.0, 9.0), circle(131.0, 53.0, 13.0)])


@fixture("codepage-932.dxf", "layer name in code page 932, whose second bytes may look like a backslash (表 is 95 5C)", version="AC1015", codepage="ANSI_932")
def codepage_932(sheet, d):
    d.lwpolyline("表U+00D8", gusset(31.0, -12.0))
    sheet.shows("表U+00D8", rings(gusset(31.0, -12.0)))
    sheet.contents = d.text_file().encode("cp932")


@fixture("escaped-multibyte.dxf", "layer name with \\M+nXXXX escapes (code page 932)", version="AC1015", codepage="ANSI_1252")
def escaped_multibyte(sheet, d):
    d.lwpolyline("\\M+194C2 t9", gusset(-14.0, 81.0))
    sheet.shows("板 t9", rings(gusset(-14.0, 81.0)))


@fixture("byte-order-mark.dxf", "UTF-8 with a byte-order mark, and what a text editor left behind the end: Ctrl-Z and rubbish")
def byte_order_mark(sheet, d):
    d.lwpolyline("Träger", gusset(64.0, 19.0))
    sheet.shows("Träger", rings(gusset(64.0, 19.0)))
    sheet.contents = b"\xef\xbb\xbf" + d.text_file().encode("utf-8") + b"\x1a\nend of transmission\n"


# ------------------------------------------------------------------------------------------------------------- files


@fixture("comments-and-blanks.dxf", "comments (group 999) within entities, blanks around codes and values, lowercase section names")
def comments_and_blanks(sheet, d):
    d.lwpolyline("PLATE", gusset(55.0, 66.0))
    sheet.shows("PLATE", rings(gusset(55.0, 66.0)))
    out = []
    for code, value in d.pairs():
        value = str(value) if isinstance(value, (int, str)) else repr(value)
        name = value in ("SECTION", "ENDSEC", "ENTITIES", "TABLES", "HEADER", "BLOCKS", "EOF")
        out.append(f"{code:>6}  \n{' ' if code < 10 else ''}{value.lower() if name else value}  \n")
        if code in (8, 10, 42):
            out.append("999\nchecked by the foreman\n")
    sheet.contents = "".join(out).encode("ascii")


@fixture("numbers-in-odd-dress.dxf", "numbers as some programs write them: +10., 1.0E+002, 12.50e0, whole numbers with decimals")
def numbers_in_odd_dress(sheet, d):
    plate = [(10.0, 100.0), (312.5, 100.0), (300.0, 128.0), (10.0, 171.25)]
    d.lwpolyline("PLATE", plate)
    sheet.shows("PLATE", rings(plate))
    text = d.text_file()
    begin = text.index("LWPOLYLINE")
    head, tail = text[:begin], text[begin:]
    for old, new in (("10.0", "+10."), ("100.0", "1.0E+002"), ("312.5", " 3.12500000000000e2"), ("171.25", "00171.2500")):
        tail = tail.replace(f"\n{old}\n", f"\n{new}\n")
    sheet.contents = (head + tail.replace("\n 70\n1\n", "\n 70\n1.0\n", 1)).encode("ascii")


@fixture("counts-that-lie.dxf", "counts of vertices, knots and points that are far from what follows (groups 72 to 74 and 90)")
def counts_that_lie(sheet, d):
    control = [(40.0, 30.0), (130.0, 10.0), (190.0, 60.0), (150.0, 120.0), (95.0, 85.0), (60.0, 130.0), (15.0, 90.0)]
    d.spline("CAM", 3, list(range(-3, 11)), control + control[:3], flags=11)
    d.lwpolyline("PLATE", gusset(255.0, 66.0))
    sheet.shows("CAM", [[("poly", X, Y) for X, Y in uniform_cubic(control)]])
    sheet.shows("PLATE", rings(gusset(255.0, 66.0)))
    text = d.text_file()
    for old, new in ((" 72\n14\n", " 72\n2147483647\n"), (" 73\n10\n", " 73\n-3\n"), (" 74\n0\n", " 74\n99999999\n"), (" 90\n5\n", " 90\n4000000000\n")):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    sheet.contents = text.encode("ascii")


@fixture("handles.dxf", "handles that are empty, doubled or no numbers: entities are measured all the same")
def handles(sheet, d):
    d.lwpolyline("PLATE", gusset(-33.0, -71.0))
    d.circle("PLATE", 0.0, -50.0, 9.5)
    d.circle("PLATE", 20.0, -60.0, 4.0)
    d.lwpolyline("RIB", rectangle(120.0, -71.0, 12.0, 66.0))
    sheet.shows("PLATE", rings(gusset(-33.0, -71.0)), [circle(0.0, -50.0, 9.5), circle(20.0, -60.0, 4.0)])
    sheet.shows("RIB", rings(rectangle(120.0, -71.0, 12.0, 66.0)))
    text = d.text_file()
    begin = text.index("\nENTITIES\n")
    tail = text[begin:]
    own = [line for code, line in zip(tail.split("\n"), tail.split("\n")[1:]) if code == "  5"][:4]
    for old, new in zip(own, ("", "1A", "1A", "not a handle")):
        tail = tail.replace(f"  5\n{old}\n", f"  5\n{new}\n", 1)
    sheet.contents = (text[:begin] + tail).encode("ascii")


@fixture("bad-header.dxf", "header variables that are not as they should be: the drawing does not need them")
def bad_header(sheet, d):
    d.lwpolyline("PLATE", gusset(10.0, 33.0))
    sheet.shows("PLATE", rings(gusset(10.0, 33.0)))
    bad = "  9\n$DIMASZ\n 70\n2,5\n  9\n$EXTMIN\n 10\n\n 20\nnan\n  9\n$UNKNOWN\n 40\nseven\n  9\n$CLAYER\n  8\n\n"
    text = d.text_file()
    assert text.count("  9\n$HANDSEED\n") == 1
    sheet.contents = text.replace("  9\n$HANDSEED\n", bad + "  9\n$HANDSEED\n").encode("ascii")


@fixture("repeated-sections.dxf", "two ENTITIES sections, and pairs outside any section")
def repeated_sections(sheet, d):
    d.lwpolyline("PLATE", gusset(10.0, -18.0))
    d.circle("PLATE", 26.0, 0.0, 7.0)
    sheet.shows("PLATE", rings(gusset(10.0, -18.0)), [circle(26.0, 0.0, 7.0)])
    text = d.text_file()
    between = "  0\nENDSEC\n 62\n7\n  6\nCONTINUOUS\n  0\nSECTION\n  2\nENTITIES\n"
    assert text.count("  0\nCIRCLE\n") == 1
    sheet.contents = text.replace("  0\nCIRCLE\n", between + "  0\nCIRCLE\n").encode("ascii")


@fixture("no-end-mark.dxf", "all there but the mark of the end (EOF)")
def no_end_mark(sheet, d):
    d.lwpolyline("PLATE", gusset(71.0, -18.0))
    sheet.shows("PLATE", rings(gusset(71.0, -18.0)))
    sheet.contents = d.text_file().removesuffix("  0\nEOF\n").encode("ascii")


@fixture("invisible.dxf", "an outline that is marked invisible (group 60) beside one that shows")
def invisible(sheet, d):
    d.lwpolyline("PLATE", gusset(71.0, 47.0))
    d.entity("CIRCLE", "PLATE", [(60, 1)] + point(10, 90.0, 60.0) + [(40, 8.0)], "AcDbCircle")


@fixture("before-r11.dxf", "as programs wrote before R11: no header, no tables, 3DLINE, and elevations in group 38", units="none", version="")
def before_r11(sheet, d):
    corners = [(12.0, 7.0), (96.0, 7.0), (96.0, 41.0), (12.0, 58.0)]
    lines = ["0", "SECTION", "2", "ENTITIES"]
    for (x, y), (p, q) in zip(corners, corners[1:] + corners[:1]):
        lines += ["0", "3DLINE", "8", "BRACKET", "10", f"{x}", "20", f"{y}", "30", "4.0", "11", f"{p}", "21", f"{q}", "31", "4.0"]
    lines += ["0", "CIRCLE", "8", "BRACKET", "38", "4.0", "10", "40.0", "20", "28.0", "40", "9.5", "0", "ENDSEC", "0", "EOF", ""]
    sheet.contents = "\n".join(lines).encode("ascii")
    sheet.shows("BRACKET", rings(corners), [circle(40.0, 28.0, 9.5)])


@fixture("labels.dxf", "what is written in parts and beside them, as TEXT, MTEXT and an attribute of a block: names for the parts")
def labels(sheet, d):
    for i, x in enumerate((20.0, 160.0, 300.0)):
        d.lwpolyline("CUT", gusset(x, 30.0 + 5.0 * i))
    d.entity("TEXT", "MARKS", point(10, 28.0, 40.0) + [(40, 4.0), (1, "P1 %%c12")], "AcDbText")
    d.entity("MTEXT", "MARKS", point(10, 170.0, 60.0) + [(40, 4.0), (71, 1), (1, "{\\H3;P2\\PPL 10}")], "AcDbMText")
    d.entity("TEXT", "MARKS", point(10, 305.0, 25.0) + [(40, 4.0), (1, "P3")], "AcDbText")


@fixture("sheet-layout.dxf", "plates in model space, and a smaller copy of one on the sheet that was on screen", units="mm")
def sheet_layout(sheet, d):
    d.lwpolyline("PLATE", gusset(18.0, 24.0))
    sheet.shows("PLATE", rings(gusset(18.0, 24.0)))
    d.paper_space()
    d.circle("DETAIL", 90.0, 60.0, 8.0)


@fixture("picture.dxf", "a picture with the wrong ending", units="", version="")
def picture(sheet, d):
    sheet.contents = b"\x89PNG\r\n\x1a\n" + struct.pack(">I4sIIBBBBB", 13, b"IHDR", 12, 9, 8, 2, 0, 0, 0)


@fixture("native-drawing.dxf", "the first bytes of a DWG drawing with the wrong ending", units="", version="")
def native_drawing(sheet, d):
    sheet.contents = b"AC1027\0\0\0\0\0\x1d\x03" + bytes(range(64))


@fixture("utf-16.dxf", "a drawing saved as UTF-16 by a text editor", units="", version="")
def utf_16(sheet, d):
    sheet.contents = b"\xff\xfe" + "  0\r\nSECTION\r\n  2\r\nENTITIES\r\n  0\r\nENDSEC\r\n  0\r\nEOF\r\n".encode("utf-16-le")
