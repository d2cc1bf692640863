# SPDX-License-Identifier: Apache-2.0
"""Which stubs belong together: the schedule, the geometry, and what they make of each other."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from riser.joints.makeup import connections_of, pieces_of
from riser.joints.pairing import OVERLAP_M, ROUNDING_M, pairing
from riser.network.joints import Joints, JointState
from riser.network.placing import Placed
from riser.network.types import STUB, Flags, Floats, Ints, Texts

# Defaults of [tolerance] in project.toml. Common practice, no source.
MATCH_LATERAL_M = 0.040
MATCH_AXIAL_SPARE_M = 0.050
LONGEST_BARE_GAP_M = 0.100
# A stub turned further than this from its partner does not face it. Common practice, no source.
FACING_LIMIT_RAD = np.deg2rad(10.0)


def match_lateral_m(placed: Placed) -> float:
    """How far across its axis a stub looks for a partner."""
    tolerance: dict[str, Any] = dict(placed.tables.settings.get("tolerance", {}))
    return float(tolerance.get("match_lateral_m", MATCH_LATERAL_M))


def match_axial_m(placed: Placed) -> float:
    """How far along its axis a stub looks: the longest make-up of the job, and a little more."""
    closures = placed.tables.closures
    if not len(closures):
        return LONGEST_BARE_GAP_M
    lengths = closures.groupby("joint")["length_m"].sum()
    tolerance: dict[str, Any] = dict(placed.tables.settings.get("tolerance", {}))
    spare = float(tolerance.get("match_axial_spare_m", MATCH_AXIAL_SPARE_M))
    return max(float(lengths.max()) + spare, LONGEST_BARE_GAP_M)


def partners(placed: Placed) -> tuple[Ints, Ints]:
    """Partner and rival by geometry, as node numbers per node (-1 none)."""
    stubs = placed.stubs
    kinds = placed.node_type[stubs]
    found = pairing(
        placed.node_xyz_m[stubs],
        placed.facing(stubs),
        placed.node_part[stubs],
        placed.types.node_system[kinds],
        placed.types.node_pipe[kinds],
        match_lateral_m(placed),
        match_axial_m(placed),
    )
    partner = np.full(len(placed.node_type), -1, np.int32)
    rival = np.full(len(placed.node_type), -1, np.int32)
    partner[stubs] = np.where(found.partner >= 0, stubs[found.partner], -1)
    rival[stubs] = np.where(found.rival >= 0, stubs[found.rival], -1)
    return partner, rival


def separation(placed: Placed, a: Ints, b: Ints) -> tuple[Floats, Floats, Floats]:
    """Axial and lateral distance [m] and angle [rad] between facing stubs; NaN where one is missing."""
    both = (a >= 0) & (b >= 0)
    one, other = np.where(both, a, 0), np.where(both, b, 0)
    facing_a, facing_b = placed.facing(one), placed.facing(other)
    step = placed.node_xyz_m[other] - placed.node_xyz_m[one]
    axial = np.einsum("ij,ij->i", step, facing_a)
    lateral = np.linalg.norm(step - axial[:, None] * facing_a, axis=1)
    cosine = np.clip(-np.einsum("ij,ij->i", facing_a, facing_b), -1.0, 1.0)
    missing = np.where(both, 0.0, np.nan)
    return axial + missing, lateral + missing, np.arccos(cosine) + missing


def _stub_numbers(placed: Placed, ids: Texts) -> Ints:
    """Node numbers of stub ids; -1 where the part has no such node or it is not a stub."""
    number = placed.node_numbers(list(ids))
    kind = placed.types.node_kind[placed.node_type[np.maximum(number, 0)]]
    return np.where((number >= 0) & (kind == STUB), number, -1).astype(np.int32)


def _unscheduled(partner: Ints, used: Ints) -> tuple[Ints, Ints]:
    """Pairs of stubs that geometry joins and no schedule row mentions, each once, lower first."""
    taken = np.zeros(len(partner), bool)
    taken[used[used >= 0]] = True
    a = np.flatnonzero(partner >= 0).astype(np.int32)
    b = partner[a]
    keep = (a < b) & ~taken[a] & ~taken[b]
    return a[keep], b[keep]


def _states(
    placed: Placed,
    a: Ints,
    b: Ints,
    closed: Flags,
    axial: Floats,
    lateral: Floats,
    angle: Floats,
    spare: Floats,
) -> Ints:
    """The state of each joint from its stubs and the distances between them."""
    reach = match_lateral_m(placed) + spare
    lateral_off = lateral > reach + ROUNDING_M
    apart = lateral_off | (axial < -OVERLAP_M - ROUNDING_M) | (axial > match_axial_m(placed) + ROUNDING_M)
    missing = (a < 0) | ((b < 0) & ~closed)
    return np.select(
        [missing, closed, angle > FACING_LIMIT_RAD, apart],
        [JointState.NO_STUB, JointState.CLOSED, JointState.NOT_FACING, JointState.APART],
        JointState.JOINED,
    ).astype(np.int32)


def _floors_by_place(placed: Placed, a: Ints, b: Ints) -> tuple[Ints, Ints]:
    """Default `works_on` and `tests_with` of each joint.

    People stand on the lower floor; over the below-slab part, on the upper. The test belongs to the floor of
    the later part in hoist order.
    """
    one, other = np.where(a >= 0, a, b), np.where(b >= 0, b, a)
    floor_1, floor_2 = placed.node_floor[one], placed.node_floor[other]
    level = placed.floors.level_m
    first_lower = level[floor_1] <= level[floor_2]
    lower = np.where(first_lower, floor_1, floor_2)
    upper = np.where(first_lower, floor_2, floor_1)
    part_1, part_2 = placed.node_part[one], placed.node_part[other]
    below = placed.types.part_kind == "below_slab"
    under = below[placed.part_type[part_1]] | below[placed.part_type[part_2]]
    hoist_1, hoist_2 = placed.part_hoist[part_1], placed.part_hoist[part_2]
    later = np.where(hoist_1 == hoist_2, upper, np.where(hoist_1 > hoist_2, floor_1, floor_2))
    return np.where(under, upper, lower).astype(np.int32), later.astype(np.int32)


def _stated_floors(placed: Placed, stated: Texts, a: Ints, b: Ints, default: Ints) -> Ints:
    """`works_on` as the schedule states it, looked up in the buildings of the joint's own stubs."""
    result = default.copy()
    for n in np.flatnonzero(stated != "").tolist():
        for node in (a[n], b[n]):
            if node >= 0:
                key = (str(placed.floors.building[placed.node_floor[node]]), str(stated[n]))
                if key in placed.floors.number:
                    result[n] = placed.floors.number[key]
                    break
    return result


def _offset_by_joint(placed: Placed, ids: Texts) -> Floats:
    """The drawn sideways step of each joint's offset pieces."""
    sums = placed.tables.closures.groupby("joint")["offset_m"].sum()
    offset: Floats = sums.reindex(pd.Index(ids, dtype=object)).fillna(0.0).to_numpy(float)
    return offset


def joints_of(placed: Placed) -> Joints:
    """All joints of a placed building, scheduled ones first, then pairs that only geometry knows."""
    schedule = placed.tables.joints
    partner, rival = partners(placed)
    text_a, text_b = schedule["stub_a"].to_numpy(object), schedule["stub_b"].to_numpy(object)
    a, b = _stub_numbers(placed, text_a), _stub_numbers(placed, text_b)
    closed = text_b == ""
    b = np.where(closed, -1, b).astype(np.int32)
    extra_a, extra_b = _unscheduled(partner, np.concatenate([a, b]))
    names_a, names_b = placed.node_ids(extra_a), placed.node_ids(extra_b)
    extra_ids = ["+".join(sorted(pair)) for pair in zip(names_a, names_b, strict=True)]
    scheduled = np.arange(len(schedule) + len(extra_a)) < len(schedule)
    ids = np.array([*schedule["joint"].tolist(), *extra_ids], dtype=object)
    a, b = np.concatenate([a, extra_a]), np.concatenate([b, extra_b])
    closed = np.concatenate([closed, np.zeros(len(extra_a), bool)]).astype(bool)
    axial, lateral, angle = separation(placed, a, b)
    state = _states(placed, a, b, closed, axial, lateral, angle, _offset_by_joint(placed, ids))
    works_on, tests_with = _floors_by_place(placed, a, b)
    stated = np.concatenate([schedule["works_on"].to_numpy(object), np.full(len(extra_a), "", object)])
    pieces = pieces_of(placed.tables, ids)
    return Joints(
        id=ids,
        stub_a=a,
        stub_b=b,
        text_a=np.concatenate([text_a, np.array(names_a, dtype=object)]),
        text_b=np.concatenate([text_b, np.array(names_b, dtype=object)]),
        state=state,
        scheduled=scheduled,
        works_on=_stated_floors(placed, stated, a, b, works_on),
        tests_with=tests_with,
        axial_m=axial,
        lateral_m=lateral,
        angle_rad=angle,
        file_row=np.concatenate([schedule["row"].to_numpy(np.int32), np.full(len(extra_a), -1, np.int32)]),
        pieces=pieces,
        connections=connections_of(placed, ids, a, b, state, pieces),
        partner=partner,
        rival=rival,
    )
