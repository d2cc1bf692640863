# SPDX-License-Identifier: Apache-2.0
"""The network solver on the pipes of buildings: cold, warm, growing, and against what else could be used."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial

import numpy as np
from scipy.optimize import root
from scipy.sparse import csc_array
from scipy.sparse.linalg import splu

from benchmarks.figures import exponent
from riser.hydraulics.link_laws import LinkLaws
from riser.hydraulics.pipe_network import LinkKind, PipeNetwork
from riser.hydraulics.quantity import FloatArray
from riser.hydraulics.solution import Solution
from riser.hydraulics.solver import NetworkSolver, solve

RISERS, RING_NODES, BRANCHES_OF_NODE = 8, 48, 2
PIPES_OF_FLOOR = 2 * RISERS + RING_NODES * (1 + BRANCHES_OF_NODE)
SIZES = (1_000, 3_000, 10_000, 30_000, 100_000)
SMALL = 300
SOURCE_HEAD_M, MORE_DEMAND = 500.0, 1.05


def building(pipes: int) -> PipeNetwork:
    """About so many pipes: risers from one source, on every floor a ring with two branches at each node."""
    chance = np.random.default_rng(0)
    floors = max(2, round(pipes / PIPES_OF_FLOOR))
    riser = np.arange(floors * RISERS).reshape(floors, RISERS)
    ring = riser.size + np.arange(floors * RING_NODES).reshape(floors, RING_NODES)
    branch = riser.size + ring.size + np.arange(ring.size * BRANCHES_OF_NODE)
    nodes = riser.size + ring.size + branch.size + 1
    tapped = ring[:, :: RING_NODES // RISERS]
    kinds = (
        (np.full(RISERS, nodes - 1), riser[0], 0.3, 5.0),
        (riser[:-1], riser[1:], 0.15, 3.0),
        (riser, tapped, 0.05, 2.0),
        (ring, np.roll(ring, -1, axis=1), 0.032, chance.uniform(1.0, 5.0, ring.size)),
        (np.repeat(ring, BRANCHES_OF_NODE, axis=1), branch, 0.02, chance.uniform(1.0, 8.0, branch.size)),
    )
    start, end = (np.concatenate([np.ravel(kind[side]) for kind in kinds]) for side in (0, 1))
    counts = [np.size(kind[0]) for kind in kinds]
    length = np.concatenate([np.ones(np.size(kind[0])) * kind[3] for kind in kinds])
    demand, head = np.zeros(nodes), np.full(nodes, np.nan)
    demand[branch] = chance.uniform(0.0, 1e-4, branch.size) * (chance.random(branch.size) < 0.3)
    demand *= min(1.0, 300 / floors)
    head[-1] = SOURCE_HEAD_M
    return _network(start, end, length, np.repeat([kind[2] for kind in kinds], counts), demand, head)


def _network(
    start: np.ndarray,
    end: np.ndarray,
    length: FloatArray,
    bore: FloatArray,
    demand: FloatArray,
    head: FloatArray,
) -> PipeNetwork:
    count = len(start)
    nothing = np.full(count, np.nan)
    return PipeNetwork(
        node_names=[f"N{n}" for n in range(len(demand))],
        demand_m3s=demand,
        fixed_head_m=head,
        link_names=[f"P{n}" for n in range(count)],
        kind=np.full(count, LinkKind.PIPE, dtype=np.int64),
        start=start,
        end=end,
        length_m=length,
        diameter_m=bore,
        roughness_m=np.full(count, 1e-4),
        hazen_williams_c=nothing,
        loss_coefficient=np.zeros(count),
        set_head_m=nothing,
        curve=np.full(count, -1),
        closed=np.zeros(count, dtype=bool),
    )


def least_s(work: Callable[[], object], times: int = 3) -> float:
    """The least time of a few."""
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return min(taken)


def head_system(network: PipeNetwork, flow_m3s: FloatArray) -> csc_array:
    """The matrix of one pass of Newton's method: balances of the nodes whose head is sought."""
    conductance = 1.0 / LinkLaws(network).loss_and_slope(flow_m3s)[1]
    u, v, count = network.start, network.end, len(network.demand_m3s)
    rows, columns = np.concatenate([u, v, u, v]), np.concatenate([u, v, v, u])
    values = np.concatenate([conductance, conductance, -conductance, -conductance])
    free = np.flatnonzero(np.isnan(network.fixed_head_m))
    return csc_array(csc_array((values, (rows, columns)), shape=(count, count))[free][:, free])


def general_root(network: PipeNetwork, near: Solution) -> FloatArray:
    """Every flow and free head by a general root-finder, begun 30 % away from an answer."""
    laws, free = LinkLaws(network), np.flatnonzero(np.isnan(network.fixed_head_m))
    count, nodes = len(network.start), len(network.demand_m3s)

    def off(unknown: FloatArray) -> FloatArray:
        flow, head = unknown[:count] / 1e3, network.fixed_head_m.copy()
        head[free] = unknown[count:]
        loss = laws.loss_and_slope(flow)[0] - head[network.start] + head[network.end]
        arriving = np.bincount(network.end, flow, nodes) - np.bincount(network.start, flow, nodes)
        return np.concatenate([loss, 1e3 * (arriving - network.demand_m3s)[free]])

    start = np.concatenate([near.flow_m3s * 1e3, near.head_m[free]]) * 1.3
    found = root(off, start, method="hybr", tol=1e-9)
    flow: FloatArray = found.x[:count] / 1e3
    return flow


def figures() -> dict[str, float]:
    """Every figure by name."""
    networks = [building(size) for size in SIZES]
    seconds = [least_s(partial(solve, each)) for each in networks]
    network = networks[-1]
    cold = solve(network)
    cold_s = least_s(lambda: solve(network))
    matrix = head_system(network, cold.flow_m3s)
    factor_s = least_s(lambda: splu(matrix, permc_spec="MMD_AT_PLUS_A"), 5)
    prepared, more = NetworkSolver(network), network.demand_m3s * MORE_DEMAND
    warm_s = least_s(lambda: prepared.solve(demand_m3s=more, start=cold))
    small = building(SMALL)
    answer = solve(small)
    root_s, small_s = least_s(lambda: general_root(small, answer), 1), least_s(lambda: solve(small))
    if not np.allclose(general_root(small, answer), answer.flow_m3s, rtol=1e-3, atol=1e-7):
        raise ArithmeticError("the root-finder and the solver disagree")
    return {
        "pipes": len(network.start),
        "passes": cold.passes,
        "cold_s": cold_s,
        "factor_s": factor_s,
        "cold_ratio": cold_s / (cold.passes * factor_s),
        "warm_s": warm_s,
        "warm_ratio": warm_s / cold_s,
        "growth": exponent([len(each.start) for each in networks], seconds),
        "small_pipes": len(small.start),
        "small_s": small_s,
        "root_s": root_s,
        "root_ratio": small_s / root_s,
    }


if __name__ == "__main__":
    for name, value in figures().items():
        print(name, f"{value:g}")
