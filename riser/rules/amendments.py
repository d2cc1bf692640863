# SPDX-License-Identifier: Apache-2.0
"""Thin sets: what changes against the set they extend.

A changed row names its key and only the figures that change; the rest stays as it was. A row with a new key
is added and put in its place by size. A set of the package may also give a table as a whole (`whole = true`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from riser.errors import RuleSetError
from riser.rules.printed_units import BY_ROW, TEXT, is_unit, printed_text, si_value
from riser.rules.table_reading import ROW_KEYS, LocalCell, RawRow, RawTable

HEAD_KEYS = frozenset({"extends", "title", "source", "authority", "in_force", "fixture"})
_NOT_FIGURES = ROW_KEYS - {"unit"}


def amended_tables(
    tables: Mapping[str, RawTable], file: str, changes: Mapping[str, Any], local: bool
) -> dict[str, RawTable]:
    """The tables after one thin set; `local` marks every changed figure as a local amendment."""
    after = dict(tables)
    for name, change in changes.items():
        if name in HEAD_KEYS:
            continue
        if not isinstance(change, Mapping):
            raise RuleSetError(
                file,
                name,
                "",
                "not a table",
                f"write [{name}] with rows, or use {', '.join(sorted(HEAD_KEYS))}",
            )
        if change.get("whole") and not local:
            after[name] = _restated(file, name, change)
            continue
        default_source = str(change.get("source") or changes.get("source") or "")
        rows = [_prepared(row, default_source, local) for row in change.get("rows", [])]
        if name in tables:
            after[name] = _changed(tables[name], file, change, rows, local)
        else:
            marked = tuple(_marked(RawRow(row), row, file if local else "", {}) for row in rows)
            head = {key: value for key, value in change.items() if key != "rows"}
            after[name] = RawTable(file, name, head, marked)
    return after


def inherited_tables(
    tables: Mapping[str, RawTable], document: str, edition: str, renumbered: bool = False
) -> dict[str, RawTable]:
    """The tables of another edition taken over: what was read there has not been read in this one.

    Where this edition numbers its clauses otherwise (`renumbered`), they are cited as those of the other.
    Figures of another document than the one revised stay as they are.
    """
    cited = {"document": document, "edition": edition} if renumbered else {}
    return {
        name: replace(
            table,
            head=cited | dict(table.head),
            rows=tuple(_inherited(row, table.head, document, edition) for row in table.rows),
        )
        for name, table in tables.items()
    }


def _inherited(row: RawRow, head: Mapping[str, Any], document: str, edition: str) -> RawRow:
    named = row.values.get("document") or head.get("document") or document
    if named != document:
        return row
    return replace(row, inherited=dict.fromkeys(row.values, f"{document} {edition}") | dict(row.inherited))


def _restated(file: str, name: str, change: Mapping[str, Any]) -> RawTable:
    """A table that a thin set gives as a whole, because too much of it is different."""
    head = {key: value for key, value in change.items() if key not in ("rows", "whole")}
    return RawTable(file, name, head, tuple(RawRow(row) for row in change.get("rows", ())))


def _prepared(row: Mapping[str, Any], source: str, local: bool) -> dict[str, Any]:
    """A row with the thin set's source; a local figure without a status counts as read."""
    prepared = dict(row)
    if source:
        prepared.setdefault("source", source)
    if local:
        prepared.setdefault("status", "read")
    return prepared


def _changed(
    base: RawTable, file: str, change: Mapping[str, Any], rows: Sequence[Mapping[str, Any]], local: bool
) -> RawTable:
    if stray := set(change) - {"rows", "source", "clause"}:
        raise RuleSetError(
            file,
            base.name,
            "",
            f"an existing table may not change {', '.join(sorted(stray))}",
            "change rows only",
        )
    key = base.head.get("key", ())
    key = (key,) if isinstance(key, str) else tuple(key)
    columns = base.head["columns"]
    result = list(base.rows)
    for row in rows:
        new = {**row, **({"clause": change["clause"]} if "clause" in change and "clause" not in row else {})}
        if not str(new.get("source", "")).strip():
            raise RuleSetError(
                file, base.name, _told(new, key), "no source", "say who set the figure, and where"
            )
        place = next((i for i, old in enumerate(result) if _same_key(old.values, new, key, columns)), None)
        if place is None:
            result.append(_marked(RawRow(new), new, file if local else "", columns))
        else:
            result[place] = _merged(result[place], new, key, file if local else "", base, columns)
    return replace(base, file=file, rows=tuple(_in_order(result, key, columns)))


def _merged(
    old: RawRow,
    new: Mapping[str, Any],
    key: Sequence[str],
    file: str,
    base: RawTable,
    columns: Mapping[str, str],
) -> RawRow:
    """The old row with the new figures; figures not named keep their own status and source."""
    set_again = [c for c in new if c not in _NOT_FIGURES and c in old.local and c not in key]
    if file and set_again:
        raise RuleSetError(
            file,
            base.name,
            _told(new, key),
            f"{set_again[0]} is already set by {old.local[set_again[0]].file}",
            "keep one of the two amendments",
        )
    kept = [c for c in old.values if c not in new and c not in ROW_KEYS]
    status = {c: _status(old.values, c) for c in kept} | dict(new.get("cell_status", {}))
    source = {c: str(_source(old.values, base.head, c)) for c in kept} | dict(new.get("cell_source", {}))
    values = _uncontested(old.values, new) | dict(new)
    values |= {"cell_status": status, "cell_source": source}
    inherited = {c: edition for c, edition in old.inherited.items() if c in kept}
    return _marked(RawRow(values, old.local, inherited), new, file, columns, old.values)


def _uncontested(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """The old row without the other readings of figures that are now set; without any if none are left."""
    others = [
        {c: v for c, v in other.items() if c not in new or c == "source"}
        for other in old.get("alternatives", ())
    ]
    left = [other for other in others if set(other) - {"source"}]
    if not left or "alternatives" in new:
        return {c: v for c, v in old.items() if c not in ("alternatives", "used", "why")}
    used = {c: v for c, v in old["used"].items() if c not in new}
    return {**old, "alternatives": left, "used": used}


def _marked(
    row: RawRow,
    new: Mapping[str, Any],
    file: str,
    columns: Mapping[str, str],
    old: Mapping[str, Any] | None = None,
) -> RawRow:
    if not file:
        return row
    local = dict(row.local)
    for column in new:
        if column not in ROW_KEYS:
            was = old.get(column) if old else None
            local[column] = LocalCell(
                file, "" if was is None else _printed(was, columns.get(column, TEXT), old)
            )
    return replace(row, local=local)


def _printed(raw: Any, unit: str, row: Mapping[str, Any] | None) -> str:
    return printed_text(raw, str((row or {}).get("unit", "-")) if unit == BY_ROW else unit)


def _status(values: Mapping[str, Any], column: str) -> Any:
    return values.get("cell_status", {}).get(column, values.get("status"))


def _source(values: Mapping[str, Any], head: Mapping[str, Any], column: str) -> Any:
    own = values.get("cell_source", {}).get(column)
    return own or values.get("source") or head.get("source") or ""


def _same_key(
    old: Mapping[str, Any], new: Mapping[str, Any], key: Sequence[str], columns: Mapping[str, str]
) -> bool:
    return all(_ordinal(old.get(c), columns[c]) == _ordinal(new.get(c), columns[c]) for c in key)


def _ordinal(raw: Any, unit: str) -> tuple[int, float, str]:
    """What a key cell sorts by: a size by its length, a text by itself; nonsense is left to the reading."""
    try:
        value = si_value(raw, unit) if is_unit(unit) and unit != BY_ROW else str(raw)
    except ValueError:
        value = str(raw)
    return (1, 0.0, value) if isinstance(value, str) else (0, round(value, 9), "")


def _in_order(rows: list[RawRow], key: Sequence[str], columns: Mapping[str, str]) -> list[RawRow]:
    """Rows by size, texts in the order in which they first stand in the table."""
    cells = [[_ordinal(row.values.get(column), columns[column]) for column in key] for row in rows]
    first: dict[str, int] = {}
    for line in cells:
        for _, _, text in line:
            first.setdefault(text, len(first))
    places = sorted(
        range(len(rows)), key=lambda n: [(kind, size or first[text]) for kind, size, text in cells[n]]
    )
    return [rows[n] for n in places]


def _told(row: Mapping[str, Any], key: Sequence[str]) -> str:
    return ", ".join(str(row.get(c, "")) for c in key)
