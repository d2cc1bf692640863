# SPDX-License-Identifier: Apache-2.0
"""What a riser diagram shows, before it is drawn: a column per riser, with pieces, joints and branches."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from riser.audit.finding import Finding
from riser.network.kinds import KINDS, NODE_KINDS
from riser.network.model import EdgeKind, Model
from riser.network.risers import Riser, risers
from riser.network.systems import System
from riser.network.types import Ints
from riser.reports.riser_places import joint_shafts, riser_joints
from riser.reports.stage import Stage, Standing, worst


@dataclass(frozen=True)
class Piece:
    """A run of a riser: from and to as (sideways [m], level [m]), and its size."""

    id: str
    start: tuple[float, float]
    end: tuple[float, float]
    size: str


@dataclass(frozen=True)
class JointMark:
    """A joint of a riser: where, how far it is, and the codes of findings about it."""

    id: str
    at: tuple[float, float]
    stage: Stage
    findings: tuple[str, ...]


@dataclass(frozen=True)
class Branch:
    """Pipework that leaves a riser at a tee: where, its sizes, and what it serves."""

    at: tuple[float, float]
    size: str
    serves: str
    findings: tuple[str, ...]


@dataclass(frozen=True)
class FaultMark:
    """Findings about a run or a node of the riser itself: where, and their codes."""

    at: tuple[float, float]
    findings: tuple[str, ...]


@dataclass(frozen=True)
class Column:
    """One riser as drawn; `foot` and `top` say what the riser comes from and ends in."""

    name: str
    shaft: str
    building: str
    pieces: tuple[Piece, ...]
    joints: tuple[JointMark, ...]
    branches: tuple[Branch, ...]
    faults: tuple[FaultMark, ...]
    foot: str
    top: str


@dataclass(frozen=True)
class _Drawing:
    """What all columns are drawn from."""

    model: Model
    standing: Standing
    by_item: dict[str, list[str]]
    piece_of_point: Ints
    served: dict[int, Counter[str]]


def _codes(findings: Iterable[Finding]) -> dict[str, list[str]]:
    """Codes of root findings by the ids they are about."""
    by_item: dict[str, list[str]] = {}
    for finding in findings:
        if finding.because is None and finding.code != "M03":
            for item in finding.items:
                by_item.setdefault(item, []).append(finding.code)
    return by_item


def _beyond_risers(model: Model, system: System, columns: list[Riser]) -> Ints:
    """The connected piece of each point once the risers' own edges are taken away."""
    edges, count = model.edges, len(model.placed.point_node)
    chosen = model.edges_of(frozenset({system}) | _branch_systems(system))
    own = np.concatenate([r.edges for r in columns]) if columns else np.zeros(0, int)
    chosen = np.setdiff1d(chosen, own)
    u, v = edges.u[chosen], edges.v[chosen]
    graph = csr_array((np.ones(len(u), np.int8), (u, v)), shape=(count, count))
    return connected_components(graph, directed=False)[1].astype(np.int32)


def _branch_systems(system: System) -> frozenset[System]:
    """Systems that drain into a stack by way of its branches."""
    return frozenset({System.WASTE, System.CONDENSATE}) if system == System.SOIL else frozenset()


def _served(model: Model, piece: Ints) -> dict[int, Counter[str]]:
    """What stands on each piece: fixtures by kind, hose valves, sprinkler branches."""
    placed = model.placed
    kinds = placed.types.nodes["fixture_kind"].to_numpy(object)
    served: dict[int, Counter[str]] = {}
    for node in model.nodes_of_kind("fixture", "hose_valve", "sprinkler_branch", "roof_outlet").tolist():
        word = str(kinds[placed.node_type[node]]) or NODE_KINDS[int(model.node_kind[node])]
        first = int(placed.point0[node])
        last = first + len(KINDS[NODE_KINDS[int(model.node_kind[node])]].points)
        for number in {int(piece[p]) for p in range(first, last)}:
            served.setdefault(number, Counter())[word.replace("_", " ")] += 1
    return served


def _sideways(model: Model, riser: Riser) -> dict[int, float]:
    """How far each point of a riser stands from its foot in plan, to the right where x or y grows."""
    xy = model.placed.node_xyz_m[model.placed.point_node[riser.points], :2]
    step = xy - xy[0]
    far = step[np.argmax(np.linalg.norm(step, axis=1))]
    sign = 1.0 if far[np.argmax(np.abs(far))] >= 0 else -1.0
    return {int(p): sign * float(np.linalg.norm(s)) for p, s in zip(riser.points.tolist(), step, strict=True)}


def _at(model: Model, point: int, aside: dict[int, float]) -> tuple[float, float]:
    return (aside[point], float(model.placed.node_xyz_m[model.placed.point_node[point], 2]))


def _size(model: Model, pipe: int) -> str:
    return str(model.placed.tables.pipes.drop_duplicates("pipe")["nominal"].iat[pipe]) if pipe >= 0 else ""


def _pieces(drawing: _Drawing, riser: Riser, aside: dict[int, float]) -> tuple[Piece, ...]:
    model, edges = drawing.model, drawing.model.edges
    found = []
    for n, edge in enumerate(riser.edges.tolist()):
        if edges.kind[edge] == EdgeKind.RUN:
            run = int(edges.ref[edge])
            ends = (int(riser.points[n]), int(riser.points[n + 1]))
            size = _size(model, int(model.run_pipe[run]))
            start, end = (_at(model, p, aside) for p in ends)
            found.append(Piece(model.placed.run_id(run), start, end, size))
    return tuple(found)


def _joints(drawing: _Drawing, riser: Riser, aside: dict[int, float]) -> tuple[JointMark, ...]:
    model, edges, joints = drawing.model, drawing.model.edges, drawing.model.joints
    found = []
    for n, edge in enumerate(riser.edges.tolist()):
        if edges.kind[edge] != EdgeKind.JOINT:
            continue
        joint = int(edges.ref[edge])
        low, high = (_at(model, int(p), aside) for p in riser.points[n : n + 2])
        names = joints.connections.id[joints.connections.joint == joint].tolist()
        codes = [c for name in (str(joints.id[joint]), *names) for c in drawing.by_item.get(name, [])]
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        stage = worst(drawing.standing.stage(name) for name in names)
        found.append(JointMark(str(joints.id[joint]), middle, stage, tuple(dict.fromkeys(codes))))
    return tuple(found)


def _branches(drawing: _Drawing, riser: Riser, aside: dict[int, float]) -> tuple[Branch, ...]:
    """Every tee of the riser whose branch leads on."""
    model, placed, edges = drawing.model, drawing.model.placed, drawing.model.edges
    own = set(riser.edges.tolist())
    leaving: dict[int, list[int]] = {int(p): [] for p in riser.points[1:-1]}
    nearby = np.flatnonzero(np.isin(edges.u, riser.points) | np.isin(edges.v, riser.points))
    for edge in nearby.tolist():
        if edge in own or edges.kind[edge] != EdgeKind.RUN:
            continue
        for point in (int(edges.u[edge]), int(edges.v[edge])):
            if point in leaving:
                leaving[point].append(edge)
    found = []
    for point, away in leaving.items():
        if not away:
            continue
        sizes = Counter(_size(model, int(model.run_pipe[edges.ref[edge]])) for edge in away)
        size = ", ".join(name if n == 1 else f"{n} × {name}" for name, n in sorted(sizes.items()))
        serves = drawing.served.get(int(drawing.piece_of_point[point]), Counter())
        words = ", ".join(f"{n} {word}" for word, n in sorted(serves.items()))
        codes = drawing.by_item.get(placed.node_id(int(placed.point_node[point])), [])
        found.append(Branch(_at(model, point, aside), size, words, tuple(dict.fromkeys(codes))))
    return tuple(found)


def _faults(drawing: _Drawing, riser: Riser, aside: dict[int, float]) -> tuple[FaultMark, ...]:
    """Findings about the riser's own runs and nodes; those at a branch stand with the branch."""
    model, placed, edges = drawing.model, drawing.model.placed, drawing.model.edges
    branches = {branch.at for branch in _branches(drawing, riser, aside)}
    found = []
    for point in riser.points.tolist():
        at = _at(model, point, aside)
        codes = drawing.by_item.get(placed.node_id(int(placed.point_node[point])), [])
        if codes and at not in branches:
            found.append(FaultMark(at, tuple(dict.fromkeys(codes))))
    for n, edge in enumerate(riser.edges.tolist()):
        if edges.kind[edge] == EdgeKind.RUN:
            codes = drawing.by_item.get(placed.run_id(int(edges.ref[edge])), [])
            low, high = (_at(model, int(p), aside) for p in riser.points[n : n + 2])
            if codes:
                middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
                found.append(FaultMark(middle, tuple(dict.fromkeys(codes))))
    return tuple(found)


def _end_words(model: Model, point: int) -> str:
    """What a riser ends in: the kind of its last node, or the joint that closes it."""
    node = int(model.placed.point_node[point])
    return NODE_KINDS[int(model.node_kind[node])].replace("_", " ")


def _one(drawing: _Drawing, riser: Riser, shaft: str) -> Column:
    model = drawing.model
    aside = _sideways(model, riser)
    top = int(model.placed.point_node[riser.points[-1]])
    lowest = int(model.placed.point_node[riser.points[0]])
    return Column(
        name=riser.name or f"at {model.placed.node_id(lowest)}",
        shaft=riser.shaft or shaft,
        building=str(model.placed.floors.building[model.placed.node_floor[top]]),
        pieces=_pieces(drawing, riser, aside),
        joints=_joints(drawing, riser, aside),
        branches=_branches(drawing, riser, aside),
        faults=_faults(drawing, riser, aside),
        foot=_end_words(model, int(riser.points[0])),
        top=_end_words(model, int(riser.points[-1])),
    )


def _shaft_of(model: Model, riser: Riser) -> str:
    """The shaft the riser's first joint stands in, where risers.csv does not say."""
    edges = model.edges
    joints = [int(edges.ref[e]) for e in riser.edges.tolist() if edges.kind[e] == EdgeKind.JOINT]
    if not joints:
        return ""
    return joint_shafts(model, np.array(joints[:1]), riser_joints(model, {int(riser.system)}))[0].name


def columns_of(model: Model, system: System, standing: Standing, findings: Iterable[Finding]) -> list[Column]:
    """Every riser of a system as a column, by building and shaft order, then by name."""
    found = risers(model, system)
    piece = _beyond_risers(model, system, found)
    drawing = _Drawing(model, standing, _codes(findings), piece, _served(model, piece))
    columns = [_one(drawing, riser, riser.shaft or _shaft_of(model, riser)) for riser in found]
    order = {str(name): n for n, name in enumerate(model.placed.tables.shafts["shaft"].tolist())}
    return sorted(columns, key=lambda c: (c.building, order.get(c.shaft, len(order)), c.name))
