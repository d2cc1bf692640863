# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import numpy as np
import pytest

from riser.hydraulics.leak import pressure_after_leaking, water_store
from riser.hydraulics.water import compressibility, density
from riser.proving.judging import PassRule, Reading
from riser.proving.reading_notes import (
    DISCHARGE_COEFFICIENT,
    WetPipe,
    air_note,
    expected_pump_m3,
    leak_note,
    needle_note,
    notes,
    pumping_note,
    temperature_note,
    trapped_air_m3,
)

STEEL = WetPipe(0.1, 7e-11, 36e-6)
RULE = PassRule(5e5, 900.0, 0.0, False, False, True, 3.0, "")


def test_one_kelvin_of_cooling_explains_some_two_to_three_bar_in_steel() -> None:
    note = temperature_note(STEEL, [Reading(0, 1e6, 16.0), Reading(900, 8e5, 15.0)])
    # (170e-6 - 36e-6) / (4.6e-10 + 7e-11) = 2.2 to 2.5 bar/K by hand at 15 to 16 C (tables of water).
    drop = float(note.split("alone is ")[1].split(" kPa")[0])
    assert -270 < drop < -200
    assert "-200 kPa was read" in note


def test_without_temperatures_the_note_says_that_nothing_can_be_told() -> None:
    assert "not taken" in temperature_note(STEEL, [Reading(0, 1e6), Reading(900, 9e5)])


def test_a_litre_of_air_is_found_again_from_the_water_pumped() -> None:
    airless = expected_pump_m3(STEEL, 1e6)
    pumped = airless + 1e-3 * (1 - 101325 / 1101325)
    assert trapped_air_m3(STEEL, pumped, 1e6) == pytest.approx(1e-3)
    assert "about 1 L of air, 1.00% of the section" in air_note(STEEL, pumped, 1e6)
    assert trapped_air_m3(STEEL, airless / 2, 1e6) == 0.0


def test_the_hole_that_made_the_drop_is_found_again() -> None:
    rho, squeezed = float(density(20.0)), float(compressibility(20.0))
    store = water_store(0.1, squeezed, 7e-11, 0.0, 1e6)
    end = float(pressure_after_leaking(1e6, 600.0, np.pi / 4 * 2e-5**2, store, rho, DISCHARGE_COEFFICIENT))
    assert 0 < end < 1e6
    assert "a hole 0.02 mm across" in leak_note(STEEL, [Reading(0, 1e6), Reading(600, end)])


def test_a_needle_that_stands_still_while_the_water_warms_is_suspected_and_one_that_moves_is_not() -> None:
    stuck = [Reading(60.0 * n, 5e5, 15.0 + n) for n in range(4)]
    moving = [Reading(60.0 * n, 5e5 + 1e4 * n, 15.0 + n) for n in range(4)]
    steady = [Reading(60.0 * n, 5e5, 15.0) for n in range(4)]
    assert "did not move" in needle_note(stuck, 1e4)
    assert needle_note(moving, 1e4) == needle_note(steady, 1e4) == ""


def test_pumping_during_the_hold_is_told_and_pumping_before_it_is_not() -> None:
    before, after = Reading(0, 5e5, pumped_m3=1e-3), Reading(900, 5e5)
    assert pumping_note(RULE, [before, after]) == ""
    assert "0.5 L pumped" in pumping_note(RULE, [before, Reading(900, 5e5, pumped_m3=5e-4)])


def test_all_notes_stand_together_and_empty_ones_are_left_out() -> None:
    hold = [Reading(0, 5e5, 15.0), Reading(900, 4.9e5, 15.0)]
    said = notes(STEEL, RULE, hold, graduation_pa=1e4, pumped_to_start_m3=1e-3, rise_pa=5e5)
    assert [note.split(" ")[0] for note in said] == ["1", "As"]
    assert notes(STEEL, RULE, [], graduation_pa=1e4) == ()
