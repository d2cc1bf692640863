# SPDX-License-Identifier: Apache-2.0
"""Small buildings for tests: tables from a few rows, every other column at what an empty cell gives.

`two_storeys()` is the building most tests start from: one shaft with a soil stack, a cold riser and a fire
riser through two floors of one bath module each, on stubs cast into the ground. It has no faults.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import pandas as pd

from riser.joints.schedule import joints_of
from riser.network.model import Model, design_model
from riser.network.placing import placed
from riser.network.tables import JobTables
from riser.project.columns import Column
from riser.project.schema import TABLES

Row = Mapping[Any, Any]


def _empty(column: Column) -> Any:
    if column.is_number:
        return float(column.default) if column.default else float("nan")
    return column.default


def frame(name: str, rows: Iterable[Row]) -> pd.DataFrame:
    """A table with all its columns; unknown keys are an error."""
    defaults: dict[str, Any] = {}
    for column in TABLES[name].columns:
        for inner in column.inner_columns:
            defaults[inner] = _empty(column) if inner == column.inner else float("nan")
    per_type = {"type": "", "revision": ""} if TABLES[name].per_type else {}
    listed = []
    for number, row in enumerate(rows, start=2):
        unknown = set(row) - set(defaults) - set(per_type)
        assert not unknown, f"{name} has no column {unknown}"
        listed.append({**per_type, **defaults, **row, "row": number})
    return pd.DataFrame(listed, columns=[*per_type, *defaults, "row"])


def tables(settings: Row | None = None, **rows: Iterable[Row]) -> JobTables:
    """A job's tables; a table not named is empty and counts as absent."""
    frames: dict[str, Any] = {name: frame(name, rows.get(name, ())) for name in TABLES}
    absent = frozenset(f"{name}.csv" for name in TABLES if name not in rows)
    return JobTables(**frames, settings=dict(settings or {}), absent=absent)


def with_rows(job: JobTables, name: str, *rows: Row) -> JobTables:
    """The job with rows added to one table."""
    old = getattr(job, name)
    new = pd.concat([old, frame(name, rows)], ignore_index=True)
    new["row"] = range(2, len(new) + 2)
    changed = replace(job, absent=job.absent - {f"{name}.csv"})
    return replace(changed, **{name: new})


def without_rows(job: JobTables, name: str, **where: Any) -> JobTables:
    """The job without the rows whose cells have these values."""
    old = getattr(job, name)
    keep = pd.Series(False, index=old.index)
    for column, value in where.items():
        keep |= old[column] != value
    assert not keep.all(), f"{name} has no such row: {where}"
    return replace(job, **{name: old[keep].reset_index(drop=True)})


def with_cells(job: JobTables, name: str, where: Row, **cells: Any) -> JobTables:
    """The job with cells changed in the rows that match `where`."""
    changed = getattr(job, name).copy()
    match = pd.Series(True, index=changed.index)
    for column, value in where.items():
        match &= changed[column] == value
    assert match.any(), f"{name} has no such row: {dict(where)}"
    for column, value in cells.items():
        changed.loc[match, column] = value
    return replace(job, **{name: changed})


def model_of(job: JobTables) -> Model:
    """The design model of a job."""
    where = placed(job)
    return design_model(where, joints_of(where))


def node(name: str, kind: str, x: float, y: float, z: float, **cells: Any) -> dict[str, Any]:
    """One row of nodes.csv."""
    return {"node": name, "kind": kind, "x_m": x, "y_m": y, "z_m": z, **cells}


def stub(name: str, x: float, y: float, z: float, facing: str, pipe: str, system: str) -> dict[str, Any]:
    """A stub's row."""
    end = "grooved" if pipe.startswith("ST") else "plain"
    return node(name, "stub", x, y, z, facing=facing, pipe=pipe, system=system, end=end)


def run(name: str, system: str, pipe: str, start: str, end: str, **cells: Any) -> dict[str, Any]:
    """A row of runs.csv; ends as NODE or NODE.port."""
    a, _, a_port = start.partition(".")
    b, _, b_port = end.partition(".")
    ends = {"from": a, "from_port": a_port, "to": b, "to_port": b_port}
    return {"run": name, "system": system, "pipe": pipe, **ends, **cells}


def of_type(name: str, revision: str, rows: Iterable[Row]) -> list[dict[str, Any]]:
    """Rows of nodes or runs as belonging to one type revision."""
    return [{"type": name, "revision": revision, **row} for row in rows]


PIPES = [
    {
        "pipe": "CI100",
        "material": "cast iron",
        "nominal": "DN100",
        "od_m": 0.110,
        "bore_m": 0.103,
        "ends": "plain",
    },
    {
        "pipe": "CI75",
        "material": "cast iron",
        "nominal": "DN75",
        "od_m": 0.083,
        "bore_m": 0.077,
        "ends": "plain",
    },
    {"pipe": "PP110", "material": "PP", "nominal": "DN100", "od_m": 0.110, "bore_m": 0.103, "ends": "plain"},
    {
        "pipe": "CU22",
        "material": "copper",
        "nominal": "22x1.0",
        "od_m": 0.022,
        "bore_m": 0.020,
        "ends": "plain",
    },
    {
        "pipe": "ST100",
        "material": "steel",
        "nominal": "DN100",
        "od_m": 0.1143,
        "bore_m": 0.105,
        "ends": "grooved",
    },
]


def _coupling(
    family: str, pipe: str, end: str, angle_deg: float, gap_m: tuple[float, float], **cells: Any
) -> Row:
    return {
        "family": family,
        "pipe_a": pipe,
        "pipe_b": pipe,
        "end_a": end,
        "end_b": end,
        "angle_max_rad": angle_deg * 3.141592653589793 / 180,
        "gap_min_m": gap_m[0],
        "gap_max_m": gap_m[1],
        "insertion_m": 0.0,
        "offset_max_m": 0.0,
        **cells,
    }


COUPLINGS = [
    _coupling("NH", "CI100", "plain", 1.0, (0.0, 0.003)),
    _coupling("NH", "CI75", "plain", 1.0, (0.0, 0.003)),
    _coupling("SL", "CU22", "plain", 0.5, (0.005, 0.030), offset_max_m=0.001),
    _coupling("GF", "ST100", "grooved", 1.19, (0.0, 0.0032)),
]

BATH_NODES = [
    stub("SP1", 0.5, 0.5, 0.05, "down", "CI100", "soil"),
    stub("SP2", 0.5, 0.5, 2.55, "up", "CI100", "soil"),
    node("ST", "tee", 0.5, 0.5, 0.40),
    node("WC", "fixture", 1.2, 0.5, 0.42, fixture_kind="wc_cistern", use="private"),
    stub("CW1", 0.7, 0.5, 0.00, "down", "CU22", "cold"),
    stub("CW2", 0.7, 0.5, 2.98, "up", "CU22", "cold"),
    node("CT", "tee", 0.7, 0.5, 0.30),
    node("CV", "valve", 0.8, 0.5, 0.30, normally="open", may_bound_test="yes"),
    stub("FR1", 0.9, 0.5, 0.00, "down", "ST100", "fire"),
    stub("FR2", 0.9, 0.5, 2.998, "up", "ST100", "fire"),
    node("FT", "tee", 0.9, 0.5, 1.20),
    node("HV", "hose_valve", 0.9, 0.8, 1.20),
]
BATH_RUNS = [
    run("S1", "soil", "CI100", "SP2", "ST.a"),
    run("S2", "soil", "CI100", "ST.b", "SP1"),
    run("S3", "soil", "CI100", "WC.waste", "ST.branch"),
    run("C1", "cold", "CU22", "CW1", "CT.a"),
    run("C2", "cold", "CU22", "CT.b", "CW2"),
    run("C3", "cold", "CU22", "CT.branch", "CV.in"),
    run("C4", "cold", "CU22", "CV.out", "WC.cold"),
    run("F1", "fire", "ST100", "FR1", "FT.a"),
    run("F2", "fire", "ST100", "FT.b", "FR2"),
    run("F3", "fire", "ST100", "FT.branch", "HV.in"),
]
GROUND_NODES = [
    stub("SP1", 0.5, 0.5, 0.10, "up", "CI100", "soil"),
    node("B1", "bend", 0.5, 0.5, -0.70),
    node("OF", "outfall", 0.5, 8.5, -0.80),
    stub("CW1", 0.7, 0.5, 0.13, "up", "CU22", "cold"),
    node("MC", "mains_connection", 0.7, -2.0, -0.80),
    stub("FR1", 0.9, 0.5, 0.149, "up", "ST100", "fire"),
    node("FI", "fire_inlet", 0.9, -2.0, 0.80),
]
GROUND_RUNS = [
    run("S1", "soil", "CI100", "SP1", "B1"),
    run("S2", "soil", "CI100", "B1", "OF"),
    run("C1", "cold", "CU22", "MC", "CW1", via_m="0.7 0.5 -0.8"),
    run("F1", "fire", "ST100", "FI", "FR1", via_m="0.9 -2.0 -0.8; 0.9 0.5 -0.8"),
]
ROOF_NODES = [
    stub("SP1", 0.5, 0.5, 0.0, "down", "CI100", "soil"),
    node("VT", "vent_terminal", 0.5, 0.5, 0.6),
]
ROOF_RUNS = [run("S1", "soil", "CI100", "SP1", "VT")]


def _spool(joint: str, length_m: float) -> list[Row]:
    return [
        {"joint": joint, "order": 1, "kind": "coupling", "family": "NH"},
        {"joint": joint, "order": 2, "kind": "pipe", "pipe": "CI100", "length_m": length_m},
        {"joint": joint, "order": 3, "kind": "coupling", "family": "NH"},
    ]


def _single(joint: str, family: str, kind: str = "coupling") -> list[Row]:
    return [{"joint": joint, "order": 1, "kind": kind, "family": family}]


SCHEDULE = [
    ("J1", "BG/SP1", "M1/SP1", _spool("J1", 0.097)),
    ("J2", "BG/CW1", "M1/CW1", _single("J2", "SL")),
    ("J3", "BG/FR1", "M1/FR1", _single("J3", "GF")),
    ("J4", "M1/SP2", "M2/SP1", _spool("J4", 0.497)),
    ("J5", "M1/CW2", "M2/CW1", _single("J5", "SL")),
    ("J6", "M1/FR2", "M2/FR1", _single("J6", "GF")),
    ("J7", "M2/SP2", "RV/SP1", _spool("J7", 0.297)),
    ("J8", "M2/CW2", "", _single("J8", "SL", "cap")),
    ("J9", "M2/FR2", "", _single("J9", "GF", "cap")),
]


def two_storeys() -> JobTables:
    """Two bath modules on one shaft, sound in every joint."""
    types = [("MA", "module"), ("BG", "below_slab"), ("RV", "site_work")]
    parts = [
        ("BG", "BG", "01", 0.0, 0),
        ("M1", "MA", "01", 0.15, 1),
        ("M2", "MA", "02", 3.15, 2),
        ("RV", "RV", "RF", 6.0, 3),
    ]
    return tables(
        settings={"name": "Two storeys"},
        floors=[
            {
                "building": "A",
                "floor": "01",
                "order": 1,
                "level_m": 0.0,
                "slab_top_m": 0.0,
                "slab_thickness_m": 0.2,
            },
            {"building": "A", "floor": "02", "order": 2, "level_m": 3.0, "slab_top_m": 3.0},
            {"building": "A", "floor": "RF", "order": 3, "level_m": 6.0, "slab_top_m": 6.0},
        ],
        shafts=[{"shaft": "S1", "building": "A", "outline_m": "0.3 0.3; 1.1 0.3; 1.1 0.7; 0.3 0.7"}],
        risers=[{"riser": "SS-1", "system": "soil", "shaft": "S1", "through": "M1/SP1"}],
        systems=[{"network": "soil-A", "system": "soil", "end_kind": "outfall", "end": "BG/OF"}],
        pipes=PIPES,
        couplings=COUPLINGS,
        types=[{"type": name, "revision": "A", "kind": kind} for name, kind in types],
        nodes=[
            *of_type("MA", "A", BATH_NODES),
            *of_type("BG", "A", GROUND_NODES),
            *of_type("RV", "A", ROOF_NODES),
        ],
        runs=[
            *of_type("MA", "A", BATH_RUNS),
            *of_type("BG", "A", GROUND_RUNS),
            *of_type("RV", "A", ROOF_RUNS),
        ],
        parts=[
            {
                "part": name,
                "type": kind,
                "type_revision": "A",
                "building": "A",
                "floor": floor,
                "x_m": 0.0,
                "y_m": 0.0,
                "z_m": z,
                "yaw_rad": 0.0,
                "mirror": "none",
                "hoist_order": order,
            }
            for name, kind, floor, z, order in parts
        ],
        joints=[{"joint": j, "stub_a": a, "stub_b": b} for j, a, b, _ in SCHEDULE],
        closures=[row for *_, makeup in SCHEDULE for row in makeup],
    )
