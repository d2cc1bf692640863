# SPDX-License-Identifier: Apache-2.0
"""Partly full drains."""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.hydraulics.gravity_flow import (
    filling_colebrook,
    filling_manning,
    flow_area,
    flow_colebrook,
    flow_manning,
    fullest,
    hydraulic_radius,
    mean_velocity_colebrook,
    mean_velocity_manning,
    wall_shear,
    wetted_perimeter,
)

bores = st.floats(0.03, 0.6)
slopes = st.floats(0.002, 0.1)
fillings = st.floats(0.001, 0.93)


@settings(max_examples=40)
@given(bore=bores, filling=st.floats(0.01, 0.99))
def test_section_is_that_of_the_library(bore: float, filling: float) -> None:
    expected = fluids.geometry.A_partial_circle(bore, bore * filling)
    assert flow_area(bore, filling) == pytest.approx(expected, rel=1e-9)


@settings(max_examples=40)
@given(radius=st.floats(0.005, 0.2), slope=slopes, n=st.floats(0.008, 0.02))
def test_manning_is_that_of_the_library(radius: float, slope: float, n: float) -> None:
    assert mean_velocity_manning(radius, slope, n) == pytest.approx(
        fluids.V_Manning(radius, slope, n), rel=1e-12
    )


@settings(max_examples=40)
@given(bore=bores, filling=st.floats(0.01, 1.0))
def test_hydraulic_radius_is_area_over_wetted_wall(bore: float, filling: float) -> None:
    expected = flow_area(bore, filling) / wetted_perimeter(bore, filling)
    assert hydraulic_radius(bore, filling) == pytest.approx(expected, rel=1e-9)


@settings(max_examples=40)
@given(bore=bores, slope=slopes, filling=fillings)
def test_filling_for_a_flow_gives_that_flow_back(bore: float, slope: float, filling: float) -> None:
    flow = flow_manning(bore, filling, slope, 0.012)
    assert filling_manning(flow, bore, slope, 0.012) == pytest.approx(filling, rel=1e-8)
    flow = flow_colebrook(bore, filling, slope, 1e-3, 1.31e-6)
    if flow > 0:
        assert filling_colebrook(flow, bore, slope, 1e-3, 1.31e-6) == pytest.approx(filling, rel=1e-6)


def test_filling_is_found_on_arrays_of_any_shape() -> None:
    bore = np.array([[0.1], [0.15], [0.3]])
    filling = np.linspace(0.001, 0.93, 50)
    flow = flow_manning(bore, filling, 0.01, 0.011)
    assert flow.shape == (3, 50)
    np.testing.assert_allclose(
        filling_manning(flow, bore, 0.01, 0.011), np.broadcast_to(filling, (3, 50)), rtol=1e-9
    )


def test_no_flow_is_no_depth_and_too_much_flow_has_none() -> None:
    full = flow_manning(0.1, 1.0, 0.01, 0.012)
    wanted = np.array([0.0, full, 1.075 * full, 1.08 * full, 10 * full, -1e-6])
    filling = filling_manning(wanted, 0.1, 0.01, 0.012)
    assert filling[0] == 0
    assert filling[1] == pytest.approx(0.8196, abs=2e-4)  # the free-surface depth of the full flow
    assert 0.9 < filling[2] < 0.9382
    assert np.isnan(filling[3:]).all()


def test_flow_is_greatest_at_0_938_with_1_0757_of_the_full_flow() -> None:
    def at(filling: float) -> float:
        return float(flow_manning(1.0, filling, 0.01, 0.01) / flow_manning(1.0, 1.0, 0.01, 0.01))

    place = float(fullest(lambda f: flow_manning(1.0, f, 0.01, 0.01)))
    assert place == pytest.approx(0.9382, abs=1e-4)
    assert at(place) == pytest.approx(1.0757, abs=5e-5)


def test_velocity_is_greatest_at_0_813_with_1_140_of_the_full_velocity() -> None:
    filling = np.linspace(0.7, 0.95, 25001)
    relative = (hydraulic_radius(1.0, filling) / 0.25) ** (2 / 3)
    assert filling[np.argmax(relative)] == pytest.approx(0.8128, abs=1e-4)
    assert relative.max() == pytest.approx(1.1400, abs=5e-5)


def test_half_full_pipe_has_the_velocity_of_the_full_one() -> None:
    assert hydraulic_radius(0.1, 0.5) == pytest.approx(hydraulic_radius(0.1, 1.0))
    assert flow_manning(0.1, 0.5, 0.01, 0.012) == pytest.approx(flow_manning(0.1, 1.0, 0.01, 0.012) / 2)


def test_colebrook_velocity_balances_friction_and_slope() -> None:
    # Darcy-Weisbach with four hydraulic radii as diameter must lose exactly the slope.
    radius = hydraulic_radius(0.15, 0.6)
    velocity = mean_velocity_colebrook(radius, 0.01, 1e-3, 1.31e-6)
    factor = fluids.friction.Colebrook(velocity * 4 * radius / 1.31e-6, 1e-3 / (4 * radius))
    # 3.71 in the drain form against 3.7 in Colebrook's: 0.1 %.
    assert factor / (4 * radius) * velocity**2 / (2 * 9.80665) == pytest.approx(0.01, rel=2e-3)


def test_shear_is_the_weight_of_the_water_along_the_slope_over_the_wetted_wall() -> None:
    weight = 999.0 * 9.80665 * flow_area(0.1, 0.4) * 0.01
    assert wall_shear(hydraulic_radius(0.1, 0.4), 0.01, 999.0) == pytest.approx(
        weight / wetted_perimeter(0.1, 0.4)
    )
