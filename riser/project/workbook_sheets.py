# SPDX-License-Identifier: Apache-2.0
"""A workbook's sheets as the files they stand for.

Each table is a sheet of its name; the nodes and runs of a type revision are the sheets `nodes MA A` and
`runs MA A`, or rows of one sheet `nodes` with the columns type and revision. Sheet `project` holds keys and
values of project.toml, sheet `gates` a row per gate, and a sheet `rules NAME` the lines of rules/NAME.toml.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np
import pandas as pd

from riser.project.faults import Faults, nearest
from riser.project.limits import Limits
from riser.project.schema import PER_TYPE, TABLES
from riser.project.sheet import Sheet, sheet_of
from riser.project.workbook_guard import is_safe_workbook

PROJECT_SHEET = "project"
GATES_SHEET = "gates"
RULES_SHEET = "rules"
_WHOLE_BELOW = 1e15


@dataclass(frozen=True)
class Workbook:
    """The sheets of a workbook that riser knows, by name (words parted by one space)."""

    file: str
    sheets: dict[str, Sheet]


def workbook_sheets(data: bytes, file: str, faults: Faults, limits: Limits) -> Workbook | None:
    """All sheets riser knows as text, None with a fault where the file is no workbook."""
    if not is_safe_workbook(data, file, faults, limits):
        return None
    try:
        return _opened(data, file, faults, limits)
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException:  # the reader is compiled code: its panics are no Exception
        faults.add_file(file, "a damaged workbook", "a workbook in .xlsx format", "Save it anew.")
        return None


def _opened(data: bytes, file: str, faults: Faults, limits: Limits) -> Workbook:
    from python_calamine import CalamineWorkbook

    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    sheets: dict[str, Sheet] = {}
    unknown: list[str] = []
    for printed in book.sheet_names:
        name = known_name(printed)
        label = f"{file}, sheet {printed}"
        if name is None:
            unknown.append(printed)
        elif name in sheets:
            faults.add_file(label, "a second sheet of this name", "each sheet once", "Remove one of the two.")
        else:
            rows = book.get_sheet_by_name(printed).to_python(skip_empty_area=False)
            sheet = _sheet(rows, label, name.startswith(RULES_SHEET), faults, limits)
            if sheet is not None:
                sheets[name] = sheet
    _refuse_near_misses(file, unknown, sheets, faults)
    return Workbook(file, sheets)


def known_name(printed: str) -> str | None:
    """The name of a sheet as riser writes it, None if it is not one of riser's."""
    words = printed.split()
    if not words:
        return None
    first = words[0].lower()
    if len(words) == 1:
        return first if first in (*TABLES, PROJECT_SHEET, GATES_SHEET) else None
    if (first in PER_TYPE and len(words) == 3) or (first == RULES_SHEET and len(words) == 2):
        return " ".join((first, *words[1:]))
    return None


def _sheet(rows: list[list[Any]], label: str, as_is: bool, faults: Faults, limits: Limits) -> Sheet | None:
    if not rows or not any(cell != "" for cell in rows[0]):
        found = "an empty sheet" if not rows else "an empty first row"
        faults.add_file(label, found, "the header in row 1", "Fill it, or delete it if it may be absent.")
        return None
    if len(rows) > limits.rows:
        faults.add_file(label, "too many rows", f"at most {limits.rows} rows", "Split the job by building.")
        return None
    text = str if as_is else cell_text
    columns = enumerate(zip(*rows, strict=True))
    cells = {n: np.array([text(cell) for cell in column], dtype=object) for n, column in columns}
    return sheet_of(label, pd.DataFrame(cells))


def cell_text(cell: Any) -> str:
    """A cell as a CSV file would hold it: figures with a point, dates as 2026-03-02."""
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < _WHOLE_BELOW else repr(cell)
    if isinstance(cell, datetime | date):
        return cell.isoformat()
    return str(cell)


def _refuse_near_misses(file: str, unknown: list[str], sheets: dict[str, Sheet], faults: Faults) -> None:
    """A sheet that misses its name by a letter would switch off, in silence, whatever needs it."""
    absent = [name for name in (*TABLES, PROJECT_SHEET, GATES_SHEET) if name not in sheets]
    for printed in unknown:
        meant = nearest(printed.strip(), absent, likeness=0.85)
        if meant:
            remedy = f"Rename it to {meant}, or to something quite different."
            faults.add_file(
                f"{file}, sheet {printed}", "a sheet riser does not know", f"{meant}, which is absent", remedy
            )
