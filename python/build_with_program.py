"""Builds the wheel: what maturin builds, and beside it the command ``tracearm`` itself.

A wheel holds either an extension or a program where maturin builds it, so the program is built first and put where the wheel takes
its scripts from. ``pip wheel python`` and ``pip install ./python`` do all of it.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import maturin
from maturin import (
    get_requires_for_build_editable,
    get_requires_for_build_sdist,
    get_requires_for_build_wheel,
)

__all__ = [
    "build_editable",
    "build_sdist",
    "build_wheel",
    "get_requires_for_build_editable",
    "get_requires_for_build_sdist",
    "get_requires_for_build_wheel",
    "prepare_metadata_for_build_editable",
    "prepare_metadata_for_build_wheel",
]

HERE = Path(__file__).resolve().parent
SCRIPTS = HERE / "tracearm.data" / "scripts"
LICENCES = ["LICENSE-APACHE", "LICENSE-MIT"]


def lay_out() -> None:
    """What must lie in this folder before anything is said of the wheel: a folder of scripts, and the project's licences."""
    SCRIPTS.mkdir(parents=True, exist_ok=True)
    for licence in LICENCES:
        shutil.copy(HERE.parent / licence, HERE / licence)


def add_program() -> None:
    """Builds the command as it is built for release, and lays it among the scripts of the wheel."""
    build = ["cargo", "build", "--release", "--locked", "--package", "tracearm", "--bin", "tracearm"]
    # The page for browsers, where one is named: an absolute path, as `docs/page.md` has it.
    if os.environ.get("TRACEARM_PAGE"):
        build += ["--features", "page"]
    messages = subprocess.run(
        [*build, "--message-format", "json-render-diagnostics"],
        cwd=HERE.parent,
        check=True,
        stdout=subprocess.PIPE,
    ).stdout
    built = [json.loads(line) for line in messages.splitlines()]
    programs = [message["executable"] for message in built if message.get("executable")]
    if not programs:
        raise SystemExit("cargo built no program: run it by itself to see why: " + " ".join(build))
    shutil.rmtree(SCRIPTS, ignore_errors=True)
    lay_out()
    program = SCRIPTS / os.path.basename(programs[-1])
    shutil.copy(programs[-1], program)


def prepare_metadata_for_build_wheel(metadata_directory, config_settings=None):
    """As PEP 517 has it."""
    lay_out()
    return maturin.prepare_metadata_for_build_wheel(metadata_directory, config_settings)


def prepare_metadata_for_build_editable(metadata_directory, config_settings=None):
    """As PEP 660 has it."""
    lay_out()
    return maturin.prepare_metadata_for_build_editable(metadata_directory, config_settings)


def build_wheel(wheel_directory, config_settings=None, metadata_directory=None):
    """As PEP 517 has it."""
    add_program()
    return maturin.build_wheel(wheel_directory, config_settings, metadata_directory)


def build_editable(wheel_directory, config_settings=None, metadata_directory=None):
    """As PEP 660 has it."""
    add_program()
    return maturin.build_editable(wheel_directory, config_settings, metadata_directory)


def build_sdist(sdist_directory, config_settings=None):
    """There is none: the program is built from the project, which a source package would not hold whole."""
    raise SystemExit("build the wheel in a copy of the project: pip wheel --no-deps python")
