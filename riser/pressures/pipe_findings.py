# SPDX-License-Identifier: Apache-2.0
"""Pipes too fast at design load, and pressures above what a pipe or device is rated for."""

from __future__ import annotations

import numpy as np

from riser.audit.finding import Finding
from riser.network.model import EdgeKind
from riser.network.systems import System
from riser.network.types import Floats, Ints
from riser.network.where import node_place, run_place
from riser.pressures.budget import Budget
from riser.pressures.building_pressures import BuildingPressures
from riser.pressures.kinds import OVER_RATING, PIPE_FAST
from riser.pressures.outlets import stated
from riser.pressures.reporting import bar, pressure_finding
from riser.pressures.still_water import over_rating
from riser.pressures.water_net import HOT_SYSTEMS
from riser.rules import Cell

# Faster by less than this share is within what a bore is known to.
LEAST_EXCESS = 0.02


def findings(pressures: BuildingPressures) -> list[Finding]:
    """All findings about pipes."""
    return [*_fast(pressures), *_over_rating(pressures)]


def _fast(pressures: BuildingPressures) -> list[Finding]:
    """Runs that are too fast, once for each type of part, system and size: the fastest by name."""
    budget, net = pressures.budget, pressures.still.net
    if budget is None:
        return []
    way, placed = pressures.still.way, pressures.model.placed
    at = np.flatnonzero(way.link >= 0)
    at = at[net.kind[way.link[at]] == EdgeKind.RUN]
    limit = _velocity_limits(pressures, net.system[way.link[at]])
    at = at[budget.velocity_ms[at] > limit * (1 + LEAST_EXCESS)]
    groups: dict[tuple[int, int, float], list[int]] = {}
    for point in at.tolist():
        link = int(way.link[point])
        kind = int(placed.part_type[placed.run_part[net.ref[link]]])
        groups.setdefault((kind, int(net.system[link]), float(net.bore_m[link])), []).append(point)
    return [_fast_told(pressures, budget, points) for points in groups.values()]


def _velocity_cell(pressures: BuildingPressures, system: int) -> Cell | None:
    name = "velocity_hot_max" if system in HOT_SYSTEMS else "velocity_cold_max"
    return stated(pressures.rules, "supply", name) if system != System.FIRE else None


def _velocity_limits(pressures: BuildingPressures, system: Ints) -> Floats:
    """The greatest velocity for each system; infinite where no rule states one."""
    cells = {s: _velocity_cell(pressures, s) for s in np.unique(system).tolist()}
    return np.array([c.number if (c := cells[s]) else np.inf for s in system.tolist()])


def _fast_told(pressures: BuildingPressures, budget: Budget, points: list[int]) -> Finding:
    net, way, placed = pressures.still.net, pressures.still.way, pressures.model.placed
    worst = max(points, key=lambda p: (round(float(budget.velocity_ms[p]), 6), -p))
    link = int(way.link[worst])
    run = int(net.ref[link])
    cell = _velocity_cell(pressures, int(net.system[link]))
    count = len(points) - 1
    more = f"; {count} more such pipe{'s' if count > 1 else ''} in parts of this type" if count else ""
    says = (
        f"{placed.run_id(run)}, bore {net.bore_m[link] * 1000:.1f} mm: {budget.velocity_ms[worst]:.1f} m/s "
        f"at {budget.flow_m3s[worst] * 1000:.2f} L/s, {cell.number if cell else 0:.1f} m/s allowed{more}."
    )
    runs = [int(net.ref[way.link[p]]) for p in points]
    place = run_place(pressures.model, run)
    items = (placed.run_id(run),)
    return pressure_finding(pressures, PIPE_FAST, place, items, says, cell=cell, runs=runs)


def _over_rating(pressures: BuildingPressures) -> list[Finding]:
    """Links above their rating, once for each zone and rating: the worst by name."""
    still, net = pressures.still, pressures.still.net
    links, excess = over_rating(still)
    groups: dict[tuple[int, float], list[int]] = {}
    for n, link in enumerate(links.tolist()):
        zone = max(int(still.zone[net.u[link]]), int(still.zone[net.v[link]]))
        groups.setdefault((zone, float(net.rating_pa[link])), []).append(n)
    found = []
    for (zone, rating), members in groups.items():
        worst = max(members, key=lambda n: (float(excess[n]), -n))
        link = int(links[worst])
        name, point = net.name(link), int(net.u[link])
        node = int(pressures.model.placed.point_node[point])
        more = f"; {len(members) - 1} more in this zone" if len(members) > 1 else ""
        says = (
            f"{name}: {bar(rating + float(excess[worst]))} gauge in still water, "
            f"rated for {bar(rating)}{more}; the zone is {pressures.zone_words(zone)}."
        )
        place = node_place(pressures.model, node, int(net.system[link]))
        found.append(pressure_finding(pressures, OVER_RATING, place, (name,), says, nodes=(node,)))
    return found
