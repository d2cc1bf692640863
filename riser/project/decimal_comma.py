# SPDX-License-Identifier: Apache-2.0
"""Figures as half the world writes them: 0,35 for 0.35, in files with semicolons between the columns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from riser.project.columns import Column, Kind
from riser.project.faults import Faults, Places
from riser.project.headings import Headings
from riser.project.sheet import Sheet

_WITH_FIGURES = (Kind.POINTS, Kind.FACING, Kind.SETTING)


def with_points(sheet: Sheet, found: Headings, faults: Faults) -> Sheet:
    """The sheet with a point in every figure. A file that uses both signs is a fault: 1.234 could be 1234."""
    if not sheet.decimal_comma:
        return sheet
    figures = {h.place: h.column for h in found.by_name.values() if _holds_figures(h.column)}
    commas = {place: sheet.body[place].str.contains(",", regex=False) for place in figures}
    if not any(has_comma.any() for has_comma in commas.values()):
        return sheet
    body = sheet.body.copy()
    places = Places((sheet.file,), np.zeros(len(body), np.int32), sheet.row)
    for place, column in figures.items():
        has_point = body[place].str.contains(".", regex=False).to_numpy(bool)
        faults.add_rows(
            places,
            has_point,
            column.name,
            body[place].to_numpy(object),
            "a decimal comma, as elsewhere in this file",
            "Write every figure of the file with a comma, and no points between thousands.",
        )
        pointed = body[place].str.replace(",", ".", regex=False)
        body[place] = pd.Series(np.where(has_point, body[place], pointed), index=body.index, dtype=object)
    return replace(sheet, body=body)


def _holds_figures(column: Column) -> bool:
    return column.is_number or column.kind in _WITH_FIGURES
