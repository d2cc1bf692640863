# SPDX-License-Identifier: Apache-2.0
"""The sheets of one table put together, still as text: nodes and runs come in many, the rest in one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from riser.project.columns import Column, Table, is_note
from riser.project.decimal_comma import with_points
from riser.project.faults import Faults, Places
from riser.project.headings import Headings, headings
from riser.project.sheet import Sheet

Texts = NDArray[np.object_]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Cells:
    """One column of a table: text, where each cell stands, and what turns it into SI, sheet by sheet."""

    column: Column
    values: Texts
    places: Places
    conversions: Sequence[tuple[float, float]]
    usable: bool

    @property
    def factor(self) -> Floats:
        """Each cell's factor to SI."""
        return np.array([1.0, *(factor for factor, _ in self.conversions)])[self.places.source + 1]


@dataclass(frozen=True)
class TextTable:
    """A table as text; `note` is what all its columns of notes say."""

    table: Table
    places: Places
    columns: dict[str, Cells]
    note: Texts


@dataclass(frozen=True)
class Part:
    """A sheet and the type revision it draws ("" for tables that are one sheet)."""

    sheet: Sheet
    type: str = ""
    revision: str = ""


def text_table(table: Table, parts: Sequence[Part], faults: Faults) -> TextTable:
    """The sheets of one table as one; empty cells of columns with a default hold the default."""
    found = [headings(part.sheet, table, faults) for part in parts]
    pairs = zip(parts, found, strict=True)
    parts = [replace(part, sheet=with_points(part.sheet, heads, faults)) for part, heads in pairs]
    counts = [len(part.sheet.row) for part in parts]
    places = Places(
        tuple(part.sheet.file for part in parts),
        np.repeat(np.arange(len(parts), dtype=np.int32), counts),
        np.concatenate([np.zeros(0, np.int64), *(part.sheet.row for part in parts)]),
    )
    columns = {c.name: _cells(c, parts, found, places) for c in table.columns}
    note = _joined([_notes(part.sheet, heads) for part, heads in zip(parts, found, strict=True)])
    return TextTable(table, places, columns, note)


def _notes(sheet: Sheet, heads: Headings) -> Texts:
    """All columns of notes as one, with semicolons between."""
    notes = [_texts(sheet, heads, name) for name in heads.by_name if is_note(name)]
    if len(notes) <= 1:
        return notes[0] if notes else np.full(len(sheet.row), "", dtype=object)
    rows = zip(*notes, strict=True)
    return np.array(["; ".join(cell for cell in row if cell) for row in rows], dtype=object)


def _cells(column: Column, parts: Sequence[Part], found: Sequence[Headings], places: Places) -> Cells:
    pieces, conversions = [], []
    for part, heads in zip(parts, found, strict=True):
        values = _texts(part.sheet, heads, column.name)
        pieces.append(values)
        heading = heads.by_name.get(column.name)
        conversions.append((heading.factor, heading.offset) if heading else (1.0, 0.0))
    values = _joined(pieces)
    if column.default:
        values = np.where(values == "", column.default, values).astype(object)
    usable = not any(column.name in heads.broken for heads in found)
    return Cells(column, values, places, conversions, usable)


def _texts(sheet: Sheet, heads: Headings, name: str) -> Texts:
    heading = heads.by_name.get(name)
    if heading is None:
        return np.full(len(sheet.row), "", dtype=object)
    return sheet.body[heading.place].to_numpy(object)


def _joined(pieces: Sequence[Texts]) -> Texts:
    return np.concatenate([np.zeros(0, object), *pieces])
