# SPDX-License-Identifier: Apache-2.0
"""Open, closed or holding: the states of pumps, check valves and reducing valves, and what contradicts them.

A one-way link is either open with no flow back, or closed with too little head across it to open. A reducing
valve either holds its head with enough supply and no flow back; or is open, its head not above the setting;
or is closed, the head beyond it above the setting or above its supply. `contradictions` lists the links for
which this is not so and the state that would be right; no contradictions is the proof that the states fit.
"""

from __future__ import annotations

from enum import IntEnum

import numpy as np

from riser.hydraulics.link_laws import LinkLaws
from riser.hydraulics.pipe_network import ONE_WAY, LinkKind, PipeNetwork
from riser.hydraulics.quantity import BoolArray, FloatArray, IntArray

HEAD_TOLERANCE_M = 1e-6
FLOW_TOLERANCE_M3S = 1e-9


class LinkState(IntEnum):
    """Whether water can pass a link; `HOLDING` is a reducing valve keeping its head."""

    CLOSED = 0
    OPEN = 1
    HOLDING = 2


class LinkStates:
    """The rules for the states of one network's links."""

    def __init__(self, network: PipeNetwork, laws: LinkLaws) -> None:
        self._network, self._laws = network, laws
        self._one_way: IntArray = np.flatnonzero(np.isin(network.kind, [int(kind) for kind in ONE_WAY]))
        self._reducing: IntArray = np.flatnonzero(network.kind == LinkKind.REDUCING_VALVE)

    def first_states(self, closed: BoolArray) -> IntArray:
        """States to start from: all open, reducing valves holding."""
        states = np.full(len(closed), LinkState.OPEN, dtype=np.int64)
        states[self._reducing] = LinkState.HOLDING
        states[closed] = LinkState.CLOSED
        return self._one_holder_per_node(states)

    def open_states(self, closed: BoolArray) -> IntArray:
        """States to start from where the first lead nowhere: all open, reducing valves too."""
        return np.where(closed, LinkState.CLOSED, LinkState.OPEN).astype(np.int64)

    def contradictions(
        self,
        states: IntArray,
        closed: BoolArray,
        flow_m3s: FloatArray,
        head_m: FloatArray,
        supplied: BoolArray,
        noise_m3s: FloatArray,
    ) -> tuple[IntArray, IntArray]:
        """Links whose state does not fit flows and heads, and the states that would.

        `noise_m3s` is the rounding error of each flow; a backward flow below it is none.
        """
        back = flow_m3s < -(FLOW_TOLERANCE_M3S + noise_m3s)
        wanted = states.copy()
        self._want_one_way(wanted, back, head_m, supplied)
        self._want_reducing(wanted, back, flow_m3s, head_m, supplied)
        wanted[closed] = LinkState.CLOSED
        differ = np.flatnonzero(wanted != states)
        return differ, wanted[differ]

    def changed(self, states: IntArray, links: IntArray, wanted: IntArray) -> IntArray:
        """States after a change, with at most one valve holding the head of a node."""
        after = states.copy()
        after[links] = wanted
        return self._one_holder_per_node(after)

    def _want_one_way(
        self, wanted: IntArray, back: BoolArray, head_m: FloatArray, supplied: BoolArray
    ) -> None:
        at = self._one_way
        start, end = self._network.start[at], self._network.end[at]
        is_open = wanted[at] == LinkState.OPEN
        lift = head_m[start] - head_m[end] - self._laws.at_rest_m[at]
        opens = supplied[start] & ((lift > HEAD_TOLERANCE_M) | ~supplied[end])
        wanted[at[is_open & back[at]]] = LinkState.CLOSED
        wanted[at[~is_open & opens]] = LinkState.OPEN

    def _want_reducing(
        self, wanted: IntArray, back: BoolArray, flow_m3s: FloatArray, head_m: FloatArray, supplied: BoolArray
    ) -> None:
        at = self._reducing
        start, end = self._network.start[at], self._network.end[at]
        setting, before, after = self._network.set_head_m[at], head_m[start], head_m[end]
        state, has_water = wanted[at], supplied[start]
        loss = self._laws.loss_and_slope(flow_m3s)[0][at]
        holding, is_open, is_closed = (
            (state == which) & has_water for which in (LinkState.HOLDING, LinkState.OPEN, LinkState.CLOSED)
        )
        # A valve without supply holds nothing; were it left holding, it would bar a lower set one beside it.
        wanted[at[(state == LinkState.HOLDING) & ~has_water]] = LinkState.CLOSED
        short = before - loss < setting - HEAD_TOLERANCE_M
        below = after < setting - HEAD_TOLERANCE_M
        passes = ~supplied[end] | (below & (before > after + HEAD_TOLERANCE_M))
        wanted[at[(holding | is_open) & back[at]]] = LinkState.CLOSED
        wanted[at[holding & ~back[at] & short]] = LinkState.OPEN
        wanted[at[is_open & ~back[at] & (after > setting + HEAD_TOLERANCE_M)]] = LinkState.HOLDING
        wanted[at[is_closed & passes & (before > setting)]] = LinkState.HOLDING
        wanted[at[is_closed & passes & ~(before > setting)]] = LinkState.OPEN

    def _one_holder_per_node(self, states: IntArray) -> IntArray:
        """Of several valves holding one node only the highest setting holds; the others are closed."""
        holds = self._reducing[states[self._reducing] == LinkState.HOLDING]
        by_setting = holds[np.argsort(-self._network.set_head_m[holds], kind="stable")]
        _, first = np.unique(self._network.end[by_setting], return_index=True)
        states[np.delete(by_setting, first)] = LinkState.CLOSED
        return states
