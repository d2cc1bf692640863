# SPDX-License-Identifier: Apache-2.0
"""The fixtures of a building and what a rule set makes of each: its row, or that it has none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from riser.errors import InputError, InputErrors, NotInRules
from riser.network.kinds import KINDS
from riser.network.model import Model
from riser.network.systems import System
from riser.network.types import Flags, Ints, Texts
from riser.rules import FixtureRow, RuleSet
from riser.units import UnitError, column_factor

WASTE_POINT = KINDS["fixture"].point_of("waste")
GROUP = "bathroom_group"
CLOSETS = frozenset({"wc_cistern", "wc_flush_valve", GROUP})
# A bathroom group is a closet, a lavatory and a bath or shower (IPC 202, recalled).
GROUP_MEMBERS = (
    frozenset({"wc_cistern", "wc_flush_valve"}),
    frozenset({"lavatory"}),
    frozenset({"bath", "shower"}),
)


@dataclass(frozen=True)
class FixtureClass:
    """Fixtures of one kind, use and control; `row` is what stands for them in the rule set, None and the
    reason where nothing does.
    """

    kind: str
    use: str
    control: str
    row: FixtureRow | None
    why_not: str = ""

    @property
    def words(self) -> str:
        """The fixture as a person calls it."""
        control = f"({self.control})" if self.control else ""
        return " ".join(part for part in (self.use, self.kind.replace("_", " "), control) if part)

    @property
    def is_closet(self) -> bool:
        """Whether it is a water closet, or holds one."""
        return self.kind in CLOSETS

    @property
    def is_group(self) -> bool:
        """Whether it stands for several fixtures."""
        return self.kind == GROUP


@dataclass(frozen=True)
class Fixtures:
    """Every fixture with a waste pipe: node, waste point and class; `row` is where its kind stands, in
    fixtures.csv where `in_file` says so, else in nodes.csv of its type.
    """

    node: Ints
    point: Ints
    klass: Ints
    classes: tuple[FixtureClass, ...]
    in_file: Flags
    row: Ints

    def __len__(self) -> int:
        return len(self.node)


def design_settings(model: Model, rule_set: RuleSet) -> Mapping[str, Any]:
    """What project.toml says under [design.<set>]; empty where it says nothing."""
    design = model.placed.tables.settings.get("design", {})
    chosen = design.get(rule_set.id, {}) if isinstance(design, Mapping) else {}
    return chosen if isinstance(chosen, Mapping) else {}


def fixture_class(rule_set: RuleSet, table: str, kind: str, use: str, control: str) -> FixtureClass:
    """The class with its row, if the rule set has one in that table."""
    try:
        row = rule_set.fixture_row(kind, use, control)
        row.row(table).cell("fixture_units")
    except NotInRules as error:
        return FixtureClass(kind, use, control, None, str(error))
    return FixtureClass(kind, use, control, row)


def drained_fixtures(model: Model, rule_set: RuleSet, table: str, systems: frozenset[System]) -> Fixtures:
    """The fixtures from which pipes of these systems lead, with kind, use and control from the type or, where
    it stands there, from fixtures.csv.
    """
    placed = model.placed
    nodes = model.nodes_of_kind("fixture")
    points = placed.point0[nodes] + WASTE_POINT
    mask = sum(1 << int(s) for s in systems)
    drained = (model.point_systems[points] & mask) != 0
    nodes, points = nodes[drained], points[drained]
    kind, use, control, in_file, row = _described(model, nodes)
    keys = list(zip(kind.tolist(), use.tolist(), control.tolist(), strict=True))
    distinct = {key: n for n, key in enumerate(dict.fromkeys(keys))}
    classes = tuple(fixture_class(rule_set, table, *key) for key in distinct)
    klass = np.array([distinct[key] for key in keys], np.int32)
    return Fixtures(nodes, points.astype(np.int32), klass, classes, in_file, row)


def _described(model: Model, nodes: Ints) -> tuple[Texts, Texts, Texts, Flags, Ints]:
    """Kind, use and control of fixtures, whether fixtures.csv names their kind, and the row that does."""
    placed, frame = model.placed, model.placed.types.nodes
    kind, use, control = (
        frame[c].to_numpy(object)[placed.node_type[nodes]].copy() for c in ("fixture_kind", "use", "control")
    )
    row = frame["row"].to_numpy(np.int32)[placed.node_type[nodes]].copy()
    in_file = np.zeros(len(nodes), bool)
    listed = placed.tables.fixtures
    place = {node: n for n, node in enumerate(nodes.tolist())}
    named = placed.node_numbers(listed["fixture"].tolist()) if len(listed) else np.zeros(0, np.int32)
    for number, node in enumerate(named.tolist()):
        if node not in place:
            continue
        n, said = place[node], listed.iloc[number]
        kind[n], use[n], control[n] = (
            said[column] or old
            for column, old in (("kind", kind[n]), ("use", use[n]), ("control", control[n]))
        )
        if said["kind"] or said["use"] or said["control"]:
            in_file[n], row[n] = True, int(said["row"])
    return kind, use, control, in_file, row


def bathroom_groups(model: Model, fixtures: Fixtures, counted: Flags) -> list[tuple[int, ...]]:
    """The fixtures (places in `fixtures`) of each private bathroom: a closet, a lavatory, a bath or shower in
    one room of one dwelling in fixtures.csv. `counted` marks those that may be counted in a group.
    """
    listed = model.placed.tables.fixtures
    if not len(listed):
        return []
    place = {node: n for n, node in enumerate(fixtures.node.tolist())}
    rooms: dict[tuple[str, str, int], list[int]] = {}
    named = model.placed.node_numbers(listed["fixture"].tolist())
    for node, room, dwelling in zip(named.tolist(), listed["room"], listed["dwelling"], strict=True):
        n = place.get(node, -1)
        if n >= 0 and room and counted[n] and fixtures.classes[fixtures.klass[n]].use == "private":
            floor = int(model.placed.node_floor[node])
            rooms.setdefault((dwelling, room, floor), []).append(n)
    return [group for members in rooms.values() for group in _groups_in_room(fixtures, members)]


def _groups_in_room(fixtures: Fixtures, members: list[int]) -> list[tuple[int, ...]]:
    kinds = {n: fixtures.classes[fixtures.klass[n]].kind for n in members}
    found: list[tuple[int, ...]] = []
    left = sorted(members)
    while True:
        group = [next((n for n in left if kinds[n] in wanted), -1) for wanted in GROUP_MEMBERS]
        if -1 in group:
            return found
        found.append(tuple(group))
        left = [n for n in left if n not in group]


def continuous_flows(model: Model, rule_set: RuleSet) -> dict[int, float]:
    """Flows that do not stop [m3/s] by node, from `continuous_flows` under [design.<set>] in project.toml.

    Raises InputErrors for an unknown node or a text that is no flow.
    """
    given = design_settings(model, rule_set).get("continuous_flows", {})
    key = f"design.{rule_set.id}.continuous_flows"
    if not isinstance(given, Mapping):
        raise InputErrors(
            [_wrong(key, repr(given), "a table of nodes and flows", '{ "M01/FC" = "0.02 L/s" }')]
        )
    errors: list[InputError] = []
    flows: dict[int, float] = {}
    numbers = model.placed.node_numbers(list(given)) if given else np.zeros(0, np.int32)
    for node, (name, text) in zip(numbers.tolist(), given.items(), strict=True):
        flow = _flow_m3s(text)
        if node < 0:
            errors.append(_wrong(key, name, "a node of a placed part", '"PART/NODE"'))
        elif flow is None:
            errors.append(_wrong(f"{key}.{name}", repr(text), "a flow with its unit", '"0.02 L/s"'))
        else:
            flows[node] = flow
    if errors:
        raise InputErrors(errors)
    return flows


def _wrong(key: str, found: str, expected: str, example: str) -> InputError:
    return InputError("project.toml", None, key, found, expected, f"Write it as {example}.")


def _flow_m3s(text: Any) -> float | None:
    number, _, unit = str(text).strip().partition(" ")
    try:
        factor, _ = column_factor(unit, "flow")
        flow = float(number) * factor
    except (UnitError, ValueError):
        return None
    return flow if np.isfinite(flow) and flow >= 0.0 else None
