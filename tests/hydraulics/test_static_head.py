# SPDX-License-Identifier: Apache-2.0
"""Pressure and head of still water, with levels."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.hydraulics.static_head import (
    head_above_datum,
    head_of_pressure,
    level_of_pressure,
    pressure_at_level,
    pressure_below_head,
    pressure_of_head,
)

levels = st.floats(-20.0, 200.0)
pressures = st.floats(0.0, 3e6)
densities = st.floats(960.0, 1000.0)


@settings(max_examples=40)
@given(head=st.floats(0.0, 300.0), density=densities)
def test_head_and_pressure_turn_into_each_other(head: float, density: float) -> None:
    assert head_of_pressure(pressure_of_head(head, density), density) == pytest.approx(head, abs=1e-9)


@settings(max_examples=40)
@given(pressure=pressures, known=levels, other=levels, density=densities)
def test_pressure_at_a_level_and_level_of_a_pressure_agree(
    pressure: float, known: float, other: float, density: float
) -> None:
    there = pressure_at_level(pressure, known, other, density)
    assert level_of_pressure(there, pressure, known, density) == pytest.approx(other, abs=1e-8)
    assert pressure_at_level(there, other, known, density) == pytest.approx(pressure, abs=1e-6)


def test_pressure_falls_going_up() -> None:
    # 10 m of water at 998.2 kg/m3 is 97.89 kPa.
    assert pressure_at_level(500e3, 0.0, 10.0, 998.2) == pytest.approx(500e3 - 97_890, abs=10)
    assert pressure_at_level(500e3, 0.0, -10.0, 998.2) > 500e3


@settings(max_examples=40)
@given(pressure=pressures, level=levels, density=densities)
def test_head_above_datum_is_the_same_at_every_level_of_still_water(
    pressure: float, level: float, density: float
) -> None:
    head = head_above_datum(pressure, level, density)
    higher = pressure_at_level(pressure, level, level + 7.0, density)
    assert head_above_datum(higher, level + 7.0, density) == pytest.approx(head, abs=1e-8)
    assert pressure_below_head(head, level, density) == pytest.approx(pressure, abs=1e-5)
