# SPDX-License-Identifier: Apache-2.0
"""Rule sets as plain text: which there are, what one holds, one table row by row, and two compared."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

from riser.audit import Status
from riser.rules import Cell, Row, RuleDifference, RuleSet, Table

WIDTH = 100
READ_BY = {
    "exact": "exactly",
    "first_row_not_less": "first row not less",
    "linear": "straight between rows",
    "bracket": "by range",
}
CERTAINTY = {
    Status.READ: "read",
    Status.MEMORY: "unverified",
    Status.CONFLICT: "conflict",
    Status.LOCAL: "local",
}
MARKS = "?  not read in this edition   !  published readings differ   *  local amendment"


def certainty_words(counts: dict[Status, int]) -> str:
    """How sure figures are: `12 read, 31 unverified, 2 conflicts`."""
    text = f"{counts[Status.READ]} read, {counts[Status.MEMORY]} unverified"
    if counts[Status.CONFLICT]:
        text += f", {counts[Status.CONFLICT]} conflict{'s' if counts[Status.CONFLICT] > 1 else ''}"
    return text + (f", {counts[Status.LOCAL]} local" if counts[Status.LOCAL] else "")


def set_json(rule_set: RuleSet) -> dict[str, Any]:
    """A set without its rows, as one JSON object."""
    return {
        "set": rule_set.id,
        "title": rule_set.title,
        "country": rule_set.country,
        "subjects": list(rule_set.subjects),
        "figures": {CERTAINTY[status]: count for status, count in rule_set.certainty().items()},
        "hash": rule_set.hash,
        "extends": rule_set.extends,
        "takes": {lender: list(names) for lender, names in rule_set.takes.items()},
        "serves": list(rule_set.serves),
        "amended_by": list(rule_set.amended_by),
    }


def set_list_text(sets: Iterable[RuleSet]) -> str:
    """Every set in two lines."""
    lines: list[str] = []
    for rule_set in sets:
        place = f" ({rule_set.country})" if rule_set.country else ""
        lines += _wrapped(f"{rule_set.id:<16} {rule_set.title}{place}", 17)
        covers = ", ".join(rule_set.subjects) or "what other sets leave open"
        lines += _wrapped(f"{'':<16} {covers}: {certainty_words(rule_set.certainty())}", 17)
    return "\n".join(lines)


def set_text(rule_set: RuleSet) -> str:
    """One set: what it covers, how sure it is, its tables, what is left out."""
    lines = _wrapped(rule_set.title)
    covers = ", ".join(rule_set.subjects) or "what other sets leave open"
    lines += _wrapped(f"{rule_set.id} covers {covers}: {certainty_words(rule_set.certainty())}.")
    lines += _wrapped(f"Hash {rule_set.hash}")
    if rule_set.extends:
        lines += _wrapped(f"Over {rule_set.extends}; what was read only there counts as unverified.")
    for lender, names in rule_set.takes.items():
        lines += _wrapped(f"From {lender}: {', '.join(names)}.")
    if rule_set.serves:
        lines += _wrapped(f"Serves jobs in {', '.join(rule_set.serves)} that choose none.")
    if rule_set.amended_by:
        lines += _wrapped(f"Amended by {', '.join(rule_set.amended_by)}.")
    lines.append("")
    for table in rule_set.tables.values():
        head = f"{table.name:<26} {len(table.rows):>4} rows, {certainty_words(table.certainty())}"
        lines += [*_wrapped(head, 27), *_wrapped(f"{'':<26} {table.clause}: {table.title}", 27)]
    if rule_set.left_out:
        lines += ["", "Left out:"]
        lines += [line for item in rule_set.left_out for line in _wrapped(f"- {item}", 2)]
    return "\n".join(lines)


def table_text(table: Table, rows: Sequence[Row] = ()) -> str:
    """One table row by row with certainty; a source stands where it differs from that of the row before."""
    lines = _wrapped(f"{table.cited}: {table.title}")
    ends = f" Beyond: {table.beyond}." if table.beyond else ""
    lines += _wrapped(f"Read {READ_BY[table.lookup]}; key: {', '.join(table.key)}.{ends}")
    lines += [MARKS, ""]
    before = ""
    for row in rows or table.rows:
        lines += _wrapped(row.label)
        lines += _wrapped(f"    {_figures(table, row)}", 4)
        sources = "; ".join(dict.fromkeys(_source(cell) for cell in _shown(table, row)))
        if sources != before:
            lines += _wrapped(f"    {sources}", 6)
            before = sources
        lines += [line for cell in row.cells.values() for line in _others(cell)]
        if row.note:
            lines += _wrapped(f"    Note: {row.note}", 6)
    return "\n".join(lines)


def row_json(table: Table, row: Row) -> dict[str, Any]:
    """One row with every cell's value, printed figure, certainty and source."""
    return {"table": table.name, "row": row.label, "note": row.note} | {
        "cells": {column: _cell_json(cell) for column, cell in row.cells.items()}
    }


def table_json(table: Table) -> dict[str, Any]:
    """A table without its rows."""
    return {
        "table": table.name,
        "clause": table.clause,
        "title": table.title,
        "key": list(table.key),
        "read_by": READ_BY[table.lookup],
        "rows": len(table.rows),
        "figures": {CERTAINTY[status]: count for status, count in table.certainty().items()},
    }


def differences_text(a: RuleSet, b: RuleSet, found: Sequence[RuleDifference]) -> str:
    """Two sets compared: a line for each table or row that one lacks, and for each figure that differs."""
    lines = _wrapped(f"a: {a.title}") + _wrapped(f"b: {b.title}") + [""]
    if not found:
        return "\n".join([*lines, "All figures are the same."])
    table = ""
    for each in found:
        if each.table != table:
            table = each.table
            lines.append(table)
        place = ", ".join(part for part in (each.row, each.column) if part)
        told = f"a {each.a or 'nothing'}; b {each.b or 'nothing'}"
        lines += _wrapped(f"    {place}: {told}" if place else f"    {told}", 6)
    count = f"{len(found)} differences" if len(found) > 1 else "1 difference"
    return "\n".join([*lines, "", f"{count}."])


def _shown(table: Table, row: Row) -> list[Cell]:
    cells = [cell for column, cell in row.cells.items() if column not in table.key or cell.alternatives]
    return cells or list(row.cells.values())


def _figures(table: Table, row: Row) -> str:
    figures = []
    for cell in _shown(table, row):
        mark = cell.status.mark
        figures.append(f"{cell.column} {cell.printed}{f' {mark}' if mark else ''}")
    return "; ".join(figures)


def _source(cell: Cell) -> str:
    return f"{CERTAINTY[cell.status]}: {cell.clause.text}; {cell.clause.source}"


def _others(cell: Cell) -> list[str]:
    lines = [
        line
        for other in cell.alternatives
        for line in _wrapped(f"    elsewhere {cell.column} {other.printed}: {other.source}", 6)
    ]
    return lines + (_wrapped(f"    used because {cell.why}", 6) if cell.why else [])


def _cell_json(cell: Cell) -> dict[str, Any]:
    return {
        "value": cell.value,
        "unit": cell.unit,
        "printed": cell.printed,
        "certainty": CERTAINTY[cell.status],
        "clause": cell.clause.text,
        "source": cell.clause.source,
        "other_readings": [{"printed": o.printed, "source": o.source} for o in cell.alternatives],
        "why": cell.why,
    }


def _wrapped(text: str, indent: int = 0) -> list[str]:
    lines = textwrap.wrap(text, WIDTH, subsequent_indent=" " * indent, break_on_hyphens=False)
    return lines or [""]
