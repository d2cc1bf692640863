# SPDX-License-Identifier: Apache-2.0
"""Small buildings from short lines of text, with every column the job folder has.

A node is `name kind x y z`, for a stub followed by `facing pipe system`, for a fixture by its kind. A run is
`name system from[.port] to[.port] pipe`, with corners behind `via`. Lines with a name that exists replace it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pandas as pd
import pytest

from riser.audit import Finding
from riser.joints.schedule import joints_of
from riser.layout import findings
from riser.network.model import Model, design_model, site_model
from riser.network.placing import placed
from riser.network.tables import JobTables
from riser.rules import Rules, RuleSet, Table
from riser.rules.table_reading import Edition, RawRow, RawTable, read_table

COLUMNS = {
    "floors": "building floor order level_m slab_top_m slab_thickness_m ceiling_m",
    "shafts": "shaft building outline_m",
    "risers": "riser system shaft through",
    "systems": "network system order end_kind end rule",
    "pipes": "pipe standard series material nominal od_m bore_m roughness_m ends max_temperature_c "
    "rating_pa source",
    "couplings": "family pipe_a pipe_b end_a end_b angle_max_rad gap_min_m gap_max_m insertion_m "
    "offset_max_m axial_max_m rating_pa wait_s restrained needs_access source",
    "types": "type revision kind size_x_m size_y_m size_z_m",
    "nodes": "type revision node kind x_m y_m z_m facing pipe end system fixture_kind use control normally "
    "may_bound_test setting",
    "runs": "type revision run system from from_port to to_port pipe via_m joined_from joined_to "
    "insulation_m hidden supports",
    "parts": "part type type_revision building floor to_floor x_m y_m z_m yaw_rad mirror "
    "hoist_order dwelling",
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
SUFFIXES = ("m", "rad", "pa", "s", "c", "m2", "m3s", "m3h", "fraction")
NUMBERS = ("order", "hoist_order", "runoff", "supports")
# Invented catalogue: name, nominal, outside diameter and bore [mm].
PIPES = (
    ("DN32", "DN32", 40, 34),
    ("DN40", "DN40", 48, 42),
    ("DN50", "DN50", 58, 51),
    ("DN80", "DN80", 83, 76),
    ("DN100", "DN100", 110, 103),
    ("DN150", "DN150", 160, 152),
    ("IN4", "4 in", 114.3, 102.3),
    ("ODD", "stack pipe", 110, 103),
    ("CU15", "15x1.0", 15, 13),
    ("CU22", "22x1.0", 22, 20),
    ("CU42", "42x1.5", 42, 39),
    ("ST100", "DN100", 114.3, 105.3),
    ("TRAY", "tray 100", 100, 98),
)


class Building:
    """A job under construction; `model()` builds it."""

    def __init__(self) -> None:
        self.rows: dict[str, list[dict[str, Any]]] = {name: [] for name in COLUMNS}
        for pipe, nominal, od, bore in PIPES:
            self.add("pipes", pipe=pipe, nominal=nominal, od_m=od / 1e3, bore_m=bore / 1e3)

    def add(self, table: str, **values: Any) -> None:
        """One row; columns not named are empty."""
        self.rows[table].append(values)

    def floors(self, count: int, height_m: float = 3.0, building: str = "A") -> None:
        """Floors 01, 02 ... and one row more for the roof."""
        for n in range(count + 1):
            name = f"{n + 1:02d}" if n < count else "RF"
            self.add("floors", building=building, floor=name, order=n + 1, level_m=n * height_m)

    def type(self, name: str, nodes: str, runs: str, kind: str = "module") -> None:
        """A part type drawn in lines of text."""
        self.add("types", type=name, revision="A", kind=kind)
        self.nodes(name, nodes)
        self.runs(name, runs)

    def nodes(self, type_name: str, lines: str) -> None:
        """Nodes of a type, added or replaced."""
        for line in filter(None, map(str.strip, lines.splitlines())):
            name, kind, x, y, z, *rest = line.split()
            row: dict[str, Any] = {"type": type_name, "revision": "A", "node": name, "kind": kind}
            row |= {"x_m": float(x), "y_m": float(y), "z_m": float(z)}
            if kind == "stub":
                row |= dict(zip(("facing", "pipe", "system"), rest, strict=True))
            elif kind == "fixture":
                row["fixture_kind"] = rest[0]
            self._put("nodes", "node", row)

    def runs(self, type_name: str, lines: str) -> None:
        """Runs of a type, added or replaced."""
        for line in filter(None, map(str.strip, lines.splitlines())):
            head, _, via = line.partition(" via ")
            name, system, start, end, pipe = head.split()
            row = {"type": type_name, "revision": "A", "run": name, "system": system, "pipe": pipe}
            row |= {"from": start.partition(".")[0], "from_port": start.partition(".")[2]}
            row |= {"to": end.partition(".")[0], "to_port": end.partition(".")[2], "via_m": via}
            self._put("runs", "run", row)

    def _put(self, table: str, key: str, row: dict[str, Any]) -> None:
        rows = self.rows[table]
        for place, other in enumerate(rows):
            if (other["type"], other[key]) == (row["type"], row[key]):
                rows[place] = row
                return
        rows.append(row)

    def drop(self, table: str, **values: Any) -> None:
        """Takes away the rows with these values; there must be one."""
        kept = [row for row in self.rows[table] if any(row.get(k) != v for k, v in values.items())]
        assert len(kept) < len(self.rows[table]), f"no row {values} in {table}"
        self.rows[table] = kept

    def change(self, table: str, where: dict[str, Any], **values: Any) -> None:
        """Sets values in the rows that fit `where`; there must be one."""
        fitting = [row for row in self.rows[table] if all(row.get(k) == v for k, v in where.items())]
        assert fitting, f"no row {where} in {table}"
        for row in fitting:
            row.update(values)

    def variant(self, part: str, name: str) -> None:
        """Gives one part a type of its own, drawn like the one it had."""
        old = next(row for row in self.rows["parts"] if row["part"] == part)
        kind = next(row for row in self.rows["types"] if row["type"] == old["type"])
        self.rows["types"].append({**kind, "type": name})
        for table in ("nodes", "runs"):
            drawn = [row for row in self.rows[table] if row["type"] == old["type"]]
            self.rows[table] += [{**row, "type": name} for row in drawn]
        old["type"] = name

    def part(
        self,
        name: str,
        type_name: str,
        floor: str,
        x: float = 0.0,
        y: float = 0.0,
        z: float = 0.0,
        *,
        yaw_deg: float = 0.0,
        mirror: bool = False,
        **more: Any,
    ) -> None:
        """A placed part."""
        place = {"x_m": x, "y_m": y, "z_m": z, "yaw_rad": math.radians(yaw_deg)}
        building = more.pop("building", "A")
        order = len(self.rows["parts"])
        self.add(
            "parts",
            part=name,
            type=type_name,
            type_revision="A",
            building=building,
            floor=floor,
            mirror="x" if mirror else "none",
            hoist_order=order,
            **place,
            **more,
        )

    def joint(self, name: str, a: str, b: str = "") -> None:
        """A scheduled joint; without a second stub a closed end."""
        self.add("joints", joint=name, stub_a=a, stub_b=b)

    def turned(self, yaw_deg: float, mirror: bool) -> None:
        """The same building mirrored, if told, and turned about the origin."""
        cos, sin = math.cos(math.radians(yaw_deg)), math.sin(math.radians(yaw_deg))
        for row in self.rows["parts"]:
            x, y = (-row["x_m"] if mirror else row["x_m"]), row["y_m"]
            row["x_m"], row["y_m"] = cos * x - sin * y, sin * x + cos * y
            own = -row["yaw_rad"] if mirror else row["yaw_rad"]
            row["yaw_rad"] = own + math.radians(yaw_deg)
            if mirror:
                row["mirror"] = "none" if row["mirror"] == "x" else "x"

    def tables(self) -> JobTables:
        """The job as the reader would hand it on."""
        frames: dict[str, Any] = {name: self._frame(name) for name in COLUMNS}
        return JobTables(**frames, settings={})

    def _frame(self, table: str) -> pd.DataFrame:
        rows = self.rows[table]
        columns: dict[str, Any] = {}
        for column in COLUMNS[table].split():
            values = [row.get(column) for row in rows]
            suffix = column.rpartition("_")[2]
            if column in NUMBERS or (suffix in SUFFIXES and column not in ("via_m", "outline_m")):
                columns[column] = np.array([np.nan if v is None else v for v in values], dtype=float)
            else:
                columns[column] = np.array(["" if v is None else v for v in values], dtype=object)
        return pd.DataFrame({**columns, "row": np.arange(2, len(rows) + 2)})

    def model(self, standing: tuple[str, ...] | None = None, unmade: tuple[str, ...] = ()) -> Model:
        """The finished building, or what stands of it."""
        parts = placed(self.tables())
        joints = joints_of(parts)
        if standing is None:
            return design_model(parts, joints)
        here, made = np.isin(parts.part_name, standing), ~np.isin(joints.id, unmade)
        return site_model(parts, joints, here, made, np.zeros(0, np.int32))

    def found(
        self,
        code: str = "",
        rules: Rules | None = None,
        standing: tuple[str, ...] | None = None,
        unmade: tuple[str, ...] = (),
    ) -> list[Finding]:
        """The findings whose code begins so; all of them without one."""
        every = findings(self.model(standing, unmade), RULES if rules is None else rules)
        return [f for f in every if f.code.startswith(code)]


# An invented code, so that no test rests on figures that change with an edition.
CODE = Edition("code_x", "Code X", "1")
PRACTICE = Edition("good_practice", "good practice", "")
LIMITS = (
    ("dead_end_length", 0.6, "m"),
    ("base_of_stack_diameters", 10, "diameters"),
    ("cleanout_at_stack_foot", True, "flag"),
    ("open_vent_required", True, "flag"),
    ("air_admittance_valve_allowed", True, "flag"),
    ("least_fall_condensate", 10, "mm/m"),
    ("least_fall_rainwater", 5, "mm/m"),
    ("potable_protected", True, "flag"),
    ("valve_at_riser_foot", True, "flag"),
    ("hot_distance_max", 15, "m"),
    ("fire_riser_lag_floors", 1, "count"),
)
PRACTICE_LIMITS = (
    ("cleanout_stack_foot_distance", 2, "m"),
    ("dead_leg_diameters", 2, "diameters"),
    ("valve_at_floor_branch", True, "flag"),
    ("drain_cock_at_low_point", True, "flag"),
    ("air_vent_at_high_point", True, "flag"),
    ("containment_clearance", 150, "mm"),
)
FALLS = ({"to": 50, "fall": 20}, {"from": 65, "to": 150, "fall": 10})
DISTANCES = ({"size": 40, "distance": 1.5}, {"size": 50, "distance": 2.4}, {"size": 100, "distance": 4})


def rule_table(edition: Edition, name: str, head: Mapping[str, Any], rows: list[dict[str, Any]]) -> Table:
    """A rule table as the loader would read it."""
    raw = [RawRow({"status": "memory", "source": "invented for tests", **row}, {}) for row in rows]
    return read_table(RawTable("x.toml", name, head, tuple(raw)), edition)


def limit_table(edition: Edition, limits: tuple[tuple[str, Any, str], ...]) -> Table:
    """A table of single figures; the clause of each is its name."""
    head = {"clause": "limits", "key": "limit", "columns": {"limit": "text", "value": "by row"}}
    rows = [{"limit": n, "value": v, "unit": u, "clause": f"clause {n}"} for n, v, u in limits]
    return rule_table(edition, "limits", head, rows)


def rules_with(
    left_out: tuple[str, ...] = (),
    subjects: tuple[str, ...] = ("drainage", "supply", "fire"),
    changed: tuple[tuple[str, Any, str], ...] = (),
    added: tuple[tuple[str, Mapping[str, Any], list[dict[str, Any]]], ...] = (),
) -> Rules:
    """The invented code and good practice, without some limits and tables, with others changed or added."""
    fall_head = {
        "clause": "Table 1",
        "key": ["from", "to"],
        "lookup": "bracket",
        "columns": {"from": "mm", "to": "mm", "fall": "mm/m"},
    }
    distance_head = {
        "clause": "Table 2",
        "key": ["size"],
        "lookup": "first_row_not_less",
        "columns": {"size": "mm", "distance": "m"},
    }
    severity_head = {"clause": "severities", "key": "code", "columns": {"code": "text", "severity": "text"}}
    limits = {row[0]: row for row in (*LIMITS, *changed) if row[0] not in left_out}
    tables = {
        "limits": limit_table(CODE, tuple(limits.values())),
        "least_fall": rule_table(CODE, "least_fall", fall_head, list(FALLS)),
        "trap_to_vent": rule_table(CODE, "trap_to_vent", distance_head, list(DISTANCES)),
        "severities": rule_table(
            CODE, "severities", severity_head, [{"code": "D03", "severity": "note", "clause": "3.3"}]
        ),
    }
    tables |= {name: rule_table(CODE, name, head, rows) for name, head, rows in added}
    kept = {name: table for name, table in tables.items() if name not in left_out}
    code = RuleSet("code_x", "Code X, edition 1", "Code X", "1", "", subjects, "", kept)
    practice = limit_table(PRACTICE, tuple(row for row in PRACTICE_LIMITS if row[0] not in left_out))
    good = RuleSet("good_practice", "good practice", "good practice", "", "", (), "", {"limits": practice})
    return Rules(dict.fromkeys(subjects, code), good)


RULES = rules_with()

# A bath module: a soil stack with closet, basin and shower, cold and hot risers with a floor branch behind a
# valve each, a hot return, a fire riser with a hose valve, and a cable tray.
MODULE_NODES = """
SP1 stub 0.5 0.5 0.05 down DN100 soil
SP2 stub 0.5 0.5 2.98 up DN100 soil
ST1 tee 0.5 0.5 0.40
ST2 tee 0.5 0.5 0.56
WC fixture 1.2 0.5 0.42 wc_cistern
WT tee 0.9 0.9 0.58
BA fixture 0.9 1.2 0.60 lavatory
SH fixture 1.5 0.9 0.61 shower
CW1 stub 0.7 0.5 0.05 down CU42 cold
CW2 stub 0.7 0.5 2.98 up CU42 cold
CT tee 0.7 0.5 0.30
CV valve 0.8 0.6 0.30
C1 tee 1.2 0.6 0.30
C2 tee 1.2 1.2 0.30
HW1 stub 0.7 0.3 0.05 down CU42 hot
HW2 stub 0.7 0.3 2.98 up CU42 hot
HT tee 0.7 0.3 0.20
HV valve 0.8 0.2 0.20
H1 tee 1.3 1.2 0.20
HR1 stub 0.9 0.3 0.05 down CU22 hot_return
HR2 stub 0.9 0.3 2.98 up CU22 hot_return
FR1 stub 0.2 0.5 0.05 down ST100 fire
FR2 stub 0.2 0.5 2.98 up ST100 fire
FT tee 0.2 0.5 1.20
HO hose_valve 0.2 0.8 1.20
PA guide 0.3 2.5 2.60
PB guide 2.7 2.5 2.60
"""
MODULE_RUNS = """
S1 soil SP2 ST2.a DN100
S2 soil ST2.b ST1.a DN100
S3 soil ST1.b SP1 DN100
S4 soil WC.waste ST1.branch DN100
W1 waste BA.waste WT.branch DN40
W2 waste SH.waste WT.a DN50
W3 waste WT.b ST2.branch DN50 via 0.5 0.9 0.57
C1 cold CW1 CT.a CU42
C2 cold CT.b CW2 CU42
C3 cold CT.branch CV.in CU22
C4 cold CV.out C1.a CU22
C5 cold C1.branch WC.cold CU15
C6 cold C1.b C2.a CU22
C7 cold C2.branch BA.cold CU15
C8 cold C2.b SH.cold CU15
H1 hot HW1 HT.a CU42
H2 hot HT.b HW2 CU42
H3 hot HT.branch HV.in CU22
H4 hot HV.out H1.a CU22
H5 hot H1.branch BA.hot CU15
H6 hot H1.b SH.hot CU15
R1 hot_return HR1 HR2 CU22
F1 fire FR1 FT.a ST100
F2 fire FT.b FR2 ST100
F3 fire FT.branch HO.in ST100
P1 power PA PB TRAY
"""
BELOW_NODES = """
SP1 stub 0.5 0.5 0.13 up DN100 soil
SP2 stub 5.5 0.5 0.13 up DN100 soil
CO1 cleanout 0.5 0.5 -0.20
CO2 cleanout 5.5 0.5 -0.20
B1 bend 0.5 0.5 -0.70
B2 bend 5.5 0.5 -0.60
T1 tee 0.5 2.5 -0.73
OF outfall 0.5 8.0 -0.80
MC mains_connection -3.0 0.5 -0.50
MV valve -2.5 0.5 -0.50
MT tee -2.0 0.5 -0.50
HX heater -2.0 0.3 -0.50
FI fire_inlet -3.0 0.5 0.80
"""
BELOW_RUNS = """
S1 soil SP1 CO1.a DN100
S2 soil CO1.b B1.a DN100
S3 soil B1.b T1.a DN100
S4 soil SP2 CO2.a DN100
S5 soil CO2.b B2.a DN100
S6 soil B2.b T1.branch DN100 via 5.5 2.5 -0.62
S7 soil T1.b OF DN100
M1 cold MC MV.in CU42
M2 cold MV.out MT.a CU42
M3 cold MT.branch HX.in CU42
M4 cold MT.b CWT1.a CU42
M5 cold CWT1.b CWT2.a CU42
M6 hot HX.out HWT1.a CU42
M7 hot HWT1.b HWT2.a CU42
M8 hot_return HX.return HRT1.a CU42
M9 hot_return HRT1.b HRT2.a CU42
F1 fire FI FRT1.a ST100 via -3.0 0.5 -0.60
F2 fire FRT1.b FRT2.a ST100
F3 fire FRT1.branch FR1 ST100
F4 fire FRT2.branch FR2 ST100
"""
# Riser feet: name, system, place in the module (x, y) and pipe.
FEET = (
    ("CW", "cold", 0.7, 0.5, "CU42"),
    ("HW", "hot", 0.7, 0.3, "CU42"),
    ("HR", "hot_return", 0.9, 0.3, "CU22"),
)
RISERS = ("SP", "CW", "HW", "HR", "FR")
WIDTH_M = 6.0


def _foot_lines(number: int) -> tuple[str, str]:
    """Under one column of modules: a tee on the main, a valve, a drain cock and the stub of each riser."""
    nodes, runs = [], []
    for name, system, inside_x, y, pipe in FEET:
        x = inside_x if number == 1 else WIDTH_M - inside_x
        k, n = f"{name}{number}", str(number)
        nodes += [f"{name}T{n} tee {x} {y} -0.5", f"{name}V{n} valve {x} {y} -0.3"]
        nodes += [f"{name}K{n} tee {x} {y} -0.2", f"{name}D{n} drain_cock {x + 0.03} {y} -0.2"]
        nodes += [f"{k} stub {x} {y} 0.13 up {pipe} {system}"]
        runs += [f"{k}a {system} {name}T{n}.branch {name}V{n}.in {pipe}"]
        runs += [f"{k}b {system} {name}V{n}.out {name}K{n}.a {pipe}"]
        runs += [f"{k}c {system} {name}K{n}.b {k} {pipe}"]
        runs += [f"{k}d {system} {name}K{n}.branch {name}D{n} {pipe}"]
    fire_x = 0.2 if number == 1 else WIDTH_M - 0.2
    nodes += [f"FR{number} stub {fire_x} 0.5 0.13 up ST100 fire", f"FRT{number} tee {fire_x} 0.5 -0.6"]
    return "\n".join(nodes), "\n".join(runs)


ROOF_NODES = """
SP1 stub 0.5 0.5 0.05 down DN100 soil
VT vent_terminal 0.5 0.5 0.60
CW1 stub 0.7 0.5 0.05 down CU42 cold
CA air_vent 0.7 0.5 0.30
HW1 stub 0.7 0.3 0.05 down CU42 hot
HT tee 0.7 0.3 0.20
HA air_vent 0.7 0.3 0.40
HR1 stub 0.9 0.3 0.05 down CU22 hot_return
FR1 stub 0.2 0.5 0.05 down ST100 fire
HO hose_valve 0.2 0.5 0.50
"""
ROOF_RUNS = """
S1 soil SP1 VT DN100
C1 cold CW1 CA CU42
H1 hot HW1 HT.a CU42
H2 hot HT.b HA CU42
R1 hot_return HR1 HT.branch CU22
F1 fire FR1 HO.in ST100
"""


def sound_house(floors: int = 3) -> Building:
    """Two columns of bath modules, the second mirrored, over one drain and one main; nothing is wrong.

    Parts are BG, M01-1, M01-2, M02-1 ... and R1, R2; joints J1-SP1 (column, riser, storey) and so on.
    """
    house = Building()
    house.floors(floors)
    house.type("MA", MODULE_NODES, MODULE_RUNS)
    house.type("BG", BELOW_NODES, BELOW_RUNS, "below_slab")
    house.type("RF", ROOF_NODES, ROOF_RUNS, "site_work")
    house.part("BG", "BG", "01")
    for number in (1, 2):
        nodes, runs = _foot_lines(number)
        house.nodes("BG", nodes)
        house.runs("BG", runs)
        x, mirror = (0.0, False) if number == 1 else (WIDTH_M, True)
        for floor in range(floors):
            z = 3.0 * floor + 0.15
            name = f"M{floor + 1:02d}-{number}"
            dwelling = f"{floor + 1}.{number}"
            house.part(name, "MA", f"{floor + 1:02d}", x, 0.0, z, mirror=mirror, dwelling=dwelling)
        house.part(f"R{number}", "RF", "RF", x, 0.0, 3.0 * floors + 0.15, mirror=mirror)
        column = [f"M{floor + 1:02d}-{number}" for floor in range(floors)] + [f"R{number}"]
        for riser in RISERS:
            below = f"BG/{riser}{number}"
            for storey, part in enumerate(column):
                house.joint(f"J{number}-{riser}{storey + 1}", below, f"{part}/{riser}1")
                below = f"{part}/{riser}2"
    return house


@pytest.fixture
def house() -> Building:
    """A sound building of three floors."""
    return sound_house()


@pytest.fixture(scope="session")
def new_house() -> Callable[..., Building]:
    """Makes sound buildings, for tests that need several."""
    return sound_house


@pytest.fixture(scope="session")
def new_building() -> Callable[[], Building]:
    """Makes empty jobs, for tests that draw their own."""
    return Building


@pytest.fixture(scope="session")
def with_rules() -> Callable[..., Rules]:
    """Makes rules that lack some limits, tables or subjects, or have other figures."""
    return rules_with
