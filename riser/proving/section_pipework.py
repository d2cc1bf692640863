# SPDX-License-Identifier: Apache-2.0
"""The pipework of one kind of test: its cells, what each part of it bears, and the connections to prove."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from riser.hydraulics.water import density
from riser.network.joints import JointState
from riser.network.model import EdgeKind, Model
from riser.network.systems import System
from riser.network.types import Flags, Floats, Ints, Texts
from riser.proving.required import TEST_TEMPERATURE_C, pipe_facts
from riser.proving.section_heads import highest_line_m
from riser.proving.section_places import CARRIES_STANDPIPE, Cut, Opening, graph_ends, openings

WATER_KGM3 = float(density(TEST_TEMPERATURE_C))


@dataclass(frozen=True)
class Limits:
    """What no test may exceed beside ratings: height of a section, head on a plug; and the standpipe."""

    height_m: float = np.inf
    plug_head_m: float = np.inf
    standpipe_m: float = 0.0


@dataclass(frozen=True)
class Connections:
    """The connections to prove: joints' couplings and caps, and inside connections that are tested again.

    `bears_m` is the highest line each bears by itself; `floor` the floor it is tested with.
    """

    id: Texts
    level_m: Floats
    point: Ints
    system: Ints
    floor: Ints
    bears_m: Floats


@dataclass(frozen=True)
class Pipework:
    """Edges of one kind of test cut into cells; `edge` are numbers in `model.edges`, levels in metres.

    `cell` is per graph point (points of the model, then the lower sides of plug places). `line_limit_m` and
    `reach_m` are per cell: the highest line it bears, and the highest that an opening lets in.
    """

    model: Model
    edge: Ints
    edge_cell: Ints
    edge_low_m: Floats
    edge_high_m: Floats
    edge_pipe: Ints
    cell: Ints
    count: int
    cuts: tuple[Cut, ...]
    openings: tuple[Opening, ...]
    connections: Connections
    line_limit_m: Floats
    reach_m: Floats
    low_m: Floats
    unrated: tuple[str, ...]

    @cached_property
    def cut_cells(self) -> tuple[Ints, Ints]:
        """The cells above and below each cut."""
        a = np.array([self.cell[cut.point] for cut in self.cuts], np.int32)
        b = np.array([self.cell[cut.other] for cut in self.cuts], np.int32)
        return a, b

    @cached_property
    def opening_cell(self) -> Ints:
        """The cell of each opening."""
        return np.array([self.cell[o.point] for o in self.openings], np.int32)

    @cached_property
    def connection_cell(self) -> Ints:
        """The cell of each connection."""
        return self.cell[self.connections.point]


def pipework(model: Model, systems: frozenset[System], limits: Limits, *, drains: bool) -> Pipework:
    """The pipework of these systems, cut wherever a section may end."""
    chosen = model.edges_of(systems)
    u, v, cuts, blanks = graph_ends(model, chosen)
    ends = [*openings(model, u, v), *blanks]
    low, high = _edge_levels(model, chosen)
    runs = model.edges.kind[chosen] == EdgeKind.RUN
    pipe = np.where(runs, model.run_pipe[np.where(runs, model.edges.ref[chosen], 0)], -1)
    size = len(model.placed.point_node) + len(cuts)
    graph = coo_array((np.ones(len(u), np.int8), (u, v)), shape=(size, size))
    found, label = connected_components(graph, directed=False)
    used = np.unique(label[np.concatenate([u, v])])
    number = np.full(found, -1, np.int32)
    number[used] = np.arange(len(used), dtype=np.int32)
    label = number[label]
    joined = connections(model, systems)
    joined = _kept(joined, label[joined.point] >= 0)
    ends = [o for o in ends if label[o.point] >= 0]
    limit, reach, low_m = _lines(model, joined, ends, limits, label, (label[u], low, pipe), drains)
    return Pipework(
        model=model,
        edge=chosen,
        edge_cell=label[u],
        edge_low_m=low,
        edge_high_m=high,
        edge_pipe=pipe.astype(np.int32),
        cell=label,
        count=len(used),
        cuts=tuple(cuts),
        openings=tuple(ends),
        connections=joined,
        line_limit_m=limit,
        reach_m=reach,
        low_m=low_m,
        unrated=_unrated(model, pipe),
    )


def _lines(
    model: Model,
    joined: Connections,
    ends: list[Opening],
    limits: Limits,
    label: Ints,
    edge: tuple[Ints, Floats, Ints],
    drains: bool,
) -> tuple[Floats, Floats, Floats]:
    """Per cell: the highest line it bears, the highest that an opening lets in, its lowest level [m].

    `edge` holds cell, lowest level and pipe of each edge.
    """
    edge_cell, low, pipe = edge
    count = int(label.max()) + 1
    rating = pipe_facts(model).rating_pa
    bears = highest_line_m(low, np.where(pipe >= 0, rating[pipe], np.nan), WATER_KGM3)
    low_m = _least(edge_cell, low, count)
    limit = np.minimum(_least(edge_cell, bears, count), low_m + limits.height_m)
    limit = np.minimum(limit, _least(label[joined.point], joined.bears_m, count))
    if not drains:
        return limit, np.full(count, np.inf), low_m
    at = np.array([label[o.point] for o in ends], np.int32)
    shut = np.array([o.level_m + limits.plug_head_m for o in ends])
    lets_in = np.array([_lets_in_m(o, limits) for o in ends])
    return np.minimum(limit, _least(at, shut, count)), -_least(at, -lets_in, count), low_m


def _unrated(model: Model, pipe: Ints) -> tuple[str, ...]:
    """The pipes without a rating at the temperature of a test."""
    rating = pipe_facts(model).rating_pa
    names = list(dict.fromkeys(model.placed.tables.pipes["pipe"].tolist()))
    return tuple(names[p] for p in sorted({int(p) for p in pipe if p >= 0}) if np.isnan(rating[p]))


def _lets_in_m(opening: Opening, limits: Limits) -> float:
    if not opening.lets_water_in:
        return -np.inf
    return opening.level_m + (limits.standpipe_m if opening.kind in CARRIES_STANDPIPE else 0.0)


def _least(owner: Ints, values: Floats, count: int) -> Floats:
    """The least value of each owner; infinite for one without."""
    least = np.full(count, np.inf)
    np.minimum.at(least, owner, values)
    return least


def _edge_levels(model: Model, chosen: Ints) -> tuple[Floats, Floats]:
    """Lowest and highest level of each edge, a run with its corners [m]."""
    placed, edges, types = model.placed, model.edges, model.placed.types
    z_u = placed.node_xyz_m[placed.point_node[edges.u[chosen]], 2]
    z_v = placed.node_xyz_m[placed.point_node[edges.v[chosen]], 2]
    low, high = np.minimum(z_u, z_v), np.maximum(z_u, z_v)
    runs = np.flatnonzero(edges.kind[chosen] == EdgeKind.RUN)
    ref = edges.ref[chosen[runs]]
    lowest, highest = np.full(len(types.run_drop_m), np.inf), np.full(len(types.run_drop_m), -np.inf)
    for side in (types.segment_start_m, types.segment_end_m):
        np.minimum.at(lowest, types.segment_run, side[:, 2])
        np.maximum.at(highest, types.segment_run, side[:, 2])
    base = placed.part_origin_m[placed.run_part[ref], 2]
    low[runs] = lowest[placed.run_type[ref]] + base
    high[runs] = highest[placed.run_type[ref]] + base
    return low, high


def tested_again(settings: Mapping[str, Any]) -> bool:
    """Whether the job asks that connections made in the factory are proven again on site."""
    return str(settings.get("inside_parts", {}).get("rule", "")) == "retest"


def connections(model: Model, systems: frozenset[System]) -> Connections:
    """The standing connections of these systems, joint by joint, then the inside ones to test again."""
    joints, placed = model.joints, model.placed
    made, codes = joints.connections, np.array([int(s) for s in systems])
    stub = np.where(joints.stub_a >= 0, joints.stub_a, joints.stub_b)
    standing = model.joint_stands | ((joints.state == JointState.CLOSED) & model.node_standing[stub])
    standing &= np.isin(model.node_system[stub], codes)
    keep = standing[made.joint]
    joint = made.joint[keep]
    rating = placed.tables.couplings["rating_pa"].to_numpy(float)
    coupling = made.coupling[keep]
    given = np.where(coupling >= 0, np.append(rating, np.nan)[coupling], np.nan)
    level = made.xyz_m[keep, 2]
    found = Connections(
        id=made.id[keep],
        level_m=level,
        point=placed.point0[stub[joint]],
        system=model.node_system[stub[joint]],
        floor=joints.tests_with[joint],
        bears_m=highest_line_m(level, given, WATER_KGM3),
    )
    if tested_again(placed.tables.settings):
        return _together(found, inside_connections(model, codes))
    return found


def inside_connections(model: Model, codes: Ints) -> Connections:
    """The connections within parts: the run ends that name a coupling family. Their rating is not given."""
    placed = model.placed
    rows: list[tuple[str, int, int]] = []
    for side, points in (("from", placed.run_from_point), ("to", placed.run_to_point)):
        named = (placed.types.runs[f"joined_{side}"] != "").to_numpy(bool)[placed.run_type]
        here = named & np.isin(model.run_system, codes) & model.standing[placed.run_part]
        rows += [(f"{placed.run_id(r)}.{side}", int(points[r]), r) for r in np.flatnonzero(here).tolist()]
    point = np.array([row[1] for row in rows], np.int32)
    node = placed.point_node[point]
    return Connections(
        id=np.array([row[0] for row in rows], dtype=object),
        level_m=placed.node_xyz_m[node, 2],
        point=point,
        system=model.run_system[np.array([row[2] for row in rows], np.int32)],
        floor=placed.node_floor[node],
        bears_m=np.full(len(rows), np.inf),
    )


def _kept(all_of: Connections, keep: Flags) -> Connections:
    return Connections(*(getattr(all_of, name)[keep] for name in Connections.__dataclass_fields__))


def _together(first: Connections, second: Connections) -> Connections:
    names = Connections.__dataclass_fields__
    return Connections(*(np.concatenate([getattr(first, n), getattr(second, n)]) for n in names))
