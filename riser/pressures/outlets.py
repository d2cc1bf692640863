# SPDX-License-Identifier: Apache-2.0
"""Every place where water is drawn: fixtures port by port, hose valves, sprinkler branches, and their limits.

What a limit is comes from the rule sets in force; a limit that no set states is NaN and its cell None.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.errors import NotInRules
from riser.network.kinds import KINDS, NODE_KINDS
from riser.network.model import Model
from riser.network.systems import System
from riser.network.types import Ints
from riser.pressures.water_net import WaterNet, outlets_with_pipes
from riser.rules import Cell, FixtureRow, Rules

PORTS = tuple(ports[0] for ports in KINDS["fixture"].points)
FLOW_TABLE = "flow_and_pressure"
LARGE_HOSE_BORE_M = 0.06


@dataclass(frozen=True)
class Outlet:
    """One outlet: `port` is the fixture's, "" for fire outlets; `row` what the supply rules have for the
    fixture, None where they have nothing.
    """

    point: int
    link: int
    node: int
    kind: str
    use: str
    control: str
    port: str
    system: System
    row: FixtureRow | None
    why_not: str

    @property
    def is_fire(self) -> bool:
        """Whether it is drawn from in a fire only."""
        return self.kind in ("hose_valve", "sprinkler_branch")


def outlets_of(net: WaterNet, rules: Rules) -> list[Outlet]:
    """All outlets to which a pressure pipe leads, in the order of the model."""
    points, links = outlets_with_pipes(net)
    model, described = net.model, _described(net.model)
    rows: dict[tuple[str, str, str], tuple[FixtureRow | None, str]] = {}
    found = []
    for point, link in zip(points.tolist(), links.tolist(), strict=True):
        node = int(model.placed.point_node[point])
        kind, use, control = described.get(node, (NODE_KINDS[int(model.node_kind[node])], "", ""))
        port = ""
        row: tuple[FixtureRow | None, str] = (None, "")
        if node in described:
            port = PORTS[point - int(model.placed.point0[node])]
            key = (kind, use, control)
            if key not in rows:
                rows[key] = _row(rules, *key)
            row = rows[key]
        system = System(int(net.system[link]))
        found.append(Outlet(point, link, node, kind, use, control, port, system, *row))
    return found


def _row(rules: Rules, kind: str, use: str, control: str) -> tuple[FixtureRow | None, str]:
    try:
        return rules.subject("supply").fixture_row(kind, use, control), ""
    except NotInRules as error:
        return None, str(error)


def _described(model: Model) -> dict[int, tuple[str, str, str]]:
    """Kind, use and control of every fixture; fixtures.csv stands over the type."""
    placed, frame = model.placed, model.placed.types.nodes
    columns = [frame[c].to_numpy(object) for c in ("fixture_kind", "use", "control")]
    nodes = model.nodes_of_kind("fixture")
    found = {n: [str(c[placed.node_type[n]]) for c in columns] for n in nodes.tolist()}
    listed = placed.tables.fixtures
    numbers: Ints = placed.node_numbers(listed["fixture"].tolist()) if len(listed) else np.zeros(0, np.int32)
    for node, (_, row) in zip(numbers.tolist(), listed.iterrows(), strict=True):
        if node in found:
            said = (str(row["kind"]), str(row["use"]), str(row["control"]))
            found[node] = [new or old for new, old in zip(said, found[node], strict=True)]
    return {node: (kind, use, control) for node, (kind, use, control) in found.items()}


@dataclass(frozen=True)
class Limits:
    """What holds at an outlet: gauge pressures [Pa] and flow [m3/s] with the cells they come from."""

    least_flowing: Cell | None
    most_static: Cell | None
    flow: Cell | None

    @property
    def least_flowing_pa(self) -> float:
        """Least pressure while it flows; NaN where no rule states one."""
        return _number(self.least_flowing)

    @property
    def most_static_pa(self) -> float:
        """Greatest still pressure; NaN where no rule states one."""
        return _number(self.most_static)

    @property
    def flow_m3s(self) -> float:
        """Flow of the outlet alone; NaN where no rule states one."""
        return _number(self.flow)


def limits_by_outlet(net: WaterNet, outlets: list[Outlet], rules: Rules) -> list[Limits]:
    """The limits of all outlets, looked up once for outlets that are alike."""
    alike: dict[tuple[str, str, str, str, bool], Limits] = {}
    found = []
    for outlet in outlets:
        is_large = bool(net.bore_m[outlet.link] >= LARGE_HOSE_BORE_M)
        key = (outlet.kind, outlet.use, outlet.control, outlet.port, is_large)
        if key not in alike:
            alike[key] = limits_of(net, outlet, rules)
        found.append(alike[key])
    return found


def limits_of(net: WaterNet, outlet: Outlet, rules: Rules) -> Limits:
    """The limits at an outlet."""
    if outlet.kind == "sprinkler_branch":
        return Limits(None, None, None)
    if outlet.kind == "hose_valve":
        size = "2_1_2" if net.bore_m[outlet.link] >= LARGE_HOSE_BORE_M else "1_1_2"
        return Limits(
            stated(rules, "fire", f"residual_{size}_min"),
            stated(rules, "fire", f"static_{size}_max"),
            stated(rules, "fire", "flow_per_outlet" if size == "2_1_2" else "flow_class_2"),
        )
    row = outlet.row.rows.get(FLOW_TABLE) if outlet.row else None
    least = row.cells.get("pressure") if row else None
    hot = stated(rules, "supply", "static_pressure_hot_max") if outlet.port == "hot" else None
    return Limits(
        least or stated(rules, "supply", "flowing_pressure_min"),
        hot or stated(rules, "supply", "static_pressure_max"),
        row.cells.get("flow") if row else None,
    )


def stated(rules: Rules, subject: str, name: str) -> Cell | None:
    """A named figure of the subject's set, else of good practice; None where neither has it."""
    try:
        return rules.limit(subject, name)
    except NotInRules:
        return None


def _number(cell: Cell | None) -> float:
    return float("nan") if cell is None else cell.number
