# SPDX-License-Identifier: Apache-2.0
"""What a building is to be: its towers, its columns over shafts, its wings around plants."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from . import shaft_plan as plan
from .placing import Place

STOREY_M = 3.15
RELIEF_STOREYS = 10


@dataclass(frozen=True)
class Column:
    """What stands over one shaft: its number, tower, where it stands, its zone, and what is special in it.

    `zone`: b boosted, m straight from the mains. `tall` names the storeys (0 lowest) where one shaft module
    reaches over two. `shower` has a shower room instead of the bathroom on its right. `rain_shift` offsets
    the rainwater pipe at the roof.
    """

    number: int
    tower: str
    place: Place
    zone: str = "b"
    tall: frozenset[int] = frozenset()
    shower: bool = False
    toilets: bool = False
    rain_shift: bool = False

    @property
    def shaft(self) -> str:
        """The shaft's name."""
        return f"S{self.number}"


@dataclass(frozen=True)
class Wing:
    """Columns that share a plant: where the plant stands, the y of the pavement in front, and the pipe of
    their collectors.
    """

    columns: tuple[Column, ...]
    plant: Place
    south_m: float = 0.0
    collector: str = "CI150"

    @property
    def both_zones(self) -> bool:
        """Whether some of its columns are fed straight from the mains."""
        return any(column.zone == "m" for column in self.columns)


@dataclass(frozen=True)
class Plan:
    """The whole building: storeys of each tower, its wings, the pipes in its shafts, and which parts are
    drawn on a type revision of their own.
    """

    storeys: Mapping[str, int]
    wings: tuple[Wing, ...]
    own_revisions: Mapping[str, str] = field(default_factory=dict)
    shaft: plan.Shaft = plan.STANDARD_SHAFT
    storey_m: float = STOREY_M

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """The columns of all wings."""
        return tuple(column for wing in self.wings for column in wing.columns)

    def revision(self, part: str) -> str:
        """The type revision of a part: A, unless the part has one of its own."""
        return self.own_revisions.get(part, "A")

    def has_relief(self, column: Column, storey: int) -> bool:
        """Whether stacks and vent stack are tied on a storey: at every tenth from the top of a tall tower."""
        storeys = self.storeys[column.tower]
        return storeys > RELIEF_STOREYS and (storeys - storey) % RELIEF_STOREYS == 0

    def tag(self, wing: Wing) -> str:
        """What tells the types of one wing from those of another: nothing in the first."""
        place = self.wings.index(wing)
        return "" if place == 0 else str(place + 1)

    def plant_name(self, wing: Wing) -> str:
        """The plant module of a wing: behind all feet on the podium's floor 01."""
        return f"P01-{len(self.columns) + 1 + self.wings.index(wing):02d}"
