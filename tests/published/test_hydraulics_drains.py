# SPDX-License-Identifier: Apache-2.0
"""Drains and stacks against printed tables and a worked example."""

from __future__ import annotations

import pytest

from riser.hydraulics.gravity_flow import (
    filling_manning,
    flow_area,
    flow_colebrook,
    flow_manning,
    hydraulic_radius,
    mean_velocity_manning,
    wetted_perimeter,
)
from riser.hydraulics.stack_flow import end_thrust, stack_capacity, terminal_length, terminal_velocity
from riser.hydraulics.static_head import pressure_of_head
from riser.units import FOOT_M, GPM_US_M3S, INCH_M


def test_normal_depth_of_the_open_textbook() -> None:
    # edm44.github.io/hydr-watres-book, Ex 5.4 (read): Q 0.01 m3/s, n 0.013 (constant), S 0.001, D 0.2 m.
    # Printed y 0.158 m, V 0.376 m/s, A 0.027 m2, P 0.437 m, R 0.061 m. (With n varying over the depth it
    # prints 0.174.)
    filling = filling_manning(0.01, 0.2, 0.001, 0.013)
    radius = hydraulic_radius(0.2, filling)
    assert filling * 0.2 == pytest.approx(0.158, abs=5e-4)
    assert mean_velocity_manning(radius, 0.001, 0.013) == pytest.approx(0.376, abs=5e-4)
    assert flow_area(0.2, filling) == pytest.approx(0.027, abs=5e-4)
    assert wetted_perimeter(0.2, filling) == pytest.approx(0.437, abs=6e-4)
    assert radius == pytest.approx(0.061, abs=5e-4)


# Full, partly full: fractions of the values of the full pipe. Textbook chart values for constant n, from
# memory (Chow 1959, table for circular sections), recomputed independently to four decimals.
PARTLY_FULL = [
    (0.10, 0.0520, 0.2541, 0.0209), (0.25, 0.1955, 0.5865, 0.1370), (0.50, 0.5000, 1.0000, 0.5000),
    (0.75, 0.8045, 1.2067, 0.9119), (0.80, 0.8576, 1.2168, 0.9775), (0.90, 0.9480, 1.1921, 1.0658),
    (1.00, 1.0000, 1.0000, 1.0000),
]  # fmt: skip


@pytest.mark.parametrize(("filling", "area", "radius", "flow"), PARTLY_FULL)
def test_hydraulic_elements_of_a_round_pipe(filling: float, area: float, radius: float, flow: float) -> None:
    assert flow_area(1.0, filling) / flow_area(1.0, 1.0) == pytest.approx(area, abs=6e-5)
    assert hydraulic_radius(1.0, filling) / 0.25 == pytest.approx(radius, abs=6e-5)
    assert flow_manning(1.0, filling, 0.01, 0.01) / flow_manning(1.0, 1.0, 0.01, 0.01) == pytest.approx(
        flow, abs=6e-5
    )


# Half-full flow by Manning on nominal bores, recomputed by others (slope in inches per foot; ft/s; gpm).
HALF_FULL = [
    (0.010, 2, 0.25, 2.578, 12.62), (0.010, 4, 0.125, 2.894, 56.67), (0.010, 8, 0.0625, 3.248, 254.43),
    (0.012, 3, 0.25, 2.815, 31.01), (0.012, 6, 0.5, 6.319, 278.45), (0.012, 15, 0.0625, 4.115, 1133.4),
]  # fmt: skip


@pytest.mark.parametrize(("n", "bore_in", "slope_in_per_ft", "velocity_fts", "flow_gpm"), HALF_FULL)
def test_half_full_drains_by_manning(
    n: float, bore_in: float, slope_in_per_ft: float, velocity_fts: float, flow_gpm: float
) -> None:
    bore, slope = bore_in * INCH_M, slope_in_per_ft / 12
    velocity = mean_velocity_manning(hydraulic_radius(bore, 0.5), slope, n)
    # The reference uses 1.486 for the exact 1.4859 of the foot form: 1 in 10 000.
    assert velocity / FOOT_M == pytest.approx(velocity_fts, rel=5e-4)
    assert flow_manning(bore, 0.5, slope, n) / GPM_US_M3S == pytest.approx(flow_gpm, rel=5e-4)


# EN 12056-2:2000 Annex B Table B.1 (from memory), filling 0.5: least bore [mm], slope [cm/m], Q [L/s], v
# [m/s].
EN_DRAINS = [
    (96, 0.5, 1.8, 0.5), (96, 1.0, 2.5, 0.7), (96, 1.5, 3.1, 0.8), (96, 2.0, 3.5, 1.0), (96, 2.5, 4.0, 1.1),
    (146, 0.5, 5.4, 0.6), (146, 1.0, 7.7, 0.9), (146, 1.5, 9.4, 1.1), (146, 2.0, 10.9, 1.3),
    (184, 0.5, 10.0, 0.8), (184, 1.0, 14.2, 1.1), (184, 1.5, 17.4, 1.3), (184, 2.0, 20.1, 1.5),
]  # fmt: skip


@pytest.mark.parametrize(("bore_mm", "slope_cm_per_m", "flow_lps", "velocity_ms"), EN_DRAINS)
def test_european_drain_table_by_prandtl_colebrook(
    bore_mm: float, slope_cm_per_m: float, flow_lps: float, velocity_ms: float
) -> None:
    # k 1.0 mm, nu 1.31e-6 m2/s; printed to one decimal, some rounded up: 0.06 covers both.
    bore = bore_mm / 1000
    flow = flow_colebrook(bore, 0.5, slope_cm_per_m / 100, 1e-3, 1.31e-6)
    assert flow * 1000 == pytest.approx(flow_lps, abs=0.06)
    assert flow / flow_area(bore, 0.5) == pytest.approx(velocity_ms, abs=0.06)


def test_pipe_two_thirds_full_of_crane() -> None:
    # Crane TP-410, 7.26 as quoted by the notebooks of fluids (read): 24 inch cast iron 2/3 full, 0.75 in/ft,
    # relative roughness 0.00036 on four times the hydraulic radius. Printed 24 500 gpm with f from a chart:
    # 1 %.
    bore = 24 * INCH_M
    rough = 0.00036 * 4 * hydraulic_radius(bore, 2 / 3)
    flow = flow_colebrook(bore, 2 / 3, 0.75 / 12, rough, 1.13e-6)
    assert flow / GPM_US_M3S == pytest.approx(24_500, rel=0.01)


# NSPC 2006 Table 13.6.1, vertical leaders 7/24 full (read): nominal inches, gpm.
LEADERS = [
    (2, 23), (3, 67), (4, 144), (5, 261), (6, 424), (8, 913), (10, 1655), (12, 2692), (15, 4880),
]  # fmt: skip


@pytest.mark.parametrize(("size_in", "printed_gpm"), LEADERS)
def test_stack_capacity_at_seven_twenty_fourths(size_in: float, printed_gpm: float) -> None:
    flow = stack_capacity(size_in * INCH_M, 7 / 24)
    assert flow / GPM_US_M3S == pytest.approx(printed_gpm, abs=0.51)


def test_terminal_velocity_and_length_of_a_four_inch_stack() -> None:
    # V = 3.0 (q/d)^(2/5), L = 0.052 V2 (from memory) with 143.8 gpm in 4 in: 12.57 ft/s after 8.22 ft.
    velocity = terminal_velocity(143.8 * GPM_US_M3S, 4 * INCH_M)
    assert velocity / FOOT_M == pytest.approx(12.57, abs=0.006)
    assert terminal_length(velocity) / FOOT_M == pytest.approx(8.22, abs=0.006)


def test_thrust_on_a_four_inch_no_hub_plug_under_ten_feet_of_water() -> None:
    # Printed by a pipe association: 65 lbf on 4 inch at 10 ft of head (read); outside diameter 4.38 in
    # (memory).
    pound_force = 4.4482216152605
    thrust = end_thrust(pressure_of_head(10 * FOOT_M, 998.2), 4.38 * INCH_M)
    assert thrust / pound_force == pytest.approx(65, abs=0.6)
