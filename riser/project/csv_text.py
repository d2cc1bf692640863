# SPDX-License-Identifier: Apache-2.0
"""CSV as spreadsheets write it: UTF-8 with or without a mark, comma or semicolon, quotes, any line end.

pandas reads the file in one go. Only where it refuses is the file read again row by row, to name every row
that is at fault.
"""

from __future__ import annotations

import csv
import io
import re

import pandas as pd

from riser.project.faults import Faults, shown
from riser.project.limits import Limits
from riser.project.sheet import Sheet, sheet_of

_UTF8_MARK = b"\xef\xbb\xbf"
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
_ZIP_MARK = b"PK\x03\x04"
_CONTROL = re.compile(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_SAVE_AS = "Save it as CSV UTF-8."


def csv_sheet(data: bytes, file: str, faults: Faults, limits: Limits) -> Sheet | None:
    """The cells of a CSV file, None with a fault where it is no such thing."""
    text = text_of(data, file, faults)
    if text is None:
        return None
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    separator = _separator(text, file, faults)
    if separator is None:
        return None
    if text.count("\n") > limits.rows:
        faults.add_file(file, "too many rows", f"at most {limits.rows} rows", "Split the job by building.")
        return None
    cells = _cells(text, separator, file, faults)
    if cells is None:
        return None
    if _has_stray_space(text, separator):
        cells = cells.apply(lambda column: column.str.strip())
    return sheet_of(file, cells, decimal_comma=separator == ";")


def text_of(data: bytes, file: str, faults: Faults) -> str | None:
    """The text of a CSV or TOML file, None with a fault if it is empty, binary or not UTF-8."""
    if data.startswith(_UTF16_MARKS):
        faults.add_file(file, "text in UTF-16", "text in UTF-8", _SAVE_AS)
        return None
    if data.startswith(_ZIP_MARK):
        faults.add_file(file, "a workbook or another packed file", "text in UTF-8", _SAVE_AS)
        return None
    data = data.removeprefix(_UTF8_MARK)
    if not data.strip():
        faults.add_file(
            file, "an empty file", "a header and rows", "Fill it, or delete it if it may be absent."
        )
        return None
    control = _CONTROL.search(data)
    if control:
        row = data.count(b"\n", 0, control.start()) + 1
        found = f"a character that is no text (number {control.group()[0]})"
        faults.add(file, row, None, found, "text in UTF-8, not a binary file", _SAVE_AS)
        return None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        row = data.count(b"\n", 0, error.start) + 1
        found = f"a byte that is not UTF-8 (number {data[error.start]})"
        faults.add(file, row, None, found, "text in UTF-8", _SAVE_AS)
        return None


def _separator(text: str, file: str, faults: Faults) -> str | None:
    first = text.partition("\n")[0]
    if not first.strip():
        faults.add(file, 1, None, "an empty row", "the header in row 1", "Remove the rows above the header.")
        return None
    bare = re.sub(r'"[^"]*"', "", first)
    if ";" in bare and bare.count(";") >= bare.count(","):
        return ";"
    if "\t" in bare and "," not in bare:
        faults.add(file, 1, None, "tabs between the columns", "commas or semicolons", _SAVE_AS)
        return None
    return ","


def _cells(text: str, separator: str, file: str, faults: Faults) -> pd.DataFrame | None:
    try:
        return pd.read_csv(
            io.StringIO(text),
            sep=separator,
            header=None,
            dtype=object,
            na_filter=False,
            skip_blank_lines=False,
            low_memory=False,
        )
    except pd.errors.ParserError:
        return _cells_row_by_row(text, separator, file, faults)


def _cells_row_by_row(text: str, separator: str, file: str, faults: Faults) -> pd.DataFrame | None:
    """The same cells, slowly: every row that is longer than the header, or never ends, is named."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[list[str]] = []
    try:
        rows.extend(reader)
    except csv.Error as error:
        found = "a quotation mark that never closes or stands inside a cell"
        if "field larger" in str(error):
            found = "a cell too long"
        faults.add(
            file,
            len(rows) + 1,
            None,
            found,
            "cells in pairs of quotation marks",
            'Double a quotation mark inside a cell ("") or remove it.',
        )
        return None
    return _even_rows(rows, separator, file, faults)


def _even_rows(rows: list[list[str]], separator: str, file: str, faults: Faults) -> pd.DataFrame:
    width = len(rows[0])
    advice = "Put a cell that holds the separator in quotation marks."
    if separator == ",":
        advice += " Decimal commas need semicolons between the columns."
    for number, row in enumerate(rows, start=1):
        surplus = [cell for cell in row[width:] if cell.strip()]
        if surplus:
            found = f"{len(row)} cells, the last {shown(row[-1])}"
            faults.add(file, number, None, found, f"{width} cells as in the header", advice)
    even = [(row + [""] * width)[:width] for row in rows]
    return pd.DataFrame(even, dtype=object)


def _has_stray_space(text: str, separator: str) -> bool:
    spaces = [" ", *(space for space in ("\t", "\u00a0") if space in text)]
    edges = (separator, '"', "\n")
    if text[0] in spaces or text[-1] in spaces:
        return True
    return any(space + edge in text or edge + space in text for space in spaces for edge in edges)
