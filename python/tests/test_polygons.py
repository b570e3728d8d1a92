"""Polygons for shapely and numpy."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import shapely.geometry
import tracearm
from conftest import FIXTURES, PLATE


def test_shapely_takes_them_as_they_are():
    section = tracearm.read(PLATE)["PLATE"]
    (polygon,) = section.polygons("0.001mm")
    outline = shapely.Polygon(*polygon)
    assert outline.is_valid and len(outline.interiors) == section.holes == 8
    assert outline.exterior.is_ccw and not any(hole.is_ccw for hole in outline.interiors)
    assert outline.area == pytest.approx(section.area, abs=0.001 * section.perimeter)
    assert (outline.centroid.x, outline.centroid.y) == pytest.approx((section.centroid_x, section.centroid_y), abs=0.001)
    assert shapely.geometry.shape(polygon).equals(outline)
    assert shapely.geometry.shape(section).area == pytest.approx(section.area, abs=0.01 * section.perimeter)


def test_every_fixture():
    compared = 0
    for path in sorted(FIXTURES.glob("*.dxf")):
        try:
            drawing = tracearm.read(path, units="m")
        except tracearm.Error:
            continue
        for section in drawing:
            if section.area is None:
                continue
            tolerance = 1e-4 * math.sqrt(section.area)
            area = sum(shapely.Polygon(*polygon).area for polygon in section.polygons(tolerance))
            assert abs(area - section.area) <= tolerance * section.perimeter, (path, section.name)
            compared += 1
    assert compared > 100


def test_finer_is_nearer_and_numpy_takes_them():
    section = tracearm.read(PLATE)["PLATE"]
    off = []
    for tolerance in (1, 0.1, "0.01mm"):
        polygons = section.polygons(tolerance)
        edges = [np.array(edge) for polygon in polygons for edge in (polygon.exterior, *polygon.holes)]
        assert all(edge.ndim == 2 and edge.shape[1] == 2 and (edge[0] == edge[-1]).all() for edge in edges)
        # The shoelace formula; holes run the other way round.
        area = sum(
            (edge[:-1, 0] * edge[1:, 1] - edge[1:, 0] * edge[:-1, 1]).sum() / 2 for edge in edges
        )
        off.append(abs(area - section.area))
    assert off[0] > off[1] > off[2] > 0


def test_units_are_those_of_the_figures():
    in_inches = tracearm.read(PLATE, units="in")["PLATE"]
    (polygon,) = in_inches.polygons("0.01mm")
    edge = np.array(polygon.exterior)
    assert edge[:, 0].max() == pytest.approx(in_inches.x_max) and edge[:, 1].min() == pytest.approx(in_inches.y_min)
    by_name = tracearm.read(PLATE).polygons(0.5)
    assert set(by_name) == {"GUSSET", "PLATE", "WEB STIFFENER"} and all(by_name.values())


@pytest.mark.parametrize("tolerance", [0, -1, "fine", "1 furlong", math.nan, math.inf, None, True])
def test_tolerances_that_are_none(tolerance):
    with pytest.raises(tracearm.OptionsError, match="tolerance"):
        tracearm.read(PLATE)["PLATE"].polygons(tolerance)
