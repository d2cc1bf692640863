# SPDX-License-Identifier: Apache-2.0
"""Whether a riser and each branch from it can be shut (S04, S05).

The foot of a riser is its pipework between the main, ring or source it comes from and its first branch. A
floor branch leaves a riser towards outlets. It can be shut where one valve stands before all outlets it
feeds; a branch that feeds several dwellings (several parts, where no dwellings are given) may have one valve
for each.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.cut_off import named
from riser.layout.judging import Judging
from riser.layout.supply import FEEDING, Supply
from riser.network.risers import Riser
from riser.network.types import Flags, Ints
from riser.network.views import edge_id
from riser.network.where import node_place
from riser.rules import Cell

NO_FOOT_VALVE = FindingKind(
    "S04",
    "no isolation valve at a riser's foot",
    Severity.WARNING,
    COMMON_PRACTICE,
    "Between the main and the first branch of a supply riser nothing can be shut.",
    "Place a valve where the riser leaves the main.",
)
NO_BRANCH_VALVE = FindingKind(
    "S05",
    "no isolation valve at a floor branch",
    Severity.WARNING,
    COMMON_PRACTICE,
    "A branch from a supply riser cannot be shut without shutting the riser.",
    "Place a valve where the branch leaves the riser, or one for each dwelling on it.",
)
KINDS = (NO_FOOT_VALVE, NO_BRANCH_VALVE)


def findings(supply: Supply, judging: Judging) -> list[Finding]:
    """S04 and S05."""
    if not supply.risers:
        return []
    return [*_feet(supply, judging), *_branches(supply, judging)]


def riser_words(supply: Supply, riser: Riser) -> str:
    """A riser at the beginning of a sentence: its name, or the node at its foot."""
    placed = supply.model.placed
    name = riser.name or f"from {placed.node_id(int(placed.point_node[riser.points[0]]))}"
    return f"The {riser.system.label.replace('_', '-')} riser {name}"


def _first_branch(supply: Supply, points: Ints) -> int:
    """The place on a riser, from its feed, of the first branch; its last point where there is none."""
    branches = np.flatnonzero(supply.live_degree[points] > 2)
    return int(branches[0]) if len(branches) else len(points) - 1


def can_be_shut(supply: Supply, number: int, start: int) -> bool:
    """Whether a valve stands on the way from a point of a riser back to the main, ring, other riser or source
    that feeds it.
    """
    for point, position in supply.tree.path(start):
        # A valve in a ring shuts one section of it: the riser is still fed from the other side.
        if supply.on_ring[position]:
            return False
        if supply.closing[position]:
            return True
        if supply.on_main[point] or supply.starts[point]:
            return False
        if supply.riser_at[point] not in (-1, number):
            return False
    return False


def _feet(supply: Supply, judging: Judging) -> list[Finding]:
    """S04, for up-feed and down-feed risers."""
    found = []
    for number, riser in enumerate(supply.risers):
        points, _ = supply.from_feed(number)
        if riser.system not in FEEDING or not len(points):
            continue
        branch = int(points[_first_branch(supply, points)])
        if can_be_shut(supply, number, branch):
            continue
        placed = supply.model.placed
        level = placed.node_xyz_m[placed.point_node[points[[0, -1]]], 2]
        downward = bool(level[0] > level[1])
        cell = _foot_demand(judging, downward)
        if cell is None:
            continue
        node = int(supply.model.placed.point_node[points[0]])
        name = supply.model.placed.node_id(node)
        first = supply.model.placed.node_id(int(supply.model.placed.point_node[branch]))
        says = (
            f"{riser_words(supply, riser)} has no valve between the pipe that feeds it and its first branch "
            f"at {first}."
        )
        place = node_place(supply.model, node, int(riser.system))
        found.append(judging.finding(NO_FOOT_VALVE, "supply", place, (name,), says, cell=cell, nodes=(node,)))
    return found


def _foot_demand(judging: Judging, downward: bool) -> Cell | None:
    """The demand for a valve at the foot, or at the head of a riser that is fed from above."""
    above = judging.stated("supply", "valve_at_down_feed_top") if downward else None
    if above is not None:
        return above if above.required else None
    return judging.demand("supply", "valve_at_riser_foot", "valves at the feet of risers")


def _branches(supply: Supply, judging: Judging) -> list[Finding]:
    """S05."""
    point, branch, valve = valves_before_outlets(supply)
    if not len(point):
        return []
    group = _dwelling_groups(supply, point)
    bad: dict[int, list[int]] = defaultdict(list)
    order = np.lexsort((group, branch))
    key = np.stack([branch[order], group[order]])
    cuts = np.flatnonzero(np.any(np.diff(key, axis=1) != 0, axis=0)) + 1
    for members in np.split(order, cuts):
        # One valve before all of them, or none: the outermost valve on each way must be the same.
        if valve[members[0]] < 0 or np.any(valve[members] != valve[members[0]]):
            bad[int(branch[members[0]])] += members.tolist()
    if not bad:
        return []
    cell = judging.demand("supply", "valve_at_floor_branch", "valves at floor branches")
    if cell is None:
        return []
    return [
        _unshut(supply, judging, edge, point[members], bool(np.any(valve[members] >= 0)), cell)
        for edge, members in sorted(bad.items())
    ]


def _dwelling_groups(supply: Supply, point: Ints) -> Ints:
    """A number for the dwelling of each outlet; the part it stands in where no dwelling is given."""
    placed, fixtures = supply.model.placed, supply.fixtures
    dwelling = np.full(len(placed.node_type), "", dtype=object)
    dwelling[fixtures.node] = fixtures.dwelling
    node = placed.point_node[point]
    part = placed.part_name[placed.node_part[node]]
    names = np.where(dwelling[node] == "", "part " + part, "dwelling " + dwelling[node])
    return np.unique(names.astype(str), return_inverse=True)[1].astype(np.int32)


def valves_before_outlets(supply: Supply) -> tuple[Ints, Ints, Ints]:
    """For each outlet fed by a riser: its point, the edge by which its branch leaves the riser (a position in
    the net), and the last valve on the way from the outlet to the riser (an edge, -1 for none).
    """
    feeds = np.array([riser.system in FEEDING for riser in supply.risers] + [False])
    on_riser = feeds[supply.riser_at]
    point = np.unique(supply.outlets)
    point = point[np.isfinite(supply.tree.distance_m[point]) & ~on_riser[point]]
    branch, valve = _outward(supply, point, on_riser)
    led = branch >= 0
    return point[led], branch[led], valve[led]


def _outward(supply: Supply, point: Ints, on_riser: Flags) -> tuple[Ints, Ints]:
    """Walks from all outlets towards the source at once, up to the first point on a riser.

    A way that meets a source, a tank or a heater before a riser belongs to no floor branch.
    """
    tree, here = supply.tree, point.astype(np.int64)
    branch = np.full(len(point), -1, np.int32)
    valve = np.full(len(point), -1, np.int32)
    going = np.arange(len(point))
    while len(going):
        via, there = tree.via[here[going]], tree.towards[here[going]]
        going, via, there = going[there >= 0], via[there >= 0], there[there >= 0]
        shuts = supply.closing[via]
        valve[going[shuts]] = via[shuts]
        arrived = on_riser[there]
        branch[going[arrived]] = via[arrived]
        here[going] = there
        going = going[~arrived & ~supply.starts[there]]
    return branch, valve


def _unshut(supply: Supply, judging: Judging, edge: int, point: Ints, has_some: bool, cell: Cell) -> Finding:
    model, net, tree = supply.model, supply.net, supply.tree
    start = int(tree.edge_from[edge])
    node = int(model.placed.point_node[tree.towards[start]])
    outlets = model.placed.node_ids(model.placed.point_node[point])
    name = edge_id(model, int(net.edge[edge]))
    lacking = "has no valve before all of" if has_some else "has no valve before"
    says = (
        f"The branch {name} leaves the riser at {model.placed.node_id(node)} and {lacking} {named(outlets)}."
    )
    return judging.finding(
        NO_BRANCH_VALVE,
        "supply",
        node_place(model, node, int(model.edges.system_u[net.edge[edge]])),
        (model.placed.node_id(node), name),
        says,
        cell=cell,
        nodes=(node,),
    )
