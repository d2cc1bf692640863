# SPDX-License-Identifier: Apache-2.0
"""The sparse system of a pass against the same equations written out densely."""

from __future__ import annotations

import numpy as np
import pytest

from riser.hydraulics.head_matrix import HeadMatrix
from riser.hydraulics.pipe_network import NotSolved, PipeNetwork, pipe, pipe_network, reducing_valve
from riser.hydraulics.quantity import BoolArray, FloatArray


def network() -> PipeNetwork:
    ends = [("tank", "a"), ("a", "b"), ("b", "c"), ("a", "c"), ("d", "e"), ("e", "f"), ("f", "d")]
    links = [pipe(f"P{i}", a, b, 1.0, 0.1, roughness_m=0.0) for i, (a, b) in enumerate(ends)]
    valves = [("c", "d"), ("b", "e")]
    links += [reducing_valve(f"R{i}", a, b, 0.1, 5.0 + i, 1.0) for i, (a, b) in enumerate(valves)]
    return pipe_network(links, demand_m3s={}, fixed_head_m={"tank": 9.0})


def densely(
    net: PipeNetwork, p: FloatArray, excess: FloatArray, holding: BoolArray, missing: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Balance of each free node, setting of each holding valve; unknown are heads and valve flows."""
    nodes, valves = len(net.node_names), [7, 8]
    free = np.isnan(net.fixed_head_m)
    matrix, right = np.zeros((nodes + 2, nodes + 2)), np.concatenate([excess, np.zeros(2)])
    for link, (a, b) in enumerate(zip(net.start, net.end, strict=True)):
        matrix[[a, a, b, b], [a, b, a, b]] += p[link] * np.array([1.0, -1.0, -1.0, 1.0])
    for k, link in enumerate(valves):
        if holding[k]:
            matrix[net.start[link], nodes + k] += 1
            matrix[net.end[link], nodes + k] -= 1
            matrix[nodes + k, net.end[link]] = 1
            right[nodes + k] = missing[k]
        else:
            matrix[nodes + k, nodes + k] = 1
    for node in np.flatnonzero(~free):
        matrix[node], right[node] = 0, 0
        matrix[node, node] = 1
    solved = np.linalg.solve(matrix, right)
    return solved[:nodes], solved[nodes:]


@pytest.mark.parametrize("holding", [[False, False], [True, False], [False, True], [True, True]])
def test_corrections_solve_the_equations_of_a_pass(holding: list[bool]) -> None:
    net, rng = network(), np.random.default_rng(5)
    holds = np.array(holding)
    p = rng.uniform(0.1, 50.0, 9)
    p[7:][holds] = 0.0
    excess, missing = rng.normal(size=7), rng.normal(size=2)
    matrix = HeadMatrix(net)
    factors = matrix.factors(p, holds, np.zeros(7, dtype=bool))
    head, through = matrix.corrections(factors, excess, missing)
    expected_head, expected_through = densely(net, p, excess, holds, missing)
    np.testing.assert_allclose(head, expected_head, atol=1e-10)
    np.testing.assert_allclose(through[holds], expected_through[holds], atol=1e-10)
    assert np.all(through[~holds] == 0)


def test_nodes_without_supply_are_left_alone() -> None:
    net = network()
    p = np.where(np.arange(9) < 4, 2.0, 0.0)
    dry = np.array([name in "def" for name in net.node_names])
    matrix = HeadMatrix(net)
    head, _ = matrix.corrections(matrix.factors(p, np.zeros(2, dtype=bool), dry), np.ones(7), np.zeros(2))
    assert np.all(head[dry] == 0)
    assert np.all(head[~dry][1:] > 0)


def test_heads_that_nothing_determines_are_told() -> None:
    # Nothing joins d, e, f to the tank, and they are not declared dry.
    net = network()
    p = np.where(np.arange(9) < 7, 2.0, 0.0)
    with pytest.raises(NotSolved, match="not determined"):
        HeadMatrix(net).factors(p, np.zeros(2, dtype=bool), np.zeros(7, dtype=bool))


def test_factors_serve_only_the_states_and_conductances_they_were_made_for() -> None:
    net = network()
    p, none, dry = np.full(9, 2.0), np.zeros(2, dtype=bool), np.zeros(7, dtype=bool)
    factors = HeadMatrix(net).factors(p, none, dry)
    assert factors.serve(p * 1.005, none, dry)
    assert not factors.serve(p * 1.05, none, dry)
    assert not factors.serve(np.where(np.arange(9) == 3, 0.0, p), none, dry)
    assert not factors.serve(p, ~none, dry)
    assert not factors.serve(p, none, ~dry)
