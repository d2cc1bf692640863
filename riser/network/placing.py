# SPDX-License-Identifier: Apache-2.0
"""Parts placed in the building: world = yaw(mirror(type)) + origin, for all parts at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from riser.network.kinds import NODE_KINDS
from riser.network.tables import JobTables, row_text
from riser.network.types import STUB, Flags, Floats, Ints, Texts, TypeLibrary, type_library

# A node this far below a slab level still counts to the floor above: stubs poke through slabs. Only tall
# parts need it. Common practice, no source.
FLOOR_TOLERANCE_M = 0.05


@dataclass(frozen=True)
class Floors:
    """The floors of all buildings; a floor is named by its number in this table."""

    building: Texts
    name: Texts
    order: Floats
    level_m: Floats
    slab_top_m: Floats
    slab_thickness_m: Floats
    ceiling_m: Floats

    @cached_property
    def number(self) -> dict[tuple[str, str], int]:
        """(building, floor) -> number."""
        pairs = zip(self.building.tolist(), self.name.tolist(), strict=True)
        return {pair: n for n, pair in enumerate(pairs)}

    def label(self, floor: int) -> str:
        """What people say; the building stands in front where several have such a floor."""
        if floor < 0:
            return ""
        name = str(self.name[floor])
        if np.count_nonzero(self.name == name) > 1:
            return f"{self.building[floor]}/{name}"
        return name


@dataclass(frozen=True)
class Placed:
    """All parts in world coordinates (metres).

    `part_*` per part in the order of parts.csv; `node_*`, `point_*`, `run_*` and `pass_*` per placed item.
    `part_node`, `part_point`, `part_run` are the first numbers of each part's block. Node and run properties
    are those of the type: `types.node_kind[placed.node_type]`.
    """

    tables: JobTables
    types: TypeLibrary
    floors: Floors
    part_name: Texts
    part_type: Ints
    part_floor: Ints
    part_to_floor: Ints
    part_hoist: Floats
    part_origin_m: Floats
    part_yaw_rad: Floats
    part_mirror: Flags
    part_node: Ints
    part_point: Ints
    part_run: Ints
    node_part: Ints
    node_type: Ints
    node_xyz_m: Floats
    node_floor: Ints
    point_part: Ints
    point_type: Ints
    point_node: Ints
    run_part: Ints
    run_type: Ints
    run_from_point: Ints
    run_to_point: Ints
    pass_from: Ints
    pass_to: Ints
    pass_node: Ints

    @cached_property
    def stubs(self) -> Ints:
        """The node numbers of all stubs."""
        return np.flatnonzero(self.types.node_kind[self.node_type] == STUB).astype(np.int32)

    @cached_property
    def point0(self) -> Ints:
        """The first point of each node."""
        return self.part_point[self.node_part] + (
            self.types.node_point[self.node_type] - self.types.point_start[self.part_type][self.node_part]
        )

    @cached_property
    def part_number(self) -> dict[str, int]:
        """Part name -> number."""
        return {name: n for n, name in enumerate(self.part_name.tolist())}

    def facing(self, nodes: Ints) -> Floats:
        """World facing of nodes, shape (n, 3); NaN where a node has none."""
        part = self.node_part[nodes]
        return _turned(
            self.types.node_facing[self.node_type[nodes]], self.part_mirror[part], self.part_yaw_rad[part]
        )

    def in_world(self, xyz_m: Floats, part: Ints) -> Floats:
        """Points of types, shape (n, 3), where their parts stand: mirrored, turned, moved."""
        turned = _turned(xyz_m, self.part_mirror[part], self.part_yaw_rad[part])
        world: Floats = turned + self.part_origin_m[part]
        return world

    def node_id(self, node: int) -> str:
        """`PART/NODE`."""
        return f"{self.part_name[self.node_part[node]]}/{self.types.nodes['node'].iat[self.node_type[node]]}"

    def node_ids(self, nodes: Ints) -> list[str]:
        """`PART/NODE` of several nodes."""
        names = self._node_names[self.node_type[nodes]]
        parts = self.part_name[self.node_part[nodes]]
        return [f"{p}/{n}" for p, n in zip(parts.tolist(), names.tolist(), strict=True)]

    def run_id(self, run: int) -> str:
        """`PART/RUN`."""
        return f"{self.part_name[self.run_part[run]]}/{self._run_names[self.run_type[run]]}"

    def node_numbers(self, ids: pd.Series | list[str]) -> Ints:
        """The numbers of nodes named `PART/NODE`; -1 where there is no such node."""
        pairs = [str(text).partition("/") for text in ids]
        part_text = [pair[0] for pair in pairs]
        node_text = [pair[2] for pair in pairs]
        part = np.array([self.part_number.get(name, -1) for name in part_text], dtype=np.int64)
        kind = np.where(part >= 0, self.part_type[part], -1)
        keys = pd.MultiIndex.from_arrays([kind, node_text])
        local = self._node_places.reindex(keys).fillna(-1).to_numpy().astype(np.int64)
        found = (part >= 0) & (local >= 0)
        number = self.part_node[part] + local - self.types.node_start[kind]
        return np.where(found, number, -1).astype(np.int32)

    @cached_property
    def pipe_texts(self) -> list[str]:
        """What the catalogue says of each pipe, all its rows in one line of text."""
        texts: dict[str, list[str]] = {}
        for _, row in self.tables.pipes.iterrows():
            texts.setdefault(str(row["pipe"]), []).append(row_text(row))
        return [";".join(sorted(rows)) for rows in texts.values()]

    @cached_property
    def _node_names(self) -> Texts:
        return self.types.nodes["node"].to_numpy(object)

    @cached_property
    def _run_names(self) -> Texts:
        return self.types.runs["run"].to_numpy(object)

    @cached_property
    def _node_places(self) -> pd.Series:
        owner = np.repeat(np.arange(len(self.types.keys)), self.types.node_count)
        index = pd.MultiIndex.from_arrays([owner, self._node_names])
        return pd.Series(np.arange(len(index)), index=index)


def _turned(vectors: Floats, mirror: Flags, yaw_rad: Floats) -> Floats:
    """Vectors mirrored (x negated) where told, then turned anticlockwise seen from above."""
    x = np.where(mirror, -vectors[:, 0], vectors[:, 0])
    y = vectors[:, 1]
    cos, sin = np.cos(yaw_rad), np.sin(yaw_rad)
    return np.stack([cos * x - sin * y, sin * x + cos * y, vectors[:, 2]], axis=1)


def _expanded(part_type: Ints, start: Ints, count: Ints) -> tuple[Ints, Ints, Ints]:
    """For each item of each placed part: its part, its number in the library; and each part's first item."""
    counts = count[part_type]
    first = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.int32)
    part = np.repeat(np.arange(len(part_type), dtype=np.int32), counts)
    item = np.arange(len(part), dtype=np.int32) - first[part] + start[part_type][part]
    return part, item, first


def floors_of(tables: JobTables) -> Floors:
    """The floors table as arrays."""
    frame = tables.floors
    return Floors(
        building=frame["building"].to_numpy(object),
        name=frame["floor"].to_numpy(object),
        order=frame["order"].to_numpy(float),
        level_m=frame["level_m"].to_numpy(float),
        slab_top_m=frame["slab_top_m"].to_numpy(float),
        slab_thickness_m=frame["slab_thickness_m"].to_numpy(float),
        ceiling_m=frame["ceiling_m"].to_numpy(float),
    )


def _floor_numbers(floors: Floors, building: pd.Series, floor: pd.Series) -> Ints:
    keys = zip(building.tolist(), floor.tolist(), strict=True)
    return np.array([floors.number.get(key, -1) for key in keys], dtype=np.int32)


def _node_floors(floors: Floors, low: Ints, high: Ints, part: Ints, z_m: Floats) -> Ints:
    """A node stands on its part's floor; in a tall part on the highest of its floors at or below it."""
    result = low[part].copy()
    tall = np.flatnonzero((high != low) & (high >= 0))
    if not len(tall):
        return result
    for row in tall.tolist():
        inside = np.flatnonzero(part == row)
        span = np.flatnonzero(
            (floors.building == floors.building[low[row]])
            & (floors.order >= floors.order[low[row]])
            & (floors.order <= floors.order[high[row]])
        )
        span = span[np.argsort(floors.level_m[span])]
        place = np.searchsorted(floors.level_m[span] - FLOOR_TOLERANCE_M, z_m[inside], side="right") - 1
        result[inside] = span[np.clip(place, 0, len(span) - 1)]
    return result


def placed(tables: JobTables) -> Placed:
    """Place every part of a job."""
    types = type_library(tables)
    floors = floors_of(tables)
    parts = tables.parts
    keys = zip(parts["type"].tolist(), parts["type_revision"].tolist(), strict=True)
    part_type = np.array([types.number[key] for key in keys], dtype=np.int32)
    origin = parts[["x_m", "y_m", "z_m"]].to_numpy(float).reshape(-1, 3)
    yaw = np.nan_to_num(parts["yaw_rad"].to_numpy(float))
    mirror = (parts["mirror"] == "x").to_numpy(bool)
    low = _floor_numbers(floors, parts["building"], parts["floor"])
    upper = parts["to_floor"].where(parts["to_floor"] != "", parts["floor"])
    high = _floor_numbers(floors, parts["building"], upper)
    node_part, node_type, part_node = _expanded(part_type, types.node_start, types.node_count)
    point_part, point_type, part_point = _expanded(part_type, types.point_start, types.point_count)
    run_part, run_type, part_run = _expanded(part_type, types.run_start, types.run_count)
    pass_part, pass_type, _ = _expanded(part_type, types.pass_start, types.pass_count)
    xyz = _turned(types.node_xyz_m[node_type], mirror[node_part], yaw[node_part]) + origin[node_part]
    point_shift = part_point - types.point_start[part_type]
    node_shift = part_node - types.node_start[part_type]
    return Placed(
        tables=tables,
        types=types,
        floors=floors,
        part_name=parts["part"].to_numpy(object),
        part_type=part_type,
        part_floor=low,
        part_to_floor=high,
        part_hoist=parts["hoist_order"].to_numpy(float),
        part_origin_m=origin,
        part_yaw_rad=yaw,
        part_mirror=mirror,
        part_node=part_node,
        part_point=part_point,
        part_run=part_run,
        node_part=node_part,
        node_type=node_type,
        node_xyz_m=xyz,
        node_floor=_node_floors(floors, low, high, node_part, xyz[:, 2]),
        point_part=point_part,
        point_type=point_type,
        point_node=node_shift[point_part] + types.point_node[point_type],
        run_part=run_part,
        run_type=run_type,
        run_from_point=point_shift[run_part] + types.run_from_point[run_type],
        run_to_point=point_shift[run_part] + types.run_to_point[run_type],
        pass_from=point_shift[pass_part] + types.pass_from[pass_type],
        pass_to=point_shift[pass_part] + types.pass_to[pass_type],
        pass_node=node_shift[pass_part] + types.pass_node[pass_type],
    )


def kind_name(code: int) -> str:
    """The word for a node kind code."""
    return NODE_KINDS[code]
