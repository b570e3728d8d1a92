"""Figures against printed tables and exact integrals, and bit for bit against the command."""

from __future__ import annotations

import csv
import io
import json
import math

import pytest
import tracearm
from conftest import FIXTURES, PLATE, ROOT, run, table

ROLLED = ROOT / "tests" / "rolled"


@pytest.mark.parametrize(
    ("drawing", "expected", "units", "share", "degrees"),
    [
        ("european.dxf", "european.csv", "cm", 0.0025, 0.0),
        ("american.dxf", "american.csv", "in", 0.007, 0.0),
        ("american.dxf", "american-free.csv", "in", 0.012, 0.25),
    ],
)
def test_printed_tables(drawing, expected, units, share, degrees):
    read = tracearm.read(ROLLED / drawing, units=units)
    compared = 0
    for row in table(ROOT / "shared" / "rolled" / expected):
        section = read[row["section"]]
        by_heading = section.to_dict()
        for heading, printed in row.items():
            if heading in ("section", "source") or not printed:
                continue
            allowed = degrees if heading.endswith("_deg") else share * abs(float(printed))
            assert abs(by_heading[heading] - float(printed)) <= allowed, (section.name, heading)
            compared += 1
    assert compared > 10


def drawn(outlines: list[list[list[float]]], unit: str = "mm") -> bytes:
    """A drawing with closed polylines of x, y and bulge."""
    code = {"in": "1", "mm": "4"}[unit]
    lines = ["0", "SECTION", "2", "HEADER", "9", "$INSUNITS", "70", code, "0", "ENDSEC"]
    lines += ["0", "SECTION", "2", "ENTITIES"]
    for outline in outlines:
        lines += ["0", "LWPOLYLINE", "8", "SHAPE", "90", str(len(outline)), "70", "1"]
        for x, y, bulge in outline:
            lines += ["10", repr(x), "20", repr(y), "42", repr(bulge)]
    return "\n".join([*lines, "0", "ENDSEC", "0", "EOF", ""]).encode()


def test_exact_integrals_of_rolled_shapes():
    exact = {row["id"]: row for row in table(ROOT / "shared" / "check-values" / "rolled_shapes.csv")}
    outlines = (ROOT / "shared" / "check-values" / "rolled_outlines.jsonl").read_text(encoding="utf-8")
    shapes = [json.loads(line) for line in outlines.splitlines()]
    assert len(shapes) > 40 and {shape["unit"] for shape in shapes} == {"mm", "in"}
    for shape in shapes:
        unit = shape["unit"]
        section = tracearm.read(drawn(shape["loops"], unit), name=shape["id"], units=unit).sections[0]
        row = exact[shape["id"]]
        size = math.sqrt(section.area)
        for key, column, power in [
            ("area", "exact_A", 2),
            ("centroid_x", "exact_cx", 1),
            ("centroid_y", "exact_cy", 1),
            ("second_moment_x", "exact_Ix", 4),
            ("second_moment_y", "exact_Iy", 4),
            ("product_moment_xy", "exact_Ixy", 4),
            ("second_moment_1", "exact_I1", 4),
            ("plastic_modulus_x", "exact_Zx", 3),
            ("plastic_modulus_y", "exact_Zy", 3),
            ("perimeter", "exact_P", 1),
        ]:
            assert abs(getattr(section, key) - float(row[column])) < 1e-9 * size**power, (shape["id"], key)


OPTIONS = [
    ({}, []),
    ({"units": "in", "mass_units": "lb", "density": "490lb/ft3"}, ["--units=in", "--mass-units=lb", "--density=490lb/ft3"]),
    (
        {"per": "part", "thickness": "10mm", "density": 7850, "hidden": True, "skip": ["DIM*", "TEXT*"]},
        ["--per=part", "--thickness=10mm", "--density=7850", "--hidden", "--skip=DIM*", "--skip=TEXT*"],
    ),
    (
        {"per": "outline", "thickness": 10, "common_cuts": True, "units": "cm", "widths": "solid", "hatches": "use"},
        ["--per=outline", "--thickness=10", "--common-cuts", "--units=cm", "--widths=solid", "--hatches=use"],
    ),
    (
        {"per": "drawing", "join": 0.05, "drawing_units": "mm", "limit": {"layers": 50, "file_size": "1MB"}},
        ["--per=drawing", "--join=0.05", "--drawing-units=mm", "--limit=layers=50", "--limit=file-size=1MB"],
    ),
    (
        {"field": True, "field_tolerance": 5e-3, "poisson": "0.3", "units": "cm"},
        ["--field", "--field-tolerance=5e-3", "--poisson=0.3", "--units=cm"],
    ),
    (
        {"layers": "PL*", "void_layers": ["HOLE*", "no-such-layer"], "space": "model", "limit": "vertices=90"},
        ["--layers=PL*", "--void-layers=HOLE*", "--void-layers=no-such-layer", "--space=model", "--limit=vertices=90"],
    ),
]


def cells(text: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text.decode("utf-8"))))


@pytest.mark.parametrize(("options", "arguments"), OPTIONS)
def test_every_fixture_bit_for_bit(options, arguments):
    answer = run("schedule", "fixtures", "--digits", "full", "--format", "csv", *arguments)
    assert answer.returncode in (0, 1), answer.stderr
    expected = cells(answer.stdout)
    schedule = tracearm.schedule("fixtures", **options)
    assert len(schedule) == len(expected) > 100
    kinds = {column.heading: column.kind for column in schedule.columns}
    numbers = 0
    for row, wanted in zip(schedule, expected):
        assert list(row) == list(wanted)
        for heading, text in wanted.items():
            value = row[heading]
            if text == "":
                assert value is None, heading
            elif kinds[heading] == "text":
                # Text that a spreadsheet would run stands behind an apostrophe in CSV.
                assert value == text or "'" + value == text, heading
            else:
                assert isinstance(value, float if kinds[heading] == "number" else int)
                assert value == float(text) and math.copysign(1, value) == math.copysign(1, float(text))
                numbers += 1
    assert numbers > 1000


def test_a_drawing_has_the_figures_of_its_schedule():
    compared = 0
    for path in sorted(FIXTURES.glob("*.dxf")):
        try:
            drawing = tracearm.read(path, units="in", thickness="10mm", per="part")
        except tracearm.Error:
            continue
        rows = tracearm.schedule(path, units="in", thickness="10mm", per="part")
        rows = [row for row in rows if row["section"] is not None]
        assert [section.to_dict() for section in drawing.sections] == rows
        of_bytes = tracearm.read(path.read_bytes(), name=str(path), units="in", thickness="10mm", per="part")
        assert [section.to_dict() for section in of_bytes] == rows
        compared += len(rows)
    assert compared > 100


def rectangle(x, y, to_x, to_y):
    return [[x, y, 0.0], [to_x, y, 0.0], [to_x, to_y, 0.0], [x, to_y, 0.0]]


def test_torsion_and_shear_of_a_rectangle():
    # The series of Timoshenko & Goodier for 100 x 20, as in shared/check-values/torsion.csv.
    constant, modulus = 233_053.403_350_391, 11_660.008_174_987_4
    for tolerance in ("1e-3", 1e-5):
        section = tracearm.read(drawn([rectangle(10, 5, 110, 25)]), field=True, field_tolerance=tolerance)["SHAPE"]
        assert section.torsion_constant_lower <= constant <= section.torsion_constant_upper
        assert section.torsion_constant_upper - section.torsion_constant_lower <= float(tolerance) * constant
        assert section.torsion_stress == pytest.approx(1 / modulus, rel=1e-2)
        assert section.shear_area_x == pytest.approx(2000 * 5 / 6, rel=1e-4) and section.sharp_corners == 0
        assert section.shear_centre_x == pytest.approx(60, abs=0.1) and section.units["warping_constant"] == "mm⁶"
        assert type(section).torsion_constant.__doc__.endswith("only with field=True")
    plain = tracearm.read(drawn([rectangle(10, 5, 110, 25)]))["SHAPE"]
    assert plain.torsion_constant is None and "torsion_constant_mm4" not in plain.to_dict()


def test_a_job_with_torsion_constants():
    answer = run(
        "schedule", "--job", "fixtures/crane-runway.toml", "--field", "--poisson=0.3", "--digits=full", "--format=csv"
    )
    schedule = tracearm.schedule(job="fixtures/crane-runway.toml", field=True, poisson=0.3, digits="full")
    assert schedule.to_csv().encode() == answer.stdout and "torsion_constant_mm4" in schedule[0]


def test_attributes_and_units():
    drawing = tracearm.read(PLATE, units="cm", thickness="20mm", density=7850)
    assert [section.name for section in drawing.sections] == ["GUSSET", "PLATE", "WEB STIFFENER"]
    plate = drawing["plate"]
    assert plate.layer == "PLATE" and plate.status == "ok" and plate.holes == 8
    # 95379.7 mm² stand in the first page of the project.
    assert plate.area == pytest.approx(953.797, rel=1e-5) and plate.units["area"] == "cm²"
    assert plate.mass == pytest.approx(953.797e-4 * 0.02 * 7850, rel=1e-5) and plate.units["mass"] == "kg"
    assert plate.units["second_moment_x"] == "cm⁴" and "holes" not in plate.units
    assert plate.label is None and plate.stated_angle is None
    assert drawing.unit == "mm" and drawing.unit_source == "header" and "PLATE" in drawing.layers
    with pytest.raises(AttributeError):
        plate.aera
    with pytest.raises(KeyError, match="GUSSET, PLATE, WEB STIFFENER"):
        drawing["FLANGE"]


def test_a_job():
    job = FIXTURES / "crane-runway.toml"
    answer = run("schedule", "--job", "fixtures/crane-runway.toml", "--digits", "full", "--format", "csv")
    schedule = tracearm.schedule(job="fixtures/crane-runway.toml", digits="full")
    assert schedule.to_csv().encode() == answer.stdout and len(schedule) > 0
    other = tracearm.schedule([FIXTURES / "crane-runway.dxf"], job=job)
    areas = [row["area_mm2"] for row in schedule]
    assert [row["area_mm2"] for row in other] == areas and None not in areas


def test_findings_have_code_place_and_hint():
    drawing = tracearm.read(FIXTURES / "no-outlines.dxf")
    assert drawing.sections == [] and any("closed outline" in message for message in drawing.messages)
    schedule = tracearm.schedule(FIXTURES / "truncated.dxf")
    finding = schedule.findings(0)[0]
    assert finding.severity in ("warning", "failure") and finding.code and finding.message in str(finding)
    everything = tracearm.schedule(FIXTURES)
    all_findings = [f for k in range(len(everything)) for f in everything.findings(k)]
    assert any(f.point is not None for f in all_findings) and any(f.line is not None for f in all_findings)
    assert any(f.handle is not None for f in all_findings) and any("--" in f.hint for f in all_findings)
    assert all(isinstance(f.values, dict) for f in all_findings)
