# SPDX-License-Identifier: Apache-2.0
"""Writing down a planted fault in few words: which cell, which row; the sound side is looked up."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from .edits import KEYS, CannotEdit, Edit, Files, Row, rows_of, table_name
from .faults import Fault

Change = Callable[[Files], list[Edit]]


@dataclass(frozen=True)
class Plan:
    """A fault as it is written in the list: its finding, its story, and the changes that make it."""

    key: str
    where: str
    story: str
    changes: tuple[Change, ...]
    check: str = "design"
    records: str = ""

    @property
    def code(self) -> str:
        """The code of the finding."""
        return self.key.partition(":")[0]


def fault(key: str, where: str, story: str, *changes: Change) -> Plan:
    """A fault that shows in the design check."""
    return Plan(key, where, story, changes)


def _found(files: Files, file: str, key: Mapping[str, str]) -> tuple[Row, Row]:
    """The row with that key and the key of the row before it."""
    _, rows = rows_of(files[file])
    before: Row = {}
    for row in rows:
        if all(row[column] == value for column, value in key.items()):
            return row, before
        before = {column: row[column] for column in KEYS[table_name(file)]}
    raise CannotEdit(f"{file}: there is no row {dict(key)}")


def cell(file: str, names: str, column: str, planted: str) -> Change:
    """Another value in one cell; `names` are the key cells of its row, with blanks between."""

    def change(files: Files) -> list[Edit]:
        key = dict(zip(KEYS[table_name(file)], names.split(" "), strict=False))
        row, _ = _found(files, file, key)
        return [Edit(file, "set", key=key, column=column, sound=row[column], planted=planted)]

    return change


def without(file: str, names: str) -> Change:
    """A row taken out."""

    def change(files: Files) -> list[Edit]:
        row, before = _found(files, file, dict(zip(KEYS[table_name(file)], names.split(" "), strict=False)))
        return [Edit(file, "remove", row=row, after=before)]

    return change


def without_joint(joint: str) -> Change:
    """A joint taken out of the schedule, with its make-up."""

    def change(files: Files) -> list[Edit]:
        edits = without("joints.csv", joint)(files)
        _, rows = rows_of(files["closures.csv"])
        for row in rows:
            if row["joint"] == joint:
                edits += without("closures.csv", f"{joint} {row['order']}")(files)
        return edits

    return change


def with_row(file: str, **cells: str) -> Change:
    """A row put in at the end; names with a unit are written with two underscores: `x__m`."""

    def change(files: Files) -> list[Edit]:
        columns, rows = rows_of(files[file])
        given = {_column(name): value for name, value in cells.items()}
        if unknown := set(given) - set(columns):
            raise CannotEdit(f"{file}: there are no columns {sorted(unknown)}")
        row = {column: given.get(column, "") for column in columns}
        after = {column: rows[-1][column] for column in KEYS[table_name(file)]}
        return [Edit(file, "add", row=row, after=after)]

    return change


def _column(name: str) -> str:
    stem, _, unit = name.strip("_").partition("__")
    return f"{stem} [{unit}]" if unit else stem


def planned_faults(plans: list[Plan], files: Files) -> list[Fault]:
    """The faults with all their edits, numbered. Every edit is looked up in the sound files, so that each
    can be planted and undone without the others.
    """
    faults = []
    for number, plan in enumerate(plans, start=1):
        edits = [edit for change in plan.changes for edit in change(files)]
        name = f"LQ-{number:02d}"
        faults.append(
            Fault(name, plan.code, plan.key, plan.check, plan.records, plan.where, plan.story, tuple(edits))
        )
    return faults
