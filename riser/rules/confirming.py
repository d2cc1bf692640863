# SPDX-License-Identifier: Apache-2.0
"""Rows that a named person has compared with the printed standard: from then on they count as read.

A confirmation names the figures it was given for. Where a row has other figures since, it no longer holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from riser.audit import Status
from riser.rules.cell import Cell, Row
from riser.rules.rule_set import Rules, RuleSet
from riser.rules.table import Table

UNSURE = (Status.MEMORY, Status.CONFLICT)


@dataclass(frozen=True, slots=True)
class Confirmed:
    """That somebody compared a row: who, on which day, with what in hand, and the figures as they stood."""

    by: str
    day: str
    evidence: str
    figures: Mapping[str, str]


def row_name(rule_set: RuleSet, table: str, row: Row) -> str:
    """A row by set, table and label: `ipc_2021:building_drain:1/8 in/ft, 4 in`."""
    return f"{rule_set.id}:{table}:{row.label}"


def printed_figures(row: Row) -> dict[str, str]:
    """The figures of a row as printed, by column."""
    return {column: cell.printed for column, cell in row.cells.items()}


def unsure_columns(table: Table, row: Row) -> list[str]:
    """The columns of a row that were not read in this edition; key columns only where readings differ."""
    return [
        column
        for column, cell in row.cells.items()
        if cell.status in UNSURE and (column not in table.key or cell.alternatives)
    ]


def confirmed_rules(rules: Rules, confirmed: Mapping[str, Confirmed]) -> Rules:
    """The rules with every confirmed row counted as read, as long as its figures are those confirmed."""
    if not confirmed:
        return rules
    return replace(
        rules,
        by_subject={name: confirmed_set(s, confirmed) for name, s in rules.by_subject.items()},
        by_country={name: confirmed_set(s, confirmed) for name, s in rules.by_country.items()},
        good_practice=confirmed_set(rules.good_practice, confirmed),
    )


def holds(confirmed: Confirmed, row: Row) -> bool:
    """Whether a row still has the figures that were confirmed."""
    return dict(confirmed.figures) == printed_figures(row)


def confirmed_set(rule_set: RuleSet, confirmed: Mapping[str, Confirmed]) -> RuleSet:
    """One set with every confirmed row counted as read."""
    if not any(name.startswith(f"{rule_set.id}:") for name in confirmed):
        return rule_set
    tables = {
        name: replace(table, rows=tuple(_confirmed_row(rule_set, name, row, confirmed) for row in table.rows))
        for name, table in rule_set.tables.items()
    }
    return replace(rule_set, tables=tables)


def _confirmed_row(rule_set: RuleSet, table: str, row: Row, confirmed: Mapping[str, Confirmed]) -> Row:
    said = confirmed.get(row_name(rule_set, table, row))
    if said is None or not holds(said, row):
        return row
    return replace(row, cells={column: _confirmed_cell(cell, said) for column, cell in row.cells.items()})


def _confirmed_cell(cell: Cell, said: Confirmed) -> Cell:
    if cell.status not in UNSURE:
        return cell
    others = "".join(f"; elsewhere {other.printed} ({other.source})" for other in cell.alternatives)
    source = f"confirmed by {said.by}, {said.day}: {said.evidence} (before: {cell.clause.source}{others})"
    clause = replace(cell.clause, status=Status.READ, source=source)
    return replace(cell, clause=clause, alternatives=(), why="")
