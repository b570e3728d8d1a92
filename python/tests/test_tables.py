"""Schedules in pandas and polars, and written as the command writes them."""

from __future__ import annotations

import pathlib

import pandas
import polars
import pytest
import tracearm
from conftest import PLATE, run


def test_pandas_and_polars_without_loops():
    schedule = tracearm.schedule("fixtures", thickness="10mm", density=7850)
    total = sum(row["area_mm2"] for row in schedule if row["area_mm2"] is not None)
    for frame in (pandas.DataFrame(schedule.rows), pandas.DataFrame(schedule), pandas.DataFrame(schedule.to_dict())):
        assert len(frame) == len(schedule) and list(frame.columns) == [c.heading for c in schedule.columns]
        assert frame["area_mm2"].dtype == "float64" and frame["area_mm2"].sum() == pytest.approx(total)
        # What is not known is missing, not 0.
        failed = frame[frame["status"] == "failed"]
        assert len(failed) == len(schedule.failed) > 0 and failed["area_mm2"].isna().all()
        by_status = frame.groupby("status")["mass_kg"].sum()
        assert by_status["ok"] > 0
    for frame in (polars.DataFrame(schedule.to_dict()), polars.DataFrame(schedule.rows, infer_schema_length=None)):
        assert frame.shape == (len(schedule), len(schedule.columns))
        assert frame["area_mm2"].dtype == polars.Float64 and frame["holes"].dtype == polars.Int64
        assert frame["area_mm2"].sum() == pytest.approx(total)
        assert frame.filter(polars.col("status") == "failed")["area_mm2"].null_count() == len(schedule.failed)


def test_a_sequence_of_rows():
    schedule = tracearm.schedule(PLATE, columns=["section", "area"])
    assert len(schedule) == 3 and [row["section"] for row in schedule] == ["GUSSET", "PLATE", "WEB STIFFENER"]
    assert schedule[-1] == schedule[2] == schedule.rows[2] and schedule[:2] == schedule.rows[:2]
    with pytest.raises(IndexError):
        schedule[3]
    assert schedule.to_dict()["section"] == ["GUSSET", "PLATE", "WEB STIFFENER"]
    assert schedule.failed == [] and len(tracearm.schedule("fixtures", columns="area").failed) > 0
    schedule.to_dict()["section"].clear()
    assert schedule[1]["section"] == "PLATE"


@pytest.mark.parametrize(
    ("options", "arguments"),
    [
        ({}, []),
        ({"digits": 9, "units": "in", "columns": "section,area,plastic"}, ["--digits=9", "--units=in", "--columns=section,area,plastic"]),
        ({"digits": "full", "thickness": "6mm", "density": 2700, "per": "part"}, ["--digits=full", "--thickness=6mm", "--density=2700", "--per=part"]),
        ({"layers": "PLAT", "jobs": 3}, ["--layers=PLAT", "--jobs=3"]),
    ],
)
def test_files_have_the_bytes_of_the_command(tmp_path, options, arguments):
    schedule = tracearm.schedule("fixtures", **options)
    for ending, write in [("csv", schedule.to_csv), ("xlsx", schedule.to_excel), ("json", schedule.to_json)]:
        ours, theirs = tmp_path / f"ours.{ending}", tmp_path / f"theirs.{ending}"
        write(ours)
        answer = run("schedule", "fixtures", "-o", theirs, *arguments)
        assert answer.returncode in (0, 1), answer.stderr
        assert ours.read_bytes() == theirs.read_bytes() != b"", ending
    answer = run("schedule", "fixtures", "--format", "csv", "--decimal", "comma", *arguments)
    assert schedule.to_csv(decimal="comma").encode() == answer.stdout
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        f"{whose}.{ending}" for whose in ("ours", "theirs") for ending in ("csv", "json", "xlsx")
    ]


def test_the_same_with_any_number_of_jobs():
    one, many = tracearm.schedule("fixtures", jobs=1), tracearm.schedule("fixtures", jobs=5)
    assert one.to_csv() == many.to_csv() and one.to_dict() == many.to_dict()


def test_files_folders_lists_and_pathlib():
    path = pathlib.Path("fixtures") / "base-plate.dxf"
    one = tracearm.schedule(path)
    assert one.rows == tracearm.schedule(str(path)).rows == tracearm.schedule([path]).rows == tracearm.schedule(iter([path])).rows
    folder = tracearm.schedule(["fixtures/gantry-end-plate.dxf", pathlib.Path("tests/rolled")])
    assert [pathlib.Path(row["drawing"]).name for row in folder][:4] == ["gantry-end-plate.dxf"] * 3 + ["american.dxf"]
    twice = tracearm.schedule([path, path])
    assert twice.rows == one.rows and any("same drawing" in message for message in twice.messages)


def test_what_is_not_written_leaves_the_old_file(tmp_path):
    schedule = tracearm.schedule(PLATE)
    old = tmp_path / "plates.csv"
    old.write_text("old")
    with pytest.raises(OSError):
        schedule.to_csv(tmp_path / "nowhere" / "plates.csv")
    with pytest.raises(tracearm.OptionsError, match="point, comma"):
        schedule.to_csv(old, decimal="coma")
    assert old.read_text() == "old" and list(tmp_path.iterdir()) == [old]
    with pytest.raises(OSError):
        schedule.to_excel(tmp_path)
    assert list(tmp_path.iterdir()) == [old]
