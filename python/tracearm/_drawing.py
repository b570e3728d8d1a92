"""Drawings that were read and measured."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any, Dict, Iterator, List, NamedTuple, Optional, Tuple, Union

from . import _files, _html
from ._tracearm import Column, Finding, MeasuredDrawing, MeasuredSection
from ._tracearm import Options as Understood
from ._tracearm import read as measured

if TYPE_CHECKING:
    from typing import BinaryIO

    from typing_extensions import Unpack

    from .options import Options

Coordinates = List[Tuple[float, float]]
"""Points (x, y), the first of which comes again as the last."""

MAIN_FIGURES = (
    "area",
    "perimeter",
    "centroid_x",
    "centroid_y",
    "second_moment_x",
    "second_moment_y",
    "product_moment_xy",
    "second_moment_1",
    "second_moment_2",
    "principal_angle",
    "elastic_modulus_x_top",
    "elastic_modulus_x_bottom",
    "elastic_modulus_y_left",
    "elastic_modulus_y_right",
    "plastic_modulus_x",
    "plastic_modulus_y",
    "mass_per_length",
    "mass",
    "cut_length",
    "pierces",
    "stock_length",
    "stock_width",
)
"""The figures that a notebook shows beside the picture."""

FINEST_USUAL = "0.01mm"
"""Curves keep within this of their chords unless asked: as near as ends are joined."""


class Polygon(NamedTuple):
    """One solid part of a section, in the unit of its figures: ``shapely.Polygon(*polygon)`` takes it as it is."""

    exterior: Coordinates
    """The outer edge, anticlockwise."""
    holes: List[Coordinates]
    """The edges of the holes, clockwise."""

    @property
    def __geo_interface__(self) -> Dict[str, Any]:
        return {"type": "Polygon", "coordinates": [self.exterior, *self.holes]}


class Section:
    """A section of a drawing with its figures: each column of the schedule is an attribute, in the unit that
    ``section.units`` has for it.

    Axes: x to the right, y up; ``second_moment_x`` is about the axis *along* x through the centroid, ∬(y−centroid_y)² dA.
    Coordinates are those of the drawing. What is not known is ``None``, never 0.
    """

    __slots__ = ("_measured",)

    if TYPE_CHECKING:
        drawing: str
        section: str
        layer: str
        status: str
        parts: Optional[int]
        holes: Optional[int]
        area: Optional[float]
        perimeter: Optional[float]
        x_min: Optional[float]
        x_max: Optional[float]
        y_min: Optional[float]
        y_max: Optional[float]
        centroid_x: Optional[float]
        centroid_y: Optional[float]
        second_moment_x: Optional[float]
        second_moment_y: Optional[float]
        product_moment_xy: Optional[float]
        second_moment_1: Optional[float]
        second_moment_2: Optional[float]
        principal_angle: Optional[float]
        gyration_x: Optional[float]
        gyration_y: Optional[float]
        gyration_1: Optional[float]
        gyration_2: Optional[float]
        elastic_modulus_x_top: Optional[float]
        elastic_modulus_x_bottom: Optional[float]
        elastic_modulus_y_left: Optional[float]
        elastic_modulus_y_right: Optional[float]
        elastic_modulus_1_top: Optional[float]
        elastic_modulus_1_bottom: Optional[float]
        elastic_modulus_2_left: Optional[float]
        elastic_modulus_2_right: Optional[float]
        plastic_modulus_x: Optional[float]
        plastic_modulus_y: Optional[float]
        plastic_modulus_1: Optional[float]
        plastic_modulus_2: Optional[float]
        plastic_axis_y: Optional[float]
        plastic_axis_x: Optional[float]
        mass_per_length: Optional[float]
        strip_check: Optional[float]
        drawing_unit: Optional[str]
        # With ``per="part"`` and ``per="outline"``.
        label: Optional[str]
        # With ``thickness=``.
        thickness: Optional[float]
        mass: Optional[float]
        cut_length: Optional[float]
        pierces: Optional[int]
        stock_length: Optional[float]
        stock_width: Optional[float]
        stock_angle: Optional[float]
        balance_x: Optional[float]
        balance_y: Optional[float]
        outer_perimeter: Optional[float]
        inner_perimeter: Optional[float]
        # Of a job with axes of its own.
        stated_point_x: Optional[float]
        stated_point_y: Optional[float]
        stated_angle: Optional[float]
        stated_second_moment_x: Optional[float]
        stated_second_moment_y: Optional[float]
        stated_product_moment_xy: Optional[float]
        # With ``field=True``.
        torsion_constant: Optional[float]
        torsion_constant_lower: Optional[float]
        torsion_constant_upper: Optional[float]
        warping_constant: Optional[float]
        warping_constant_error: Optional[float]
        shear_centre_x: Optional[float]
        shear_centre_y: Optional[float]
        shear_centre_from_centroid_x: Optional[float]
        shear_centre_from_centroid_y: Optional[float]
        shear_centre_error: Optional[float]
        shear_area_x: Optional[float]
        shear_area_x_error: Optional[float]
        shear_area_y: Optional[float]
        shear_area_y_error: Optional[float]
        shear_area_1: Optional[float]
        shear_area_1_error: Optional[float]
        shear_area_2: Optional[float]
        shear_area_2_error: Optional[float]
        monosymmetry_1: Optional[float]
        monosymmetry_1_error: Optional[float]
        monosymmetry_2: Optional[float]
        monosymmetry_2_error: Optional[float]
        torsion_stress: Optional[float]
        torsion_stress_error: Optional[float]
        torsion_stress_x: Optional[float]
        torsion_stress_y: Optional[float]
        sharp_corners: Optional[int]
        field_unknowns: Optional[int]

    def __init__(self, measured: MeasuredSection) -> None:
        self._measured = measured

    @property
    def name(self) -> str:
        """Its name: that of the layer; ``layer#1``, ``layer#2`` … where parts or outlines are sections."""
        return self.section

    @property
    def findings(self) -> List[Finding]:
        """What the reader must know of it."""
        return self._measured.findings

    @property
    def columns(self) -> List[Column]:
        """The columns that it has, each with key, heading, unit and definition."""
        return self._measured.columns

    @property
    def units(self) -> Dict[str, str]:
        """The unit of each figure that has one: ``section.units["area"]`` is ``"mm²"``."""
        return {column.key: column.unit for column in self.columns if column.unit is not None}

    def to_dict(self) -> Dict[str, Any]:
        """The values by the headings of the schedule (``"area_mm2"``)."""
        return {column.heading: self._measured.value(column.key) for column in self.columns}

    def polygons(self, tolerance: Union[str, float] = FINEST_USUAL) -> List[Polygon]:
        """The solid as polygons in the unit of the figures, one for each part, left to right as they lie in the region.

        Curves become chords whose ends lie on them, so that areas are a little less for what is round outwards; the figures of
        the section itself are exact.

        :param tolerance: how far chords may be off their curves: ``"0.1mm"``, or a number in the unit of ``units``.
        """
        return [Polygon(edge, holes) for edge, holes in self._measured.polygons(str(tolerance))]

    @property
    def __geo_interface__(self) -> Dict[str, Any]:
        polygons = [[polygon.exterior, *polygon.holes] for polygon in self.polygons()]
        return {"type": "MultiPolygon", "coordinates": polygons}

    def svg(self, date: str = "") -> Optional[str]:
        """The picture of the section: solid, holes, overall sizes, centroid, axes and extreme fibres; ``None`` where there is
        nothing to draw.

        :param date: stands in the picture where it is given, as the command's ``--date`` does.
        """
        return self._measured.svg(date)

    def __repr__(self) -> str:
        area = self._measured.text("area")
        figures = "not measured" if area is None else f"area {area} {self.units['area']}"
        return f"<Section {self.name}: {self.status}, {figures}>"

    def _repr_svg_(self) -> Optional[str]:
        return self.svg()

    def _repr_html_(self) -> str:
        units = self.units
        texts = {key: self._measured.text(key) for key in MAIN_FIGURES}
        rows = [(key, text, units.get(key)) for key, text in texts.items() if text is not None]
        return (
            f"<h4>{_html.escaped(self.name)}: {_html.escaped(self.status)}</h4>"
            + _html.picture(self.svg(), self.name)
            + _html.table(("figure", "value", "unit"), rows)
            + _html.findings(str(finding) for finding in self.findings)
            + _html.caution()
        )


def _add_figures() -> None:
    """Gives the class an attribute for each column, with its definition and unit as its document."""

    def figure(column: Column) -> property:
        key = column.key
        unit = "" if column.unit is None else f", in {column.unit} unless units= asks for others"
        there = {
            "common": "",
            "label": "; only with per=\"part\" or per=\"outline\"",
            "plate": "; only with thickness=",
            "stated": "; only for a job with axes of its own",
            "field": "; only with field=True",
        }
        return property(
            lambda section: section._measured.value(key),
            doc=f"{column.definition}{unit}{there[column.group]}",
        )

    for column in ALL_COLUMNS:
        if column.key != "findings":
            setattr(Section, column.key, figure(column))


ALL_COLUMNS: List[Column] = Column.all()
"""Every column that a schedule can have, in millimetres and kilograms."""
_add_figures()


class Drawing:
    """A drawing that was read and measured."""

    __slots__ = ("_measured", "_sections")

    def __init__(self, measured: MeasuredDrawing) -> None:
        self._measured = measured
        self._sections = [Section(section) for section in measured.sections]

    @property
    def name(self) -> str:
        """Its path as it was given, or the name that it was given."""
        return self._measured.name

    @property
    def version(self) -> str:
        """The version of DXF that it names."""
        return self._measured.version

    @property
    def unit(self) -> str:
        """The unit that its coordinates were taken to be in, such as ``"mm"``."""
        return self._measured.unit

    @property
    def unit_source(self) -> str:
        """How that unit is known: ``"stated"``, ``"header"`` or ``"assumed"``."""
        return self._measured.unit_source

    @property
    def layers(self) -> List[str]:
        """The names of its layers."""
        return self._measured.layers

    @property
    def sections(self) -> List[Section]:
        """Its sections, those of layers by name; what could not be measured has the status ``"failed"``."""
        return list(self._sections)

    @property
    def findings(self) -> List[Finding]:
        """What the reader must know of the drawing as a whole."""
        return self._measured.findings

    @property
    def messages(self) -> List[str]:
        """What failed and what gave no section, in the words that the command tells on standard error."""
        return self._measured.messages

    def polygons(self, tolerance: Union[str, float] = FINEST_USUAL) -> Dict[str, List[Polygon]]:
        """The polygons of each section by its name; see :meth:`Section.polygons`."""
        return {section.name: section.polygons(tolerance) for section in self._sections}

    def __getitem__(self, name: str) -> Section:
        """The section of this name, in any letter case; one that is the same letter by letter goes first."""
        if not isinstance(name, str):
            raise TypeError(f"give the name of a section, not {type(name).__name__}; sections has them by number")
        for same in (lambda own: own == name, lambda own: own.lower() == name.lower()):
            for section in self._sections:
                if same(section.name):
                    return section
        names = ", ".join(section.name for section in self._sections)
        raise KeyError(f"{self.name} has no section “{name}”; its sections are: {names}")

    def __iter__(self) -> Iterator[Section]:
        return iter(self._sections)

    def __len__(self) -> int:
        return len(self._sections)

    def __repr__(self) -> str:
        return f"<Drawing {self.name}: {len(self)} sections>"

    def _repr_html_(self) -> str:
        most_pictures = 6
        keys = ("section", "status", *MAIN_FIGURES)
        texts = [[section._measured.text(key) for key in keys] for section in self._sections]
        shown = [k for k in range(len(keys)) if any(row[k] is not None for row in texts)]
        units = self._sections[0].units if self._sections else {}
        headings = [f"{keys[k]} ({units[keys[k]]})" if keys[k] in units else keys[k] for k in shown]
        pictures = [_html.picture(section.svg(), section.name) for section in self._sections[:most_pictures]]
        return (
            f"<h4>{_html.escaped(self.name)}</h4>"
            + _html.table(headings, ([row[k] for k in shown] for row in texts))
            + "".join(pictures)
            + _html.findings(self.messages)
            + _html.caution()
        )


def read(
    source: Union[_files.StrPath, bytes, bytearray, memoryview, BinaryIO],
    *,
    name: Optional[str] = None,
    **options: Unpack[Options],
) -> Drawing:
    """Reads a drawing and measures its sections.

    :param source: the path of a DXF drawing, its bytes, or a file that is open for reading bytes.
    :param name: what the drawing is called in its sections; the path where it is read from one.
    :param options: those of :class:`tracearm.options.Options`.
    :raises tracearm.DrawingMissing: there is no file at the path.
    :raises tracearm.CannotRead: the file can't be opened or read.
    :raises tracearm.NotADrawing: it is not a DXF drawing.
    :raises tracearm.OverLimit: it goes over a limit.
    :raises tracearm.OptionsError: there is no such option, its value is not valid, or two options contradict each other.
    """
    if name is not None and not isinstance(name, str):
        raise TypeError(f"name: give text, not {type(name).__name__}")
    understood = Understood(dict(options), False, [])
    if isinstance(source, (str, os.PathLike)):
        return Drawing(measured(_files.path_of(source, "source"), None, name, understood))
    data = source
    if hasattr(source, "read"):
        data = source.read()
        named = getattr(source, "name", None)
        name = named if name is None and isinstance(named, str) else name
    if not isinstance(data, (bytes, bytearray, memoryview)):
        what = "text: open the file with mode \"rb\"" if isinstance(data, str) else type(data).__name__
        raise TypeError(f"source: give a path, bytes, or a file that is open for reading bytes, not {what}")
    return Drawing(measured(None, bytes(data), name, understood))
