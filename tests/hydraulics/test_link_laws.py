# SPDX-License-Identifier: Apache-2.0
"""Laws of all links at once are the laws of the single modules."""

from __future__ import annotations

import numpy as np
import pytest

from riser.hydraulics.devices import PointCurve, PowerCurve
from riser.hydraulics.fittings import head_loss_of_fitting
from riser.hydraulics.friction import head_loss_and_slope_darcy, mean_velocity
from riser.hydraulics.hazen_williams import head_loss_hazen_williams
from riser.hydraulics.link_laws import LinkLaws
from riser.hydraulics.pipe_network import device, pipe, pipe_network, pump, valve

LINKS = [
    pipe("darcy", "a", "b", 30.0, 0.05, roughness_m=1e-4, loss_coefficient=2.0),
    pipe("hazen", "a", "b", 30.0, 0.05, hazen_williams_c=120.0, loss_coefficient=2.0),
    valve("valve", "a", "b", 0.05, 7.0),
    pump("pump", "a", "b", PowerCurve(-40.0, 2e4)),
    device("meter", "a", "b", PointCurve((0.0, 0.005, 0.01), (0.0, 2.0, 7.0))),
]
NETWORK = pipe_network(LINKS, demand_m3s={}, fixed_head_m={"a": 1.0}, kinematic_viscosity_m2s=1e-6)


@pytest.mark.parametrize("flow", [0.0005, 0.002, 0.008])
def test_losses_are_those_of_the_single_laws(flow: float) -> None:
    loss, _ = LinkLaws(NETWORK).loss_and_slope(np.full(5, flow))
    fitting = head_loss_of_fitting(2.0, mean_velocity(flow, 0.05))
    assert loss[0] == pytest.approx(head_loss_and_slope_darcy(flow, 30.0, 0.05, 1e-4, 1e-6)[0] + fitting)
    assert loss[1] == pytest.approx(head_loss_hazen_williams(flow, 30.0, 0.05, 120.0) + fitting)
    assert loss[2] == pytest.approx(head_loss_of_fitting(7.0, mean_velocity(flow, 0.05)))
    assert loss[3] == pytest.approx(2e4 * flow**2 - 40.0)


def test_reversed_flow_loses_the_same_the_other_way() -> None:
    laws = LinkLaws(NETWORK)
    flow = np.array([0.002, 0.003, 0.001, 0.01, 0.004])
    (there, slope), (back, slope_back) = laws.loss_and_slope(flow), laws.loss_and_slope(-flow)
    np.testing.assert_allclose(there - laws.at_rest_m, -(back - laws.at_rest_m))
    np.testing.assert_allclose(slope, slope_back)


@pytest.mark.parametrize("size", [1e-9, 1e-7, 1.3e-6, 1.1e-5, 1e-4, 2e-3, 2e-2])
def test_slopes_are_derivatives_and_never_zero(size: float) -> None:
    laws = LinkLaws(NETWORK)
    flow, step = np.full(5, size), size * 1e-6
    _, slope = laws.loss_and_slope(flow)
    above, below = laws.loss_and_slope(flow + step)[0], laws.loss_and_slope(flow - step)[0]
    # At rest a pump's head is 40 m plus 1e-13 m: only the part above rest carries the digits.
    np.testing.assert_allclose(slope[[0, 1, 2, 4]], ((above - below) / (2 * step))[[0, 1, 2, 4]], rtol=1e-5)
    assert np.all(slope > 0)


def test_below_one_millimetre_a_second_fittings_are_a_straight_line() -> None:
    laws = LinkLaws(NETWORK)
    slow = 1e-3 * np.pi * 0.05**2 / 4
    at = [laws.loss_and_slope(np.full(5, slow * share))[0][2] for share in (0.25, 0.5, 1.0)]
    assert at[1] == pytest.approx(2 * at[0])
    assert at[2] == pytest.approx(4 * at[0])
    assert at[2] == pytest.approx(head_loss_of_fitting(7.0, 1e-3))
