# SPDX-License-Identifier: Apache-2.0
"""Supply pipe in which water stands: blind legs, and hot legs too far from the pipe that keeps hot (S03)."""

from __future__ import annotations

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.catalogue import Pipe, bores_m
from riser.layout.cut_off import CutOff, cause_of_open_end, waiting_pieces
from riser.layout.drainage import waiting_points
from riser.layout.judging import Judging
from riser.layout.nets import BlindLegs, net_of, tree_to
from riser.layout.supply import Supply
from riser.network.kinds import KIND_CODE
from riser.network.kinds import KINDS as NODES
from riser.network.model import EdgeKind
from riser.network.systems import System
from riser.network.tracing import source_points
from riser.network.types import Ints
from riser.network.where import node_place
from riser.rules import Cell

DEAD_LEG = FindingKind(
    "S03",
    "dead leg longer than allowed",
    Severity.WARNING,
    COMMON_PRACTICE,
    "A supply pipe ends blind so far from moving water, or a hot tap lies so far from the pipe that keeps "
    "hot, that water stands in it.",
    "Shorten it, take it out, or lead it on.",
)
KINDS = (DEAD_LEG,)


def findings(supply: Supply, judging: Judging, cut: CutOff) -> list[Finding]:
    """S03; `cut` is what no source reaches: there water stands for another reason."""
    return [*_blind(supply, judging, cut), *_hot(supply, judging)]


def _pipes(supply: Supply, legs: BlindLegs) -> Ints:
    """The pipe of each leg, where it leaves the moving water; behind a valve the pipe at its end."""
    model, net = supply.model, supply.net
    kind, ref = net.kind[legs.first], net.ref[legs.first]
    pipe = np.full(len(ref), -1, np.int32)
    run, joint = kind == EdgeKind.RUN, kind == EdgeKind.JOINT
    pipe[run] = model.run_pipe[ref[run]]
    pipe[joint] = model.node_pipe[model.joints.stub_a[ref[joint]]]
    run_there = supply.fixtures.run_at[legs.end]
    return np.where((pipe < 0) & (run_there >= 0), model.run_pipe[run_there], pipe).astype(np.int32)


def _blind(supply: Supply, judging: Judging, cut: CutOff) -> list[Finding]:
    """Legs that end in a cap, a closed stub or nothing, measured from the pipe in which water moves."""
    legs = supply.blind
    fed = np.flatnonzero((legs.length_m > 0.0) & np.isfinite(supply.way.distance_m[legs.end]))
    if not len(fed):
        return []
    cell = judging.limit("supply", "dead_leg_diameters", "how long a blind leg of supply pipe may be")
    if cell is None:
        return []
    pipe = _pipes(supply, legs)
    bore_m = np.append(bores_m(judging.pipes), np.nan)[pipe]
    long = fed[legs.length_m[fed] > cell.number * bore_m[fed]]
    return [_leg(supply, judging, cut, n, judging.pipes[pipe[n]], cell) for n in long.tolist()]


def _leg(supply: Supply, judging: Judging, cut: CutOff, leg: int, pipe: Pipe, cell: Cell) -> Finding:
    legs, model = supply.blind, supply.model
    end, foot = (int(model.placed.point_node[points[leg]]) for points in (legs.end, legs.foot))
    run, length_m = int(supply.fixtures.run_at[legs.end[leg]]), float(legs.length_m[leg])
    name = model.placed.node_id(end)
    says = (
        f"Water stands in {length_m:.2f} m of {pipe.name} between {model.placed.node_id(foot)} and the blind "
        f"end {name}: {length_m / pipe.bore_m:.0f} diameters, {cell.number:g} are the most allowed "
        f"({cell.number * pipe.bore_m * 1e3:.0f} mm)."
    )
    return judging.finding(
        DEAD_LEG,
        "supply",
        node_place(model, end, int(model.run_system[run]) if run >= 0 else -1),
        (name,),
        says,
        cell=cell,
        because=cause_of_open_end(model, cut, end),
        nodes=(end,),
        runs=(run,) if run >= 0 else (),
    )


def _hot(supply: Supply, judging: Judging) -> list[Finding]:
    """Hot connections too far along the pipe from a heater or from the pipe that circulates.

    Only where the rule set in force states such a length; good practice states none. Pipework that waits for
    parts to come is not judged: its circulation is not closed yet.
    """
    point = supply.fixtures.point("hot")
    served = np.flatnonzero(supply.net.degree[point] > 0)
    cell = judging.stated("supply", "hot_distance_max")
    if cell is None or not len(served):
        return []
    net = net_of(supply.model, {System.HOT, System.HOT_RETURN})
    waits = waiting_pieces(net.label, waiting_points(supply.model))[net.label[point[served]]]
    distance = tree_to(net, circulating_points(supply)).distance_m[point[served]]
    far = np.isfinite(distance) & (distance > cell.number) & ~waits
    return [
        _far_tap(supply, judging, n, d, cell)
        for n, d in zip(served[far].tolist(), distance[far].tolist(), strict=True)
    ]


def _far_tap(supply: Supply, judging: Judging, fixture: int, distance_m: float, cell: Cell) -> Finding:
    model, fixtures = supply.model, supply.fixtures
    node, run = int(fixtures.node[fixture]), int(fixtures.run_at[fixtures.point("hot")[fixture]])
    name = model.placed.node_id(node)
    says = (
        f"The hot tap of {name} is {distance_m:.2f} m along the pipe from hot water that moves; "
        f"{cell.number:.2f} m is the most allowed ({cell.printed})."
    )
    return judging.finding(
        DEAD_LEG,
        "supply",
        node_place(model, node, int(System.HOT)),
        (name, model.placed.run_id(run)),
        says,
        remedy="Bring the circulating pipe nearer.",
        cell=cell,
        nodes=(node,),
        runs=(run,),
    )


def circulating_points(supply: Supply) -> Ints:
    """Where hot water is kept hot: at heaters and other hot sources, and wherever it comes back from."""
    model, placed = supply.model, supply.model.placed
    bits = model.point_systems
    hot = (bits >> int(System.HOT) & 1).astype(bool)
    returning = (bits >> int(System.HOT_RETURN) & 1).astype(bool)
    heaters = placed.point0[model.nodes_of_kind("heater")] + NODES["heater"].point_of("out")
    sources = source_points(model, frozenset({System.HOT}))
    homes = np.concatenate([heaters, sources[hot[sources]]])
    back = hot & returning & (model.node_kind[placed.point_node] != KIND_CODE["heater"])
    kept = tree_to(net_of(model, {System.HOT}), homes).marked(np.flatnonzero(back).astype(np.int32))
    return np.unique(np.concatenate([homes, np.flatnonzero(kept)])).astype(np.int32)
