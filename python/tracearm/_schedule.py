"""Schedules of many drawings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Dict, List, Optional, Union, overload

from . import _files, _html
from ._tracearm import Column, Finding, MeasuredRows
from ._tracearm import Options as Understood
from ._tracearm import schedule as measured
from .errors import OptionsError

if TYPE_CHECKING:
    from typing import Iterable

    from typing_extensions import Unpack

    from .options import ScheduleOptions

    StrPath = _files.StrPath

Row = Dict[str, Any]
"""The values of a section by the headings of the schedule: texts, whole numbers, numbers with all their digits, and ``None`` for
what is not known."""


class Schedule(Sequence):
    """The sections of many drawings, as a sequence of rows: dictionaries by the headings of the schedule (``"area_mm2"``).

    ``pandas.DataFrame(schedule.to_dict())`` and ``polars.DataFrame(schedule.to_dict())`` make tables of it.
    """

    def __init__(self, rows: MeasuredRows) -> None:
        self._rows = rows
        self._values: Optional[Dict[str, List[Any]]] = None

    @property
    def columns(self) -> List[Column]:
        """The columns, each with key, heading, unit and definition."""
        return self._rows.columns

    @property
    def messages(self) -> List[str]:
        """What failed and what gave no row, in the words that the command tells on standard error."""
        return self._rows.messages

    @property
    def rows(self) -> List[Row]:
        """All rows in a list."""
        return list(self)

    @property
    def failed(self) -> List[Row]:
        """The rows of what could not be measured; their ``findings`` say why."""
        return [self[place] for place in self._rows.failed]

    def to_dict(self) -> Dict[str, List[Any]]:
        """The values by columns: a list for each heading."""
        return {heading: list(values) for heading, values in self._by_columns().items()}

    def findings(self, index: int) -> List[Finding]:
        """The findings of the row at this place, one by one."""
        return self._rows.findings(range(len(self))[index])

    def to_csv(self, path: Optional[StrPath] = None, *, decimal: str = "point") -> Optional[str]:
        """Writes the schedule as CSV, the same bytes as ``tracearm schedule -o``; without a path it is given as text.

        ``decimal="comma"`` writes 1,5 with semicolons between cells and a byte order mark. Numbers have the digits that
        ``digits=`` asked for.
        """
        return self._write(path, "csv", decimal)

    def to_json(self, path: Optional[StrPath] = None) -> Optional[str]:
        """Writes the schedule as JSON, the same bytes as ``tracearm schedule -o``; without a path it is given as text."""
        return self._write(path, "json", "point")

    def to_excel(self, path: StrPath) -> None:
        """Writes the schedule as a workbook (.xlsx), the same bytes as ``tracearm schedule -o``."""
        _files.write(path, self._rows.written("xlsx", "point"))

    def _write(self, path: Optional[StrPath], format: str, decimal: str) -> Optional[str]:
        data = self._rows.written(format, decimal)
        if path is None:
            return data.decode("utf-8")
        _files.write(path, data)
        return None

    def _by_columns(self) -> Dict[str, List[Any]]:
        if self._values is None:
            headings = [column.heading for column in self.columns]
            self._values = dict(zip(headings, self._rows.values()))
        return self._values

    def __len__(self) -> int:
        return len(self._rows)

    @overload
    def __getitem__(self, index: int) -> Row: ...

    @overload
    def __getitem__(self, index: slice) -> List[Row]: ...

    def __getitem__(self, index: Union[int, slice]) -> Union[Row, List[Row]]:
        places = range(len(self))[index]
        values = self._by_columns()
        if isinstance(places, range):
            return [{heading: column[at] for heading, column in values.items()} for at in places]
        return {heading: column[places] for heading, column in values.items()}

    def __repr__(self) -> str:
        return f"<Schedule of {len(self)} rows>"

    def _repr_html_(self) -> str:
        most = 60
        texts = [self._rows.texts(at) for at in range(min(most, len(self)))]
        # Columns that are empty in every row are left out, as in a table on a terminal.
        columns = self.columns
        shown = [k for k in range(len(columns)) if any(row[k] is not None for row in texts)]
        headings = [columns[k].heading for k in shown]
        more = f"… and {len(self) - most} more rows" if len(self) > most else ""
        return _html.table(headings, ([row[k] for k in shown] for row in texts), more) + _html.caution()


def schedule(
    paths: Union[StrPath, Iterable[StrPath], None] = None, **options: Unpack[ScheduleOptions]
) -> Schedule:
    """Measures many drawings on all cores: files, and folders, which are searched for .dxf files.

    Rows come in the order of the paths, those of a folder sorted by name. A drawing that can't be read has a row that says so;
    the others are measured as usual. With ``job=`` paths may be left out: the job names its drawings. Ctrl-C ends the run.

    :param options: those of :class:`tracearm.options.ScheduleOptions`.
    :raises tracearm.OptionsError: there is no such option, its value is not valid, or two options contradict each other.
    """
    drawings = [] if paths is None else _files.paths_of(paths)
    understood = Understood(dict(options), True, drawings)
    if not drawings and not understood.has_drawings:
        raise OptionsError("paths: name at least one drawing, or a folder that holds some, or a job with job=")
    return Schedule(measured(drawings, understood))
