# SPDX-License-Identifier: Apache-2.0
"""Pipes of one size and kind that follow on each other: a fault of size is told once for each stretch."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from riser.network.types import Flags, Ints
from riser.sizing.fixture_units.building_sizes import BuildingSizes
from riser.sizing.ways_home import WaysHome


@dataclass(frozen=True)
class Stretch:
    """Rows of the size table in the direction of the way home; `last` is nearest home."""

    rows: tuple[int, ...]

    @property
    def first(self) -> int:
        """The row farthest from home."""
        return self.rows[0]

    @property
    def last(self) -> int:
        """The row nearest home."""
        return self.rows[-1]


def stretches(building: BuildingSizes, chosen: Flags, way: WaysHome, points: Ints) -> list[Stretch]:
    """The chosen rows as stretches: runs that follow on each other with the same kind, pipe and least size.

    `points` gives the point of each row in `way`, -1 where it has none.
    """
    rows = np.flatnonzero(chosen & building.is_run & (points >= 0))
    row_at = {int(points[row]): int(row) for row in rows.tolist()}
    known = set(points[building.is_run & (points >= 0)].tolist())
    end = {row: row for row in rows.tolist()}
    for row in rows[np.argsort(way.distance_m[points[rows]], kind="stable")].tolist():
        after = row_at.get(_next_run(way, int(points[row]), known), -1)
        if after >= 0 and _alike(building, row, after):
            end[row] = end[after]
    members: dict[int, list[int]] = defaultdict(list)
    for row in rows[np.argsort(-way.distance_m[points[rows]], kind="stable")].tolist():
        members[end[row]].append(row)
    return [Stretch(tuple(found)) for _, found in sorted(members.items())]


def _next_run(way: WaysHome, point: int, known: set[int]) -> int:
    """The point of the next run on the way home, joints and devices passed; -1 where there is none."""
    for onward in way.onward(int(way.next_point[point])):
        if onward in known:
            return onward
    return -1


def _alike(building: BuildingSizes, one: int, other: int) -> bool:
    same_least = building.least_m[one] == building.least_m[other] or bool(
        np.isnan(building.least_m[one]) and np.isnan(building.least_m[other])
    )
    return bool(
        building.kind[one] == building.kind[other]
        and building.pipe[one] == building.pipe[other]
        and same_least
    )
