# SPDX-License-Identifier: Apache-2.0
"""Rings: pipework that leads back to itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.layout.nets import Net, blind_legs


@dataclass(frozen=True)
class Ring:
    """One ring of pipework: the edges around it, as positions in the net."""

    edges: tuple[int, ...]


def rings(net: Net) -> list[Ring]:
    """One ring for each pipe that closes one, so that no more rings are told than pipes must be taken out."""
    used = net.degree > 0
    pieces = len(np.unique(net.label[used]))
    if len(net.edge) - int(np.count_nonzero(used)) + pieces == 0:
        return []
    nothing = np.zeros(net.point_count, bool)
    ends = np.flatnonzero(net.degree == 1).astype(np.int32)
    _, degree = blind_legs(net, ends, nothing, np.zeros(len(net.edge)))
    core = np.flatnonzero((degree[net.u] > 0) & (degree[net.v] > 0))
    ringed = Net(net.model, net.edge[core], net.u[core], net.v[core])
    parent, over, closing = _spanning_tree(ringed)
    return [Ring(tuple(int(core[e]) for e in _around(ringed, parent, over, p))) for p in closing]


def _spanning_tree(net: Net) -> tuple[dict[int, int], dict[int, int], list[int]]:
    """A tree over every piece of a net: each point's parent, the edge there, and the edges left over."""
    parent: dict[int, int] = {}
    over: dict[int, int] = {}
    closing: list[int] = []
    done: set[int] = set()
    for root in np.flatnonzero(net.degree > 0).tolist():
        if root in parent:
            continue
        parent[root], over[root] = -1, -1
        queue = [root]
        for point in queue:
            for position in net.at(point):
                if position in done:
                    continue
                done.add(position)
                there = net.other_end(position, point)
                if there in parent:
                    closing.append(position)
                else:
                    parent[there], over[there] = point, position
                    queue.append(there)
    return parent, over, closing


def _around(net: Net, parent: dict[int, int], over: dict[int, int], position: int) -> list[int]:
    """The edges of the ring that one edge closes over the tree."""
    sides = []
    for point in (int(net.u[position]), int(net.v[position])):
        line = [point]
        while parent[line[-1]] >= 0:
            line.append(parent[line[-1]])
        sides.append(line)
    while len(sides[0]) > 1 and len(sides[1]) > 1 and sides[0][-2] == sides[1][-2]:
        sides[0].pop()
        sides[1].pop()
    return [position, *(over[point] for side in sides for point in side[:-1])]
