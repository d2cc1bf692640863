# SPDX-License-Identifier: Apache-2.0
"""What is left to compare with the standards in print: unverified rows, those that decide most first."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from riser.audit import Status
from riser.rules import Confirmed, Row, RuleSet, Table, holds, printed_figures, row_name, unsure_columns
from riser.work.confirm_row import sets_of
from riser.work.confirmed_rows import confirmations
from riser.work.deciding_rows import DecidedFigures, decided_figures
from riser.work.job import Job

WIDTH = 100


@dataclass(frozen=True)
class TodoRow:
    """A row to compare: its figures as printed, where to look, how many figures of the job it decides."""

    rule_set: str
    table: str
    row: str
    status: str
    decides: int
    clause: str
    figures: dict[str, str]
    source: str
    others: tuple[str, ...]
    before: Confirmed | None

    def as_json(self) -> dict[str, Any]:
        """One JSON object."""
        return {
            "set": self.rule_set,
            "table": self.table,
            "row": self.row,
            "status": self.status,
            "decides": self.decides,
            "clause": self.clause,
            "figures": self.figures,
            "source": self.source,
            "other_readings": list(self.others),
            "confirmed_for_other_figures": self.before is not None,
        }


@dataclass(frozen=True)
class RulesTodo:
    """The rows to compare, those that decide most first; what was counted; how many rows are confirmed."""

    rows: list[TodoRow]
    decided: DecidedFigures
    confirmed: int


def rules_todo(job: Job) -> RulesTodo:
    """The unverified rows of all sets of the job."""
    decided = decided_figures(job)
    said = confirmations(job.state, job.tables.settings)
    rows = [
        _todo_row(rule_set, table, row, decided, said)
        for rule_set, table, row in _rows(job)
        if unsure_columns(table, row)
    ]
    rows.sort(key=lambda row: -row.decides)
    named = {row_name(s, t.name, r): r for s, t, r in _rows(job)}
    kept = sum(name in named and holds(confirmed, named[name]) for name, confirmed in said.items())
    return RulesTodo(rows, decided, kept)


def _rows(job: Job) -> Iterator[tuple[RuleSet, Table, Row]]:
    for rule_set in sets_of(job).values():
        for table in rule_set.tables.values():
            for row in table.rows:
                yield rule_set, table, row


def _todo_row(
    rule_set: RuleSet, table: Table, row: Row, decided: DecidedFigures, said: dict[str, Confirmed]
) -> TodoRow:
    cells = [row.cells[column] for column in unsure_columns(table, row)]
    conflict = next((cell for cell in cells if cell.status is Status.CONFLICT), None)
    first = conflict or cells[0]
    others = tuple(f"{o.printed} ({o.source})" for cell in cells for o in cell.alternatives)
    return TodoRow(
        rule_set.id,
        table.name,
        row.label,
        "conflict" if conflict else "unverified",
        decided.by_row[rule_set.id, table.name, row.label],
        first.clause.text,
        {column: text for column, text in printed_figures(row).items() if column not in table.key},
        first.clause.source,
        others,
        said.get(row_name(rule_set, table.name, row)),
    )


def todo_text(todo: RulesTodo, most: int) -> str:
    """The list in words, at most so many rows; lines of at most 100 characters."""
    shown = todo.rows[:most]
    lines = [line for row in shown for line in _row_lines(row)]
    left = len(todo.rows) - len(shown)
    tail = f"{len(todo.rows)} rows to compare, {todo.confirmed} confirmed"
    tail += f"; {left} more with --all." if left else "."
    lines += ["", tail, *_wrapped(_counted(todo.decided))]
    lines += _wrapped("Confirm one: riser rules confirm JOB SET TABLE ROW --by NAME --evidence TEXT")
    return "\n".join(lines)


def _row_lines(row: TodoRow) -> list[str]:
    figures = ", ".join(f"{column} {text}" for column, text in row.figures.items()) or "key only"
    lines = _wrapped(f"{row.decides:>6}  {row.rule_set} {row.table}: {row.row}", 8)
    lines += _wrapped(f"        {row.clause} [{row.status}]: {figures}", 10)
    lines += _wrapped(f"        source: {row.source}", 10)
    for other in row.others:
        lines += _wrapped(f"        elsewhere: {other}", 10)
    if row.before:
        lines += _wrapped(
            f"        confirmed by {row.before.by} on {row.before.day}, but for other figures", 10
        )
    return lines


def _counted(decided: DecidedFigures) -> str:
    said = f"The first number is how many of {decided.figures} sizes of drains and vents the row decides."
    if not decided.silent:
        return said
    reasons: dict[str, list[str]] = {}
    for subject, reason in decided.silent.items():
        reasons.setdefault(reason, []).append(subject)
    parts = "; ".join(f"{', '.join(subjects)}: {reason}" for reason, subjects in reasons.items())
    return f"{said} Not counted: {parts}."


def _wrapped(text: str, indent: int = 0) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=" " * indent, break_on_hyphens=False)
