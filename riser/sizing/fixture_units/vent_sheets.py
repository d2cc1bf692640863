# SPDX-License-Identifier: Apache-2.0
"""Sizes of single vents told as trees, with the rule rows used and those passed over."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from riser.audit import Derived, Node, Rejected, formula, largest, total
from riser.errors import NotInRules
from riser.hydraulics.quantity import Quantity
from riser.network.types import Flags, Floats
from riser.rules import RuleSet, first_not_less_derived
from riser.rules.nominal import MATCHED_BY, nominal_words
from riser.sizing.fixture_units.drain_sheets import DrainSheets
from riser.sizing.fixture_units.drain_sizes import foot_step
from riser.sizing.fixture_units.drain_tables import BRANCHES, NEARLY
from riser.sizing.fixture_units.vent_sizes import VentSizes
from riser.sizing.fixture_units.vent_tables import VENTS, vent_rows, vent_sizes
from riser.sizing.length_sheets import DEVELOPED, edge_name, length_node
from riser.sizing.load_sheets import nominal_given
from riser.sizing.pipe_kinds import PipeKind
from riser.sizing.rule_words import demand_basis
from riser.sizing.vent_tree import VentTree


@formula("least_m = share * drain_m", unit="m", basis="share of the drain served")
def share_of_drain(share: Quantity, drain_m: Quantity) -> Quantity:
    """The least size of a vent by the drain it serves [m]."""
    return share * drain_m


@dataclass(frozen=True)
class VentSheets:
    """Writes the derivation of any vent; `stack_m` is the nominal size of each stack."""

    vents: VentTree
    found: VentSizes
    drains: DrainSheets
    stack_m: Floats

    def least_size(self, point: int) -> Derived:
        """The least nominal size of the vent leaving a point [m]; NotInRules beyond the tables."""
        kind = PipeKind(int(self.vents.kind[point]))
        if self.vents.is_main[point]:
            return self._main(
                self.stack_given(point), self.load(point), self.length(point), kind == PipeKind.VENT_HEADER
            )
        if kind == PipeKind.DRY:
            raise NotInRules(f"{self.name(point)} serves no drain, or leads to no open air")
        own = self._other(point)
        if kind != PipeKind.RELIEF_VENT:
            return own
        stack = int(self.found.relief_stack[point])
        size = replace(self._vent_of_stack(stack), name="size of the vent stack")
        return largest("least size", [own, size], demand_basis(self._rule_set, "relief_as_vent_stack"))

    @property
    def _rule_set(self) -> RuleSet:
        return self.vents.drains.rule_set

    def _main(self, stack: Node, load: Node, length: Node, is_header: bool) -> Derived:
        table = self._rule_set.table(VENTS)
        group, units = vent_rows(table, stack.number, load.number)
        by_load = first_not_less_derived(
            "row by load", table, "fixture_units", "fixture_units", load, stack=group
        )
        by_length = first_not_less_derived(
            "size by length", table, "vent", "length", length, stack=group, fixture_units=units
        )
        by_length = replace(by_length, inputs=(stack, by_load, *by_length.inputs))
        if is_header:
            basis = f"{demand_basis(self._rule_set, 'header_as_extension')}: {by_length.basis}"
            by_length = replace(by_length, basis=basis)
        least = self._step(self._half(stack), 0, "size by the drain served")
        winner = by_length if by_length.number >= least.number else least
        return largest("least size", [by_length, least], winner.basis)

    def _other(self, point: int) -> Derived:
        half, length = self._half(self._drain(point)), self.length(point)
        long = self._rule_set.limit("vent_long_length")
        up = self._rule_set.limit("vent_long_sizes_up")
        is_long = length.number > long.number / NEARLY
        size = self._step(half, int(up.number) if is_long else 0, "least size")
        words = "longer" if is_long else "not longer"
        text = f"{size.formula}; the vent is {words} than the length from which it goes up"
        extra: tuple[Node, ...] = (length, long.given(), *((up.given(),) if is_long else ()))
        return replace(size, formula=text, inputs=(*size.inputs, *extra))

    def _half(self, drain: Node) -> Derived:
        limit = self._rule_set.limit("vent_size_min")
        share = self._rule_set.limit("vent_share_of_drain")
        half = share_of_drain.derive(share.given(), drain, name="share of the drain served")
        return largest("least by the drain served", [half, limit.given("least vent")], share.clause.text)

    def _step(self, least: Derived, up: int, name: str) -> Derived:
        """The next size in which vents come, and so many more."""
        ladder = vent_sizes(self._rule_set.table(VENTS))
        place = int(np.searchsorted(ladder, least.number * NEARLY))
        if place + up >= len(ladder):
            raise NotInRules(f"{self._rule_set.title}: no vent size is as large as {least.number:.4f} m")
        rejected = tuple(
            Rejected(nominal_words(float(s), "in"), "smaller") for s in ladder[: place + up].tolist()
        )
        text = "the next size in which vents come" + (f", and {up} more" if up else "")
        return Derived(name, float(ladder[place + up]), "m", text, (least,), least.basis, "", rejected)

    def _drain(self, point: int) -> Node:
        """The required size of the drain a vent serves [m]."""
        at = int(self.found.drain_at[point])
        if at >= 0:
            size = self.drains.least_size(at)
            return replace(size, name=f"required size of the drain served, {self.drains.name(at)}")
        table = self._rule_set.table(BRANCHES)
        size = first_not_less_derived("size of a common branch", table, "size", "branch", self.load(point))
        return replace(size, basis=f"{demand_basis(self._rule_set, 'common_branch')}: {size.basis}")

    def load(self, point: int) -> Derived:
        """The load of the drains a vent serves [dfu]: of its stacks, or of all drains it meets."""
        if self.vents.is_main[point]:
            stacks = self.stacks_of(point)
            loads = [self._stack_load(s) for s in stacks]
            if len(loads) == 1:
                return loads[0]
            return total("load of all stacks that share the vent", loads, self._rule_set.table(VENTS).cited)
        served = [p for p in np.flatnonzero(self.vents.way.upstream(point)).tolist() if self.vents.served[p]]
        loads = [replace(self.drains.load(p), name=f"load of {self.drains.name(p)}") for p in served]
        return total("load of the drains served", loads, "all drains that the vent meets", unit="dfu")

    def stacks_of(self, point: int) -> list[int]:
        """The stacks whose vent passes a point."""
        pairs = self.vents.ways_of_stacks
        return [int(stack) for stack in pairs[pairs[:, 0] == point, 1]]

    def _stack_load(self, stack: int) -> Derived:
        foot = foot_step(self.vents.drains, self.vents.drains.stacks[stack].points)
        return replace(self.drains.load(foot), name=f"load of {self._stack_name(stack)}")

    def _stack_name(self, stack: int) -> str:
        one = self.vents.drains.stacks[stack]
        foot = self.drains.name(foot_step(self.vents.drains, one.points))
        return one.name or f"the stack through {foot}"

    def stack_given(self, point: int) -> Derived:
        """The nominal size of the stack that a vent serves, the largest of several [m]."""
        sizes = [self._stack_size(s) for s in self.stacks_of(point)]
        return sizes[0] if len(sizes) == 1 else largest("largest stack", sizes, "stacks that share the vent")

    def _stack_size(self, stack: int) -> Derived:
        """The drawn size of a stack at its foot, or the least size there where that is larger [m]."""
        drains, sizes = self.vents.drains, self.drains.sizes
        foot = foot_step(drains, drains.stacks[stack].points)
        value, name = float(self.stack_m[stack]), f"size of {self._stack_name(stack)}"
        if value > sizes.least_m[foot]:
            pipe = int(drains.model.run_pipe[drains.run[foot]])
            text = "the drawn size at its foot, larger than the least size there"
            return Derived(name, value, "m", text, (nominal_given(drains.model, pipe),), MATCHED_BY)
        least = self.drains.least_size(foot)
        return replace(least, name=f"{name}, least at its foot where less is drawn")

    def _vent_of_stack(self, stack: int) -> Derived:
        one = self.vents.of_stack[stack]
        begun = one.foot or one.top
        if not begun:
            raise NotInRules(f"{self._stack_name(stack)} has no vent whose size a relief vent could take")
        far = max(begun, key=lambda p: float(self.vents.way.distance_m[p]))
        nowhere = np.zeros(len(self.vents.served), bool)
        length = self._along(far, nowhere)
        return self._main(self._stack_size(stack), self._stack_load(stack), length, False)

    def length(self, point: int) -> Derived:
        """The developed length that counts for a vent [m]."""
        if np.isnan(self.vents.developed_length_m[point]):
            raise NotInRules(f"{self.name(point)}: its developed length cannot be told")
        if self.drains.brief:
            value = float(self.vents.developed_length_m[point])
            return Derived("developed length", value, "m", "", (), DEVELOPED)
        start = self.vents.begins_at(point)
        if self.vents.is_main[point]:
            along = self._along(start, np.zeros(len(self.vents.served), bool))
            is_header = self.vents.kind[point] == PipeKind.VENT_HEADER
            return self._from_foot(start, along) if is_header else along
        return self._along(start, self.vents.is_main)

    def _along(self, start: int, stops: Flags) -> Derived:
        if self.drains.brief:
            return Derived(
                "developed length", float(self.vents.way.distance_m[start]), "m", "", (), DEVELOPED
            )
        return length_node(self.vents.drains.model, self.vents.way, start, stops, "developed length")

    def _from_foot(self, start: int, along: Derived) -> Derived:
        """A header's length as the direct extension of its farthest stack."""
        drains = self.vents.drains
        stack = next((s for s in drains.stacks if s.top == start), None)
        if stack is None:
            return along
        stops = np.zeros(len(self.vents.served), bool)
        stops[stack.foot] = True
        height = length_node(drains.model, drains.way, stack.top, stops, "length of the farthest stack")
        basis = demand_basis(self._rule_set, "header_as_extension")
        return total("developed length", [height, along], basis)

    def name(self, point: int) -> str:
        """The id of the vent leaving a point."""
        return edge_name(self.vents.drains.model, int(self.vents.way.edge[point]), point)
