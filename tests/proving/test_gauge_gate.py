# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from dataclasses import replace

import pytest

from riser.proving.gauge_gate import Gauge, gauge_faults, gauge_needed
from riser.rules import choose_rules

PSI, BAR = 6894.757293168, 1e5
US = choose_rules({"rules": {"drainage": "ipc_2021", "tests": "ipc_2021"}})
EN = choose_rules({"rules": {"tests": "en_806"}})
GB = choose_rules({"rules": {"tests": "gb_50242"}})
SUPPLY = US.subject("tests").table("tests").exact(test="supply_water", stage=1)
GOOD = Gauge("G1", 0.0, 16 * BAR, 0.05 * BAR, "2030-11-04", "2031-11-04")


def test_the_gauge_of_the_day_is_fit_on_its_first_and_last_day_of_calibration() -> None:
    needed = gauge_needed(US, SUPPLY, 6 * BAR)
    assert gauge_faults(needed, GOOD, "2031-03-01", 1.2) == []
    assert gauge_faults(needed, GOOD, "2030-11-04", 1.2) == []
    assert gauge_faults(needed, GOOD, "2031-11-04", 1.2) == []


@pytest.mark.parametrize(
    ("change", "day", "level", "words"),
    [
        ({"range_max_pa": 8 * BAR}, "2031-03-01", 1.2, "at least 900 kPa"),
        ({"range_max_pa": 25 * BAR}, "2031-03-01", 1.2, "too coarse"),
        ({"range_min_pa": 1 * BAR}, "2031-03-01", 1.2, "zero"),
        ({"graduation_pa": 0.5 * BAR}, "2031-03-01", 1.2, "divided in 50 kPa"),
        ({}, "2031-11-05", 1.2, "due for calibration"),
        ({}, "2030-11-03", 1.2, "after the test"),
        ({"due": ""}, "2031-03-01", 1.2, "no calibration"),
        ({}, "2031-03-01", None, "level"),
        ({}, "2031-03-01", float("nan"), "level"),
    ],
)
def test_each_fault_of_a_gauge_is_named(change, day, level, words) -> None:
    (fault,) = gauge_faults(gauge_needed(US, SUPPLY, 6 * BAR), replace(GOOD, **change), day, level)
    assert words in fault


def test_the_range_border_is_fit_on_both_sides() -> None:
    """1.5 to 4 times the test pressure: good practice, from the rule set's own table."""
    needed = gauge_needed(US, SUPPLY, 4 * BAR)
    assert gauge_faults(needed, replace(GOOD, range_max_pa=6 * BAR), "2031-03-01", 0.0) == []
    assert gauge_faults(needed, replace(GOOD, range_max_pa=16 * BAR), "2031-03-01", 0.0) == []


@pytest.mark.parametrize(("test_psi", "division_psi"), [(5, 0.1), (10, 0.1), (50, 1), (150, 2)])
def test_the_ipc_asks_finer_divisions_for_lower_pressures(test_psi, division_psi) -> None:
    """IPC 312.1.1 as read at englogs.com: 0.1 psi to 10 psi, 1 psi to 100 psi, 2 psi above."""
    needed = gauge_needed(US, SUPPLY, test_psi * PSI)
    assert needed.graduation_most_pa == pytest.approx(division_psi * PSI)


def test_en_806_asks_for_a_fifth_of_a_bar_and_where_nothing_is_asked_half_the_drop_holds() -> None:
    """EN 806-4 6.1: a gauge that shows a change of 0.02 MPa (0.2 bar), as the rule set has it."""
    row = EN.subject("tests").table("tests").exact(test="supply_water_a", stage=1)
    assert gauge_needed(EN, row, 11 * BAR).graduation_most_pa == pytest.approx(0.2 * BAR)
    row = GB.subject("tests").table("tests").exact(test="supply_water_metal", stage=1)
    assert gauge_needed(GB, row, 6 * BAR).graduation_most_pa == pytest.approx(0.5 * 0.02e6)
