# SPDX-License-Identifier: Apache-2.0
"""Fire water: outlets that nothing feeds, risers that lag behind the building going up (F01, F02)."""

from __future__ import annotations

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.cut_off import Search, unconnected, waiting_pieces, without_way
from riser.layout.drainage import goes_beyond_its_part, waiting_points
from riser.layout.judging import Judging
from riser.layout.nets import net_of
from riser.network.joints import JointState
from riser.network.model import Model
from riser.network.risers import Riser, risers
from riser.network.systems import System
from riser.network.tracing import Ways, fire_ways
from riser.network.types import Ints
from riser.network.where import node_place
from riser.rules import Cell

LAGS = FindingKind(
    "F01",
    "fire riser not continuous to the building's height",
    Severity.ERROR,
    COMMON_PRACTICE,
    "While the building goes up, a fire riser must follow it; this one ends too many floors below the "
    "highest floor with modules.",
    "Join the riser up before the next floor is set.",
)
NO_FIRE_WATER = FindingKind(
    "F02",
    "fire outlet without a way to a source",
    Severity.ERROR,
    COMMON_PRACTICE,
    "From a hose valve or a sprinkler branch no pipe leads back to a fire inlet, a tank or a main.",
    "Draw or join the missing pipe.",
)
KINDS = (LAGS, NO_FIRE_WATER)

FIRE = frozenset({System.FIRE})


def findings(model: Model, judging: Judging) -> list[Finding]:
    """F01, in the site check alone, and F02."""
    way = fire_ways(model)
    return [*_lagging(model, judging, way), *_dry_outlets(model, judging, way)]


def _dry_outlets(model: Model, judging: Judging, way: Ways) -> list[Finding]:
    """F02."""
    placed = model.placed
    label = net_of(model, FIRE).label
    waiting = waiting_pieces(label, waiting_points(model))
    search = Search(NO_FIRE_WATER, "fire", "fire outlet", "a source", way, label, waiting)
    node = model.nodes_of_kind("hose_valve", "sprinkler_branch")
    point, run = placed.point0[node], _run_at(model, placed.point0[node])
    bare, node, point, run = node[run < 0], node[run >= 0], point[run >= 0], run[run >= 0]
    cut = without_way(judging, search, point, run, lambda n: placed.node_id(int(node[n])))
    return cut.findings + [
        unconnected(judging, search, n, ["fire water"], System.FIRE) for n in bare.tolist()
    ]


def _run_at(model: Model, points: Ints) -> Ints:
    """A run that ends at each point, -1 where none does."""
    placed = model.placed
    run = np.full(len(placed.point_node), -1, np.int32)
    standing = np.flatnonzero(model.standing[placed.run_part]).astype(np.int32)
    run[placed.run_to_point[standing]] = standing
    run[placed.run_from_point[standing]] = standing
    return run[points]


def _lagging(model: Model, judging: Judging, way: Ways) -> list[Finding]:
    """F01: for each fire riser how many floors its top is below the highest floor with modules."""
    if not model.site:
        return []
    chains = [riser for riser in risers(model, System.FIRE) if goes_beyond_its_part(model, riser)]
    if not chains:
        return []
    cell = judging.limit("fire", "fire_riser_lag_floors", "how far a fire riser may lag behind the building")
    if cell is None:
        return []
    joint_at = _joint_at(model)
    tops = {int(model.placed.point_node[riser.points[-1]]) for riser in chains}
    found = []
    for riser in chains:
        fed = bool(np.isfinite(way.distance_m[riser.points]).any())
        foot = int(model.placed.point_node[riser.points[0]])
        if not fed and tops & _stubs(model, joint_at.get(foot, -1)):
            # The piece above a joint that is missing is told with the piece below.
            continue
        finding = _lag(model, judging, cell, riser, fed, joint_at)
        found += [finding] if finding else []
    return found


def _joint_at(model: Model) -> dict[int, int]:
    """Stubs -> the joint planned there."""
    found: dict[int, int] = {}
    for joint, (a, b) in enumerate(
        zip(model.joints.stub_a.tolist(), model.joints.stub_b.tolist(), strict=True)
    ):
        found |= {stub: joint for stub in (a, b) if stub >= 0}
    return found


def _stubs(model: Model, joint: int) -> set[int]:
    """The two stubs of a joint."""
    return set() if joint < 0 else {int(model.joints.stub_a[joint]), int(model.joints.stub_b[joint])}


def _floors_between(model: Model, low: int, high: int) -> int:
    """How many floors one floor of a building is above another."""
    floors = model.placed.floors
    orders = np.sort(floors.order[floors.building == floors.building[low]])
    place = np.searchsorted(orders, floors.order[[low, high]])
    return int(place[1] - place[0])


def _highest_floor(model: Model, building: str) -> int:
    """The highest floor of a building on which a module stands; -1 if none does."""
    placed = model.placed
    module = placed.types.part_kind[placed.part_type] == "module"
    here = module & model.standing & (placed.floors.building[placed.part_floor] == building)
    floors = placed.part_floor[here]
    return int(floors[np.argmax(placed.floors.order[floors])]) if len(floors) else -1


def _lag(
    model: Model, judging: Judging, cell: Cell, riser: Riser, fed: bool, joint_at: dict[int, int]
) -> Finding | None:
    """The finding about one riser, None where it keeps up. One that no inlet feeds reaches no floor."""
    placed, floors = model.placed, model.placed.floors
    node = int(placed.point_node[riser.points[-1 if fed else 0]])
    floor = int(placed.node_floor[node])
    highest = _highest_floor(model, str(floors.building[floor]))
    if highest < 0:
        return None
    lag = _floors_between(model, floor, highest) + (0 if fed else 1)
    if lag <= cell.number:
        return None
    joint = joint_at.get(node, -1)
    says = (
        f"The fire riser {_reach(model, riser, fed, node)}{_not_made(model, joint)}; modules stand up to "
        f"floor {floors.label(highest)}: it lags {lag} floors behind, {cell.number:g} is the most."
    )
    return judging.finding(
        LAGS,
        "fire",
        node_place(model, node, int(System.FIRE)),
        (placed.node_id(node),),
        says,
        cell=cell,
        because=model.joints.fault_key(joint) if joint >= 0 else None,
        nodes=(node,),
        joints=(joint,) if joint >= 0 else (),
    )


def _reach(model: Model, riser: Riser, fed: bool, node: int) -> str:
    """A riser by name, and how far it is continuous."""
    placed = model.placed
    name = riser.name or f"from {placed.node_id(int(placed.point_node[riser.points[0]]))}"
    if not fed:
        return f"{name} is not connected to its inlet at {placed.node_id(node)}"
    floor = placed.floors.label(int(placed.node_floor[node]))
    return f"{name} is continuous from its inlet up to floor {floor} ({placed.node_id(node)})"


def _not_made(model: Model, joint: int) -> str:
    """What stands in the way at the end of a riser."""
    if joint < 0:
        return ""
    name = f"joint {model.joints.id[joint]} there"
    if model.joints.state[joint] == JointState.CLOSED:
        return ", where it is closed"
    if model.joints.fault_key(joint) is not None:
        return f"; {name} cannot be made as drawn"
    standing = all(model.node_standing[stub] for stub in _stubs(model, joint))
    return f"; {name} is not made" if standing else ""
