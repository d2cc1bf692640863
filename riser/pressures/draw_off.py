# SPDX-License-Identifier: Apache-2.0
"""Pressures while named outlets are open: the whole network solved, with the states of pumps and valves.

Each open outlet draws a stated flow. The solution keeps every law at once; the budget beside it keeps the
diversified load of each pipe alone, which no single moment ever shows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from riser.hydraulics.devices import Curve, PointCurve, pump_curve
from riser.hydraulics.pipe_network import LinkKind, PipeNetwork
from riser.hydraulics.quantity import FloatArray, IntArray
from riser.hydraulics.solution import Solution
from riser.hydraulics.solver import solve
from riser.hydraulics.static_head import head_of_pressure, pressure_below_head
from riser.network.types import Floats, Ints
from riser.pressures.devices import CurvePoints, SupplyPoint
from riser.pressures.water_net import DENSITY_KGM3, Role, WaterNet
from riser.units import STANDARD_GRAVITY_MS2

LEAST_COEFFICIENT = 1e-3


@dataclass(frozen=True)
class DrawOff:
    """The network with outlets open: `head_m` and gauge `pressure_pa` at every point of the model (NaN where
    nothing is supplied), `flow_m3s` per link of the net, and the open points that get no water.
    """

    open_m3s: Mapping[int, float]
    head_m: Floats
    pressure_pa: Floats
    flow_m3s: Floats
    unserved: tuple[int, ...]
    beyond_curve: tuple[str, ...]
    solution: Solution


def draw_off(net: WaterNet, open_m3s: Mapping[int, float]) -> DrawOff:
    """Heads and flows while outlets at these points draw so much; raises InvalidNetwork or NotSolved."""
    network, points = _network(net, open_m3s)
    result = solve(network)
    count = len(net.model.placed.point_node)
    head = np.full(count, np.nan)
    head[points] = result.head_m[: len(points)]
    pressure: Floats = pressure_below_head(head, net.level_m, DENSITY_KGM3, STANDARD_GRAVITY_MS2)
    links = len(net.u)
    lost = tuple(point for point in open_m3s if np.isnan(head[point]))
    over = tuple(network.link_names[n] for n in np.flatnonzero(result.beyond_curve).tolist())
    return DrawOff(dict(open_m3s), head, pressure, result.flow_m3s[:links], lost, over, result)


def _network(net: WaterNet, open_m3s: Mapping[int, float]) -> tuple[PipeNetwork, Ints]:
    """The network of the solver: the points that have links, then one node for each supply with a curve."""
    points, place = _points(net, open_m3s)
    demand = np.zeros(len(points))
    for point, flow in open_m3s.items():
        demand[place[point]] += flow
    kind, curve, curves = _kinds(net)
    coefficient = np.where(kind == LinkKind.PIPE, net.fittings, np.maximum(net.fittings, LEAST_COEFFICIENT))
    setting = [net.setting_head_m(n) if net.role[n] == Role.REDUCING else np.nan for n in range(len(net.u))]
    network = PipeNetwork(
        node_names=[f"point {p}" for p in points.tolist()],
        demand_m3s=demand,
        fixed_head_m=np.full(len(points), np.nan),
        link_names=[f"{net.name(n)} ({n})" for n in range(len(net.u))],
        kind=kind,
        start=place[net.u].astype(np.int64),
        end=place[net.v].astype(np.int64),
        length_m=_floats(net.length_m),
        diameter_m=_floats(net.bore_m),
        roughness_m=np.where(kind == LinkKind.PIPE, net.roughness_m, np.nan),
        hazen_williams_c=np.full(len(kind), np.nan),
        loss_coefficient=coefficient,
        set_head_m=np.array(setting, dtype=float),
        curve=curve,
        closed=net.role == Role.SHUT,
        curves=curves,
        kinematic_viscosity_m2s=_floats(net.viscosity_m2s),
    )
    return _with_supplies(net, network, place), points


def _points(net: WaterNet, open_m3s: Mapping[int, float]) -> tuple[Ints, Ints]:
    """The points that take part, and the place of every point of the model among them (-1 for none)."""
    supplies = np.array([s.point for s in net.devices.supplies], np.int64)
    asked = np.array(list(open_m3s), np.int64)
    points = np.unique(np.concatenate([net.u, net.v, supplies, asked])).astype(np.int32)
    place = np.full(len(net.model.placed.point_node), -1, np.int64)
    place[points] = np.arange(len(points))
    return points, place


def _kinds(net: WaterNet) -> tuple[IntArray, IntArray, list[Curve]]:
    """The solver's kind of each link, and the pumps' curves."""
    by_role = {
        Role.ONE_WAY: LinkKind.CHECK_VALVE,
        Role.REDUCING: LinkKind.REDUCING_VALVE,
        Role.PUMP: LinkKind.PUMP,
        Role.SHUT: LinkKind.VALVE,
    }
    kind = np.full(len(net.u), LinkKind.PIPE, np.int64)
    for role, solver_kind in by_role.items():
        kind[net.role == role] = solver_kind
    curve, curves = np.full(len(net.u), -1, np.int64), list[Curve]()
    for link in np.flatnonzero(net.role == Role.PUMP).tolist():
        points = net.devices.curves[net.devices.by_node[net.device_of(link)].curve]
        curve[link] = len(curves)
        curves.append(pump_curve(points.flow_m3s.tolist(), _heads(points)))
    return kind, curve, curves


def _with_supplies(net: WaterNet, network: PipeNetwork, place: Ints) -> PipeNetwork:
    """The network with its supplies: a fixed head, before the curve of the supply where it has one."""
    fixed = network.fixed_head_m.copy()
    behind_curve: list[tuple[SupplyPoint, CurvePoints]] = []
    for supply in net.devices.supplies:
        if supply.curve is None:
            fixed[place[supply.point]] = net.head_m(supply.static_pa, supply.level_m)
        else:
            behind_curve.append((supply, supply.curve))
    network = replace(network, fixed_head_m=fixed)
    for supply, curve in behind_curve:
        network = _with_curve(net, network, supply, curve, int(place[supply.point]))
    return network


def _with_curve(
    net: WaterNet, network: PipeNetwork, supply: SupplyPoint, curve: CurvePoints, end: int
) -> PipeNetwork:
    """The network with one more node, the supply at rest, and the link through which it falls with flow."""
    nan, node = float("nan"), len(network.node_names)
    head = net.head_m(supply.static_pa, supply.level_m)
    viscosity = np.asarray(network.kinematic_viscosity_m2s)
    return replace(
        network,
        node_names=[*network.node_names, f"supply {supply.point}"],
        demand_m3s=np.append(network.demand_m3s, 0.0),
        fixed_head_m=np.append(network.fixed_head_m, head),
        link_names=[*network.link_names, f"{net.model.placed.node_id(supply.node)} curve"],
        kind=np.append(network.kind, int(LinkKind.ONE_WAY_DEVICE)),
        start=np.append(network.start, node),
        end=np.append(network.end, end),
        length_m=np.append(network.length_m, nan),
        diameter_m=np.append(network.diameter_m, nan),
        roughness_m=np.append(network.roughness_m, nan),
        hazen_williams_c=np.append(network.hazen_williams_c, nan),
        loss_coefficient=np.append(network.loss_coefficient, 0.0),
        set_head_m=np.append(network.set_head_m, nan),
        curve=np.append(network.curve, len(network.curves)),
        closed=np.append(network.closed, False),
        curves=[*network.curves, _falling(curve)],
        kinematic_viscosity_m2s=np.append(viscosity, viscosity.flat[0]),
    )


def _heads(curve: CurvePoints) -> list[float]:
    return [float(head_of_pressure(p, DENSITY_KGM3)) for p in curve.pressure_pa.tolist()]


def _falling(curve: CurvePoints) -> PointCurve:
    """What a supply loses over its flow."""
    heads = np.array(_heads(curve))
    return PointCurve(tuple(curve.flow_m3s.tolist()), tuple((heads[0] - heads).tolist()))


def _floats(values: Floats) -> FloatArray:
    return np.asarray(values, np.float64)
