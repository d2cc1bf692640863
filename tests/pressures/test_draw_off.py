# SPDX-License-Identifier: Apache-2.0
"""Stated draw-offs: the network solved, fire demand by the rule set, what is asked and never saved."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.errors import InputErrors
from riser.hydraulics.friction import friction_factor
from riser.pressures import building_pressures, findings
from riser.pressures.draw_off import draw_off
from riser.pressures.fire_demand import fire_demand
from riser.pressures.water_net import DENSITY_KGM3
from riser.pressures.what_if import opened_outlets, with_main, with_settings
from riser.rules import choose_rules

GPM = 231 * 0.0254**3 / 60
PSI = 6894.757293168361
G = 9.80665
MAIN = {"node": "P/MC", "kind": "mains", "static_pa": 3e5, "level_m": 0.0}


def point_of(pressures, node):
    placed = pressures.model.placed
    return next(o.point for o in pressures.outlets if placed.node_id(o.node) == node)


def test_one_open_outlet_leaves_what_a_hand_calculation_gives(buildings):
    nodes = "MC mains_connection 0 0 0\nL1 fixture 15 0 0 fixture_kind=lavatory use=private"
    pressures = building_pressures(
        buildings.drawn(nodes, "R0 cold MC L1.cold CU15", supplies=[MAIN]), buildings.rules
    )
    flow = 0.0002
    drawn = draw_off(pressures.still.net, {point_of(pressures, "P/L1"): flow})
    velocity = flow / (3.141592653589793 / 4 * 0.0136**2)
    factor = friction_factor(velocity * 0.0136 / 1.3064e-6, 1.5e-6 / 0.0136)
    loss_pa = factor * 15.0 / 0.0136 * velocity**2 / 2 * DENSITY_KGM3
    assert drawn.pressure_pa[point_of(pressures, "P/L1")] == pytest.approx(3e5 - loss_pa, rel=1e-4)


@settings(max_examples=15, deadline=None)
@given(flow=st.floats(1e-5, 4e-4), more=st.floats(1e-5, 3e-4))
def test_what_is_drawn_arrives_and_drawing_more_leaves_less_everywhere(buildings, flow, more):
    pressures = building_pressures(buildings.tower(), buildings.rules)
    net, a, b = pressures.still.net, point_of(pressures, "P/L2"), point_of(pressures, "P/L4")
    one, two = draw_off(net, {a: flow}), draw_off(net, {a: flow, b: more})
    names = [net.name(n) for n in range(len(net.u))]
    assert one.flow_m3s[names.index("P/R0")] == pytest.approx(flow, rel=1e-6)
    assert two.flow_m3s[names.index("P/R0")] == pytest.approx(flow + more, rel=1e-6)
    for outlet in pressures.outlets:
        assert two.pressure_pa[outlet.point] <= one.pressure_pa[outlet.point] + 1e-3


def test_an_open_outlet_without_supply_is_named_as_unserved(buildings):
    nodes = buildings.tower_nodes + "V valve 0 5 4.5 normally=closed\n"
    runs = buildings.tower_runs.replace(
        "R2 cold T2.b T3.a CU28", "R2 cold T2.b V.in CU28\nR2B cold V.out T3.a CU28"
    )
    pressures = building_pressures(buildings.drawn(nodes, runs, supplies=[MAIN]), buildings.rules)
    lost, served = point_of(pressures, "P/L4"), point_of(pressures, "P/L1")
    drawn = draw_off(pressures.still.net, {lost: 0.0001, served: 0.0001})
    assert drawn.unserved == (lost,)


FIRE_NODES = """
FI fire_inlet 0 0 0
X tee 0 5 0
A1 tee 0 5 2
A2 tee 0 5 12
A3 bend 0 5 22
B1 tee 9 5 2
B2 bend 9 5 12
HA1 hose_valve 0.3 5 2
HA2 hose_valve 0.3 5 12
HA3 hose_valve 0.3 5 22
HB1 hose_valve 9.3 5 2
HB2 hose_valve 9.3 5 12
"""
FIRE_RUNS = """
F0 fire FI X.a ST100
FA1 fire X.b A1.a ST100
FA2 fire A1.b A2.a ST100
FA3 fire A2.b A3 ST100
FB1 fire X.branch B1.a ST100
FB2 fire B1.b B2 ST100
HA1R fire A1.branch HA1.in ST100
HA2R fire A2.branch HA2.in ST100
HA3R fire A3 HA3.in ST100
HB1R fire B1.branch HB1.in ST100
HB2R fire B2 HB2.in ST100
"""


def fire_building(buildings, static_bar, **more):
    supply = {"node": "P/FI", "kind": "fire_inlet", "static_pa": static_bar * 1e5, "level_m": 0.0}
    return buildings.drawn(FIRE_NODES, FIRE_RUNS, supplies=[supply], floors=8, **more)


def test_the_two_farthest_outlets_of_the_farthest_standpipe_and_one_of_the_next_are_open(buildings):
    # NFPA 14 7.10.1 (from memory): 500 gpm at the most remote standpipe, 250 gpm at each further one.
    pressures = building_pressures(fire_building(buildings, 12.0), buildings.rules)
    flows = fire_demand(pressures.still, pressures.outlets, buildings.rules)
    named = {
        pressures.model.placed.node_id(pressures.model.placed.point_node[p]): q for p, q in flows.items()
    }
    assert set(named) == {"P/HA3", "P/HA2", "P/HB2"}
    assert all(q == pytest.approx(250 * GPM) for q in named.values())


def test_a_fire_outlet_too_weak_is_told_with_flow_and_residual(buildings):
    # 100 psi = 6.89 bar at a 2-1/2 in outlet (NFPA 14 7.8.1, from memory).
    weak = [f for f in findings(fire_building(buildings, 8.0), buildings.rules) if f.code == "F11"]
    assert weak
    assert "6.89 bar required" in weak[0].says
    assert "15.8 L/s" in weak[0].says
    strong = findings(fire_building(buildings, 11.5), buildings.rules)
    assert [f.code for f in strong if f.code in ("F11", "F12")] == []


def test_a_fire_outlet_above_its_limit_is_told(buildings):
    # 175 psi = 12.07 bar (NFPA 14 7.2.3.2, from memory): 13 bar stand above it at 2 m, not at 22 m.
    told = [f for f in findings(fire_building(buildings, 13.0), buildings.rules) if f.code == "F12"]
    assert told
    assert "12.07 bar allowed" in told[0].says
    assert "08" not in {f.floor for f in told}


def test_a_fire_set_without_flows_cannot_be_judged(buildings):
    rules = choose_rules({"rules": {"supply": "ipc_2021"}})
    told = [f for f in findings(fire_building(buildings, 12.0), rules) if f.code == "M03"]
    assert any(f.says.startswith("Fire demand") for f in told)


def test_what_if_changes_the_answer_and_not_the_job(buildings):
    nodes = buildings.tower_nodes + "V reducing_valve 0 5 4.5 setting_pa=60000\n"
    runs = buildings.tower_runs.replace(
        "R2 cold T2.b T3.a CU28", "R2 cold T2.b V.in CU28\nR2B cold V.out T3.a CU28"
    )
    model = buildings.drawn(nodes, runs, supplies=[MAIN])

    def third(which):
        pressures = building_pressures(which, buildings.rules)
        return next(r.static_pa for r in pressures.rows if r.outlet.point == point_of(pressures, "P/L3"))

    before = third(model)
    assert third(with_settings(model, ["V=1.5bar"])) == pytest.approx(1.5e5 - DENSITY_KGM3 * G * 2.0, abs=0.1)
    assert third(with_main(model, "0.9 bar")) == pytest.approx(0.9e5 - DENSITY_KGM3 * G * 6.5, abs=0.1)
    assert third(model) == before


def test_what_if_names_what_it_does_not_know(buildings):
    model = buildings.tower()
    pressures = building_pressures(model, buildings.rules)
    with pytest.raises(InputErrors, match="reducing valve"):
        with_settings(model, ["V-3=3.5bar"])
    with pytest.raises(InputErrors, match="pressure"):
        with_main(model, "2.1 litres")
    with pytest.raises(InputErrors, match="outlet"):
        opened_outlets(pressures, ["P/NOPE"])


def test_an_opened_outlet_draws_its_own_flow_or_the_one_stated(buildings):
    # 0.8 gpm at a private lavatory (IPC 2018 Table 604.3, read).
    pressures = building_pressures(buildings.tower(), buildings.rules)
    point = point_of(pressures, "P/L4")
    assert opened_outlets(pressures, ["P/L4"]) == {point: pytest.approx(0.8 * GPM)}
    assert opened_outlets(pressures, ["P/L4=0.2L/s"]) == {point: pytest.approx(0.0002)}


def test_named_outlets_stand_beside_the_design_load(buildings):
    model = buildings.tower()
    asked = building_pressures(model, buildings.rules)
    opened = building_pressures(model, buildings.rules, opened_outlets(asked, ["P/L4=0.3 L/s"]))
    assert opened.drawn is not None
    for row in opened.rows:
        assert row.drawn_pa < row.static_pa
    assert [r.flowing_pa for r in opened.rows] == [r.flowing_pa for r in asked.rows]


def test_a_curve_that_turns_back_is_told_and_stops_nothing_else(buildings):
    curves = [{"curve": "M", "flow_m3s": q, "pressure_pa": p} for q, p in ((0, 2e5), (0.001, 3e5))]
    nodes, runs = buildings.tower_nodes, buildings.tower_runs
    model = buildings.drawn(nodes, runs, supplies=[MAIN | {"curve": "M"}], curves=curves)
    asked = building_pressures(model, buildings.rules)
    opened = building_pressures(model, buildings.rules, opened_outlets(asked, ["P/L4"]))
    assert opened.drawn is None
    assert any("turns back" in reason for _, reason in opened.lacks)
    assert all(row.static_pa > 0 for row in opened.rows)


def test_a_ring_gives_more_pressure_than_one_way_round(buildings):
    def residual(more_nodes, more_runs, bend):
        nodes = buildings.tower_nodes.replace("B4 bend", bend) + more_nodes
        runs = buildings.tower_runs.replace("R3 cold T3.b B4 CU28", "R3 cold T3.b B4.a CU28")
        runs = runs.replace("C4 cold B4 L4", "C4 cold B4.branch L4") + more_runs
        runs = runs.replace("R0 cold MC T1.a CU28", "R0 cold MC T0.a CU28\nR0B cold T0.b T1.a CU28")
        model = buildings.drawn(nodes + "T0 tee 0 4 0\n", runs, supplies=[MAIN])
        pressures = building_pressures(model, buildings.rules)
        point = point_of(pressures, "P/L4")
        return draw_off(pressures.still.net, {point: 0.0003}).pressure_pa[point]

    alone = residual("", "", "B4 tee")
    assert residual("", "RING cold B4.b T0.branch CU28\n", "B4 tee") > alone
