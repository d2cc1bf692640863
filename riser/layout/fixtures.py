# SPDX-License-Identifier: Apache-2.0
"""The fixtures of a building: what each is, where it drinks and drains, and which dwelling it belongs to."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from riser.network.kinds import FIXTURES, KINDS
from riser.network.model import Model
from riser.network.types import Flags, Ints, Texts

SUPPLY_PORTS = ("cold", "hot", "non_potable")


@dataclass(frozen=True)
class Fixtures:
    """Fixtures that count: `node`, neutral `kind` and `dwelling` of each, "" where none is given."""

    model: Model
    node: Ints
    kind: Texts
    dwelling: Texts

    def point(self, port: str) -> Ints:
        """The point of that port of each fixture."""
        return (self.model.placed.point0[self.node] + KINDS["fixture"].point_of(port)).astype(np.int32)

    @cached_property
    def run_at(self) -> Ints:
        """For every point of the model a run that ends there, -1 where none does."""
        placed = self.model.placed
        runs = np.flatnonzero(self.model.standing[placed.run_part]).astype(np.int32)
        found = np.full(len(placed.point_node), -1, np.int32)
        found[placed.run_to_point[runs]] = runs
        found[placed.run_from_point[runs]] = runs
        return found

    def lacking(self, ports: frozenset[str]) -> list[tuple[frozenset[str], Flags]]:
        """Each service fixtures need of these ports, and whether each fixture has no pipe at all for it."""
        pipe = {port: self.run_at[self.point(port)] >= 0 for port in ports}
        wants = {need for kind in FIXTURES.values() for need in kind.needs if need <= ports}
        answers = []
        for need in sorted(wants, key=sorted):
            kinds = [name for name, kind in FIXTURES.items() if need in kind.needs]
            has = np.any([pipe[port] for port in need], axis=0)
            answers.append((need, np.isin(self.kind, kinds) & ~has))
        return answers


def fixtures_of(model: Model) -> Fixtures:
    """All fixtures that count; fixtures.csv overrides what the type says."""
    placed, table = model.placed, model.placed.tables.fixtures
    node = model.nodes_of_kind("fixture")
    kind = placed.types.nodes["fixture_kind"].to_numpy(object)[placed.node_type[node]]
    dwelling = placed.tables.parts["dwelling"].to_numpy(object)[placed.node_part[node]]
    if len(table):
        number = placed.node_numbers(table["fixture"].tolist())
        kind = _overridden(kind, node, number, table["kind"])
        dwelling = _overridden(dwelling, node, number, table["dwelling"])
    return Fixtures(model, node, kind, dwelling)


def _overridden(values: Texts, node: Ints, number: Ints, column: pd.Series[str]) -> Texts:
    """Values of fixtures with those that the table states in their place."""
    stated = column.to_numpy(object)
    given = (stated != "") & (number >= 0)
    place = pd.Index(node).get_indexer(pd.Index(number[given]))
    result = values.copy()
    result[place[place >= 0]] = stated[given][place >= 0]
    return result
