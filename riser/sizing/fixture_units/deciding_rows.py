# SPDX-License-Identifier: Apache-2.0
"""How many rule rows decided each size, by certainty.

Pipes that used the same rows count the same; so the tree of one pipe of each sort is told, and its leaves
counted. What makes two pipes of one sort is everything a look-up can depend on.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable

import numpy as np

from riser.audit import DecidedBy, decided_by
from riser.errors import NotInRules
from riser.network.types import Floats, Ints
from riser.sizing.fixture_units.building_sizes import BuildingSizes
from riser.sizing.fixture_units.drain_sizes import foot_step
from riser.sizing.fixture_units.drain_tables import BUILDING, printed_falls
from riser.sizing.pipe_kinds import PipeKind

NONE = DecidedBy()


def deciding_rows(building: BuildingSizes) -> list[DecidedBy]:
    """For each row of the table how many rule rows decided its least size."""
    drains, vents = building.drain_sheets(brief=True), building.vent_sheets(brief=True)
    sorts = _drain_sorts(building)
    known: dict[Hashable, DecidedBy] = {}
    found = []
    least = building.least_m
    rows = zip(building.drain_point.tolist(), building.vent_point.tolist(), strict=True)
    for row, (drain, vent) in enumerate(rows):
        if np.isnan(least[row]) or (drain < 0 and vent < 0):
            found.append(NONE)
            continue
        sort: Hashable = (
            ("d", sorts[drain]) if drain >= 0 else _vent_sort(building, sorts, sized_point(building, vent))
        )
        if sort not in known:
            try:
                tree = (
                    drains.least_size(drain) if drain >= 0 else vents.least_size(sized_point(building, vent))
                )
                known[sort] = decided_by(tree)
            except NotInRules:
                known[sort] = NONE
        found.append(known[sort])
    return found


def sized_point(building: BuildingSizes, point: int) -> int:
    """The point of the vent run whose size a vent's joint takes over."""
    vents = building.vents
    if vents.run[point] >= 0:
        return point
    below = np.flatnonzero((vents.way.next_point == point) & ~np.isnan(building.vent_sizes.least_m))
    if not len(below):
        return point
    return int(below[np.argmax(building.vent_sizes.least_m[below])])


def _drain_sorts(building: BuildingSizes) -> Ints:
    """A number per point: equal where the same rule rows decide the drain leaving it."""
    tree, sizes = building.drains, building.drain_sizes
    loads = tree.loads
    has_row = np.array([c.row is not None for c in loads.classes], bool)
    present = (loads.counts > 0) & has_row
    kind = tree.kind
    alone = kind == PipeKind.FIXTURE_DRAIN
    fall = printed_falls(tree.rule_set.table(BUILDING), tree.table_fall_m_per_m)
    figures = [
        kind,
        tree.runs_to_stack,
        loads.flow_m3s > 0.0,
        np.where(kind == PipeKind.STACK, tree.figures.intervals, 0),
        sizes.by_load_m,
        sizes.by_interval_m,
        fall,
        sizes.share_m,
        np.where(alone, np.argmax(loads.counts, axis=1) if loads.classes else 0, -1),
        sizes.beyond,
        np.isnan(sizes.own_m),
    ]
    own = _numbered([*figures, *present.T])
    foot = _feet(building)
    origin = sizes.origin
    parts = [own, own[origin], foot, foot[origin]]
    with_feet = [np.where(f >= 0, own[f], -1) for f in (foot, foot[origin])]
    with_origins = [np.where(f >= 0, own[origin[f]], -1) for f in (foot, foot[origin])]
    return _numbered([*parts[:2], *with_feet, *with_origins])


def _feet(building: BuildingSizes) -> Ints:
    """For each step of a stack the point of its last run; -1 elsewhere."""
    tree = building.drains
    foot = np.full(len(tree.way.edge), -1, np.int64)
    for stack in tree.stacks:
        foot[stack.points[:-1][~stack.offset]] = foot_step(tree, stack.points)
    return foot


def _numbered(columns: Iterable[Ints | Floats]) -> Ints:
    """A number per row of the columns: equal rows have equal numbers."""
    table = np.stack([np.nan_to_num(np.asarray(c, dtype=float), nan=-1.0) for c in columns], axis=1)
    return np.unique(table, axis=0, return_inverse=True)[1].ravel()


def _vent_sort(building: BuildingSizes, sorts: Ints, point: int) -> Hashable:
    found, vents = building.vent_sizes, building.vents
    kind, least = int(vents.kind[point]), float(found.least_m[point])
    if vents.is_main[point]:
        sheets = building.vent_sheets(brief=True)
        return ("m", kind, tuple(sheets.stacks_of(point)), least, float(vents.developed_length_m[point]))
    at = int(found.drain_at[point])
    length = float(vents.developed_length_m[point])
    limit = building.rule_set.limit("vent_long_length").number
    common = point if at < 0 else -1
    relief = int(found.relief_stack[point])
    return ("o", kind, int(sorts[at]) if at >= 0 else -1, common, relief, least, length > limit)
