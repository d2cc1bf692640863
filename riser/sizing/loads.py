# SPDX-License-Identifier: Apache-2.0
"""Loads gathered down the drain tree: what every pipe carries of the fixtures above it.

Fixtures are counted by class, so that a load can be told as "12 lavatories at 1 unit each" and the sheet and
the bulk figure come from the same counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import Quantity
from riser.network.model import Model
from riser.network.systems import System
from riser.network.types import Flags, Floats, Ints
from riser.rules import RuleSet
from riser.sizing.fixtures import (
    GROUP,
    FixtureClass,
    Fixtures,
    bathroom_groups,
    continuous_flows,
    design_settings,
    drained_fixtures,
    fixture_class,
)
from riser.sizing.ways_home import WaysHome

UNITS_TABLE = "drainage_fixture_units"
FLOW_LIMIT = "fixture_units_per_flow"
# A class that stands for several fixtures counts as two where one fixture and more are told apart.
SEVERAL = 2


@formula(
    "fixture_units = flow_m3s / (0.003785411784 / 60) * units_per_gpm",
    unit="dfu",
    basis="continuous flow counted in fixture units per US gallon a minute",
)
def continuous_load(flow_m3s: Quantity, units_per_gpm: Quantity) -> Quantity:
    """Drainage fixture units that stand for a flow that does not stop.

    Parameters
    ----------
    flow_m3s : float or array
        Flow [m3/s].
    units_per_gpm : float or array
        What the code counts for each US gallon a minute [dfu/gpm].

    Returns
    -------
    float or array
        Load [dfu].

    Examples
    --------
    10 gpm at 2 units per gpm (IPC 709.3):

    >>> round(continuous_load(10 * 0.003785411784 / 60, 2.0), 9)
    20.0
    """
    return flow_m3s / (0.003785411784 / 60) * units_per_gpm


@dataclass(frozen=True)
class Group:
    """A bathroom counted as a group: its fixtures, the class that stands for them, and the point from which
    they run together.
    """

    members: tuple[int, ...]
    klass: int
    point: int


@dataclass(frozen=True)
class DrainLoads:
    """What the pipe leaving each point carries.

    `counts` has a column per fixture class; `fixtures_above` is the number of fixtures (two for a class that
    stands for several); `units` the load [dfu] of those that can be judged and of continuous flows;
    `unjudged` the number of fixtures the rule set has no row for.
    """

    fixtures: Fixtures
    classes: tuple[FixtureClass, ...]
    groups: tuple[Group, ...]
    flow_at: dict[int, float]
    flow_node: dict[int, int]
    counts: Ints
    fixtures_above: Ints
    closets: Ints
    unjudged: Ints
    flow_m3s: Floats
    units: Floats

    @property
    def is_wet(self) -> Flags:
        """Whether anything drains through the pipe leaving each point."""
        flags: Flags = (self.fixtures_above > 0) | (self.flow_m3s > 0.0)
        return flags


def class_units(classes: Sequence[FixtureClass]) -> Floats:
    """Fixture units of each class; 0 for one without a row, which is counted as unjudged beside it."""
    rows = [c.row.row(UNITS_TABLE).number("fixture_units") if c.row else 0.0 for c in classes]
    return np.array(rows, dtype=float)


def drain_loads(model: Model, rule_set: RuleSet, way: WaysHome, systems: frozenset[System]) -> DrainLoads:
    """The loads of all pipes of these systems. Raises InputErrors for design inputs that are not in order."""
    fixtures = drained_fixtures(model, rule_set, UNITS_TABLE, systems)
    flow_at, flow_node = _flow_points(model, rule_set, way)
    counted = ~np.isin(fixtures.point, list(flow_at))
    classes, groups = _grouped(model, rule_set, way, fixtures, counted)
    counts = way.gathered(_entering(len(way.next_point), fixtures, counted, len(classes), groups))
    flow = np.zeros(len(way.next_point))
    flow[list(flow_at)] = list(flow_at.values())
    flow = way.gathered(flow)
    weight = [SEVERAL if one.is_group else 1 for one in fixtures.classes]
    is_closet = [int(one.is_closet) for one in fixtures.classes]
    everywhere = np.ones(len(fixtures), bool)
    return DrainLoads(
        fixtures=fixtures,
        classes=classes,
        groups=groups,
        flow_at=flow_at,
        flow_node=flow_node,
        counts=counts,
        fixtures_above=way.gathered(_weighed(way, fixtures, everywhere, weight)),
        closets=way.gathered(_weighed(way, fixtures, counted, is_closet)),
        unjudged=counts @ np.array([one.row is None for one in classes], np.int32),
        flow_m3s=flow,
        units=counts @ class_units(classes) + _continuous_units(rule_set, flow),
    )


def _entering(points: int, fixtures: Fixtures, counted: Flags, classes: int, groups: Sequence[Group]) -> Ints:
    """How many fixtures of each class begin to drain at each point; a group takes its members' place where
    they run together.
    """
    entering = np.zeros((points, classes), np.int32)
    np.add.at(entering, (fixtures.point[counted], fixtures.klass[counted]), 1)
    for group in groups:
        entering[group.point, group.klass] += 1
        np.add.at(entering[group.point], fixtures.klass[list(group.members)], -1)
    return entering


def _weighed(way: WaysHome, fixtures: Fixtures, chosen: Flags, weight: Sequence[int]) -> Ints:
    """The weights of the chosen fixtures by the point at which each begins to drain."""
    entering = np.zeros(len(way.next_point), np.int32)
    weights = np.array([*weight, 0], np.int32)
    np.add.at(entering, fixtures.point[chosen], weights[fixtures.klass[chosen]])
    return entering


def _continuous_units(rule_set: RuleSet, flow_m3s: Floats) -> Floats:
    if not np.any(flow_m3s > 0.0):
        return np.zeros(len(flow_m3s))
    units: Floats = continuous_load(flow_m3s, rule_set.limit(FLOW_LIMIT).number)
    return units


def _flow_points(model: Model, rule_set: RuleSet, way: WaysHome) -> tuple[dict[int, float], dict[int, int]]:
    """The point at which each continuous flow enters the drains, and the node it comes from."""
    flows = continuous_flows(model, rule_set)
    flow_at: dict[int, float] = {}
    flow_node: dict[int, int] = {}
    for node, flow in flows.items():
        points = np.flatnonzero((model.placed.point_node == node) & (way.edge >= 0))
        if len(points):
            flow_at[int(points[0])] = flow
            flow_node[int(points[0])] = node
    return flow_at, flow_node


def _grouped(
    model: Model, rule_set: RuleSet, way: WaysHome, fixtures: Fixtures, counted: Flags
) -> tuple[tuple[FixtureClass, ...], tuple[Group, ...]]:
    """The classes, with those of bathroom groups added, and the groups, where the design asks for them and
    the rule set has a row; without one its fixtures are counted one by one.
    """
    classes = list(fixtures.classes)
    if not design_settings(model, rule_set).get("bathroom_groups", False):
        return tuple(classes), ()
    groups: list[Group] = []
    has_row = np.array([c.row is not None for c in classes], bool)
    counted = counted & has_row[fixtures.klass] if len(fixtures) else counted
    for members in bathroom_groups(model, fixtures, counted):
        closet = fixtures.classes[fixtures.klass[members[0]]]
        point = _meeting_point(way, fixtures.point[list(members)])
        row = fixture_class(rule_set, UNITS_TABLE, GROUP, closet.use, closet.control)
        if row.row is None or point < 0:
            continue
        if row not in classes:
            classes.append(row)
        groups.append(Group(members, classes.index(row), point))
    return tuple(classes), tuple(groups)


def _meeting_point(way: WaysHome, points: Ints) -> int:
    """The first point that all ways home pass; -1 where they never meet."""
    shared = list(way.onward(int(points[0])))
    for point in points[1:].tolist():
        passed = set(way.onward(point))
        shared = [p for p in shared if p in passed]
    return shared[0] if shared else -1
