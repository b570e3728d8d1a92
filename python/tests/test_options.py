"""Options: those of the command, and what is said of wrong ones."""

from __future__ import annotations

import re
import typing

import pytest
import tracearm
from conftest import FIXTURES, PLATE, run
from tracearm.options import Options, ScheduleOptions

# Files that the command reads or writes, and what it tells: none of it is asked of Python.
OF_THE_COMMAND = {
    "apart", "decimal", "files_from", "format", "help", "ledger", "output", "pieces", "report", "summary", "totals", "verbose",
    "version", "wait",
}


def test_names_are_those_of_the_command():
    help_text = run("schedule", "--help").stdout.decode()
    names = {name.replace("-", "_") for name in re.findall(r"^ +(?:-\w, )?--([a-z-]+)", help_text, re.MULTILINE)}
    assert set(ScheduleOptions.__annotations__) | set(Options.__annotations__) == names - OF_THE_COMMAND
    for name in Options.__annotations__:
        tracearm.read(PLATE, **{name: None})
    for name in typing.get_type_hints(ScheduleOptions):
        tracearm.schedule(PLATE, **{name: None})


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"unit": "mm"}, "perhaps units is meant"),
        ({"thicknes": "20mm"}, "perhaps thickness is meant"),
        ({"void-layers": "HOLES"}, "perhaps void_layers is meant"),
        ({"colour": "red"}, "there are: units, mass_units"),
        ({"jobs": 2}, "an option of tracearm.schedule alone"),
    ],
)
def test_names_that_are_none(options, words):
    with pytest.raises(tracearm.UnknownOption, match=re.escape(words)) as caught:
        tracearm.read(PLATE, **options)
    assert isinstance(caught.value, (tracearm.OptionsError, tracearm.Error)) and isinstance(caught.value, TypeError)
    assert next(iter(options)) in str(caught.value)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"units": "mmm"}, "use mm, cm, m, in or ft"),
        ({"units": 25.4}, "use mm, cm, m, in or ft"),
        ({"per": "layers"}, "perhaps layer is meant"),
        ({"hatches": "uses"}, "perhaps use is meant"),
        ({"widths": []}, "not list"),
        ({"space": "sheet"}, "model, paper"),
        ({"density": "steel"}, "use a number above 0"),
        ({"density": -7850}, "use a number above 0"),
        ({"density": True}, "not bool"),
        ({"thickness": 0}, "use a length above 0"),
        ({"thickness": "20 mmm"}, "use mm, cm, m, in or ft"),
        ({"join": "wide"}, "use a number with a unit"),
        ({"join": float("nan")}, "join"),
        ({"digits": 18}, "from 1 to 17, or full"),
        ({"digits": 6.5}, "from 1 to 17, or full"),
        ({"hidden": "yes"}, "use True or False"),
        ({"layers": 7}, "a list of texts"),
        ({"layers": ["PLATE", 7]}, "a list of texts"),
        ({"skip": "[a"}, "can't be used"),
        ({"limit": "memory"}, "use NAME=NUMBER"),
        ({"limit": "colours=5"}, "the limits are: file-size"),
        ({"limit": {"memory": "4 oz"}}, "bytes, KB, MB or GB"),
        ({"limit": {"layers": -1}}, "not a whole number"),
        ({"limit": {"layers": None}}, "not NoneType"),
        ({"limit": 5}, "limit"),
        ({"label_layers": "TEXT"}, 'per="part"'),
        ({"common_cuts": True, "per": "outline"}, "thickness="),
        ({"common_cuts": True, "thickness": 1}, 'per="outline"'),
        ({"field": 1}, "use True or False"),
        ({"field_tolerance": 0.5}, "use a number from 1e-7 to 0.01"),
        ({"field_tolerance": "fine"}, "use a number from 1e-7 to 0.01"),
        ({"field": True, "field_tolerance": 0}, "use a number from 1e-7 to 0.01"),
        ({"field_tolerance": True}, "not bool"),
        ({"poisson": 0.6}, "use a number from 0 to 0.5"),
        ({"field": True, "poisson": float("nan")}, "use a number from 0 to 0.5"),
    ],
)
def test_values_that_are_none(options, words):
    for act in (tracearm.read, tracearm.schedule):
        with pytest.raises(tracearm.OptionsError, match=re.escape(words)) as caught:
            act(PLATE, **options)
        assert str(caught.value).startswith(tuple(options)) and isinstance(caught.value, ValueError)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"columns": "aera"}, "perhaps area is meant"),
        ({"columns": []}, "at least one"),
        ({"columns": ["area", "mass"]}, "thickness="),
        ({"columns": "label"}, 'per="part"'),
        ({"columns": "torsion_constant", "poisson": 0.3}, "field=True"),
        ({"jobs": 0}, "from 1 to 1024"),
        ({"jobs": -1}, "jobs"),
        ({"time_limit": "1 day"}, "s, min or h"),
        ({"time_limit": 0}, "above 0"),
        ({"job": "nowhere.toml"}, "nowhere.toml cannot be read"),
        ({"job": 5}, "name a job file"),
        ({"job": FIXTURES / "crane-runway.toml", "layers": "PLATE"}, "cannot be used with job="),
        ({"job": FIXTURES / "README.md"}, "README.md"),
    ],
)
def test_values_that_are_none_of_schedules(options, words):
    with pytest.raises(tracearm.OptionsError, match=re.escape(words)):
        tracearm.schedule(PLATE, **options)


def test_digits_are_those_of_what_is_written():
    few, many = tracearm.schedule(PLATE, digits=3), tracearm.schedule(PLATE, digits="full")
    assert few.to_dict()["area_mm2"] == many.to_dict()["area_mm2"] and few.to_csv() != many.to_csv()
