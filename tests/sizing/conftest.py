# SPDX-License-Identifier: Apache-2.0
"""Small drainage buildings from short lines of text.

A node line is `name kind x y z` and then `key=value`, a run line `name system from[.port] to[.port] pipe`. A
plan of one part needs no joints; `tower` stacks modules on each other, joined by geometry.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest

from riser.joints.schedule import joints_of
from riser.network.model import Model, design_model
from riser.network.placing import placed
from riser.network.tables import JobTables
from riser.rules import Rules, choose_rules

COLUMNS = {
    "floors": "building floor order level_m slab_top_m slab_thickness_m ceiling_m",
    "shafts": "shaft building outline_m",
    "risers": "riser system shaft through",
    "systems": "network system order end_kind end rule",
    "pipes": "pipe standard series material nominal od_m bore_m roughness_m ends max_temperature_c "
    "rating_pa source",
    "couplings": "family pipe_a pipe_b end_a end_b angle_max_rad gap_min_m gap_max_m insertion_m "
    "offset_max_m axial_max_m rating_pa wait_s restrained needs_access source",
    "types": "type revision kind size_x_m size_y_m size_z_m note",
    "nodes": "type revision node kind x_m y_m z_m facing pipe end system fixture_kind use control normally "
    "may_bound_test setting",
    "runs": "type revision run system from from_port to to_port pipe via_m joined_from joined_to "
    "insulation_m hidden supports",
    "parts": "part type type_revision building floor to_floor x_m y_m z_m yaw_rad mirror hoist_order "
    "dwelling",
    "joints": "joint stub_a stub_b works_on note",
    "closures": "joint order kind family pipe length_m offset_m angle_rad to_pipe",
    "fixtures": "fixture kind use control room dwelling",
    "supplies": "node kind static_pa level_m curve",
    "curves": "curve flow_m3s pressure_pa",
    "devices": "node setting normally kv_m3h curve rating_pa",
    "catchments": "outlet area_m2 slope_rad runoff",
    "sleeves": "sleeve building floor x_m y_m bore_m top_m length_m detail annulus_min_m annulus_max_m",
    "access": "panel building floor x_min_m y_min_m z_min_m x_max_m y_max_m z_max_m serves",
    "survey": "stub measured_at x_m y_m z_m uncertainty_m by instrument",
    "gauges": "gauge kind range_min_pa range_max_pa graduation_pa accuracy_fraction calibrated due "
    "certificate",
}
OTHER_NUMBERS = frozenset({"order", "hoist_order", "runoff", "supports", "accuracy_fraction"})
# Invented catalogue: nominal size in inches and bore [mm]; `P3` is 3 in.
PIPES = {
    "P1.25": ("1-1/4 in", 35.0),
    "P1.5": ("1-1/2 in", 41.0),
    "P2": ("2 in", 52.0),
    "P2.5": ("2-1/2 in", 63.0),
}
PIPES |= {f"P{n}": (f"{n} in", n * 25.5) for n in (3, 4, 5, 6, 8, 10, 12)}
PIPES |= {"DN100": ("DN100", 103.0), "ODD": ("110x5.3", 99.4)}
FIXTURE = {"wc": "wc_cistern", "lav": "lavatory", "bath": "bath", "shower": "shower", "sink": "kitchen_sink"}


def _is_number(column: str) -> bool:
    return column in OTHER_NUMBERS or (
        column.endswith(("_m", "_m2", "_rad", "_pa", "_s", "_c", "_m3s", "_m3h"))
        and column not in ("via_m", "outline_m")
    )


def frame(name: str, rows: Iterable[Mapping[str, Any]]) -> pd.DataFrame:
    """A table with all its columns; an unknown key is a mistake of the test."""
    columns = COLUMNS[name].split()
    listed = []
    for number, row in enumerate(rows, start=2):
        assert set(row) <= set(columns), set(row) - set(columns)
        empty = {c: float("nan") if _is_number(c) else "" for c in columns}
        listed.append({**empty, **row, "row": number})
    return pd.DataFrame(listed, columns=[*columns, "row"])


def tables(settings: Mapping[str, Any] | None = None, **rows: Iterable[Mapping[str, Any]]) -> JobTables:
    """A job's tables; one that is not named is empty."""
    frames: dict[str, Any] = {name: frame(name, rows.get(name, ())) for name in COLUMNS}
    return JobTables(**frames, settings=dict(settings or {}))


def nodes(kind: str, lines: str) -> list[dict[str, Any]]:
    """Node rows of a type; `fx:wc` is a private closet, `fx:wc:public` a public one."""
    rows = []
    for line in filter(None, (text.strip() for text in lines.splitlines())):
        name, what, x, y, z, *more = line.split()
        row: dict[str, Any] = {"type": kind, "revision": "A", "node": name, "kind": what}
        row |= {"x_m": float(x), "y_m": float(y), "z_m": float(z)}
        if what.startswith("fx:"):
            _, fixture, *use = what.split(":")
            row |= {"kind": "fixture", "fixture_kind": FIXTURE.get(fixture, fixture)}
            row |= {"use": use[0] if use else "private"}
        rows.append(row | dict(pair.split("=", 1) for pair in more))
    return rows


def runs(kind: str, lines: str) -> list[dict[str, Any]]:
    """Run rows of a type; a fixture's end without a port is its waste."""
    rows = []
    for line in filter(None, (text.strip() for text in lines.splitlines())):
        name, system, start, end, pipe = line.split()
        a, _, a_port = start.partition(".")
        b, _, b_port = end.partition(".")
        row = {"type": kind, "revision": "A", "run": name, "system": system, "from": a, "to": b, "pipe": pipe}
        rows.append(row | {"from_port": a_port, "to_port": b_port})
    return rows


def pipe_rows() -> list[dict[str, Any]]:
    """The invented catalogue."""
    return [
        {"pipe": name, "material": "cast iron", "nominal": nominal, "bore_m": bore / 1000, "od_m": bore / 900,
         "rating_pa": 1.0e5}
        for name, (nominal, bore) in PIPES.items()
    ]  # fmt: skip


def floor_rows(count: int, height_m: float = 3.0) -> list[dict[str, Any]]:
    """Floors 01 to `count`, and the roof."""
    names = [f"{n:02d}" for n in range(1, count + 1)] + ["RF"]
    return [
        {
            "building": "A",
            "floor": name,
            "order": float(n),
            "level_m": n * height_m,
            "slab_top_m": n * height_m,
        }
        for n, name in enumerate(names)
    ]


def model_of(job: JobTables) -> Model:
    """The design model."""
    where = placed(job)
    return design_model(where, joints_of(where))


def one_part(
    node_lines: str, run_lines: str, *, floors: int = 1, height_m: float = 3.0, **more: Any
) -> JobTables:
    """A building in one piece: everything drawn in one part that stands on the lowest floor."""
    settings = more.pop("settings", None)
    rows: dict[str, Any] = {
        "floors": floor_rows(floors, height_m),
        "pipes": pipe_rows(),
        "types": [{"type": "T", "revision": "A", "kind": "site_work"}],
        "nodes": nodes("T", node_lines),
        "runs": runs("T", run_lines),
        "parts": [
            {"part": "P", "type": "T", "type_revision": "A", "building": "A", "floor": "01", "to_floor": "RF",
             "x_m": 0.0, "y_m": 0.0, "z_m": 0.0, "yaw_rad": 0.0, "mirror": "none", "hoist_order": 1.0},
        ],
    }  # fmt: skip
    return tables(settings, **{**rows, **more})


MODULE_NODES = """
    S1 stub 0.5 0.5 0.05 facing=down pipe=P4 system=soil
    S2 stub 0.5 0.5 2.97 facing=up pipe=P4 system=soil
    ST tee 0.5 0.5 0.40
    BT tee 1.2 0.5 0.42
    WC fx:wc 1.6 0.5 0.43
    LT tee 1.2 1.0 0.44
    LV fx:lav 1.2 1.4 0.45
    V1 stub 0.8 0.5 0.05 facing=down pipe=P3 system=vent
    V2 stub 0.8 0.5 2.97 facing=up pipe=P3 system=vent
    VT tee 0.8 0.5 1.50
"""
MODULE_RUNS = """
    U soil S2 ST.a P4
    D soil ST.b S1 P4
    B soil BT.b ST.branch P4
    W soil WC.waste BT.a P3
    L waste LV.waste LT.a P1.25
    LB waste LT.b BT.branch P2
    LV1 vent LT.branch VT.branch P1.5
    VU vent V2 VT.a P3
    VD vent VT.b V1 P3
"""
GROUND_NODES = """
    S1 stub 0.5 0.5 0.02 facing=up pipe=P4 system=soil
    B1 bend 0.5 0.5 -0.80
    T1 tee 0.5 0.7 -0.804167
    OF outfall 0.5 8.5 -0.9666667
    V1 stub 0.8 0.5 0.02 facing=up pipe=P3 system=vent
    VB bend 0.8 0.7 -0.60
"""
GROUND_RUNS = """
    S soil S1 B1 P4
    D1 soil B1 T1.a P4
    D2 soil T1.b OF P4
    V vent V1 VB P3
    VX vent VB T1.branch P3
"""
ROOF_NODES = """
    S1 stub 0.5 0.5 0.05 facing=down pipe=P4 system=soil
    V1 stub 0.8 0.5 0.05 facing=down pipe=P3 system=vent
    T tee 0.5 0.5 0.60
    VT vent_terminal 0.5 0.5 1.20
"""
ROOF_RUNS = """
    S soil S1 T.b P4
    V vent V1 T.branch P3
    X soil T.a VT P4
"""


def tower(
    floors: int,
    *,
    stacks: int = 1,
    height_m: float = 3.0,
    mirror: str = "none",
    drain: str = "P4",
    **more: Any,
) -> JobTables:
    """Bath modules over each other: per floor a closet and a lavatory on a 4 in stack with a vent stack."""
    settings = more.pop("settings", None)

    def part(name: str, kind: str, floor: str, z: float, order: int, x: float) -> dict[str, Any]:
        return {"part": name, "type": kind, "type_revision": "A", "building": "A", "floor": floor,
                "x_m": x, "y_m": 0.0, "z_m": z, "yaw_rad": 0.0, "mirror": mirror,
                "hoist_order": float(order)}  # fmt: skip

    parts: list[dict[str, Any]] = []
    joints: list[dict[str, Any]] = []
    order = 0
    for stack in range(stacks):
        x = stack * 4.0
        column = [f"G{stack}", *(f"M{stack}-{n + 1:02d}" for n in range(floors)), f"R{stack}"]
        for low, high in pairwise(column):
            upper = "1" if low.startswith("G") else "2"
            joints += [
                {"joint": f"{k}{len(joints)}", "stub_a": f"{low}/{k}{upper}", "stub_b": f"{high}/{k}1"}
                for k in "SV"
            ]
        parts.append(part(f"G{stack}", "G", "01", 0.0, order, x))
        for n in range(floors):
            order += 1
            parts.append(part(f"M{stack}-{n + 1:02d}", "M", f"{n + 1:02d}", n * height_m, order, x))
        parts.append(part(f"R{stack}", "R", "RF", floors * height_m, order + 1, x))
    ground_runs = GROUND_RUNS.replace("P4", drain) if drain != "P4" else GROUND_RUNS
    rows: dict[str, Any] = {
        "floors": floor_rows(floors, height_m),
        "pipes": pipe_rows(),
        "types": [{"type": t, "revision": "A", "kind": k} for t, k in
                  (("M", "module"), ("G", "below_slab"), ("R", "site_work"))],
        "nodes": [*nodes("M", MODULE_NODES), *nodes("G", GROUND_NODES), *nodes("R", ROOF_NODES)],
        "runs": [*runs("M", MODULE_RUNS), *runs("G", ground_runs), *runs("R", ROOF_RUNS)],
        "parts": parts,
        "joints": joints,
        "risers": [{"riser": f"SS-{s}", "system": "soil", "through": f"M{s}-01/S1"} for s in range(stacks)],
    }  # fmt: skip
    return tables(settings, **{**rows, **more})


def stacked(
    stacks: Sequence[Sequence[Sequence[str]]],
    *,
    height_m: float = 3.0,
    fall: float = 1 / 96,
    pipes: Mapping[str, str] | None = None,
    vent_stacks: bool = False,
    roof_vents: bool = True,
    offset_above: int = -1,
    **more: Any,
) -> JobTables:
    """Stacks side by side on one building drain; `stacks[s][f]` lists the fixtures on floor f of stack s.

    The fixtures of a floor run into one branch. `pipes` gives the pipe of `stack`, `branch`, `fixture`,
    `drain`, `vent`; `offset_above` puts a horizontal offset of 2 m below that floor's branch.
    """
    pipe = {"stack": "P4", "branch": "P4", "fixture": "P3", "drain": "P4", "vent": "P3", **(pipes or {})}
    node_lines, run_lines = [], []
    floors = max(len(stack) for stack in stacks)
    for s, stack in enumerate(stacks):
        x, level = s * 6.0, -0.9 - fall * 6.0 * s
        node_lines += [f"F{s} bend {x} 0 {level + fall}", f"J{s} tee {x} 1 {level}"]
        run_lines.append(f"FD{s} soil F{s} J{s}.branch {pipe['drain']}")
        onward = f"J{s + 1}.a" if s + 1 < len(stacks) else "OF"
        run_lines.append(f"BD{s} soil J{s}.b {onward} {pipe['drain']}")
        below, shift = f"F{s}", 0.0
        for f, fixtures in enumerate(stack):
            z = f * height_m + 0.4
            if f == offset_above:
                node_lines += [f"O{s} bend {x} 0 {z - 1.0}", f"Q{s} bend {x} -2 {z - 1.0 + 2 * fall}"]
                run_lines += [
                    f"SO{s} soil O{s} {below} {pipe['stack']}",
                    f"OF{s} soil Q{s} O{s} {pipe['stack']}",
                ]
                below, shift = f"Q{s}", -2.0
            node_lines += [f"T{s}_{f} tee {x} {shift} {z}", f"B{s}_{f} tee {x + 1} {shift} {z + 0.03}"]
            run_lines.append(f"S{s}_{f} soil T{s}_{f}.b {below} {pipe['stack']}")
            run_lines.append(f"R{s}_{f} soil B{s}_{f}.b T{s}_{f}.branch {pipe['branch']}")
            for n, fixture in enumerate(fixtures):
                node_lines.append(f"X{s}_{f}_{n} fx:{fixture} {x + 2} {shift + n} {z + 0.1}")
                run_lines.append(f"D{s}_{f}_{n} soil X{s}_{f}_{n}.waste B{s}_{f}.a {pipe['fixture']}")
            below = f"T{s}_{f}.a"
        if roof_vents:
            node_lines.append(f"VT{s} vent_terminal {x} {shift} {len(stack) * height_m + 1.0}")
            run_lines.append(f"SV{s} soil VT{s} {below} {pipe['stack']}")
        if vent_stacks:
            node_lines += [
                f"VF{s} bend {x - 1} 1 {level + 0.3}",
                f"VB{s} vent_terminal {x - 1} 0 {floors * height_m + 1}",
            ]
            run_lines += [
                f"VX{s} vent VF{s} J{s}.branch_2 {pipe['vent']}",
                f"VS{s} vent VB{s} VF{s} {pipe['vent']}",
            ]
    node_lines.append(f"OF outfall {len(stacks) * 6.0} 1 {-0.9 - fall * 6.0 * len(stacks)}")
    return one_part("\n".join(node_lines), "\n".join(run_lines), floors=floors, height_m=height_m, **more)


def extended(job: JobTables, node_lines: str, run_lines: str, without: Sequence[str] = ()) -> JobTables:
    """A building of one part with more drawn in it, and without some of its runs."""
    old = {"nodes": job.nodes, "runs": job.runs[~job.runs["run"].isin(without)]}
    more = {"nodes": nodes("T", node_lines), "runs": runs("T", run_lines)}
    frames: dict[str, Any] = {}
    for name, rows in more.items():
        before: list[Any] = old[name].drop(columns="row").to_dict("records")
        frames[name] = frame(name, [*before, *rows])
    return replace(job, **frames)


def relieved(floors: int, relief_at: Sequence[int]) -> JobTables:
    """A stack with a vent stack, and relief vents below the branches of these floors (0 is the lowest)."""
    job = stacked([[["wc", "bath"]] * floors], vent_stacks=True)
    node_lines, run_lines, below = [], [], "VF0"
    for floor in sorted(relief_at):
        z = floor * 3.0 + 0.4
        node_lines += [f"Y{floor} tee 0 0 {z - 0.2}", f"YV{floor} tee -1 0 {z + 0.8}"]
        down = f"T0_{floor - 1}.a" if floor else "F0"
        run_lines += [
            f"S0_{floor} soil T0_{floor}.b Y{floor}.a P4",
            f"YS{floor} soil Y{floor}.b {down} P4",
            f"YY{floor} vent Y{floor}.branch YV{floor}.branch P3",
            f"YM{floor} vent YV{floor}.b {below} P3",
        ]
        below = f"YV{floor}.a"
    run_lines.append(f"VS0 vent VB0 {below} P3")
    drop = ["VS0", *(f"S0_{floor}" for floor in relief_at)]
    return extended(job, "\n".join(node_lines), "\n".join(run_lines), drop)


def ipc(amendments: Mapping[str, Mapping[str, Any]] | None = None) -> Rules:
    """The rules of a job that has chosen IPC 2021."""
    chosen = {"drainage": "ipc_2021", "tests": "ipc_2021", "supply": "ipc_2021"}
    return choose_rules({"rules": chosen}, amendments)


@pytest.fixture(scope="session")
def rules() -> Rules:
    return ipc()


@pytest.fixture(scope="session")
def build() -> SimpleNamespace:
    """The builders, for tests import nothing from each other."""
    makers = (tables, one_part, stacked, tower, extended, relieved, model_of, pipe_rows, floor_rows, ipc)
    return SimpleNamespace(**{maker.__name__: maker for maker in makers})
