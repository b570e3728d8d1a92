"""The text of a flat body as REGION and BODY hold it (ACIS "SAT" of version 4.0), from pieces of outlines.

Topology and straight edges are as ezdxf reads them, ellipses from memory; src/drawing/acis/ says what is known.
"""

import math

from .writer import start


def body(faces, turn=0.0, move=(0.0, 0.0), surface="plane-surface $-1 0 0 0 0 0 1 1 0 0 forward_v I I I I"):
    """Lines of text, in the clear. `faces` are lists of loops, a loop is a list of pieces; `turn` in degrees and `move`
    are the body's transform. Every other edge is written against its loop."""
    c, s = round(math.cos(math.radians(turn)), 15), round(math.sin(math.radians(turn)), 15)
    matrix = f"{c!r} {s!r} 0 {-s!r} {c!r} 0 0 0 1 {move[0]!r} {move[1]!r} 0 1 rotate no_reflect no_shear"
    out = ["body $-1 $1 $-1 $3", "lump $-1 $-1 $2 $0", "shell $-1 $-1 $-1 $4 $-1 $1", "transform $-1 " + matrix]
    for number, loops in enumerate(faces):
        face = len(out)
        size = 2 + sum(1 + 5 * len(pieces) for pieces in loops)
        following = face + size if number + 1 < len(faces) else -1
        out += [f"face $-1 ${following} ${face + 2} $2 $-1 ${face + 1} forward single", surface]
        for i, pieces in enumerate(loops):
            out += loop(pieces, len(out), face, i + 1 < len(loops))
    out = [f"400 {len(out)} 1 0", "12 fixture file 11 ACIS 4.0 NT 24 Mon Jan  1 00:00:00 2024", "1 9.9999999999999995e-007 1e-010"] + [f"{r} #" for r in out]
    return out + ["End-of-ACIS-data"]


def loop(pieces, first, face, more):
    n = len(pieces)
    coedge, edge, vertex, point, curve = (first + 1 + k * n for k in range(5))
    out = [f"loop $-1 ${first + 1 + 5 * n if more else -1} ${coedge} ${face}"]
    for i in range(n):
        sense = "reversed" if i % 2 else "forward"
        out.append(f"coedge $-1 ${coedge + (i + 1) % n} ${coedge + (i - 1) % n} $-1 ${edge + i} {sense} ${first} $-1")
    for i, piece in enumerate(pieces):
        ends = [vertex + i, vertex + (i + 1) % n]
        # An arc that runs clockwise runs against its ellipse; one more turn where the edge runs against its loop.
        against = piece[0] != "line" and piece[-1] < 0.0
        if i % 2:
            ends.reverse()
            against = not against
        sense = "reversed" if against else "forward"
        out.append(f"edge $-1 ${ends[0]} ${ends[1]} ${coedge + i} ${curve + i} {sense}")
    out += [f"vertex $-1 ${edge + i} ${point + i}" for i in range(n)]
    out += [f"point $-1 {vector(start(piece))}" for piece in pieces]
    return out + [along(piece) for piece in pieces]


def along(piece):
    if piece[0] == "line":
        (x0, y0), (x1, y1) = piece[1], piece[2]
        size = math.hypot(x1 - x0, y1 - y0)
        return f"straight-curve $-1 {vector((x0, y0))} {vector(((x1 - x0) / size, (y1 - y0) / size))} I I"
    if piece[0] == "arc":
        major, ratio = (piece[2], 0.0), 1.0
    else:
        major, ratio = piece[2], math.hypot(*piece[3]) / math.hypot(*piece[2])
    return f"ellipse-curve $-1 {vector(piece[1])} 0 0 1 {vector(major)} {ratio!r} I I"


def vector(p):
    return f"{float(p[0])!r} {float(p[1])!r} 0"


def hidden(line):
    """As R2010 and older write it: 159 less each code, and a blank after what stands for A."""
    return "".join("^ " if c == "A" else chr(159 - ord(c)) if "!" <= c <= "~" else c for c in line)
