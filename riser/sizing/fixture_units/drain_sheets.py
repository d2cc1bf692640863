# SPDX-License-Identifier: Apache-2.0
"""Sizes of single drains told as trees, with the rule rows used and those passed over.

The look-ups are the row-by-row siblings of those that size the whole building at once; a test holds both
equal.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from riser.audit import Assumed, Derived, Given, InFile, InRules, Node, Rejected, formula, largest
from riser.errors import NotInRules
from riser.hydraulics.quantity import Quantity
from riser.rules import bracket_derived, first_not_less_derived
from riser.sizing.drain_tree import DrainTree, drawn_fall, fall_within_rounding
from riser.sizing.fixture_units.drain_sizes import BY_FALL, Decided, DrainSizes, closet_size, foot_step
from riser.sizing.fixture_units.drain_tables import BRANCHES, BUILDING, COLUMNS, UNITS, printed_falls
from riser.sizing.length_sheets import edge_name, run_file
from riser.sizing.load_sheets import brief_load, level_given, load_node
from riser.sizing.loads import UNITS_TABLE
from riser.sizing.pipe_kinds import PipeKind
from riser.sizing.rule_words import demand_basis
from riser.sizing.stacks import LEVEL_ROUNDING_M, Interval, Stack


@formula("drop_m = start_level_m - end_level_m", unit="m", basis="levels in the direction of flow")
def level_difference(start_level_m: Quantity, end_level_m: Quantity) -> Quantity:
    """How far a pipe falls [m]."""
    return start_level_m - end_level_m


@formula("least_m = share * largest_m", unit="m", basis="share of the largest size of a stack")
def share_of_largest(share: Quantity, largest_m: Quantity) -> Quantity:
    """The least size the upper part of a stack may have [m]."""
    return share * largest_m


@dataclass(frozen=True)
class DrainSheets:
    """Writes the derivation of any drain of a tree; `brief` leaves out where things are drawn."""

    tree: DrainTree
    sizes: DrainSizes
    brief: bool = False

    @cached_property
    def _stack_at(self) -> dict[int, int]:
        places = np.flatnonzero(self.tree.figures.stack >= 0).tolist()
        return {p: int(self.tree.figures.stack[p]) for p in places}

    def load(self, point: int) -> Derived:
        """The load of the pipe leaving a point [dfu]."""
        tree = self.tree
        if self.brief:
            return brief_load(tree.rule_set, tree.loads, point)
        return load_node(tree.model, tree.rule_set, tree.way, tree.loads, point)

    def least_size(self, point: int) -> Derived:
        """The least nominal size of the drain leaving a point [m].

        Raises NotInRules where the tables end before the load does.
        """
        origin = int(self.sizes.origin[point])
        if origin == point:
            return self.own_size(point)
        upstream = replace(
            self.own_size(origin), name=f"least size of {self.name(origin)}, which drains here"
        )
        own = [self.own_size(point)] if not np.isnan(self.sizes.own_m[point]) else []
        basis = demand_basis(self.tree.rule_set, "no_narrowing")
        return largest("least size", [*own, upstream], basis)

    def own_size(self, point: int, *, with_share: bool = True) -> Derived:
        """The size for what the pipe itself carries [m], before what flows in is looked at."""
        if self.sizes.beyond[point] or np.isnan(self.sizes.own_m[point]):
            self._refuse(point)
        candidates = self._candidates(point)
        if with_share and not np.isnan(self.sizes.share_m[point]):
            candidates.append(self._share(point))
        if len(candidates) == 1 and isinstance(candidates[0], Derived):
            return replace(candidates[0], name="least size")
        return largest("least size", candidates, self._deciding_basis(candidates))

    def _candidates(self, point: int) -> list[Node]:
        tree, kind = self.tree, PipeKind(int(self.tree.kind[point]))
        found: list[Node] = []
        closet = closet_size(tree.rule_set) if tree.loads.closets[point] else None
        trap = self._trap(point) if kind == PipeKind.FIXTURE_DRAIN else None
        if trap is not None:
            found.append(trap)
        elif kind == PipeKind.STACK:
            found += self._stack(point)
        elif kind in BY_FALL:
            found.append(self._by_fall(point))
        elif kind == PipeKind.BRANCH:
            found.append(self._branch(point))
        elif closet is None:
            found.append(self._branch(point) if tree.runs_to_stack[point] else self._by_fall(point))
        if closet is not None:
            found.append(closet.given("least size of a drain with a water closet"))
        return found

    def _deciding_basis(self, candidates: list[Node]) -> str:
        winner = max(candidates, key=lambda node: node.number)
        return winner.basis if isinstance(winner, Derived) else _clause(winner)

    def _trap(self, point: int) -> Given | None:
        loads = self.tree.loads
        if not len(loads.counts[point]):
            return None
        one = loads.classes[int(np.argmax(loads.counts[point]))]
        if one.row is None or not one.row.row(UNITS_TABLE).has("trap"):
            return None
        return one.row.row(UNITS_TABLE).given("trap", f"least trap of {one.words}")

    def _branch(self, point: int) -> Derived:
        table = self.tree.rule_set.table(BRANCHES)
        return first_not_less_derived("size of the branch", table, "size", "branch", self.load(point))

    def _by_fall(self, point: int) -> Derived:
        table, fall = self.tree.rule_set.table(BUILDING), self.printed_fall(point)
        load = self.load(point)
        found = first_not_less_derived("size by load and fall", table, "size", UNITS, load, fall=fall.number)
        cell = table.first_not_less(UNITS, load.number, fall=fall.number).row.given("fall")
        basis = found.basis
        if self.tree.kind[point] == PipeKind.OFFSET:
            basis = f"{demand_basis(self.tree.rule_set, 'offset_as_building_drain')}: {basis}"
        return replace(found, inputs=(fall, *found.inputs, cell), basis=basis)

    def fall(self, point: int) -> Derived:
        """The drawn fall of the run leaving a point [m/m]."""
        return drawn_fall.derive(*self._drop_and_plan(point), name="fall")

    def _drop_and_plan(self, point: int) -> tuple[Node, Node]:
        tree, name = self.tree, self.name(point)
        start, end = level_given(tree.model, point), level_given(tree.model, int(tree.way.next_point[point]))
        drop = level_difference.derive(start, end, name=f"drop of {name}")
        file, row = run_file(tree.model, int(tree.run[point]))
        plan = Given(
            f"length of {name} in plan", float(tree.plan_m[point]), "m", InFile(file, row, "from, to, via")
        )
        return drop, plan

    def printed_fall(self, point: int) -> Derived:
        """The largest fall the table prints that is not more than the drawn one [m/m]."""
        rounding = Given("rounding of levels", LEVEL_ROUNDING_M, "m", Assumed("levels are whole millimetres"))
        table = self.tree.rule_set.table(BUILDING)
        fall = fall_within_rounding.derive(*self._drop_and_plan(point), rounding, name="fall within rounding")
        printed = float(printed_falls(table, np.array([fall.number]))[0])
        if np.isnan(printed):
            raise NotInRules(f"{table.cited} has no column for a fall of {fall.number:.5f} m/m")
        larger = [float(f) for f in table.distinct("fall") if float(f) > printed]
        rejected = tuple(
            Rejected(table.shown("fall", f), f"more than {fall.number:.5f} m/m") for f in sorted(larger)
        )
        text = "the largest printed fall that is not more than the fall"
        return Derived("fall that holds", printed, "m/m", text, (fall,), table.cited, "", rejected)

    def _stack(self, point: int) -> list[Node]:
        rule_set = self.tree.rule_set
        table = rule_set.table(BRANCHES)
        column = bracket_derived(
            "column for the stack", rule_set.table(COLUMNS), "column", self.intervals(point)
        )
        by_total = first_not_less_derived(
            "size by the total", table, "size", str(column.value), self.load(point)
        )
        by_one = first_not_less_derived(
            "size by one branch interval", table, "size", "one_interval", self.interval_load(point)
        )
        return [replace(by_total, inputs=(column, *by_total.inputs)), by_one]

    def _stack_of(self, point: int) -> tuple[Stack, int]:
        """The stack a point lies in and the number of intervals begun at or above it."""
        stack = self.tree.stacks[self._stack_at[point]]
        step = int(np.flatnonzero(stack.points == point)[0])
        return stack, int(stack.interval[step])

    def intervals(self, point: int) -> Derived:
        """The branch intervals that count for the stack at a point."""
        stack, _ = self._stack_of(point)
        count = int(self.tree.figures.intervals[point])
        height = self.tree.rule_set.limit("branch_interval_height")
        levels = (
            ()
            if self.brief
            else tuple(level_given(self.tree.model, p) for one in stack.intervals[:count] for p in one.points)
        )
        text = "branches counted from the highest down; one that is at least the height below begins the next"
        return Derived(
            "branch intervals", count, "count", text, (height.given(), *levels), height.clause.text
        )

    def interval_load(self, point: int) -> Derived:
        """The largest load of one branch interval down to a point [dfu]."""
        stack, begun = self._stack_of(point)
        chosen = stack.intervals[: max(begun, 1)]
        winner = max(range(len(chosen)), key=lambda n: chosen[n].units)
        rejected = tuple(
            Rejected(f"interval {n + 1} from {one.level_m:+.3f} m: {one.units:g} dfu", "not the largest")
            for n, one in enumerate(chosen)
            if n != winner
        )
        parts = self._interval_parts(stack, chosen[winner])
        text = f"largest of {len(chosen)} intervals: number {winner + 1}"
        basis = self.tree.rule_set.limit("branch_interval_height").clause.text
        return Derived(
            "load of one branch interval", chosen[winner].units, "dfu", text, parts, basis, "", rejected
        )

    def _interval_parts(self, stack: Stack, interval: Interval) -> tuple[Node, ...]:
        tree = self.tree
        if self.brief:
            return (brief_load(tree.rule_set, tree.loads, interval.points[-1]),)
        before = {int(p): int(b) for p, b in zip(stack.points[1:], stack.points[:-1], strict=True)}
        return tuple(
            replace(
                load_node(tree.model, tree.rule_set, tree.way, tree.loads, p, after=before.get(p, -1)),
                name=f"load joining at {self._node_name(p)}",
            )
            for p in interval.points
        )

    def _share(self, point: int) -> Derived:
        rule_set = self.tree.rule_set
        share = rule_set.limit("stack_top_share")
        stack, _ = self._stack_of(point)
        foot = foot_step(self.tree, stack.points)
        whole = self._without_share(foot)
        least = share_of_largest.derive(share.given(), whole, name="share of the largest size of the stack")
        found = first_not_less_derived("size by the largest", rule_set.table(BRANCHES), "size", "size", least)
        return replace(found, basis=share.clause.text)

    def _without_share(self, foot: int) -> Derived:
        origin = int(self.sizes.origin[foot])
        known = not np.isnan(self.sizes.own_m[foot])
        parts = [self.own_size(foot, with_share=False)] if known else []
        if origin != foot:
            parts.append(self.own_size(origin))
        basis = demand_basis(self.tree.rule_set, "no_narrowing") if origin != foot else parts[0].basis
        return largest(f"largest size of the stack, at {self.name(foot)}", parts, basis)

    def _refuse(self, point: int) -> None:
        """Raises NotInRules with the reason why a size cannot be told."""
        tree, kind = self.tree, PipeKind(int(self.tree.kind[point]))
        if self.sizes.beyond[point]:
            self._candidates(point)
        raise NotInRules(f"{self.name(point)}, {kind.words}: {tree.rule_set.title} gives no size for it")

    def name(self, point: int) -> str:
        """The id of the pipe leaving a point."""
        return edge_name(self.tree.model, int(self.tree.way.edge[point]), point)

    def _node_name(self, point: int) -> str:
        return self.tree.model.placed.node_id(int(self.tree.model.placed.point_node[point]))


DECIDED_WORDS = {
    Decided.NOTHING: "",
    Decided.LOAD: "load",
    Decided.INTERVAL: "load of one branch interval",
    Decided.TRAP: "trap of the fixture",
    Decided.CLOSET: "water closet",
    Decided.SHARE: "size at the foot of the stack",
    Decided.UPSTREAM: "size of what drains into it",
}


def _clause(leaf: Given) -> str:
    return leaf.origin.clause.text if isinstance(leaf.origin, InRules) else leaf.origin.text
