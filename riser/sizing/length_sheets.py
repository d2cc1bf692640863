# SPDX-License-Identifier: Apache-2.0
"""Developed lengths told as a sum of drawn pipes and the gaps at joints."""

from __future__ import annotations

from collections import Counter, defaultdict

from riser.audit import Derived, Given, InFile, Node, total
from riser.network.model import EdgeKind, Model
from riser.network.types import Flags
from riser.sizing.ways_home import WaysHome

DEVELOPED = "measured along the pipe"


def edge_name(model: Model, edge: int, point: int) -> str:
    """The id of a pipe or joint; that of the node at a point where no edge leaves it."""
    if edge >= 0:
        ref, kind = int(model.edges.ref[edge]), EdgeKind(int(model.edges.kind[edge]))
        if kind == EdgeKind.RUN:
            return model.placed.run_id(ref)
        if kind == EdgeKind.JOINT:
            return str(model.joints.id[ref])
    return model.placed.node_id(int(model.placed.point_node[point]))


def run_file(model: Model, run: int) -> tuple[str, int]:
    """The file and row in which a run is drawn."""
    row = model.placed.types.runs.iloc[int(model.placed.run_type[run])]
    return f"types/{row['type']}/{row['revision']}/runs.csv", int(row["row"])


def length_node(model: Model, way: WaysHome, start: int, stops: Flags, name: str) -> Derived:
    """The length along the way home from a point to the first of the stops, or home [m].

    Runs drawn once in a type stand together; so do the gaps at joints.
    """
    drawn: Counter[tuple[str, str, str, int]] = Counter()
    length: dict[tuple[str, str, str, int], float] = defaultdict(float)
    for point in way.onward(start):
        if stops[point] or way.next_point[point] < 0:
            break
        key = _drawn_in(model, int(way.edge[point]))
        drawn[key] += 1
        length[key] += float(way.step_m[point])
    inputs: list[Node] = [
        Given(f"{count} times {words}", length[words, file, column, row], "m", InFile(file, row, column))
        for (words, file, column, row), count in drawn.items()
    ]
    return total(name, inputs, DEVELOPED, unit="m")


def _drawn_in(model: Model, edge: int) -> tuple[str, str, str, int]:
    """What a piece of the way is and where it is drawn."""
    if edge >= 0 and model.edges.kind[edge] == EdgeKind.RUN:
        run = int(model.edges.ref[edge])
        drawn = model.placed.types.runs.iloc[int(model.placed.run_type[run])]
        file, row = run_file(model, run)
        return f"{drawn['run']} of type {drawn['type']}", file, "from, to, via", row
    if edge >= 0 and model.edges.kind[edge] == EdgeKind.PASS:
        return "the way through a fitting", "nodes.csv", "kind", 0
    return "the gap at a joint", "joints.csv", "stub_a, stub_b", 0
