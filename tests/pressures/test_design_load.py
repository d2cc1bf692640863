# SPDX-License-Identifier: Apache-2.0
"""Design load and pressure budget: loads gathered, demands not added, losses that add up."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.audit import nodes as tree_nodes
from riser.audit import replay_differences
from riser.errors import NotInRules
from riser.hydraulics.fittings import Fitting, loss_coefficient
from riser.hydraulics.friction import friction_factor
from riser.pressures import building_pressures, findings
from riser.pressures.design_load import design_load
from riser.pressures.explaining import explained_flowing, explained_static
from riser.pressures.water_net import DENSITY_KGM3

GPM = 231 * 0.0254**3 / 60
G = 9.80665


def row_of(pressures, node, port="cold"):
    placed = pressures.model.placed
    return next(r for r in pressures.rows if placed.node_id(r.outlet.node) == node and r.outlet.port == port)


def flow_into(pressures, run):
    """Design flow of a run by name [m3/s], and its load."""
    net, way = pressures.still.net, pressures.still.way
    link = next(n for n in range(len(net.u)) if net.name(n) == run)
    point = next(p for p in (int(net.u[link]), int(net.v[link])) if way.link[p] == link)
    return pressures.load.flow_m3s[point], pressures.load.units[point]


def test_demands_of_branches_are_not_added(buildings):
    # Four private lavatories at 0.5 wsfu cold each (Table E103.3(2), from memory): 2 wsfu are 5 gpm by Table
    # E103.3(3) (tank column, read at engineeringtoolbox.com/wsfu-gpm-d_1074.html); one alone takes the first
    # row, 3 gpm. Four times 3 gpm would be 12.
    pressures = building_pressures(buildings.tower(), buildings.rules)
    flow, units = flow_into(pressures, "P/R0")
    assert units == pytest.approx(2.0)
    assert flow / GPM == pytest.approx(5.0)
    flow, units = flow_into(pressures, "P/C4")
    assert units == pytest.approx(0.5)
    assert flow / GPM == pytest.approx(3.0)


HOT_NODES = """
MC mains_connection 0 0 0
T0 tee 0 2 0
HE heater 3 2 0
T1 tee 0 5 0.5
B1 bend 3 5 0.6
L1 fixture 1 5 0.5 fixture_kind=lavatory use=private
"""
HOT_RUNS = """
R0 cold MC T0.a CU28
R1 cold T0.b T1.a CU28
R2 cold T0.branch HE.in CU28
H1 hot HE.out B1 CU15
H2 hot B1 L1.hot CU15
C1 cold T1.branch L1.cold CU15
"""
MAIN = {"node": "P/MC", "kind": "mains", "static_pa": 3e5, "level_m": 0.0}


def test_a_pipe_that_serves_cold_and_hot_of_a_fixture_counts_it_by_its_total(buildings):
    # Private lavatory: cold 0.5, hot 0.5, total 0.7 wsfu (Table E103.3(2), from memory).
    pressures = building_pressures(buildings.drawn(HOT_NODES, HOT_RUNS, supplies=[MAIN]), buildings.rules)
    assert flow_into(pressures, "P/R2")[1] == pytest.approx(0.5)
    assert flow_into(pressures, "P/C1")[1] == pytest.approx(0.5)
    assert flow_into(pressures, "P/R0")[1] == pytest.approx(0.7)


def test_flush_valves_decide_by_their_own_column(buildings):
    # Public closet with flushometer valve: 10 wsfu (IPC 2021 E103.3(2), read); 27 gpm in the valve column.
    nodes = buildings.tower_nodes.replace(
        "fixture_kind=lavatory use=private", "fixture_kind=wc_flush_valve use=public"
    )
    pressures = building_pressures(
        buildings.drawn(nodes, buildings.tower_runs, supplies=[MAIN]), buildings.rules
    )
    flow, units = flow_into(pressures, "P/C4")
    assert units == pytest.approx(10)
    assert flow / GPM == pytest.approx(27.0)


def test_the_budget_of_one_pipe_is_what_a_hand_calculation_gives(buildings):
    # One lavatory on 15.0 m of CU28: 3 gpm, Darcy-Weisbach with Colebrook by hand, no fittings.
    nodes = "MC mains_connection 0 0 0\nL1 fixture 15 0 0 fixture_kind=lavatory use=private"
    model = buildings.drawn(nodes, "R0 cold MC L1.cold CU28", supplies=[MAIN])
    row = row_of(building_pressures(model, buildings.rules), "P/L1")
    velocity = 3 * GPM / (np.pi / 4 * 0.0262**2)
    factor = friction_factor(velocity * 0.0262 / 1.3064e-6, 1.5e-6 / 0.0262)
    loss_pa = factor * 15.0 / 0.0262 * velocity**2 / 2 * DENSITY_KGM3
    assert row.flowing_pa == pytest.approx(3e5 - loss_pa, rel=1e-5)


def test_a_bend_and_a_tee_cost_their_loss_coefficients(buildings):
    pressures = building_pressures(buildings.tower(), buildings.rules)
    net = pressures.still.net
    fittings = {net.name(n): net.fittings[n] for n in range(len(net.u))}
    elbow, straight = (loss_coefficient(f, 0.0262) for f in (Fitting.ELBOW_90, Fitting.TEE_RUN))
    assert fittings["P/R3"] == pytest.approx(elbow / 2 + straight / 2)
    assert fittings["P/C2"] == pytest.approx(loss_coefficient(Fitting.TEE_BRANCH, 0.0136))


def test_every_explained_pressure_equals_the_bulk_figure_and_replays(buildings):
    curves = [{"curve": "M", "flow_m3s": q, "pressure_pa": p} for q, p in ((0, 3e5), (0.002, 2e5))]
    nodes = buildings.tower_nodes + "V reducing_valve 0 5 4.5 setting_pa=150000\n"
    runs = buildings.tower_runs.replace(
        "R2 cold T2.b T3.a CU28", "R2 cold T2.b V.in CU28\nR2B cold V.out T3.a CU28"
    )
    model = buildings.drawn(nodes, runs, supplies=[MAIN | {"curve": "M"}], curves=curves)
    pressures = building_pressures(model, buildings.rules)
    for row in pressures.rows:
        static = explained_static(pressures, row.outlet.point)
        flowing = explained_flowing(pressures, row.outlet.point)
        assert static.number == pytest.approx(row.static_pa, rel=1e-12)
        assert flowing.number == pytest.approx(row.flowing_pa, rel=1e-9)
        assert not list(replay_differences(flowing))
    told = {node.name for node in tree_nodes(explained_flowing(pressures, pressures.rows[0].outlet.point))}
    assert {"loss in P/R0", "loss in P/C4", "head behind P/V"} <= told


def test_a_supply_with_a_curve_gives_less_at_design_flow(buildings):
    curves = [{"curve": "M", "flow_m3s": q, "pressure_pa": p} for q, p in ((0, 3e5), (0.001, 2e5))]
    without = row_of(building_pressures(buildings.tower(), buildings.rules), "P/L1")
    model = buildings.drawn(
        buildings.tower_nodes, buildings.tower_runs, supplies=[MAIN | {"curve": "M"}], curves=curves
    )
    with_curve = row_of(building_pressures(model, buildings.rules), "P/L1")
    # 5 gpm on a straight line of 1 bar per 1 L/s.
    assert without.flowing_pa - with_curve.flowing_pa == pytest.approx(5 * GPM / 0.001 * 1e5, rel=1e-9)


def test_a_set_without_procedure_or_tables_cannot_judge(buildings):
    pressures = building_pressures(buildings.tower(), buildings.rules)
    supply = buildings.rules.subject("supply")
    bare = replace(supply, tables={k: t for k, t in supply.tables.items() if k != "demand"})
    with pytest.raises(NotInRules, match="procedure"):
        design_load(bare, pressures.still.way, pressures.outlets, 10)


def test_a_fixture_the_set_has_no_row_for_is_told_and_not_counted_as_nothing(buildings):
    nodes = buildings.tower_nodes.replace(
        "L4 fixture 1 5 9.5 fixture_kind=lavatory use=private", "L4 fixture 1 5 9.5 fixture_kind=fan_coil"
    )
    model = buildings.drawn(nodes, buildings.tower_runs, supplies=[MAIN])
    told = [f for f in findings(model, buildings.rules) if f.code == "M03"]
    assert any("fan coil" in f.says or "fan_coil" in f.says for f in told)


@settings(max_examples=15, deadline=None)
@given(count=st.integers(1, 4), bore=st.sampled_from(["CU15", "CU28", "CU54"]))
def test_more_fixtures_never_leave_more_pressure_and_larger_pipes_never_less(buildings, count, bore):
    def first(fixtures, pipe):
        kept = [f"L{n}" for n in range(1, fixtures + 1)]
        nodes = "\n".join(
            line
            for line in buildings.tower_nodes.strip().splitlines()
            if not line.startswith("L") or line.split()[0] in kept
        )
        runs = "\n".join(
            line.replace("CU28", pipe)
            for line in buildings.tower_runs.strip().splitlines()
            if not line.startswith("C") or f"L{line[1]}" in kept
        )
        model = buildings.drawn(nodes, runs, supplies=[MAIN])
        return row_of(building_pressures(model, buildings.rules), "P/L1").flowing_pa

    assert first(count, bore) >= first(min(count + 1, 4), bore) - 1e-6
    assert first(count, "CU54") >= first(count, bore) - 1e-6
