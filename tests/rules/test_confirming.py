# SPDX-License-Identifier: Apache-2.0
"""Rows that somebody has compared with the standard in print."""

from __future__ import annotations

from dataclasses import replace

from riser.audit import Status
from riser.rules import (
    Confirmed,
    Row,
    Rules,
    choose_rules,
    confirmed_rules,
    confirmed_set,
    load_set,
    printed_figures,
    row_name,
    unsure_columns,
)

INCH = 0.0254
RULES = choose_rules({"rules": {"drainage": "ipc_2021"}})
SET = RULES.subject("drainage")
DRAIN = SET.table("building_drain").exact(fall=1 / 96, size=4 * INCH)
NAME = row_name(SET, "building_drain", DRAIN)


def said(row: Row) -> Confirmed:
    return Confirmed("E. Engineer", "2031-05-04", "print of 2020, page 7-8", printed_figures(row))


def drain_of(rules: Rules) -> Row:
    return rules.subject("drainage").table("building_drain").exact(fall=1 / 96, size=4 * INCH)


def test_a_row_is_named_by_set_table_and_label() -> None:
    assert NAME == "ipc_2021:building_drain:1/8 in/ft, 4 in"


def test_a_confirmed_row_counts_as_read_and_says_who_confirmed_it() -> None:
    rules = confirmed_rules(RULES, {NAME: said(DRAIN)})
    cell = drain_of(rules).cell("fixture_units")
    assert (cell.value, cell.status) == (180.0, Status.READ)
    assert cell.clause.source.startswith(
        "confirmed by E. Engineer, 2031-05-04: print of 2020, page 7-8 (before: read in IPC 2018"
    )
    before, after = SET.certainty(), rules.subject("drainage").certainty()
    assert after[Status.READ] == before[Status.READ] + 1
    assert after[Status.MEMORY] == before[Status.MEMORY] - 1


def test_other_rows_and_the_hash_stay_as_they_were() -> None:
    rules = confirmed_rules(RULES, {NAME: said(DRAIN)})
    changed = rules.subject("drainage")
    assert changed.hash == SET.hash
    assert changed.table("vent_length") == SET.table("vent_length")
    others = {row.label for row in SET.table("building_drain").rows} - {DRAIN.label}
    assert all(
        row == SET.table("building_drain").rows[n]
        for n, row in enumerate(changed.table("building_drain").rows)
        if row.label in others
    )


def test_a_confirmation_of_other_figures_does_not_hold() -> None:
    wrong = replace(said(DRAIN), figures={**printed_figures(DRAIN), "fixture_units": "181 dfu"})
    assert drain_of(confirmed_rules(RULES, {NAME: wrong})) == DRAIN


def test_confirming_settles_a_conflict_and_keeps_the_other_reading_in_sight() -> None:
    row = SET.table("limits").exact(limit="fixture_units_per_flow")
    changed = confirmed_set(SET, {row_name(SET, "limits", row): said(row)})
    cell = changed.limit("fixture_units_per_flow")
    assert (cell.status, cell.alternatives) == (Status.READ, ())
    assert "elsewhere 1 dfu/gpm (Chicago" in cell.clause.source


def test_a_local_amendment_stays_local() -> None:
    amendment = {
        "extends": "ipc_2021",
        "source": "city",
        "building_drain": {"rows": [{"fall": "1/8", "size": 4, "fixture_units": 150}]},
    }
    local = load_set("ipc_2021", {"rules/city.toml": amendment})
    row = local.table("building_drain").exact(fall=1 / 96, size=4 * INCH)
    changed = confirmed_set(local, {NAME: said(row)}).table("building_drain")
    assert changed.exact(fall=1 / 96, size=4 * INCH).cell("fixture_units").status is Status.LOCAL


def test_good_practice_and_serving_sets_can_be_confirmed_too() -> None:
    practice, serving = RULES.good_practice, RULES.by_country["identification"]
    stub = practice.table("limits").exact(limit="stub_tolerance")
    fire = serving.table("identification").exact(system="fire")
    rules = confirmed_rules(
        RULES,
        {
            row_name(practice, "limits", stub): said(stub),
            row_name(serving, "identification", fire): said(fire),
        },
    )
    assert rules.good_practice.limit("stub_tolerance").status is Status.READ
    row = rules.by_country["identification"].table("identification").exact(system="fire")
    assert row.cell("screen").status is Status.READ


def test_unsure_columns_are_those_not_read_and_keys_only_in_conflict() -> None:
    assert unsure_columns(SET.table("building_drain"), DRAIN) == ["fixture_units"]
    table = SET.table("supply_fixture_units")
    read = table.exact(fixture="water closet", use="public", control="flushometer valve")
    assert "cold" not in unsure_columns(table, read)
