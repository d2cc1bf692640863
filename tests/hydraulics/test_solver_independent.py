# SPDX-License-Identifier: Apache-2.0
"""The network solver against a general root-finder on the full equations.

The root-finder knows nothing of the solver's passes, matrices or derivatives: it is given every unknown flow
and head, friction factors from the library `fluids`, and starts 30 % away. Only the conventions are shared:
straight line between Re 2000 and 4000, straight line below 1 mm/s. States of valves and pumps are taken from
the solver and proven right separately, by the conditions written out here.
"""

from __future__ import annotations

from typing import Any

import fluids
import numpy as np
import pytest
from scipy.optimize import root

from riser.hydraulics.devices import PowerCurve
from riser.hydraulics.link_status import LinkState
from riser.hydraulics.pipe_network import (
    Link,
    LinkKind,
    PipeNetwork,
    check_valve,
    device,
    pipe,
    pipe_network,
    pump,
    reducing_valve,
    valve,
)
from riser.hydraulics.quantity import FloatArray, IntArray
from riser.hydraulics.solution import Solution
from riser.hydraulics.solver import NetworkSolver

NU, G = 1.1e-6, 9.80665


def tower(seed: int) -> PipeNetwork:
    """Two risers of 6 to 12 storeys joined at every few floors, with pumps, check and reducing valves."""
    rng = np.random.default_rng(seed)
    floors = int(rng.integers(6, 13))
    links: list[Link] = [
        pump(
            "PU1",
            "tank",
            "base1",
            PowerCurve(-rng.uniform(40, 70), rng.uniform(2e4, 2e5), rng.uniform(1.5, 2.3)),
        ),
        pump("PU2", "tank", "base2", PowerCurve(-rng.uniform(40, 70), rng.uniform(2e4, 2e5), 2.0)),
        check_valve("NR1", "base1", "A0", 0.05, rng.uniform(1, 4)),
        check_valve("NR2", "base2", "B0", 0.05, rng.uniform(1, 4)),
        device("ME", "street", "meter", PowerCurve(0.0, rng.uniform(1e5, 1e6), 1.85)),
        check_valve("NR3", "meter", "A0", 0.05, 2.0),
    ]
    for riser in "AB":
        for floor in range(1, floors):
            by_c = rng.random() < 0.2
            links.append(
                pipe(
                    f"{riser}{floor}", f"{riser}{floor - 1}", f"{riser}{floor}", rng.uniform(2.8, 4), 0.04,
                    roughness_m=np.nan if by_c else rng.uniform(0, 2e-4),
                    hazen_williams_c=130.0 if by_c else np.nan, loss_coefficient=rng.uniform(0, 3),
                )
            )  # fmt: skip
    demand: dict[str, float] = {}
    for floor in range(1, floors):
        if rng.random() < 0.4:
            links.append(
                pipe(f"X{floor}", f"A{floor}", f"B{floor}", rng.uniform(5, 30), 0.032, roughness_m=1e-5)
            )
        for riser in "AB":
            outlet, at = f"{riser}{floor}o", f"{riser}{floor}"
            demand[outlet] = float(rng.choice([0.0, 1e-6, 2e-5, 1e-4, 3e-4]))
            level = 3.3 * floor
            if rng.random() < 0.5:
                setting = level + rng.uniform(15, 45)
                links.append(reducing_valve(f"RV{at}", at, f"{at}z", 0.025, setting, rng.uniform(2, 10)))
                links.append(pipe(f"Z{at}", f"{at}z", outlet, rng.uniform(1, 10), 0.02, roughness_m=1.5e-6))
            else:
                links.append(valve(f"V{at}", at, outlet, 0.02, rng.uniform(0.5, 20)))
        if rng.random() < 0.3:
            links.append(
                pipe(f"Y{floor}", f"A{floor}o", f"B{floor}o", rng.uniform(5, 20), 0.02, roughness_m=1e-5)
            )
    heads = {"tank": rng.uniform(0, 5), "street": rng.uniform(10, 45)}
    return pipe_network(
        links, demand_m3s=demand, fixed_head_m=heads, kinematic_viscosity_m2s=NU, gravity_ms2=G
    )


def friction_number(reynolds: float, relative: float) -> float:
    """f Re^2 with factors from fluids and the straight bridge."""
    if reynolds < 2000:
        return 64 * reynolds
    if reynolds < 4000:
        top = fluids.friction.Colebrook(4000.0, float(relative)) * 4000**2
        return 128000 + (top - 128000) * (reynolds - 2000) / 2000
    return float(fluids.friction.Colebrook(float(reynolds), float(relative))) * reynolds**2


def head_lost(network: PipeNetwork, place: int, flow: float) -> float:
    """Loss of one open link, from its definition."""
    size, sign = abs(flow), np.sign(flow)
    kind = LinkKind(int(network.kind[place]))
    if kind in (LinkKind.PUMP, LinkKind.DEVICE):
        curve = network.curves[network.curve[place]]
        assert isinstance(curve, PowerCurve)
        small = 1e-3 * ((abs(curve.at_rest_m) or 1.0) / curve.coefficient) ** (1 / curve.exponent)
        law = curve.coefficient * size * max(size, small) ** (curve.exponent - 1)
        return float(curve.at_rest_m + sign * law)
    bore = network.diameter_m[place]
    area = np.pi * bore**2 / 4
    slow = 1e-3 * area
    loss = network.loss_coefficient[place] * size * max(size, slow) / (2 * G * area**2)
    if kind is LinkKind.PIPE and np.isnan(network.roughness_m[place]):
        c = network.hazen_williams_c[place]
        resistance = 10.67 * network.length_m[place] / (c**1.852 * bore**4.8704)
        loss += resistance * size * max(size, slow) ** 0.852
    elif kind is LinkKind.PIPE:
        reynolds = size * 4 / (np.pi * bore * NU)
        number = friction_number(reynolds, network.roughness_m[place] / bore)
        loss += number * NU**2 * network.length_m[place] / (2 * G * bore**3)
    return float(sign * loss)


def balances(network: PipeNetwork, states: IntArray, flow: FloatArray, head: FloatArray) -> FloatArray:
    """All equations in m and L/s: one per link, one per free node."""
    energy = np.empty(len(flow))
    for place in range(len(flow)):
        start, end = head[network.start[place]], head[network.end[place]]
        if states[place] == LinkState.CLOSED:
            energy[place] = flow[place] * 1000
        elif states[place] == LinkState.HOLDING:
            energy[place] = end - network.set_head_m[place]
        else:
            energy[place] = head_lost(network, place, flow[place]) - (start - end)
    nodes = len(head)
    kept = (
        np.bincount(network.end, flow, nodes) - np.bincount(network.start, flow, nodes) - network.demand_m3s
    )
    return np.concatenate([energy, 1000 * kept[np.isnan(network.fixed_head_m)]])


def independent_flows(network: PipeNetwork, solution: Solution, seed: int) -> FloatArray:
    """Flows by scipy's hybrid root-finder, started 30 % off."""
    rng = np.random.default_rng(seed)
    free = np.isnan(network.fixed_head_m)
    links = len(network.kind)
    fixed = np.nan_to_num(network.fixed_head_m)

    def equations(unknown: FloatArray) -> FloatArray:
        head = fixed.copy()
        head[free] = unknown[links:]
        return balances(network, solution.states, unknown[:links] / 1000, head)

    exact = np.concatenate([solution.flow_m3s * 1000, solution.head_m[free]])
    start = exact * rng.uniform(0.7, 1.3, len(exact))
    options: Any = {"xtol": 1e-13, "maxfev": 20000}
    found = root(equations, start, method="hybr", options=options)
    assert np.max(np.abs(found.fun)) < 1e-7, "the root-finder itself did not arrive"
    return np.asarray(found.x[:links] / 1000)


def assert_states_are_right(solution: Solution) -> None:
    """The conditions for every one-way link and reducing valve, in words of the trade."""
    network, flow, head = solution.network, solution.flow_m3s, solution.head_m
    for place, kind in enumerate(network.kind):
        state, q = solution.states[place], flow[place]
        before, after = head[network.start[place]], head[network.end[place]]
        at_rest = network.curves[network.curve[place]].at_rest_m if network.curve[place] >= 0 else 0.0
        name = network.link_names[place]
        if kind in (LinkKind.CHECK_VALVE, LinkKind.PUMP):
            assert q >= -1e-8, f"{name} flows back"
            if state == LinkState.CLOSED:
                assert q == 0, name
                assert not before - after - at_rest > 1e-5, f"{name} is closed against a head that opens it"
        if kind == LinkKind.REDUCING_VALVE:
            setting = network.set_head_m[place]
            assert q >= -1e-8, f"{name} flows back"
            if state == LinkState.HOLDING:
                assert abs(after - setting) < 1e-6, f"{name} does not hold its setting"
                assert before - head_lost(network, place, q) >= setting - 1e-5, f"{name} holds without supply"
            elif state == LinkState.OPEN:
                assert after <= setting + 1e-5, f"{name} is open above its setting"
            else:
                assert q == 0, name
                assert not (after < setting - 1e-5 and before > after + 1e-5), f"{name} should open"


def assert_flows_are_independent_ones(seed: int) -> None:
    network = tower(seed)
    solution = NetworkSolver(network).solve()
    assert solution.supplied.all()
    assert_states_are_right(solution)
    other = independent_flows(network, solution, seed)
    np.testing.assert_allclose(solution.flow_m3s, other, rtol=0, atol=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_flows_equal_those_of_a_general_root_finder(seed: int) -> None:
    assert_flows_are_independent_ones(seed)


@pytest.mark.soak
def test_flows_equal_those_of_a_general_root_finder_on_two_hundred_networks() -> None:
    for seed in range(20, 220):
        assert_flows_are_independent_ones(seed)


def test_the_comparison_notices_a_wrong_flow() -> None:
    network = tower(3)
    solution = NetworkSolver(network).solve()
    right = balances(network, solution.states, solution.flow_m3s, np.nan_to_num(solution.head_m))
    assert np.max(np.abs(right)) < 1e-6
    wrong = solution.flow_m3s + 1e-6
    assert np.max(np.abs(balances(network, solution.states, wrong, solution.head_m))) > 1e-4
