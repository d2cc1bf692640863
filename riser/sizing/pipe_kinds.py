# SPDX-License-Identifier: Apache-2.0
"""What a drainage code calls a pipe: the part it plays decides by which table it is sized."""

from __future__ import annotations

from enum import IntEnum


class PipeKind(IntEnum):
    """The part a soil, waste or vent pipe plays.

    A fixture drain carries one fixture; a branch runs to a stack, a building branch to the building drain;
    the building drain lies below the foot of a stack. Dry pipes lead to no open air and carry nothing. A pipe
    in a ring, or without a way to an outfall, has no load that could be told.
    """

    FIXTURE_DRAIN = 0
    BRANCH = 1
    STACK = 2
    OFFSET = 3
    BUILDING_BRANCH = 4
    BUILDING_DRAIN = 5
    STACK_VENT = 6
    VENT_STACK = 7
    VENT_HEADER = 8
    RELIEF_VENT = 9
    BRANCH_VENT = 10
    INDIVIDUAL_VENT = 11
    PUMPED = 12
    DRY = 13
    RING = 14
    LOST = 15

    @property
    def words(self) -> str:
        """The kind as it stands on sheets."""
        return _WORDS[self]


_WORDS = {
    PipeKind.FIXTURE_DRAIN: "fixture drain",
    PipeKind.BRANCH: "horizontal branch",
    PipeKind.STACK: "stack",
    PipeKind.OFFSET: "horizontal offset",
    PipeKind.BUILDING_BRANCH: "branch of the building drain",
    PipeKind.BUILDING_DRAIN: "building drain",
    PipeKind.STACK_VENT: "stack vent",
    PipeKind.VENT_STACK: "vent stack",
    PipeKind.VENT_HEADER: "vent header",
    PipeKind.RELIEF_VENT: "relief vent",
    PipeKind.BRANCH_VENT: "branch vent",
    PipeKind.INDIVIDUAL_VENT: "individual vent",
    PipeKind.PUMPED: "pumped drain",
    PipeKind.DRY: "dry end",
    PipeKind.RING: "pipe in a ring",
    PipeKind.LOST: "pipe without a way home",
}

DRAIN_KINDS = frozenset(
    {
        PipeKind.FIXTURE_DRAIN,
        PipeKind.BRANCH,
        PipeKind.STACK,
        PipeKind.OFFSET,
        PipeKind.BUILDING_BRANCH,
        PipeKind.BUILDING_DRAIN,
    }
)
MAIN_VENTS = frozenset({PipeKind.STACK_VENT, PipeKind.VENT_STACK, PipeKind.VENT_HEADER})
OTHER_VENTS = frozenset({PipeKind.RELIEF_VENT, PipeKind.BRANCH_VENT, PipeKind.INDIVIDUAL_VENT})
