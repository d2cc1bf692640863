# SPDX-License-Identifier: Apache-2.0
"""One sheet of cells as text, before anyone asks what they mean: from a CSV file or from a workbook."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray


@dataclass(frozen=True)
class Sheet:
    """Cells as text, "" where empty, with the spreadsheet's row numbers (header = 1).

    `file` is what errors call it; `header` the first row; `body` the other rows that are not empty, columns
    numbered from 0; `decimal_comma` tells that figures in it have a comma where others have a point.
    """

    file: str
    header: tuple[str, ...]
    body: pd.DataFrame
    row: NDArray[np.int64]
    decimal_comma: bool = False


def sheet_of(file: str, cells: pd.DataFrame, decimal_comma: bool = False) -> Sheet:
    """A sheet from all its cells, the header among them; empty rows are left out, their numbers are not."""
    header = tuple(str(cell) for cell in cells.iloc[0])
    body = cells.iloc[1:]
    row = np.arange(2, len(cells) + 1, dtype=np.int64)
    filled = _filled(body)
    if not filled.all():
        body, row = body[filled], row[filled]
    return Sheet(file, header, body.reset_index(drop=True), row, decimal_comma)


def _filled(body: pd.DataFrame) -> NDArray[np.bool_]:
    """Which rows hold anything. Columns are asked in turn, and only for rows that are empty so far."""
    filled = np.zeros(len(body), dtype=bool)
    for column in body.columns:
        open_rows = np.flatnonzero(~filled)
        if not len(open_rows):
            break
        filled[open_rows] = body[column].to_numpy(object)[open_rows] != ""
    return filled
