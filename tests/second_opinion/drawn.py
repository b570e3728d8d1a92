"""A fixture's layer as another reader and another geometry library see it: ezdxf and shapely, curves cut into chords.

Rings are nested by even-odd depth, loose pieces are polygonised; good to about 1e-6.
"""

import math

import ezdxf
from ezdxf.entities.boundary_paths import BoundaryPaths, EdgeType
from ezdxf.math import Vec3
from shapely import unary_union
from shapely.geometry import LineString, Polygon
from shapely.ops import linemerge, polygonize


def entities(layout, inherited=None):
    """Entities with their layers, blocks expanded, layer 0 of a block taken from the insert."""
    for e in layout:
        if e.dxftype() == "INSERT":
            # An array gives one insert for each place; each is expanded by itself.
            if e.block() is None or 0.0 in (e.dxf.xscale, e.dxf.yscale, e.dxf.zscale):
                continue  # the other reader goes no further than this
            for single in e.multi_insert() if e.mcount > 1 else [e]:
                layer = inherited if inherited and single.dxf.layer == "0" else single.dxf.layer
                for sub, own in entities(single.virtual_entities(), layer):
                    yield sub, own
        else:
            yield e, (inherited if inherited and e.dxf.layer == "0" else e.dxf.layer)


def area_and_centroid(file, layer):
    """In millimetres; `None` where the other reader cannot read the file or sees no outline."""
    try:
        document = ezdxf.readfile(file)
        drawn = list(entities(document.modelspace()))
    except (OSError, ValueError, ezdxf.DXFError, RecursionError):
        return None  # the last two: a handle that is none, a block within itself
    if layer.startswith("="):
        return None  # not a layer name that the other reader accepts
    if file.name == "repeated-sections.dxf":
        return None  # the other reader keeps the last of several sections
    unit = {0: 1.0, 1: 25.4, 4: 1.0, 6: 1000.0}[document.header.get("$INSUNITS", 0)]
    closed, loose, filled = [], [], []
    for e, own in drawn:
        if own.lower() != layer.lower() or e.dxftype() in ("TEXT", "POINT"):
            continue
        if e.dxftype() == "POLYLINE" and e.dxf.flags & (16 | 64):
            continue  # a mesh
        if e.dxftype() in ("SOLID", "TRACE"):
            closed.append(Polygon([(p.x, p.y) for p in e.wcs_vertices()]))
            continue
        if e.dxftype() == "3DFACE":
            corners = [(p.x, p.y) for p in e.wcs_vertices()]
            if Polygon(corners).area > 0:
                closed.append(Polygon(corners))
            continue
        if e.dxftype() in ("HATCH", "MPOLYGON"):
            filled += hatched(e)
            continue
        if e.dxftype() == "MLINE":
            lines = multiline(e)
            if lines is None:
                return None
            whole = linemerge([LineString(line) for line in lines])
            whole = list(whole.geoms) if whole.geom_type == "MultiLineString" else [whole]
            if all(line.is_ring for line in whole):
                closed += [Polygon(line) for line in whole]
            else:
                loose += lines
            continue
        if e.dxftype() == "SPLINE" and not e.closed and e.knots and e.knots[0] != e.knots[e.dxf.degree]:
            return None  # the other reader follows it beyond its own range of parameters
        points = chords(e)
        if len(set(points)) < 2 or (len(set(points)) < 3 and e.dxftype() != "LINE"):
            continue
        if near(points[0], points[-1]):
            closed.append(Polygon(points))
        else:
            loose.append(points)
    if not closed and not loose:
        closed = filled  # hatches count where there is no other outline
    if loose:
        # Ends within 1e-6 become one point, ends within 1e-2 are linked; of lines that hang together the union of the
        # enclosed faces counts.
        ends = []
        for piece in loose:
            for end in (0, -1):
                known = [k for k in ends if near(k, piece[end])]
                ends += [] if known else [piece[end]]
                piece[end] = known[0] if known else piece[end]
        links = [[p, q] for i, p in enumerate(ends) for q in ends[:i] if math.dist(p, q) < 1e-2]
        for lines in hanging_together(unary_union([LineString(l) for l in loose + links], grid_size=1e-7)):
            body = unary_union(list(polygonize(lines)))
            closed += [body] if not body.is_empty and body.geom_type == "Polygon" else []
    shape = None
    for p in unique([p for p in closed if p.area > 0]):
        shape = p if shape is None else shape.symmetric_difference(p)
    if shape is None or shape.is_empty:
        return None
    return shape.area * unit * unit, shape.centroid.x * unit, shape.centroid.y * unit


def hanging_together(noded):
    """Lines that meet in their ends alone, in groups of those that hang together."""
    groups = []  # (ends, lines)
    for line in getattr(noded, "geoms", [noded]):
        ends, lines = {line.coords[0], line.coords[-1]}, [line]
        for other in [g for g in groups if g[0] & ends]:
            groups.remove(other)
            ends, lines = ends | other[0], other[1] + lines
        groups.append((ends, lines))
    return [lines for _, lines in groups]


def hatched(e):
    """The loops of a hatch or polygon that count in its style."""
    offset = Vec3(e.dxf.offset_vector) if e.dxftype() == "MPOLYGON" else Vec3()
    style = e.dxf.hatch_style if e.dxftype() == "HATCH" else 0
    loops = []
    for boundary in e.paths.rendering_paths(style):
        if not boundary.path_type_flags & 8:
            # The other reader's own paths replace arcs by cubics that lie off by more than chords do.
            edges = boundary
            if hasattr(boundary, "vertices"):
                # An MPOLYGON's loops are closed, whatever their flags say.
                boundary.is_closed = True
                paths = BoundaryPaths([boundary])
                paths.polyline_to_edge_paths(just_with_bulge=False)
                edges = paths.paths[0]
            points = []
            for edge in edges.edges:
                if edge.type == EdgeType.LINE:
                    part = [edge.start, edge.end]
                elif edge.type == EdgeType.SPLINE:
                    part = list(edge.construction_tool().approximate(5000))
                else:
                    part = list(edge.construction_tool().flattening(1e-6))
                    part = part if edge.ccw else part[::-1]
                points += part
            placed = [e.ocs().to_wcs(Vec3(p).replace(z=e.dxf.elevation.z) + offset) for p in points]
            loops.append(Polygon([(p.x, p.y) for p in placed]))
    return loops


def multiline(e):
    """The lines and arcs of a multiline, ends rounded so that they meet; `None` where the other reader can't tell."""
    if any(len(line) > 2 for vertex in e.vertices for line in vertex.line_params):
        return None  # it takes no breaks
    pieces = [chords(piece) for piece in e.virtual_entities() if piece.dxftype() in ("LINE", "ARC")]
    return [[(round(x, 7), round(y, 7)) for x, y in piece] for piece in pieces] or None


def chords(e):
    """Points along an entity, chords within 1e-5 of the curve."""
    if e.dxftype() == "LINE":
        points = [e.dxf.start, e.dxf.end]
    elif e.dxftype() == "POLYLINE" and e.dxf.flags & 4:
        # The other reader takes the frame of control points for vertices.
        points = [v.dxf.location for v in e.vertices if not v.dxf.flags & 16]
        points.append(points[0])
    elif e.dxftype() in ("LWPOLYLINE", "POLYLINE"):
        points = []
        for sub in e.virtual_entities():
            part = chords(sub)
            if not part:
                continue  # an edge without length
            if not points:
                first = points = part
                continue
            if len(points) == len(first) and not near(points[-1], part[0]) and not near(points[-1], part[-1]):
                points.reverse()
            points = points + (part if near(points[-1], part[0]) else part[::-1])[1:]
        return points
    elif e.dxftype() == "SPLINE" and e.dxf.flags & 2:
        # The other reader runs a periodic spline over all its knots; the curve ends where the wrapped points begin.
        curve = e.construction_tool()
        begin, end = curve.knots()[curve.degree], curve.knots()[curve.count]
        points = list(curve.points(begin + (end - begin) * i / 20000 for i in range(20001)))
    elif e.dxftype() == "CIRCLE" and e.dxf.radius == 0.0:
        points = [e.dxf.center]
    else:
        points = e.flattening(1e-5)
    return [(p.x, p.y) for p in map(Vec3, points)]


def near(p, q):
    return abs(p[0] - q[0]) + abs(p[1] - q[1]) < 1e-6


def unique(polygons):
    out = []
    for p in polygons:
        if not any(p.symmetric_difference(o).area < 1e-9 * p.area for o in out):
            out.append(p)
    return out
