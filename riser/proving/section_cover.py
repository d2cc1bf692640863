# SPDX-License-Identifier: Apache-2.0
"""The fewest tests that prove every connection that can be proven at all.

Shutting every place where a section may be cut leaves **cells**: pipework that no plug can divide. A section
is a connected set of cells under one line. Each cell bears lines up to its `limit`, each cut can be shut
against lines up to its `cut_limit`, and a connection is proven by a line at or above its `demand`.

Under one line the largest section around a cell proves all that any section there proves, and a lower line
never makes it smaller. So the lines that prove a connection form a piece of the way from its cell to ever
larger sections, and the connection with the highest demand, put under exactly that demand, leaves the others
the best chance: the usual argument for stabbing intervals, here on a tree of nested sections. The count is
exact for any network, with loops or without, and the connections that opened the sections prove it: no two of
them can ever be in one test.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from riser.network.types import Flags, Floats, Ints
from riser.proving.section_heads import LEVEL_ROUNDING_M


class Barrier(StrEnum):
    """Why no section can prove a connection."""

    RATING = "a component or closure of its own cell bears less than the test needs"
    NEIGHBOUR = "the pipework that cannot be shut off from it bears less than the test needs"
    REACH = "water cannot stand high enough above it"


@dataclass(frozen=True)
class Cells:
    """Cells and cuts as arrays; lines in metres above datum.

    `reach` is the highest line that an opening of the cell lets in (infinite where a pump gives the pressure,
    minus infinite for a cell without an opening). `place_cell` and `demand` are per connection.
    """

    limit: Floats
    reach: Floats
    cut_a: Ints
    cut_b: Ints
    cut_limit: Floats
    place_cell: Ints
    demand: Floats

    def __len__(self) -> int:
        return len(self.limit)


@dataclass(frozen=True)
class Section:
    """One test: its line, its cells, and the connections that needed it first and that it proves."""

    line_m: float
    cells: Flags
    opened_by: int
    proves: Flags


@dataclass(frozen=True)
class Cover:
    """All tests, and why the rest is not proven. `bound` is the least number of tests any plan needs."""

    sections: tuple[Section, ...]
    barriers: dict[int, Barrier]
    bound: int


def section_cells(cells: Cells, line_m: float, cell: int) -> tuple[Flags, Barrier | None]:
    """The largest section around a cell under a line, or why there is none."""
    none = np.zeros(len(cells), bool)
    if cells.limit[cell] < line_m - LEVEL_ROUNDING_M:
        return none, Barrier.RATING
    tied = cells.cut_limit < line_m - LEVEL_ROUNDING_M
    block = _pieces(len(cells), cells.cut_a[tied], cells.cut_b[tied])
    weak = np.zeros(len(cells), bool)
    weak[block[cells.limit < line_m - LEVEL_ROUNDING_M]] = True
    usable = ~weak[block]
    if not usable[cell]:
        return none, Barrier.NEIGHBOUR
    open_cuts = usable[cells.cut_a] & usable[cells.cut_b]
    piece = _pieces(len(cells), cells.cut_a[open_cuts], cells.cut_b[open_cuts])
    chosen: Flags = usable & (piece == piece[cell])
    if np.max(cells.reach[chosen]) < line_m - LEVEL_ROUNDING_M:
        return none, Barrier.REACH
    return chosen, None


def _pieces(count: int, a: Ints, b: Ints) -> Ints:
    graph = coo_array((np.ones(len(a), np.int8), (a, b)), shape=(count, count))
    return connected_components(graph, directed=False)[1].astype(np.int32)


def proven_by(cells: Cells, line_m: float, chosen: Flags) -> Flags:
    """Which connections a section proves."""
    flags: Flags = chosen[cells.place_cell] & (cells.demand <= line_m + LEVEL_ROUNDING_M)
    return flags


def fewest_sections(cells: Cells) -> Cover:
    """The fewest sections that prove every provable connection, from the highest demand down."""
    open_places = np.ones(len(cells.demand), bool)
    sections: list[Section] = []
    barriers: dict[int, Barrier] = {}
    for place in np.argsort(-cells.demand, kind="stable").tolist():
        if not open_places[place]:
            continue
        line = float(cells.demand[place])
        chosen, barrier = section_cells(cells, line, int(cells.place_cell[place]))
        if barrier is not None:
            barriers[place] = barrier
            open_places[place] = False
            continue
        proves = proven_by(cells, line, chosen)
        sections.append(Section(line, chosen, place, proves & open_places))
        open_places &= ~proves
    return Cover(tuple(sections), barriers, len(sections))


def highest_standing_m(cells: Cells, cell: int) -> float:
    """The highest line that can be set on a cell at all [m]; minus infinite where none can."""
    ends = np.concatenate([cells.limit, cells.cut_limit, cells.reach])
    for line in np.unique(ends[np.isfinite(ends)])[::-1].tolist():
        if section_cells(cells, line, cell)[1] is None:
            return float(line)
    return -np.inf


def stands_at_the_top(cells: Cells, cell: int, line_m: float) -> bool:
    """Whether it is the top of the pipework, and no rating, that keeps the line from standing higher."""
    chosen, barrier = section_cells(cells, line_m, cell)
    return barrier is None and bool(np.max(cells.reach[chosen]) <= line_m + LEVEL_ROUNDING_M)


def trimmed(cells: Cells, section: Section, closures: Callable[[Flags], int]) -> Flags:
    """The section without the outer cells that prove nothing, where leaving them out saves closures.

    A heuristic: one cell at a time. The section stays connected, keeps its opening for the water and holds
    every connection it was to prove.
    """
    kept, least = section.cells.copy(), closures(section.cells)
    needed = np.zeros(len(cells), bool)
    needed[cells.place_cell[section.proves]] = True
    for cell in np.flatnonzero(kept & ~needed).tolist():
        tried = kept.copy()
        tried[cell] = False
        if not _holds(cells, section.line_m, tried):
            continue
        count = closures(tried)
        if count < least:
            kept, least = tried, count
    return kept


def _holds(cells: Cells, line_m: float, chosen: Flags) -> bool:
    """Whether these cells are connected, reach the line, and can be shut off from the others."""
    inside = chosen[cells.cut_a] & chosen[cells.cut_b]
    piece = _pieces(len(cells), cells.cut_a[inside], cells.cut_b[inside])
    edge = chosen[cells.cut_a] != chosen[cells.cut_b]
    return (
        len(np.unique(piece[chosen])) == 1
        and bool(np.max(cells.reach[chosen]) >= line_m - LEVEL_ROUNDING_M)
        and bool(np.all(cells.cut_limit[edge] >= line_m - LEVEL_ROUNDING_M))
    )


def least_tests(demand: Floats, bears: Floats) -> int:
    """Tests that no plan can do without, whatever is cut where and when.

    `bears` is the highest line that each connection itself bears. Two connections of which one needs more
    than the other bears are never in one test; this counts the most that are pairwise so. Connections that
    bear less than they need are left out.
    """
    count, last = 0, np.inf
    for at in np.argsort(-demand, kind="stable").tolist():
        if bears[at] < demand[at] - LEVEL_ROUNDING_M:
            continue
        if bears[at] < last - LEVEL_ROUNDING_M:
            count, last = count + 1, float(demand[at])
    return count
