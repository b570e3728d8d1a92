"""Paths, and files that take their names when they are complete."""

from __future__ import annotations

import os
import secrets
from typing import Any, Iterable, List, Union

StrPath = Union[str, "os.PathLike[str]"]


def path_of(value: Any, what: str) -> str:
    """The path as text; TypeError for what is none."""
    if isinstance(value, (str, os.PathLike)):
        return os.fsdecode(os.fspath(value))
    raise TypeError(f"{what}: give a path as text or as pathlib.Path, not {type(value).__name__}")


def paths_of(values: Any) -> List[str]:
    """One path, or several."""
    if isinstance(values, (str, os.PathLike)):
        return [path_of(values, "paths")]
    if isinstance(values, (bytes, bytearray, memoryview)) or not isinstance(values, Iterable):
        raise TypeError(f"paths: give a path, or a list of paths, not {type(values).__name__}")
    return [path_of(value, f"paths[{k}]") for k, value in enumerate(values)]


def write(path: StrPath, data: bytes) -> None:
    """Writes beside the file and renames, so that a file with this name is always a complete one."""
    target = os.path.realpath(path_of(path, "path"))
    beside = f"{target}.{secrets.token_hex(4)}.part"
    try:
        with open(beside, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, target)
    except BaseException:
        try:
            os.unlink(beside)
        except FileNotFoundError:
            pass
        raise
