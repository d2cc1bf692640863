# SPDX-License-Identifier: Apache-2.0
"""What every valve, pump and supply is set to, as its type says and as devices.csv says of this one."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from riser.network.kinds import KINDS, NODE_KINDS
from riser.network.model import Model
from riser.network.tables import JobTables
from riser.network.types import Flags, Floats, Ints


@dataclass(frozen=True)
class Device:
    """One node as placed: NaN and "" where nothing is said.

    `setting_pa` is a gauge pressure at the level of the node. `row` is its row in devices.csv, 0 for none.
    """

    node: int
    kind: str
    normally: str
    setting_pa: float
    kv_m3h: float
    curve: str
    rating_pa: float
    row: int


@dataclass(frozen=True)
class CurvePoints:
    """A curve of curves.csv by rising flow: gauge pressure of a supply, gain of a pump."""

    name: str
    flow_m3s: Floats
    pressure_pa: Floats

    @property
    def at_rest_pa(self) -> float:
        """The pressure at no flow [Pa]."""
        return float(self.pressure_pa[0])

    def at_flow_pa(self, flow_m3s: float) -> float:
        """The pressure at a flow, straight between the points; zero beyond where it would fall to it [Pa]."""
        last, before = self.flow_m3s[-1], self.flow_m3s[-2] if len(self.flow_m3s) > 1 else 0.0
        if flow_m3s <= last or last <= before:
            return float(np.interp(flow_m3s, self.flow_m3s, self.pressure_pa))
        fall = (self.pressure_pa[-1] - self.pressure_pa[-2]) / (last - before)
        return float(max(self.pressure_pa[-1] + fall * (flow_m3s - last), 0.0))

    @property
    def last_flow_m3s(self) -> float:
        """The flow beyond which the curve says nothing [m3/s]."""
        return float(self.flow_m3s[-1])


@dataclass(frozen=True)
class SupplyPoint:
    """A supply of supplies.csv: gauge pressure `static_pa` at `level_m` when nothing flows.

    `point` is where the water comes out; `curve` how its pressure falls with the flow, None if it does not.
    """

    node: int
    point: int
    kind: str
    static_pa: float
    level_m: float
    curve: CurvePoints | None
    row: int


@dataclass(frozen=True)
class Devices:
    """All devices by node number, all supplies, all curves by name."""

    by_node: dict[int, Device] = field(default_factory=dict)
    supplies: tuple[SupplyPoint, ...] = ()
    curves: dict[str, CurvePoints] = field(default_factory=dict)


def devices_of(model: Model) -> Devices:
    """The devices of everything that counts."""
    curves = _curves(model.placed.tables)
    return Devices(_by_node(model), tuple(_supplies(model, curves)), curves)


def water_comes_out(model: Model, points: Ints) -> Flags:
    """Whether water comes out of a device at each point: at the end of a pass, or where there is none."""
    ends = [{end for _, end in KINDS[name].passes} or {0} for name in NODE_KINDS]
    placed = model.placed
    group = placed.types.point_group[placed.point_type[points]]
    kind = model.node_kind[placed.point_node[points]]
    return np.array([g in ends[k] for g, k in zip(group.tolist(), kind.tolist(), strict=True)], dtype=bool)


def _curves(tables: JobTables) -> dict[str, CurvePoints]:
    found = {}
    for name, unsorted in tables.curves.groupby("curve", sort=False):
        rows = unsorted.sort_values("flow_m3s")
        flow, pressure = rows["flow_m3s"].to_numpy(float), rows["pressure_pa"].to_numpy(float)
        found[str(name)] = CurvePoints(str(name), flow, pressure)
    return found


def _by_node(model: Model) -> dict[int, Device]:
    placed, frame = model.placed, model.placed.types.nodes
    listed = placed.tables.devices
    numbers = placed.node_numbers(listed["node"].tolist()) if len(listed) else np.zeros(0, np.int32)
    said = dict(zip(numbers.tolist(), range(len(listed)), strict=True))
    inline = [name for name, kind in KINDS.items() if kind.passes]
    found = {}
    for node in model.nodes_of_kind(*inline).tolist():
        typed = frame.iloc[placed.node_type[node]]
        own = listed.iloc[said[node]] if node in said else None
        found[node] = Device(
            node,
            NODE_KINDS[int(model.node_kind[node])],
            _text(own, "normally") or str(typed["normally"]),
            _first(_number(own, "setting_pa"), _number(typed, "setting_pa")),
            _number(own, "kv_m3h"),
            _text(own, "curve"),
            _number(own, "rating_pa"),
            int(own["row"]) if own is not None else 0,
        )
    return found


def _supplies(model: Model, curves: dict[str, CurvePoints]) -> list[SupplyPoint]:
    placed, frame = model.placed, model.placed.tables.supplies
    numbers = placed.node_numbers(frame["node"].tolist()) if len(frame) else np.zeros(0, np.int32)
    found = []
    for node, (_, row) in zip(numbers.tolist(), frame.iterrows(), strict=True):
        if node < 0 or not model.node_standing[node]:
            continue
        curve = curves.get(str(row["curve"]))
        static = _first(_number(row, "static_pa"), curve.at_rest_pa if curve else float("nan"))
        level = _first(_number(row, "level_m"), float(placed.node_xyz_m[node, 2]))
        if np.isnan(static):
            continue
        points = np.flatnonzero(placed.point_node == node).astype(np.int32)
        kind, number = str(row["kind"]), int(row["row"])
        found += [
            SupplyPoint(node, point, kind, static, level, curve, number)
            for point in points[water_comes_out(model, points)].tolist()
        ]
    return found


def _number(row: pd.Series | None, column: str) -> float:
    return float("nan") if row is None or column not in row else float(row[column])


def _text(row: pd.Series | None, column: str) -> str:
    return "" if row is None else str(row[column])


def _first(a: float, b: float) -> float:
    return b if np.isnan(a) else a
