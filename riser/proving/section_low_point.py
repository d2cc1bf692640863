# SPDX-License-Identifier: Apache-2.0
"""Sections whose pressure is set at their low point: fire mains, and pumped tests read at the fill point.

The line follows the lowest pipe of the section, so a section that reaches further down presses less at its
top. Each section in turn is the one that proves most of what is left, the higher one where two prove as many;
no claim is made that fewer sections would not do.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from riser.network.types import Flags, Floats
from riser.proving.section_cover import Barrier, Cells, Cover, Section
from riser.proving.section_heads import LEVEL_ROUNDING_M


def sections_from_the_low_point(cells: Cells, low_m: Floats, head_m: float) -> Cover:
    """Sections under `head_m` [m] at their lowest pipe; `low_m` is the lowest level of each cell.

    `demand` of the cells is level plus `head_m` of each connection: a connection is proven in any section
    whose water it stands in. Every cut can be shut against any line.
    """
    top = np.full(len(cells), -np.inf)
    np.maximum.at(top, cells.place_cell, cells.demand - head_m)
    found = [_around(cells, low_m, top, cell, float(low_m[cell] + head_m)) for cell in range(len(cells))]
    left = np.ones(len(cells.demand), bool)
    sections: list[Section] = []
    while left.any():
        counts = [int((chosen[cells.place_cell] & left).sum()) for chosen in found]
        best = max(range(len(cells)), key=lambda c: (counts[c], low_m[c]))
        if counts[best] == 0:
            break
        proves = found[best][cells.place_cell] & left
        sections.append(
            Section(float(low_m[best] + head_m), found[best], int(np.flatnonzero(proves)[0]), proves)
        )
        left &= ~proves
    barriers = {place: _barrier(cells, low_m, place, head_m) for place in np.flatnonzero(left).tolist()}
    return Cover(tuple(sections), barriers, min(len(sections), 1))


def _barrier(cells: Cells, low_m: Floats, place: int, head_m: float) -> Barrier:
    """Why the cell of a connection cannot be tested even by itself."""
    cell = int(cells.place_cell[place])
    weak = cells.limit[cell] < low_m[cell] + head_m - LEVEL_ROUNDING_M
    return Barrier.RATING if weak else Barrier.REACH


def _around(cells: Cells, low_m: Floats, top_m: Floats, cell: int, line_m: float) -> Flags:
    """The cells connected with this one that are not lower, bear the line, and stand in the water."""
    fit = (low_m >= low_m[cell] - LEVEL_ROUNDING_M) & (top_m <= line_m)
    fit &= cells.limit >= line_m - LEVEL_ROUNDING_M
    tied = fit[cells.cut_a] & fit[cells.cut_b]
    ends = (cells.cut_a[tied], cells.cut_b[tied])
    graph = coo_array((np.ones(int(tied.sum()), np.int8), ends), shape=(len(cells), len(cells)))
    piece = connected_components(graph, directed=False)[1]
    found: Flags = fit & (piece == piece[cell]) & fit[cell]
    return found
