"""A library of drawings with names that break what is not careful, from the fixtures."""

import shutil
from pathlib import Path

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"

# Layers that look like formulas, letters of all scripts, what is failed, left out, told or has no section, labels.
DRAWINGS = [
    "bad-numbers", "base-plate", "binary-r2000", "codepage-932", "formula-layers", "gantry-end-plate", "hinge-lug",
    "labels", "layer-states", "no-outlines", "rail-clamp", "utf8-layers",
]  # fmt: skip

# In the order of paths a/… comes before a-b/… and a.b/…, in that of texts behind them.
FOLDERS = [
    b"a", b"a-b", b"a.b", b"A", b"=1+1", b"two words/deep/deeper", b"it's \"quoted\", really", b"-minus",
    "Träger/مقطع".encode(), b"new\nline",
]  # fmt: skip

NAMES = [b"=1+1.dxf", b"PLATE.DXF", b"it's \"quoted\", too.Dxf", b"line\nbreak.dxf", "断面.dxf".encode(), b"\xff\xfe.dxf"]


def build(folder):
    """Writes the library; gives how many files of it are drawings by name, links not counted."""
    drawings = 0
    for k, inner in enumerate(FOLDERS):
        place = folder / "nested" / path_of(inner)
        place.mkdir(parents=True)
        for name in DRAWINGS[k % 2 :: 2]:
            shutil.copy(FIXTURES / f"{name}.dxf", place / f"{name}.dxf")
            drawings += 1
    odd = folder / "nested" / "odd"
    odd.mkdir()
    for k, name in enumerate(NAMES):
        try:
            shutil.copy(FIXTURES / f"{DRAWINGS[2 + k]}.dxf", odd / path_of(name))
            drawings += 1
        except OSError:
            print(f"not tried: this file system has no name {name!r}")
    (odd / "broken.dxf").write_text("0\nSECTION\n2\nENTITIES\n0\nLINE\nnot a group code\n")
    (odd / "empty.dxf").write_text("")
    drawings += 2
    # No drawings by their names.
    (odd / ".dxf").write_text("0\nEOF\n")
    (odd / "base-plate.dxf.bak").write_text("0\nEOF\n")
    return drawings


def link(folder):
    """Adds links: to a file, to a folder, to nothing, and round in a circle; gives how many drawings they lead to."""
    links = folder / "links"
    links.mkdir()
    elsewhere = folder.parent / "elsewhere"
    elsewhere.mkdir()
    for name in DRAWINGS[:3]:
        shutil.copy(FIXTURES / f"{name}.dxf", elsewhere / f"{name}.dxf")
    (links / "file.dxf").symlink_to(FIXTURES / "hinge-lug.dxf")
    (links / "folder").symlink_to(elsewhere)
    (links / "nothing.dxf").symlink_to("nowhere.dxf")
    # Met before, by the way that goes without a link.
    (links / "again").symlink_to(folder / "nested" / "a")
    (links / "round").symlink_to(folder)
    return 4


def path_of(name):
    """A path from bytes."""
    return Path(name.decode("utf-8", "surrogateescape"))
