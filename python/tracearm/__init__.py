"""Section properties of outlines drawn in CAD: area, centroid, second moments, principal axes, elastic and plastic moduli, mass,
from DXF drawings, by exact integrals over the curves as they are drawn.

>>> import tracearm
>>> drawing = tracearm.read("bracket.dxf", units="cm")
>>> for section in drawing.sections:
...     print(section.name, section.area, section.units["area"])

:func:`read` takes one drawing, :func:`schedule` many. Options are those of the command ``tracearm``, which is installed with
this package; :mod:`tracearm.options` lists them.

All figures are geometry of the drawing as drawn. Whether a section is fit for its purpose is decided by the codes that apply where
it is built and by a licensed engineer.
"""

from . import errors, options
from ._drawing import Drawing, Polygon, Section, read
from ._schedule import Row, Schedule, schedule
from ._tracearm import CAUTION, Column, Finding
from ._tracearm import VERSION as __version__
from .errors import (
    CannotRead,
    DrawingMissing,
    Error,
    NotADrawing,
    OptionsError,
    OverLimit,
    ProgramFault,
    UnknownOption,
)

__all__ = [
    "CAUTION",
    "CannotRead",
    "Column",
    "Drawing",
    "DrawingMissing",
    "Error",
    "Finding",
    "NotADrawing",
    "OptionsError",
    "OverLimit",
    "Polygon",
    "ProgramFault",
    "Row",
    "Schedule",
    "Section",
    "UnknownOption",
    "__version__",
    "errors",
    "options",
    "read",
    "schedule",
]
