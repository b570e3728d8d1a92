#!/usr/bin/env python3
"""Writes fixtures/*.dxf and fixtures/README.md. Python standard library only; the same bytes every time.

    python3 tests/build_fixtures.py            writes them
    python3 tests/build_fixtures.py --check    writes nothing; exit 1 where a file differs
"""

import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
from fixture_drawings import FIXTURES  # noqa: E402

FOLDER = pathlib.Path(__file__).parent.parent / "fixtures"
VERSIONS = {"AC1009": "R12", "AC1015": "R2000", "AC1027": "R2013", "": "none"}
# Written by hand, pair by pair, and kept as they are: what each shows, its units and its version.
KEPT = {
    "reader-kinds.dxf": ("every kind of entity once or twice, mirrored too, with an object that draws no outline among them", "mm", "AC1015"),
    "reader-blocks-r12.dxf": ("blocks within blocks, mirrored, scaled unequally and in arrays, and a level 3D polyline", "None", "AC1009"),
}
# Found by tests/fuzz, made small and kept as they are: what each holds, and what it broke.
MANGLED = {
    "mangled/discs-by-the-thousand.dxf": "9,000 discs by a block reference, each a plate: milliseconds for each stock rectangle",
    "mangled/shares-with-itself.dxf": "an outline joined by ends far beyond its size, which overlaps itself: how much it shares was asked without end",
    "mangled/spline-nearly-retraced.dxf": "a closed spline twice, with one weight of 71 and one point moved by 1 mm: seconds to find where they meet",
    "mangled/spline-point-nearly-same.dxf": "a closed spline twice, with one point moved by 1 mm and one weight by 0.0001: a second to find where they meet",
    "mangled/spline-weight-nearly-same.dxf": "a closed spline twice, with one weight changed by 0.005: seconds to find where they meet",
}
HEAD = """# Fixtures

Drawings of an invented workshop that makes a gantry crane: made for this project, one matter each. Written by
`python3 tests/build_fixtures.py`, which also writes this page; the shapes are in `tests/fixture_drawings/`. The last
two of this table, for the reader of drawings, are written by hand.

| file | what it shows | units | DXF |
|---|---|---|---|
"""
MANGLED_HEAD = """
## Mangled drawings

Bytes of the drawings above, changed by the search of `tests/fuzz` until something broke, then made small. They show
nothing that a workshop would draw; `tests/mangled.rs` reads and measures each, in the way that its last byte chooses.

| file | what it holds |
|---|---|
"""


def main():
    check = "--check" in sys.argv[1:]
    files = {"README.md": None, ".gitattributes": b"# Line ends are part of what these files show.\n*.dxf -text\n"}
    page = HEAD
    for name, (shows, units, version, build) in FIXTURES.items():
        files[name] = build().bytes()
        page += f"| `{name}` | {shows} | {units} | {VERSIONS[version]} |\n"
    for name, (shows, units, version) in KEPT.items():
        files[name] = (FOLDER / name).read_bytes()
        page += f"| `{name}` | {shows} | {units} | {VERSIONS[version]} |\n"
    page += MANGLED_HEAD
    for name, holds in MANGLED.items():
        files[name] = (FOLDER / name).read_bytes()
        page += f"| `{name}` | {holds} |\n"
    files["README.md"] = page.encode()
    # Job files are written by hand, beside the drawings that they name.
    there = [p.relative_to(FOLDER).as_posix() for p in FOLDER.rglob("*") if p.is_file() and p.suffix != ".toml"]
    stale = [name for name in there if name not in files]
    different = [name for name, data in files.items() if not (FOLDER / name).exists() or (FOLDER / name).read_bytes() != data]
    if check:
        for name in stale + different:
            print(f"fixtures/{name} differs from what tests/build_fixtures.py writes", file=sys.stderr)
        return 1 if stale or different else 0
    FOLDER.mkdir(exist_ok=True)
    for name in stale:
        print(f"fixtures/{name} is written by no fixture; delete it", file=sys.stderr)
    for name in different:
        (FOLDER / name).write_bytes(files[name])
    print(f"{len(files) - 2} drawings, {len(different)} files written")
    return 0


if __name__ == "__main__":
    sys.exit(main())
