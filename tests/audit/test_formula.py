# SPDX-License-Identifier: Apache-2.0
"""The formula printed on a sheet is the formula that ran."""

from __future__ import annotations

import importlib
import math
import pkgutil
from typing import Any

import numpy as np
import pytest

from riser.audit import Assumed, Derived, Formula, Given, formula, formulas, replay_differences
from riser.audit import formula as decorate
from riser.errors import OutsideValidity

PURE = ("audit", "network", "hydraulics", "rules", "joints", "layout", "sizing", "pressures", "proving")


@formula("velocity_ms = flow_m3s / area_m2", unit="m/s", basis="continuity", valid={"area_m2": (0.01, 1.0)})
def mean_velocity_ms(flow_m3s: float, area_m2: float) -> float:
    """Mean velocity in a section, m/s."""
    return flow_m3s / area_m2


def figure(name: str, value: float, unit: str) -> Given:
    return Given(name, value, unit, Assumed("a test"))


def every_formula_of_the_package() -> list[Formula[Any, Any]]:
    """All formulas of layers 0 to 3: above them nothing is calculated."""
    for name in PURE:
        package = importlib.import_module(f"riser.{name}")
        for module in pkgutil.walk_packages(package.__path__, f"riser.{name}."):
            importlib.import_module(module.name)
    return [f for name, f in formulas().items() if name.startswith("riser.")]


def drawn(one: Formula[Any, Any], count: int) -> dict[str, np.ndarray]:
    source = np.random.default_rng(20240607)
    return {name: source.uniform(*one.range_of(name), count) for name in one.parameters}


def differs(one: Formula[Any, Any], count: int) -> bool:
    """Whether text and function part by more than 1e-12 anywhere in the range drawn from."""
    from riser.audit.expression import evaluate

    values = drawn(one, count)
    by_text = np.asarray(evaluate(one.text, values), dtype=float)
    rows = zip(*(values[name] for name in one.parameters), strict=True)
    by_function = np.array([float(one(*map(float, row))) for row in rows])
    assert np.isfinite(by_function).all(), f"{one.__name__} gives no number inside the range drawn from"
    return not np.allclose(by_text, by_function, rtol=1e-12, atol=0.0)


def test_every_formula_of_the_package_has_a_text_equal_to_its_function() -> None:
    wrong = [one.__qualname__ for one in every_formula_of_the_package() if differs(one, 200)]
    assert wrong == []


@pytest.mark.soak
def test_every_formula_text_equals_its_function_on_many_inputs() -> None:
    wrong = [one.__qualname__ for one in every_formula_of_the_package() if differs(one, 20_000)]
    assert wrong == []


def test_the_comparison_notices_a_text_that_is_not_the_function() -> None:
    @formula("a = x * 1.000000001", unit="m", basis="a test")
    def nearly(x: float) -> float:
        return x

    assert differs(nearly, 20)
    assert not differs(mean_velocity_ms, 20)


def test_a_formula_stays_a_plain_function_of_numbers_and_arrays() -> None:
    assert mean_velocity_ms(0.1, 0.5) == 0.2
    flows = np.linspace(0.0, 1.0, 5)
    assert np.array_equal(mean_velocity_ms(flows, 0.5), flows / 0.5)  # type: ignore[arg-type]
    assert mean_velocity_ms.__doc__ == "Mean velocity in a section, m/s."


def test_derive_gives_the_same_figure_with_its_inputs() -> None:
    flow, area = figure("flow in riser D1", 0.1, "m3/s"), figure("bore", 0.5, "m2")
    derived = mean_velocity_ms.derive(flow, area, name="velocity in riser D1")
    assert derived == Derived(
        "velocity in riser D1",
        0.2,
        "m/s",
        "velocity_ms = flow_m3s / area_m2",
        (flow, area),
        "continuity",
        "0.01 <= area_m2 <= 1",
        symbols=("flow_m3s", "area_m2"),
    )


@pytest.mark.parametrize("area", [0.0099, 1.01])
def test_derive_refuses_an_input_outside_the_stated_range(area: float) -> None:
    with pytest.raises(OutsideValidity, match=r"0.01 <= area_m2 <= 1 .* bore is"):
        mean_velocity_ms.derive(figure("flow", 0.1, "m3/s"), figure("bore", area, "m2"))


@pytest.mark.parametrize("area", [0.01, 1.0])
def test_the_ends_of_the_stated_range_are_inside_it(area: float) -> None:
    assert mean_velocity_ms.derive(figure("flow", 0.1, "m3/s"), figure("bore", area, "m2")).number > 0


def test_derive_refuses_an_input_in_another_unit_than_the_parameter_says() -> None:
    with pytest.raises(ValueError, match="flow_m3s must be in m3/s, but flow is in L/s"):
        mean_velocity_ms.derive(figure("flow", 0.1, "L/s"), figure("bore", 0.5, "m2"))


def test_derive_refuses_a_wrong_number_of_inputs() -> None:
    with pytest.raises(TypeError, match="takes flow_m3s, area_m2; got 1"):
        mean_velocity_ms.derive(figure("flow", 0.1, "m3/s"))


def test_a_text_that_names_other_quantities_than_the_function_is_refused() -> None:
    with pytest.raises(ValueError, match=r"the text needs \['b'\], the function takes \['a'\]"):
        decorate("x = b", unit="m", basis="a test")(lambda a: a)


def test_a_range_for_a_quantity_that_does_not_exist_is_refused() -> None:
    with pytest.raises(ValueError, match="range given for"):
        decorate("x = a", unit="m", basis="a test", valid={"q": (0, 1)})(lambda a: a)


def test_intermediate_names_may_stand_before_the_result() -> None:
    @formula("r = d_m / 4; q = r ** (2/3) * sqrt(s)", unit="m3/s", basis="a test")
    def q(d_m: float, s: float) -> float:
        return float((d_m / 4) ** (2 / 3) * math.sqrt(s))

    assert q.symbol == "q"
    assert not differs(q, 50)


def test_replay_finds_a_sheet_that_was_altered() -> None:
    honest = mean_velocity_ms.derive(figure("flow", 0.1, "m3/s"), figure("bore", 0.5, "m2"))
    altered = Derived(
        honest.name, 0.21, honest.unit, honest.formula, honest.inputs, honest.basis, symbols=honest.symbols
    )
    assert replay_differences(honest) == []
    assert replay_differences(altered) == ["mean_velocity_ms: the sheet says 0.21, its formula gives 0.2"]
