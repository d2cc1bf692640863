# SPDX-License-Identifier: Apache-2.0
"""Still water: hand-calculated heads, zones, shut valves, and what stands in a section under test."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.pressures import building_pressures, connection_pressures_pa, pressures_under_test_pa
from riser.pressures.draw_off import draw_off
from riser.pressures.water_net import DENSITY_KGM3

G = 9.80665


def row_of(pressures, node):
    return next(r for r in pressures.rows if pressures.model.placed.node_id(r.outlet.node) == node)


def with_device(buildings, kind, extra="", ports=("in", "out"), **more):
    """The tower with a device in its riser between the second and the third floor."""
    nodes = buildings.tower_nodes + f"V {kind} 0 5 4.5 {extra}\n"
    runs = buildings.tower_runs.replace(
        "R2 cold T2.b T3.a CU28",
        f"R2 cold T2.b V.{ports[0]} CU28\nR2B cold V.{ports[1]} T3.a CU28",
    )
    supply = {"node": "P/MC", "kind": "mains", "static_pa": 3e5, "level_m": 0.0}
    return buildings.drawn(nodes, runs, supplies=[supply], **more)


def test_a_main_loses_its_height_and_nothing_else(buildings):
    pressures = building_pressures(buildings.tower(), buildings.rules)
    for node, level in (("P/L1", 0.5), ("P/L4", 9.5)):
        assert row_of(pressures, node).static_pa == pytest.approx(3e5 - DENSITY_KGM3 * G * level, abs=0.01)


def test_a_reducing_valve_holds_its_setting_at_its_own_level(buildings):
    model = with_device(buildings, "reducing_valve", "setting_pa=100000")
    pressures = building_pressures(model, buildings.rules)
    below = row_of(pressures, "P/L2")
    above = row_of(pressures, "P/L3")
    assert below.static_pa == pytest.approx(3e5 - DENSITY_KGM3 * G * 3.5, abs=0.01)
    assert above.static_pa == pytest.approx(1e5 - DENSITY_KGM3 * G * (6.5 - 4.5), abs=0.01)
    assert pressures.zone_words(above.zone) == "behind reducing valve P/V"
    assert pressures.zone_words(below.zone) == "mains P/MC"


def test_a_reducing_valve_set_above_its_supply_adds_nothing(buildings):
    pressures = building_pressures(
        with_device(buildings, "reducing_valve", "setting_pa=900000"), buildings.rules
    )
    assert row_of(pressures, "P/L3").static_pa == pytest.approx(3e5 - DENSITY_KGM3 * G * 6.5, abs=0.01)


def test_a_pump_counts_with_its_gain_at_no_flow(buildings):
    curves = [
        {"curve": "B", "flow_m3s": q, "pressure_pa": p} for q, p in ((0, 2e5), (0.001, 1.5e5), (0.002, 0.5e5))
    ]
    model = with_device(buildings, "pump", devices=[{"node": "P/V", "curve": "B"}], curves=curves)
    pressures = building_pressures(model, buildings.rules)
    assert row_of(pressures, "P/L3").static_pa == pytest.approx(5e5 - DENSITY_KGM3 * G * 6.5, abs=0.01)


def test_a_shut_valve_leaves_what_is_behind_it_without_pressure(buildings):
    pressures = building_pressures(with_device(buildings, "valve", "normally=closed"), buildings.rules)
    assert np.isnan(row_of(pressures, "P/L3").static_pa)
    assert row_of(pressures, "P/L3").zone == -1
    assert row_of(pressures, "P/L2").static_pa > 0


def test_a_check_valve_lets_pressure_through_one_way_only(buildings):
    right = building_pressures(with_device(buildings, "check_valve"), buildings.rules)
    wrong = building_pressures(with_device(buildings, "check_valve", ports=("out", "in")), buildings.rules)
    assert row_of(right, "P/L4").static_pa == pytest.approx(3e5 - DENSITY_KGM3 * G * 9.5, abs=0.01)
    assert np.isnan(row_of(wrong, "P/L4").static_pa)


def test_the_stronger_of_two_supplies_decides(buildings):
    nodes = buildings.tower_nodes + "M2 mains_connection 0 9 0\nV check_valve 0 7 0\nT0 tee 0 4 0\n"
    runs = buildings.tower_runs.replace(
        "R0 cold MC T1.a CU28", "R0 cold MC T0.a CU28\nR0B cold T0.b T1.a CU28"
    )
    runs += "M2R cold M2 V.in CU28\nM2S cold V.out T0.branch CU28\n"
    for second, expected in ((2e5, 3e5), (5e5, 5e5)):
        supplies = [
            {"node": "P/MC", "kind": "mains", "static_pa": 3e5, "level_m": 0.0},
            {"node": "P/M2", "kind": "mains", "static_pa": second, "level_m": 0.0},
        ]
        pressures = building_pressures(buildings.drawn(nodes, runs, supplies=supplies), buildings.rules)
        assert row_of(pressures, "P/L1").static_pa == pytest.approx(
            expected - DENSITY_KGM3 * G * 0.5, abs=0.01
        )


def test_a_pump_in_a_ring_does_not_feed_itself(buildings):
    nodes = buildings.tower_nodes + "PU pump 2 5 0.5\n"
    runs = buildings.tower_runs.replace(
        "R3 cold T3.b B4 CU28", "R3 cold T3.b X4.a CU28\nR4 cold X4.b B4 CU28"
    )
    runs += "P1 cold X4.branch PU.in CU28\nP2 cold PU.out T0.branch CU28\n"
    runs = runs.replace("R0 cold MC T1.a CU28", "R0 cold MC T0.a CU28\nR0B cold T0.b T1.a CU28")
    nodes += "X4 tee 0 5 8\nT0 tee 0 4 0\n"
    curves = [{"curve": "C", "flow_m3s": q, "pressure_pa": p} for q, p in ((0, 4e4), (0.001, 1e4))]
    supply = {"node": "P/MC", "kind": "mains", "static_pa": 3e5, "level_m": 0.0}
    model = buildings.drawn(
        nodes, runs, supplies=[supply], curves=curves, devices=[{"node": "P/PU", "curve": "C"}]
    )
    pressures = building_pressures(model, buildings.rules)
    assert row_of(pressures, "P/L4").static_pa == pytest.approx(3e5 - DENSITY_KGM3 * G * 9.5, abs=0.01)


def test_the_solved_network_without_flow_agrees_with_still_water(buildings):
    for kind, extra in (("reducing_valve", "setting_pa=100000"), ("check_valve", ""), ("valve", "")):
        pressures = building_pressures(with_device(buildings, kind, extra), buildings.rules)
        solved = draw_off(pressures.still.net, {})
        for row in pressures.rows:
            assert solved.pressure_pa[row.outlet.point] == pytest.approx(row.static_pa, abs=1.0)


@settings(max_examples=20, deadline=None)
@given(static=st.floats(0.5, 12.0), setting=st.floats(0.2, 10.0))
def test_pressure_never_rises_through_a_reducing_valve(buildings, static, setting):
    nodes = buildings.tower_nodes + f"V reducing_valve 0 5 4.5 setting_pa={setting * 1e5}\n"
    runs = buildings.tower_runs.replace(
        "R2 cold T2.b T3.a CU28", "R2 cold T2.b V.in CU28\nR2B cold V.out T3.a CU28"
    )
    supply = {"node": "P/MC", "kind": "mains", "static_pa": static * 1e5, "level_m": 0.0}
    still = building_pressures(buildings.drawn(nodes, runs, supplies=[supply]), buildings.rules).still
    rows = {still.net.name(n): n for n in range(len(still.net.u))}
    valve = rows["P/V"]
    before, after = still.head_m[still.net.u[valve]], still.head_m[still.net.v[valve]]
    assert after <= before + 1e-9
    assert after <= still.net.setting_head_m(valve) + 1e-9


def test_a_section_under_test_has_more_pressure_below_the_gauge_and_less_above():
    # 998.2 kg/m3 at 20 degC, 9.80665 m/s2: 0.979 bar per 10 m (hydrostatics).
    found = pressures_under_test_pa(np.array([0.0, 10.0, 30.0]), 10.0, 1.0e6)
    assert found[1] == pytest.approx(1.0e6)
    assert found[0] == pytest.approx(1.0979e6, rel=1e-4)
    assert found[2] == pytest.approx(0.80422e6, rel=1e-4)


def test_every_connection_of_the_asked_joints_is_told(buildings):
    # A building of two parts, one joint between them.
    nodes = "MC mains_connection 0 0 0\nUP stub 0 0 3 facing=up pipe=CU28 system=cold"
    job = buildings.job(
        nodes,
        "R0 cold MC UP CU28",
        joints=[{"joint": "J1", "stub_a": "P/UP", "stub_b": ""}],
        closures=[{"joint": "J1", "order": 1, "kind": "cap", "family": "K"}],
        couplings=[{"family": "K", "pipe_a": "CU28", "pipe_b": "CU28", "gap_min_m": 0.0, "gap_max_m": 0.01}],
    )
    model = buildings.model(job)
    numbers, pressure = connection_pressures_pa(model, np.array([0]), 1.0, 10e5)
    assert [str(model.joints.connections.id[n]) for n in numbers] == [str(model.joints.connections.id[0])]
    assert pressure[0] == pytest.approx(10e5 - 998.2 * G * 2.0, rel=1e-4)


def test_every_node_has_its_static_pressure_and_the_lowest_rating_that_meets_there(buildings):
    # 25 bar pipes; a device of 2 bar between the second and the third floor.
    model = with_device(buildings, "valve", devices=[{"node": "P/V", "rating_pa": 2e5}])
    still = building_pressures(model, buildings.rules).still
    at = {name: int(model.placed.point0[model.placed.node_numbers([name])[0]]) for name in ("P/V", "P/T1")}
    assert still.rating_pa[at["P/V"]] == 2e5
    assert still.rating_pa[at["P/T1"]] == 25e5
    assert still.pressure_pa[at["P/V"]] == pytest.approx(3e5 - DENSITY_KGM3 * G * 4.5, abs=0.01)
