# SPDX-License-Identifier: Apache-2.0
"""Surge, temperature, filling, leaks, stored energy, heat and expansion: laws that must hang together."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from riser.hydraulics import water
from riser.hydraulics.expansion import bending_leg, force_of_holding, movement
from riser.hydraulics.filling import trapped_air, water_replacing_air, water_to_pressurise
from riser.hydraulics.gas_energy import clear_distance, energy_of_gas, energy_of_water, tnt_equivalent
from riser.hydraulics.heat_loss import (
    heat_loss_per_metre,
    resistance_of_layer,
    resistance_of_surface,
    temperature_after_standing,
    temperature_along_pipe,
    time_to_cool,
)
from riser.hydraulics.leak import (
    equivalent_orifice,
    leak_flow,
    orifice_flow,
    pressure_after_leaking,
    water_store,
)
from riser.hydraulics.surge import (
    return_time,
    surge_of_slow_closing,
    surge_of_sudden_closing,
    wave_speed,
)
from riser.hydraulics.thermal import pressure_rise_of_warming, pressure_rise_per_kelvin

KAPPA, WALL = 4.59e-10, 7e-11


def test_a_rigid_pipe_carries_waves_at_the_speed_of_sound_and_a_soft_one_slower() -> None:
    # Speed of sound in water at 20 degC is 1482 m/s; isothermal compressibility gives 0.3 % less.
    rigid = wave_speed(water.density(20.0), water.compressibility(20.0), 0.0)
    assert rigid == pytest.approx(1482, rel=0.005)
    assert wave_speed(998.0, KAPPA, 3e-9) < 600 < wave_speed(998.0, KAPPA, WALL)


def test_closing_in_the_return_time_is_sudden() -> None:
    speed = 1200.0
    time = return_time(90.0, speed)
    slow = surge_of_slow_closing(1000.0, 90.0, 1.5, time)
    assert slow == pytest.approx(surge_of_sudden_closing(1000.0, speed, 1.5))
    assert surge_of_slow_closing(1000.0, 90.0, 1.5, 4 * time) == pytest.approx(slow / 4)


@settings(max_examples=30)
@given(start=st.floats(5.0, 60.0), rise=st.floats(-4.0, 20.0))
def test_rise_of_warming_is_the_sum_of_small_steps(start: float, rise: float) -> None:
    def per_kelvin(t: float) -> float:
        return float(
            pressure_rise_per_kelvin(water.thermal_expansion(t), 36e-6, water.compressibility(t), WALL)
        )

    summed, _ = quad(per_kelvin, start, start + rise, epsabs=1e-3, epsrel=1e-10)
    assert pressure_rise_of_warming(start, start + rise, 36e-6, WALL) == pytest.approx(
        summed, rel=1e-8, abs=1e-2
    )


def test_a_plastic_pipe_can_lose_pressure_on_warming() -> None:
    # Bore of PEX: expansion 3 x 180 millionths against 207 of water at 20 degC.
    assert pressure_rise_per_kelvin(207e-6, 540e-6, KAPPA, 1e-8) < 0


@settings(max_examples=30)
@given(air=st.floats(1e-6, 1e-2), end=st.floats(2e5, 2e6))
def test_trapped_air_is_found_from_the_water_it_took(air: float, end: float) -> None:
    airless = water_to_pressurise(0.2, KAPPA, WALL, end - 101_325.0)
    pumped = airless + water_replacing_air(air, 101_325.0, end)
    assert trapped_air(pumped, airless, 101_325.0, end) == pytest.approx(air, rel=1e-9)


@settings(max_examples=30)
@given(area=st.floats(1e-10, 1e-8), start=st.floats(3e5, 2e6), time=st.floats(1.0, 50.0))
def test_hole_is_found_from_the_drop_it_makes(area: float, start: float, time: float) -> None:
    store = 5e-11
    end = pressure_after_leaking(start, time, area, store, 998.0, 0.6)
    if end > 0:
        assert equivalent_orifice(start, end, time, store, 998.0, 0.6) == pytest.approx(area, rel=1e-6)


def test_pressure_falls_as_the_orifice_empties_the_store() -> None:
    store, area = 5e-11, 2e-10

    def rate(_: float, p: np.ndarray) -> np.ndarray:
        return np.asarray(-orifice_flow(area, np.maximum(p, 0.0), 998.0, 0.6) / store)

    integrated = solve_ivp(rate, (0.0, 300.0), [1e6], rtol=1e-10, atol=1e-6)
    ours = pressure_after_leaking(1e6, 300.0, area, store, 998.0, 0.6)
    assert ours == pytest.approx(integrated.y[0, -1], rel=1e-6)
    assert pressure_after_leaking(1e6, 1e9, area, store, 998.0, 0.6) == 0


def test_leak_flow_of_a_small_drop_is_the_orifice_flow() -> None:
    store = water_store(0.1, KAPPA, WALL, 0.0, 1.1e6)
    end = pressure_after_leaking(1e6, 1.0, 1e-10, store, 998.0, 0.6)
    assert leak_flow(store, 1e6 - end, 1.0) == pytest.approx(orifice_flow(1e-10, 1e6, 998.0, 0.6), rel=1e-3)


def test_air_in_a_pipe_hides_a_leak() -> None:
    airless, with_air = (water_store(0.1, KAPPA, WALL, air, 1.1e6) for air in (0.0, 1e-4))
    assert with_air > 2.5 * airless


def test_gas_stores_hundreds_of_times_the_energy_of_water() -> None:
    water_energy = energy_of_water(water_store(0.247, KAPPA, WALL, 0.0, 1.1e6), 1e6)
    gas_energy = energy_of_gas(1.101e6, 0.247)
    assert gas_energy / water_energy > 500


def test_energy_of_gas_is_that_of_expansion_without_heat() -> None:
    # E = P V/(k-1) [1 - (Pa/P)^((k-1)/k)] with k = 1.4; the standard rounds 2/7 to 0.286.
    p, v, k = 8e5, 1.3, 1.4
    exact = p * v / (k - 1) * (1 - (101_000 / p) ** ((k - 1) / k))
    assert energy_of_gas(p, v) == pytest.approx(exact, rel=1e-3)
    assert energy_of_gas(101_000.0, v) == 0


def test_distance_grows_with_the_cube_root_and_never_below_the_least() -> None:
    assert clear_distance(8e6) == pytest.approx(2 * clear_distance(1e6))
    assert clear_distance(1e6) == pytest.approx(20 * (2 * tnt_equivalent(1e6)) ** (1 / 3))
    assert clear_distance(1e5, least_m=30.0) == 30.0


def test_energy_of_water_is_the_work_of_pumping() -> None:
    store = 3e-11
    work, _ = quad(lambda p: p * store, 0, 1e6)
    assert energy_of_water(store, 1e6) == pytest.approx(work)


def test_resistances_add_and_insulation_helps() -> None:
    bare = resistance_of_surface(0.028, 10.0)
    insulated = resistance_of_layer(0.068, 0.028, 0.035) + resistance_of_surface(0.068, 10.0)
    assert heat_loss_per_metre(60.0, 20.0, insulated) < heat_loss_per_metre(60.0, 20.0, bare) / 3
    one = resistance_of_layer(0.1, 0.05, 0.04)
    two = resistance_of_layer(0.1, 0.07, 0.04) + resistance_of_layer(0.07, 0.05, 0.04)
    assert one == pytest.approx(two)


def test_running_water_loses_what_the_pipe_loses() -> None:
    resistance, flow, heat = 4.5, 0.1, 4185.0
    end = temperature_along_pipe(60.0, 20.0, 100.0, resistance, flow, heat)
    lost, _ = quad(
        lambda x: (temperature_along_pipe(60.0, 20.0, x, resistance, flow, heat) - 20.0) / resistance, 0, 100
    )
    assert flow * heat * (60.0 - end) == pytest.approx(lost, rel=1e-9)


def test_time_to_cool_is_when_the_temperature_is_reached() -> None:
    time = time_to_cool(60.0, 45.0, 20.0, 4.5, 2500.0)
    assert temperature_after_standing(60.0, 20.0, time, 4.5, 2500.0) == pytest.approx(45.0)


def test_a_held_pipe_pushes_as_it_would_have_moved() -> None:
    # Force that shortens a bar by the movement it was denied: E A dL / L.
    area = np.pi / 4 * (0.054**2 - 0.052**2)
    denied = movement(17e-6, 12.0, 50.0)
    assert force_of_holding(0.054, 0.052, 117e9, 17e-6, 50.0) == pytest.approx(117e9 * area * denied / 12.0)


def test_bending_leg_bends_to_its_stress() -> None:
    # Guided cantilever: M = 6 E I d / L2, stress = M D/(2 I) = 3 E D d / L2.
    leg = bending_leg(0.028, 0.02, 117e9, 41e6)
    assert 3 * 117e9 * 0.028 * 0.02 / leg**2 == pytest.approx(41e6)
