# SPDX-License-Identifier: Apache-2.0
"""What all rule sets have in common, so that checks can ask any of them."""

from __future__ import annotations

import re

import pytest

from riser.rules import GOOD_PRACTICE, SUBJECTS, RuleSet, load_set, set_names

SETS = [load_set(name) for name in set_names()]
every = pytest.mark.parametrize("rule_set", SETS, ids=lambda s: s.id)
REFERENCE_POINTS = {"every joint", "low point", "high point", "gauge", "by design"}
TEST_COLUMNS = [
    *("test", "stage", "systems", "medium", "head", "pressure", "factor", "factor_of", "over"),
    *(
        "working_from",
        "working_to",
        "hold",
        "pumping",
        "drop_max",
        "reference_point",
        "on_plastic",
        "pass_rule",
    ),
]
SYSTEMS = {
    *("soil", "waste", "vent", "rainwater", "condensate", "cold", "hot", "hot_return", "non_potable", "fire"),
}
RESULT_UNITS = {
    "limits": {"limit", "value"},
    "severities": {"code", "severity"},
    "clauses": {"number", "says"},
}


@every
def test_tables_with_one_name_have_the_same_columns_everywhere(rule_set: RuleSet) -> None:
    for name, columns in RESULT_UNITS.items():
        if rule_set.has(name):
            assert set(rule_set.table(name).units) == columns
    if rule_set.has("tests"):
        assert list(rule_set.table("tests").units) == TEST_COLUMNS
    if rule_set.has("least_fall"):
        assert rule_set.table("least_fall").lookup == "bracket"
        assert rule_set.table("least_fall").units["fall"] == "m/m"


@every
def test_a_set_covers_what_it_says_and_has_the_tables_for_it(rule_set: RuleSet) -> None:
    assert set(rule_set.subjects) <= set(SUBJECTS)
    assert bool(rule_set.subjects) == (rule_set.id != GOOD_PRACTICE)
    assert ("tests" in rule_set.subjects) == rule_set.has("tests")
    if "drainage" in rule_set.subjects:
        assert rule_set.has("least_fall")


@every
def test_test_rows_say_where_pressure_holds_and_what_is_asked(rule_set: RuleSet) -> None:
    if not rule_set.has("tests"):
        return
    for row in rule_set.table("tests").rows:
        assert row.cell("reference_point").value in REFERENCE_POINTS
        assert set(str(row.cell("systems").value).split(", ")) <= SYSTEMS
        assert row.cell("medium").value in ("water", "air", "smoke")
        assert row.has("factor_of") or not (row.has("factor") or row.has("over")) or "rating" in row.note
        asked = {"head", "pressure", "factor", "over"} & set(row.cells)
        assert asked or row.cell("reference_point").value == "by design" or row.number("stage") > 1


@every
def test_stages_of_a_test_follow_each_other(rule_set: RuleSet) -> None:
    if not rule_set.has("tests"):
        return
    table = rule_set.table("tests")
    for test in table.distinct("test"):
        stages = [row.number("stage") for row in table.select(test=test)]
        assert stages == list(range(1, len(stages) + 1))


@every
def test_flags_are_yes_or_no(rule_set: RuleSet) -> None:
    for table in rule_set.tables.values():
        for row in table.rows:
            for cell in row.cells.values():
                if cell.printed in ("yes", "no"):
                    assert cell.number in (0.0, 1.0)
                    assert cell.required == (cell.printed == "yes")


@every
def test_limits_are_named_as_words_that_code_can_ask_for(rule_set: RuleSet) -> None:
    if rule_set.has("limits"):
        names = [str(row.cell("limit").value) for row in rule_set.table("limits").rows]
        assert all(re.fullmatch(r"[a-z][a-z0-9_]*", name) for name in names)


@every
def test_what_is_not_read_says_where_it_comes_from_or_where_to_look(rule_set: RuleSet) -> None:
    vague = {"memory", "recalled", "unknown", "see code"}
    for table in rule_set.tables.values():
        for row in table.rows:
            for cell in row.cells.values():
                assert cell.clause.source.strip().lower() not in vague


def test_the_limits_that_checks_ask_for_are_answered_by_some_set() -> None:
    ipc, practice = load_set("ipc_2021"), load_set(GOOD_PRACTICE)
    for name in ("dead_end_length", "base_of_stack_diameters", "valve_at_riser_foot", "static_pressure_max"):
        assert ipc.limit(name).number > 0
    for name in (
        *("dead_leg_diameters", "cleanout_stack_foot_distance", "drain_cock_at_low_point"),
        *("air_vent_at_high_point", "valve_at_floor_branch", "stub_tolerance", "containment_clearance"),
    ):
        assert practice.limit(name).number > 0


def test_good_practice_never_claims_to_have_been_read() -> None:
    assert all(
        str(cell.status) != "read"
        for table in load_set(GOOD_PRACTICE).tables.values()
        for row in table.rows
        for cell in row.cells.values()
    )
