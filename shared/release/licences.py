#!/usr/bin/env python3
"""Licences of everything that tracearm is built from, in one file that goes with it.

    python3 shared/release/licences.py --to LICENCES.txt [--manifest Cargo.toml] [--target TRIPLE ...]

Each crate is listed with its version, its licence and where its source is; below stand the texts of the licences, each
once. Ends with exit code 1, and names the crate, where a licence is neither permissive nor MPL-2.0.
"""

import argparse
import json
import re
import subprocess
import sys
from pathlib import Path

# Licences that let a program be passed on in any form, with their text.
PERMITTED = frozenset(
    "0BSD Apache-2.0 BSD-2-Clause BSD-3-Clause BSL-1.0 CC0-1.0 ISC MIT MIT-0 MPL-2.0 Unicode-3.0 Unlicense Zlib".split()
)
# An exception only adds to what a licence permits.
EXCEPTIONS = frozenset(["LLVM-exception"])
TEXTS = re.compile(r"^(licen[sc]e|copying|copyright|notice|unlicense)", re.IGNORECASE)
# What is compiled in beside Rust, with its own terms: the crate, the folder of its text within it.
BUNDLED = {"libmimalloc-sys": "c_src/mimalloc"}


class Refused(Exception):
    """A licence that is not permitted, or none."""


def tokens(expression):
    """Words and brackets of a licence expression; an old slash between two is OR."""
    return re.findall(r"[()]|[^\s()]+", expression.replace("/", " OR "))


def permitted(expression):
    """Whether an expression of licences (SPDX) can be met with permitted ones alone."""
    rest = tokens(expression)

    def one():
        if not rest:
            raise Refused(f"'{expression}' ends too soon")
        token = rest.pop(0)
        if token == "(":
            value = either()
            if not rest or rest.pop(0) != ")":
                raise Refused(f"'{expression}' lacks a bracket")
            return value
        value = token in PERMITTED
        if rest and rest[0] == "WITH":
            exception = rest[1] if len(rest) > 1 else ""
            del rest[:2]
            value = value and exception in EXCEPTIONS
        return value

    def both():
        value = one()
        while rest and rest[0] == "AND":
            rest.pop(0)
            value = one() and value
        return value

    def either():
        value = both()
        while rest and rest[0] == "OR":
            rest.pop(0)
            value = both() or value
        return value

    value = either()
    if rest:
        raise Refused(f"'{expression}' is no licence expression")
    return value


def built_in(metadata):
    """The packages that the package of a manifest is built from, without those that only its tests or its build need."""
    nodes = {node["id"]: node for node in metadata["resolve"]["nodes"]}
    root = metadata["resolve"]["root"]
    waiting, found = [root], {root}
    while waiting:
        for dependency in nodes[waiting.pop()]["deps"]:
            is_built_in = any(kind["kind"] is None for kind in dependency["dep_kinds"])
            if is_built_in and dependency["pkg"] not in found:
                found.add(dependency["pkg"])
                waiting.append(dependency["pkg"])
    packages = [package for package in metadata["packages"] if package["id"] in found and package["id"] != root]
    return sorted(packages, key=lambda package: (package["name"], package["version"]))


def texts(package):
    """The texts of licences that come with a package."""
    folder = Path(package["manifest_path"]).parent
    folders = [folder] + ([folder / BUNDLED[package["name"]]] if package["name"] in BUNDLED else [])
    files = [file for at in folders for file in sorted(at.iterdir()) if file.is_file() and TEXTS.match(file.name)]
    for file in files:
        if file.suffix not in (".rs", ".toml"):
            yield file.read_text(encoding="utf-8", errors="replace").replace("\r\n", "\n").strip()


def collected(packages):
    """The file as text. Raises Refused for the first package whose licence is not permitted."""
    lines, kept, without = [], {}, []
    for package in packages:
        name = f"{package['name']} {package['version']}"
        expression = package["license"]
        if not expression:
            raise Refused(f"{name} states no licence: look at its source, and leave it out where none is found")
        if not permitted(expression):
            raise Refused(f"{name} is under '{expression}', which is neither permissive nor MPL-2.0: leave it out")
        source = package["repository"] or package["homepage"] or ""
        lines.append(f"{name}: {expression}{f' ({source})' if source else ''}")
        of_package = list(texts(package))
        for text in of_package:
            kept.setdefault(text, []).append(name)
        if not of_package:
            without.append(name)
    head = "tracearm is built from these packages by others. Their licences follow.\n\n" + "\n".join(lines) + "\n"
    if without:
        head += "\nOf these no text came with the source; the terms named above apply: " + ", ".join(without) + "\n"
    rule = "-" * 100
    parts = [f"\n{rule}\n{', '.join(names)}\n{rule}\n\n{text}\n" for text, names in kept.items()]
    return head + "".join(parts)


def main():
    """Writes the file."""
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--to", type=Path, required=True, help="the file to write")
    arguments.add_argument("--manifest", type=Path, default=Path(__file__).parents[2] / "Cargo.toml")
    arguments.add_argument("--target", action="append", default=[], help="only what is built for these machines")
    chosen = arguments.parse_args()
    command = ["cargo", "metadata", "--format-version", "1", "--locked", "--manifest-path", str(chosen.manifest)]
    command += [part for target in chosen.target for part in ("--filter-platform", target)]
    metadata = json.loads(subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout)
    packages = built_in(metadata)
    try:
        text = collected(packages)
    except Refused as reason:
        sys.exit(f"error: {reason}")
    beside = chosen.to.with_name(chosen.to.name + ".part")
    beside.write_text(text, encoding="utf-8")
    beside.replace(chosen.to)
    print(f"{chosen.to}: {len(packages)} packages")


if __name__ == "__main__":
    main()
