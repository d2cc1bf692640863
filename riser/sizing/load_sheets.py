# SPDX-License-Identifier: Apache-2.0
"""Loads told as a tree: how many fixtures of each class, where they are drawn, what each counts."""

from __future__ import annotations

from collections import Counter

import numpy as np

from riser.audit import Derived, Given, InFile, Node, multiple, total
from riser.network.model import Model
from riser.network.types import Flags
from riser.rules import RuleSet
from riser.sizing.loads import FLOW_LIMIT, UNITS_TABLE, DrainLoads, continuous_load
from riser.sizing.ways_home import WaysHome

COUNTED = "counted along the ways home"


def nominal_given(model: Model, pipe: int) -> Given:
    """The nominal size of a pipe as its catalogue row writes it."""
    frame = model.placed.tables.pipes
    names = frame["pipe"].drop_duplicates()
    row = frame.loc[names.index[pipe]]
    origin = InFile("pipes.csv", int(row["row"]), "nominal")
    return Given(f"nominal size of {row['pipe']}", str(row["nominal"]), "-", origin)


def pipe_given(model: Model, pipe: int, column: str, name: str) -> Given:
    """A length of a pipe's catalogue row [m]."""
    frame = model.placed.tables.pipes
    names = frame["pipe"].drop_duplicates()
    row = frame.loc[names.index[pipe]]
    origin = InFile("pipes.csv", int(row["row"]), column.removesuffix("_m"))
    return Given(name, float(row[column]), "m", origin)


def type_file(model: Model, node: int) -> tuple[str, int]:
    """The file and row in which a node is drawn."""
    row = model.placed.types.nodes.iloc[int(model.placed.node_type[node])]
    return f"types/{row['type']}/{row['revision']}/nodes.csv", int(row["row"])


def level_given(model: Model, point: int) -> Given:
    """The level of a point [m]: drawn in its type, placed by parts.csv."""
    node = int(model.placed.point_node[point])
    file, row = type_file(model, node)
    level = float(model.placed.node_xyz_m[node, 2])
    origin = InFile(file, row, "z, with z of its part in parts.csv")
    return Given(f"level of {model.placed.node_id(node)}", level, "m", origin)


def load_node(
    model: Model, rule_set: RuleSet, way: WaysHome, loads: DrainLoads, point: int, *, after: int = -1
) -> Derived:
    """The load of the pipe leaving a point [dfu]; without what the pipe leaving `after` brings along."""
    counts = loads.counts[point] - (loads.counts[after] if after >= 0 else 0)
    above = way.upstream(point)
    if after >= 0:
        above = above & ~way.upstream(after)
    inputs: list[Node] = [
        multiple(
            f"load of {one.words}",
            _count_node(model, loads, number, int(counts[number]), above),
            one.row.row(UNITS_TABLE).given("fixture_units", f"fixture units of {one.words}"),
            one.row.row(UNITS_TABLE).cell("fixture_units").clause.text,
        )
        for number, one in enumerate(loads.classes)
        if counts[number] > 0 and one.row is not None
    ]
    inputs += [_flow_node(model, rule_set, loads, p) for p in sorted(loads.flow_at) if above[p]]
    basis = rule_set.table(UNITS_TABLE).cited
    return total("load", inputs, basis, unit="dfu")


def brief_load(rule_set: RuleSet, loads: DrainLoads, point: int) -> Derived:
    """The same load and rule-set rows without the places where fixtures are drawn: for counting rows."""
    inputs: list[Node] = []
    for number, one in enumerate(loads.classes):
        count = int(loads.counts[point, number])
        if count > 0 and one.row is not None:
            row = one.row.row(UNITS_TABLE)
            number_of = Given(one.words, count, "count", InFile("parts.csv", 0, ""))
            inputs.append(multiple(one.words, number_of, row.given("fixture_units"), ""))
    if loads.flow_m3s[point] > 0.0:
        flow = Given("flow", float(loads.flow_m3s[point]), "m3/s", InFile("project.toml", 0, ""))
        inputs.append(continuous_load.derive(flow, rule_set.limit(FLOW_LIMIT).given()))
    return total("load", inputs, "", unit="dfu")


def _count_node(model: Model, loads: DrainLoads, klass: int, count: int, above: Flags) -> Derived:
    """How many fixtures of a class there are, by the row that draws them."""
    places = _places(model, loads, klass, above)
    inputs = [
        Given(f"drawn as {name}", number, "count", InFile(file, row, "fixture_kind, times its parts"))
        for (name, file, row), number in sorted(places.items())
    ]
    words = loads.classes[klass].words
    return total(f"number of {words}", inputs, COUNTED, unit="count") if inputs else _grouped(words, count)


def _grouped(words: str, count: int) -> Derived:
    origin = InFile("fixtures.csv", 0, "room and dwelling")
    return total(f"number of {words}", [Given("rooms counted as groups", count, "count", origin)], COUNTED)


def _places(model: Model, loads: DrainLoads, klass: int, above: Flags) -> Counter[tuple[str, str, int]]:
    """Where the fixtures of a class above a point are drawn, those in groups left out."""
    fixtures = loads.fixtures
    grouped = {n for group in loads.groups if above[group.point] for n in group.members}
    chosen = (fixtures.klass == klass) & above[fixtures.point]
    chosen &= ~np.isin(fixtures.point, list(loads.flow_at))
    places: Counter[tuple[str, str, int]] = Counter()
    for n in np.flatnonzero(chosen).tolist():
        if n in grouped:
            continue
        node = int(fixtures.node[n])
        if fixtures.in_file[n]:
            places[model.placed.node_id(node), "fixtures.csv", int(fixtures.row[n])] += 1
        else:
            row = model.placed.types.nodes.iloc[int(model.placed.node_type[node])]
            file, number = type_file(model, node)
            places[f"{row['node']} of type {row['type']}", file, number] += 1
    return places


def _flow_node(model: Model, rule_set: RuleSet, loads: DrainLoads, point: int) -> Derived:
    name = model.placed.node_id(loads.flow_node[point])
    key = f"design.{rule_set.id}.continuous_flows"
    flow = Given(f"flow of {name}", loads.flow_at[point], "m3/s", InFile("project.toml", 0, key))
    return continuous_load.derive(flow, rule_set.limit(FLOW_LIMIT).given(), name=f"load of {name}")
