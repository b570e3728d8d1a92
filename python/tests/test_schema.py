"""Schedules in JSON are as `shared/schedule.schema.json` says, by a reader of JSON Schema that is not this project's."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import pytest
from conftest import FIXTURES, ROOT, run
from jsonschema import Draft202012Validator

SCHEMA = json.loads((ROOT / "shared" / "schedule.schema.json").read_text(encoding="utf-8"))


def test_the_schema_is_sound() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft"])
def test_schedules_are_as_the_schema_says(unit: str, tmp_path: Path) -> None:
    """Every kind of column, with findings and failures."""
    validator = Draft202012Validator(SCHEMA)
    bad = tmp_path / "bad.dxf"
    bad.write_text("no drawing\n", encoding="utf-8")
    drawings = [FIXTURES / name for name in ("gantry-end-plate.dxf", "rail-clamp.dxf", "unitless.dxf")] + [bad]
    findings = 0
    for options in (
        ["--per", "layer"],
        ["--per", "part", "--thickness", "12mm", "--density", "7850"],
        ["--thickness", "1/2in", "--density", "490lb/ft3", "--mass-units", "lb"],
    ):
        ran = run("schedule", "--format", "json", "--hidden", "--units", unit, *options, *drawings)
        schedule = json.loads(ran.stdout)
        assert [error.message for error in validator.iter_errors(schedule)] == [], (unit, options)
        sections = schedule["sections"]
        findings += sum(len(section["findings"]) for section in sections)
        counts = [line["sections"] for line in schedule["totals"]]
        assert (len(counts), counts[3]) == (4, len(sections)), counts
        # A document that is not as it says fails.
        area = f"area_{unit}2"
        wrong = copy.deepcopy(schedule)
        wrong["sections"][0][area] = "95379.7"
        assert not validator.is_valid(wrong), "a figure as text"
        del wrong["sections"][0][area]
        assert not validator.is_valid(wrong), "a figure is missing"
    assert findings > 2, findings


def test_a_schedule_of_a_job_is_too() -> None:
    ran = run("schedule", "--format", "json", "--job", FIXTURES / "crane-runway.toml")
    assert [error.message for error in Draft202012Validator(SCHEMA).iter_errors(json.loads(ran.stdout))] == []


def test_a_line_of_the_other_form_is_a_section() -> None:
    kept = {key: value for key, value in SCHEMA.items() if key in ("$schema", "$id", "$defs")}
    of_line = Draft202012Validator({**kept, "$ref": "#/$defs/section_mm"})
    lines = run("schedule", "--format", "jsonl", FIXTURES / "gantry-end-plate.dxf").stdout.decode().splitlines()
    assert len(lines) == 3
    assert all(of_line.is_valid(json.loads(line)) for line in lines)
    assert not of_line.is_valid({})
