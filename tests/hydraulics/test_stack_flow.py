# SPDX-License-Identifier: Apache-2.0
"""Stacks: capacity, fall, thrust."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.hydraulics.stack_flow import (
    bend_thrust,
    end_thrust,
    force_of_falling_water,
    stack_capacity,
    terminal_length,
    terminal_velocity,
    water_share,
)


@settings(max_examples=40)
@given(bore=st.floats(0.04, 0.4), share=st.floats(0.05, 0.5))
def test_share_of_a_capacity_is_that_share(bore: float, share: float) -> None:
    assert water_share(stack_capacity(bore, share), bore) == pytest.approx(share, rel=1e-9)


def test_more_flow_falls_faster_and_a_wider_stack_slower() -> None:
    assert terminal_velocity(0.01, 0.1) > terminal_velocity(0.005, 0.1) > terminal_velocity(0.005, 0.15)
    assert terminal_length(4.0) == pytest.approx(4 * terminal_length(2.0))


def test_thrust_on_a_right_angle_is_root_two_of_the_end_thrust() -> None:
    end = end_thrust(1e5, 0.11)
    assert end == pytest.approx(1e5 * math.pi * 0.11**2 / 4)
    assert bend_thrust(end, math.pi / 2) == pytest.approx(end * math.sqrt(2))
    assert bend_thrust(end, math.pi) == pytest.approx(2 * end)


def test_falling_water_pushes_with_its_momentum() -> None:
    assert force_of_falling_water(1000.0, 0.01, 4.0) == pytest.approx(40.0)
