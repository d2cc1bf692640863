# SPDX-License-Identifier: Apache-2.0
"""Pumps, reducing valves and check valves: which of them is the reason that outlets are weak or strong."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from riser.audit.finding import Finding, FindingKind
from riser.hydraulics.static_head import pressure_of_head
from riser.network.model import EdgeKind
from riser.network.systems import POTABLE
from riser.network.types import Flags, Ints
from riser.network.where import node_place
from riser.pressures.building_pressures import BuildingPressures, OutletPressure
from riser.pressures.kinds import BACKWARDS, PUMP_SMALL, REDUCING_SET_WRONG, RETURN_OPEN
from riser.pressures.reporting import bar, key_of, outlet_words, pressure_finding
from riser.pressures.water_net import DENSITY_KGM3, Role, WaterNet

LEAST_MISS_PA = 500.0
POTABLE_BITS = sum(1 << int(system) for system in POTABLE)


@dataclass
class DeviceFaults:
    """The findings about devices, and what they explain."""

    pressures: BuildingPressures
    found: list[Finding] = field(default_factory=list)

    @property
    def net(self) -> WaterNet:
        """The pressure pipework."""
        return self.pressures.still.net

    @cached_property
    def backwards(self) -> list[int]:
        """Links whose device has water at its outlet and none at its inlet."""
        still, net = self.pressures.still, self.net
        has = np.isfinite(still.head_of_basin_m[still.basin])
        one_way = np.isin(net.role, [Role.ONE_WAY, Role.REDUCING, Role.PUMP])
        found: Ints = np.flatnonzero(one_way & has[net.v] & ~has[net.u])
        wanted = {int(still.basin[row.outlet.point]) for row in self.pressures.rows if row.zone < 0}
        return [n for n in found.tolist() if int(still.basin[net.u[n]]) in wanted]

    def behind_backwards(self, basin: int) -> str | None:
        """The key of the finding about a device that stands backwards before a basin."""
        for link in self.backwards:
            if int(self.pressures.still.basin[self.net.u[link]]) == basin:
                return key_of(BACKWARDS, self.net.name(link))
        return None

    def zone_device(self, zone: int, role: Role) -> int:
        """The zone at or above a zone whose device is of that role, -1 for none."""
        zones = self.pressures.still.zones
        while zone >= 0 and (zones[zone].link < 0 or self.net.role[zones[zone].link] != role):
            zone = zones[zone].above
        return zone

    def about_weak(self, row: OutletPressure) -> tuple[str, str | None]:
        """What a weak outlet's sentence adds, and the key of its cause."""
        zone = row.zone
        link = self.pressures.still.zones[zone].link if zone >= 0 else -1
        if link >= 0 and self.net.role[link] == Role.REDUCING and zone in self._low:
            low = self._low[zone]
            name = self.net.name(link)
            return f"; the reducing valve {name} is set {bar(low)} low", key_of(REDUCING_SET_WRONG, name)
        pump = self.zone_device(zone, Role.PUMP)
        if pump in self._small:
            name = self.net.name(self.pressures.still.zones[pump].link)
            return f"; the pump {name} is too small", key_of(PUMP_SMALL, name)
        lost = row.static_pa - row.flowing_pa
        return (f"; {bar(row.static_pa)} in still water, {bar(lost)} used up on the way", None)

    def about_strong(self, row: OutletPressure) -> tuple[str, str | None]:
        """What a strong outlet's sentence adds, and the key of its cause."""
        zone = row.zone
        link = self.pressures.still.zones[zone].link if zone >= 0 else -1
        if link >= 0 and self.net.role[link] == Role.REDUCING and zone in self._high:
            name = self.net.name(link)
            high = self._high[zone]
            return f"; the reducing valve {name} is set {bar(high)} high", key_of(REDUCING_SET_WRONG, name)
        return f"; the zone is {self.pressures.zone_words(zone)}", None

    @cached_property
    def _low(self) -> dict[int, float]:
        """By zone of a reducing valve: how much higher it would have to be set, if the supply allows."""
        found: dict[int, float] = {}
        budget = self.pressures.budget
        for zone, rows in self._by_reducing_zone().items():
            link = self.pressures.still.zones[zone].link
            short = max((r.shortage_pa for r in rows if not np.isnan(r.shortage_pa)), default=0.0)
            if budget is None or short <= LEAST_MISS_PA:
                continue
            before, at = float(budget.head_m[self.net.u[link]]), int(self.net.v[link])
            spare = pressure_of_head(before - float(budget.head_m[at]), DENSITY_KGM3)
            if spare > LEAST_MISS_PA:
                found[zone] = float(min(short, spare))
        return found

    @cached_property
    def _high(self) -> dict[int, float]:
        """By zone of a reducing valve: how much lower it would have to be set."""
        found = {}
        for zone, rows in self._by_reducing_zone().items():
            over = max((r.excess_pa for r in rows if not np.isnan(r.excess_pa)), default=0.0)
            link = self.pressures.still.zones[zone].link
            holds = self.pressures.still.zones[zone].head_m >= self.net.setting_head_m(link) - 1e-6
            if over > LEAST_MISS_PA and holds:
                found[zone] = over
        return found

    def _by_reducing_zone(self) -> dict[int, list[OutletPressure]]:
        zones = self.pressures.still.zones
        found: dict[int, list[OutletPressure]] = {}
        for row in self.pressures.rows:
            link = zones[row.zone].link if row.zone >= 0 else -1
            if link >= 0 and self.net.role[link] == Role.REDUCING and not row.outlet.is_fire:
                found.setdefault(row.zone, []).append(row)
        return found

    @cached_property
    def _small(self) -> dict[int, tuple[str, OutletPressure]]:
        """Pumps that are too small: why, and the outlet that shows it."""
        found: dict[int, tuple[str, OutletPressure]] = {}
        budget, zones = self.pressures.budget, self.pressures.still.zones
        if budget is None:
            return found
        for row in self.pressures.rows:
            pump = self.zone_device(row.zone, Role.PUMP)
            if pump < 0 or row.outlet.is_fire or not row.shortage_pa > LEAST_MISS_PA:
                continue
            at = int(self.net.v[zones[pump].link])
            best = pressure_of_head(float(budget.head_m[at]) - row.level_m, DENSITY_KGM3)
            lacks = float(row.limits.least_flowing_pa - best)
            curve = self.net.devices.curves[self.net.devices.by_node[zones[pump].node].curve]
            beyond = float(budget.flow_m3s[at]) > curve.last_flow_m3s
            if (lacks > LEAST_MISS_PA or beyond) and (
                pump not in found or row.shortage_pa > found[pump][1].shortage_pa
            ):
                why = (
                    f"{bar(lacks)} is lacking before any loss behind the pump"
                    if lacks > LEAST_MISS_PA
                    else f"its curve ends at {curve.last_flow_m3s * 1000:.2f} L/s"
                )
                found[pump] = (why, row)
        return found

    def findings(self) -> list[Finding]:
        """All findings about devices."""
        return [*self._backwards_told(), *self._reducing_told(), *self._pumps_told(), *self._returns_told()]

    def _device_finding(self, kind: FindingKind, link: int, says: str, remedy: str = "") -> Finding:
        node = self.net.device_of(link)
        place = node_place(self.pressures.model, node, int(self.net.system[link]))
        name = self.net.name(link)
        return pressure_finding(self.pressures, kind, place, (name,), says, remedy=remedy, nodes=(node,))

    def _backwards_told(self) -> list[Finding]:
        told = []
        for link in self.backwards:
            kind = self.net.devices.by_node[self.net.device_of(link)].kind.replace("_", " ")
            head = self.pressures.still.pressure_pa[self.net.v[link]]
            says = (
                f"The {kind} {self.net.name(link)} stands backwards: {bar(float(head))} gauge at its outlet, "
                "none at its inlet."
            )
            told.append(self._device_finding(BACKWARDS, link, says).caused_by(self._ties_waters(link)))
        return told

    def _ties_waters(self, link: int) -> str | None:
        """The key under which the layout tells a device that leads other water into drinking water."""
        bits = self.pressures.model.stub_point_systems
        before, after = int(bits[self.net.u[link]]), int(bits[self.net.v[link]])
        inward = before and not before & POTABLE_BITS and after & POTABLE_BITS
        return f"S01:{self.net.name(link)}" if inward else None

    def _reducing_told(self) -> list[Finding]:
        told = []
        for zone in sorted(self._low.keys() | self._high.keys()):
            link = self.pressures.still.zones[zone].link
            name = self.net.name(link)
            now = self.net.devices.by_node[self.net.device_of(link)].setting_pa
            low, high = self._low.get(zone), self._high.get(zone)
            if low is not None and high is not None:
                says = (
                    f"The reducing valve {name} is set to {bar(now)}: {bar(low)} low for its weakest outlet "
                    f"and {bar(high)} high for its strongest; no setting serves both."
                )
                told.append(self._device_finding(REDUCING_SET_WRONG, link, says, "Divide its zone in two."))
                continue
            off, word = (low, "low") if low is not None else (high or 0.0, "high")
            right = now + off if low is not None else now - off
            says = (
                f"The reducing valve {name} is set to {bar(now)}, {bar(off)} {word}; {bar(right)} would do."
            )
            told.append(self._device_finding(REDUCING_SET_WRONG, link, says))
        return told

    def _pumps_told(self) -> list[Finding]:
        told, budget = [], self.pressures.budget
        for zone, (why, row) in self._small.items():
            link = self.pressures.still.zones[zone].link
            assert budget is not None
            flow = float(budget.flow_m3s[self.net.v[link]])
            curve = self.net.devices.curves[self.net.devices.by_node[self.net.device_of(link)].curve]
            says = (
                f"The pump {self.net.name(link)} gives {bar(curve.at_flow_pa(flow))} at "
                f"{flow * 1000:.2f} L/s; {outlet_words(self.pressures, row)} needs {bar(row.shortage_pa)} "
                f"more: {why}."
            )
            told.append(self._device_finding(PUMP_SMALL, link, says))
        return told

    def _returns_told(self) -> list[Finding]:
        """Heaters whose return water could run backwards from the hot pipes."""
        told = []
        label = _labels_without(self.net)
        passes = np.flatnonzero(self.net.kind == EdgeKind.PASS)
        group = self.pressures.model.placed.types.point_group[
            self.pressures.model.placed.point_type[self.net.u]
        ]
        for link in passes.tolist():
            is_heater = self.net.devices.by_node[self.net.device_of(link)].kind == "heater"
            runs_back = label[self.net.u[link]] == label[self.net.v[link]]
            if is_heater and group[link] == 2 and runs_back:
                says = (
                    f"Nothing keeps hot water of {self.net.name(link)} from running backwards through its "
                    "return: there is no check valve between the return and its outlets."
                )
                told.append(self._device_finding(RETURN_OPEN, link, says))
        return told


def _labels_without(net: WaterNet) -> Ints:
    """Connected pieces with check valves and heaters taken out; a pump lets water back when it stands."""
    keep: Flags = net.role != Role.SHUT
    for link in np.flatnonzero(net.kind == EdgeKind.PASS).tolist():
        kind = net.devices.by_node[net.device_of(link)].kind
        if kind in ("check_valve", "backflow_preventer", "heater", "reducing_valve"):
            keep[link] = False
    count = len(net.model.placed.point_node)
    graph = csr_array((np.ones(int(keep.sum()), np.int8), (net.u[keep], net.v[keep])), shape=(count, count))
    return connected_components(graph, directed=False)[1].astype(np.int32)
