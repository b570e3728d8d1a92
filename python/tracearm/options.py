"""The options of :func:`tracearm.read` and :func:`tracearm.schedule`.

They are those of the command ``tracearm schedule``, with underscores for hyphens, and their values are spelled as there; numbers
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
    """What can be asked of everything that measures."""

    units: str
    """Unit of all figures: ``"mm"`` (unless asked), ``"cm"``, ``"m"``, ``"in"`` or ``"ft"``."""
    mass_units: str
    """``"kg"`` (unless asked), with kg/m, or ``"lb"``, with lb/ft."""
    per: str
    """What one section is: ``"layer"`` (unless asked), ``"part"``, ``"outline"`` or ``"drawing"``."""
    layers: Texts
    """Take only layers whose name matches: ``"PLATE*"``."""
    skip: Texts
    """Leave out layers whose name matches."""
    void_layers: Texts
    """Cut the closed outlines on layers whose name matches from every section that they lie over."""
    label_layers: Texts
    """Name parts and outlines by the texts on layers whose name matches alone."""
    hidden: bool
    """Measure layers that are off or frozen too, and entities marked invisible."""
    density: Union[str, float]
    """Density for masses: a number in kg/m³ (steel: 7850), or text such as ``"490 lb/ft3"``."""
    thickness: Length
    """Take sections as flat plates of this thickness, which adds the columns of plates."""
    common_cuts: bool
    """With ``per="outline"`` and ``thickness``: an edge that two plates share is cut once."""
    field: bool
    """Add torsion, warping and shear constants: elastic theory of a straight bar with the same section all along."""
    field_tolerance: Union[str, float]
    """With ``field=True``: how near to each other the bounds of the torsion constant are to come, as a share of it, 1e-7 to
    0.01; 1e-3 unless asked."""
    poisson: Union[str, float]
    """With ``field=True``: Poisson ratio of the material for shear areas, 0 (unless asked) to 0.5; steel has 0.3."""
    join: Length
    """Join ends that are this near to each other; 0.01 mm unless asked."""
    hatches: str
    """What hatches count for: ``"ignore"``, ``"only-where-no-other"`` (unless asked) or ``"use"``."""
    widths: str
    """What polylines with a width count for: ``"centre-line"`` (unless asked) or ``"solid"``."""
    drawing_units: str
    """Unit of the drawings' coordinates, whatever their headers say."""
    space: str
    """Which space is read: ``"model"`` (unless asked) or ``"paper"``."""
    limit: Union[Texts, Mapping[str, Union[str, int]]]
    """Limits that keep a drawing from taking all memory: ``"memory=4GB"`` or ``{"memory": "4GB", "layers": 200_000}``."""
    digits: Union[str, int]
    """Significant digits of what is written (CSV, workbooks, tables, pictures), 1 to 17, or ``"full"``; 6 unless asked. Figures
    in Python have all their digits whatever this says."""


class ScheduleOptions(Options, total=False):
    """What can be asked of :func:`tracearm.schedule` beside that."""

    columns: Texts
    """These columns only, in this order: names without units, patterns and groups, such as
    ``["section", "area", "plastic", "*_moment_x"]``."""
    job: Union[str, os.PathLike[str]]
    """Measure the sections that this job file composes from layers."""
    jobs: int
    """Number of drawings measured in parallel; the number of cores unless stated."""
    time_limit: Union[str, float]
    """Give up a drawing that takes longer: ``"30s"``, ``"2min"``, or a number of seconds."""
