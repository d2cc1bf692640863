# SPDX-License-Identifier: Apache-2.0
"""Small supply buildings from short lines of text, one part that reaches through all floors.

A node line is `name kind x y z` and then `key=value`, a run line `name system from[.port] to[.port] pipe`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd
import pytest

from riser.joints.schedule import joints_of
from riser.network.model import Model, design_model
from riser.network.placing import placed
from riser.network.tables import JobTables
from riser.project.schema import TABLES
from riser.rules import Rules, choose_rules

# Invented pipes: name, bore [mm], rating [bar].
PIPES = (("CU15", 13.6, 25.0), ("CU28", 26.2, 25.0), ("CU54", 51.6, 25.0), ("ST100", 105.3, 12.0))
STOREY_M = 3.0


def _frame(name: str, rows: Iterable[Mapping[str, Any]]) -> pd.DataFrame:
    defaults: dict[str, Any] = {}
    for column in TABLES[name].columns:
        for inner in column.inner_columns:
            is_text = inner == column.inner and not column.is_number
            number = float(column.default) if column.is_number and column.default else float("nan")
            defaults[inner] = column.default if is_text else number
    if TABLES[name].per_type:
        defaults = {"type": "", "revision": "", **defaults}
    listed = []
    for number, row in enumerate(rows, start=2):
        assert set(row) <= set(defaults), f"{name} has no column {set(row) - set(defaults)}"
        listed.append({**defaults, **row, "row": number})
    return pd.DataFrame(listed, columns=[*defaults, "row"])


def _node(line: str) -> dict[str, Any]:
    name, kind, x, y, z, *more = line.split()
    row: dict[str, Any] = {"type": "T", "revision": "A", "node": name, "kind": kind}
    row |= {"x_m": float(x), "y_m": float(y), "z_m": float(z)}
    for text in more:
        key, _, value = text.partition("=")
        row[key] = float(value) if key.endswith(("_pa", "_m3s", "_c")) else value
    return row


def _run(line: str) -> dict[str, Any]:
    name, system, start, end, pipe = line.split()
    a, _, a_port = start.partition(".")
    b, _, b_port = end.partition(".")
    row = {"type": "T", "revision": "A", "run": name, "system": system, "pipe": pipe}
    return row | {"from": a, "from_port": a_port, "to": b, "to_port": b_port}


def job_of(
    nodes: str, runs: str, floors: int = 4, settings: Mapping[str, Any] | None = None, **more: Any
) -> JobTables:
    """A job of one tall part `P` from lines of nodes and runs; `more` are rows of other tables."""
    top = f"{floors:02d}"
    rows: dict[str, Any] = {
        "floors": [
            {"building": "A", "floor": f"{n + 1:02d}", "order": n + 1, "level_m": n * STOREY_M,
             "slab_top_m": n * STOREY_M}
            for n in range(floors)
        ],
        "pipes": [
            {"pipe": p, "nominal": p, "material": "copper", "od_m": bore / 1000 + 0.002,
             "bore_m": bore / 1000, "roughness_m": 1.5e-6, "rating_pa": rating * 1e5}
            for p, bore, rating in PIPES
        ],
        "types": [{"type": "T", "revision": "A", "kind": "site_work"}],
        "nodes": [_node(line) for line in nodes.strip().splitlines()],
        "runs": [_run(line) for line in runs.strip().splitlines()],
        "parts": [
            {"part": "P", "type": "T", "type_revision": "A", "building": "A", "floor": "01", "to_floor": top,
             "x_m": 0.0, "y_m": 0.0, "z_m": 0.0, "yaw_rad": 0.0, "mirror": "none"}
        ],
    } | more  # fmt: skip
    frames: dict[str, Any] = {name: _frame(name, rows.get(name, ())) for name in TABLES}
    absent = frozenset(f"{name}.csv" for name in TABLES if name not in rows)
    return JobTables(**frames, settings=dict(settings or {}), absent=absent)


def model_of(job: JobTables) -> Model:
    where = placed(job)
    return design_model(where, joints_of(where))


RULES = choose_rules({"rules": {"supply": "ipc_2021", "fire": "nfpa_14"}})

# A main, a riser, a private lavatory on each of four floors.
TOWER_NODES = """
MC mains_connection 0 0 0
T1 tee 0 5 0.5
L1 fixture 1 5 0.5 fixture_kind=lavatory use=private
T2 tee 0 5 3.5
L2 fixture 1 5 3.5 fixture_kind=lavatory use=private
T3 tee 0 5 6.5
L3 fixture 1 5 6.5 fixture_kind=lavatory use=private
B4 bend 0 5 9.5
L4 fixture 1 5 9.5 fixture_kind=lavatory use=private
"""
TOWER_RUNS = """
R0 cold MC T1.a CU28
R1 cold T1.b T2.a CU28
R2 cold T2.b T3.a CU28
R3 cold T3.b B4 CU28
C1 cold T1.branch L1.cold CU15
C2 cold T2.branch L2.cold CU15
C3 cold T3.branch L3.cold CU15
C4 cold B4 L4.cold CU15
"""


class Buildings:
    """What tests draw with."""

    rules: Rules = RULES
    tower_nodes, tower_runs = TOWER_NODES, TOWER_RUNS
    job = staticmethod(job_of)
    model = staticmethod(model_of)

    def drawn(self, nodes: str, runs: str, **more: Any) -> Model:
        return model_of(job_of(nodes, runs, **more))

    def tower(self, static_bar: float = 3.0, **more: Any) -> Model:
        supply = {"node": "P/MC", "kind": "mains", "static_pa": static_bar * 1e5, "level_m": 0.0}
        return self.drawn(TOWER_NODES, TOWER_RUNS, supplies=[supply], **more)


@pytest.fixture(scope="session")
def buildings() -> Buildings:
    return Buildings()
