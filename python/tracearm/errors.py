"""What goes wrong: every exception of this package is a :class:`tracearm.Error`.

The text of an exception is what the command ``tracearm`` would say: what, where, and what to try next. Hints name the options of
the command; ``--join`` is ``join=`` here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Optional

if TYPE_CHECKING:
    from ._tracearm import Finding

__all__ = [
    "CannotRead",
    "DrawingMissing",
    "Error",
    "NotADrawing",
    "OptionsError",
    "OverLimit",
    "ProgramFault",
    "UnknownOption",
]


class Error(Exception):
    """Anything that goes wrong in this package."""

    finding: Optional[Finding]
    """The same as a finding, with its code, place and values; ``None`` where there is no drawing that it could be found in."""

    def __init__(self, message: str, finding: Optional[Finding] = None) -> None:
        super().__init__(message)
        self.finding = finding

    @property
    def code(self) -> Optional[str]:
        """What kind of finding it is, such as ``"file-is-dwg"``; ``None`` for wrong options."""
        return None if self.finding is None else self.finding.code

    @property
    def hint(self) -> str:
        """What to try next; ``""`` where the message itself says it."""
        return "" if self.finding is None else self.finding.hint

    # What has another exception of Python among its classes would be shown as that one shows itself.
    def __str__(self) -> str:
        return str(self.args[0]) if self.args else ""


class CannotRead(Error, OSError):
    """The drawing exists but cannot be opened or read."""


class DrawingMissing(CannotRead, FileNotFoundError):
    """There is no file at this path."""


class NotADrawing(Error, ValueError):
    """The file is not a DXF drawing, or is damaged from its first line on: an empty file, a DWG drawing, a picture."""


class OverLimit(Error):
    """The drawing goes over a limit; ``limit=`` raises it."""


class OptionsError(Error, ValueError):
    """The value of an option is not valid, or two options contradict each other."""


class UnknownOption(OptionsError, TypeError):
    """There is no option of this name; the message names the nearest one."""


class ProgramFault(Error, RuntimeError):
    """A fault of this package: please report it."""
