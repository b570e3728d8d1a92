"""A small writer of text DXF files, and the shapes that fixtures are drawn from.

Python standard library only; the same input gives the same bytes. Numbers are written with `repr`, which round-trips a
double, so the drawing holds exactly the coordinates that the truth values are computed from.

A *ring* is a closed list of pieces, each beginning where the one before it ends:
    ("line", p, q)    ("arc", centre, radius, start angle, sweep)    ("ellipse", centre, u, v, start parameter, sweep)
    ("poly", X, Y)    coefficients of x(t), y(t), constant term first, t from 0 to 1
Angles are radians, anticlockwise positive. A `bulge ring` is the shorthand [(x, y, bulge), ...].
"""

import math
import struct


# ------------------------------------------------------------------------------------------------------------ shapes


def ring(vertices):
    """The ring of a closed list of (x, y) or (x, y, bulge)."""
    pieces = []
    for i, vertex in enumerate(vertices):
        p, q = vertex[:2], vertices[(i + 1) % len(vertices)][:2]
        bulge = vertex[2] if len(vertex) > 2 else 0.0
        pieces.append(edge(p, q, bulge))
    return pieces


def edge(p, q, bulge):
    """The line or arc from p to q; bulge = tan(included angle / 4)."""
    if bulge == 0.0:
        return ("line", p, q)
    dx, dy = q[0] - p[0], q[1] - p[1]
    # The centre lies off the middle of the chord, to the left of it for an anticlockwise arc below a half circle.
    off = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = (0.5 * (p[0] + q[0]) - off * dy, 0.5 * (p[1] + q[1]) + off * dx)
    radius = math.hypot(dx, dy) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    return ("arc", centre, radius, math.atan2(p[1] - centre[1], p[0] - centre[0]), 4.0 * math.atan(bulge))


def circle(x, y, radius):
    return [("arc", (x, y), radius, 0.0, 2.0 * math.pi)]


def ellipse(centre, u, ratio, start=0.0, sweep=2.0 * math.pi):
    return ("ellipse", centre, u, (-ratio * u[1], ratio * u[0]), start, sweep)


def rectangle(x, y, width, height):
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


QUARTER = math.tan(math.pi / 8.0)  # bulge of a quarter circle, anticlockwise


def rounded(x, y, width, height, r):
    """Rectangle with four corner arcs, as a bulge ring."""
    return [
        (x + r, y, 0.0), (x + width - r, y, QUARTER), (x + width, y + r, 0.0), (x + width, y + height - r, QUARTER),
        (x + width - r, y + height, 0.0), (x + r, y + height, QUARTER), (x, y + height - r, 0.0), (x, y + r, QUARTER),
    ]


def slot(x, y, length, width):
    """Obround of overall length and width, lying along x, centred on (x, y), as a bulge ring."""
    a, r = 0.5 * (length - width), 0.5 * width
    return [(x - a, y - r, 0.0), (x + a, y - r, 1.0), (x + a, y + r, 0.0), (x - a, y + r, 1.0)]


def turned(vertices, degrees, about=(0.0, 0.0)):
    """A bulge ring (or a list of points) turned anticlockwise about a point."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    out = []
    for v in vertices:
        x, y = v[0] - about[0], v[1] - about[1]
        out.append((about[0] + c * x - s * y, about[1] + s * x + c * y) + tuple(v[2:]))
    return out


def moved(vertices, dx, dy):
    return [(v[0] + dx, v[1] + dy) + tuple(v[2:]) for v in vertices]


def scaled(vertices, k):
    return [(v[0] * k, v[1] * k) + tuple(v[2:]) for v in vertices]


def mirrored(vertices):
    """Mirrored in the y axis: x changes sign, so every arc turns the other way."""
    return [(-v[0], v[1]) + tuple(-b for b in v[2:]) for v in vertices]


def start(piece):
    kind = piece[0]
    if kind == "line":
        return piece[1]
    if kind == "arc":
        return (piece[1][0] + piece[2] * math.cos(piece[3]), piece[1][1] + piece[2] * math.sin(piece[3]))
    if kind == "ellipse":
        _, c, u, v, t, _ = piece
        return (c[0] + u[0] * math.cos(t) + v[0] * math.sin(t), c[1] + u[1] * math.cos(t) + v[1] * math.sin(t))
    return (piece[1][0], piece[2][0])


# ------------------------------------------------------------------------------------------------------------ writer


def number(value):
    return repr(value) if isinstance(value, float) else str(value)


class Drawing:
    """Entities, layers and blocks of one drawing; `text()` gives the file."""

    def __init__(self, version="AC1027", units=4, codepage=None, measurement=1):
        self.version, self.units, self.codepage, self.measurement = version, units, codepage, measurement
        self.layers, self.blocks, self.body, self.paper = {"0": (0, 7, True)}, {}, [], []
        self.target, self.owner = self.body, "1F"
        self.next = 0x100
        self.mline_styles = {}  # name -> (handle, flags, offsets)

    # -- bookkeeping

    @property
    def old(self):
        """R12 has neither subclass markers nor owners."""
        return self.version == "AC1009"

    def handle(self):
        self.next += 1
        return f"{self.next:X}"

    def layer(self, name, flags=0, color=7, plot=True):
        self.layers[name] = (flags, color, plot)
        return name

    def block(self, name, base=(0.0, 0.0)):
        """Entities drawn from here on belong to the block, until `model()`."""
        self.blocks[name] = (base, [], self.handle())
        self.target, self.owner = self.blocks[name][1], self.blocks[name][2]

    def model(self):
        self.target, self.owner = self.body, "1F"

    def paper_space(self):
        self.target, self.owner = self.paper, "1B"

    def entity(self, kind, layer, pairs, marker=None, extrusion=None, handle=None):
        if layer not in self.layers:
            self.layer(layer)
        out = [(0, kind), (5, handle or self.handle())]
        if not self.old:
            out += [(330, self.owner), (100, "AcDbEntity")]
        if self.target is self.paper:
            out.append((67, 1))
        out.append((8, layer))
        if not self.old and marker:
            out.append((100, marker))
        out += pairs
        if extrusion:
            out += point(210, *extrusion)
        self.target += out

    # -- entities

    def line(self, layer, p, q):
        self.entity("LINE", layer, point(10, *p) + point(11, *q), "AcDbLine")

    def arc(self, layer, centre, radius, begin, end, extrusion=None):
        """From `begin` to `end` anticlockwise, degrees."""
        pairs = point(10, *centre) + [(40, float(radius))]
        if not self.old:
            pairs.append((100, "AcDbArc"))
        # The extrusion belongs to the circle's part of the record, before the second subclass marker.
        if extrusion:
            pairs = pairs[:-1] + point(210, *extrusion) + pairs[-1:]
        self.entity("ARC", layer, pairs + [(50, float(begin)), (51, float(end))], "AcDbCircle")

    def circle(self, layer, x, y, radius, extrusion=None, z=0.0):
        self.entity("CIRCLE", layer, point(10, x, y, z) + [(40, float(radius))], "AcDbCircle", extrusion)

    def ellipse(self, layer, centre, major, ratio, begin=0.0, end=2.0 * math.pi):
        pairs = point(10, *centre) + point(11, *major) + [(210, 0.0), (220, 0.0), (230, 1.0)]
        pairs += [(40, float(ratio)), (41, float(begin)), (42, float(end))]
        self.entity("ELLIPSE", layer, pairs, "AcDbEllipse")

    def lwpolyline(self, layer, vertices, closed=True, extrusion=None, width=0.0, widths=None):
        """`widths`: start and end width of the edge after each vertex, in place of one width for all."""
        pairs = [(90, len(vertices)), (70, 1 if closed else 0)] + ([] if widths else [(43, float(width))])
        for i, v in enumerate(vertices):
            pairs += [(10, float(v[0])), (20, float(v[1]))]
            if widths:
                pairs += [(40, float(widths[i][0])), (41, float(widths[i][1]))]
            if len(v) > 2 and v[2] != 0.0:
                pairs.append((42, float(v[2])))
        self.entity("LWPOLYLINE", layer, pairs, "AcDbPolyline", extrusion)

    def polyline(self, layer, vertices, flags=1, vertex_flags=None, z=0.0, smooth=None, heights=None, width=None, widths=None):
        """Old POLYLINE/VERTEX/SEQEND. `vertex_flags` and `heights` one per vertex; `width`: what vertices have without
        an entry in `widths`, which has start and end width by the vertex's number."""
        solid = bool(flags & 8)
        marker = "AcDb3dPolyline" if solid else "AcDb2dPolyline"
        pairs = [(66, 1)] + point(10, 0.0, 0.0, 0.0 if solid else z) + [(70, flags)]
        if width:
            pairs += [(40, float(width)), (41, float(width))]
        if smooth:
            pairs.append((75, smooth))
        self.entity("POLYLINE", layer, pairs, marker)
        for i, v in enumerate(vertices):
            flag = vertex_flags[i] if vertex_flags else (32 if solid else 0)
            pairs = point(10, v[0], v[1], heights[i] if heights else z)
            if widths and i in widths:
                pairs += [(40, float(widths[i][0])), (41, float(widths[i][1]))]
            if len(v) > 2 and v[2] != 0.0:
                pairs.append((42, float(v[2])))
            if flag:
                pairs.append((70, flag))
            if not self.old:
                pairs.insert(0, (100, "AcDb3dPolylineVertex" if solid else "AcDb2dVertex"))
            self.entity("VERTEX", layer, pairs, "AcDbVertex")
        self.entity("SEQEND", layer, [])

    def spline(self, layer, degree, knots, control, weights=None, flags=8, fit=()):
        pairs = [(210, 0.0), (220, 0.0), (230, 1.0), (70, flags), (71, degree)]
        pairs += [(72, len(knots)), (73, len(control)), (74, len(fit))]
        pairs += [(42, 1e-9), (43, 1e-10)] + ([(44, 1e-10)] if fit else [])
        pairs += [(40, float(k)) for k in knots]
        pairs += [(41, float(w)) for w in weights or ()]
        for p in control:
            pairs += point(10, *p)
        for p in fit:
            pairs += point(11, *p)
        self.entity("SPLINE", layer, pairs, "AcDbSpline")

    def solid(self, layer, corners, kind="SOLID", extrusion=None):
        """Corners in the order of the file, where the third and the fourth are crossed."""
        pairs = []
        for code, p in zip((10, 11, 12, 13), corners):
            pairs += point(code, *p)
        self.entity(kind, layer, pairs, "AcDbTrace", extrusion)

    def modelled(self, kind, layer, lines):
        """REGION or BODY with the lines of its text, each cut where a group may hold no more of it."""
        pairs = [(70, 1)]
        for line in lines:
            parts = [line[i:i + 255] for i in range(0, len(line), 255)]
            pairs += [(3 if i else 1, part) for i, part in enumerate(parts)]
        self.entity(kind, layer, pairs, "AcDbModelerGeometry")

    def face(self, layer, corners, hidden=0):
        """3DFACE; `hidden` has a bit for each edge that is not shown."""
        pairs = []
        for code, p in zip((10, 11, 12, 13), corners):
            pairs += point(code, *p)
        self.entity("3DFACE", layer, pairs + ([(70, hidden)] if hidden else []), "AcDbFace")

    def hatch(self, layer, paths, style=0, extrusion=(0.0, 0.0, 1.0), z=0.0, seeds=((0.0, 0.0),)):
        """Each path is (flags, bulge ring) or (flags, [edge, ...]), where an edge is a list of pairs."""
        pairs = point(10, 0.0, 0.0, z) + point(210, *extrusion) + [(2, "SOLID"), (70, 1), (71, 0), (91, len(paths))]
        for flags, path in paths:
            if flags & 2:
                pairs += [(92, flags), (72, 1 if bulged(path) else 0), (73, 1)] + polyline_path(path)
            else:
                pairs += [(92, flags), (93, len(path))] + [pair for edge in path for pair in edge]
            pairs += [(97, 0)]
        pairs += [(75, style), (76, 1), (98, len(seeds))]
        for seed in seeds:
            pairs += point(10, *seed)[:2]
        self.entity("HATCH", layer, pairs, "AcDbHatch")

    def mpolygon(self, layer, loops, offset=(0.0, 0.0)):
        pairs = [(70, 1)] + point(10, 0.0, 0.0) + point(210, 0.0, 0.0, 1.0) + [(2, "SOLID"), (71, 1), (91, len(loops))]
        for loop in loops:
            pairs += [(92, 2), (73, 0), (72, 1 if bulged(loop) else 0)] + polyline_path(loop)
        pairs += [(76, 1), (73, 0), (63, 256)] + point(11, *offset)[:2] + [(99, 0)]
        self.entity("MPOLYGON", layer, pairs, "AcDbMPolygon")

    def mline_style(self, name, flags, offsets):
        self.mline_styles[name] = (self.handle(), flags, offsets)

    def mline_style_records(self):
        if not self.mline_styles:
            return []
        out = [(0, "DICTIONARY"), (5, "E"), (330, "C"), (100, "AcDbDictionary"), (281, 1)]
        for name, (handle, _, _) in self.mline_styles.items():
            out += [(3, name), (350, handle)]
        for name, (handle, flags, offsets) in self.mline_styles.items():
            out += [(0, "MLINESTYLE"), (5, handle), (330, "E"), (100, "AcDbMlineStyle"), (2, name), (70, flags), (3, "")]
            out += [(62, 256), (51, 90.0), (52, 90.0), (71, len(offsets))]
            for offset in offsets:
                out += [(49, float(offset)), (62, 256), (6, "BYLAYER")]
        return out

    def mline(self, layer, style, vertices, closed=False, scale=1.0, breaks=None):
        """`breaks`: for a segment (by its number) where each line stops and goes on again, measured along the segment."""
        handle, _, offsets = self.mline_styles[style]
        pairs = [(2, style), (340, handle), (40, float(scale)), (70, 1), (71, 3 if closed else 1), (72, len(vertices))]
        pairs += [(73, len(offsets))] + point(10, *vertices[0]) + point(210, 0.0, 0.0, 1.0)
        for i, (place, along, mitre, stretch) in enumerate(mitres(vertices, closed)):
            pairs += point(11, *place) + point(12, *along) + point(13, *mitre)
            for offset in offsets:
                places = [0.0] + [float(b) for b in (breaks or {}).get(i, ())]
                pairs += [(74, 1 + len(places)), (41, offset * scale * stretch)] + [(41, p) for p in places] + [(75, 0)]
        self.entity("MLINE", layer, pairs, "AcDbMline")

    def insert(self, layer, name, at, scale=(1.0, 1.0), angle=0.0, columns=1, rows=1, spacing=(0.0, 0.0), extrusion=None):
        pairs = [(2, name)] + point(10, *at)
        pairs += [(41, float(scale[0])), (42, float(scale[1])), (43, 1.0), (50, float(angle))]
        if columns * rows > 1:
            pairs += [(70, columns), (71, rows), (44, float(spacing[0])), (45, float(spacing[1]))]
        self.entity("INSERT", layer, pairs, "AcDbMInsertBlock" if columns * rows > 1 else "AcDbBlockReference", extrusion)

    def text(self, layer, at, height, words):
        pairs = point(10, *at) + [(40, float(height)), (1, words)]
        self.entity("TEXT", layer, pairs + ([] if self.old else [(100, "AcDbText")]), "AcDbText")

    def piece(self, layer, piece):
        kind = piece[0]
        if kind == "line":
            self.line(layer, piece[1], piece[2])
        elif kind == "arc":
            _, c, r, a, sweep = piece
            if abs(sweep) >= 2.0 * math.pi:
                return self.circle(layer, c[0], c[1], r)
            a, b = (a, a + sweep) if sweep > 0 else (a + sweep, a)
            self.arc(layer, c, r, math.degrees(a) % 360.0, math.degrees(b) % 360.0)
        elif kind == "ellipse":
            _, c, u, v, a, sweep = piece
            ratio = math.hypot(*v) / math.hypot(*u)
            a, b = (a, a + sweep) if sweep > 0 else (a + sweep, a)
            self.ellipse(layer, c, u, ratio, a, b)
        else:
            raise ValueError(kind)

    def loose(self, layer, pieces, order=None, backwards=()):
        """Pieces as LINE, ARC, ELLIPSE in the given order; lines named in `backwards` run from end to start."""
        for i in order or range(len(pieces)):
            piece = pieces[i]
            if i in backwards and piece[0] == "line":
                piece = ("line", piece[2], piece[1])
            self.piece(layer, piece)

    # -- the file

    def pairs(self):
        old = self.old
        out = [(999, "Drawn by tests/build_fixtures.py"), (0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, self.version)]
        if self.codepage:
            out += [(9, "$DWGCODEPAGE"), (3, self.codepage)]
        if self.units is not None and not old:
            out += [(9, "$INSUNITS"), (70, self.units)]
        if self.measurement is not None and not old:
            out += [(9, "$MEASUREMENT"), (70, self.measurement)]
        if not old:
            out += [(9, "$HANDSEED"), (5, "FFFF")]
        out += [(0, "ENDSEC"), (0, "SECTION"), (2, "TABLES")]
        out += self.table("LTYPE", "5", "AcDbLinetypeTableRecord", [self.linetype(*n) for n in LINETYPES[2 if old else 0:]])
        out += self.table("LAYER", "2", "AcDbLayerTableRecord", [self.layer_record(n) for n in self.layers])
        style = [(2, "Standard"), (70, 0), (40, 0.0), (41, 1.0), (50, 0.0), (71, 0), (42, 2.5), (3, "txt"), (4, "")]
        out += self.table("STYLE", "3", "AcDbTextStyleTableRecord", [("11", style)])
        if not old:
            out += self.table("VIEW", "6", "", []) + self.table("UCS", "7", "", [])
            out += self.table("APPID", "9", "AcDbRegAppTableRecord", [("12", [(2, "ACAD"), (70, 0)])])
            names = [("1F", [(2, "*Model_Space")]), ("1B", [(2, "*Paper_Space")])]
            names += [(record, [(2, name)]) for name, (_, _, record) in self.blocks.items()]
            out += self.table("BLOCK_RECORD", "1", "AcDbBlockTableRecord", names)
        out += [(0, "ENDSEC"), (0, "SECTION"), (2, "BLOCKS")]
        if not old:
            out += self.block_record("*Model_Space", (0.0, 0.0), [], "1F", "20", "21")
            out += self.block_record("*Paper_Space", (0.0, 0.0), [], "1B", "1C", "1D")
        for name, (base, body, record) in self.blocks.items():
            out += self.block_record(name, base, body, record, self.handle(), self.handle())
        out += [(0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")] + self.body + self.paper + [(0, "ENDSEC")]
        if not old:
            out += [(0, "SECTION"), (2, "OBJECTS"), (0, "DICTIONARY"), (5, "C"), (330, "0"), (100, "AcDbDictionary"), (281, 1)]
            out += [(3, "ACAD_GROUP"), (350, "D")]
            if self.mline_styles:
                out += [(3, "ACAD_MLINESTYLE"), (350, "E")]
            out += [(0, "DICTIONARY"), (5, "D"), (330, "C"), (100, "AcDbDictionary"), (281, 1)]
            out += self.mline_style_records() + [(0, "ENDSEC")]
        return out + [(0, "EOF")]

    def table(self, kind, handle, marker, records):
        old = self.old
        out = [(0, "TABLE"), (2, kind)]
        if not old:
            out += [(5, handle), (330, "0"), (100, "AcDbSymbolTable")]
        out.append((70, len(records)))
        for own, record in records:
            out.append((0, kind))
            if not old:
                out += [(5, own), (330, handle), (100, "AcDbSymbolTableRecord"), (100, marker)]
            out += record
        return out + [(0, "ENDTAB")]

    def linetype(self, handle, name):
        return (handle, [(2, name), (70, 0), (3, ""), (72, 65), (73, 0), (40, 0.0)])

    def layer_record(self, name):
        flags, color, plot = self.layers[name]
        out = [(2, name), (70, flags), (62, color), (6, "CONTINUOUS" if self.old else "Continuous")]
        if not self.old and not plot:
            out.append((290, 0))
        if not self.old:
            out.append((370, -3))
        return (self.handle(), out)

    def block_record(self, name, base, body, record, begin, end):
        old = self.old
        head = [(0, "BLOCK")] + ([(8, "0")] if old else [(5, begin), (330, record), (100, "AcDbEntity"), (8, "0"), (100, "AcDbBlockBegin")])
        head += [(2, name), (70, 0)] + point(10, *base) + [(3, name), (1, "")]
        tail = [(0, "ENDBLK")] + ([(8, "0")] if old else [(5, end), (330, record), (100, "AcDbEntity"), (8, "0"), (100, "AcDbBlockEnd")])
        return head + body + tail

    def text_file(self, newline="\n"):
        return "".join(f"{code:>3}{newline}{number(value)}{newline}" for code, value in self.pairs())


LINETYPES = [("14", "ByBlock"), ("15", "ByLayer"), ("16", "Continuous")]


def bulged(vertices):
    return any(len(v) > 2 and v[2] != 0.0 for v in vertices)


def polyline_path(vertices):
    pairs = [(93, len(vertices))]
    for v in vertices:
        pairs += [(10, float(v[0])), (20, float(v[1]))]
        if bulged(vertices):
            pairs.append((42, float(v[2])))
    return pairs


def mitres(vertices, closed):
    """For each vertex of a multiline: place, direction of the segment after it, direction of the mitre, and by how much
    offsets grow along the mitre."""
    def unit(x, y):
        return (x / math.hypot(x, y), y / math.hypot(x, y))

    count = len(vertices)
    steps = [unit(vertices[(i + 1) % count][0] - p[0], vertices[(i + 1) % count][1] - p[1]) for i, p in enumerate(vertices)]
    if not closed:
        steps[-1] = steps[-2]
    out = []
    for i, place in enumerate(vertices):
        before, after = steps[i - 1], steps[i]
        if not closed and i in (0, count - 1):
            before = after
        middle = unit(before[0] + after[0], before[1] + after[1])
        out.append((place, after, (-middle[1], middle[0]), 1.0 / (middle[0] * after[0] + middle[1] * after[1])))
    return out


def line_edge(p, q):
    """An edge of a hatch's path."""
    return [(72, 1), (10, float(p[0])), (20, float(p[1])), (11, float(q[0])), (21, float(q[1]))]


def arc_edge(centre, radius, begin, end):
    """From `begin` to `end` in degrees, the way the angles go. Clockwise arcs are written with complementary angles."""
    clockwise = end < begin
    sense = -1.0 if clockwise else 1.0
    pairs = [(72, 2), (10, float(centre[0])), (20, float(centre[1])), (40, float(radius))]
    return pairs + [(50, sense * begin + 0.0), (51, sense * end + 0.0), (73, 0 if clockwise else 1)]


def ellipse_edge(centre, major, ratio, begin, end):
    """From `begin` to `end`, directions from the centre against the major axis in degrees, the way the angles go."""
    clockwise = end < begin
    sense = -1.0 if clockwise else 1.0
    pairs = [(72, 3), (10, float(centre[0])), (20, float(centre[1])), (11, float(major[0])), (21, float(major[1])), (40, float(ratio))]
    return pairs + [(50, sense * begin + 0.0), (51, sense * end + 0.0), (73, 0 if clockwise else 1)]


def spline_edge(degree, knots, control, weights=None):
    pairs = [(72, 4), (94, degree), (73, 1 if weights else 0), (74, 0), (95, len(knots)), (96, len(control))]
    pairs += [(40, float(k)) for k in knots]
    for i, p in enumerate(control):
        pairs += [(10, float(p[0])), (20, float(p[1]))] + ([(42, float(weights[i]))] if weights else [])
    return pairs + [(97, 0)]


def point(code, x, y, z=0.0):
    return [(code, float(x)), (code + 10, float(y)), (code + 20, float(z))]


def binary(pairs, wide):
    """The pairs as a binary DXF, with group codes of two bytes (from R13) or of one, where 255 leads to two more. Remarks
    are left out: writers of binary drawings write none."""
    out = b"AutoCAD Binary DXF\r\n\x1a\0"
    for code, value in pairs:
        if code == 999:
            continue
        if wide:
            out += struct.pack("<H", code)
        else:
            out += struct.pack("<B", code) if code < 255 else struct.pack("<BH", 255, code)
        if 10 <= code < 60 or 210 <= code < 240:
            out += struct.pack("<d", value)
        elif 60 <= code < 80 or 170 <= code < 180 or 270 <= code < 290 or 370 <= code < 390:
            out += struct.pack("<h", value)
        elif 90 <= code < 100:
            out += struct.pack("<i", value)
        elif 290 <= code < 300:
            out += struct.pack("<B", value)
        else:
            out += str(value).encode("ascii") + b"\0"
    return out
