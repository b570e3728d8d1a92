"""The options of :func:`tracearm.read` and :func:`tracearm.schedule`.

They are those of the command ``tracearm schedule``, with underscores for hyphens, with the same values; numbers
may be given as numbers. A bare number is in the unit of ``units``. ``None`` is the same as leaving an option out.
"""

from __future__ import annotations

import os
from typing import Iterable, Mapping, TypedDict, Union

__all__ = ["Options", "ScheduleOptions"]

Length = Union[str, float]
"""``"20mm"``, ``"3/8in"``, or a number in the unit of ``units``."""
Texts = Union[str, Iterable[str]]
"""One text, or several."""


class Options(TypedDict, total=False):
    """Options of :func:`tracearm.read` and :func:`tracearm.schedule`."""

    units: str
    """Unit of all figures: ``"mm"`` (the default), ``"cm"``, ``"m"``, ``"in"`` or ``"ft"``."""
    mass_units: str
    """``"kg"`` (the default), with kg/m, or ``"lb"``, with lb/ft."""
    per: str
    """What one section is: ``"layer"`` (the default), ``"part"``, ``"outline"`` or ``"drawing"``."""
    layers: Texts
    """Only layers whose name matches: ``"PLATE*"``."""
    skip: Texts
    """Leave out layers whose name matches."""
    void_layers: Texts
    """Cut the closed outlines on layers whose name matches out of every section that they lie over."""
    label_layers: Texts
    """Name parts and outlines only by the texts on layers whose name matches."""
    hidden: bool
    """Measure layers that are off or frozen too, and entities marked invisible."""
    density: Union[str, float]
    """Density for masses: a number in kg/m³ (steel: 7850), or text such as ``"490 lb/ft3"``."""
    thickness: Length
    """Measure sections as flat plates of this thickness, which adds the columns of plates."""
    common_cuts: bool
    """With ``per="outline"`` and ``thickness``: count an edge that two plates share once."""
    field: bool
    """Add torsion, warping and shear constants, by elastic theory for a straight bar with the same section all along."""
    field_tolerance: Union[str, float]
    """With ``field=True``: how close together the bounds of the torsion constant must be, as a share of it: 1e-7 to
    0.01; 1e-3 unless stated."""
    poisson: Union[str, float]
    """With ``field=True``: Poisson ratio of the material for shear areas, 0 (the default) to 0.5; steel has 0.3."""
    join: Length
    """Join ends that are this near to each other; 0.01 mm unless stated."""
    hatches: str
    """What hatches count as: ``"ignore"``, ``"only-where-no-other"`` (the default) or ``"use"``."""
    widths: str
    """What polylines with a width count as: ``"centre-line"`` (the default) or ``"solid"``."""
    drawing_units: str
    """Unit of the drawings' coordinates, whatever their headers say."""
    space: str
    """The space that is read: ``"model"`` (the default) or ``"paper"``."""
    limit: Union[Texts, Mapping[str, Union[str, int]]]
    """Limits that keep a drawing from taking all memory: ``"memory=4GB"`` or ``{"memory": "4GB", "layers": 200_000}``."""
    digits: Union[str, int]
    """Significant digits of what is written (CSV, workbooks, tables, pictures), 1 to 17, or ``"full"``; 6 unless stated. Figures
    in Python have all their digits whatever this says."""


class ScheduleOptions(Options, total=False):
    """Options of :func:`tracearm.schedule`: those of everything that measures, and these."""

    columns: Texts
    """These columns only, in this order: names without units, patterns and groups, such as
    ``["section", "area", "plastic", "*_moment_x"]``."""
    job: Union[str, os.PathLike[str]]
    """Measure the sections that this job file composes from layers."""
    jobs: int
    """Number of drawings measured in parallel; the number of cores unless stated."""
    time_limit: Union[str, float]
    """Give up a drawing that takes longer: ``"30s"``, ``"2min"``, or a number of seconds."""
