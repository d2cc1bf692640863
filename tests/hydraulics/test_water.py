# SPDX-License-Identifier: Apache-2.0
"""Properties of water hang together; values against tables are in tests/published."""

from __future__ import annotations

import numpy as np
import pytest

from riser.hydraulics import water

T = np.linspace(1, 95, 60)


def test_expansion_is_the_fall_of_density() -> None:
    h = 1e-3
    fall = (water.density(T - h) - water.density(T + h)) / (2 * h) / water.density(T)
    np.testing.assert_allclose(water.thermal_expansion(T), fall, atol=2e-10)


def test_water_is_densest_at_four_degrees() -> None:
    fine = np.linspace(3, 5, 2001)
    assert fine[np.argmax(water.density(fine))] == pytest.approx(3.98, abs=0.02)
    assert water.thermal_expansion(3.0) < 0 < water.thermal_expansion(5.0)


def test_warm_water_is_thinner_and_nearer_to_boiling() -> None:
    assert np.all(np.diff(water.dynamic_viscosity(T)) < 0)
    assert np.all(np.diff(water.kinematic_viscosity_of_water(T)) < 0)
    assert np.all(np.diff(water.vapour_pressure(T)) > 0)


def test_kinematic_viscosity_is_dynamic_over_density() -> None:
    expected = water.kinematic_viscosity(water.dynamic_viscosity(T), water.density(T))
    np.testing.assert_array_equal(water.kinematic_viscosity_of_water(T), expected)


def test_density_rises_a_tenth_of_a_per_cent_in_twenty_bar() -> None:
    still = water.density(20.0)
    pressed = water.density_under_pressure(still, water.compressibility(20.0), 2e6)
    assert pressed / still - 1 == pytest.approx(0.00092, abs=2e-5)


def test_gravity_falls_with_altitude_and_rises_towards_the_poles() -> None:
    assert water.gravity_at(0.0) < water.gravity_at(45.0) < water.gravity_at(90.0)
    assert water.gravity_at(45.0, 2000.0) < water.gravity_at(45.0)
    assert water.atmospheric_pressure(2000.0) < water.atmospheric_pressure(0.0)


def test_derivation_of_density_refuses_steam() -> None:
    from riser.audit import Assumed, Given
    from riser.errors import OutsideValidity

    with pytest.raises(OutsideValidity):
        water.density.derive(Given("water", 120.0, "degC", Assumed("a test")))
