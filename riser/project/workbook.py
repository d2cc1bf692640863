# SPDX-License-Identifier: Apache-2.0
"""A job folder as one workbook, with a sheet for each file: the same job, read back to the same tables.

Texts are written as texts and figures as figures, never a formula: what a cell says is what it does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from riser.network.tables import JobTables
from riser.project.columns import NOTE, Table
from riser.project.content import contents
from riser.project.csv_text import csv_sheet
from riser.project.decimal_comma import with_points
from riser.project.faults import Faults
from riser.project.figures import plain_numbers
from riser.project.headings import Headings, headings
from riser.project.limits import LIMITS
from riser.project.reading import read_contents
from riser.project.schema import GATES_FILE, PROJECT_FILE, TABLES, amendment_name, type_file
from riser.project.settings import toml_table
from riser.project.sheet import Sheet
from riser.project.workbook_settings import gate_rows, project_rows
from riser.project.workbook_sheets import GATES_SHEET, PROJECT_SHEET, RULES_SHEET
from riser.units import DIMENSIONS

_LONGEST_NAME = 31
_LONGEST_CELL = 32_767
_MOST_ROWS = 1_048_576
_LONGEST_LIST = 255
# One date for all workbooks: the same job gives the same bytes.
_CREATED = datetime(2000, 1, 1)


@dataclass(frozen=True)
class _Page:
    """A sheet to write: text cells by column, row numbers, columns of figures, words to choose from."""

    name: str
    header: Sequence[str]
    columns: Sequence[Sequence[str]]
    row: Sequence[int]
    figures: frozenset[int] = frozenset()
    choices: Mapping[int, Sequence[str]] | None = None


def write_workbook(job: Path, path: Path) -> None:
    """Write the job in folder `job` as an .xlsx workbook.

    The nodes and runs of each type revision have a sheet of their own. Where such a sheet's name would be
    too long for a spreadsheet, they all stand in one sheet with the columns type and revision, in SI units.
    Raises InputErrors for a job that cannot be read, and for cells that do not fit into a spreadsheet.
    """
    files = contents(job)
    tables = read_contents(files)
    pages = list(_pages(files, tables))
    _refuse_oversize(pages, path)
    _write(pages, path)


def _pages(files: Mapping[str, bytes], tables: JobTables) -> Iterable[_Page]:
    yield _settings_page(files)
    for table in TABLES.values():
        if table.per_type:
            yield from _drawing_pages(table, files, tables)
        elif table.file in files:
            yield _table_page(table.name, table, files, table.file)
    if GATES_FILE in files:
        header, *rows = gate_rows(_toml(files, GATES_FILE))
        yield _Page(GATES_SHEET, header, list(zip(*rows, strict=True)), range(2, len(rows) + 2))
    for file in sorted(files):
        name = amendment_name(file)
        if name:
            lines = files[file].decode("utf-8-sig").splitlines()
            yield _Page(f"{RULES_SHEET} {name}", ["line"], [lines], range(2, len(lines) + 2))


def _toml(files: Mapping[str, bytes], name: str) -> dict[str, Any]:
    return toml_table(files[name], name, Faults()) or {}


def _settings_page(files: Mapping[str, bytes]) -> _Page:
    rows = project_rows(_toml(files, PROJECT_FILE))
    columns = [[key for key, _ in rows], [cell for _, cell in rows]]
    return _Page(PROJECT_SHEET, ["key", "value"], columns, range(2, len(rows) + 2))


def _table_page(name: str, table: Table, files: Mapping[str, bytes], file: str) -> _Page:
    faults = Faults()
    sheet = csv_sheet(files[file], file, faults, LIMITS)
    assert sheet is not None  # the job has been read: every sheet in it is sound
    found = headings(sheet, table, faults)
    return _page_of(name, with_points(sheet, found, faults), found)


def _page_of(name: str, sheet: Sheet, found: Headings) -> _Page:
    kept = list(found.by_name.values())
    columns = [sheet.body[heading.place].tolist() for heading in kept]
    figures = frozenset(n for n, heading in enumerate(kept) if heading.column.is_number)
    choices = {n: heading.column.choices for n, heading in enumerate(kept) if heading.column.choices}
    header = [heading.printed for heading in kept]
    return _Page(name, header, columns, sheet.row.tolist(), figures, choices)


def _drawing_pages(table: Table, files: Mapping[str, bytes], tables: JobTables) -> Iterable[_Page]:
    pairs = list(zip(tables.types["type"], tables.types["revision"], strict=True))
    names = [f"{table.name} {part_type} {revision}" for part_type, revision in pairs]
    fit = all(len(name) <= _LONGEST_NAME for name in names)
    if fit and len({name.lower() for name in names}) == len(names):
        for name, pair in zip(names, pairs, strict=True):
            yield _table_page(name, table, files, type_file(table.name, *pair))
    else:
        yield _page_in_si(table, getattr(tables, table.name))


def _page_in_si(table: Table, frame: pd.DataFrame) -> _Page:
    """All revisions in one sheet: their files may use different units, so the sheet uses riser's own."""
    header, columns, figures = (
        ["type", "revision"],
        [frame["type"].tolist(), frame["revision"].tolist()],
        set(),
    )
    for column in table.columns:
        unit = f" [{DIMENSIONS[column.dimension].unit}]" if column.dimension else ""
        if column.is_number:
            figures.add(len(header))
        header.append(column.name + unit)
        columns.append([_cell(value) for value in frame[column.inner].tolist()])
    columns.append(frame[NOTE].tolist())
    return _Page(table.name, [*header, NOTE], columns, range(2, len(frame) + 2), frozenset(figures))


def _cell(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return "" if np.isnan(value) else repr(value)
    return str(value)


def _refuse_oversize(pages: Sequence[_Page], path: Path) -> None:
    faults = Faults()
    for page in pages:
        label = f"{path.name}, sheet {page.name}"
        if len(page.name) > _LONGEST_NAME:
            expected = f"a name of at most {_LONGEST_NAME} letters"
            faults.add_file(label, f"{len(page.name)} letters", expected, "Give it a shorter name.")
        if max(page.row, default=0) > _MOST_ROWS:
            faults.add_file(
                label, "too many rows", f"at most {_MOST_ROWS} rows", "Keep this job as a folder."
            )
        for header, cells in zip(page.header, page.columns, strict=True):
            for row, cell in zip(page.row, cells, strict=True):
                if len(cell) > _LONGEST_CELL:
                    expected = f"at most {_LONGEST_CELL} letters in a cell"
                    faults.add(label, row, header, f"{len(cell)} letters", expected, "Shorten the text.")
    faults.raise_if_any()


def _write(pages: Sequence[_Page], path: Path) -> None:
    import xlsxwriter

    with xlsxwriter.Workbook(str(path)) as book:
        book.set_properties({"created": _CREATED})
        bold = book.add_format({"bold": True, "num_format": "@"})
        text = book.add_format({"num_format": "@"})
        for page in pages:
            sheet = book.add_worksheet(page.name)
            sheet.freeze_panes(1, 0)
            for place, (header, cells) in enumerate(zip(page.header, page.columns, strict=True)):
                is_figure = place in page.figures
                width = min(40, max([len(header), *(len(cell) for cell in cells)]) + 2)
                sheet.set_column(place, place, width, None if is_figure else text)
                sheet.write_string(0, place, header, bold)
                _write_cells(sheet, place, page.row, cells, None if is_figure else text)
            _offer_choices(sheet, page)


def _write_cells(sheet: Any, place: int, rows: Sequence[int], cells: Sequence[str], text: Any) -> None:
    """Figures as figures where `text` is None, everything else as text of that format.

    A workbook's figures have 16 digits; one of the few that need 17 is written as text, and read as well.
    """
    figures = plain_numbers(np.array(cells, dtype=object)) if text is None else np.full(len(cells), np.nan)
    for row, cell, figure in zip(rows, cells, figures.tolist(), strict=True):
        if np.isfinite(figure) and float(f"{figure:.16G}") == figure:
            sheet.write_number(row - 1, place, figure)
        elif cell:
            sheet.write_string(row - 1, place, cell, text)


def _offer_choices(sheet: Any, page: _Page) -> None:
    """A list to choose from under columns with fixed words, where a spreadsheet can hold the list."""
    for place, words in (page.choices or {}).items():
        if len(",".join(words)) <= _LONGEST_LIST:
            last = max(page.row, default=1) + 500
            sheet.data_validation(1, place, last, place, {"validate": "list", "source": list(words)})
