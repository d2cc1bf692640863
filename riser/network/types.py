# SPDX-License-Identifier: Apache-2.0
"""Part types, drawn once in their own coordinates and used by many parts.

Everything that placing does not change (lengths, falls, ports, who conducts to whom) is worked out here, once
per type revision, so that a tower of identical modules costs no more than its types.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riser.network.kinds import KIND_CODE, KINDS, NODE_KINDS
from riser.network.systems import SYSTEMS
from riser.network.tables import JobTables

Ints = NDArray[np.integer[Any]]
Floats = NDArray[np.floating[Any]]
Texts = NDArray[Any]
Flags = NDArray[np.bool_]

DIRECTIONS = {
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
    "+x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "+y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "+z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}
STUB = KIND_CODE["stub"]


@dataclass(frozen=True)
class TypeLibrary:
    """All type revisions as flat arrays; `*_start` and `*_count` give each type's block.

    Lengths in metres, in type coordinates. Node, point and run numbers are global over the library.
    `run_drop_m` is z(from) - z(to); `segment_*` are the straight pieces of runs between corners.
    """

    keys: tuple[tuple[str, str], ...]
    part_kind: Texts
    node_start: Ints
    node_count: Ints
    point_start: Ints
    point_count: Ints
    run_start: Ints
    run_count: Ints
    pass_start: Ints
    pass_count: Ints
    nodes: pd.DataFrame
    node_kind: Ints
    node_system: Ints
    node_pipe: Ints
    node_xyz_m: Floats
    node_facing: Floats
    node_point: Ints
    point_node: Ints
    point_group: Ints
    runs: pd.DataFrame
    run_system: Ints
    run_pipe: Ints
    run_from: Ints
    run_to: Ints
    run_from_point: Ints
    run_to_point: Ints
    run_length_m: Floats
    run_plan_m: Floats
    run_drop_m: Floats
    run_hidden: Flags
    pass_node: Ints
    pass_from: Ints
    pass_to: Ints
    segment_run: Ints
    segment_start_m: Floats
    segment_end_m: Floats

    @property
    def number(self) -> dict[tuple[str, str], int]:
        """(type, revision) -> its number in the library."""
        return {key: n for n, key in enumerate(self.keys)}


def direction(text: str) -> tuple[float, float, float]:
    """The unit vector of a facing: `up`, `down`, `+x` ... or three numbers; NaNs for an empty cell."""
    text = text.strip()
    if not text:
        return (np.nan, np.nan, np.nan)
    if text in DIRECTIONS:
        return DIRECTIONS[text]
    x, y, z = (float(piece) for piece in text.replace(";", " ").replace(",", " ").split())
    length = float(np.sqrt(x * x + y * y + z * z))
    return (x / length, y / length, z / length)


def corners(text: str) -> Floats:
    """The corner points of a run, shape (n, 3), from `x y z; x y z`; shape (0, 3) for an empty cell."""
    pieces = [piece.split() for piece in text.split(";") if piece.strip()]
    return np.array(pieces, dtype=float).reshape(-1, 3)


def codes_of(column: pd.Series, names: tuple[str, ...] | list[str]) -> Ints:
    """The position of each text in `names`, -1 where it is empty or not among them."""
    return pd.Index(list(names), dtype=object).get_indexer(pd.Index(column, dtype=object)).astype(np.int32)


def _blocks(owner: Ints, count: int) -> tuple[Ints, Ints]:
    """Start and length of each owner's block in an array sorted by owner."""
    counts = np.bincount(owner, minlength=count).astype(np.int32)
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.int32)
    return starts, counts


def _in_type_order(frame: pd.DataFrame, keys: tuple[tuple[str, str], ...]) -> tuple[pd.DataFrame, Ints]:
    """The rows of the known type revisions, grouped by type, and each row's type number."""
    number = pd.Series(range(len(keys)), index=pd.MultiIndex.from_tuples(keys))
    rows = pd.MultiIndex.from_arrays([frame["type"], frame["revision"]])
    owner = number.reindex(rows).to_numpy()
    known = ~pd.isna(owner)
    owner = owner[known].astype(np.int32)
    order = np.argsort(owner, kind="stable")
    return frame[known].iloc[order].reset_index(drop=True), owner[order]


def _points(kind: Ints) -> tuple[Ints, Ints, Ints]:
    """First point of each node, and node and place in the node of each point."""
    per_kind = np.array([len(KINDS[name].points) for name in NODE_KINDS], dtype=np.int32)
    counts = per_kind[kind] if len(kind) else np.zeros(0, np.int32)
    first = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.int32) if len(kind) else counts
    node = np.repeat(np.arange(len(kind), dtype=np.int32), counts)
    group = np.arange(len(node), dtype=np.int32) - first[node]
    return first, node, group


def _run_points(ends: Ints, ports: pd.Series, kind: Ints, first: Ints) -> Ints:
    """The point at which each run ends, from the node and the port it enters."""
    found = np.empty(len(ends), dtype=np.int32)
    for place, (node, port) in enumerate(zip(ends.tolist(), ports.tolist(), strict=True)):
        found[place] = first[node] + KINDS[NODE_KINDS[kind[node]]].point_of(port)
    return found


def _passes(kind: Ints, first: Ints) -> tuple[Ints, Ints, Ints]:
    """Node, from-point and to-point of every way through a device."""
    rows = [
        (node, first[node] + a, first[node] + b)
        for code in np.unique(kind)
        if KINDS[NODE_KINDS[code]].passes
        for node in np.flatnonzero(kind == code)
        for a, b in KINDS[NODE_KINDS[code]].passes
    ]
    table = np.array(sorted(rows), dtype=np.int32).reshape(-1, 3)
    return table[:, 0], table[:, 1], table[:, 2]


def _segments(start: Floats, end: Floats, via: pd.Series) -> tuple[Ints, Floats, Floats]:
    """The straight pieces of all runs, in order along each run."""
    owner: list[int] = []
    a: list[Floats] = []
    b: list[Floats] = []
    for run, text in enumerate(via.tolist()):
        path = np.vstack([start[run], corners(text), end[run]])
        owner += [run] * (len(path) - 1)
        a.append(path[:-1])
        b.append(path[1:])
    if not owner:
        return np.zeros(0, np.int32), np.zeros((0, 3)), np.zeros((0, 3))
    return np.array(owner, dtype=np.int32), np.vstack(a), np.vstack(b)


def _summed(owner: Ints, weights: Floats, count: int) -> Floats:
    return np.bincount(owner, weights=weights, minlength=count).astype(float)


def type_library(tables: JobTables) -> TypeLibrary:
    """The types of a job as arrays. The tables have passed the reader: every reference in them holds."""
    keys = tuple(zip(tables.types["type"].tolist(), tables.types["revision"].tolist(), strict=True))
    nodes, node_owner = _in_type_order(tables.nodes, keys)
    runs, run_owner = _in_type_order(tables.runs, keys)
    pipe_names = list(dict.fromkeys(tables.pipes["pipe"].tolist()))
    kind = codes_of(nodes["kind"], NODE_KINDS)
    xyz = nodes[["x_m", "y_m", "z_m"]].to_numpy(float).reshape(-1, 3)
    first, point_node, point_group = _points(kind)
    place = pd.Series(
        np.arange(len(nodes), dtype=np.int32), index=pd.MultiIndex.from_arrays([node_owner, nodes["node"]])
    )
    start = place.reindex(pd.MultiIndex.from_arrays([run_owner, runs["from"]])).to_numpy().astype(np.int32)
    end = place.reindex(pd.MultiIndex.from_arrays([run_owner, runs["to"]])).to_numpy().astype(np.int32)
    segment_run, segment_a, segment_b = _segments(xyz[start], xyz[end], runs["via_m"])
    step = segment_b - segment_a
    pass_node, pass_from, pass_to = _passes(kind, first)
    node_start, node_count = _blocks(node_owner, len(keys))
    point_start, point_count = _blocks(node_owner[point_node], len(keys))
    run_start, run_count = _blocks(run_owner, len(keys))
    pass_start, pass_count = _blocks(node_owner[pass_node], len(keys))
    facing = np.array([direction(text) for text in nodes["facing"].tolist()], dtype=float).reshape(-1, 3)
    weights = np.linalg.norm(step, axis=1), np.linalg.norm(step[:, :2], axis=1)
    return TypeLibrary(
        keys=keys,
        part_kind=tables.types["kind"].to_numpy(object),
        node_start=node_start,
        node_count=node_count,
        point_start=point_start,
        point_count=point_count,
        run_start=run_start,
        run_count=run_count,
        pass_start=pass_start,
        pass_count=pass_count,
        nodes=nodes,
        node_kind=kind,
        node_system=codes_of(nodes["system"], SYSTEMS),
        node_pipe=codes_of(nodes["pipe"], pipe_names),
        node_xyz_m=xyz,
        node_facing=facing,
        node_point=first,
        point_node=point_node,
        point_group=point_group,
        runs=runs,
        run_system=codes_of(runs["system"], SYSTEMS),
        run_pipe=codes_of(runs["pipe"], pipe_names),
        run_from=start,
        run_to=end,
        run_from_point=_run_points(start, runs["from_port"], kind, first),
        run_to_point=_run_points(end, runs["to_port"], kind, first),
        run_length_m=_summed(segment_run, weights[0], len(runs)),
        run_plan_m=_summed(segment_run, weights[1], len(runs)),
        run_drop_m=xyz[start, 2] - xyz[end, 2],
        run_hidden=(runs["hidden"].astype(str).str.lower().isin(["yes", "true", "1"])).to_numpy(bool),
        pass_node=pass_node,
        pass_from=pass_from,
        pass_to=pass_to,
        segment_run=segment_run,
        segment_start_m=segment_a,
        segment_end_m=segment_b,
    )
