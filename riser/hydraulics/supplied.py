# SPDX-License-Identifier: Apache-2.0
"""Which nodes have water: those joined by open links to a fixed head, directly or through holding valves."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from riser.hydraulics.quantity import BoolArray, IntArray


def supplied_nodes(
    start: IntArray, end: IntArray, is_open: BoolArray, holding: BoolArray, is_source: BoolArray
) -> BoolArray:
    """True for every node with a supply.

    A reducing valve that holds its head supplies its end if its start is supplied; it joins nothing
    backwards.
    """
    nodes = len(is_source)
    joined = coo_array((np.ones(int(is_open.sum())), (start[is_open], end[is_open])), shape=(nodes, nodes))
    parts, part = connected_components(joined, directed=False)
    has_supply = np.zeros(parts, dtype=bool)
    has_supply[part[is_source]] = True
    feeds = np.column_stack([part[start[holding]], part[end[holding]]])
    while feeds.size:
        ready = has_supply[feeds[:, 0]]
        has_supply[feeds[ready, 1]] = True
        if not ready.any():
            break
        feeds = feeds[~ready]
    supplied: BoolArray = has_supply[part]
    return supplied
