# SPDX-License-Identifier: Apache-2.0
"""The Hazen-Williams law in its two forms."""

from __future__ import annotations

import numpy as np
import pytest

from riser.hydraulics.hazen_williams import (
    equivalent_length_factor,
    head_loss_hazen_williams,
    pressure_loss_fire,
    resistance_hazen_williams,
)


def test_resistance_times_flow_is_the_loss() -> None:
    flow = np.geomspace(1e-4, 0.1, 9)
    loss = head_loss_hazen_williams(flow, 40.0, 0.1, 120.0)
    np.testing.assert_allclose(resistance_hazen_williams(40.0, 0.1, 120.0) * flow**1.852, loss, rtol=1e-13)


@pytest.mark.parametrize("bore_m", [0.025, 0.05, 0.1, 0.2])
@pytest.mark.parametrize("flow_m3s", [0.001, 0.01, 0.05])
def test_fire_form_stays_within_two_per_cent_of_the_general_form(bore_m: float, flow_m3s: float) -> None:
    general = head_loss_hazen_williams(flow_m3s, 1.0, bore_m, 120.0) * 998.2 * 9.80665
    assert pressure_loss_fire(flow_m3s, bore_m, 120.0) == pytest.approx(general, rel=0.02)


def test_rougher_pipe_loses_more() -> None:
    loss = head_loss_hazen_williams(0.01, 10.0, 0.1, np.array([80.0, 100.0, 120.0, 150.0]))
    assert np.all(np.diff(loss) < 0)


def test_equivalent_lengths_keep_their_loss_at_another_c() -> None:
    # The same fitting as 3 m of pipe at C 120 loses at C 100 as much as the factor times 3 m.
    longer = pressure_loss_fire(0.01, 0.1, 120.0) * 3.0
    factor = equivalent_length_factor(100.0, 120.0)
    assert pressure_loss_fire(0.01, 0.1, 100.0) * 3.0 * factor == pytest.approx(longer, rel=1e-12)
