# SPDX-License-Identifier: Apache-2.0
"""Two rule sets compared."""

from __future__ import annotations

from typing import Any

import pytest

from riser.rules import RuleDifference, load_set, rule_differences, set_names

IPC = load_set("ipc_2021")


def amended(**tables: Any) -> list[RuleDifference]:
    local = {"extends": "ipc_2021", "source": "city"} | tables
    return rule_differences(IPC, load_set("ipc_2021", {"rules/city.toml": local}))


@pytest.mark.parametrize("name", set_names())
def test_a_set_does_not_differ_from_itself(name: str) -> None:
    assert rule_differences(load_set(name), load_set(name)) == []


def test_a_figure_that_differs_is_told_as_each_prints_it() -> None:
    found = amended(building_drain={"rows": [{"fall": "1/8", "size": 4, "fixture_units": 150}]})
    assert found == [
        RuleDifference("building_drain", "1/8 in/ft, 4 in", "fixture_units", "180 dfu", "150 dfu")
    ]


def test_a_row_that_only_one_has_is_told_with_its_figures() -> None:
    row = {"fall": "3/16", "size": 4, "fixture_units": 198}
    assert amended(building_drain={"rows": [row]}) == [
        RuleDifference("building_drain", "3/16 in/ft, 4 in", "", "", "fixture_units 198 dfu")
    ]


def test_the_same_figure_in_another_unit_is_no_difference() -> None:
    row = {"limit": "branch_interval_height", "value": 96, "unit": "in"}
    assert amended(limits={"rows": [row]}) == []


def test_a_table_that_only_one_has_is_one_difference() -> None:
    found = rule_differences(load_set("gb_50015_2019"), load_set("gb_50015_2009"))
    assert RuleDifference("fixture_heights", "", "", "", "18 rows") in found


def test_turning_the_sets_round_turns_the_differences_round() -> None:
    a, b = load_set("gb_50015_2019"), load_set("gb_50015_2009")
    there = {(d.table, d.row, d.column, d.a, d.b) for d in rule_differences(a, b)}
    back = {(d.table, d.row, d.column, d.b, d.a) for d in rule_differences(b, a)}
    assert there == back


def test_tables_with_other_keys_are_not_compared_row_by_row() -> None:
    found = rule_differences(IPC, load_set("upc_2021"))
    units = [d for d in found if d.table == "supply_fixture_units"]
    assert [(d.row, d.column) for d in units] == [("", "")]
    assert units[0].b == "15 rows, keyed by fixture, use"


def test_a_text_that_differs_in_words_is_a_difference() -> None:
    found = amended(clauses={"rows": [{"number": "704.2", "says": "drains may narrow"}]})
    assert [(d.row, d.column, d.b) for d in found] == [("704.2", "says", "drains may narrow")]
