# SPDX-License-Identifier: Apache-2.0
"""The test each riser and floor needs, and the still-water pressure at its top, bottom and gauge."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from riser.audit import replay_differences
from riser.errors import NotInRules
from riser.network.model import Model
from riser.network.systems import System
from riser.proving.required import PLACES, required_tests, untested_systems
from riser.proving.required_pressure import required_pressure
from riser.rules import Rules, choose_rules
from tests.building import model_of, two_storeys, with_cells

FOOT, PSI = 0.3048, 6894.757293168
G = 9.80665
# Density of water at 20 C: 998.207 kg/m3 (IAPWS-95, as every table of water prints it).
RHO = 998.207


@pytest.fixture(scope="module")
def rules() -> Rules:
    return choose_rules({"rules": {"drainage": "ipc_2021", "tests": "ipc_2021", "fire": "nfpa_14"}})


@pytest.fixture(scope="module")
def model() -> Model:
    return model_of(two_storeys())


def one(model: Model, rules: Rules, test: str, floor: Any, system: System = System.SOIL, **more: Any) -> Any:
    (found,) = [
        t
        for t in required_tests(model, rules, **more)
        if t.test == test and t.span.floor == floor and t.span.system == system
    ]
    return found


def test_a_floor_of_a_drain_has_ten_feet_of_water_over_its_highest_joint(model: Model, rules: Rules) -> None:
    # IPC 312.2 (Philadelphia): 10 ft head on every joint; the stack of floor 01 ends at the stub at 2.70 m.
    test = one(model, rules, "drain_water", "01")
    assert test.span.riser == "SS-1"
    assert test.span.top_level_m == pytest.approx(2.70)
    assert test.water_level_m == pytest.approx(2.70 + 10 * FOOT)
    assert test.pressure_pa["top"] == pytest.approx(RHO * G * 10 * FOOT, rel=1e-6)
    assert test.pressure_pa["bottom"] == pytest.approx(RHO * G * (10 * FOOT + 2.70 + 0.70), rel=1e-6)
    assert test.pressure_pa["gauge"] == pytest.approx(RHO * G * (10 * FOOT + 2.70 - 1.2), rel=1e-6)
    assert test.head_met
    assert test.hold_s == 15 * 60


def test_ten_feet_of_water_are_4_33_psi(model: Model, rules: Rules) -> None:
    # 0.433 psi/ft, 20 ft: 8.66 psi: Appendix E, https://www.scribd.com/document/321547660.
    test = one(model, rules, "drain_water", "01")
    assert test.pressure_pa["top"] / PSI == pytest.approx(4.33, abs=0.02)


def test_near_the_top_water_stands_no_higher_than_the_riser_ends(model: Model, rules: Rules) -> None:
    test = one(model, rules, "drain_water", "02")
    assert test.span.end_level_m == pytest.approx(6.6)
    assert test.water_level_m == pytest.approx(6.6)
    assert not test.head_met
    assert test.pressure_pa["top"] == pytest.approx(RHO * G * (6.6 - 5.70), rel=1e-6)


def test_the_whole_riser_filled_to_its_end_has_its_full_height_at_the_foot(
    model: Model, rules: Rules
) -> None:
    test = one(model, rules, "drain_water", "")
    assert test.pressure_pa["top"] == 0.0
    assert test.pressure_pa["bottom"] == pytest.approx(RHO * G * (6.6 + 0.7), rel=1e-6)
    assert test.pressure_pa["gauge"] == pytest.approx(RHO * G * (6.6 - 1.2), rel=1e-6)


def test_a_joint_between_floors_is_tested_with_the_upper_one(model: Model, rules: Rules) -> None:
    lower, upper = (one(model, rules, "drain_water", floor) for floor in ("01", "02"))
    assert upper.span.bottom_level_m == pytest.approx(lower.span.top_level_m) == pytest.approx(2.70)


def test_air_has_one_pressure_everywhere_and_is_refused_on_plastic(model: Model, rules: Rules) -> None:
    test = one(model, rules, "drain_air", "01")
    # 5 psi (IPC 312.3, Illinois); the IPC bars air on plastic pipe.
    assert {round(p / PSI, 9) for p in test.pressure_pa.values()} == {5.0}
    assert test.refused == ""
    plastic = model_of(with_cells(two_storeys(), "pipes", {"pipe": "CI100"}, material="PVC-U"))
    assert one(plastic, rules, "drain_air", "01").refused == "air is not allowed on plastic pipe"
    assert one(plastic, rules, "drain_water", "01").refused == ""


def test_a_fire_riser_has_200_psi_at_its_low_point_and_less_above(model: Model, rules: Rules) -> None:
    # 200 psi at the low point (UFGS 13945A); NFPA 13 annex: piping 25 ft above may read 189 (0.433 psi/ft).
    test = one(model, rules, "fire_water", "", System.FIRE)
    assert test.pressure_pa["bottom"] == pytest.approx(200 * PSI, rel=1e-9)
    height = test.span.top_level_m - test.span.bottom_level_m
    assert (200 - test.pressure_pa["top"] / PSI) / (height / FOOT) == pytest.approx(0.433, abs=0.001)


def test_a_fire_riser_with_a_high_working_pressure_has_50_psi_more(model: Model, rules: Rules) -> None:
    names = {t.span.riser for t in required_tests(model, rules) if t.span.system == System.FIRE}
    working = {names.pop(): 180 * PSI}
    test = one(model, rules, "fire_water", "", System.FIRE, working_pa=working)
    assert test.pressure_pa["bottom"] / PSI == pytest.approx(230, rel=1e-9)
    assert required_pressure(test, "bottom").number == pytest.approx(test.pressure_pa["bottom"], rel=1e-12)


def test_a_supply_test_hangs_on_a_working_pressure_that_must_be_given(model: Model, rules: Rules) -> None:
    test = one(model, rules, "supply_water", "", System.COLD)
    assert np.isnan(test.pressure_pa["bottom"])
    assert test.within_rating is None
    with pytest.raises(NotInRules, match="working pressure not known"):
        required_pressure(test, "bottom")
    given = one(model, rules, "supply_water", "", System.COLD, working_pa={test.span.riser: 4.0e5})
    # The rule holds at the high point: below it the water column is added.
    height = given.span.top_level_m - given.span.bottom_level_m
    assert given.pressure_pa["top"] == pytest.approx(4.0e5)
    assert given.pressure_pa["bottom"] == pytest.approx(4.0e5 + RHO * G * height, rel=1e-6)


def test_a_pressure_above_the_lowest_rating_is_told(rules: Rules) -> None:
    def rated(pressure_pa: float) -> Any:
        job = with_cells(two_storeys(), "pipes", {"pipe": "CI100"}, rating_pa=pressure_pa)
        return one(model_of(job), rules, "drain_water", "").within_rating

    assert rated(0.75e5) is True
    assert rated(0.70e5) is False
    assert rated(float("nan")) is None


def test_every_pressure_of_a_sheet_is_that_of_the_list(model: Model, rules: Rules) -> None:
    names = {t.span.riser: 3.0e5 for t in required_tests(model, rules)}
    for test in required_tests(model, rules, working_pa=names):
        for place in PLACES:
            tree = required_pressure(test, place)
            assert tree.number == pytest.approx(test.pressure_pa[place], rel=1e-12, abs=1e-9)
            assert replay_differences(tree) == []


def test_each_riser_is_told_as_a_whole_and_floor_by_floor_from_below(model: Model, rules: Rules) -> None:
    spans = [t.span for t in required_tests(model, rules) if t.test == "drain_water"]
    assert [s.floor for s in spans] == ["", "01", "02", "RF"]
    levels = [s.top_level_m for s in spans[1:]]
    assert levels == sorted(levels)


def test_tests_of_sewers_and_pumped_pipes_are_not_tests_of_a_riser(model: Model, rules: Rules) -> None:
    names = {t.test for t in required_tests(model, rules)}
    assert names == {
        "drain_water",
        "drain_air",
        "drain_smoke",
        "supply_water",
        "supply_air",
        "fire_water",
        "fire_air",
    }


def test_systems_without_a_test_are_named(model: Model, rules: Rules) -> None:
    assert untested_systems(model, rules) == ()
    bare = replace(rules, by_subject={"tests": rules.subject("tests")})
    assert untested_systems(model, bare) == (System.FIRE,)


def test_an_unknown_place_is_a_mistake_of_the_caller(model: Model, rules: Rules) -> None:
    with pytest.raises(ValueError, match="middle"):
        required_pressure(one(model, rules, "drain_water", ""), "middle")
