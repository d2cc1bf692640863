# SPDX-License-Identifier: Apache-2.0
"""What stands at the end of each day of hoisting."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from riser.network.model import Model
from riser.network.types import Flags


@dataclass(frozen=True, slots=True)
class Day:
    """One day of hoisting: which parts stand at its end, and the last floor's name."""

    number: int
    standing: Flags
    last_floor: str


def days(model: Model, pace: int) -> list[Day]:
    """The days on which the floors go up, `pace` floors a day in each building; one day where it is 0."""
    placed = model.placed
    everything = np.ones(len(placed.part_name), bool)
    if pace <= 0:
        return [Day(1, everything, "")]
    floor = np.where(placed.part_to_floor >= 0, placed.part_to_floor, placed.part_floor)
    building, order = placed.floors.building[floor], placed.floors.order[floor]
    below = np.array([placed.types.part_kind[t] == "below_slab" for t in placed.part_type])
    rank = np.zeros(len(floor))
    levels = sorted({float(level) for level in placed.floors.level_m[floor[~below]]})
    for name in sorted(set(building.tolist())):
        mine = building == name
        orders = sorted(set(order[mine & ~below].tolist()))
        rank[mine] = np.searchsorted(orders, order[mine])
    by_level = np.searchsorted(levels, placed.floors.level_m[floor])
    rank = np.where(below, 0, np.maximum(rank, by_level))
    found = []
    for number in range(1, ceil((int(rank.max()) + 1) / pace) + 1):
        standing = rank < number * pace
        top = int(floor[standing][np.argmax(placed.floors.level_m[floor[standing]])])
        found.append(Day(number, standing, placed.floors.label(top)))
    return found
