# SPDX-License-Identifier: Apache-2.0
"""How far the stubs of a joint are from each other, against what its make-up takes.

A joint with one coupling takes that coupling's offset and angle. With a straight spool between its first and
last coupling, the spool may slant: each of the two then bends by the angle between its pipe and the spool. So
a long spool takes more offset than a short one. The distance along the pipe, less all laying lengths, must
lie within the sum of the couplings' gaps. The movement a coupling keeps for service (axial_max) is not spent.
Geometry only; the limits are the maker's, from couplings.csv.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.joints.makeup import sum_by_joint
from riser.joints.measured import positions_m
from riser.network.joints import JointState, PieceKind
from riser.network.model import Model
from riser.network.types import Flags, Floats, Ints

SLACK_M = 1e-6
SLACK_RAD = 1e-6


@dataclass(frozen=True)
class Fit:
    """Per joint: what is there and what its make-up takes (lengths in m, angles in radians).

    `judged` where both stubs are there and every coupling is in the catalogue. `gap_m` is what the laying
    lengths leave; `bend_rad` the larger of the deflections at the first and last coupling after offset pieces
    and the couplings' own offset are used up; `tilt_rad` how far the stubs are turned against each other.
    """

    judged: Flags
    axial_m: Floats
    lateral_m: Floats
    tilt_rad: Floats
    laid_m: Floats
    gap_m: Floats
    gap_least_m: Floats
    gap_most_m: Floats
    offset_takes_m: Floats
    bend_rad: Floats
    bend_takes_rad: Floats

    @property
    def gap_is_wrong(self) -> Flags:
        """Where the gap lies outside what the couplings allow."""
        short = self.gap_m < self.gap_least_m - SLACK_M
        wrong: Flags = self.judged & (short | (self.gap_m > self.gap_most_m + SLACK_M))
        return wrong

    @property
    def angle_is_wrong(self) -> Flags:
        """Where the stubs' own tilt is more than the couplings take."""
        wrong: Flags = self.judged & (self.tilt_rad > self.bend_takes_rad + SLACK_RAD)
        return wrong

    @property
    def offset_is_wrong(self) -> Flags:
        """Where the offset asks more of the couplings than they take."""
        wrong: Flags = self.judged & ~self.angle_is_wrong & (self.bend_rad > self.bend_takes_rad + SLACK_RAD)
        return wrong


def _catalogue(model: Model, column: str, couplings: Ints) -> Floats:
    """A column of couplings.csv for each connection; 0 where the cell is empty, NaN without a row."""
    frame = model.placed.tables.couplings
    if not len(frame):
        return np.full(len(couplings), np.nan)
    values = np.nan_to_num(frame[column].to_numpy(float))
    return np.where(couplings >= 0, values[np.maximum(couplings, 0)], np.nan)


def _least_by_joint(values: Floats, joint: Ints, count: int) -> Floats:
    least = np.full(count, np.inf)
    known = ~np.isnan(values)
    np.minimum.at(least, joint[known], values[known])
    return least


def _sum_of(model: Model, column: str) -> Floats:
    """A coupling property summed over each joint; NaN where a coupling is not in the catalogue."""
    connections = model.joints.connections
    values = _catalogue(model, column, connections.coupling)
    return np.bincount(connections.joint, weights=values, minlength=len(model.joints)).astype(float)


def _between(a: Floats, b: Floats) -> Floats:
    """Angle between unit vectors, row by row; exact for small angles, where the arc cosine is not."""
    across = np.linalg.norm(np.cross(a, b), axis=1)
    angle: Floats = np.arctan2(across, np.einsum("ij,ij->i", a, b))
    return angle


def _bend(
    facing_a: Floats, facing_b: Floats, along: Floats, sideways: Floats, left_m: Floats, spooled: Flags
) -> Floats:
    """The larger deflection at the two ends of a slanted spool; the stubs' tilt where there is no spool."""
    slant = along[:, None] * facing_a + sideways * left_m[:, None]
    slant = slant / np.maximum(np.linalg.norm(slant, axis=1), 1e-9)[:, None]
    both_ends = np.maximum(_between(facing_a, slant), _between(slant, -facing_b))
    # With one coupling and no spool nothing can slant: what offset is left cannot be taken at all.
    single = np.where(left_m > SLACK_M, np.pi / 2, _between(facing_a, -facing_b))
    return np.where(spooled, both_ends, single)


def fit(model: Model, *, drawn: bool = False) -> Fit:
    """What every joint's make-up must take and can take; measured positions unless `drawn`."""
    placed, joints = model.placed, model.joints
    pieces, connections, count = joints.pieces, joints.connections, len(joints)
    both = joints.state == JointState.JOINED
    a, b = np.where(both, joints.stub_a, 0), np.where(both, joints.stub_b, 0)
    xyz = placed.node_xyz_m if drawn else positions_m(placed)
    facing_a, facing_b = placed.facing(a), placed.facing(b)
    step = xyz[b] - xyz[a]
    axial = np.einsum("ij,ij->i", step, facing_a)
    across = step - axial[:, None] * facing_a
    lateral = np.linalg.norm(across, axis=1)
    sideways = across / np.maximum(lateral, 1e-12)[:, None]
    number = connections.joint
    known = connections.coupling >= 0
    couplings = np.bincount(number, minlength=count)
    laid = sum_by_joint(pieces, pieces.length_m, count)
    taken = sum_by_joint(pieces, np.where(pieces.kind == PieceKind.OFFSET, pieces.offset_m, 0.0), count)
    own = _sum_of(model, "offset_max_m")
    left = np.maximum(np.abs(lateral - taken) - own, 0.0)
    takes = _least_by_joint(_catalogue(model, "angle_max_rad", connections.coupling), number, count)
    return Fit(
        judged=both & (np.bincount(number, ~known, minlength=count) == 0),
        axial_m=axial,
        lateral_m=lateral,
        tilt_rad=_between(facing_a, -facing_b),
        laid_m=laid,
        gap_m=axial - laid,
        gap_least_m=_sum_of(model, "gap_min_m"),
        gap_most_m=_sum_of(model, "gap_max_m"),
        offset_takes_m=taken + own + np.where(couplings > 1, laid * np.tan(np.minimum(takes, 1.0)), 0.0),
        bend_rad=_bend(facing_a, facing_b, axial, sideways, left, couplings > 1),
        bend_takes_rad=takes,
    )
