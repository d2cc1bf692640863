# SPDX-License-Identifier: Apache-2.0
"""Pumps, mains and other devices by their curve."""

from __future__ import annotations

import numpy as np
import pytest

from riser.hydraulics.devices import (
    Curve,
    PointCurve,
    PowerCurve,
    UnusableCurve,
    fitted_pump_curve,
    mains_curve,
    mains_flow_available,
    pump_curve,
    pump_flow_at_speed,
    pump_head,
    pump_head_at_speed,
    pump_power,
)

CURVES: list[Curve] = [
    PowerCurve(-50.0, 2e4, 2.0),
    PowerCurve(0.0, 3e4, 1.85),
    PointCurve((0.0, 0.004, 0.01), (1.0, 2.0, 6.0)),
    pump_curve((0.0, 0.01, 0.02, 0.03), (60.0, 58.0, 48.0, 25.0)),
    pump_curve((0.0, 0.01, 0.02), (50.0, 50.0, 30.0)),
    PointCurve((0.0, 0.01, 0.02), (0.0, 3.0, 3.0)),
]


@pytest.mark.parametrize("curve", CURVES, ids=str)
def test_curves_start_at_rest_and_always_rise(curve: Curve) -> None:
    last = min(curve.last_flow_m3s, 0.05)
    flow = np.concatenate([[0.0], np.geomspace(last * 1e-6, last * 3, 400)])
    loss, slope = curve.loss_and_slope(flow)
    assert loss[0] == 0
    assert np.all(np.diff(loss) > 0)
    assert np.all(slope > 0)


@pytest.mark.parametrize("curve", CURVES, ids=str)
def test_slope_is_the_derivative(curve: Curve) -> None:
    last = min(curve.last_flow_m3s, 0.05)
    flow = last * np.array([0.0003, 0.02, 0.13, 0.31, 0.45, 0.77, 0.93, 1.4, 2.0])
    step = last * 1e-7
    above, below = (curve.loss_and_slope(flow + s)[0] for s in (step, -step))
    np.testing.assert_allclose(curve.loss_and_slope(flow)[1], (above - below) / (2 * step), rtol=1e-4)


def test_a_makers_points_are_met() -> None:
    curve = pump_curve((0.0, 0.01, 0.02, 0.03), (60.0, 58.0, 48.0, 25.0))
    assert [pump_head(curve, q) for q in (0.0, 0.01, 0.02, 0.03)] == pytest.approx([60, 58, 48, 25])
    assert curve.at_rest_m == -60.0


def test_level_stretches_move_the_head_by_no_more_than_a_millimetre() -> None:
    curve = pump_curve((0.0, 0.01, 0.02), (50.0, 50.0, 30.0))
    assert [pump_head(curve, q) for q in (0.0, 0.01, 0.02)] == pytest.approx([50, 50, 30], abs=1.01e-3)


def test_a_fitted_curve_through_three_points_of_a_parabola_is_that_parabola() -> None:
    curve = fitted_pump_curve((0.0, 0.01, 0.02), (50.0, 45.0, 30.0))
    assert (-curve.at_rest_m, curve.coefficient, curve.last_flow_m3s) == pytest.approx((50.0, 5e4, 0.02))


@pytest.mark.parametrize(
    ("flow", "loss", "says"),
    [
        ((0.0,), (1.0,), "two points"),
        ((0.0, 0.01), (1.0,), "two points"),
        ((0.001, 0.01), (1.0, 2.0), "start at 0"),
        ((0.0, 0.01, 0.01), (1.0, 2.0, 3.0), "start at 0 and rise"),
        ((0.0, 0.01, 0.02), (3.0, 2.0, 4.0), r"between 0 and 0\.01 m3/s"),
        ((0.0, 0.01), (1.0, float("nan")), "not a number"),
    ],
)
def test_points_that_make_no_curve_are_refused_with_a_sentence(
    flow: tuple[float, ...], loss: tuple[float, ...], says: str
) -> None:
    with pytest.raises(UnusableCurve, match=says):
        PointCurve(flow, loss)


@pytest.mark.parametrize(
    "numbers", [(0.0, 0.0, 2.0), (0.0, -1.0, 2.0), (0.0, 1.0, 0.5), (float("inf"), 1.0, 2.0)]
)
def test_a_law_that_does_not_rise_is_refused(numbers: tuple[float, float, float]) -> None:
    with pytest.raises(UnusableCurve):
        PowerCurve(*numbers)


def test_a_flow_test_without_a_drop_is_refused() -> None:
    with pytest.raises(UnusableCurve, match="residual"):
        mains_curve(40.0, 40.0, 0.02)


def test_mains_curve_and_the_formula_for_available_flow_agree() -> None:
    curve = mains_curve(50.0, 40.0, 0.02)
    loss, _ = curve.loss_and_slope(np.array([0.035]))
    flow = mains_flow_available(0.02, 50.0, 40.0, 50.0 - loss[0])
    # 0.54 stands for 1/1.85 = 0.5405 in the printed formula.
    assert flow == pytest.approx(0.035, rel=1e-3)


def test_affinity_keeps_the_pump_curve() -> None:
    # On h = 50 - 5e4 q2 at full speed, half speed gives h = 12.5 - 5e4 q2.
    flow, head = pump_flow_at_speed(0.02, 1.0, 0.5), pump_head_at_speed(30.0, 1.0, 0.5)
    assert head == pytest.approx(12.5 - 5e4 * flow**2)
    assert pump_power(flow, head, 1.0, 1000.0, 9.81) == pytest.approx(
        pump_power(0.02, 30.0, 1.0, 1000.0, 9.81) / 8
    )
