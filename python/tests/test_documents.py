"""The examples of docs/python.md are run as they stand, one after the other."""

from __future__ import annotations

import re
import shutil

import pytest
import tracearm
from conftest import ROOT
from tracearm.options import Options, ScheduleOptions

PAGE = ROOT / "docs" / "python.md"


def table_under(head: str) -> list[list[str]]:
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    begin = lines.index(head) + 2
    rows = []
    for line in lines[begin:]:
        if not line.startswith("|"):
            break
        rows.append([cell.strip() for cell in line.strip("|").split("|")])
    return rows


def test_examples_print_what_is_written_beside_them(tmp_path, monkeypatch, capsys):
    shutil.copytree(ROOT / "fixtures", tmp_path / "fixtures")
    shutil.copytree(ROOT / "tests" / "rolled", tmp_path / "tests" / "rolled")
    monkeypatch.chdir(tmp_path)
    blocks = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    assert len(blocks) >= 5
    names: dict[str, object] = {}
    promised = []
    for block in blocks:
        exec(compile(block, str(PAGE), "exec"), names)
        promised += re.findall(r"  # (.+)$", block, re.MULTILINE)
    printed = capsys.readouterr().out
    assert len(promised) >= 4
    for words in promised:
        for part in words.split("…"):
            assert part.strip() in printed, words
    assert (tmp_path / "plates.csv").stat().st_size > 1000 < (tmp_path / "plates.xlsx").stat().st_size


def test_every_option_and_exception_is_listed():
    options = " ".join(row[0] for row in table_under("| option | example |"))
    listed = re.findall(r"`(\w+)`", options)
    assert sorted(listed) == sorted({*Options.__annotations__, *ScheduleOptions.__annotations__})
    for name, _, also in table_under("| exception | when | also a |"):
        exception = getattr(tracearm, name.strip("`"))
        for base in re.findall(r"`(\w+)`", also):
            assert issubclass(exception, getattr(tracearm, base, None) or getattr(__builtins__, base, None) or __builtins__[base])
    listed = {row[0].strip("`") for row in table_under("| exception | when | also a |")}
    assert listed | {"Error"} == set(tracearm.errors.__all__)


def test_examples_of_options_are_understood():
    for _, examples in table_under("| option | example |"):
        for example in re.findall(r"`(\w+=[^`]+)`", examples):
            options = eval(f"dict({example})")
            if {"label_layers", "common_cuts"} & set(options):
                continue
            assert tracearm.schedule("fixtures/gantry-end-plate.dxf", **options).rows
    with pytest.raises(tracearm.Error):
        tracearm.schedule("fixtures/gantry-end-plate.dxf", units="furlongs")
