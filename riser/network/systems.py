# SPDX-License-Identifier: Apache-2.0
"""The twelve kinds of pipework, and which of them may meet.

A system is the kind of pipework; it is all that types name. A network (one connected system with its source
or outfall) is found by tracing.
"""

from __future__ import annotations

from enum import IntEnum

import numpy as np


class System(IntEnum):
    """The kinds of pipework, in no order of importance; the names are those of the job folder."""

    SOIL = 0
    WASTE = 1
    VENT = 2
    RAINWATER = 3
    CONDENSATE = 4
    COLD = 5
    HOT = 6
    HOT_RETURN = 7
    NON_POTABLE = 8
    FIRE = 9
    POWER = 10
    DATA = 11

    @property
    def label(self) -> str:
        """The word used in the job folder."""
        return self.name.lower()


SYSTEMS: tuple[str, ...] = tuple(s.label for s in System)

DRAINS = frozenset({System.SOIL, System.WASTE, System.RAINWATER, System.CONDENSATE})
FOUL = frozenset({System.SOIL, System.WASTE})
AIR = frozenset({System.SOIL, System.WASTE, System.VENT})
POTABLE = frozenset({System.COLD, System.HOT, System.HOT_RETURN})
SUPPLY = POTABLE | {System.NON_POTABLE}
PRESSURE = SUPPLY | {System.FIRE}
WET = DRAINS | PRESSURE
CONTAINMENT = frozenset({System.POWER, System.DATA})

# Order of work on a floor where systems.csv says nothing: the fire riser first, because it has to follow the
# building up; then by size and by what cannot be moved. Common practice, no source.
ORDER_OF_WORK: tuple[System, ...] = (
    System.FIRE,
    System.RAINWATER,
    System.SOIL,
    System.WASTE,
    System.VENT,
    System.CONDENSATE,
    System.COLD,
    System.HOT,
    System.HOT_RETURN,
    System.NON_POTABLE,
    System.POWER,
    System.DATA,
)


def _may_meet() -> np.ndarray:
    """Which systems may share one point inside a part, as a symmetric table of booleans."""
    table = np.eye(len(System), dtype=bool)
    pairs = [
        (System.SOIL, System.WASTE),
        (System.SOIL, System.VENT),
        (System.WASTE, System.VENT),
        (System.SOIL, System.CONDENSATE),
        (System.WASTE, System.CONDENSATE),
        (System.HOT, System.HOT_RETURN),
    ]
    for a, b in pairs:
        table[a, b] = table[b, a] = True
    return table


MAY_MEET = _may_meet()


def membership(systems: frozenset[System]) -> np.ndarray:
    """A boolean per system code, for use as a look-up on arrays of codes (index -1 means no system)."""
    flags = np.zeros(len(System) + 1, dtype=bool)
    flags[[int(s) for s in systems]] = True
    return flags
