# SPDX-License-Identifier: Apache-2.0
"""Where stubs really are: survey measurements over the drawing (finding J19)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from riser.audit.finding import Finding
from riser.joints import kinds
from riser.joints.reporting import millimetres, stub_finding
from riser.network.model import Model
from riser.network.placing import Placed
from riser.network.types import Floats, Ints

# Default of [tolerance] for stubs cast into the foundation, each plan axis and level.
# Common practice, no source.
STUB_TOLERANCE_M = 0.010


@dataclass(frozen=True)
class Measured:
    """The latest measurement of each measured node: number, position and uncertainty [m], survey row."""

    node: Ints
    xyz_m: Floats
    uncertainty_m: Floats
    file_row: Ints


def measured_stubs(placed: Placed) -> Measured:
    """The measurements of survey.csv; the later time wins, a blank coordinate was not measured."""
    frame = placed.tables.survey
    if not len(frame):
        return Measured(np.zeros(0, int), np.zeros((0, 3)), np.zeros(0), np.zeros(0, int))
    when = pd.to_datetime(frame["measured_at"], utc=True, format="ISO8601")
    frame = frame.assign(_node=placed.node_numbers(frame["stub"].tolist()), _when=when)
    frame = (
        frame[frame["_node"] >= 0].sort_values("_when", kind="stable").drop_duplicates("_node", keep="last")
    )
    node = frame["_node"].to_numpy(int)
    xyz = frame[["x_m", "y_m", "z_m"]].to_numpy(float)
    return Measured(
        node=node,
        xyz_m=np.where(np.isnan(xyz), placed.node_xyz_m[node], xyz),
        uncertainty_m=np.nan_to_num(frame["uncertainty_m"].to_numpy(float)),
        file_row=frame["row"].to_numpy(int),
    )


def positions_m(placed: Placed) -> Floats:
    """Node positions, measured where measured and drawn elsewhere; shape (nodes, 3)."""
    measured = measured_stubs(placed)
    if not len(measured.node):
        return placed.node_xyz_m
    xyz = placed.node_xyz_m.copy()
    xyz[measured.node] = measured.xyz_m
    return xyz


def stub_tolerances_m(placed: Placed) -> tuple[float, float]:
    """The allowed deviation in each plan axis and in level."""
    tolerance: dict[str, Any] = dict(placed.tables.settings.get("tolerance", {}))
    plan = float(tolerance.get("stub_plan_m", STUB_TOLERANCE_M))
    return plan, float(tolerance.get("stub_level_m", plan))


def off_place(model: Model) -> list[Finding]:
    """J19: measured stubs farther from their drawn place than the tolerance."""
    placed = model.placed
    measured = measured_stubs(placed)
    if not len(measured.node):
        return []
    step = measured.xyz_m - placed.node_xyz_m[measured.node]
    plan, level = stub_tolerances_m(placed)
    limit = np.array([plan, plan, level]) + 1e-9
    off = np.flatnonzero((np.abs(step) > limit).any(axis=1) & model.node_standing[measured.node])
    found = []
    for n in off.tolist():
        node = int(measured.node[n])
        dx, dy, dz = (millimetres(v) for v in step[n].tolist())
        says = (
            f"{placed.node_id(node)} was measured {dx} in x, {dy} in y and {dz} in level off its drawn place"
            f" (uncertainty {millimetres(float(measured.uncertainty_m[n]))}); allowed are {millimetres(plan)}"
            f" in plan and {millimetres(level)} in level."
        )
        found.append(stub_finding(model, kinds.OFF_PLACE, node, says))
    return found
