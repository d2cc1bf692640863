# SPDX-License-Identifier: Apache-2.0
"""Pressure pipework as links between points, with bore, wall, fittings and device of each link.

One density holds for the whole network, that of cold water: warm water stands a little lighter (1.7 % at
60 degC), so still pressures in hot pipes are shown a little high, never low.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

import numpy as np

from riser.hydraulics.fittings import Fitting, loss_coefficient
from riser.hydraulics.water import density, kinematic_viscosity_of_water
from riser.network.kinds import KIND_CODE
from riser.network.model import EdgeKind, Model
from riser.network.risers import BRANCH_PORTS
from riser.network.systems import PRESSURE, System
from riser.network.types import Floats, Ints
from riser.pressures.devices import Device, Devices, devices_of
from riser.units import STANDARD_GRAVITY_MS2

COLD_C, HOT_C = 10.0, 60.0
DENSITY_KGM3 = float(density(COLD_C))
HOT_SYSTEMS = (int(System.HOT), int(System.HOT_RETURN))
# Where the catalogue states no roughness: galvanised steel, the roughest of new supply pipe. Common practice.
UNKNOWN_ROUGHNESS_M = 0.00015
LEAST_LENGTH_M = 1e-3
UNKNOWN_BORE_M = 0.02


class Role(IntEnum):
    """What a link does: water passes both ways, one way, at a set pressure, with a gain, or not at all."""

    PLAIN = 0
    ONE_WAY = 1
    REDUCING = 2
    PUMP = 3
    SHUT = 4


# Loss of devices whose Kv nobody states, as the fitting they resemble. Common practice, no source.
RESEMBLES = {
    "valve": Fitting.BALL_VALVE,
    "balancing_valve": Fitting.GLOBE_VALVE,
    "check_valve": Fitting.SWING_CHECK_VALVE,
    "reducing_valve": Fitting.GLOBE_VALVE,
    "backflow_preventer": Fitting.GLOBE_VALVE,
    "strainer": Fitting.GLOBE_VALVE,
    "meter": Fitting.GLOBE_VALVE,
    "pump": Fitting.GLOBE_VALVE,
    "heater": Fitting.EXIT,
}


@dataclass(frozen=True)
class WaterNet:
    """Every link of the pressure pipework: points `u` and `v`, kind and number as in `Model.edges`.

    Devices pass from `u` to `v`. `fittings` is the loss coefficient of bends, tees and devices on the link,
    for its `bore_m`. `rating_pa` is that of the pipe or the device, NaN where none is given.
    """

    model: Model
    devices: Devices
    edge: Ints
    u: Ints
    v: Ints
    kind: Ints
    ref: Ints
    system: Ints
    length_m: Floats
    role: Ints
    bore_m: Floats
    roughness_m: Floats
    fittings: Floats
    rating_pa: Floats

    @cached_property
    def level_m(self) -> Floats:
        """Level of every point of the model."""
        placed = self.model.placed
        level: Floats = placed.node_xyz_m[placed.point_node, 2]
        return level

    @cached_property
    def viscosity_m2s(self) -> Floats:
        """Kinematic viscosity of the water in each link: cold, or hot in hot pipes."""
        cold, hot = (float(kinematic_viscosity_of_water(t)) for t in (COLD_C, HOT_C))
        return np.where(np.isin(self.system, HOT_SYSTEMS), hot, cold)

    def device_of(self, link: int) -> int:
        """The node of the device a link leads through, -1 for pipes and joints."""
        return int(self.model.placed.pass_node[self.ref[link]]) if self.kind[link] == EdgeKind.PASS else -1

    def name(self, link: int) -> str:
        """What people call a link: the run, the joint, or the device."""
        placed = self.model.placed
        match EdgeKind(int(self.kind[link])):
            case EdgeKind.RUN:
                return placed.run_id(int(self.ref[link]))
            case EdgeKind.JOINT:
                return str(self.model.joints.id[self.ref[link]])
            case EdgeKind.PASS:
                return placed.node_id(self.device_of(link))

    def head_m(self, pressure_pa: float, level_m: float) -> float:
        """Head above datum of a gauge pressure at a level [m]."""
        return level_m + pressure_pa / (DENSITY_KGM3 * STANDARD_GRAVITY_MS2)

    def setting_head_m(self, link: int) -> float:
        """Head above datum that a reducing valve holds at its outlet [m]."""
        node = self.device_of(link)
        return self.head_m(self.devices.by_node[node].setting_pa, float(self.level_m[self.v[link]]))


def water_net(model: Model) -> WaterNet:
    """The pressure pipework of a model."""
    edges, devices = model.edges, devices_of(model)
    chosen = model.edges_of(PRESSURE)
    u, v, kind, ref = edges.u[chosen], edges.v[chosen], edges.kind[chosen], edges.ref[chosen]
    pipe = _pipes(model, kind, ref)
    bore, rough, system = _filled(model, u, v, kind, pipe, edges.system_u[chosen])
    device_k, role, device_rating = _devices(model, devices, kind, ref, bore)
    rating = np.where(np.isnan(device_rating), _pipe_ratings(model, pipe, system), device_rating)
    return WaterNet(
        model,
        devices,
        chosen,
        u,
        v,
        kind,
        ref,
        system,
        np.maximum(edges.length_m[chosen], LEAST_LENGTH_M),
        role,
        bore,
        rough,
        _run_fittings(model, kind, ref, bore) + device_k,
        rating,
    )


def _pipes(model: Model, kind: Ints, ref: Ints) -> Ints:
    """The pipe of each run; of each joint the one of its first stub; -1 for devices."""
    pipe = np.full(len(kind), -1, np.int32)
    runs, joints = kind == EdgeKind.RUN, kind == EdgeKind.JOINT
    pipe[runs] = model.run_pipe[ref[runs]]
    pipe[joints] = model.node_pipe[model.joints.stub_a[ref[joints]]]
    return pipe


def _filled(
    model: Model, u: Ints, v: Ints, kind: Ints, pipe: Ints, system: Ints
) -> tuple[Floats, Floats, Ints]:
    """Bore, roughness and system of each link; a device has the narrowest bore beside it."""
    rows = model.placed.tables.pipes.drop_duplicates("pipe")
    bores, walls = rows["bore_m"].to_numpy(float), rows["roughness_m"].to_numpy(float)
    bore = np.where(pipe >= 0, bores[pipe], np.nan) if len(rows) else np.full(len(pipe), np.nan)
    rough = np.where(pipe >= 0, walls[pipe], np.nan) if len(rows) else bore
    beside = np.full(len(model.placed.point_node), np.inf)
    beside_system = np.full(len(model.placed.point_node), -1, np.int32)
    known = np.flatnonzero(~np.isnan(bore))
    for end in (u, v):
        np.minimum.at(beside, end[known], bore[known])
        beside_system[end[known]] = system[known]
    narrow = np.minimum(beside[u], beside[v])
    bore = np.where(np.isnan(bore), narrow, bore)
    bore = np.where(np.isfinite(bore) & (bore > 0), bore, UNKNOWN_BORE_M)
    system = np.where(kind == EdgeKind.PASS, np.maximum(beside_system[v], beside_system[u]), system)
    rough = np.where(np.isnan(rough), UNKNOWN_ROUGHNESS_M, rough)
    return bore, rough, system.astype(np.int32)


def _pipe_ratings(model: Model, pipe: Ints, system: Ints) -> Floats:
    """The rating of each link's pipe at its temperature: the row for the least temperature not below it."""
    table = model.placed.tables.pipes
    names = table["pipe"].drop_duplicates().tolist()
    rating = np.full((len(names) + 1, 2), np.nan)
    for n, name in enumerate(names):
        rows = table[table["pipe"] == name].sort_values("max_temperature_c")
        for column, temperature in enumerate((COLD_C, HOT_C)):
            good = rows[~(rows["max_temperature_c"] < temperature)]
            if len(good):
                rating[n, column] = float(good["rating_pa"].iat[0])
    found: Floats = rating[pipe, np.isin(system, HOT_SYSTEMS).astype(int)]
    return found


def _coefficients(fitting: Fitting, bore_m: Floats) -> Floats:
    """K of a fitting for an array of bores."""
    sizes, place = np.unique(bore_m, return_inverse=True)
    return np.array([loss_coefficient(fitting, float(size)) for size in sizes])[place]


def _run_fittings(model: Model, kind: Ints, ref: Ints, bore: Floats) -> Floats:
    """K of the corners and end fittings of runs: an elbow and a straight tee count half to either side."""
    result = np.zeros(len(kind))
    at = np.flatnonzero(kind == EdgeKind.RUN)
    if not len(at):
        return result
    placed, types = model.placed, model.placed.types
    run_type = placed.run_type[ref[at]]
    pieces = np.bincount(types.segment_run, minlength=len(types.runs))
    elbow, straight, branch = (
        _coefficients(f, bore[at]) for f in (Fitting.ELBOW_90, Fitting.TEE_RUN, Fitting.TEE_BRANCH)
    )
    result[at] = elbow * (pieces[run_type] - 1)
    for end, column in ((types.run_from, "from_port"), (types.run_to, "to_port")):
        node_kind = types.node_kind[end[run_type]]
        by_branch = types.runs[column].isin(BRANCH_PORTS).to_numpy(bool)[run_type]
        result[at] += np.where(node_kind == KIND_CODE["bend"], elbow / 2, 0.0)
        result[at] += np.where(node_kind == KIND_CODE["tee"], np.where(by_branch, branch, straight / 2), 0.0)
    return result


def _devices(
    model: Model, devices: Devices, kind: Ints, ref: Ints, bore: Floats
) -> tuple[Floats, Ints, Floats]:
    """K, role and rating of the links through devices; zero, plain and NaN elsewhere."""
    k, rating = np.zeros(len(kind)), np.full(len(kind), np.nan)
    role = np.full(len(kind), Role.PLAIN, np.int32)
    supplied = {supply.node for supply in devices.supplies}
    for link in np.flatnonzero(kind == EdgeKind.PASS).tolist():
        node = int(model.placed.pass_node[ref[link]])
        device = devices.by_node[node]
        size = float(bore[link])
        k[link] = (
            1.6e9 * size**4 / device.kv_m3h**2
            if device.kv_m3h > 0
            else loss_coefficient(RESEMBLES.get(device.kind, Fitting.ENTRANCE), size)
        )
        rating[link] = device.rating_pa
        role[link] = Role.SHUT if node in supplied else _role(device, devices)
        if role[link] == Role.PUMP:
            k[link] = 0.0  # its curve is measured from flange to flange
    return k, role, rating


def _role(device: Device, devices: Devices) -> Role:
    if device.kind == "tank":
        return Role.SHUT
    if device.normally == "closed" and device.kind in ("valve", "balancing_valve"):
        return Role.SHUT
    if device.kind in ("check_valve", "backflow_preventer"):
        return Role.ONE_WAY
    if device.kind == "reducing_valve":
        return Role.ONE_WAY if np.isnan(device.setting_pa) else Role.REDUCING
    if device.kind == "pump":
        return Role.PUMP if device.curve in devices.curves else Role.ONE_WAY
    return Role.PLAIN


def outlets_with_pipes(net: WaterNet) -> tuple[Ints, Ints]:
    """The points at which water is drawn (fixture ports, hose valves, sprinkler branches), each with the
    link that ends there.
    """
    placed = net.model.placed
    kinds = [KIND_CODE[name] for name in ("fixture", "hose_valve", "sprinkler_branch")]
    link_at = np.full(len(placed.point_node), -1, np.int32)
    links = np.arange(len(net.u), dtype=np.int32)
    link_at[net.u], link_at[net.v] = links, links
    is_outlet = np.isin(net.model.node_kind[placed.point_node], kinds) & (link_at >= 0)
    points = np.flatnonzero(is_outlet).astype(np.int32)
    return points, link_at[points]
