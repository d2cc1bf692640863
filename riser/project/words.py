# SPDX-License-Identifier: Apache-2.0
"""Cells that hold words: ids, references, choices, yes and no, dates and times. Whole columns at a time."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riser.project.faults import Faults, did_you_mean
from riser.project.text_table import Cells, Texts

_ID = re.compile(r"[^\W_][\w.-]{0,59}")
_ID_EXPECTED = "an id: letters, digits, - _ and ., 60 at most, a letter or digit first"
_YES = ("yes", "y", "true", "1")
_NO = ("no", "n", "false", "0")
_TIME = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d{1,6})?)?(Z|[+-]\d\d:\d\d)?")
_DATE = re.compile(r"\d{4}-\d\d-\d\d([T ]00:00(:00)?)?")


def ids(cells: Cells, faults: Faults) -> dict[str, Texts]:
    """Ids as they are, with faults for characters that would break `PART/NODE`, a folder or a sheet name."""
    letters = set("".join(cells.values))
    lengths = pd.Series(cells.values, dtype=object).str.len().to_numpy(float)
    plain = all(c.isalnum() or c in "-_." for c in letters) and not (lengths > 60).any()
    if not plain or {".", "-", "_"} & letters:
        distinct = pd.unique(cells.values)
        wrong = [value for value in distinct if value and not is_id(value)]
        if wrong:
            bad = pd.Series(cells.values, dtype=object).isin(wrong).to_numpy(bool)
            remedy = "Choose another id; two things cannot share a name that is cut or changed."
            faults.add_rows(cells.places, bad, cells.column.name, cells.values, _ID_EXPECTED, remedy)
    return {cells.column.inner: cells.values}


def is_id(text: str) -> bool:
    """Whether this may name a thing: it is a folder and a sheet name too, so no dot stands last."""
    return _ID.fullmatch(text) is not None and not text.endswith(".")


def texts(cells: Cells, _: Faults) -> dict[str, Texts]:
    """Text as it is."""
    return {cells.column.inner: cells.values}


def _mapped(
    cells: Cells,
    faults: Faults,
    read: Callable[[str], object | None],
    expected: str,
    remedy: Callable[[str], str],
) -> Texts:
    """Every different text read once; None from `read` is a fault and an empty cell."""
    codes, distinct = pd.factorize(cells.values)
    results = [read(str(text)) if text else "" for text in distinct]
    bad = np.array([result is None for result in results], dtype=bool)
    if bad.any():
        faults.add_rows(cells.places, bad[codes], cells.column.name, cells.values, expected, remedy)
    values = np.array(["" if result is None else result for result in results], dtype=object)
    return values[codes] if len(codes) else np.zeros(0, dtype=object)


def choices(cells: Cells, faults: Faults) -> dict[str, Texts]:
    """Words of a fixed list; capitals, spaces and hyphens do not matter."""
    words = cells.column.choices

    def read(text: str) -> str | None:
        word = re.sub(r"[\s-]+", "_", text.lower())
        return word if word in words else None

    def remedy(text: str) -> str:
        return did_you_mean(text, words, "Choose one of these words.")

    listed = (
        ", ".join(words) if len(words) <= 20 else f"one of {len(words)} words listed in docs/job_folder.md"
    )
    return {cells.column.inner: _mapped(cells, faults, read, listed, remedy)}


def yes_or_no(cells: Cells, faults: Faults) -> dict[str, NDArray[np.bool_]]:
    """Yes and no as booleans."""

    def read(text: str) -> bool | None:
        word = text.lower()
        return True if word in _YES else False if word in _NO else None

    values = _mapped(cells, faults, read, "yes or no", lambda _: "Write yes or no.")
    return {cells.column.inner: pd.Series(values, dtype=object).eq(True).to_numpy(bool)}


def dates(cells: Cells, faults: Faults) -> dict[str, Texts]:
    """Dates as text 2026-03-02."""

    def read(text: str) -> str | None:
        if not _DATE.fullmatch(text):
            return None
        try:
            return date.fromisoformat(text[:10]).isoformat()
        except ValueError:
            return None

    remedy = "Write year, month, day, for instance 2026-03-02."
    return {
        cells.column.inner: _mapped(
            cells, faults, read, "a date that exists, as 2026-03-02", lambda _: remedy
        )
    }


def times(cells: Cells, faults: Faults, zone: ZoneInfo) -> dict[str, Texts]:
    """Dates with times as text with seconds and offset, 2026-03-02T10:15:00+01:00."""

    def read(text: str) -> str | None:
        if not _TIME.fullmatch(text):
            return None
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            return None
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=zone)
        return moment.isoformat()

    remedy = "Write for instance 2026-03-02T10:15+01:00."
    expected = "a date and time that exist, as 2026-03-02T10:15+01:00"
    return {cells.column.inner: _mapped(cells, faults, read, expected, lambda _: remedy)}
