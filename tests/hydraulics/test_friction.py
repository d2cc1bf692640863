# SPDX-License-Identifier: Apache-2.0
"""Friction in a full pipe."""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.hydraulics.friction import (
    friction_factor,
    friction_factor_range,
    head_loss_and_slope_darcy,
    head_loss_darcy,
    laminar_friction_factor,
    mean_velocity,
    reynolds_number,
    turbulent_friction_factor,
)
from riser.hydraulics.quantity import FloatArray

rough = st.floats(0.0, 0.05)


@settings(max_examples=60)
@given(reynolds=st.one_of(st.floats(1.0, 1999.9), st.floats(4000.1, 1e8)), relative=rough)
def test_factor_is_that_of_the_library_outside_the_bridge(reynolds: float, relative: float) -> None:
    turbulent = reynolds > 3000
    expected = fluids.friction.Clamond(reynolds, relative) if turbulent else 64 / reynolds
    assert friction_factor(reynolds, relative) == pytest.approx(expected, rel=1e-9)


def test_whole_range_on_an_array_is_that_of_the_library() -> None:
    source = np.random.default_rng(7)
    reynolds = 10 ** source.uniform(3.7, 8, 5000)
    relative = source.uniform(0, 0.05, 5000)
    expected = [fluids.friction.Clamond(float(r), float(e)) for r, e in zip(reynolds, relative, strict=True)]
    np.testing.assert_allclose(friction_factor(reynolds, relative), expected, rtol=1e-9)


def test_factor_solves_colebrooks_equation() -> None:
    reynolds, relative = np.meshgrid(np.geomspace(4000, 1e8, 40), np.array([0.0, 1e-5, 1e-3, 0.05]))
    x = 1 / np.sqrt(turbulent_friction_factor(reynolds, relative))
    np.testing.assert_allclose(x, -2 * np.log10(relative / 3.7 + 2.51 * x / reynolds), rtol=1e-13)


@given(relative=rough)
@settings(max_examples=30)
def test_head_loss_is_a_straight_line_over_the_flow_between_the_laws(relative: float) -> None:
    reynolds = np.linspace(2000, 4000, 11)
    loss = friction_factor(reynolds, relative) * reynolds**2
    np.testing.assert_allclose(np.diff(loss), (loss[-1] - loss[0]) / 10, rtol=1e-9)
    assert loss[0] == pytest.approx(64 * 2000)
    assert loss[-1] == pytest.approx(turbulent_friction_factor(4000.0, relative) * 4000**2)


@given(relative=rough, low=st.floats(1.0, 1e6), more=st.floats(1e-3, 1.0))
@settings(max_examples=60)
def test_more_flow_always_loses_more_head(relative: float, low: float, more: float) -> None:
    high = low * (1 + more)
    assert friction_factor(high, relative) * high**2 > friction_factor(low, relative) * low**2


def test_range_shows_both_laws_between_them_and_one_law_elsewhere() -> None:
    low, high = friction_factor_range(np.array([1000.0, 3000.0, 1e5]), 1e-3)
    assert low[0] == high[0] == laminar_friction_factor(1000.0)
    assert low[1] == pytest.approx(64 / 3000)
    assert high[1] == pytest.approx(fluids.friction.Clamond(3000.0, 1e-3), rel=1e-9)
    assert low[1] < friction_factor(3000.0, 1e-3) < high[1]
    assert low[2] == high[2] == friction_factor(1e5, 1e-3)


def flows() -> FloatArray:
    return np.concatenate([-np.geomspace(1e-7, 0.02, 60)[::-1], [0.0], np.geomspace(1e-7, 0.02, 60)])


def test_loss_of_a_flow_is_factor_times_velocity_head() -> None:
    flow = flows()
    loss, _ = head_loss_and_slope_darcy(flow, 30.0, 0.05, 1e-4, 1e-6)
    velocity = mean_velocity(np.abs(flow), 0.05)
    moving = flow != 0
    factor = friction_factor(reynolds_number(velocity[moving], 0.05, 1e-6), 1e-4 / 0.05)
    expected = np.sign(flow[moving]) * head_loss_darcy(factor, 30.0, 0.05, velocity[moving])
    np.testing.assert_allclose(loss[moving], expected, rtol=1e-12)
    assert loss[flow == 0] == 0


def test_slope_is_the_derivative_of_the_loss() -> None:
    flow = np.geomspace(1e-6, 0.05, 200)
    reynolds = reynolds_number(mean_velocity(flow, 0.05), 0.05, 1e-6)
    clear = (np.abs(reynolds / 2000 - 1) > 0.01) & (np.abs(reynolds / 4000 - 1) > 0.01)
    step = flow * 1e-5
    above, _ = head_loss_and_slope_darcy(flow + step, 30.0, 0.05, 1e-4, 1e-6)
    below, _ = head_loss_and_slope_darcy(flow - step, 30.0, 0.05, 1e-4, 1e-6)
    _, slope = head_loss_and_slope_darcy(flow, 30.0, 0.05, 1e-4, 1e-6)
    np.testing.assert_allclose(slope[clear], ((above - below) / (2 * step))[clear], rtol=1e-6)


def test_water_at_rest_loses_nothing_and_still_has_a_slope() -> None:
    loss, slope = head_loss_and_slope_darcy(0.0, 30.0, 0.05, 1e-4, 1e-6)
    assert loss == 0
    assert slope == pytest.approx(128 * 1e-6 * 30 / (np.pi * 9.80665 * 0.05**4))


def test_derivation_refuses_a_pipe_rougher_than_the_law_allows() -> None:
    from riser.audit import Assumed, Given
    from riser.errors import OutsideValidity

    reynolds = Given("Re", 1e5, "", Assumed("a test"))
    relative = Given("relative roughness", 0.08, "", Assumed("a test"))
    with pytest.raises(OutsideValidity, match=r"0\.05"):
        friction_factor.derive(reynolds, relative)
