# SPDX-License-Identifier: Apache-2.0
"""Confirming: a named person says that a row of a rule set was compared with the standard in print."""

from __future__ import annotations

from dataclasses import dataclass

from riser.records import Entry, Line
from riser.rules import Row, RuleSet, Table, holds, printed_figures, row_name, unsure_columns
from riser.work.confirmed_rows import confirmations
from riser.work.ids import unknown
from riser.work.job import Job, writing_store


@dataclass(frozen=True)
class ConfirmedRow:
    """The line that was added, the figures it is about, and what the person should know."""

    name: str
    figures: dict[str, str]
    line: Line
    warnings: list[str]


def sets_of(job: Job) -> dict[str, RuleSet]:
    """Every rule set that the job uses, by id: chosen, serving its country, and good practice."""
    found = [*job.rules.sets, *job.rules.by_country.values(), job.rules.good_practice]
    return {rule_set.id: rule_set for rule_set in found}


def confirm_row(job: Job, set_name: str, table: str, row: str, *, by: str, evidence: str) -> ConfirmedRow:
    """Record that a row is as the standard prints it.

    Raises InputErrors where the job uses no such set, or the set has no such table or row; RecordError where
    the records refuse the line.
    """
    rule_set = _set_named(job, set_name)
    found = row_named(table_named(rule_set, table), row)
    name, figures = row_name(rule_set, table, found), printed_figures(found)
    warnings = _warnings(job, rule_set.table(table), found, name)
    with writing_store(job.records) as store:
        entry = Entry("confirmed", name, by, data={"evidence": evidence, "figures": figures})
        line = store.append([entry])[0]
    return ConfirmedRow(name, figures, line, warnings)


def row_named(table: Table, typed: str) -> Row:
    """A row by its label, as `riser rules show` prints it; capitals and spaces do not matter."""
    by_label = {_plain(row.label): row for row in table.rows}
    if _plain(typed) not in by_label:
        raise unknown("row", typed, [row.label for row in table.rows], f"a row of {table.name}")
    return by_label[_plain(typed)]


def _plain(label: str) -> str:
    return " ".join(label.split()).casefold()


def _set_named(job: Job, typed: str) -> RuleSet:
    known = sets_of(job)
    if typed not in known:
        raise unknown("rule set", typed, list(known), f"a set that the job uses: {', '.join(known)}")
    return known[typed]


def table_named(rule_set: RuleSet, typed: str) -> Table:
    """A table of a set; InputErrors where it has none of that name."""
    if not rule_set.has(typed):
        raise unknown("table", typed, list(rule_set.tables), f"a table of {rule_set.id}")
    return rule_set.table(typed)


def _warnings(job: Job, table: Table, row: Row, name: str) -> list[str]:
    before = confirmations(job.state, job.tables.settings).get(name)
    if before is not None and holds(before, row):
        return [f"{name} was already confirmed by {before.by} on {before.day}."]
    if before is not None:
        return [f"{name} was confirmed by {before.by} on {before.day} for other figures."]
    if not unsure_columns(table, row):
        return [f"{name} already counts as read, or is a local amendment."]
    return []
