# SPDX-License-Identifier: Apache-2.0
"""Where a job's sheets and settings come from: a folder's files, or the sheets of one workbook."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from riser.project.content import Content
from riser.project.csv_text import csv_sheet
from riser.project.faults import Faults, Places, did_you_mean
from riser.project.headings import split_header
from riser.project.limits import Limits
from riser.project.schema import GATES_FILE, PROJECT_FILE, amendment_name, type_file
from riser.project.settings import toml_table
from riser.project.sheet import Sheet
from riser.project.text_table import Part
from riser.project.workbook_settings import gates_table, project_table, rules_table
from riser.project.workbook_sheets import GATES_SHEET, PROJECT_SHEET, RULES_SHEET, Workbook

Pairs = Sequence[tuple[str, str]]
Toml = dict[str, Any]


@dataclass(frozen=True)
class Found:
    """What stands for a file: `label` as errors call it, `value` None where it is absent or not readable."""

    label: str
    value: Any
    is_there: bool


class Source(Protocol):
    """A job as sheets and settings, wherever it was written."""

    def table(self, name: str) -> Found:
        """A sheet."""

    def drawings(self, name: str, pairs: Pairs) -> tuple[list[Part], bool]:
        """The sheets of nodes or runs, and whether all that should be there could be read."""

    def project(self) -> Found:
        """The table of project.toml."""

    def gates(self) -> Found:
        """The table of gates.toml."""

    def amendments(self) -> Mapping[str, Toml]:
        """The local rules by name."""


@dataclass(frozen=True)
class FolderSource:
    """The files of a folder, or of a revision of it kept as content."""

    content: Content
    faults: Faults
    limits: Limits

    def _found(self, name: str, read: Any) -> Found:
        data = self.content.files.get(name)
        if data is None:
            return Found(name, None, name in self.content.unread)
        return Found(name, read(data, name), is_there=True)

    def table(self, name: str) -> Found:
        """A CSV file of the job's folder."""
        return self._found(f"{name}.csv", self._sheet)

    def _sheet(self, data: bytes, name: str) -> Sheet | None:
        return csv_sheet(data, name, self.faults, self.limits)

    def drawings(self, name: str, pairs: Pairs) -> tuple[list[Part], bool]:
        """The file of each type revision; one that is absent is a fault."""
        parts: list[Part] = []
        for part_type, revision in pairs:
            found = self._found(type_file(name, part_type, revision), self._sheet)
            if not found.is_there:
                remedy = f"Add the file, or remove revision {revision} of {part_type} from types.csv."
                self.faults.add_file(found.label, "no such file", f"the {name} of this revision", remedy)
            elif found.value is not None:
                parts.append(Part(found.value, part_type, revision))
        return parts, len(parts) == len(pairs)

    def _toml(self, data: bytes, name: str) -> Toml | None:
        return toml_table(data, name, self.faults)

    def project(self) -> Found:
        """project.toml."""
        return self._found(PROJECT_FILE, self._toml)

    def gates(self) -> Found:
        """gates.toml."""
        return self._found(GATES_FILE, self._toml)

    def amendments(self) -> Mapping[str, Toml]:
        """rules/*.toml."""
        names = ((amendment_name(file), file) for file in sorted(self.content.files))
        read = ((name, self._found(file, self._toml).value) for name, file in names if name)
        return {name: table for name, table in read if table is not None}


@dataclass(frozen=True)
class WorkbookSource:
    """The sheets of a workbook."""

    book: Workbook
    faults: Faults

    def _found(self, name: str) -> Found:
        sheet = self.book.sheets.get(name)
        label = sheet.file if sheet else f"{self.book.file}, sheet {name}"
        return Found(label, sheet, sheet is not None)

    def table(self, name: str) -> Found:
        """The sheet of that name."""
        return self._found(name)

    def drawings(self, name: str, pairs: Pairs) -> tuple[list[Part], bool]:
        """Each revision's own sheet, and its rows in the sheet of all; one that has neither is a fault."""
        common = self.book.sheets.get(name)
        shared = _by_revision(common, pairs, self.faults) if common else {}
        parts: list[Part] = []
        for pair in pairs:
            own = self._found(f"{name} {pair[0]} {pair[1]}")
            sheets = [sheet for sheet in (own.value, shared.get(pair)) if sheet is not None]
            parts += [Part(sheet, *pair) for sheet in sheets]
            if not sheets and common is None:
                remedy = f"Add the sheet, or remove revision {pair[1]} of {pair[0]} from sheet types."
                self.faults.add_file(own.label, "no such sheet", f"the {name} of this revision", remedy)
        return parts, bool(parts)

    def project(self) -> Found:
        """Sheet project."""
        found = self._found(PROJECT_SHEET)
        return Found(found.label, project_table(found.value, self.faults), True) if found.value else found

    def gates(self) -> Found:
        """Sheet gates."""
        found = self._found(GATES_SHEET)
        return Found(found.label, gates_table(found.value), True) if found.value else found

    def amendments(self) -> Mapping[str, Toml]:
        """Sheets rules NAME."""
        names = [name for name in sorted(self.book.sheets) if name.startswith(f"{RULES_SHEET} ")]
        read = ((name.split()[1], rules_table(self.book.sheets[name], self.faults)) for name in names)
        return {name: table for name, table in read if table is not None}


def _by_revision(sheet: Sheet, pairs: Pairs, faults: Faults) -> dict[tuple[str, str], Sheet]:
    """The rows of a sheet of all types, parted by its columns type and revision."""
    place = {split_header(printed)[0]: n for n, printed in enumerate(sheet.header)}
    if not {"type", "revision"} <= set(place):
        found, expected = "no such column", "the columns type and revision"
        faults.add(
            sheet.file, 1, "type", found, expected, "Add them, or give each revision a sheet of its own."
        )
        return {}
    keys = [sheet.body[place[name]].to_numpy(object) for name in ("type", "revision")]
    owners = list(zip(*(key.tolist() for key in keys), strict=True))
    _refuse_unknown(sheet, owners, pairs, faults)
    rest = [n for n in range(len(sheet.header)) if n not in (place["type"], place["revision"])]
    header = tuple(sheet.header[n] for n in rest)
    body = sheet.body[rest].set_axis(range(len(rest)), axis=1)
    rows = _rows_by_owner(owners)
    return {
        pair: Sheet(sheet.file, header, body.iloc[rows[pair]].reset_index(drop=True), sheet.row[rows[pair]])
        for pair in pairs
        if pair in rows
    }


def _rows_by_owner(owners: Iterable[tuple[str, str]]) -> dict[tuple[str, str], list[int]]:
    rows: dict[tuple[str, str], list[int]] = {}
    for number, owner in enumerate(owners):
        rows.setdefault(owner, []).append(number)
    return rows


def _refuse_unknown(sheet: Sheet, owners: list[tuple[str, str]], pairs: Pairs, faults: Faults) -> None:
    known = set(pairs)
    bad = np.array([owner not in known for owner in owners], dtype=bool)
    names = np.array([" ".join(owner) for owner in owners], dtype=object)
    places = Places((sheet.file,), np.zeros(len(owners), np.int32), sheet.row)
    words = [" ".join(pair) for pair in pairs]

    def remedy(name: str) -> str:
        return did_you_mean(name, words, "Add the revision to sheet types.")

    if len(owners):
        faults.add_rows(places, bad, "type", names, "a type and revision of sheet types", remedy)
