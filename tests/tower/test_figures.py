# SPDX-License-Identifier: Apache-2.0
"""The page of benchmarks tells what was measured, and whether it keeps to its limits."""

from __future__ import annotations

import pytest

from benchmarks.figures import Figure, exponent, facts, page, ratios
from benchmarks.solver import building, head_system
from riser.hydraulics.solver import solve

KEPT = Figure("one thing", "another", (2.0, 1.0, 9.0), 4.0, "3 pairs.")
MISSED = Figure("a slow thing", "another", (5.0, 4.5, 3.0), 4.0, "")
UNBOUND = Figure("a small thing", "another", (0.0123,), None, "")


def test_a_figure_is_the_median_of_its_pairs_and_is_held_to_its_limit() -> None:
    assert ratios([(2.0, 1.0), (9.0, 3.0)]) == (2.0, 3.0)
    assert (KEPT.value, KEPT.verdict) == (2.0, "kept")
    assert (MISSED.value, MISSED.verdict) == (4.5, "MISSED")
    assert UNBOUND.verdict == ""


def test_the_power_of_growth_is_the_slope_of_the_logarithms() -> None:
    assert exponent((10.0, 20.0, 40.0), (1.0, 4.0, 16.0)) == pytest.approx(2.0)
    assert exponent((10.0, 20.0, 40.0), (3.0, 3.0, 3.0)) == pytest.approx(0.0)


def test_the_page_has_a_row_for_each_figure_and_no_path() -> None:
    text = page(facts(), [KEPT, MISSED, UNBOUND])
    assert "| one thing | another | 2.00 | 1.00 | 9.00 | 4 | kept |" in text
    assert "| a slow thing | another | 4.50 | 3.00 | 5.00 | 4 | MISSED |" in text
    assert "| a small thing | another | 0.012 | 0.012 | 0.012 |  |  |" in text
    assert "- one thing: 3 pairs." in text
    assert "cores, Python 3." in text
    assert not [word for word in text.split() if word.startswith("/")]


def test_the_solver_is_measured_on_a_network_that_it_solves() -> None:
    network = building(1_000)
    answer = solve(network)
    assert len(network.start) == pytest.approx(1_000, rel=0.2)
    assert answer.supplied.all()
    assert head_system(network, answer.flow_m3s).shape[0] == len(network.demand_m3s) - 1
