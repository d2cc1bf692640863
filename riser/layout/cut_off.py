# SPDX-License-Identifier: Apache-2.0
"""Outlets that cannot be reached: the same question for drains, supply and fire water.

An outlet behind a joint that cannot come to be is a consequence of that joint. A piece of pipework that no
such joint explains is told once, with all its outlets: one missing pipe is one fault.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from riser.audit import Finding, FindingKind
from riser.layout.judging import Judging
from riser.network.kinds import NODE_KINDS
from riser.network.model import Model
from riser.network.systems import System
from riser.network.tracing import Ways
from riser.network.types import Flags, Ints
from riser.network.where import node_place

NAMED_AT_MOST = 4
# An end that nothing closes, so near to a piece of pipework without a way home, is where the missing pipe
# should begin. Common practice, no source.
MISSING_PIPE_M = 3.0
SAME_LEVEL_M = 1.0e-4


@dataclass(frozen=True)
class Search:
    """What is looked for: the kind of finding, its subject, the words for an outlet and for where it should
    lead, the ways home, the connected piece of every point, and the pieces that wait for parts to come.
    """

    kind: FindingKind
    subject: str
    outlet: str
    home: str
    way: Ways
    label: Ints
    waiting: Flags


@dataclass(frozen=True)
class CutOff:
    """What cannot be reached: the findings, and at which nodes pieces without a way home end, with the key of
    each one's finding.
    """

    findings: list[Finding]
    ends: dict[int, str]


def cause_of_open_end(model: Model, cut: CutOff, node: int) -> str | None:
    """The key of the finding about a missing pipe that should lead on from an end; None for a closed end.

    A cap, and a stub closed for good, are ends on purpose.
    """
    if NODE_KINDS[int(model.node_kind[node])] in ("cap", "stub") or not cut.ends:
        return None
    ends = list(cut.ends)
    placed = model.placed
    away = np.linalg.norm(placed.node_xyz_m[ends] - placed.node_xyz_m[node], axis=1)
    near = int(np.argmin(away))
    return cut.ends[ends[near]] if away[near] <= MISSING_PIPE_M else None


def waiting_pieces(label: Ints, points: Ints) -> Flags:
    """For every piece whether it hangs on a stub that waits for a part not yet placed."""
    flags = np.zeros(int(label.max(initial=-1)) + 1, bool)
    flags[label[points]] = True
    return flags


def named(ids: Iterable[str]) -> str:
    """Some ids in words: the first few, and how many more."""
    every = sorted(set(ids))
    more = len(every) - NAMED_AT_MOST
    told = ", ".join(every[:NAMED_AT_MOST])
    return f"{told} and {more} more" if more > 0 else told


def without_way(
    judging: Judging, search: Search, point: Ints, run: Ints, name: Callable[[int], str]
) -> CutOff:
    """The findings about connected outlets without a way home.

    `point` and `run` are the point of each outlet and the run that ends there; `name(n)` says what people
    call outlet n.
    """
    lost = np.flatnonzero(np.isinf(search.way.distance_m[point]))
    lost = lost[~search.waiting[search.label[point[lost]]]]
    cut = search.way.cut_by[point[lost]]
    found = [
        _behind_a_joint(judging, search, int(point[n]), int(run[n]), name(n), joint)
        for n, joint in zip(lost[cut >= 0].tolist(), cut[cut >= 0].tolist(), strict=True)
    ]
    ends: dict[int, str] = {}
    alone = lost[cut < 0]
    pieces = search.label[point[alone]]
    for piece in np.unique(pieces).tolist():
        members = alone[pieces == piece]
        names = [name(n) for n in members.tolist()]
        end = _end_of(judging.model, search, piece)
        finding = _whole_piece(judging, search, end, point[members], run[members], names)
        found.append(finding)
        ends[end] = finding.key
    return CutOff(found, ends)


def _end_of(model: Model, search: Search, piece: int) -> int:
    """The lowest node of a piece: there, as a rule, the missing pipe should join it; of several as low the
    first by id, so that the order of rows does not matter.
    """
    nodes = np.unique(model.placed.point_node[search.label == piece])
    level = model.placed.node_xyz_m[nodes, 2]
    lowest = nodes[level <= level.min() + SAME_LEVEL_M]
    return int(min(lowest.tolist(), key=model.placed.node_id))


def _behind_a_joint(judging: Judging, search: Search, point: int, run: int, name: str, joint: int) -> Finding:
    model = judging.model
    node = int(model.placed.point_node[point])
    system = int(model.run_system[run])
    says = f"{name} has no way to {search.home}: joint {model.joints.id[joint]} on that way cannot be made."
    return judging.finding(
        search.kind,
        search.subject,
        node_place(model, node, system),
        (model.placed.node_id(node), model.placed.run_id(run)),
        says,
        remedy="Put the joint right; this goes with it.",
        because=model.joints.fault_key(joint),
        nodes=(node,),
        runs=(run,),
        joints=(joint,),
    )


def _whole_piece(
    judging: Judging, search: Search, lowest: int, point: Ints, run: Ints, names: list[str]
) -> Finding:
    """One finding for a piece of pipework, at its lowest point."""
    model = judging.model
    placed = model.placed
    first = min(run.tolist(), key=placed.run_id)
    count = f"1 {search.outlet}" if len(names) == 1 else f"{len(names)} {search.outlet}s"
    says = (
        f"{count} ({named(names)}) on a piece of pipework without a way to {search.home}; "
        f"its lowest point is {placed.node_id(lowest)}."
    )
    return judging.finding(
        search.kind,
        search.subject,
        node_place(model, lowest, int(model.run_system[first])),
        (placed.node_id(lowest), placed.run_id(first)),
        says,
        nodes=(lowest, *placed.point_node[point].tolist()),
    )


def unconnected(judging: Judging, search: Search, node: int, services: list[str], system: System) -> Finding:
    """An outlet to which no pipe leads at all; `system` is the kind of pipework it lacks."""
    model = judging.model
    name = model.placed.node_id(node)
    says = f"{name} has no pipe for {' and '.join(services)}."
    return judging.finding(
        search.kind, search.subject, node_place(model, node, int(system)), (name,), says, nodes=(node,)
    )
