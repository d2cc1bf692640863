# SPDX-License-Identifier: Apache-2.0
"""The building without a fault: nothing is found in it, and it has what a demo must show."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping

import numpy as np
import pytest

from demo_project.build import Demo
from demo_project.edits import rows_of
from demo_project.faults import CANNOT_BE_JUDGED
from demo_project.towers import tower
from demo_project.writing import job_files
from riser.audit import Finding
from riser.network.joints import JointState, PieceKind
from riser.network.kinds import KIND_CODE
from riser.network.model import Model
from riser.network.risers import all_risers
from riser.network.systems import SYSTEMS
from riser.network.tracing import drain_ways, fire_ways, supply_ways

Rows = list[dict[str, str]]
Check = Callable[[Mapping[str, str]], dict[str, Finding]]
ModelOf = Callable[[Mapping[str, str]], Model]


@pytest.fixture(scope="module")
def model(demo: Demo, model_of: ModelOf) -> Model:
    return model_of(demo.sound)


def table(demo: Demo, name: str) -> Rows:
    return rows_of(demo.sound[f"{name}.csv"])[1]


def kind_of_type(demo: Demo) -> dict[str, str]:
    return {row["type"]: row["kind"] for row in table(demo, "types")}


def test_nothing_is_found_but_what_cannot_be_judged(demo: Demo, check: Check) -> None:
    assert set(check(demo.sound)) == set(CANNOT_BE_JUDGED)


def test_every_joint_is_scheduled_and_every_stub_joined_or_closed(model: Model) -> None:
    joints = model.joints
    assert joints.scheduled.all()
    assert set(joints.state.tolist()) == {JointState.JOINED, JointState.CLOSED}
    stubs = np.concatenate([joints.stub_a, joints.stub_b])
    assert sorted(stubs[stubs >= 0].tolist()) == sorted(model.placed.stubs.tolist())


def test_there_are_at_least_120_modules_of_at_least_eight_types_with_mirrored_pairs(demo: Demo) -> None:
    kinds = kind_of_type(demo)
    modules = [row for row in table(demo, "parts") if kinds[row["type"]] == "module"]
    assert len(modules) >= 120
    assert len({row["type"] for row in modules}) >= 8
    mirrored = Counter(row["type"] for row in modules if row["mirror"] == "x")
    straight = Counter(row["type"] for row in modules if row["mirror"] == "none")
    assert {"BA", "KL", "PT", "SM", "TM"} <= set(mirrored) & set(straight)


def test_parts_stand_turned_by_every_quarter(demo: Demo) -> None:
    assert {row["yaw [deg]"] for row in table(demo, "parts")} == {"0", "90", "180", "270"}


def test_two_towers_stand_on_a_podium_and_one_has_three_floors(demo: Demo) -> None:
    floors = Counter(row["building"] for row in table(demo, "floors") if row["floor"] != "RF")
    assert floors == {"P": 2, "A": 10, "B": 3}
    names = {b: {r["floor"] for r in table(demo, "floors") if r["building"] == b} for b in "AB"}
    assert {"03", "04", "05", "RF"} <= names["A"] & names["B"]


def test_there_are_three_shafts_and_each_has_all_twelve_kinds_of_riser(demo: Demo, model: Model) -> None:
    assert {row["shaft"] for row in table(demo, "shafts")} == {"S1", "S2", "S3"}
    named = [riser for riser in all_risers(model) if riser.is_named]
    assert Counter(riser.shaft for riser in named) == {"S1": 12, "S2": 12, "S3": 12}
    assert {riser.system.label for riser in named} == set(SYSTEMS)


def test_every_network_has_its_end_and_the_two_pressure_zones_have_their_own(demo: Demo) -> None:
    networks = {row["network"]: row["end"] for row in table(demo, "systems")}
    assert networks["cold-mains"] == "BG/MC1"
    assert networks["cold-boosted"] == "P01-04/TK"


def test_every_fixture_and_outlet_has_its_ways_home(model: Model) -> None:
    placed = model.placed
    drains, supply = drain_ways(model), supply_ways(model)
    ports = ("cold", "hot", "waste", "non_potable")
    for node in model.nodes_of_kind("fixture").tolist():
        points = np.flatnonzero(placed.point_node == node).tolist()
        for port, point in zip(ports, points, strict=True):
            way = drains if port == "waste" else supply
            if model.point_systems[point]:
                assert np.isfinite(way.distance_m[point]), placed.node_id(node)
    fire = fire_ways(model)
    outlets = model.nodes_of_kind("hose_valve", "sprinkler_branch")
    assert len(outlets) > 40
    assert np.isfinite(fire.distance_m[placed.point0[outlets]]).all()


@pytest.mark.parametrize(
    "kind",
    [
        "tank", "pump", "heater", "expansion_vessel", "meter", "strainer", "check_valve", "reducer", "trap",
        "backflow_preventer", "balancing_valve", "drain_cock", "air_vent", "cleanout", "vent_terminal",
        "roof_outlet", "fire_inlet", "mains_connection", "hose_valve", "sprinkler_branch", "guide",
        "expansion_piece",
    ],
)  # fmt: skip
def test_the_building_has_each_kind_of_device(model: Model, kind: str) -> None:
    assert np.any(model.node_kind == KIND_CODE[kind])


def test_make_ups_hold_spools_reducers_adapters_and_an_offset_piece(model: Model) -> None:
    pieces = model.joints.pieces
    special = {PieceKind.REDUCER, PieceKind.ADAPTER, PieceKind.OFFSET, PieceKind.CAP}
    assert special <= set(pieces.kind.tolist())
    assert np.count_nonzero(pieces.kind == PieceKind.OFFSET) == 1
    spools = pieces.length_m[pieces.kind == PieceKind.PIPE]
    assert np.count_nonzero((spools >= 0.2) & (spools <= 0.5)) > 300


def test_stacks_stand_elsewhere_below_the_transfer_floor(model: Model) -> None:
    where = {riser.name: riser for riser in all_risers(model)}
    for name in ("SS-1", "WS-2", "RW-3"):
        points = where[name].points
        xy = model.placed.node_xyz_m[model.placed.point_node[points], :2]
        assert 1.4 < float(np.linalg.norm(xy[-1] - xy[0])) < 1.8, name


def test_modules_are_joined_side_by_side_in_drain_and_supply(demo: Demo) -> None:
    level = {row["part"]: row["z [m]"] for row in table(demo, "parts")}
    beside = set()
    for row in table(demo, "joints"):
        a, b = (row[stub].partition("/")[0] for stub in ("stub_a", "stub_b"))
        if b and level[a] == level[b]:
            beside.add(row["joint"].rpartition("-")[2])
    assert {"SO", "WA", "CW", "HW", "NP", "VT", "CD", "EP", "FR", "ED"} <= beside


def test_one_shaft_module_reaches_over_two_storeys(demo: Demo) -> None:
    tall = [row for row in table(demo, "parts") if row["to_floor"]]
    assert [(row["part"], row["floor"], row["to_floor"]) for row in tall] == [("A05-01", "05", "06")]


def test_a_tee_made_on_site_has_three_stubs(demo: Demo) -> None:
    assert kind_of_type(demo)["TE"] == "site_work"
    nodes = rows_of(demo.sound["types/TE/A/nodes.csv"])[1]
    assert sum(row["kind"] == "stub" for row in nodes) == 3


def test_one_sleeve_is_passed_by_a_pipe_with_its_insulation(demo: Demo) -> None:
    sleeves = [row for row in table(demo, "sleeves") if row["detail"] == "FS-2 insulated"]
    assert [row["sleeve"] for row in sleeves] == ["SL-A06-HW1"]


def test_foundation_stubs_are_measured_within_five_millimetres(demo: Demo, model: Model) -> None:
    for row in table(demo, "survey"):
        node = int(model.placed.node_numbers([row["stub"]])[0])
        at = np.array([float(row[f"{axis} [m]"]) for axis in "xyz"])
        assert np.abs(at - model.placed.node_xyz_m[node]).max() <= 0.005 + 1e-9


def test_one_gauge_is_overdue_on_the_day_of_the_first_lift(demo: Demo) -> None:
    overdue = [row["gauge"] for row in table(demo, "gauges") if row["due"] < "2031-03-10"]
    assert overdue == ["LQ-G3"]


@pytest.mark.parametrize(
    ("storeys", "columns"),
    [
        (1, 1),
        (2, 3),
        (12, 3),
        pytest.param(30, 8, marks=pytest.mark.soak),
        pytest.param(40, 2, marks=pytest.mark.soak),
    ],
)
def test_a_tower_of_any_height_and_width_has_no_fault(storeys: int, columns: int, check: Check) -> None:
    assert set(check(job_files(tower(storeys, columns)))) == set(CANNOT_BE_JUDGED)
