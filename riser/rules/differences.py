# SPDX-License-Identifier: Apache-2.0
"""What is different between two rule sets: tables and rows that only one has, and figures that differ."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from riser.rules.cell import Cell, Row
from riser.rules.rule_set import RuleSet
from riser.rules.table import Key, Table


@dataclass(frozen=True, slots=True)
class RuleDifference:
    """One difference: `a` and `b` are what each set prints, "" where it has nothing there.

    `row` and `column` are empty where a whole table or row stands in one set only.
    """

    table: str
    row: str
    column: str
    a: str
    b: str

    def as_json(self) -> dict[str, str]:
        """One JSON object."""
        return {"table": self.table, "row": self.row, "column": self.column, "a": self.a, "b": self.b}


def rule_differences(a: RuleSet, b: RuleSet) -> list[RuleDifference]:
    """All differences in figures, in the order of the tables of `a`, then of those only `b` has.

    Sources and certainty are not compared; equal figures printed in other units are equal.
    """
    names = [*a.tables, *(name for name in b.tables if name not in a.tables)]
    found: list[RuleDifference] = []
    for name in names:
        if name in a.tables and name in b.tables:
            found += _in_table(name, a.tables[name], b.tables[name])
        else:
            found.append(RuleDifference(name, "", "", _rows(a.tables.get(name)), _rows(b.tables.get(name))))
    return found


def _rows(table: Table | None) -> str:
    if table is None:
        return ""
    return "1 row" if len(table.rows) == 1 else f"{len(table.rows)} rows"


def _in_table(name: str, a: Table, b: Table) -> Iterator[RuleDifference]:
    if a.key != b.key:
        keys = (f"{_rows(t)}, keyed by {', '.join(t.key)}" for t in (a, b))
        yield RuleDifference(name, "", "", *keys)
        return
    rows_a, rows_b = ({_key(t, row): row for row in t.rows} for t in (a, b))
    for key in [*rows_a, *(key for key in rows_b if key not in rows_a)]:
        row_a, row_b = rows_a.get(key), rows_b.get(key)
        if row_a is None or row_b is None:
            label = (row_a or row_b).label  # type: ignore[union-attr]
            yield RuleDifference(name, label, "", _figures(a, row_a), _figures(b, row_b))
            continue
        yield from _in_row(name, row_a, row_b)


def _key(table: Table, row: Row) -> tuple[Key | None, ...]:
    """The key in SI, rounded so that a size worked out from inches equals the same size."""
    values = [row.cells[column].value if row.has(column) else None for column in table.key]
    return tuple(float(f"{v:.9g}") if isinstance(v, float) else v for v in values)


def _figures(table: Table, row: Row | None) -> str:
    if row is None:
        return ""
    return ", ".join(f"{c} {cell.printed}" for c, cell in row.cells.items() if c not in table.key)


def _in_row(name: str, a: Row, b: Row) -> Iterator[RuleDifference]:
    for column in [*a.cells, *(c for c in b.cells if c not in a.cells)]:
        cell_a, cell_b = a.cells.get(column), b.cells.get(column)
        if not _equal(cell_a, cell_b):
            yield RuleDifference(name, a.label, column, _printed(cell_a), _printed(cell_b))


def _printed(cell: Cell | None) -> str:
    return cell.printed if cell else ""


def _equal(a: Cell | None, b: Cell | None) -> bool:
    if a is None or b is None:
        return a is b
    if isinstance(a.value, str) or isinstance(b.value, str):
        return a.value == b.value
    return a.unit == b.unit and math.isclose(a.value, b.value, rel_tol=1e-9)
