# SPDX-License-Identifier: Apache-2.0
"""Faultless towers of any height and width, for figures and tests: one tower over rows of shafts."""

from __future__ import annotations

from .building_plan import Column, Plan, Wing
from .placing import Place
from .shaft_plan import Shaft
from .sound import Sound, sound_building

COLUMN_PITCH_M = 8.2
WING_PITCH_M = 40.0
# Drainage fixture units of one storey of one column, and what collectors of each size carry at 1 in 96
# (the load table of building drains that the demo's rule set prints).
LOAD_OF_STOREY = 24
COLLECTORS = ((700, "CI150"), (1600, "CI200"), (2900, "CI250"))
# Above so many storeys the vent stack of DN125 is too long for its load.
STOREYS_OF_NARROW_VENT = 25


def tower_plan(storeys: int, columns: int, columns_of_wing: int = 4) -> Plan:
    """One tower of so many storeys over so many shafts, all boosted; every other column is mirrored."""
    wings: list[Wing] = []
    for first in range(0, columns, columns_of_wing):
        count = min(columns_of_wing, columns - first)
        y = WING_PITCH_M * len(wings)
        row = tuple(
            Column(
                first + n + 1,
                "A",
                Place(10.0 + COLUMN_PITCH_M * n, 10.0 + y, mirrored=n % 2 == 1),
                shower=n % 2 == 1,
            )
            for n in range(count)
        )
        plant = Place(8.0 + COLUMN_PITCH_M * count, 9.0 + y)
        wings.append(Wing(row, plant, y, collector_pipe(storeys * count * LOAD_OF_STOREY)))
    pipes = {"VS": "CI150"} if storeys > STOREYS_OF_NARROW_VENT else {}
    return Plan({"A": storeys}, tuple(wings), shaft=Shaft(pipes=pipes))


def collector_pipe(load: int) -> str:
    """The smallest collector for a load in drainage fixture units."""
    for most, pipe in COLLECTORS:
        if load <= most:
            return pipe
    raise ValueError(
        f"{load} drainage fixture units are too many for one collector: take fewer columns a wing"
    )


def tower(storeys: int, columns: int) -> Sound:
    """A faultless tower."""
    return sound_building(tower_plan(storeys, columns))
