# SPDX-License-Identifier: Apache-2.0
"""What each rule row decides, and what a confirmed row changes, on a small building."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from riser.audit import InRules, decided_by, origins
from riser.network.tables import JobTables
from riser.records import State
from riser.records.state import Confirmation
from riser.rules import choose_rules, confirmed_rules, printed_figures
from riser.sizing.fixture_units import building_sizes, explained
from riser.work.confirmed_rows import confirmations
from riser.work.deciding_rows import decided_figures
from riser.work.job import Job
from riser.work.rules_todo import rules_todo
from tests.building import two_storeys

CLOSET = "water closet, private, 1.6 gpf"


def job(state: State | None = None, **chosen: str) -> Job:
    tables: JobTables = two_storeys()
    settings = {**tables.settings, "rules": chosen or {"drainage": "ipc_2021", "supply": "ipc_2021"}}
    tables = replace(tables, settings=settings)
    state = state or State()
    rules = confirmed_rules(choose_rules(settings), confirmations(state, settings))
    return Job(Path("job"), tables, rules, state, "")


def confirmed(row: str, **other: str) -> State:
    """A state in which this row of the fixture table was confirmed at half past eleven at night, UTC."""
    table = (
        choose_rules({"rules": {"drainage": "ipc_2021"}}).subject("drainage").table("drainage_fixture_units")
    )
    figures = printed_figures(table.exact(fixture=row)) | other
    name = f"ipc_2021:drainage_fixture_units:{row}"
    said = Confirmation(name, "print of 2020", "E. Engineer", "2031-05-04T23:30:00.000Z", figures, 1)
    return State(confirmed={name: said})


def test_rows_are_counted_as_the_derivation_of_every_size_shows_them() -> None:
    small = job()
    building = building_sizes(small.design, small.rules.subject("drainage"))
    counted: Counter[tuple[str, str, str]] = Counter()
    for n, item in enumerate(building.ids):
        if building.least_m[n] > 0:
            tree = explained(building, item, "size")
            counted.update({(o.rule_set, o.table, o.row) for o in origins(tree) if isinstance(o, InRules)})
    found = decided_figures(small)
    assert found.by_row == counted
    assert found.by_row["ipc_2021", "drainage_fixture_units", CLOSET] > 0
    assert found.figures > 5


def test_subjects_without_derivations_say_so() -> None:
    assert decided_figures(job()).silent == {"supply": "no derivations to count yet"}


@pytest.mark.parametrize("drainage", ["upc_2021", "en_12056_2"])
def test_a_set_that_cannot_size_yet_counts_nothing_and_says_why(drainage: str) -> None:
    found = decided_figures(job(drainage=drainage))
    assert (found.figures, found.by_row.total()) == (0, 0)
    assert "names no procedure" in found.silent["drainage"]
    assert rules_todo(job(drainage=drainage)).rows


def test_without_a_drainage_set_nothing_is_counted() -> None:
    assert "no rule set for drainage" in decided_figures(job(supply="ipc_2021")).silent["drainage"]


def test_a_confirmed_row_leaves_the_list_and_its_day_is_that_of_the_site() -> None:
    state = confirmed(CLOSET)
    todo = rules_todo(job(state))
    assert todo.confirmed == 1
    assert CLOSET not in [row.row for row in todo.rows if row.table == "drainage_fixture_units"]
    assert CLOSET in [row.row for row in rules_todo(job()).rows]
    name = next(iter(state.confirmed))
    assert confirmations(state, {"time_zone": "Europe/Berlin"})[name].day == "2031-05-05"
    assert confirmations(state, {})[name].day == "2031-05-04"


def test_a_row_confirmed_for_other_figures_stays_on_the_list_and_says_so() -> None:
    todo = rules_todo(job(confirmed(CLOSET, fixture_units="5 dfu")))
    assert todo.confirmed == 0
    row = next(row for row in todo.rows if row.row == CLOSET)
    assert row.before is not None
    assert row.before.by == "E. Engineer"


def test_sheets_of_the_job_count_a_confirmed_row_as_read() -> None:
    before, after = job(), job(confirmed(CLOSET))
    counts = []
    for each in (before, after):
        building = building_sizes(each.design, each.rules.subject("drainage"))
        item = next(
            name
            for n, name in enumerate(building.ids)
            if building.drains.loads.closets[building.drain_point[n]]
        )
        counts.append(decided_by(explained(building, item, "size")))
    assert counts[1].read == counts[0].read + 1
    assert counts[1].unverified == counts[0].unverified - 1
