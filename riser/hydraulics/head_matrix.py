# SPDX-License-Identifier: Apache-2.0
"""The linear system of one pass: corrections of all heads, and of the flow through each holding valve.

Writing the flow correction of each link by its slope leaves one mass balance per node, a weighted Laplacian.
A reducing valve that holds its head adds an unknown (its flow) and an equation (head at its end = setting).
To keep a useful pivot on the diagonal, the two rows change places: the row of the valve's end node carries
the setting, the valve's own row carries that node's mass balance. The pattern holds both places and is built
once; fixed nodes, nodes without supply and valves that do not hold are rows of the identity.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import SuperLU, splu

from riser.hydraulics.pipe_network import LinkKind, NotSolved, PipeNetwork
from riser.hydraulics.quantity import BoolArray, FloatArray, IntArray

_CLOSE = 0.01
_SYMMETRIC: dict[str, Any] = {"diag_pivot_thresh": 0.0, "options": {"SymmetricMode": True}}


@dataclass(frozen=True, eq=False)
class Factors:
    """A factorised matrix, and what it was made from."""

    lower_upper: SuperLU
    conductance: FloatArray
    holding: BoolArray
    no_supply: BoolArray

    def serve(self, conductance: FloatArray, holding: BoolArray, no_supply: BoolArray) -> bool:
        """Whether these factors are as good as new ones: same states, conductances within one per cent."""
        return (
            np.array_equal(self.holding, holding)
            and np.array_equal(self.no_supply, no_supply)
            and bool(np.all(np.abs(self.conductance - conductance) <= _CLOSE * conductance))
        )


class HeadMatrix:
    """Pattern and solution of the linear system of a network."""

    def __init__(self, network: PipeNetwork) -> None:
        self._nodes, self._links = len(network.node_names), len(network.kind)
        self._start, self._end = network.start, network.end
        self._fixed: BoolArray = ~np.isnan(network.fixed_head_m)
        self._valves: IntArray = np.flatnonzero(network.kind == LinkKind.REDUCING_VALVE)
        self._size = self._nodes + len(self._valves)
        self._list_entries()
        self._place = self._elimination_order()
        self._build_pattern()

    def factors(self, conductance: FloatArray, holding: BoolArray, no_supply: BoolArray) -> Factors:
        """The matrix of one pass, factorised.

        `conductance` [m2/s] per link is zero for closed and holding links; `holding` is per reducing valve.
        """
        identity = np.concatenate([self._fixed | no_supply, ~holding]).astype(float)
        position = self._position
        if holding.any():
            identity[self._end[self._valves][holding]] = 1.0
            position = self._redirected(holding)
        value = np.concatenate([conductance, holding.astype(float), identity])
        data = np.bincount(position, weights=self._sign * value[self._source], minlength=len(self._rows))
        matrix = csc_array((data, self._rows, self._columns_start), shape=(self._size, self._size))
        # A pipe network is nearly a tree: columns have few entries, so supernodes and panels only cost time.
        try:
            lower_upper = splu(matrix, permc_spec="NATURAL", relax=1, panel_size=1, **_SYMMETRIC)
        except RuntimeError as singular:
            raise NotSolved(
                "the heads are not determined: reducing valves hold heads in a ring, or against each other"
            ) from singular
        return Factors(lower_upper, conductance, holding, no_supply)

    def corrections(
        self, factors: Factors, mass_excess: FloatArray, missing_head: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Corrections of the heads [m] and of the flows of the reducing valves [m3/s].

        `mass_excess` [m3/s] per node is the right side of its balance; `missing_head` [m] is per reducing
        valve.
        """
        right = np.concatenate([mass_excess, np.zeros(len(self._valves))])
        right[: self._nodes][self._fixed | factors.no_supply] = 0.0
        if factors.holding.any():
            at = self._end[self._valves][factors.holding]
            right[np.flatnonzero(factors.holding) + self._nodes] = right[at]
            right[at] = missing_head[factors.holding]
        ordered = np.empty_like(right)
        ordered[self._place] = right
        solved: FloatArray = factors.lower_upper.solve(ordered)[self._place]
        return solved[: self._nodes], solved[self._nodes :]

    def _list_entries(self) -> None:
        """Row, column, sign and source of every term; sources are links, then valves, then the diagonal."""
        nodes, links, valves = self._nodes, self._links, self._valves
        every = np.arange(links)
        free_start, free_end = every[~self._fixed[self._start]], every[~self._fixed[self._end]]
        free = every[~self._fixed[self._start] & ~self._fixed[self._end]]
        into = np.flatnonzero(~self._fixed[self._start[valves]])
        number = np.arange(len(valves))
        diagonal = np.arange(self._size)
        start, end = self._start, self._end
        terms = [
            (start[free_start], start[free_start], 1.0, free_start),
            (end[free_end], end[free_end], 1.0, free_end),
            (start[free], end[free], -1.0, free),
            (end[free], start[free], -1.0, free),
            (start[valves][into], nodes + into, 1.0, links + into),
            (end[valves], nodes + number, -1.0, links + number),
            (diagonal, diagonal, 1.0, links + len(valves) + diagonal),
        ]
        self._row: IntArray = np.concatenate([t[0] for t in terms])
        self._column: IntArray = np.concatenate([t[1] for t in terms])
        self._sign: FloatArray = np.concatenate([np.full(len(t[0]), t[2]) for t in terms])
        self._source: IntArray = np.concatenate([t[3] for t in terms])

    def _elimination_order(self) -> IntArray:
        """Place of each unknown in the order that keeps the factors sparse; found once, by minimum degree."""
        weight = np.where(self._row == self._column, 1.0, -1e-3)
        plain = coo_array((weight, (self._row, self._column)), shape=(self._size, self._size)).tocsc()
        factors = splu(plain, permc_spec="MMD_AT_PLUS_A", relax=1, panel_size=1, **_SYMMETRIC)
        return np.asarray(factors.perm_c, dtype=np.int64)

    def _build_pattern(self) -> None:
        """Compressed columns of all entries, and of the mass balances moved to the rows of valves."""
        # The diagonal comes last in the list and stays where it is; all other entries can move.
        by_row = np.argsort(self._row[: -self._size], kind="stable")
        ends = self._end[self._valves]
        first = np.searchsorted(self._row[by_row], ends, side="left")
        last = np.searchsorted(self._row[by_row], ends, side="right")
        moved = [by_row[a:b] for a, b in zip(first, last, strict=True)]
        self._moved: IntArray = np.concatenate([*moved, np.empty(0, dtype=np.int64)]).astype(np.int64)
        self._moved_by: IntArray = np.repeat(np.arange(len(ends)), last - first)
        rows = self._place[np.concatenate([self._row, self._nodes + self._moved_by])]
        columns = self._place[np.concatenate([self._column, self._column[self._moved]])]
        key, place = np.unique(columns * self._size + rows, return_inverse=True)
        self._position, self._moved_position = place[: len(self._row)], place[len(self._row) :]
        self._rows = (key % self._size).astype(np.int32)
        starts = np.searchsorted(key // self._size, np.arange(self._size + 1))
        self._columns_start = starts.astype(np.int32)

    def _redirected(self, holding: BoolArray) -> IntArray:
        """Where each entry goes while these valves hold."""
        position = self._position.copy()
        now = holding[self._moved_by]
        position[self._moved[now]] = self._moved_position[now]
        return position
