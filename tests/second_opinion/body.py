#!/usr/bin/env python3
"""Writes body.txt: a body of two planar faces, put together, written and hidden by ezdxf, as a REGION holds it.

    pip install -r tests/second_opinion/requirements.txt
    python3 tests/second_opinion/body.py            writes it
    python3 tests/second_opinion/body.py --check    writes nothing; exit 1 where it differs
"""

import datetime
import pathlib
import sys

from ezdxf.acis import entities, hdr, sat
from ezdxf.math import Matrix44, Vec3
from ezdxf.tools import crypt

FILE = pathlib.Path(__file__).with_name("body.txt")
VERSION = 700

# Outer loop first; the areas are those that src/drawing/acis/tests.rs expects.
FACES = [
    [
        [(10, 20), (130, 20), (130, 100), (10, 100)],
        [(25, 40), (25, 70), (45, 70), (45, 40)],
        [(70, 50), (82, 65), (94, 50)],
    ],
    [[(150, 20), (185, 20), (185, 38), (150, 38)]],
]


def loop(corners):
    points = [Vec3(x, y) for x, y in corners]
    vertices = []
    for location in points:
        vertex = entities.Vertex()
        vertex.point = entities.Point()
        vertex.point.location = location
        vertices.append(vertex)
    coedges = []
    for i, start in enumerate(points):
        j = (i + 1) % len(points)
        edge, coedge = entities.Edge(), entities.Coedge()
        edge.start_vertex, edge.end_vertex = vertices[i], vertices[j]
        edge.curve = entities.StraightCurve()
        edge.curve.origin, edge.curve.direction = start, (points[j] - start).normalize()
        edge.end_param = (points[j] - start).magnitude
        # Every other edge is written against its loop.
        coedge.edge, coedge.sense = edge, i % 2 == 1
        if coedge.sense:
            edge.start_vertex, edge.end_vertex = edge.end_vertex, edge.start_vertex
            edge.sense = True
            edge.start_param, edge.end_param = -edge.end_param, 0.0
        edge.coedge = coedge
        vertices[i].edge = edge
        coedges.append(coedge)
    made = entities.Loop()
    made.set_coedges(coedges)
    return made


def body():
    shell, lump, made = entities.Shell(), entities.Lump(), entities.Body()
    for loops in FACES:
        face = entities.Face()
        face.surface = entities.Plane()
        for corners in loops:
            one = loop(corners)
            one.face = face
            face.append_loop(one)
        shell.append_face(face)
    lump.append_shell(shell)
    made.append_lump(lump)
    made.transform = entities.Transform()
    made.transform.matrix = Matrix44([0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 300, 40, 0, 1])
    return made


def main():
    header = hdr.AcisHeader()
    header.set_version(VERSION)
    header.creation_date = datetime.datetime(2024, 1, 1)
    exporter = sat.SatExporter(header)
    exporter.export(body())
    text = "".join(line + "\n" for line in crypt.encode(exporter.dump_sat()))
    if "--check" in sys.argv[1:]:
        return 0 if FILE.read_text() == text else 1
    FILE.write_text(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
