# SPDX-License-Identifier: Apache-2.0
"""Graph views for people and algorithms: a system, a riser or any set of edges as a networkx graph."""

from __future__ import annotations

from typing import Any

import networkx as nx
import numpy as np

from riser.network.kinds import NODE_KINDS
from riser.network.model import EdgeKind, Model
from riser.network.risers import Riser
from riser.network.systems import System
from riser.network.types import Ints


def edge_id(model: Model, edge: int) -> str:
    """What people call an edge: `PART/RUN`, the joint's id, or the device it passes through."""
    edges, ref = model.edges, int(model.edges.ref[edge])
    if edges.kind[edge] == EdgeKind.RUN:
        return model.placed.run_id(ref)
    if edges.kind[edge] == EdgeKind.JOINT:
        return str(model.joints.id[ref])
    return model.placed.node_id(int(model.placed.pass_node[ref]))


def edge_systems(model: Model, edge: int) -> str:
    """The system word of an edge, "" for a pass."""
    code = int(model.edges.system_u[edge])
    return System(code).label if code >= 0 else ""


def graph_view(model: Model, chosen: Ints) -> nx.MultiGraph[Any]:
    """The chosen edges as a graph: vertices are points, with the id, kind and place of their node."""
    placed, edges = model.placed, model.edges
    graph: nx.MultiGraph[Any] = nx.MultiGraph()
    for point in np.unique(np.concatenate([edges.u[chosen], edges.v[chosen]])).tolist():
        node = int(placed.point_node[point])
        x, y, z = placed.node_xyz_m[node].tolist()
        kind = NODE_KINDS[int(model.node_kind[node])]
        graph.add_node(point, id=placed.node_id(node), kind=kind, x_m=x, y_m=y, z_m=z)
    for edge in chosen.tolist():
        graph.add_edge(
            int(edges.u[edge]),
            int(edges.v[edge]),
            key=edge_id(model, edge),
            kind=EdgeKind(int(edges.kind[edge])).name.lower(),
            system=edge_systems(model, edge),
            length_m=float(edges.length_m[edge]),
        )
    return graph


def system_view(model: Model, *systems: System) -> nx.MultiGraph[Any]:
    """All pipework of these systems."""
    return graph_view(model, model.edges_of(frozenset(systems)))


def riser_view(model: Model, riser: Riser) -> nx.MultiGraph[Any]:
    """One riser or stack."""
    return graph_view(model, riser.edges)
