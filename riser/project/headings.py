# SPDX-License-Identifier: Apache-2.0
"""The first row of a sheet: which column stands where, and in which unit."""

from __future__ import annotations

import re
from dataclasses import dataclass

from riser.project.columns import Column, Table, is_note
from riser.project.faults import Faults, did_you_mean, shown
from riser.project.sheet import Sheet
from riser.units import UnitError, column_factor

_HEADER = re.compile(r"\s*(?P<name>[^\[\]()]*?)\s*(?:\[(?P<square>[^\]]*)\]|\((?P<round>.*)\))?\s*")


@dataclass(frozen=True, slots=True)
class Heading:
    """A column of a sheet that the schema knows: its place, and what turns its figures into SI."""

    column: Column
    place: int
    printed: str
    factor: float = 1.0
    offset: float = 0.0


@dataclass(frozen=True)
class Headings:
    """All columns found, by name; `broken` names the ones that cannot be used, each with a fault already."""

    by_name: dict[str, Heading]
    broken: frozenset[str]


def headings(sheet: Sheet, table: Table, faults: Faults) -> Headings:
    """The columns of a sheet; faults for unknown, double and missing columns and for wrong units."""
    known = {column.name: column for column in table.columns}
    found: dict[str, Heading] = {}
    broken: set[str] = set()
    for place, printed in enumerate(sheet.header):
        name, unit = split_header(printed)
        if not name:
            _nameless(sheet, place, printed, faults)
        elif name not in known and not is_note(name):
            remedy = did_you_mean(name, known, "Remove it, or call it a note: note, note_2 ...")
            faults.add(sheet.file, 1, printed, shown(printed), "a column riser knows", remedy)
        elif name in found:
            remedy = "Remove one of the two."
            faults.add(sheet.file, 1, name, f"two columns {name}", "each column once", remedy)
        else:
            column = known.get(name) or table.column(name)
            found[name] = _heading(sheet.file, column, place, printed, unit, broken, faults)
    broken |= _missing(sheet, known, found, faults)
    return Headings(found, frozenset(broken))


def split_header(printed: str) -> tuple[str, str | None]:
    """Name and unit of a header: `Slab top [m]` is slab_top in m; the unit is None where there is none."""
    match = _HEADER.fullmatch(printed)
    if match is None:
        return printed.strip(), None
    name = re.sub(r"[\s-]+", "_", match["name"].strip().lower())
    unit = match["square"] if match["square"] is not None else match["round"]
    return name, unit


def _heading(
    file: str, column: Column, place: int, printed: str, unit: str | None, broken: set[str], faults: Faults
) -> Heading:
    if not column.has_unit:
        if unit is not None and not is_note(column.name):
            advice = f"Call it {column.name}."
            faults.add(file, 1, column.name, shown(printed), "no unit: this column has none", advice)
        return Heading(column, place, printed)
    try:
        factor, offset = column_factor(column.unit if unit is None else unit, column.dimension)
    except UnitError as error:
        broken.add(column.name)
        advice = f"{str(error)[0].upper()}{str(error)[1:]}."
        faults.add(file, 1, column.name, shown(printed), f"a unit of {column.dimension}", advice)
        factor, offset = 1.0, 0.0
    return Heading(column, place, printed, factor, offset)


def _nameless(sheet: Sheet, place: int, printed: str, faults: Faults) -> None:
    """A column without a header is fault only if something stands in it: spreadsheets leave empty ones."""
    cells = sheet.body[place].to_numpy(object)
    if printed.strip() or (cells != "").any():
        found = shown(printed) if printed.strip() else "a column without a header"
        remedy = "Name the column, or empty it."
        faults.add(sheet.file, 1, f"column {place + 1}", found, "a header over every column", remedy)


def _missing(
    sheet: Sheet, known: dict[str, Column], found: dict[str, Heading], faults: Faults
) -> frozenset[str]:
    missing = [c for c in known.values() if c.required and c.name not in found]
    for column in missing:
        unit = f" [{column.unit}]" if column.has_unit else ""
        faults.add(
            sheet.file, 1, column.name, "no such column", f"a column {column.name}{unit}", "Add the column."
        )
    return frozenset(column.name for column in missing)
