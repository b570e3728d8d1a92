"""What the tests share: the project's drawings and the command that came with the package."""

from __future__ import annotations

import csv
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FIXTURES = ROOT / "fixtures"
PLATE = FIXTURES / "gantry-end-plate.dxf"


def program() -> Path:
    """The command, as the wheel installs it."""
    name = "tracearm.exe" if sys.platform == "win32" else "tracearm"
    return Path(sysconfig.get_path("scripts")) / name


def run(*arguments: object, cwd: Path = ROOT) -> subprocess.CompletedProcess:
    """Runs the command."""
    return subprocess.run(
        [str(program()), *map(str, arguments)], cwd=cwd, capture_output=True, timeout=600, check=False
    )


def table(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV file by its headings."""
    with open(path, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(autouse=True)
def in_the_project(monkeypatch: pytest.MonkeyPatch) -> None:
    """Paths of drawings stand in rows as they are given: relative to the project, as the command is run there."""
    monkeypatch.chdir(ROOT)
