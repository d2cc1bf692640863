# SPDX-License-Identifier: Apache-2.0
"""Where joints belong: their riser, the joints along each riser, and the shaft they stand in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.model import EdgeKind, Model, design_model
from riser.network.risers import Riser, risers
from riser.network.systems import System
from riser.network.types import Flags, Floats, Ints

# A joint this far from a shaft is still the work of the people at that shaft. Common practice, no source.
NEAR_M = 6.0


@dataclass(frozen=True)
class RiserJoints:
    """One riser and its joints in order from foot to top. `name` is "" where the engineer gave none."""

    name: str
    place: str
    shaft: str
    system: int
    joints: Ints


def riser_joints(model: Model, systems: set[int]) -> list[RiserJoints]:
    """The risers of these systems in the finished building that have a joint."""
    whole = design_model(model.placed, model.joints)
    found = []
    for system in sorted(systems):
        if system < 0:
            continue
        for riser in risers(whole, System(system)):
            edges = riser.edges[whole.edges.kind[riser.edges] == EdgeKind.JOINT]
            if len(edges):
                joints = whole.edges.ref[edges].astype(np.int32)
                found.append(RiserJoints(riser.name, _place(whole, riser), riser.shaft, system, joints))
    return found


def _place(model: Model, riser: Riser) -> str:
    x, y, _ = model.placed.node_xyz_m[model.placed.point_node[riser.points[0]]].tolist()
    return f"at x {x:.3f} y {y:.3f}"


@dataclass(frozen=True)
class Shaft:
    """A shaft: its building and its outline in plan, shape (n, 2) [m]."""

    name: str
    building: str
    outline_m: Floats


def shafts_of(model: Model) -> list[Shaft]:
    """The shafts of shafts.csv."""
    frame = model.placed.tables.shafts
    rows = zip(frame["shaft"].tolist(), frame["building"].tolist(), frame["outline_m"].tolist(), strict=True)
    return [Shaft(str(name), str(building), _outline(str(text))) for name, building, text in rows]


def _outline(text: str) -> Floats:
    pairs = [piece.split() for piece in text.split(";") if piece.strip()]
    return np.array(pairs, dtype=float).reshape(-1, 2)


def joint_xyz_m(model: Model) -> Floats:
    """The place of each joint: the middle of its connections, shape (joints, 3)."""
    connections, count = model.joints.connections, len(model.joints)
    number = np.maximum(np.bincount(connections.joint, minlength=count), 1)
    axes = [np.bincount(connections.joint, connections.xyz_m[:, k], count) / number for k in range(3)]
    return np.stack(axes, axis=1)


@dataclass(frozen=True, slots=True)
class ShaftPlace:
    """The shaft a joint belongs to, "" for none, and whether it stands in it or only near it."""

    name: str
    inside: bool

    @property
    def words(self) -> str:
        """`shaft S1`, `near shaft S1`, or nothing."""
        if not self.name:
            return ""
        return f"shaft {self.name}" if self.inside else f"near shaft {self.name}"


def joint_shafts(model: Model, joints: Ints, along: list[RiserJoints]) -> list[ShaftPlace]:
    """The shaft of each of these joints: that of its riser, else the one it stands in, else the nearest.

    A joint farther than `NEAR_M` from every shaft of its building belongs to none.
    """
    named = {n: riser.shaft for riser in along if riser.shaft for n in riser.joints.tolist()}
    plan = joint_xyz_m(model)[joints][:, :2]
    building = model.placed.floors.building[model.joints.works_on[joints]]
    places = shaft_places(shafts_of(model), plan, building.tolist())
    return [
        ShaftPlace(named[n], True) if n in named else place
        for n, place in zip(joints.tolist(), places, strict=True)
    ]


def shaft_places(shafts: list[Shaft], plan_m: Floats, buildings: list[str]) -> list[ShaftPlace]:
    """The shaft that each place, shape (n, 2), stands in or is nearest to, among those of its building."""
    found = [ShaftPlace("", False)] * len(plan_m)
    if not shafts or not len(plan_m):
        return found
    away = np.array([distance_m(shaft.outline_m, plan_m) for shaft in shafts])
    same = np.array([[shaft.building == name for name in buildings] for shaft in shafts], dtype=bool)
    away = np.where(same & np.isfinite(away), away, np.inf)
    for n, k in enumerate(np.argmin(away, axis=0).tolist()):
        if away[k, n] <= NEAR_M:
            found[n] = ShaftPlace(shafts[k].name, bool(away[k, n] == 0.0))
    return found


def distance_m(outline_m: Floats, points_m: Floats) -> Floats:
    """How far each point lies from an outline; 0 within it."""
    away = np.full(len(points_m), np.inf)
    for start, end in zip(outline_m, np.roll(outline_m, -1, axis=0), strict=True):
        side = end - start
        share = np.clip((points_m - start) @ side / max(float(side @ side), 1e-12), 0.0, 1.0)
        away = np.minimum(away, np.linalg.norm(points_m - start - share[:, None] * side, axis=1))
    return np.where(is_inside(outline_m, points_m), 0.0, away)


def is_inside(outline_m: Floats, points_m: Floats) -> Flags:
    """Whether each point lies in the outline, by counting the sides that a ray from it crosses."""
    inside = np.zeros(len(points_m), bool)
    if len(outline_m) < 3:
        return inside
    x, y = points_m[:, 0], points_m[:, 1]
    for (x1, y1), (x2, y2) in zip(outline_m, np.roll(outline_m, -1, axis=0), strict=True):
        spans = (y1 > y) != (y2 > y)
        rise = y2 - y1 if y2 != y1 else 1.0
        inside ^= spans & (x < (x2 - x1) * (y - y1) / rise + x1)
    return inside
