# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import math

import pytest

from riser.errors import NotInRules, Refused
from riser.network.systems import System
from riser.proving.section_rules import planned_test
from riser.rules import choose_rules

FOOT, PSI = 0.3048, 6894.757293168
US = choose_rules({"rules": {"drainage": "ipc_2021", "tests": "ipc_2021", "fire": "nfpa_14"}})
UK = choose_rules({"rules": {"tests": "en_12056_2"}})
GB = choose_rules({"rules": {"tests": "gb_50242"}})


def test_a_us_drain_is_planned_under_ten_feet_at_every_joint() -> None:
    """IPC 312.2: 10 ft (3.048 m)."""
    test = planned_test(US, System.SOIL, plastic=True)
    assert (test.name, test.at_low_point) == ("drain_water", False)
    assert test.head_m == pytest.approx(10 * FOOT)


def test_a_standpipe_is_planned_at_200_psi_or_50_over_the_working_pressure_at_its_foot() -> None:
    """NFPA 14 11.4.2, read at ufgscriteriadocreport.tpub.com."""
    test = planned_test(US, System.FIRE, plastic=False)
    assert test.at_low_point
    assert test.asked_pa == pytest.approx(200 * PSI)
    assert planned_test(US, System.FIRE, plastic=False, working_pa=175 * PSI).asked_pa == pytest.approx(
        225 * PSI
    )


def test_a_factor_without_a_working_pressure_is_no_method_and_says_so() -> None:
    with pytest.raises(NotInRules, match="working pressure, which is not given"):
        planned_test(US, System.COLD, plastic=False)
    assert planned_test(US, System.COLD, plastic=False, working_pa=6e5).asked_pa == 6e5


def test_a_test_left_to_the_designer_is_no_method_and_says_so() -> None:
    with pytest.raises(NotInRules, match="set by the designer"):
        planned_test(UK, System.SOIL, plastic=False)


def test_plastic_takes_the_rule_for_plastic() -> None:
    """GB 50242 4.2.1: 1.5 times the working pressure, at least 0.6 MPa; an hour on plastic."""
    metal = planned_test(GB, System.COLD, plastic=False, working_pa=3e5)
    plastic = planned_test(GB, System.COLD, plastic=True, working_pa=5e5)
    assert (metal.name, metal.asked_pa) == ("supply_water_metal", 6e5)
    assert (plastic.name, plastic.asked_pa) == ("supply_water_plastic", 7.5e5)
    assert len(plastic.stages) == 2


def test_air_on_plastic_is_refused_where_the_set_forbids_it() -> None:
    with pytest.raises(Refused, match="not allowed on plastic"):
        planned_test(US, System.SOIL, plastic=True, named="drain_air")


def test_gas_above_the_ceiling_on_plastic_is_refused_though_the_row_allows_plastic() -> None:
    """The amendment lets air onto plastic at 40 kPa; the ceiling of good practice is 5 kPa."""
    row = {
        "test": "drain_air",
        "stage": 1,
        "systems": "soil",
        "medium": "air",
        "pressure": 40,
        "unit": "kPa",
        "hold": 15,
        "reference_point": "gauge",
        "on_plastic": True,
        "pass_rule": "held for the hold",
        "status": "memory",
        "clause": "local",
        "source": "invented for this test",
    }
    local = {"local.toml": {"extends": "ipc_2021", "tests": {"rows": [row]}}}
    rules = choose_rules({"rules": {"tests": "ipc_2021"}}, local)
    with pytest.raises(Refused, match="above the ceiling of 5"):
        planned_test(rules, System.SOIL, plastic=True, named="drain_air")


def test_gas_that_is_allowed_is_still_not_planned() -> None:
    with pytest.raises(NotInRules, match="planned for water"):
        planned_test(UK, System.SOIL, plastic=True, named="drain_air")


def test_a_system_without_a_test_is_named() -> None:
    with pytest.raises(NotInRules, match="no test for condensate"):
        planned_test(US, System.CONDENSATE, plastic=False)
    assert math.isnan(planned_test(US, System.SOIL, plastic=False).asked_pa)
