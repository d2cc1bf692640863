# SPDX-License-Identifier: Apache-2.0
"""Sums, extremes and rounding keep their parts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.audit import (
    Assumed,
    Given,
    largest,
    multiple,
    replay_differences,
    rounded_up,
    smallest,
    total,
)

values = st.lists(st.floats(0.001, 1e6), min_size=1, max_size=12)


def figure(value: float, unit: str = "dfu", name: str = "part") -> Given:
    return Given(name, value, unit, Assumed("a test"))


@settings(max_examples=40)
@given(values)
def test_every_kind_of_node_replays_from_its_own_text(parts: list[float]) -> None:
    inputs = [figure(value) for value in parts]
    built = [total("load", inputs, "sum"), largest("load", inputs, "max"), smallest("load", inputs, "min")]
    built.append(rounded_up("load", figure(parts[0]), figure(0.5), "next half"))
    built.append(multiple("load", figure(parts[0], "-"), figure(2.0), "count"))
    assert [replay_differences(node) for node in built] == [[]] * 5
    assert math.isclose(built[0].number, math.fsum(parts), rel_tol=1e-15)
    assert built[1].number == max(parts)
    assert built[2].number == min(parts)


def test_the_figures_not_chosen_stand_as_passed_over() -> None:
    chosen = largest("size", [figure(3.0, "in", "by load"), figure(4.0, "in", "by closet")], "IPC 710")
    assert chosen.number == 4.0
    assert [(r.what, r.why) for r in chosen.rejected] == [("by load = 3 in", "not the maximum")]


def test_a_sum_of_unlike_units_is_refused() -> None:
    with pytest.raises(ValueError, match="different units: dfu, gpm"):
        total("load", [figure(1.0), figure(1.0, "gpm")], "sum")


def test_an_empty_sum_is_zero_where_the_unit_is_known_and_refused_otherwise() -> None:
    assert total("load", [], "sum", unit="dfu").number == 0.0
    with pytest.raises(ValueError, match="different units: none"):
        total("load", [], "sum")
    with pytest.raises(ValueError, match="no figures to choose from"):
        largest("load", [], "max")


def test_a_figure_on_the_step_is_not_rounded_up_further() -> None:
    assert rounded_up("length", figure(1.5, "m"), figure(0.5, "m"), "stock length").number == 1.5
    assert rounded_up("length", figure(1.51, "m"), figure(0.5, "m"), "stock length").number == 2.0
