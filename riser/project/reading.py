# SPDX-License-Identifier: Apache-2.0
"""Reading a job: every file into one table in SI units, or every fault of every file at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pandas as pd

from riser.network.tables import JobTables
from riser.project.coherence import check_coherence
from riser.project.columns import Table
from riser.project.content import Content, gathered
from riser.project.faults import Faults
from riser.project.floor_names import with_buildings
from riser.project.limits import LIMITS, Limits
from riser.project.references import follow_references
from riser.project.schema import GATES_FILE, TABLES
from riser.project.settings import job_gates, job_settings, zone_of
from riser.project.sources import FolderSource, Found, Source, WorkbookSource
from riser.project.text_table import Part, text_table
from riser.project.typed import TypedTable, empty_frame, typed_table
from riser.project.workbook_sheets import workbook_sheets


def read_job(job: Path, limits: Limits = LIMITS) -> JobTables:
    """The tables of a job folder or of a workbook (.xlsx).

    Raises InputErrors with every fault of every file; nothing is read half.
    """
    faults = Faults()
    content = gathered(job, faults, limits)
    if not content.files:
        faults.raise_if_any()
    tables = _tables(content, faults, limits)
    faults.raise_if_any()
    return tables


def read_contents(files: Mapping[str, bytes], limits: Limits = LIMITS) -> JobTables:
    """The tables of a job kept as content: names with forward slashes (as `contents` gives them) to bytes."""
    faults = Faults()
    tables = _tables(Content(files), faults, limits)
    faults.raise_if_any()
    return tables


@dataclass
class _Reading:
    """A job while it is read: typed tables by name, and which are absent or could not be read."""

    source: Source
    faults: Faults
    settings: Mapping[str, Any]
    typed: dict[str, TypedTable] = field(default_factory=dict)
    absent: set[str] = field(default_factory=set)
    broken: set[str] = field(default_factory=set)

    def take(self, table: Table, parts: list[Part]) -> None:
        """Type the sheets of one table and keep the result."""
        text = text_table(table, parts, self.faults)
        self.typed[table.name] = typed_table(text, parts, zone_of(self.settings), self.faults)


def _tables(content: Content, faults: Faults, limits: Limits) -> JobTables:
    source = _source(content, faults, limits)
    if source is None:
        return _job({}, {}, (), {}, frozenset())
    found = source.project()
    _require(found, faults)
    settings = job_settings(found.value, found.label, faults) if found.value is not None else {}
    reading = _Reading(source, faults, settings)
    for table in TABLES.values():
        if not table.per_type:
            _read_table(reading, table)
    _read_drawings(reading)
    with_buildings(reading.typed, faults)
    follow_references(reading.typed, reading.absent, reading.broken, faults)
    check_coherence(reading.typed, faults)
    gates = source.gates()
    files_absent = {TABLES[name].file for name in reading.absent}
    if not gates.is_there:
        files_absent.add(GATES_FILE)
    listed = job_gates(gates.value, gates.label, faults) if gates.value is not None else ()
    return _job(reading.typed, settings, listed, source.amendments(), frozenset(files_absent))


def _source(content: Content, faults: Faults, limits: Limits) -> Source | None:
    if content.workbook is None:
        return FolderSource(content, faults, limits)
    data = content.files.get(content.workbook)
    book = workbook_sheets(data, content.workbook, faults, limits) if data is not None else None
    return WorkbookSource(book, faults) if book else None


def _require(found: Found, faults: Faults) -> None:
    if not found.is_there:
        expected = "a file that every job needs"
        faults.add_file(
            found.label, "no such file", expected, "Add it; docs/job_folder.md says what stands in it."
        )


def _read_table(reading: _Reading, table: Table) -> None:
    found = reading.source.table(table.name)
    if found.value is None:
        (reading.broken if found.is_there else reading.absent).add(table.name)
        if table.required:
            _require(found, reading.faults)
        return
    if table.needs_rows and not len(found.value.row):
        reading.broken.add(table.name)
        reading.faults.add_file(found.label, "a header without rows", "at least one row", "Fill the table.")
        return
    reading.take(table, [Part(found.value)])


def _read_drawings(reading: _Reading) -> None:
    types = reading.typed.get("types")
    frame = types.frame if types and types.usable("type", "revision") else empty_frame(TABLES["types"])
    pairs = [pair for pair in zip(frame["type"], frame["revision"], strict=True) if all(pair)]
    for table in (table for table in TABLES.values() if table.per_type):
        parts, whole = reading.source.drawings(table.name, list(dict.fromkeys(pairs)))
        if parts:
            reading.take(table, parts)
        if not whole:
            reading.broken.add(table.name)


def _job(
    typed: Mapping[str, TypedTable],
    settings: Mapping[str, Any],
    gates: tuple[Mapping[str, Any], ...],
    amendments: Mapping[str, Mapping[str, Any]],
    absent: frozenset[str],
) -> JobTables:
    frames: dict[str, pd.DataFrame] = {
        name: typed[name].frame if name in typed else empty_frame(table) for name, table in TABLES.items()
    }
    return JobTables(**frames, settings=settings, gates=gates, amendments=amendments, absent=absent)
