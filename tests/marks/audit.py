"""Marked drawings, as an independent reader finds them.

    pip install -r tests/entity_counts/requirements.txt
    python3 tests/marks/audit.py PROGRAM FOLDER

Marks every drawing of FOLDER with PROGRAM and has ezdxf read and audit the result: no error, no fix. The area within the
polylines and circles of each outline layer, from ezdxf's own flattening, is held to the area that the schedule gives.
"""

import csv
import io
import subprocess
import sys
import tempfile
from pathlib import Path

import ezdxf
from ezdxf import path as dxf_path


def enclosed(layout, layer):
    """Sum of the areas within closed entities of a layer, the largest less those within it; None where pieces are loose."""
    areas = []
    for entity in layout.query(f'*[layer=="{layer}"]'):
        if entity.dxftype() not in ("LWPOLYLINE", "CIRCLE") or not getattr(entity, "closed", True):
            return None
        points = list(dxf_path.make_path(entity).flattening(1e-3, segments=64))
        areas.append(0.5 * abs(sum(a.x * b.y - b.x * a.y for a, b in zip(points, points[1:] + points[:1]))))
    return areas


def main():
    program, folder = sys.argv[1], Path(sys.argv[2])
    audited = compared = 0
    faults = []
    with tempfile.TemporaryDirectory() as scratch:
        for drawing in sorted(folder.glob("*.dxf")):
            marked = Path(scratch) / "marked.dxf"
            marked.unlink(missing_ok=True)
            run = subprocess.run([program, "mark", drawing, "-o", marked], capture_output=True, text=True)
            if not marked.exists():
                if run.returncode != 2 or not run.stderr:
                    faults.append(f"{drawing.name}: exit {run.returncode} without a marked drawing")
                continue
            document = ezdxf.readfile(marked)
            audit = document.audit()
            audited += 1
            for found in audit.errors + audit.fixes:
                faults.append(f"{drawing.name}: {found.message}")
            schedule = subprocess.run(
                [program, "schedule", drawing, "--digits", "full", "--format", "csv"], capture_output=True, text=True
            ).stdout
            unit = document.header.get("$INSUNITS")
            rows = [row for row in csv.DictReader(io.StringIO(schedule)) if row["status"] != "failed"]
            layers = [layer.dxf.name for layer in document.layers if layer.dxf.name.startswith("MARK-OUTLINE-")]
            if len(layers) != len(rows):
                faults.append(f"{drawing.name}: {len(layers)} layers of outlines for {len(rows)} sections")
            if unit != 4:
                continue
            for row in rows:
                layer = f"MARK-OUTLINE-{row['section']}"
                if layer not in layers or row["holes"] != "0":
                    continue
                areas = enclosed(document.modelspace(), layer)
                if areas:
                    compared += 1
                    area = float(row["area_mm2"])
                    if abs(sum(areas) - area) > 2e-3 * area:
                        faults.append(f"{drawing.name}, {layer}: {sum(areas)} within the outlines, {area} in the schedule")
    print(f"{audited} marked drawings audited, {compared} areas compared, {len(faults)} faults")
    print("\n".join(faults[:40]))
    if faults or audited < 60 or compared < 40:
        sys.exit(1)


if __name__ == "__main__":
    main()
