# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.proving.section_heads import (
    gauge_pressure_pa,
    heads_m,
    highest_line_m,
    line_of_gauge_m,
    pressures_pa,
)

# Density of water at 20 C (IAPWS-95 tables) and standard gravity (CGPM 1901).
RHO, G = 998.207, 9.80665
levels = st.floats(-20, 120)


def test_ten_feet_of_water_press_with_29_8_kpa() -> None:
    assert pressures_pa(np.array([0.0]), 3.048, RHO)[0] == pytest.approx(3.048 * RHO * G)
    assert heads_m(np.array([0.0]), 3.048)[0] == 3.048


def test_above_the_water_there_is_no_pressure() -> None:
    assert pressures_pa(np.array([5.0, 3.0]), 3.0, RHO).tolist() == [0.0, 0.0]


def test_a_component_without_a_rating_sets_no_limit_and_one_bar_bears_ten_metres() -> None:
    lines = highest_line_m(np.array([1.0, 1.0]), np.array([np.nan, 1e5]), RHO)
    assert np.isinf(lines[0])
    assert lines[1] == pytest.approx(1 + 1e5 / (RHO * G))


@settings(max_examples=60)
@given(st.floats(1e3, 2e6), levels, levels)
def test_gauge_and_line_tell_the_same_story(gauge_pa: float, gauge_m: float, at_m: float) -> None:
    line = line_of_gauge_m(gauge_pa, gauge_m, RHO)
    assert gauge_pressure_pa(line, gauge_m, RHO) == pytest.approx(gauge_pa)
    there = gauge_pa + RHO * G * (gauge_m - at_m)
    assert pressures_pa(np.array([at_m]), line, RHO)[0] == pytest.approx(max(there, 0.0), abs=1e-4)
