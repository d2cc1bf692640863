# SPDX-License-Identifier: Apache-2.0
"""Flows and heads of a network, as found by the solver."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from riser.hydraulics.head_matrix import Factors
from riser.hydraulics.link_status import LinkState
from riser.hydraulics.pipe_network import PipeNetwork
from riser.hydraulics.quantity import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, eq=False)
class Solution:
    """Flows and heads of a network.

    `flow_m3s` is positive from start to end; `closed` are the links that were shut. `head_m` is NaN exactly
    at the nodes without supply (`supplied` False); their links carry nothing and their demand is not met.
    `states` are `LinkState`s. `between_laws` marks pipes with 2000 < Re < 4000, where no friction law holds
    (see `friction`), and `beyond_curve` devices whose flow lies beyond the last point of their curve.
    """

    network: PipeNetwork
    demand_m3s: FloatArray
    flow_m3s: FloatArray
    head_m: FloatArray
    states: IntArray
    closed: BoolArray
    supplied: BoolArray
    between_laws: BoolArray
    beyond_curve: BoolArray
    passes: int
    rounds: int
    factors: Factors | None = field(repr=False)

    def flow_of(self, link: str) -> float:
        """Flow of a link by name [m3/s]."""
        return float(self.flow_m3s[list(self.network.link_names).index(link)])

    def head_of(self, node: str) -> float:
        """Head at a node by name [m]."""
        return float(self.head_m[list(self.network.node_names).index(node)])

    def state_of(self, link: str) -> LinkState:
        """State of a link by name."""
        return LinkState(int(self.states[list(self.network.link_names).index(link)]))

    @property
    def unserved(self) -> tuple[str, ...]:
        """Nodes that ask for water and have no supply."""
        without = np.flatnonzero(~self.supplied & (self.demand_m3s != 0))
        return tuple(self.network.node_names[int(place)] for place in without)

    @property
    def velocity_ms(self) -> FloatArray:
        """Mean velocity in each link, with the sign of its flow [m/s]; NaN for links without a bore."""
        velocity: FloatArray = self.flow_m3s / self.network.area_m2
        return velocity
