#!/usr/bin/env python3
"""Counts the entities of drawings by kind and layer, as two readers that share nothing with the program see them.

    pip install -r tests/entity_counts/requirements.txt
    python3 tests/entity_counts/count.py                       writes fixtures.csv, the counts of fixtures/
    python3 tests/entity_counts/count.py --check               writes nothing; exit 1 where they differ
    python3 tests/entity_counts/count.py --folder DIR --to FILE    the counts of other drawings

One reader is ezdxf (its `recover` where that alone reads a file), the other the group-code counter below, which
knows sections, layers and blocks and no kind of entity at all. What counts:
  - entities of model space; vertices belong to their polyline, attributes count as entities of their own
  - a block reference counts as what its block holds, times rows and columns, blocks within blocks likewise; entities
    on layer 0 of a block count on the layer of the reference
  - a reference to a block that is missing, stands within itself or is another drawing counts as one INSERT
Layer names are compared without regard to case.
"""

import argparse
import collections
import csv
import io
import logging
import pathlib
import re
import struct
import sys

HERE = pathlib.Path(__file__).parent
ROOT = HERE.parent.parent
INHERITED = None  # on layer 0 of a block


# ------------------------------------------------------------------------------------------ what both readers share


class Blocks:
    """Counts what blocks hold. `items` gives for a block (kind, layer, reference or None), a reference being
    (block name, times)."""

    def __init__(self, items):
        self.items = items
        self.known = {}

    def count(self, name, within=()):
        """Counts of a block by (kind, layer); `None` where there is no such block."""
        key = name.lower()
        if key in self.known:
            return self.known[key]
        items = self.items(key)
        if items is None or key in within:
            return None
        total = self.total(items, within + (key,), in_block=True)
        self.known[key] = total
        return total

    def total(self, items, within=(), in_block=False):
        total = collections.Counter()
        for kind, layer, reference in items:
            layer = layer.lower() or "0"
            layer = INHERITED if in_block and layer == "0" else layer
            inner = self.count(reference[0], within) if reference else None
            if inner is None:
                total[kind, layer] += 1
                continue
            for (inner_kind, inner_layer), number in inner.items():
                total[inner_kind, layer if inner_layer is INHERITED else inner_layer] += number * reference[1]
        return total


# ------------------------------------------------------------------------------------------------------------ ezdxf


def by_ezdxf(path):
    import ezdxf
    from ezdxf import recover

    try:
        document, how = ezdxf.readfile(path), "ezdxf"
    except Exception:
        try:
            document, how = recover.readfile(path)[0], "ezdxf"
        except Exception:
            return None, "ezdxf"

    def described(layout):
        for entity in layout:
            kind = entity.dxftype()
            try:
                layer = entity.dxf.get("layer", "0") if entity.dxf is not None else "0"
            except ezdxf.DXFAttributeError:
                layer = "0"  # a kind that ezdxf keeps unread
            reference = None
            if kind == "INSERT":
                times = max(entity.dxf.get("column_count", 1), 1) * max(entity.dxf.get("row_count", 1), 1)
                reference = (entity.dxf.get("name", ""), times)
                for attribute in entity.attribs:
                    yield "ATTRIB", attribute.dxf.get("layer", "0"), None
            yield kind, layer, reference

    def items(name):
        block = document.blocks.get(name)
        if block is None or (block.block.dxf.get("flags", 0) & 12 and len(block) == 0):
            return None
        return list(described(block))

    return Blocks(items).total(described(document.modelspace())), how


# ------------------------------------------------------------------------------------------------- group codes alone


SENTINEL = b"AutoCAD Binary DXF\r\n\x1a\x00"
# What a value is in binary DXF, by the first group code of a range; None for text that a zero byte ends.
BINARY = [(0, None), (10, "d"), (60, "h"), (90, "i"), (100, None), (110, "d"), (160, "q"), (170, "h"), (210, "d")]
BINARY += [(270, "h"), (290, "b"), (300, None), (310, "chunk"), (320, None), (370, "h"), (390, None), (400, "h")]
BINARY += [(410, None), (420, "i"), (430, None), (440, "i"), (450, "i"), (460, "d"), (470, None), (480, None)]
BINARY += [(999, None), (1004, "chunk"), (1005, None), (1010, "d"), (1060, "h"), (1071, "i"), (1072, None)]


def binary_pairs_of(data):
    """The same of binary DXF: codes of one byte in R12, where 255 stands before two, and of two bytes since."""
    at = len(SENTINEL)
    # The group code 2 of its name follows the word that begins a section.
    section = b"SECTION\0\x02"
    behind = data.find(section) + len(section)
    short = data[behind : behind + 1] != b"\0"
    while at < len(data):
        if short and data[at] != 255:
            code, at = data[at], at + 1
        else:
            at += 1 if short else 0
            if at + 2 > len(data):
                return
            code, at = int.from_bytes(data[at : at + 2], "little"), at + 2
        kind = [kind for first, kind in BINARY if first <= code][-1]
        if kind is None:
            end = data.find(b"\0", at)
            if end < 0:
                return
            yield code, data[at:end]
            at = end + 1
        elif kind == "chunk":
            size = data[at] if at < len(data) else 0
            yield code, b""
            at += 1 + size
        else:
            size = struct.calcsize("<" + kind)
            if at + size > len(data):
                return
            yield code, str(struct.unpack_from("<" + kind, data, at)[0]).encode()
            at += size


def pairs_of(data):
    """Group codes and values, as bytes; ends where a code is no number."""
    if data.startswith(SENTINEL):
        yield from binary_pairs_of(data)
        return
    data = data.removeprefix(b"\xef\xbb\xbf")
    lines = re.split(rb"\r\n|\n|\r", data)
    for k in range(0, len(lines) - 1, 2):
        try:
            yield int(lines[k]), lines[k + 1]
        except ValueError:
            return


# Python's names of the code pages that $DWGCODEPAGE names.
PAGES = {"932": "cp932", "936": "gbk", "949": "cp949", "950": "cp950", "874": "cp874", "utf8": "utf-8"}


def multibyte(match):
    """A character of an East Asian code page, by its two bytes."""
    page = {"1": "cp932", "2": "cp950", "3": "cp949", "4": "johab", "5": "gbk"}[match[1]]
    try:
        return bytes.fromhex(match[2]).decode(page)
    except UnicodeDecodeError:
        return match[0]


def texts_of(pairs):
    """A function that turns the bytes of a value into text, as version and code page have it."""
    version, page, name = "AC1009", "cp1252", b""
    for code, value in pairs[:4000]:
        if code == 9:
            name = value.strip()
        elif name == b"$ACADVER" and code == 1:
            version = value.strip().decode("ascii", "replace").upper()
        elif name == b"$DWGCODEPAGE" and code == 3:
            number = value.strip().decode("ascii", "replace").lower().replace("ansi_", "")
            page = PAGES.get(number, f"cp{number}")
        elif code == 0 and value.strip() == b"ENDSEC":
            break
    if version >= "AC1021":
        page = "utf-8"

    def text(value):
        try:
            words = value.strip().decode("utf-8" if page == "utf-8" else page)
        except (UnicodeDecodeError, LookupError):
            words = value.strip().decode("cp1252", "replace")
        words = re.sub(r"\\U\+([0-9A-Fa-f]{4})", lambda match: chr(int(match[1], 16)), words)
        return re.sub(r"\\M\+([1-5])([0-9A-Fa-f]{4})", multibyte, words)

    return text


def by_group_codes(data):
    pairs = [pair for pair in pairs_of(data) if pair[0] != 999]
    text = texts_of(pairs)
    blocks, model, items, section, kind, groups = {}, [], None, None, None, []
    sections, polyline = 0, False

    def close():
        """The entity whose groups are complete."""
        nonlocal items, polyline
        if kind is None or section not in ("BLOCKS", "ENTITIES"):
            return
        first = {}
        braced = False
        for code, value in groups:
            if code == 102:
                braced = value.strip().startswith(b"{")
            elif not braced:
                if code >= 1000:
                    break
                first.setdefault(code, value)
                if code in (41, 70, 71):
                    first[code] = value
        if kind == "BLOCK":
            name = text(first.get(2, b"")).lower()
            flags = whole(first.get(70), 0)
            items = []
            if name not in blocks:
                blocks[name] = (items, flags & 12)
            return
        if kind == "ENDBLK":
            items = None
            return
        if kind == "POLYLINE":
            polyline = True
        elif kind == "SEQEND":
            polyline = False
            return
        elif kind == "VERTEX" and polyline:
            return
        else:
            polyline = False
        layer = text(first.get(8, b"0"))
        if section == "ENTITIES":
            if whole(first.get(67), 0) == 0:
                model.append(entity(kind, layer, first))
        elif items is not None:
            items.append(entity(kind, layer, first))

    def entity(kind, layer, first):
        if kind != "INSERT":
            return kind, layer, None
        times = max(whole(first.get(70), 1), 1) * max(whole(first.get(71), 1), 1)
        return kind, layer, (text(first.get(2, b"")), times)

    for code, value in pairs:
        if code != 0:
            if kind == "SECTION" and code == 2:
                section = value.strip().decode("ascii", "replace").upper()
                kind = None
            groups.append((code, value))
            continue
        close()
        kind, groups = value.strip().decode("ascii", "replace").upper(), []
        if kind == "SECTION":
            sections, section = sections + 1, None
        elif kind in ("ENDSEC", "EOF"):
            section, items = None, None
            if kind == "EOF":
                break
    if sections == 0:
        return None

    def held(name):
        if name not in blocks:
            return None
        items, external = blocks[name]
        return None if external and not items else items

    return Blocks(held).total(model)


def whole(value, otherwise):
    try:
        return int(float(value))
    except (TypeError, ValueError, OverflowError):
        return otherwise


# ------------------------------------------------------------------------------------------------------------- table


def table(folder):
    logging.disable(logging.CRITICAL)
    sys.setrecursionlimit(10_000)
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["drawing", "reader", "kind", "layer", "count"])
    for path in sorted(folder.iterdir(), key=lambda path: path.name):
        if path.suffix.lower() != ".dxf":
            continue
        try:
            alone = by_group_codes(path.read_bytes())
        except RecursionError:
            alone = None
        for reader, counts in (("ezdxf", by_ezdxf(path)[0]), ("group codes", alone)):
            if counts is None:
                rows.writerow([path.name, reader, "refused", "", 0])
            elif not counts:
                rows.writerow([path.name, reader, "nothing", "", 0])
            else:
                for (kind, layer), number in sorted(counts.items()):
                    rows.writerow([path.name, reader, kind, layer, number])
    return out.getvalue()


def main():
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("--check", action="store_true", help="write nothing; exit 1 where the counts differ")
    options.add_argument("--folder", type=pathlib.Path, default=ROOT / "fixtures", help="drawings to count")
    options.add_argument("--to", type=pathlib.Path, default=HERE / "fixtures.csv", help="the table to write")
    given = options.parse_args()
    data = table(given.folder).encode()
    if given.check:
        if not given.to.exists() or given.to.read_bytes() != data:
            print(f"{given.to} differs from what tests/entity_counts/count.py writes", file=sys.stderr)
            return 1
        return 0
    given.to.write_bytes(data)
    return 0


if __name__ == "__main__":
    sys.exit(main())
