# SPDX-License-Identifier: Apache-2.0
"""A table of text as a table of figures and words, by the kinds the schema gives its columns."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from riser.project import figures, words
from riser.project.columns import NOTE, Column, Kind, Table
from riser.project.faults import Faults
from riser.project.text_table import Cells, Part, TextTable

_READERS: dict[Kind, Callable[[Cells, Faults], Mapping[str, np.ndarray]]] = {
    Kind.ID: words.ids,
    Kind.REFERENCE: words.texts,
    Kind.REFERENCES: words.texts,
    Kind.TEXT: words.texts,
    Kind.CHOICE: words.choices,
    Kind.YES_NO: words.yes_or_no,
    Kind.DATE: words.dates,
    Kind.NUMBER: figures.numbers,
    Kind.WHOLE: figures.numbers,
    Kind.QUANTITY: figures.numbers,
    Kind.LEVEL: figures.numbers,
    Kind.POINTS: figures.point_lists,
    Kind.FACING: figures.directions,
    Kind.SETTING: figures.settings_of_devices,
}


@dataclass(frozen=True)
class TypedTable:
    """A table read: `frame` as JobTables holds it, `text` as the engineer wrote it, for messages."""

    table: Table
    text: TextTable
    frame: pd.DataFrame

    def usable(self, *columns: str) -> bool:
        """Whether checks that rest on these columns make sense."""
        return all(self.text.columns[name].usable for name in columns)

    def cells(self, column: str) -> Cells:
        """A column as text, with its places."""
        return self.text.columns[column]

    def inner(self, column: str) -> np.ndarray:
        """A column as read."""
        name = self.text.columns[column].column.inner
        return self.frame[name].to_numpy()


def typed_table(text: TextTable, parts: list[Part], zone: ZoneInfo, faults: Faults) -> TypedTable:
    """Every column read by its kind; faults for empty cells where something must stand."""
    columns: dict[str, np.ndarray] = {}
    if text.table.per_type:
        columns["type"] = _by_sheet([part.type for part in parts], text)
        columns["revision"] = _by_sheet([part.revision for part in parts], text)
    for cells in text.columns.values():
        if cells.usable:
            _refuse_empty(cells, faults)
            columns |= _read(cells, zone, faults)
        else:
            columns |= {
                name: absent_values(cells.column, name, len(cells.values))
                for name in cells.column.inner_columns
            }
    columns[NOTE] = text.note
    columns["row"] = text.places.row
    frame = _frame({name: columns[name] for name in text.table.inner_columns})
    return TypedTable(text.table, text, frame)


def _frame(columns: dict[str, np.ndarray]) -> pd.DataFrame:
    """A frame in which text stays a column of objects, whichever text type pandas prefers."""
    return pd.DataFrame({name: pd.Series(values, dtype=values.dtype) for name, values in columns.items()})


def _read(cells: Cells, zone: ZoneInfo, faults: Faults) -> dict[str, np.ndarray]:
    if cells.column.kind is Kind.TIME:
        return {**words.times(cells, faults, zone)}
    return {**_READERS[cells.column.kind](cells, faults)}


def _by_sheet(names: list[str], text: TextTable) -> np.ndarray:
    return np.array([*names, ""], dtype=object)[text.places.source]


def _refuse_empty(cells: Cells, faults: Faults) -> None:
    if cells.column.required:
        empty = cells.values == ""
        faults.add_rows(cells.places, empty, cells.column.name, cells.values, "a filled cell", "Fill it.")


def absent_values(column: Column, name: str, count: int) -> np.ndarray:
    """What a column holds when nobody filled it: "" for text, NaN for figures, no for yes and no."""
    if column.kind is Kind.YES_NO:
        return np.zeros(count, dtype=bool)
    is_figure = column.is_number or (column.kind is Kind.SETTING and name != column.name)
    return np.full(count, np.nan) if is_figure else np.full(count, "", dtype=object)


def empty_frame(table: Table) -> pd.DataFrame:
    """The table of a file that does not exist: all its columns, no rows."""
    front = {name: np.zeros(0, dtype=object) for name in ("type", "revision") if table.per_type}
    own = {name: absent_values(c, name, 0) for c in table.columns for name in c.inner_columns}
    return _frame({**front, **own, NOTE: np.zeros(0, dtype=object), "row": np.zeros(0, dtype=np.int64)})
