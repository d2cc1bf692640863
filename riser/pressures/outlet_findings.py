# SPDX-License-Identifier: Apache-2.0
"""Outlets too weak, too strong or without pressure: told once for each floor of a zone, the worst by name.

What a reducing valve or a pump can mend is its consequence.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from riser.audit.finding import Finding, FindingKind
from riser.network.systems import System
from riser.network.tracing import fire_ways, supply_ways
from riser.pressures.building_pressures import BuildingPressures, OutletPressure
from riser.pressures.device_findings import DeviceFaults
from riser.pressures.kinds import (
    FIRE_NO_PRESSURE,
    FIRE_STRONG,
    FIRE_WEAK,
    NO_PRESSURE,
    OUTLET_STRONG,
    OUTLET_WEAK,
)
from riser.pressures.reporting import bar, outlet_place, outlet_words, pressure_finding
from riser.rules import Cell

# A pressure that misses its limit by less than a gauge shows is no fault. Common practice, no source.
LEAST_MISS_PA = 500.0

Measure = Callable[[OutletPressure], float]


def findings(pressures: BuildingPressures, faults: DeviceFaults) -> list[Finding]:
    """All findings about outlets."""
    weak = _grouped(pressures, lambda row: row.shortage_pa)
    strong = _grouped(pressures, lambda row: row.excess_pa)
    found = [_weak(pressures, faults, rows) for rows in weak]
    found += [_strong(pressures, faults, rows) for rows in strong]
    return [*found, *_without(pressures, faults)]


def _grouped(pressures: BuildingPressures, miss: Measure) -> list[list[OutletPressure]]:
    """The outlets that miss a limit, by zone, floor and whether they are for fire; the worst first."""
    groups: dict[tuple[int, int, bool], list[OutletPressure]] = {}
    floor = pressures.model.placed.node_floor
    for row in pressures.rows:
        if miss(row) > LEAST_MISS_PA:
            key = (row.zone, int(floor[row.outlet.node]), row.outlet.is_fire)
            groups.setdefault(key, []).append(row)
    for rows in groups.values():
        rows.sort(key=lambda row: (-miss(row), row.outlet.point))
    return list(groups.values())


def _others(rows: list[OutletPressure]) -> str:
    count = len({row.outlet.node for row in rows}) - 1
    return f"; so {'is' if count == 1 else 'are'} {count} more on this floor" if count > 0 else ""


def _weak(pressures: BuildingPressures, faults: DeviceFaults, rows: list[OutletPressure]) -> Finding:
    worst = rows[0]
    kind = FIRE_WEAK if worst.outlet.is_fire else OUTLET_WEAK
    when = f"with {worst.flow_m3s * 1000:.1f} L/s" if worst.outlet.is_fire else "at design flow"
    advice, because = faults.about_weak(worst)
    says = (
        f"{outlet_words(pressures, worst)}: {bar(worst.flowing_pa)} gauge {when}, "
        f"{bar(worst.limits.least_flowing_pa)} required{_others(rows)}{advice}."
    )
    return _told(pressures, kind, rows, says, worst.limits.least_flowing, because)


def _strong(pressures: BuildingPressures, faults: DeviceFaults, rows: list[OutletPressure]) -> Finding:
    worst = rows[0]
    kind = FIRE_STRONG if worst.outlet.is_fire else OUTLET_STRONG
    advice, because = faults.about_strong(worst)
    says = (
        f"{outlet_words(pressures, worst)}: {bar(worst.static_pa)} gauge in still water, "
        f"{bar(worst.limits.most_static_pa)} allowed{_others(rows)}{advice}."
    )
    return _told(pressures, kind, rows, says, worst.limits.most_static, because)


def _told(
    pressures: BuildingPressures,
    kind: FindingKind,
    rows: list[OutletPressure],
    says: str,
    cell: Cell | None,
    because: str | None,
) -> Finding:
    worst = rows[0]
    items = (pressures.model.placed.node_id(worst.outlet.node), worst.outlet.port or "fire")
    return pressure_finding(
        pressures,
        kind,
        outlet_place(pressures, worst),
        items,
        says,
        subject="fire" if worst.outlet.is_fire else "supply",
        cell=cell,
        because=because,
        nodes=[row.outlet.node for row in rows],
    )


def _without(pressures: BuildingPressures, faults: DeviceFaults) -> list[Finding]:
    """Outlets without pressure. Those without any way to a source are told with the layout, not here."""
    if not pressures.still.net.devices.supplies:
        return []
    model, found = pressures.model, []
    lost = [row for row in pressures.rows if row.zone < 0]
    ways = {True: fire_ways(model), False: supply_ways(model)} if lost else {}
    groups: dict[tuple[int, bool, int], list[OutletPressure]] = {}
    for row in lost:
        way, point = ways[row.outlet.is_fire], row.outlet.point
        cut = int(way.cut_by[point])
        if cut < 0 and not np.isfinite(way.distance_m[point]):
            continue
        basin = int(pressures.still.basin[point])
        groups.setdefault((basin, row.outlet.is_fire, cut), []).append(row)
    for (basin, is_fire, cut), rows in groups.items():
        because = model.joints.fault_key(cut) if cut >= 0 else faults.behind_backwards(basin)
        found.append(_unserved(pressures, rows, is_fire, because))
    return found


def _unserved(
    pressures: BuildingPressures, rows: list[OutletPressure], is_fire: bool, because: str | None
) -> Finding:
    ids = sorted({pressures.model.placed.node_id(row.outlet.node) for row in rows})
    count = "1 outlet" if len(ids) == 1 else f"{len(ids)} outlets"
    says = f"{count} ({_few(ids)}) with a way to a source and no pressure from any supply."
    first = min(rows, key=lambda row: (row.level_m, row.outlet.point))
    kind = FIRE_NO_PRESSURE if is_fire else NO_PRESSURE
    system = System(int(first.outlet.system)).label
    return pressure_finding(
        pressures,
        kind,
        outlet_place(pressures, first),
        (ids[0], system),
        says,
        subject="fire" if is_fire else "supply",
        because=because,
        nodes=[row.outlet.node for row in rows],
    )


def _few(ids: Iterable[str]) -> str:
    every = list(ids)
    more = len(every) - 4
    return ", ".join(every[:4]) + (f" and {more} more" if more > 0 else "")
