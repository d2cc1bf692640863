# SPDX-License-Identifier: Apache-2.0
"""Small changes to the files of a job: a cell, a row, or a line at the end; made and taken back.

Each edit knows both sides, so that a fault can be planted in sound files and undone in planted ones.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

Files = dict[str, str]
Row = dict[str, str]
Change = Callable[["Edit", Files], None]

# The columns by which a row of each file is known.
KEYS: dict[str, tuple[str, ...]] = {
    "nodes": ("node",),
    "runs": ("run",),
    "parts": ("part",),
    "joints": ("joint",),
    "closures": ("joint", "order"),
    "sleeves": ("sleeve",),
    "access": ("panel",),
    "survey": ("stub", "measured_at"),
}


class CannotEdit(ValueError):
    """The file is not as the edit expects; the sentence says where."""


@dataclass(frozen=True)
class Edit:
    """One change. `op`: set (a cell), add or remove (a row), append (a line that is missing at the end).

    `key` names the row; `row` is the whole row, `after` the row before it; `line` the missing line.
    """

    file: str
    op: str
    key: Mapping[str, str] = field(default_factory=dict)
    column: str = ""
    sound: str = ""
    planted: str = ""
    row: Mapping[str, str] = field(default_factory=dict)
    after: Mapping[str, str] = field(default_factory=dict)
    line: str = ""

    def plant(self, files: Files) -> None:
        """Change sound files."""
        _CHANGES[self.op][0](self, files)

    def undo(self, files: Files) -> None:
        """Change planted files back."""
        _CHANGES[self.op][1](self, files)

    def as_dict(self) -> dict[str, Any]:
        """What planted.toml says about it: only what this kind of change needs."""
        return {name: value for name, value in vars(self).items() if value}


def table_name(file: str) -> str:
    """`nodes` for types/BA/A/nodes.csv."""
    return file.rpartition("/")[2].removesuffix(".csv")


def rows_of(text: str) -> tuple[list[str], list[Row]]:
    """Header and rows of a CSV text."""
    reader = csv.DictReader(io.StringIO(text))
    return list(reader.fieldnames or ()), list(reader)


def text_of(columns: list[str], rows: list[Row]) -> str:
    """CSV text, as the builder writes it."""
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def place_of(edit: Edit, rows: list[Row], key: Mapping[str, str]) -> int:
    """The place of the row with that key."""
    for place, row in enumerate(rows):
        if all(row.get(column) == value for column, value in key.items()):
            return place
    raise CannotEdit(f"{edit.file}: there is no row {dict(key)}")


def _set(edit: Edit, files: Files, old: str, new: str) -> None:
    columns, rows = rows_of(files[edit.file])
    row = rows[place_of(edit, rows, edit.key)]
    if row[edit.column] != old:
        raise CannotEdit(
            f"{edit.file} {dict(edit.key)} {edit.column}: found {row[edit.column]!r}, not {old!r}"
        )
    row[edit.column] = new
    files[edit.file] = text_of(columns, rows)


def _put_in(edit: Edit, files: Files) -> None:
    columns, rows = rows_of(files[edit.file])
    place = place_of(edit, rows, edit.after) + 1 if edit.after else 0
    rows.insert(place, {column: edit.row.get(column, "") for column in columns})
    files[edit.file] = text_of(columns, rows)


def _take_out(edit: Edit, files: Files) -> None:
    columns, rows = rows_of(files[edit.file])
    key = {column: edit.row[column] for column in KEYS[table_name(edit.file)]}
    del rows[place_of(edit, rows, key)]
    files[edit.file] = text_of(columns, rows)


def _append(edit: Edit, files: Files) -> None:
    files[edit.file] += edit.line + "\n"


def _leave_out(edit: Edit, files: Files) -> None:
    if edit.line + "\n" not in files[edit.file]:
        raise CannotEdit(f"{edit.file}: there is no line {edit.line}")
    files[edit.file] = files[edit.file].replace(edit.line + "\n", "", 1)


def _set_planted(edit: Edit, files: Files) -> None:
    _set(edit, files, edit.sound, edit.planted)


def _set_sound(edit: Edit, files: Files) -> None:
    _set(edit, files, edit.planted, edit.sound)


_CHANGES: dict[str, tuple[Change, Change]] = {
    "set": (_set_planted, _set_sound),
    "add": (_put_in, _take_out),
    "remove": (_take_out, _put_in),
    "append": (_leave_out, _append),
}


def toml_value(value: Any) -> str:
    """A text or a table of texts as TOML."""
    if isinstance(value, Mapping):
        pairs = ", ".join(
            f"{json.dumps(str(k), ensure_ascii=False)} = {toml_value(v)}" for k, v in value.items()
        )
        return "{ " + pairs + " }"
    return json.dumps(value, ensure_ascii=False)
