# SPDX-License-Identifier: Apache-2.0
"""Flows and heads of a network of full pipes: pumps, check valves, reducing valves, loops, several sources.

Newton's method on flows and heads together, in corrections: each pass solves one sparse linear system for the
heads, after which every node's balance holds. States of pumps and valves change only between converged passes
and are proven afterwards by the conditions of `link_status`. Demands are met at whatever pressure results; a
head below the level of a node says that it cannot be.

    >>> from riser.hydraulics.pipe_network import pipe, pipe_network
    >>> links = [pipe("P1", "tank", "A", 100.0, 0.1, roughness_m=1e-4),
    ...          pipe("P2", "A", "B", 100.0, 0.05, roughness_m=1e-4)]
    >>> network = pipe_network(links, demand_m3s={"A": 0.005, "B": 0.001}, fixed_head_m={"tank": 30.0})
    >>> result = solve(network)
    >>> f"{result.flow_of('P1') * 1000:.1f} L/s, {result.head_of('B'):.1f} m at B"
    '6.0 L/s, 28.7 m at B'
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from riser.hydraulics.friction import LAMINAR_BELOW, TURBULENT_ABOVE
from riser.hydraulics.head_matrix import Factors, HeadMatrix
from riser.hydraulics.link_laws import LinkLaws
from riser.hydraulics.link_status import LinkState, LinkStates
from riser.hydraulics.network_faults import refuse_invalid, refuse_unusable
from riser.hydraulics.pipe_network import LinkKind, NotSolved, PipeNetwork
from riser.hydraulics.quantity import BoolArray, FloatArray, IntArray
from riser.hydraulics.solution import Solution
from riser.hydraulics.supplied import supplied_nodes

FLOW_TOLERANCE = 1e-6
FLOW_TOLERANCE_M3S = 1e-9
HEAD_TOLERANCE_M = 1e-6
MOST_PASSES = 60
MOST_ROUNDS = 200
_ROUNDING = 4 * np.finfo(float).eps
_LEAST_SLOPE = 1e-9
_ABSURD_FLOW_M3S = 1e12


def solve(network: PipeNetwork) -> Solution:
    """Flows and heads of a network; raises InvalidNetwork or NotSolved with a sentence."""
    return NetworkSolver(network).solve()


@dataclass(eq=False)
class _Try:
    """Where one solution stands: changed in place from pass to pass."""

    demand_m3s: FloatArray
    closed: BoolArray
    flow_m3s: FloatArray
    head_m: FloatArray
    states: IntArray
    supplied: BoolArray
    noise_m3s: FloatArray
    factors: Factors | None
    passes: int = 0

    def copy(self) -> _Try:
        """The same, with flows and heads of its own."""
        return replace(self, flow_m3s=self.flow_m3s.copy(), head_m=self.head_m.copy())


class NetworkSolver:
    """One network prepared once, solved for as many demands, heads and shut valves as wanted."""

    def __init__(self, network: PipeNetwork) -> None:
        refuse_invalid(network)
        self.network = network
        self._laws = LinkLaws(network)
        self._rules = LinkStates(network, self._laws)
        self._matrix = HeadMatrix(network)
        self._is_source: BoolArray = ~np.isnan(network.fixed_head_m)
        self._reducing: IntArray = np.flatnonzero(network.kind == LinkKind.REDUCING_VALVE)

    def solve(
        self,
        *,
        demand_m3s: FloatArray | None = None,
        fixed_head_m: FloatArray | None = None,
        closed: BoolArray | None = None,
        start: Solution | None = None,
    ) -> Solution:
        """Flows and heads, for other demands, heads or shut links if given.

        `fixed_head_m` may only change heads that are fixed. `start` is an earlier solution of this network to
        begin from, which takes about a quarter of the time for a small change.
        """
        shut = self.network.closed if closed is None else np.asarray(closed, dtype=bool)
        demand = self.network.demand_m3s if demand_m3s is None else np.asarray(demand_m3s, dtype=float)
        heads = self.network.fixed_head_m if fixed_head_m is None else np.asarray(fixed_head_m, dtype=float)
        refuse_unusable(self.network, demand, heads)
        first = self._rules.first_states(shut)
        starts: list[tuple[Solution | None, IntArray]] = []
        if start is not None:
            starts.append((start, self._states_from(start, shut, first)))
        # A network where the second start is needed has valves that work against each other.
        starts += [(None, first), (None, self._rules.open_states(shut))]
        hangs = NotSolved("the network was not solved")
        for earlier, states in starts:
            try:
                return self._settled(self._first_try(demand, heads, shut, earlier), states)
            except NotSolved as problem:
                hangs = problem
        raise hangs

    def _states_from(self, start: Solution, shut: BoolArray, first: IntArray) -> IntArray:
        """The states of an earlier solution, except for links shut then or now."""
        return np.where(shut | start.closed, first, start.states)

    def _settled(self, at: _Try, states: IntArray) -> Solution:
        """Changes states between converged flows until nothing contradicts them."""
        seen = set[bytes]()
        choices: Iterator[IntArray] = iter([states])
        last: _Try | None = None
        for rounds in range(1, MOST_ROUNDS + 1):
            at.states = self._next_unseen(choices, seen, at)
            try:
                self._find_supply(at)
                self._converge(at)
            except NotSolved:
                if last is None:
                    raise
                at = last.copy()
                continue
            links, wanted = self._contradictions(at)
            if not links.size:
                return self._solution(at, rounds)
            last = at.copy()
            choices = chain(self._changes(at.states, links, wanted), choices)
        raise NotSolved(f"{self._names(links)}: no states of these fit together; look at their settings")

    def _changes(self, states: IntArray, links: IntArray, wanted: IntArray) -> Iterator[IntArray]:
        """All contradicting states changed at once, then each alone; then shut what cannot hold."""
        instead = np.where(wanted == LinkState.HOLDING, LinkState.CLOSED, wanted)
        for change in (wanted, instead):
            yield self._rules.changed(states, links, change)
            for i in range(len(links)):
                yield self._rules.changed(states, links[i : i + 1], change[i : i + 1])

    def _next_unseen(self, choices: Iterator[IntArray], seen: set[bytes], at: _Try) -> IntArray:
        for states in choices:
            if states.tobytes() not in seen:
                seen.add(states.tobytes())
                opened = (states != LinkState.CLOSED) & (at.states == LinkState.CLOSED)
                at.flow_m3s[opened] = self._laws.starting_flow_m3s[opened]
                return states
        valves = np.flatnonzero(np.isin(self.network.kind, [LinkKind.REDUCING_VALVE, LinkKind.CHECK_VALVE]))
        raise NotSolved(f"{self._names(valves)}: no states of these fit together; look at their settings")

    def _first_try(
        self, demand_m3s: FloatArray, fixed_head_m: FloatArray, shut: BoolArray, start: Solution | None
    ) -> _Try:
        network = self.network
        flow, head = self._laws.starting_flow_m3s.copy(), np.zeros(len(network.node_names))
        states = np.full(len(flow), LinkState.OPEN, dtype=np.int64)
        if start is not None:
            head, states = np.nan_to_num(start.head_m), start.states
            moving = start.supplied[network.start] & (states != LinkState.CLOSED)
            flow[moving] = start.flow_m3s[moving]
        head[self._is_source] = fixed_head_m[self._is_source]
        factors = None if start is None else start.factors
        return _Try(demand_m3s, shut, flow, head, states, self._is_source, np.zeros(len(flow)), factors)

    def _find_supply(self, at: _Try) -> None:
        network = self.network
        at.supplied = supplied_nodes(
            network.start,
            network.end,
            at.states == LinkState.OPEN,
            at.states == LinkState.HOLDING,
            self._is_source,
        )

    def _converge(self, at: _Try) -> None:
        """Newton passes with fixed states, until flows stand still and every link's head loss fits."""
        network = self.network
        is_open = (at.states == LinkState.OPEN) & at.supplied[network.start]
        holding = (at.states == LinkState.HOLDING) & at.supplied[network.start]
        at.flow_m3s[~(is_open | holding)] = 0.0
        for passes in range(MOST_PASSES):
            loss, slope = self._laws.loss_and_slope(at.flow_m3s)
            conductance = np.where(is_open, 1 / np.maximum(slope, _LEAST_SLOPE), 0.0)
            misfit = np.where(is_open, loss - at.head_m[network.start] + at.head_m[network.end], 0.0)
            rounding = _ROUNDING * np.max(np.abs(at.head_m))
            at.noise_m3s = rounding * conductance
            if passes and self._fits(at, conductance, misfit):
                return
            self._correct(at, conductance, misfit, holding)
            at.passes += 1
            if not np.max(np.abs(at.flow_m3s), initial=0.0) < _ABSURD_FLOW_M3S:
                break
        worst = network.link_names[int(np.argmax(np.abs(misfit)))]
        raise NotSolved(
            f"link {worst}: after {MOST_PASSES} passes its head loss still misses by "
            f"{np.max(np.abs(misfit)):g} m"
        )

    def _fits(self, at: _Try, conductance: FloatArray, misfit: FloatArray) -> bool:
        """Whether every head loss fits, so well that another pass would not move a flow noticeably.

        Every node's balance holds since the first pass. Noticeable is a tenth of the flow's tolerance.
        """
        tolerance = FLOW_TOLERANCE_M3S + FLOW_TOLERANCE * np.abs(at.flow_m3s)
        flow_off = np.abs(conductance * misfit) <= 0.1 * tolerance + at.noise_m3s
        return bool(flow_off.all() and np.max(np.abs(misfit), initial=0.0) <= HEAD_TOLERANCE_M)

    def _correct(self, at: _Try, conductance: FloatArray, misfit: FloatArray, holding: BoolArray) -> None:
        """One pass of Newton's method, with the last factors where they serve as well as new ones."""
        network, valves = self.network, self._reducing
        if at.factors is None or not at.factors.serve(conductance, holding[valves], ~at.supplied):
            at.factors = self._matrix.factors(conductance, holding[valves], ~at.supplied)
        conductance = at.factors.conductance
        there = at.flow_m3s - conductance * misfit
        nodes = len(network.node_names)
        excess = np.bincount(network.end, there, nodes) - np.bincount(network.start, there, nodes)
        missing = network.set_head_m[valves] - at.head_m[network.end[valves]]
        head, through = self._matrix.corrections(at.factors, excess - at.demand_m3s, missing)
        change = -conductance * (misfit - head[network.start] + head[network.end])
        change[valves] += np.where(holding[valves], through, 0.0)
        at.head_m += head
        at.flow_m3s += change

    def _contradictions(self, at: _Try) -> tuple[IntArray, IntArray]:
        return self._rules.contradictions(
            at.states, at.closed, at.flow_m3s, at.head_m, at.supplied, at.noise_m3s
        )

    def _names(self, links: IntArray) -> str:
        return ", ".join(self.network.link_names[place] for place in links[:5])

    def _solution(self, at: _Try, rounds: int) -> Solution:
        reynolds = np.nan_to_num(self._laws.reynolds(at.flow_m3s))
        return Solution(
            network=self.network,
            demand_m3s=at.demand_m3s,
            flow_m3s=at.flow_m3s,
            head_m=np.where(at.supplied, at.head_m, np.nan),
            states=at.states,
            closed=at.closed,
            supplied=at.supplied,
            between_laws=(reynolds > LAMINAR_BELOW) & (reynolds < TURBULENT_ABOVE),
            beyond_curve=np.abs(at.flow_m3s) > self._laws.last_flow_m3s,
            passes=at.passes,
            rounds=rounds,
            factors=at.factors,
        )
