# SPDX-License-Identifier: Apache-2.0
"""From the text of a rule table to a `Table`: everything that is not in order is refused here.

A refused table names file, table, row, what is wrong and what to do about it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, NoReturn

from riser.audit import Clause, Status
from riser.errors import RuleSetError
from riser.rules.cell import Alternative, Cell, Row
from riser.rules.printed_units import BY_ROW, FLAG, TEXT, is_unit, printed_text, si_unit, si_value
from riser.rules.table import LOOKUPS, Table

TABLE_KEYS = frozenset(
    {"clause", "title", "key", "lookup", "columns", "source", "rows", "beyond", "beside"}
    | {"document", "edition"}
)
ROW_KEYS = frozenset(
    {"row", "status", "clause", "source", "note", "unit", "alternatives", "used", "why"}
    | {"cell_status", "cell_source", "document", "edition"}
)
STATUSES = frozenset({"read", "memory", "conflict"})


@dataclass(frozen=True, slots=True)
class LocalCell:
    """That a cell of a raw row comes from a local amendment: its file and what it was before."""

    file: str
    was: str


@dataclass(frozen=True, slots=True)
class RawRow:
    """A row as written, after amendments.

    `local` names the columns a local amendment set, `inherited` those taken over from another edition, with
    that edition's name.
    """

    values: Mapping[str, Any]
    local: Mapping[str, LocalCell] = field(default_factory=dict)
    inherited: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RawTable:
    """A table as written, after amendments; `file` is where it stands."""

    file: str
    name: str
    head: Mapping[str, Any]
    rows: tuple[RawRow, ...]


@dataclass(frozen=True, slots=True)
class Edition:
    """What every clause of a set shares."""

    rule_set: str
    document: str
    edition: str


class _Reader:
    """Reads one table; its methods share the place that a refusal names."""

    def __init__(self, raw: RawTable, edition: Edition) -> None:
        self.raw, self.edition = raw, edition
        self.row = ""
        self.key: tuple[str, ...] = ()

    def refuse(self, what: str, remedy: str) -> NoReturn:
        raise RuleSetError(self.raw.file, self.raw.name, self.row, what, remedy)

    def table(self) -> Table:
        head = self.raw.head
        self._known(head, TABLE_KEYS)
        columns = self._columns()
        key = self.key = self._key(columns)
        lookup = head.get("lookup", "exact")
        if lookup not in LOOKUPS:
            self.refuse(f"look-up {lookup!r} does not exist", f"use one of {', '.join(LOOKUPS)}")
        if lookup == "bracket" and not {"from", "to"} & set(columns):
            self.refuse("a bracket table without columns from and to", "name the bounds `from` and `to`")
        rows = tuple(self._row(raw, columns, key) for raw in self.raw.rows)
        self.row = ""
        if not rows:
            self.refuse("no rows", "give at least one row")
        self._no_duplicates(rows, key)
        if lookup in ("first_row_not_less", "linear"):
            self._ascending(rows, key, columns)
        return Table(
            document=f"{self.edition.document} {self.edition.edition}".strip(),
            name=self.raw.name,
            clause=str(head.get("clause", "")),
            title=str(head.get("title", "")),
            key=key,
            lookup=lookup,
            units={c: si_unit(u) for c, u in columns.items()},
            printed_units=columns,
            rows=rows,
            beyond=str(head.get("beyond", "")),
            beside=frozenset(head.get("beside", ())),
        )

    def _known(self, entries: Mapping[str, Any], known: frozenset[str]) -> None:
        for name in entries:
            if name not in known:
                self.refuse(f"unknown key {name!r}", f"use {', '.join(sorted(known))}")

    def _columns(self) -> dict[str, str]:
        columns = self.raw.head.get("columns")
        if not isinstance(columns, Mapping) or not columns:
            self.refuse("no columns", 'give columns = { size = "in", ... }')
        for name, unit in columns.items():
            if name in ROW_KEYS:
                self.refuse(f"a column may not be called {name!r}", "choose another name")
            if not is_unit(str(unit)):
                self.refuse(f"column {name} has the unknown unit {unit!r}", "use a unit of printed_units.py")
        return {str(name): str(unit) for name, unit in columns.items()}

    def _key(self, columns: Mapping[str, str]) -> tuple[str, ...]:
        raw = self.raw.head.get("key", ())
        key = (raw,) if isinstance(raw, str) else tuple(raw)
        if not key or any(column not in columns for column in key):
            self.refuse(f"key {list(key)} does not name columns", f"choose from {', '.join(columns)}")
        return key

    def _row(self, raw: RawRow, columns: Mapping[str, str], key: Sequence[str]) -> Row:
        values = raw.values
        self.row = str(values.get("row") or _label(values, columns, key))
        self._known(values, ROW_KEYS | set(columns))
        missing = [c for c in key if c not in values]
        if missing and self.raw.head.get("lookup") != "bracket":
            self.refuse(f"key column {missing[0]} is empty", "give every key column a value")
        self._certainty(values)
        contested = self._contested(values, columns)
        cells = {c: self._cell(c, raw, columns, contested) for c in columns if c in values}
        if not set(cells) - set(key) and set(columns) != set(key):
            self.refuse("the row carries no figure", "give it one, or leave the row out")
        return Row(self.raw.name, self.row, cells, str(values.get("note", "")))

    def _certainty(self, values: Mapping[str, Any]) -> None:
        statuses = [values.get("status"), *values.get("cell_status", {}).values()]
        wrong = [s for s in statuses if s not in STATUSES]
        if wrong:
            told = "no status" if wrong[0] is None else f"the status {wrong[0]!r}"
            self.refuse(told, f"use one of {', '.join(sorted(STATUSES))}")
        if not str(values.get("source") or self.raw.head.get("source") or "").strip():
            self.refuse("no source", "say where the figure was read, or where to look")

    def _contested(self, values: Mapping[str, Any], columns: Mapping[str, str]) -> frozenset[str]:
        """The columns whose published readings differ; each needs the other readings and a reason."""
        in_conflict = "conflict" in (values["status"], *values.get("cell_status", {}).values())
        alternatives = values.get("alternatives", [])
        if not in_conflict:
            if alternatives or "used" in values or "why" in values:
                self.refuse("alternatives, but no status conflict", 'set status = "conflict"')
            return frozenset()
        if not alternatives or any(not str(a.get("source", "")).strip() for a in alternatives):
            self.refuse(
                "a conflict without its other readings and their sources",
                'give alternatives = [{ <column> = <figure>, source = "..." }]',
            )
        contested = {name for a in alternatives for name in a if name != "source"}
        if not contested or not contested <= set(columns):
            self.refuse("alternatives that name no column of the table", f"use {', '.join(columns)}")
        used = values.get("used", {})
        same = isinstance(used, Mapping) and all(used.get(c) == values.get(c, "none") for c in contested)
        if not same or not str(values.get("why", "")).strip():
            self.refuse(
                "a conflict that does not say which figure is used, and why",
                'give used = { <column> = <the figure in the row> } ("none" for no figure) and why = "..."',
            )
        self._certain_beside(values, columns, contested)
        return frozenset(contested)

    def _certain_beside(
        self, values: Mapping[str, Any], columns: Mapping[str, str], contested: set[str]
    ) -> None:
        """In a row of status conflict, a figure without another reading needs a status of its own."""
        own = values.get("cell_status", {})
        beside = set(columns) - set(self.key) - contested - set(own)
        if values["status"] == "conflict" and (left := sorted(beside & set(values))):
            self.refuse(
                f"status conflict, but {left[0]} has no other reading", f"give cell_status for {left[0]}"
            )

    def _cell(self, column: str, raw: RawRow, columns: Mapping[str, str], contested: frozenset[str]) -> Cell:
        values = raw.values
        unit = str(values.get("unit", "")) if columns[column] == BY_ROW else columns[column]
        if not is_unit(unit) or unit == BY_ROW:
            self.refuse(f"the figure has the unknown unit {unit!r}", 'give unit = "psi" or another known one')
        value = self._si(column, values[column], unit)
        alternatives = tuple(
            Alternative(printed_text(a[column], unit), str(a["source"]))
            for a in values.get("alternatives", ())
            if column in a and self._si(column, a[column], unit) is not None
        )
        return Cell(
            rule_set=self.edition.rule_set,
            table=self.raw.name,
            row=self.row,
            column=column,
            value=value,
            unit=si_unit(unit),
            printed=printed_text(values[column], unit),
            clause=self._clause(column, raw),
            alternatives=alternatives,
            why=str(values.get("why", "")) if column in contested else "",
        )

    def _si(self, column: str, raw: Any, unit: str) -> float | str:
        try:
            return si_value(raw, unit)
        except ValueError as error:
            self.refuse(f"column {column}: {error}", f"write it in {unit} as the code prints it")

    def _clause(self, column: str, raw: RawRow) -> Clause:
        values, head = raw.values, self.raw.head
        status = Status(values.get("cell_status", {}).get(column, values["status"]))
        source = values.get("cell_source", {}).get(column) or values.get("source") or head.get("source")
        if column in raw.inherited and status is Status.READ:
            source = f"read in {raw.inherited[column]}, not compared with this edition: {source}"
            status = Status.MEMORY
        if column in raw.local:
            local = raw.local[column]
            status = Status.LOCAL if status is Status.READ else status
            source = f"local amendment {local.file}: {source}{f' (was {local.was})' if local.was else ''}"
        clause = str(values.get("clause") or head.get("clause") or "")
        named = next((where for where in (values, head) if "document" in where), None)
        document = str(named["document"]) if named else self.edition.document
        edition = str(named.get("edition", "")) if named else self.edition.edition
        return Clause(document, edition, clause, str(source), status)

    def _no_duplicates(self, rows: Sequence[Row], key: Sequence[str]) -> None:
        seen: dict[tuple[object, ...], Row] = {}
        for row in rows:
            value = tuple(row.cells[c].value if row.has(c) else None for c in key)
            if value in seen:
                self.row = row.label
                self.refuse("a second row with the same key", "keep one of the two")
            seen[value] = row

    def _ascending(self, rows: Sequence[Row], key: Sequence[str], columns: Mapping[str, str]) -> None:
        """Sizes and the figures that grow with them must stand in order, or a look-up stops too early."""
        groups: dict[tuple[object, ...], list[Row]] = {}
        for row in rows:
            groups.setdefault(tuple(row.cells[c].value for c in key[:-1]), []).append(row)
        for place, column in enumerate(key[:-1]):
            if columns[column] not in (TEXT, FLAG, BY_ROW):
                self._grouped(rows, key[:place], column)
        size = key[-1]
        beside = {*key[:-1], *self.raw.head.get("beside", ())}
        numeric = [c for c, unit in columns.items() if unit not in (TEXT, FLAG, BY_ROW) and c not in beside]
        for group in groups.values():
            for column in numeric:
                printed = [row for row in group if row.has(column)]
                for before, after in pairwise(printed):
                    self._in_order(before, after, column, strictly=column == size)

    def _grouped(self, rows: Sequence[Row], before: Sequence[str], column: str) -> None:
        """A leading key column must rise too, within each group of those before it."""
        latest: dict[tuple[object, ...], Row] = {}
        for row in rows:
            group = tuple(row.cells[c].value for c in before)
            if group in latest:
                self._in_order(latest[group], row, column, strictly=False)
            latest[group] = row

    def _in_order(self, before: Row, after: Row, column: str, strictly: bool) -> None:
        self.row = after.label
        low, high = before.number(column), after.number(column)
        if strictly and not low < high:
            self.refuse(f"{column} out of order", "write the rows from small to large")
        if low > high:
            self.refuse(f"{column} falls from one row to the next", "check the figure and the order")


def _label(values: Mapping[str, Any], columns: Mapping[str, str], key: Sequence[str]) -> str:
    named = [printed_text(values[c], columns[c]) for c in key if c in values]
    return ", ".join(named) or "open range"


def read_table(raw: RawTable, edition: Edition) -> Table:
    """The table, in SI; RuleSetError where anything is not in order."""
    return _Reader(raw, edition).table()
