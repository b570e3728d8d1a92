"""What a notebook shows, and the example."""

from __future__ import annotations

import base64
import re
import xml.etree.ElementTree as ElementTree

import nbclient
import nbformat
import pytest
import tracearm
from conftest import PLATE, ROOT, run
from test_figures import drawn

EXAMPLES = sorted((ROOT / "python" / "examples").glob("*.ipynb"))


def test_the_picture_is_that_of_the_command(tmp_path):
    section = tracearm.read("fixtures/gantry-end-plate.dxf")["PLATE"]
    picture = tmp_path / "plate.svg"
    date = "2027-03-31"
    answer = run("sheet", "fixtures/gantry-end-plate.dxf", "--section", "PLATE", "--date", date, "-o", picture)
    assert answer.returncode == 0, answer.stderr
    assert section.svg(date) == picture.read_text(encoding="utf-8")
    assert section._repr_svg_() == section.svg() and date not in section.svg()


def test_section_and_figures_stand_together():
    section = tracearm.read(PLATE, thickness=20, density=7850)["PLATE"]
    shown = section._repr_html_()
    for text in ("PLATE", "95379.7", "mm²", "1366350000", "mm⁴", "14.9746", "licensed engineer"):
        assert text in shown, text
    (data,) = re.findall(r"data:image/svg\+xml;base64,([^\"]+)", shown)
    assert base64.b64decode(data).decode() == section.svg()
    assert "PLATE" in tracearm.read(PLATE)._repr_html_() and "GUSSET" in tracearm.read(PLATE)._repr_html_()
    assert "95379.7" in tracearm.schedule(PLATE)._repr_html_()
    many = tracearm.schedule("fixtures")
    assert f"{len(many) - 60} more rows" in many._repr_html_()


def closed(shown: str) -> str:
    """Markup as XML: pictures have no end of their own in HTML."""
    return re.sub(r"<img ([^>]*)>", r"<img \1/>", shown)


def test_names_are_no_markup():
    square = [[[0.0, 0.0, 0.0], [40.0, 0.0, 0.0], [40.0, 30.0, 0.0], [0.0, 30.0, 0.0]]]
    hostile = '<img src=x onerror="alert(1)">&'
    drawing = tracearm.read(drawn(square).replace(b"SHAPE", hostile.encode()), name=hostile)
    section = drawing.sections[0]
    assert section.name == hostile
    for shown in (drawing._repr_html_(), section._repr_html_()):
        tags = set(re.findall(r"<(\w+)", shown))
        assert tags <= {"h4", "img", "table", "thead", "tbody", "tr", "th", "td", "p", "ul", "li"}
        assert 'onerror="' not in shown
        # Every element ends, so that what is not escaped would show.
        assert len(ElementTree.fromstring(f"<div>{closed(shown)}</div>")) > 2


def test_what_was_not_measured_is_shown_too():
    drawing = tracearm.read("fixtures/no-outlines.dxf")
    assert "no-outlines.dxf" in drawing._repr_html_() and drawing.messages[0].split(":")[-1][:20] in drawing._repr_html_()
    failed = [s for path in ("bow-tie", "crossing-outlines") for s in tracearm.read(f"fixtures/{path}.dxf")]
    for section in failed:
        assert section.name in section._repr_html_() and section.status in repr(section)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_examples_run(path):
    notebook = nbformat.read(path, as_version=4)
    nbformat.validate(notebook)
    nbclient.NotebookClient(notebook, timeout=120, resources={"metadata": {"path": str(path.parent)}}).execute()
    shown = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    assert any("text/html" in output.get("data", {}) for output in shown)
    assert len(EXAMPLES) > 0
