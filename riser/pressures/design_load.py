# SPDX-License-Identifier: Apache-2.0
"""Diversified design load: every pipe carries the likely demand of the fixtures it serves.

Demands do not add along branches: the more fixtures, the less likely that all flow at once. The rule set
names the procedure; where it names none it is the one whose tables it prints. A procedure turns what a pipe
serves into a flow; it knows no set by name.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from riser.errors import NotInRules
from riser.network.types import Floats
from riser.pressures.outlets import FLOW_TABLE, Outlet
from riser.pressures.still_water import WaterWay
from riser.rules import RuleSet

UNITS, PEAK = "supply_fixture_units", "demand"
VALVE_KINDS = ("wc_flush_valve", "urinal")


@dataclass(frozen=True)
class DesignLoad:
    """What the link that leads to each point carries at design load.

    `units` in the measure of the rule set; `valve_units` those of flush valves; `steady_m3s` flows that are
    added as they are; `flow_m3s` the likely demand; `by_valves` where the column for flush valves decides.
    `lacks` says why outlets could not be counted.
    """

    units: Floats
    valve_units: Floats
    steady_m3s: Floats
    flow_m3s: Floats
    by_valves: Floats
    lacks: tuple[str, ...]


Procedure = Callable[[RuleSet, WaterWay, list[Outlet], int], DesignLoad]


def design_load(rule_set: RuleSet, way: WaterWay, outlets: list[Outlet], points: int) -> DesignLoad:
    """The design load of every pipe; NotInRules where the set has no procedure that riser knows."""
    return _procedure(rule_set)(rule_set, way, outlets, points)


def _procedure(rule_set: RuleSet) -> Procedure:
    name = ""
    if rule_set.has("procedure"):
        rows = [r for r in rule_set.table("procedure").rows if r.cells["subject"].value == "supply"]
        name = str(rows[0].cells["name"].value) if rows else ""
    if name:
        if name not in PROCEDURES:
            raise NotInRules(f"{rule_set.title} sizes supply by {name}, which riser does not know")
        return PROCEDURES[name][0]
    for procedure, tables in PROCEDURES.values():
        if all(rule_set.has(table) and set(columns) <= set(rule_set.table(table).units)
               for table, columns in tables.items()):  # fmt: skip
            return procedure
    raise NotInRules(f"{rule_set.title} names no procedure for the design load of supply pipes")


def load_and_peak_flow(rule_set: RuleSet, way: WaterWay, outlets: list[Outlet], points: int) -> DesignLoad:
    """Fixture units added along the way, then the peak demand of their sum from one table."""
    units, valves, steady = np.zeros(points), np.zeros(points), np.zeros(points)
    lacks: dict[str, None] = {}
    by_node: dict[int, list[Outlet]] = {}
    for outlet in outlets:
        if not outlet.is_fire and np.isfinite(way.distance_m[outlet.point]):
            by_node.setdefault(outlet.node, []).append(outlet)
    for ports in by_node.values():
        for point, load in _entries(way, ports, lacks):
            units[point] += load
            if _by_valve(ports[0]):
                valves[point] += load
        if not _has_units(ports[0]):
            for outlet in ports[:1]:
                steady[outlet.point] += _steady_m3s(outlet)
    for array in (units, valves, steady):
        _gather(way, array)
    flow, by_valves = peak_demand(rule_set, units, valves)
    return DesignLoad(units, valves, steady, flow + steady, by_valves, tuple(lacks))


PROCEDURES: dict[str, tuple[Procedure, dict[str, tuple[str, ...]]]] = {
    "load_and_peak_flow": (
        load_and_peak_flow,
        {UNITS: ("cold", "hot", "total"), PEAK: ("load", "flush_tank", "flush_valve")},
    )
}


def _gather(way: WaterWay, values: Floats) -> None:
    """Adds what enters at each point to every point before it on the way of the water."""
    before, at = way.before.tolist(), values.tolist()
    for point in reversed(way.order.tolist()):
        if before[point] >= 0:
            at[before[point]] += at[point]
    values[:] = at


def _has_units(outlet: Outlet) -> bool:
    return outlet.row is not None and outlet.row.has(UNITS)


def _by_valve(outlet: Outlet) -> bool:
    return outlet.kind in VALVE_KINDS and outlet.control not in ("tank", "flush_tank")


def _steady_m3s(outlet: Outlet) -> float:
    if outlet.row is None or not outlet.row.has(FLOW_TABLE):
        return 0.0
    return outlet.row.row(FLOW_TABLE).number("flow")


def _entries(way: WaterWay, ports: list[Outlet], lacks: dict[str, None]) -> list[tuple[int, float]]:
    """Where the units of one fixture enter: cold and hot at their ports, and what both have too much for a
    pipe that serves both (the table counts a fixture there by its total) where their ways meet.
    """
    first = ports[0]
    if first.row is None or not first.row.has(UNITS):
        if first.row is None or not first.row.has(FLOW_TABLE):
            lacks[first.why_not or f"{first.row.told if first.row else first.kind}: no row in {UNITS}"] = None
        return []
    row = first.row.row(UNITS)
    total = row.number("total")
    if len(ports) == 1:
        column = "hot" if first.port == "hot" else "cold"
        return [(first.point, row.number(column) if row.has(column) else total)]
    loads = [row.number(c) if row.has(c) else total for c in ("cold", "hot")]
    found = list(zip((p.point for p in ports[:2]), loads, strict=True))
    meet = _meeting_point(way, ports[0].point, ports[1].point)
    return [*found, (meet, total - sum(loads))] if meet >= 0 else found


def _meeting_point(way: WaterWay, a: int, b: int) -> int:
    """The last point that the water to both passes; -1 where they have different supplies."""
    passed = set(way.path(a))
    while b >= 0 and b not in passed:
        b = int(way.before[b])
    return b


def peak_demand(rule_set: RuleSet, units: Floats, valves: Floats) -> tuple[Floats, Floats]:
    """The peak demand [m3/s] of each load, of which `valves` by flush valves, and 1 where their column rules.

    It does from half of the load on. A load below the first row takes the first row's figure: the table
    promises no less.
    """
    table = rule_set.table(PEAK)
    by_valves = (valves > 0) & (2 * valves >= units)
    flow = np.zeros(len(units))
    for column, chosen in (("flush_tank", ~by_valves), ("flush_valve", by_valves)):
        at = np.flatnonzero(chosen & (units > 1e-9))
        least = least_load(rule_set, column)
        flow[at] = table.linear_many("load", np.maximum(units[at], least), column)
    return flow, by_valves.astype(float)


def least_load(rule_set: RuleSet, column: str) -> float:
    """The smallest load for which the column prints a demand."""
    table = rule_set.table(PEAK)
    load, peak = table.column("load"), table.column(column)
    return float(load[~np.isnan(peak)].min())


def load_column(load: DesignLoad, point: int) -> str:
    """The column of the peak table that decides at a point."""
    return "flush_valve" if load.by_valves[point] else "flush_tank"
