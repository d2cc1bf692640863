# SPDX-License-Identifier: Apache-2.0
"""Loss coefficients, flow coefficients, equivalent lengths."""

from __future__ import annotations

import fluids
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.hydraulics.fittings import (
    Fitting,
    bend_loss_coefficient,
    equivalent_length,
    head_loss_of_fitting,
    kv_from_cv,
    kv_from_loss_coefficient,
    loss_coefficient,
    loss_coefficient_from_kv,
    loss_coefficient_from_length,
    pressure_loss_by_kv,
    reducer_loss_coefficient,
    tee_loss_coefficients,
)

bores = st.floats(0.01, 0.3)


@pytest.mark.parametrize("fitting", list(Fitting))
def test_every_fitting_has_a_positive_coefficient(fitting: Fitting) -> None:
    for bore in (0.015, 0.05, 0.15):
        assert 0 < loss_coefficient(fitting, bore) < 15


@pytest.mark.parametrize(("fitting", "angle"), [(Fitting.ELBOW_45, 45.0), (Fitting.ELBOW_90, 90.0)])
def test_elbows_are_the_librarys_standard_elbows(fitting: Fitting, angle: float) -> None:
    expected = fluids.fittings.bend_rounded(0.0525, angle, method="Crane standard")
    assert loss_coefficient(fitting, 0.0525) == pytest.approx(expected, rel=1e-12)


@settings(max_examples=30)
@given(kv=st.floats(0.5, 500.0), bore=bores)
def test_kv_and_coefficient_turn_into_each_other(kv: float, bore: float) -> None:
    assert kv_from_loss_coefficient(loss_coefficient_from_kv(kv, bore), bore) == pytest.approx(kv, rel=1e-9)


@settings(max_examples=30)
@given(kv=st.floats(1.0, 100.0), bore=bores, flow=st.floats(1e-4, 0.02))
def test_loss_by_kv_and_by_coefficient_agree(kv: float, bore: float, flow: float) -> None:
    velocity = flow / (3.141592653589793 * bore**2 / 4)
    by_k = head_loss_of_fitting(loss_coefficient_from_kv(kv, bore), velocity) * 1000.0 * 9.80665
    # The library rounds the constant 1.6e9: exact is pi^2/8 x 3600^2 x 100 = 1.599e9.
    assert by_k == pytest.approx(pressure_loss_by_kv(flow, kv, 1000.0), rel=1e-3)


def test_cv_counts_gallons_and_psi() -> None:
    assert kv_from_cv(1.0) == pytest.approx(0.865, abs=1e-4)
    assert kv_from_cv(1.0) == pytest.approx(fluids.fittings.Cv_to_Kv(1.0), rel=1e-3)


@settings(max_examples=30)
@given(k=st.floats(0.05, 50.0), bore=bores, factor=st.floats(0.01, 0.06))
def test_equivalent_length_keeps_the_coefficient(k: float, bore: float, factor: float) -> None:
    assert loss_coefficient_from_length(equivalent_length(k, bore, factor), bore, factor) == pytest.approx(k)


def test_long_bends_and_gentle_reducers_lose_less() -> None:
    tight = bend_loss_coefficient(0.05, 90.0, 0.05, 1e5, 1e-5)
    wide = bend_loss_coefficient(0.05, 90.0, 0.15, 1e5, 1e-5)
    assert 0 < wide < tight
    assert (
        0 < reducer_loss_coefficient(0.1, 0.05, 0.2, 0.02) < reducer_loss_coefficient(0.1, 0.05, 0.02, 0.02)
    )
    assert reducer_loss_coefficient(0.05, 0.1, 0.05, 0.02) > reducer_loss_coefficient(0.1, 0.05, 0.05, 0.02)


def test_dividing_tee_loses_more_through_the_branch_than_along_the_run() -> None:
    run, branch = tee_loss_coefficients(0.1, 0.1, 0.01, 0.01, converging=False)
    assert branch > run
