# SPDX-License-Identifier: Apache-2.0
"""Two states of a job, item by item: what was added, what was removed, what was changed from what to what.

Items are known by their key (a joint by its id, a pipe by name and temperature), never by their row.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import pandas as pd

from riser.network.tables import JobTables
from riser.project.columns import Table
from riser.project.known_ids import MARK, joined_keys
from riser.project.schema import TABLES
from riser.project.settings import flat

SETTINGS, GATES, AMENDMENTS = "settings", "gates", "amendments"


class Change(StrEnum):
    """What happened to an item."""

    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class Difference:
    """One item, or one cell of an item, that differs.

    `table` is a table of JobTables, or settings, gates, amendments. `key` names the item. For a changed item
    `column` says what, and both values stand beside it in SI; an added or removed item has no column.
    """

    table: str
    key: tuple[str, ...]
    change: Change
    column: str = ""
    before: Any = None
    after: Any = None

    def sentence(self) -> str:
        """The difference in words: `joints J4: works_on was 06, is 07`."""
        name = f"{self.table} {' '.join(part for part in self.key if part)}"
        if self.change is not Change.CHANGED:
            return f"{name}: {self.change}"
        return f"{name}: {self.column} was {_said(self.before)}, is {_said(self.after)}"

    def as_json(self) -> dict[str, object]:
        """One JSON object; a figure that was not given is null."""
        return {
            "table": self.table,
            "key": list(self.key),
            "change": str(self.change),
            "column": self.column,
            "before": _plain(self.before),
            "after": _plain(self.after),
        }


def differences(before: JobTables, after: JobTables) -> list[Difference]:
    """All differences between two states, table by table in the order of the schema."""
    found: list[Difference] = []
    for name, table in TABLES.items():
        found += _of_tables(table, getattr(before, name), getattr(after, name))
    found += _of_mappings(SETTINGS, dict(flat(before.settings)), dict(flat(after.settings)))
    found += _of_gates(before.gates, after.gates)
    for name in sorted({*before.amendments, *after.amendments}):
        pair = [dict(flat(job.amendments.get(name, {}))) for job in (before, after)]
        found += _of_mappings(AMENDMENTS, pair[0], pair[1], under=(name,))
    return found


def key_columns(table: Table) -> list[str]:
    """The columns of JobTables that name an item of this table."""
    return [n if n in ("type", "revision") and table.per_type else table.column(n).inner for n in table.key]


def _keyed(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The rows under their keys; of two rows with one key the first."""
    columns = [[_word(value) for value in frame[name]] for name in key_columns(table)]
    keyed = frame.set_axis(pd.Index(joined_keys(*columns), dtype=object), axis=0)
    return keyed[~keyed.index.duplicated()]


def _of_tables(table: Table, before: pd.DataFrame, after: pd.DataFrame) -> Iterator[Difference]:
    old, new = _keyed(table, before), _keyed(table, after)
    for key in old.index.difference(new.index, sort=False):
        yield Difference(table.name, _split(key), Change.REMOVED)
    for key in new.index.difference(old.index, sort=False):
        yield Difference(table.name, _split(key), Change.ADDED)
    common = old.index.intersection(new.index, sort=False)
    old, new = old.loc[common], new.loc[common]
    columns = [name for name in dict.fromkeys([*old.columns, *new.columns]) if name != "row"]
    changed = {name: _unequal(_column(old, name), _column(new, name)) for name in columns}
    places = np.flatnonzero(np.any(list(changed.values()), axis=0)).tolist() if len(common) else []
    for place in places:
        for name in columns:
            if changed[name][place]:
                pair = (_column(old, name).item(place), _column(new, name).item(place))
                yield Difference(table.name, _split(common[place]), Change.CHANGED, name, *pair)


def _column(frame: pd.DataFrame, name: str) -> np.ndarray:
    """A column; one that only the other state has is empty."""
    return np.asarray(frame[name]) if name in frame else np.full(len(frame), "", dtype=object)


def _unequal(old: np.ndarray, new: np.ndarray) -> np.ndarray:
    if old.dtype == float and new.dtype == float:
        return np.asarray((old != new) & ~(np.isnan(old) & np.isnan(new)))
    return np.asarray(old != new, dtype=bool)


def _of_mappings(
    table: str, before: Mapping[str, Any], after: Mapping[str, Any], under: tuple[str, ...] = ()
) -> Iterator[Difference]:
    for key in dict.fromkeys([*before, *after]):
        if key not in after:
            yield Difference(table, (*under, key), Change.REMOVED, before=before[key])
        elif key not in before:
            yield Difference(table, (*under, key), Change.ADDED, after=after[key])
        elif before[key] != after[key]:
            yield Difference(table, (*under, key), Change.CHANGED, "value", before[key], after[key])


def _of_gates(
    before: tuple[Mapping[str, Any], ...], after: tuple[Mapping[str, Any], ...]
) -> Iterator[Difference]:
    old, new = ({str(gate["id"]): gate for gate in gates} for gates in (before, after))
    for key in dict.fromkeys([*old, *new]):
        if key not in new:
            yield Difference(GATES, (key,), Change.REMOVED)
        elif key not in old:
            yield Difference(GATES, (key,), Change.ADDED)
        else:
            for name in new[key]:
                if old[key].get(name) != new[key][name]:
                    yield Difference(GATES, (key,), Change.CHANGED, name, old[key].get(name), new[key][name])


def _word(value: Any) -> str:
    if isinstance(value, float):
        return "" if np.isnan(value) else f"{value:.12g}"
    return str(value)


def _split(key: Any) -> tuple[str, ...]:
    return tuple(str(key).split(MARK))


def _said(value: Any) -> str:
    """A value as people read it; an empty cell is said to be empty."""
    plain = _plain(value)
    if isinstance(plain, float):
        return f"{plain:.6g}"
    return "empty" if plain in (None, "") else str(plain)


def _plain(value: Any) -> Any:
    if isinstance(value, float) and np.isnan(value):
        return None
    return value if value is None or isinstance(value, bool | int | float | str | list) else str(value)
