# SPDX-License-Identifier: Apache-2.0
"""The geometric witness: which stubs face each other closely enough to belong together.

A stub looks along its facing into a cylinder: so far across, so far along. Two stubs of different parts that
look at each other there are candidates; each takes its nearest candidate, and a pair is one that chose each
other. Where the second best is as good as the best, there is no pair but a tie.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from riser.network.types import Flags, Floats, Ints

# Stubs may be drawn into each other this far and still be meant for each other. Common practice, no source.
OVERLAP_M = 0.05
# Facings within this cosine of one axis are searched together.
SAME_AXIS = 0.985
# Handicap in metres of a candidate of another system or another pipe: it decides between candidates that
# geometry cannot tell apart, and never outweighs a clear distance.
OTHER_SYSTEM_M = 0.020
OTHER_PIPE_M = 0.010
EQUALLY_GOOD_M = 0.002
# Distances come out of sines and sums; a stub exactly at the limit is within it.
ROUNDING_M = 1e-9


@dataclass(frozen=True)
class Pairing:
    """For each stub (in the order given): its partner, or -1; and an equally good rival, or -1."""

    partner: Ints
    rival: Ints


@dataclass(frozen=True)
class _AxisGroup:
    """Stubs that face along one line, whichever way they look: `axis`, their numbers, and the sine of the
    largest angle between the axis and one of them.
    """

    axis: Floats
    members: Ints
    tilt: float


def _axis_groups(facing: Floats) -> list[_AxisGroup]:
    """Stubs grouped by the line they face along. The line of most stubs gives its group the axis, so that a
    single stub that leans does not tilt the search for all others.
    """
    largest = np.argmax(np.abs(facing), axis=1)
    sign = np.sign(facing[np.arange(len(facing)), largest])
    found = np.unique(np.round(facing * sign[:, None], 3), axis=0, return_inverse=True, return_counts=True)
    lines, member, counts = found[0], found[1].reshape(-1), found[2]
    group_of_line = np.full(len(lines), -1)
    axes: list[Floats] = []
    tilts: list[float] = []
    for n in np.argsort(-counts, kind="stable").tolist():
        line = lines[n] / np.linalg.norm(lines[n])
        cosines = [abs(float(axis @ line)) for axis in axes]
        g = next((g for g, cosine in enumerate(cosines) if cosine > SAME_AXIS), len(axes))
        if g == len(axes):
            axes.append(line)
            tilts.append(0.0)
        else:
            tilts[g] = max(tilts[g], float(np.sqrt(max(1.0 - cosines[g] ** 2, 0.0))))
        group_of_line[n] = g
    group = group_of_line[member]
    return [
        _AxisGroup(axis, np.flatnonzero(group == g).astype(np.int32), tilts[g]) for g, axis in enumerate(axes)
    ]


def _candidates(xyz_m: Floats, axis: Floats, tilt: float, across_m: float, along_m: float) -> Ints:
    """Pairs of points, shape (n, 2), of which one may lie in the other's cylinder."""
    other = np.eye(3)[np.argmin(np.abs(axis))]
    u = np.cross(axis, other)
    u /= np.linalg.norm(u)
    # Squeezed along the axis, the cylinder fits a ball, and few strangers fall into it. A stub that leans
    # from the axis reaches farther across it.
    frame = np.stack([u, np.cross(axis, u), axis * (across_m / along_m)], axis=1)
    tree = cKDTree(xyz_m @ frame, compact_nodes=False, balanced_tree=False)
    reach_m = float(np.hypot(across_m + along_m * tilt, across_m * (1.0 + tilt * across_m / along_m)))
    return tree.query_pairs(reach_m + ROUNDING_M, output_type="ndarray").astype(np.int32)


def _cost(
    a: Ints, b: Ints, xyz_m: Floats, facing: Floats, across_m: float, along_m: float
) -> tuple[Flags, Floats]:
    """Whether stub b lies in stub a's cylinder and looks back, and how far off it is (m)."""
    step = xyz_m[b] - xyz_m[a]
    along = np.einsum("ij,ij->i", step, facing[a])
    across = np.sqrt(np.maximum(np.einsum("ij,ij->i", step, step) - along**2, 0.0))
    looks_back = np.einsum("ij,ij->i", facing[a], facing[b]) < -SAME_AXIS
    within = (across <= across_m + ROUNDING_M) & (along <= along_m + ROUNDING_M)
    inside = looks_back & within & (along >= -OVERLAP_M - ROUNDING_M)
    return inside, np.hypot(across, along * (across_m / along_m))


def _either_way(
    a: Ints, b: Ints, xyz_m: Floats, facing: Floats, across_m: float, along_m: float
) -> tuple[Flags, Floats]:
    """The same as seen from a or from b, whichever sees the other better; it differs where one leans."""
    inside, cost = _cost(a, b, xyz_m, facing, across_m, along_m)
    lean = np.flatnonzero(np.einsum("ij,ij->i", facing[a], facing[b]) > -1.0 + ROUNDING_M)
    seen, back = _cost(b[lean], a[lean], xyz_m, facing, across_m, along_m)
    best = np.minimum(np.where(inside[lean], cost[lean], np.inf), np.where(seen, back, np.inf))
    inside[lean] |= seen
    cost[lean] = best
    return inside, cost


def _choices(a: Ints, b: Ints, cost: Floats, count: int) -> tuple[Ints, Ints]:
    """Each stub's best candidate, and its second best where that is as good (-1 otherwise)."""
    start = np.concatenate([a, b])
    end = np.concatenate([b, a])
    both = np.concatenate([cost, cost])
    order = np.lexsort((both, start))
    start, end, both = start[order], end[order], both[order]
    first = np.flatnonzero(np.concatenate([[True], start[1:] != start[:-1]])) if len(start) else start
    best = np.full(count, -1, dtype=np.int32)
    rival = np.full(count, -1, dtype=np.int32)
    best[start[first]] = end[first]
    second = first + 1
    second = second[second < len(start)]
    tied = second[(start[second] == start[second - 1]) & (both[second] - both[second - 1] < EQUALLY_GOOD_M)]
    rival[start[tied]] = end[tied]
    return best, rival


def pairing(
    xyz_m: Floats, facing: Floats, part: Ints, system: Ints, pipe: Ints, across_m: float, along_m: float
) -> Pairing:
    """Pair stubs by geometry.

    Parameters: positions (n, 3) [m], unit facings (n, 3), part, system and pipe codes (n,), and the cylinder:
    `across_m` its radius, `along_m` its length. The result is the same whichever way round a pair is given.
    """
    found_a: list[Ints] = []
    found_b: list[Ints] = []
    costs: list[Floats] = []
    for group in _axis_groups(facing):
        near = _candidates(xyz_m[group.members], group.axis, group.tilt, across_m, along_m)
        a, b = group.members[near[:, 0]], group.members[near[:, 1]]
        inside, cost = _either_way(a, b, xyz_m, facing, across_m, along_m)
        keep = inside & (part[a] != part[b])
        a, b, cost = a[keep], b[keep], cost[keep]
        cost = cost + OTHER_SYSTEM_M * (system[a] != system[b]) + OTHER_PIPE_M * (pipe[a] != pipe[b])
        found_a.append(a)
        found_b.append(b)
        costs.append(cost)
    count = len(xyz_m)
    none = np.zeros(0, np.int32)
    a = np.concatenate([none, *found_a])
    b = np.concatenate([none, *found_b])
    best, rival = _choices(a, b, np.concatenate([np.zeros(0), *costs]), count)
    chosen = best >= 0
    mutual = chosen & (best[best] == np.arange(count)) & (rival < 0) & (rival[best] < 0)
    return Pairing(partner=np.where(mutual, best, -1).astype(np.int32), rival=rival)
