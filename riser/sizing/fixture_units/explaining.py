# SPDX-License-Identifier: Apache-2.0
"""Any figure of the size table told as a tree, by the id of a run, a joint, a fixture or a stack."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riser.audit import Derived, Node, formula, smallest
from riser.errors import InputError, InputErrors, NotInRules
from riser.hydraulics.quantity import Quantity
from riser.rules import Table, bracket_derived, last_not_more_derived
from riser.rules.nominal import MATCHED_BY
from riser.sizing.carrying import (
    drain_flow_derived,
    drain_velocity_derived,
    stack_flow_derived,
    stack_velocity_derived,
)
from riser.sizing.fixture_units.building_sizes import BuildingSizes
from riser.sizing.fixture_units.deciding_rows import sized_point
from riser.sizing.fixture_units.drain_sheets import DrainSheets
from riser.sizing.fixture_units.drain_sizes import BY_FALL, foot_step
from riser.sizing.fixture_units.drain_tables import BRANCHES, BUILDING, COLUMNS, UNITS
from riser.sizing.fixture_units.vent_sheets import VentSheets
from riser.sizing.fixture_units.vent_tables import VENTS, vent_rows
from riser.sizing.load_sheets import nominal_given, pipe_given
from riser.sizing.pipe_kinds import PipeKind


@formula("margin = allowed - carried", unit="", basis="difference")
def margin_of(allowed: Quantity, carried: Quantity) -> Quantity:
    """What is left of what a drawn pipe may carry."""
    return allowed - carried


@dataclass(frozen=True)
class Explained:
    """One item of a building: its row in the table, the point of its drain or its vent."""

    building: BuildingSizes
    item: str
    row: int

    @cached_property
    def drains(self) -> DrainSheets:
        """What tells of drains."""
        return self.building.drain_sheets()

    @cached_property
    def vents(self) -> VentSheets:
        """What tells of vents."""
        return self.building.vent_sheets()

    @property
    def drain(self) -> int:
        """The point of the drain; -1 for a vent."""
        return int(self.building.drain_point[self.row])

    @property
    def vent(self) -> int:
        """The point of the vent whose size holds; -1 for a drain."""
        point = int(self.building.vent_point[self.row])
        return sized_point(self.building, point) if point >= 0 else -1

    @property
    def kind(self) -> PipeKind:
        """The part it plays."""
        return PipeKind(int(self.building.kind[self.row]))

    def size(self) -> Derived:
        """The least nominal size [m]."""
        if self.drain >= 0:
            return self.drains.least_size(self.drain)
        if self.vent >= 0:
            return self.vents.least_size(self.vent)
        raise NotInRules(f"{self.item} is a {self.kind.words}: it has no size to derive")

    def load(self) -> Derived:
        """The load [dfu]."""
        if self.drain >= 0:
            return self.drains.load(self.drain)
        if self.vent >= 0:
            return self.vents.load(self.vent)
        raise NotInRules(f"{self.item} is a {self.kind.words}: it carries no load")

    def drawn(self) -> Derived:
        """The drawn nominal size [m]."""
        pipe = int(self.building.pipe[self.row])
        if pipe < 0 or np.isnan(self.building.pipes.size_m[pipe]):
            name = self.building.pipes.nominal[pipe] if pipe >= 0 else ""
            raise NotInRules(f"{self.item}: the nominal size '{name}' is of no family the tables know")
        text = "the size that this name stands for in the tables"
        size = float(self.building.pipes.size_m[pipe])
        return Derived("drawn size", size, "m", text, (nominal_given(self.building.model, pipe),), MATCHED_BY)

    def length(self) -> Derived:
        """The developed length of a vent [m]."""
        self._only(self.vent >= 0, "developed length")
        return self.vents.length(self.vent)

    def fall(self) -> Derived:
        """The drawn fall [m/m]."""
        self._only(self.drain >= 0 and self.building.drains.run[self.drain] >= 0, "fall")
        return self.drains.fall(self.drain)

    def intervals(self) -> Derived:
        """The branch intervals of a stack."""
        self._only(self.kind == PipeKind.STACK, "count of branch intervals")
        return self.drains.intervals(self.drain)

    def capacity(self) -> Derived:
        """What the drawn size may carry [dfu], for the vent of a stack how long it may be [m]."""
        if self.vent >= 0:
            return self._longest()
        if self.kind == PipeKind.STACK:
            return self._in_column(self._stack_table, self._stack_column.value)
        if self.kind == PipeKind.BRANCH:
            return self._in_column(self._stack_table, "branch")
        self._only(self.kind in BY_FALL and self.building.drains.run[self.drain] >= 0, "capacity")
        fall = self.drains.printed_fall(self.drain)
        table = self.building.rule_set.table(BUILDING)
        return last_not_more_derived("capacity", table, UNITS, "size", self.drawn(), fall=fall.number)

    def margin(self) -> Derived:
        """What is left: the capacity less the load, or the longest length less the developed one."""
        if self.vent >= 0:
            return margin_of.derive(self.capacity(), self.length(), name="margin")
        total = margin_of.derive(self.capacity(), self.load(), name="margin of the total")
        if self.kind != PipeKind.STACK:
            return total
        allowed = self._in_column(self._stack_table, "one_interval")
        one = margin_of.derive(allowed, self.drains.interval_load(self.drain), name="margin of one interval")
        return smallest("margin", [total, one], "both columns hold")

    def flow(self) -> Derived:
        """What the drawn bore carries [m3/s] by physics, at the filling named in the sheet."""
        bore = self._bore()
        return (
            stack_flow_derived(bore) if self.kind == PipeKind.STACK else drain_flow_derived(bore, self.fall())
        )

    def velocity(self) -> Derived:
        """The velocity at that filling [m/s]."""
        bore = self._bore()
        if self.kind == PipeKind.STACK:
            return stack_velocity_derived(bore)
        return drain_velocity_derived(bore, self.fall())

    @property
    def _stack_table(self) -> Table:
        return self.building.rule_set.table(BRANCHES)

    @property
    def _stack_column(self) -> Derived:
        table = self.building.rule_set.table(COLUMNS)
        return bracket_derived("column for the stack", table, "column", self.intervals())

    def _in_column(self, table: Table, column: float | str) -> Derived:
        return last_not_more_derived("capacity", table, str(column), "size", self.drawn())

    def _longest(self) -> Derived:
        self._only(bool(self.building.vents.is_main[self.vent]), "longest length")
        table = self.building.rule_set.table(VENTS)
        stack, load = self.vents.stack_given(self.vent), self.vents.load(self.vent)
        group, units = vent_rows(table, stack.number, load.number)
        return last_not_more_derived(
            "longest length", table, "length", "vent", self.drawn(), stack=group, fixture_units=units
        )

    def _bore(self) -> Node:
        self._only(self.drain >= 0 and self.building.drains.run[self.drain] >= 0, "flow")
        pipe = int(self.building.pipe[self.row])
        return pipe_given(self.building.model, pipe, "bore_m", "bore")

    def _only(self, holds: bool, figure: str) -> None:
        if not holds:
            raise NotInRules(f"{self.item} is a {self.kind.words}: it has no {figure}")


FIGURES: dict[str, Callable[[Explained], Derived]] = {
    "size": Explained.size,
    "load": Explained.load,
    "drawn": Explained.drawn,
    "capacity": Explained.capacity,
    "margin": Explained.margin,
    "length": Explained.length,
    "fall": Explained.fall,
    "intervals": Explained.intervals,
    "flow": Explained.flow,
    "velocity": Explained.velocity,
}


def explained(building: BuildingSizes, item: str, figure: str = "size") -> Derived:
    """The derivation of one figure. Raises InputErrors for an unknown id or figure, NotInRules where the rule
    set gives no such figure for it.
    """
    if figure not in FIGURES:
        raise _unknown("figure", figure, f"one of {', '.join(FIGURES)}")
    row = _row(building, item)
    if row < 0:
        raise _unknown("id", item, "a run (PART/RUN), a joint, a fixture (PART/NODE) or the name of a stack")
    return FIGURES[figure](Explained(building, item, row))


def _row(building: BuildingSizes, item: str) -> int:
    """The row of an id; a fixture stands for its drain, a stack for the run above its foot; -1 for no id."""
    model = building.model
    place = {edge: row for row, edge in enumerate(building.edge.tolist())}
    if item in building.row_of:
        return building.row_of[item]
    named = [stack for stack in building.drains.stacks if stack.name == item and item]
    if named:
        point = foot_step(building.drains, named[0].points)
        return place[int(building.drains.way.edge[point])]
    node = int(model.placed.node_numbers([item])[0])
    fixtures = building.drains.loads.fixtures
    points = fixtures.point[fixtures.node == node]
    edge = int(building.drains.way.edge[points[0]]) if node >= 0 and len(points) else -1
    return place.get(edge, -1)


def _unknown(what: str, found: str, expected: str) -> InputErrors:
    return InputErrors([InputError("", None, what, f"'{found}'", expected, "Give another.")])
