# SPDX-License-Identifier: Apache-2.0
"""What a solved network must show: balances, states, supply, whatever the order of links and the start."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from riser.hydraulics.devices import PointCurve, PowerCurve, mains_curve, pump_curve, pump_head
from riser.hydraulics.fittings import loss_coefficient_from_kv
from riser.hydraulics.link_laws import LinkLaws
from riser.hydraulics.link_status import LinkState
from riser.hydraulics.pipe_network import (
    InvalidNetwork,
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
from riser.hydraulics.quantity import FloatArray
from riser.hydraulics.solution import Solution
from riser.hydraulics.solver import NetworkSolver, solve

PER_LINK = (
    "kind", "length_m", "diameter_m", "roughness_m", "hazen_williams_c",
    "loss_coefficient", "set_head_m", "curve", "closed",
)  # fmt: skip


def excess(solution: Solution) -> FloatArray:
    """Flow into each node less flow out and demand [m3/s]."""
    network, flow = solution.network, solution.flow_m3s
    nodes = len(network.node_names)
    kept = np.bincount(network.end, flow, nodes) - np.bincount(network.start, flow, nodes)
    return np.asarray(kept - solution.demand_m3s)


def misfit(solution: Solution) -> FloatArray:
    """Loss of each open link less the heads' difference [m]."""
    network = solution.network
    loss, _ = LinkLaws(network).loss_and_slope(solution.flow_m3s)
    off = loss - (solution.head_m[network.start] - solution.head_m[network.end])
    carries = (solution.states == LinkState.OPEN) & solution.supplied[network.start]
    return np.where(carries, off, 0.0)


def assert_balanced(solution: Solution) -> None:
    free = np.isnan(solution.network.fixed_head_m) & solution.supplied
    # A head of hundreds of metres has fewer digits after the point, and a short wide pipe turns them into
    # flow.
    digits = max(1.0, float(np.max(np.abs(solution.head_m[solution.supplied]))) / 100)
    assert np.max(np.abs(excess(solution)[free]), initial=0.0) < 1e-9 * digits
    assert np.max(np.abs(misfit(solution)), initial=0.0) < 1e-6
    assert np.isfinite(solution.flow_m3s).all()
    assert np.array_equal(np.isnan(solution.head_m), ~solution.supplied)


def scattered(seed: int) -> PipeNetwork:
    """A random graph of all kinds of links, some shut, some backwards, with one or two sources."""
    rng = np.random.default_rng(seed)
    nodes = int(rng.integers(5, 40))

    def link(number: int, start: str, end: str) -> Link:
        name, draw = f"L{number}", rng.random()
        if draw < 0.55:
            bore = float(rng.choice([0.01, 0.02, 0.05, 0.1, 0.3]))
            shut = bool(rng.random() < 0.05)
            return pipe(name, start, end, 10 ** rng.uniform(-1, 2), bore, roughness_m=1e-5, closed=shut)
        if draw < 0.65:
            return pipe(name, start, end, 10 ** rng.uniform(-1, 2), 0.05, hazen_williams_c=120.0)
        if draw < 0.72:
            return valve(name, start, end, 0.05, rng.uniform(0.1, 100), closed=bool(rng.random() < 0.2))
        if draw < 0.82:
            return check_valve(name, start, end, 0.04, 2.0)
        if draw < 0.94:
            return reducing_valve(name, start, end, 0.03, rng.uniform(5, 60), 5.0)
        return pump(name, start, end, PowerCurve(-rng.uniform(5, 30), rng.uniform(1e4, 1e6)))

    pairs = [(int(rng.integers(0, i)), i) for i in range(1, nodes)]
    pairs = [(a, b) if rng.random() < 0.8 else (b, a) for a, b in pairs]
    for _ in range(int(rng.integers(0, nodes))):
        one, two = rng.choice(nodes, 2, replace=False)
        pairs.append((int(one), int(two)))
    fixed = {"n0": rng.uniform(20, 80)} | ({"n1": rng.uniform(20, 80)} if rng.random() < 0.5 else {})
    links = [link(i, f"n{a}", f"n{b}") for i, (a, b) in enumerate(pairs)]
    links = [item for item in links if item.kind != LinkKind.REDUCING_VALVE or item.end not in fixed]
    demand = {f"n{i}": float(rng.choice([0, 1e-6, 1e-4, 1e-3])) for i in range(2, nodes)}
    return pipe_network(links, demand_m3s=demand, fixed_head_m=fixed)


def assert_states_fit(solution: Solution) -> None:
    """Written from what valves do, not from the solver's rules."""
    network, flow, head = solution.network, solution.flow_m3s, solution.head_m
    laws = LinkLaws(network)
    loss, _ = laws.loss_and_slope(flow)
    for place, kind in enumerate(network.kind):
        start, end = network.start[place], network.end[place]
        state, name = solution.states[place], network.link_names[place]
        if network.closed[place] or not (solution.supplied[start] and solution.supplied[end]):
            assert flow[place] == 0, name
        elif kind in (LinkKind.CHECK_VALVE, LinkKind.PUMP):
            assert flow[place] > -1e-8, name
            if state == LinkState.CLOSED:
                assert head[start] - head[end] - laws.at_rest_m[place] < 1e-5, name
        elif kind == LinkKind.REDUCING_VALVE:
            setting = network.set_head_m[place]
            assert flow[place] > -1e-8, name
            if state == LinkState.HOLDING:
                assert abs(head[end] - setting) < 1e-6, name
                assert head[start] - loss[place] > setting - 1e-5, name
            elif state == LinkState.OPEN:
                assert head[end] < setting + 1e-5, name
            else:
                assert not (head[end] < setting - 1e-5 and head[start] > head[end] + 1e-5), name


# 224 and 891 need a way back from states that lead nowhere.
@pytest.mark.parametrize("seed", [*range(60), 224, 891])
def test_any_network_balances_and_its_states_fit(seed: int) -> None:
    solution = solve(scattered(seed))
    assert_balanced(solution)
    assert_states_fit(solution)


@pytest.mark.soak
def test_two_thousand_networks_balance_and_their_states_fit() -> None:
    for seed in range(1000, 3000):
        solution = solve(scattered(seed))
        assert_balanced(solution)
        assert_states_fit(solution)


@pytest.mark.parametrize("seed", range(8))
def test_order_and_direction_of_links_do_not_matter(seed: int) -> None:
    network = scattered(seed)
    rng = np.random.default_rng(seed)
    order = rng.permutation(len(network.kind))
    turned = (network.kind[order] == LinkKind.PIPE) & (rng.random(len(order)) < 0.5)
    start, end = network.start[order], network.end[order]
    moved: dict[str, Any] = {name: getattr(network, name)[order] for name in PER_LINK}
    other = replace(
        network,
        start=np.where(turned, end, start),
        end=np.where(turned, start, end),
        link_names=[network.link_names[i] for i in order],
        **moved,
    )
    here, there = solve(network), solve(other)
    np.testing.assert_allclose(there.head_m, here.head_m, atol=1e-5)
    np.testing.assert_allclose(there.flow_m3s, here.flow_m3s[order] * np.where(turned, -1, 1), atol=1e-7)


def building(floors: int, *, c: float = float("nan"), head_m: float = 80.0) -> PipeNetwork:
    """Two risers, a ring on each floor, two branches from each ring node."""
    links: list[Link] = [
        pipe("A0", "tank", "a0", 5.0, 0.1, roughness_m=1e-4),
        valve("V0", "tank", "b0", 0.1, 0.5),
    ]
    rough = 1e-4 if np.isnan(c) else float("nan")
    demand: dict[str, float] = {}
    for floor in range(floors):
        if floor:
            links += [
                pipe(
                    f"{riser}{floor}", f"{riser}{floor - 1}", f"{riser}{floor}", 3.0, 0.08,
                    roughness_m=rough, hazen_williams_c=c,
                )
                for riser in "ab"
            ]  # fmt: skip
        ring = [
            f"a{floor}",
            *(f"r{floor}.{i}" for i in range(4)),
            f"b{floor}",
            *(f"s{floor}.{i}" for i in range(4)),
        ]
        for i, (one, two) in enumerate(zip(ring, ring[1:] + ring[:1], strict=True)):
            links.append(
                pipe(f"R{floor}.{i}", one, two, 2.0 + i / 7, 0.03, roughness_m=rough, hazen_williams_c=c)
            )
            outlet = f"o{floor}.{i}"
            links.append(
                pipe(f"O{floor}.{i}", one, outlet, 1.5, 0.015, roughness_m=rough, hazen_williams_c=c)
            )
            demand[outlet] = 1e-5 * ((floor + 3 * i) % 5)
    return pipe_network(links, demand_m3s=demand, fixed_head_m={"tank": head_m})


def test_power_of_the_source_is_spent_in_the_links_and_at_the_outlets() -> None:
    solution = solve(building(8))
    network, flow, head = solution.network, solution.flow_m3s, solution.head_m
    spent = np.sum(flow * (head[network.start] - head[network.end]))
    source = int(np.flatnonzero(~np.isnan(network.fixed_head_m))[0])
    delivered = np.sum(network.demand_m3s * head)
    assert spent + delivered == pytest.approx(np.sum(network.demand_m3s) * head[source], rel=1e-12)


@pytest.mark.parametrize("c", [float("nan"), 130.0])
def test_a_network_without_demand_stands_still(c: float) -> None:
    solver = NetworkSolver(building(6, c=c))
    still = solver.solve(demand_m3s=np.zeros(len(solver.network.node_names)))
    assert np.max(np.abs(still.flow_m3s)) < 1e-9
    np.testing.assert_allclose(still.head_m, 80.0, atol=1e-6)


@pytest.mark.parametrize("factor", [1e-4, 1e-2, 0.1, 0.3, 1.0, 3.0, 10.0])
def test_every_level_of_demand_is_solved_in_few_passes(factor: float) -> None:
    # Around 0.1 to 1 many branches lie between Reynolds 2000 and 4000.
    solver = NetworkSolver(building(40))
    solution = solver.solve(demand_m3s=solver.network.demand_m3s * factor)
    assert_balanced(solution)
    assert solution.passes <= 14


def test_starting_from_an_earlier_solution_gives_the_same_answer() -> None:
    solver = NetworkSolver(building(10))
    first = solver.solve()
    more = solver.network.demand_m3s * 1.05
    warm, cold = solver.solve(demand_m3s=more, start=first), solver.solve(demand_m3s=more)
    np.testing.assert_allclose(warm.flow_m3s, cold.flow_m3s, atol=1e-9)
    np.testing.assert_allclose(warm.head_m, cold.head_m, atol=1e-7)
    assert warm.passes < cold.passes
    again = solver.solve(start=warm)
    np.testing.assert_allclose(again.flow_m3s, first.flow_m3s, atol=1e-9)


def test_solving_leaves_the_earlier_solution_and_the_network_alone() -> None:
    solver = NetworkSolver(scattered(11))
    first = solver.solve()
    kept = first.flow_m3s.copy(), first.head_m.copy(), first.states.copy(), solver.network.demand_m3s.copy()
    solver.solve(demand_m3s=solver.network.demand_m3s * 2, start=first)
    for before, now in zip(
        kept, (first.flow_m3s, first.head_m, first.states, solver.network.demand_m3s), strict=True
    ):
        np.testing.assert_array_equal(before, now)


def test_a_shut_valve_takes_the_water_another_way_and_back_again() -> None:
    solver = NetworkSolver(building(6))
    names = list(solver.network.link_names)
    shut = np.array([name == "a3" for name in names])
    whole = solver.solve()
    parted = solver.solve(closed=shut, start=whole)
    assert parted.flow_of("a3") == 0
    assert parted.supplied.all()
    assert abs(parted.flow_of("b3")) > abs(whole.flow_of("b3"))
    assert_balanced(parted)
    opened = solver.solve(start=parted)
    np.testing.assert_allclose(opened.flow_m3s, whole.flow_m3s, atol=1e-9)


def test_a_part_cut_off_is_told_and_the_rest_is_served() -> None:
    solver = NetworkSolver(building(6))
    names = list(solver.network.link_names)
    shut = np.array([name in ("a3", "b3") for name in names])
    solution = solver.solve(closed=shut)
    assert_balanced(solution)
    above = {name for name in solver.network.node_names if name.lstrip("abrso").startswith(("3", "4", "5"))}
    assert set(np.array(solver.network.node_names)[~solution.supplied]) == above
    assert set(solution.unserved) == {
        name
        for name, q in zip(solver.network.node_names, solver.network.demand_m3s, strict=True)
        if name in above and q
    }
    assert np.isnan(solution.head_of("a5"))
    assert solution.flow_of("a5") == 0


def test_two_sources_share_and_the_lower_one_can_be_filled() -> None:
    links = [
        pipe("high", "H", "mid", 50.0, 0.05, roughness_m=1e-4),
        pipe("low", "L", "mid", 50.0, 0.05, roughness_m=1e-4),
    ]
    near = solve(pipe_network(links, demand_m3s={"mid": 0.003}, fixed_head_m={"H": 30.0, "L": 29.5}))
    assert near.flow_of("high") > near.flow_of("low") > 0
    far = solve(pipe_network(links, demand_m3s={"mid": 0.0005}, fixed_head_m={"H": 30.0, "L": 25.0}))
    assert far.flow_of("low") < 0
    assert far.flow_of("high") + far.flow_of("low") == pytest.approx(0.0005, abs=1e-9)


def test_very_thin_and_very_wide_pipes_stand_in_one_network() -> None:
    links = [
        pipe("main", "tank", "a", 0.05, 1.0, roughness_m=1e-4),
        pipe("tube", "a", "b", 50.0, 0.003, roughness_m=0.0),
        pipe("return", "b", "c", 300.0, 0.6, roughness_m=1e-3),
        pipe("loop", "a", "c", 400.0, 0.5, roughness_m=1e-3),
        pipe("end", "c", "d", 1.0, 0.008, roughness_m=1e-6),
    ]
    solution = solve(pipe_network(links, demand_m3s={"c": 0.2, "d": 1e-6}, fixed_head_m={"tank": 60.0}))
    assert_balanced(solution)


def test_a_check_valve_stops_a_drained_neighbour_from_emptying_the_riser() -> None:
    links = [
        check_valve("NR", "mains", "riser", 0.05, 2.0),
        pipe("P", "riser", "tank", 10.0, 0.05, roughness_m=1e-4),
    ]
    solution = solve(
        pipe_network(links, demand_m3s={"riser": 1e-4}, fixed_head_m={"mains": 10.0, "tank": 40.0})
    )
    assert solution.state_of("NR") is LinkState.CLOSED
    assert solution.flow_of("P") == pytest.approx(-1e-4, abs=1e-9)


def test_a_pump_too_weak_for_the_lift_stands_against_its_flap() -> None:
    curve = pump_curve((0.0, 0.005, 0.01), (30.0, 26.0, 15.0))
    links = [pump("PU", "sump", "out", curve), pipe("P", "out", "tank", 40.0, 0.05, roughness_m=1e-4)]
    weak = solve(pipe_network(links, demand_m3s={}, fixed_head_m={"sump": 0.0, "tank": 35.0}))
    assert weak.state_of("PU") is LinkState.CLOSED
    assert weak.flow_of("PU") == 0
    strong = solve(pipe_network(links, demand_m3s={}, fixed_head_m={"sump": 0.0, "tank": 20.0}))
    flow = strong.flow_of("PU")
    assert strong.head_of("out") == pytest.approx(pump_head(curve, flow), abs=1e-6)
    assert not strong.beyond_curve.any()


def test_a_pump_beyond_its_curve_is_marked() -> None:
    curve = pump_curve((0.0, 0.005, 0.01), (30.0, 26.0, 15.0))
    links = [pump("PU", "sump", "out", curve), pipe("P", "out", "pit", 1.0, 0.1, roughness_m=1e-4)]
    solution = solve(pipe_network(links, demand_m3s={}, fixed_head_m={"sump": 0.0, "pit": 0.0}))
    assert solution.beyond_curve.tolist() == [True, False]


def test_a_stopped_pump_lets_its_zone_down() -> None:
    curve = pump_curve((0.0, 0.005, 0.01), (30.0, 26.0, 15.0))
    links = [
        pump("PU", "sump", "out", curve, closed=True),
        pipe("P", "out", "tap", 1.0, 0.1, roughness_m=1e-4),
    ]
    solution = solve(pipe_network(links, demand_m3s={"tap": 1e-3}, fixed_head_m={"sump": 0.0}))
    assert solution.unserved == ("tap",)


def zone(supply_head_m: float, tap_m3s: float, set_head_m: float = 40.0) -> Solution:
    links = [
        pipe("P", "street", "before", 20.0, 0.04, roughness_m=1e-5),
        reducing_valve("RV", "before", "after", 0.032, set_head_m, 8.0),
        pipe("Z", "after", "tap", 30.0, 0.032, roughness_m=1e-5),
    ]
    return solve(pipe_network(links, demand_m3s={"tap": tap_m3s}, fixed_head_m={"street": supply_head_m}))


def test_a_reducing_valve_holds_its_head_while_the_supply_allows() -> None:
    solution = zone(70.0, 5e-4)
    assert solution.state_of("RV") is LinkState.HOLDING
    assert solution.head_of("after") == pytest.approx(40.0, abs=1e-9)
    assert solution.flow_of("RV") == pytest.approx(5e-4, abs=1e-9)


def test_a_reducing_valve_opens_where_the_supply_is_too_low() -> None:
    solution = zone(38.0, 5e-4)
    assert solution.state_of("RV") is LinkState.OPEN
    assert solution.head_of("after") < 38.0
    assert_balanced(solution)


def test_a_reducing_valve_without_demand_holds_a_still_zone() -> None:
    solution = zone(70.0, 0.0)
    assert solution.head_of("tap") == pytest.approx(40.0, abs=1e-6)
    assert abs(solution.flow_of("RV")) < 1e-9


def test_a_zone_fed_from_elsewhere_above_its_setting_shuts_the_reducing_valve() -> None:
    links = [
        reducing_valve("RV", "street", "after", 0.032, 40.0, 8.0),
        pipe("Z", "after", "roof", 30.0, 0.032, roughness_m=1e-5),
    ]
    solution = solve(
        pipe_network(links, demand_m3s={"after": 2e-4}, fixed_head_m={"street": 70.0, "roof": 50.0})
    )
    assert solution.state_of("RV") is LinkState.CLOSED
    assert solution.head_of("after") > 40.0


def test_reducing_valves_side_by_side_open_in_the_order_of_their_settings() -> None:
    def side_by_side(tap_m3s: float) -> Solution:
        links = [
            reducing_valve("large", "street", "after", 0.05, 38.0, 8.0),
            reducing_valve("small", "street", "after", 0.015, 40.0, 8.0),
            pipe("Z", "after", "tap", 3.0, 0.05, roughness_m=1e-5),
        ]
        return solve(pipe_network(links, demand_m3s={"tap": tap_m3s}, fixed_head_m={"street": 45.0}))

    little, much = side_by_side(1e-4), side_by_side(4e-3)
    assert (little.state_of("small"), little.state_of("large")) == (LinkState.HOLDING, LinkState.CLOSED)
    assert (much.state_of("small"), much.state_of("large")) == (LinkState.OPEN, LinkState.HOLDING)
    assert much.head_of("after") == pytest.approx(38.0, abs=1e-9)
    assert much.flow_of("small") + much.flow_of("large") == pytest.approx(4e-3, abs=1e-9)


def test_reducing_valves_in_line_step_the_head_down() -> None:
    links = [
        reducing_valve("upper", "tank", "a", 0.04, 60.0, 5.0),
        pipe("P", "a", "b", 30.0, 0.04, roughness_m=1e-5),
        reducing_valve("lower", "b", "c", 0.04, 35.0, 5.0),
        pipe("Q", "c", "tap", 5.0, 0.02, roughness_m=1e-5),
    ]
    solution = solve(pipe_network(links, demand_m3s={"tap": 5e-4, "a": 1e-4}, fixed_head_m={"tank": 100.0}))
    assert solution.head_of("a") == pytest.approx(60.0, abs=1e-9)
    assert solution.head_of("c") == pytest.approx(35.0, abs=1e-9)
    assert solution.flow_of("upper") == pytest.approx(6e-4, abs=1e-9)


def test_a_backflow_preventer_needs_its_opening_head() -> None:
    preventer = PointCurve((0.0, 0.002, 0.004), (5.0, 6.0, 8.5))
    links = [
        device("BP", "street", "in", preventer, one_way=True),
        pipe("P", "in", "tank", 5.0, 0.05, roughness_m=1e-4),
    ]
    short = solve(pipe_network(links, demand_m3s={}, fixed_head_m={"street": 30.0, "tank": 26.0}))
    assert short.state_of("BP") is LinkState.CLOSED
    enough = solve(pipe_network(links, demand_m3s={"in": 0.002}, fixed_head_m={"street": 30.0, "tank": 20.0}))
    flow = enough.flow_of("BP")
    loss, _ = preventer.loss_and_slope(np.array([flow]))
    assert 30.0 - enough.head_of("in") == pytest.approx(5.0 + loss[0], abs=1e-6)


def test_mains_give_less_head_the_more_is_drawn() -> None:
    links = [device("mains", "still", "street", mains_curve(50.0, 40.0, 0.02))]
    tested = solve(pipe_network(links, demand_m3s={"street": 0.02}, fixed_head_m={"still": 50.0}))
    assert tested.head_of("street") == pytest.approx(40.0, abs=1e-6)


def test_a_valve_loses_what_its_kv_says() -> None:
    links = [valve("V", "in", "out", 0.04, loss_coefficient_from_kv(10.0, 0.04))]
    network = pipe_network(links, demand_m3s={"out": 10.0 / 3600}, fixed_head_m={"in": 50.0})
    # Kv 10 passes 10 m3/h at 1 bar, 10.2 m of water of 1000 kg/m3.
    assert 50.0 - solve(network).head_of("out") == pytest.approx(1e5 / (1000 * 9.80665), rel=1e-3)


def test_pipes_between_the_laws_are_marked() -> None:
    links = [
        pipe("slow", "in", "a", 5.0, 0.02, roughness_m=1e-5),
        pipe("between", "in", "b", 5.0, 0.02, roughness_m=1e-5),
        pipe("fast", "in", "c", 5.0, 0.02, roughness_m=1e-5),
    ]
    flow = {name: re * np.pi * 0.02 * 1.0035e-6 / 4 for name, re in (("a", 1500), ("b", 3000), ("c", 9000))}
    solution = solve(pipe_network(links, demand_m3s=flow, fixed_head_m={"in": 10.0}))
    assert solution.between_laws.tolist() == [False, True, False]
    assert solution.velocity_ms[2] == pytest.approx(9000 * 1.0035e-6 / 0.02, rel=1e-6)


def test_warm_and_cold_water_in_one_network_have_their_own_viscosity() -> None:
    links = [pipe(n, "in", f"{n} end", 20.0, 0.02, roughness_m=0.0) for n in ("cold", "hot")]
    network = pipe_network(links, demand_m3s={"cold end": 2e-4, "hot end": 2e-4}, fixed_head_m={"in": 30.0})
    solution = solve(replace(network, kinematic_viscosity_m2s=np.array([1.3e-6, 0.47e-6])))
    assert solution.head_of("hot end") > solution.head_of("cold end")


def test_a_long_chain_of_pipes_keeps_its_digits() -> None:
    count = 20_000
    first = pipe("first", "tank", "n1", 3.0, 0.1, roughness_m=1e-5)
    network = pipe_network([first], demand_m3s={}, fixed_head_m={"tank": 100.0})
    repeated: dict[str, Any] = {name: np.repeat(getattr(network, name), count) for name in PER_LINK}
    chain = replace(
        network,
        node_names=[f"n{i}" for i in range(count + 1)],
        demand_m3s=np.concatenate([[0.0], np.full(count, 1e-7)]),
        fixed_head_m=np.concatenate([[100.0], np.full(count, np.nan)]),
        link_names=[f"p{i}" for i in range(count)],
        start=np.arange(count),
        end=np.arange(1, count + 1),
        **repeated,
    )
    np.testing.assert_allclose(solve(chain).flow_m3s, 1e-7 * np.arange(count, 0, -1), atol=1e-9)


def test_a_network_of_one_tank_alone_is_a_network() -> None:
    solution = solve(pipe_network([], demand_m3s={"lost": 1e-3}, fixed_head_m={"tank": 10.0}))
    assert solution.unserved == ("lost",)
    assert solution.head_of("tank") == 10.0


def test_demands_for_another_network_are_refused() -> None:
    solver = NetworkSolver(building(2))
    with pytest.raises(InvalidNetwork, match="3 values of demand"):
        solver.solve(demand_m3s=np.zeros(3))
    demand = solver.network.demand_m3s.copy()
    demand[4] = np.nan
    with pytest.raises(InvalidNetwork, match=f"node {solver.network.node_names[4]}"):
        solver.solve(demand_m3s=demand)
