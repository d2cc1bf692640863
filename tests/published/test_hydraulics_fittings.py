# SPDX-License-Identifier: Apache-2.0
"""Fittings and valves against worked problems of Crane TP-410, as quoted by notebooks of fluids (read)."""

from __future__ import annotations

import pytest

from riser.hydraulics.fittings import (
    Fitting,
    equivalent_length,
    kv_from_loss_coefficient,
    loss_coefficient,
    loss_coefficient_from_kv,
    tee_loss_coefficients,
)
from riser.units import GPM_US_M3S


def test_coefficient_and_equivalent_length_from_kv() -> None:
    # Problem 7.2: bore 154 mm, Kv 500 m3/h, f 0.015. Printed K 3.6, L/D 240, L 37.0 m.
    k = loss_coefficient_from_kv(500.0, 0.154)
    assert k == pytest.approx(3.6, abs=0.05)
    length = equivalent_length(k, 0.154, 0.015)
    assert length / 0.154 == pytest.approx(240, abs=0.5)
    assert length == pytest.approx(37.0, abs=0.05)


def test_kv_from_coefficient_of_an_angle_valve() -> None:
    # Problem 7.3: angle valve in 4 inch schedule 80 (bore 97.18 mm), f 0.0165, K = 150 f. Printed K 2.475,
    # Kv 240.2, L/D 150, L 14.6 m.
    k = 150 * 0.0165
    assert kv_from_loss_coefficient(k, 0.09718) == pytest.approx(240.2, abs=0.1)
    assert equivalent_length(k, 0.09718, 0.0165) == pytest.approx(14.6, abs=0.05)


def test_converging_tee() -> None:
    # Problem 7.35: equal 4 inch schedule 40 tee, 300 gpm along the run joined by 100 gpm. Printed K branch
    # -0.0422, K run 0.325.
    run, branch = tee_loss_coefficients(0.1023, 0.1023, 300 * GPM_US_M3S, 100 * GPM_US_M3S, converging=True)
    assert run == pytest.approx(0.325, abs=5e-4)
    assert branch == pytest.approx(-0.0422, abs=5e-5)


@pytest.mark.parametrize(
    ("fitting", "multiple"),
    [
        (Fitting.ELBOW_90, 30),
        (Fitting.ELBOW_45, 16),
        (Fitting.TEE_RUN, 20),
        (Fitting.TEE_BRANCH, 60),
        (Fitting.GATE_VALVE, 8),
        (Fitting.BALL_VALVE, 3),
        (Fitting.GLOBE_VALVE, 340),
        (Fitting.SWING_CHECK_VALVE, 100),
    ],
)
def test_fittings_are_crane_s_multiples_of_the_fully_rough_factor(fitting: Fitting, multiple: float) -> None:
    # Crane TP-410 appendix A (from memory): K as multiples of fT; fT of 2 inch steel printed as 0.019.
    assert loss_coefficient(fitting, 0.0525) == pytest.approx(multiple * 0.019, rel=0.02)
