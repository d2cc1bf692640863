# SPDX-License-Identifier: Apache-2.0
"""Every tests-rule of every rule set with a passing, a failing and a borderline record."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.proving.judging import PassRule, Reading, Verdict, judgement, pass_rule
from riser.rules import choose_rules, load_set, set_names

RULES = choose_rules({"rules": {"drainage": "ipc_2021", "tests": "ipc_2021"}})
EVERY_ROW = [
    pytest.param(row, id=f"{name}-{row.cell('test').value}-{int(row.number('stage'))}")
    for name in set_names()
    if load_set(name).has("tests")
    for row in load_set(name).table("tests").rows
]
START = 1e6


def record(rule: PassRule, drop_pa: float, share_of_hold: float = 1.0) -> list[Reading]:
    """Set at test pressure; one reading at the end of that share of the hold, lower by the drop."""
    end = max(rule.hold_s * share_of_hold, 1.0)
    return [Reading(0.0, START), Reading(end, START - drop_pa)]


@pytest.mark.parametrize("row", EVERY_ROW)
def test_a_steady_dry_record_passes_by_every_rule(row) -> None:
    rule = pass_rule(RULES, row, START)
    found = judgement(rule, record(rule, 0.0), leak_seen=False)
    assert found.verdict is Verdict.PASS, found.reasons
    assert found.clause == row.cell("test").clause.text


@pytest.mark.parametrize("row", EVERY_ROW)
def test_a_leak_or_too_great_a_drop_fails_by_every_rule_that_names_one(row) -> None:
    rule = pass_rule(RULES, row, START)
    if rule.leak_counts:
        assert judgement(rule, record(rule, 0.0), leak_seen=True).verdict is Verdict.FAIL
    if not math.isnan(rule.drop_max_pa) and not rule.pumping:
        too_much = record(rule, rule.drop_max_pa + 1000.0)
        assert judgement(rule, too_much, leak_seen=False).verdict is Verdict.FAIL
    if rule.pumping:
        assert judgement(rule, record(rule, 5000.0), leak_seen=False).verdict is Verdict.FAIL
    assert rule.leak_counts or rule.pumping or not math.isnan(rule.drop_max_pa)


@pytest.mark.parametrize("row", EVERY_ROW)
def test_a_record_on_the_border_is_judged_by_the_rules_own_words(row) -> None:
    """Exactly the drop: in order where the rule says at most, not where it says less than."""
    rule = pass_rule(RULES, row, START)
    if not math.isnan(rule.drop_max_pa) and not rule.pumping:
        found = judgement(rule, record(rule, rule.drop_max_pa), leak_seen=False)
        strict = "less than stated" in str(row.cell("pass_rule").value)
        assert found.verdict is (Verdict.FAIL if strict else Verdict.PASS)
    if rule.hold_s > 60:
        short = judgement(rule, record(rule, 0.0, 0.999), leak_seen=False)
        assert short.verdict is Verdict.INCONCLUSIVE
        assert "held for" in short.reasons[0]


PLAIN = PassRule(5e5, 900.0, 2e4, False, False, True, 3.0, "a clause")


def steady(drop_pa: float = 0.0) -> list[Reading]:
    return [Reading(0.0, 5e5, 15.0), Reading(450.0, 5e5 - drop_pa, 15.0), Reading(900.0, 5e5 - drop_pa, 15.0)]


def test_a_gauge_that_may_not_be_used_makes_the_test_void_even_where_a_leak_was_seen() -> None:
    found = judgement(PLAIN, steady(), gauge_faults=["G1 is out of date"], leak_seen=True)
    assert (found.verdict, found.reasons) == (Verdict.VOID, ("G1 is out of date",))


def test_pumping_during_a_no_pump_hold_is_void_and_before_it_is_not() -> None:
    pumped = [Reading(-60.0, 3e5), Reading(0.0, 5e5, pumped_m3=1e-3), *steady()[1:]]
    assert judgement(PLAIN, pumped, leak_seen=False).verdict is Verdict.PASS
    again = [*steady()[:1], Reading(450.0, 5e5, 15.0, pumped_m3=1e-4), *steady()[2:]]
    assert judgement(PLAIN, again, leak_seen=False).verdict is Verdict.VOID


def test_pressure_never_set_is_void_and_says_how_high_the_gauge_came() -> None:
    found = judgement(PLAIN, [Reading(0.0, 4.9e5), Reading(900.0, 4.9e5)], leak_seen=False)
    assert found.verdict is Verdict.VOID
    assert "490 kPa" in found.reasons[0]


def test_a_dip_in_the_middle_counts_even_where_the_end_recovers() -> None:
    dip = [Reading(0.0, 5e5), Reading(450.0, 4.7e5), Reading(900.0, 5e5)]
    assert judgement(PLAIN, dip, leak_seen=False).verdict is Verdict.FAIL


def test_nobody_looked_or_no_readings_or_warmth_leave_it_inconclusive() -> None:
    assert judgement(PLAIN, steady()).verdict is Verdict.INCONCLUSIVE
    assert judgement(PLAIN, [], leak_seen=False).verdict is Verdict.INCONCLUSIVE
    warm = [replace(reading, temperature_c=15.0 + 4 * n) for n, reading in enumerate(steady())]
    found = judgement(PLAIN, warm, leak_seen=False)
    assert found.verdict is Verdict.INCONCLUSIVE
    assert "8 K" in found.reasons[0]


def test_temperature_never_turns_a_fail_into_anything_else() -> None:
    cooled = [replace(r, temperature_c=20.0 - 5 * n) for n, r in enumerate(steady(5e4))]
    assert judgement(PLAIN, cooled, leak_seen=False).verdict is Verdict.FAIL


def test_readings_out_of_order_or_without_pressure_are_void() -> None:
    assert judgement(PLAIN, steady()[::-1], leak_seen=False).verdict is Verdict.VOID
    assert judgement(PLAIN, [Reading(0.0, math.nan)], leak_seen=False).verdict is Verdict.VOID


@settings(max_examples=100)
@given(st.floats(0, 5e4), st.floats(0, 5e4))
def test_a_greater_drop_is_never_judged_better(a: float, b: float) -> None:
    small, large = sorted((a, b))
    first = judgement(PLAIN, steady(small), leak_seen=False).verdict
    second = judgement(PLAIN, steady(large), leak_seen=False).verdict
    assert first is Verdict.PASS or second is Verdict.FAIL
