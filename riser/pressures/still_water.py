# SPDX-License-Identifier: Apache-2.0
"""Still water: which pipes share one head, where it comes from, and the pressure at every level of it.

A *basin* is pipework in which water can level out: it ends at check valves, reducing valves, pumps and shut
valves. Its head comes from a supply in it or from one device beside it: of several the one that gives most.
A *zone* is all that hangs on one supply, pump or reducing valve. A pump counts with its gain at no flow.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components, dijkstra

from riser.hydraulics.static_head import pressure_at_level, pressure_below_head
from riser.hydraulics.water import density
from riser.network.model import Model
from riser.network.types import Flags, Floats, Ints
from riser.pressures.devices import SupplyPoint
from riser.pressures.water_net import DENSITY_KGM3, LEAST_LENGTH_M, Role, WaterNet
from riser.units import STANDARD_GRAVITY_MS2

HEAD_STEP_M = 1e-9
TEST_TEMPERATURE_C = 20.0


@dataclass(frozen=True)
class Zone:
    """What gives a zone its head: a supply, or the device of a link. `head_m` above datum in still water.

    `above` is the zone it is fed from, -1 for a supply.
    """

    node: int
    link: int
    supply: SupplyPoint | None
    head_m: float
    above: int


@dataclass(frozen=True)
class StillWater:
    """Static heads of the whole network.

    `basin` per point; per basin its head (-inf without supply), the link that feeds it (-1 for a supply in
    it) and the supply; `zone` per basin, -1 without supply.
    """

    net: WaterNet
    basin: Ints
    head_of_basin_m: Floats
    feed: Ints
    supply: Ints
    zones: tuple[Zone, ...]
    zone_of_basin: Ints

    @cached_property
    def head_m(self) -> Floats:
        """Static head at every point of the model; NaN without supply."""
        head = self.head_of_basin_m[self.basin]
        return np.where(np.isfinite(head), head, np.nan)

    @cached_property
    def pressure_pa(self) -> Floats:
        """Static gauge pressure at every point, at its own level; NaN without supply."""
        pressure: Floats = pressure_below_head(
            self.head_m, self.net.level_m, DENSITY_KGM3, STANDARD_GRAVITY_MS2
        )
        return pressure

    @cached_property
    def rating_pa(self) -> Floats:
        """The lowest rating of what meets at every point; NaN where none is given."""
        rating = np.full(len(self.basin), np.nan)
        for end in (self.net.u, self.net.v):
            np.fmin.at(rating, end, self.net.rating_pa)
        return rating

    @cached_property
    def zone(self) -> Ints:
        """The zone of every point, -1 without supply."""
        zone: Ints = self.zone_of_basin[self.basin]
        return zone

    @cached_property
    def way(self) -> WaterWay:
        """The way of the water from its supply to every point."""
        return _water_way(self)


@dataclass(frozen=True)
class WaterWay:
    """For every point the point before it on the way from the supply and the link between (-1 at a supply or
    without one), its distance, and all supplied points in the order in which water reaches them.
    """

    before: Ints
    link: Ints
    distance_m: Floats
    order: Ints

    def path(self, point: int) -> list[int]:
        """The points from the supply to a point, both included."""
        found = [point]
        while self.before[found[-1]] >= 0:
            found.append(int(self.before[found[-1]]))
        return found[::-1]


def still_water(net: WaterNet) -> StillWater:
    """Static head and zone of every point."""
    count = len(net.model.placed.point_node)
    plain = net.role == Role.PLAIN
    ones = np.ones(int(plain.sum()), np.int8)
    graph = csr_array((ones, (net.u[plain], net.v[plain])), shape=(count, count))
    basins, basin = connected_components(graph, directed=False)
    head, supply = np.full(basins, -np.inf), np.full(basins, -1, np.int32)
    for number, source in enumerate(net.devices.supplies):
        level = net.head_m(source.static_pa, source.level_m)
        if level > head[basin[source.point]]:
            head[basin[source.point]], supply[basin[source.point]] = level, number
    feed = np.full(basins, -1, np.int32)
    _spread(net, basin.astype(np.int32), head, feed)
    supply[feed >= 0] = -1
    zones, zone = _zones(net, basin, head, feed, supply)
    return StillWater(net, basin.astype(np.int32), head, feed, supply, zones, zone)


def head_after(net: WaterNet, link: int, head_m: float) -> float:
    """Static head beyond a device from the head before it [m]."""
    match Role(int(net.role[link])):
        case Role.REDUCING:
            return min(head_m, net.setting_head_m(link))
        case Role.PUMP:
            curve = net.devices.curves[net.devices.by_node[net.device_of(link)].curve]
            return head_m + curve.at_rest_pa / (DENSITY_KGM3 * STANDARD_GRAVITY_MS2)
        case _:
            return head_m


def _spread(net: WaterNet, basin: Ints, head: Floats, feed: Ints) -> None:
    """Carries heads through one-way devices until no basin can have more; a pump never feeds itself."""
    directed = np.flatnonzero(np.isin(net.role, [Role.ONE_WAY, Role.REDUCING, Role.PUMP]))
    leaving: dict[int, list[int]] = {}
    for link in directed.tolist():
        leaving.setdefault(int(basin[net.u[link]]), []).append(link)
    waiting = deque(np.flatnonzero(np.isfinite(head)).tolist())
    while waiting:
        here = waiting.popleft()
        for link in leaving.get(here, ()):
            there, more = int(basin[net.v[link]]), head_after(net, link, float(head[here]))
            if more > head[there] + HEAD_STEP_M and not _leads_through(net, basin, feed, here, there):
                head[there], feed[there] = more, link
                waiting.append(there)


def _leads_through(net: WaterNet, basin: Ints, feed: Ints, here: int, there: int) -> bool:
    """Whether the way of the water to a basin leads through another, or is that basin."""
    while here != there:
        if feed[here] < 0:
            return False
        here = int(basin[net.u[feed[here]]])
    return True


def _zones(
    net: WaterNet, basin: Ints, head: Floats, feed: Ints, supply: Ints
) -> tuple[tuple[Zone, ...], Ints]:
    """Zones, and the zone of each basin."""
    zones: list[Zone] = []
    zone = np.full(len(head), -1, np.int32)

    def zone_of(place: int) -> int:
        if zone[place] >= 0 or not np.isfinite(head[place]):
            return int(zone[place])
        if feed[place] < 0:
            source = net.devices.supplies[supply[place]]
            zones.append(Zone(source.node, -1, source, float(head[place]), -1))
            zone[place] = len(zones) - 1
            return int(zone[place])
        link = int(feed[place])
        above = zone_of(int(basin[net.u[link]]))
        if net.role[link] in (Role.REDUCING, Role.PUMP):
            zones.append(Zone(net.device_of(link), link, None, float(head[place]), above))
            above = len(zones) - 1
        zone[place] = above
        return above

    for place in np.flatnonzero(np.isfinite(head)).tolist():
        zone_of(place)
    return tuple(zones), zone


def _water_way(still: StillWater) -> WaterWay:
    """The shortest way within each basin from where its head comes from."""
    net, count = still.net, len(still.basin)
    feeds = still.feed[still.feed >= 0]
    plain = np.flatnonzero((net.role == Role.PLAIN) & np.isfinite(still.head_of_basin_m[still.basin[net.u]]))
    link = np.concatenate([plain, plain, feeds]).astype(np.int32)
    start = np.concatenate([net.u[plain], net.v[plain], net.u[feeds]])
    end = np.concatenate([net.v[plain], net.u[plain], net.v[feeds]])
    cost = net.length_m[link] + LEAST_LENGTH_M
    order = np.lexsort((cost, end, start))
    link, start, end, cost = link[order], start[order], end[order], cost[order]
    keep = np.ones(len(start), bool)
    keep[1:] = (start[1:] != start[:-1]) | (end[1:] != end[:-1])
    link, start, end, cost = link[keep], start[keep], end[keep], cost[keep]
    roots = [net.devices.supplies[n].point for n in still.supply[still.supply >= 0].tolist()]
    if not roots:
        none = np.full(count, -1, np.int32)
        return WaterWay(none, none.copy(), np.full(count, np.inf), np.zeros(0, np.int32))
    graph = csr_array((cost, (start, end)), shape=(count, count))
    distance, before, _ = dijkstra(graph, indices=roots, min_only=True, return_predecessors=True)
    before = np.where(before < 0, -1, before).astype(np.int32)
    code = start.astype(np.int64) * count + end
    wanted = np.maximum(before, 0).astype(np.int64) * count + np.arange(count)
    place = np.minimum(np.searchsorted(code, wanted), max(len(code) - 1, 0))
    used = np.where(before >= 0, link[place] if len(link) else -1, -1).astype(np.int32)
    reached = np.flatnonzero(np.isfinite(distance))
    ordered = reached[np.argsort(distance[reached], kind="stable")].astype(np.int32)
    return WaterWay(before, used, distance, ordered)


def connection_pressures_pa(
    model: Model, joints: Ints, gauge_level_m: float, gauge_pressure_pa: float
) -> tuple[Ints, Floats]:
    """Connections of a section's joints, and the gauge pressure at the level of each while the gauge at its
    level reads the test pressure: still, connected water at 20 degC [Pa].

    Returns the numbers of the connections (of `joints.connections`) and their pressures.
    """
    connections = model.joints.connections
    chosen = np.flatnonzero(np.isin(connections.joint, joints)).astype(np.int32)
    level = connections.xyz_m[chosen, 2]
    return chosen, pressures_under_test_pa(level, gauge_level_m, gauge_pressure_pa)


def pressures_under_test_pa(level_m: Floats, gauge_level_m: float, gauge_pressure_pa: float) -> Floats:
    """Gauge pressure at each level of a filled section while the gauge at its level reads so much [Pa]."""
    water = float(density(TEST_TEMPERATURE_C))
    pressure: Floats = pressure_at_level(gauge_pressure_pa, gauge_level_m, level_m, water)
    return pressure


def over_rating(still: StillWater) -> tuple[Ints, Floats]:
    """Links whose static pressure at either end is above their rating, and the excess [Pa]."""
    net = still.net
    most = np.fmax(still.pressure_pa[net.u], still.pressure_pa[net.v])
    excess = most - net.rating_pa
    flags: Flags = excess > 0
    chosen = np.flatnonzero(flags).astype(np.int32)
    return chosen, excess[chosen]
