# SPDX-License-Identifier: Apache-2.0
"""Ways home, what cuts them, and what hangs together."""

import networkx as nx
import numpy as np
import pytest

from riser.network.risers import all_risers, chains
from riser.network.systems import FOUL, SUPPLY, System
from riser.network.tracing import drain_ways, fire_ways, labels, run_flow, supply_ways
from riser.network.views import graph_view, riser_view, system_view
from tests.building import model_of, run, two_storeys, with_cells, with_rows, without_rows


def fixture_point(model, name, group):
    number = model.placed.node_numbers([name])[0]
    return model.placed.point0[number] + group


def test_the_way_from_a_fixture_to_the_outfall_is_as_long_as_its_pipes():
    model = model_of(two_storeys())
    way = drain_ways(model)
    branch = float(np.hypot(0.7, 0.02))
    down = 0.35 + 0.1 + 0.8 + float(np.hypot(8.0, 0.1))
    assert way.distance_m[fixture_point(model, "M1/WC", 2)] == pytest.approx(branch + down, abs=1e-4)


def test_cold_water_reaches_the_closet_and_fire_water_the_hose_valve():
    model = model_of(two_storeys())
    assert np.isfinite(supply_ways(model).distance_m[fixture_point(model, "M2/WC", 0)])
    assert np.isfinite(fire_ways(model).distance_m[fixture_point(model, "M2/HV", 0)])


def test_a_joint_out_of_reach_cuts_off_all_that_is_above_and_is_named_as_the_cut():
    job = with_cells(two_storeys(), "parts", {"part": "M2"}, x_m=0.3)
    model = model_of(job)
    way = drain_ways(model)
    point = fixture_point(model, "M2/WC", 2)
    assert np.isinf(way.distance_m[point])
    assert model.joints.id[way.cut_by[point]] == "J4"
    assert way.cut_by[fixture_point(model, "M1/WC", 2)] == -1


def test_of_two_cuts_on_one_way_the_one_nearer_home_is_named():
    job = with_cells(two_storeys(), "parts", {"part": "M2"}, x_m=0.3)
    job = with_cells(job, "parts", {"part": "M1"}, y_m=0.9)
    model = model_of(job)
    way = drain_ways(model)
    assert model.joints.id[way.cut_by[fixture_point(model, "M2/WC", 2)]] == "J1"


def test_a_stub_that_is_not_drawn_still_names_the_joint_that_waits_for_it():
    job = with_cells(two_storeys(), "joints", {"joint": "J4"}, stub_b="M2/SP9")
    model = model_of(job)
    way = drain_ways(model)
    assert model.joints.id[way.cut_by[fixture_point(model, "M2/WC", 2)]] == "J4"


def test_water_flows_with_the_drawn_direction_or_against_it():
    model = model_of(two_storeys())
    flow = run_flow(model, drain_ways(model))
    by_id = {model.placed.run_id(n): flow[n] for n in range(len(flow))}
    assert by_id["M1/S2"] == 1
    assert by_id["M1/S1"] == 1
    turned = with_cells(two_storeys(), "runs", {"run": "S2", "type": "BG"}, **{"from": "OF", "to": "B1"})
    model = model_of(turned)
    flow = run_flow(model, drain_ways(model))
    assert {model.placed.run_id(n): flow[n] for n in range(len(flow))}["BG/S2"] == -1


def test_pieces_found_on_arrays_are_those_networkx_finds():
    model = model_of(two_storeys())
    for systems in (FOUL, SUPPLY, frozenset({System.FIRE})):
        label = labels(model, systems)
        graph = graph_view(model, model.edges_of(systems))
        for piece in nx.connected_components(graph):
            assert len({label[p] for p in piece}) == 1
        assert len(
            {label[next(iter(p))] for p in nx.connected_components(graph)}
        ) == nx.number_connected_components(graph)


def test_two_parallel_pipes_are_two_edges_and_still_one_way():
    job = with_rows(
        two_storeys(),
        "runs",
        {**run("S9", "soil", "CI100", "B1", "OF", via_m="3 3 -0.75"), "type": "BG", "revision": "A"},
    )
    model = model_of(job)
    graph = system_view(model, System.SOIL)
    assert (
        nx.number_of_edges(graph) == nx.number_of_edges(system_view(model_of(two_storeys()), System.SOIL)) + 1
    )
    way = drain_ways(model)
    assert way.distance_m[fixture_point(model, "M1/WC", 2)] < 10.0


def test_the_soil_stack_runs_from_the_ground_through_both_floors_to_the_roof():
    model = model_of(two_storeys())
    stack = next(r for r in all_risers(model) if r.name == "SS-1")
    assert stack.shaft == "S1"
    graph = riser_view(model, stack)
    joints = [key for *_, key, data in graph.edges(keys=True, data=True) if data["kind"] == "joint"]
    assert joints == ["J1", "J4", "J7"]
    levels = [model.placed.node_xyz_m[model.placed.point_node[p], 2] for p in stack.points.tolist()]
    assert levels == sorted(levels)


def test_a_stack_shifted_on_a_floor_stays_one_stack_with_its_offset():
    job = two_storeys()
    job = with_cells(job, "nodes", {"type": "MA", "node": "SP1"}, x_m=2.0)
    job = with_rows(
        job, "nodes",
        {"type": "MA", "revision": "A", "node": "O1", "kind": "bend", "x_m": 0.5, "y_m": 0.5, "z_m": 0.25},
        {"type": "MA", "revision": "A", "node": "O2", "kind": "bend", "x_m": 2.0, "y_m": 0.5, "z_m": 0.20},
    )  # fmt: skip
    job = without_rows(job, "runs", type="MA", run="S2")
    extra = [
        run("S2", "soil", "CI100", "ST.b", "O1"),
        run("S2b", "soil", "CI100", "O1", "O2"),
        run("S2c", "soil", "CI100", "O2", "SP1"),
    ]
    job = with_rows(job, "runs", *({**r, "type": "MA", "revision": "A"} for r in extra))
    job = with_cells(job, "nodes", {"type": "BG", "node": "SP1"}, x_m=2.0)
    job = with_cells(job, "parts", {"part": "M2"}, x_m=-1.5)
    model = model_of(job)
    stacks = chains(model, System.SOIL)
    assert len(stacks) == 1
    kinds = {
        model.placed.run_id(model.edges.ref[e]) for e in stacks[0].edges.tolist() if model.edges.kind[e] == 0
    }
    assert "M1/S2b" in kinds


def test_turning_the_whole_building_changes_no_way():
    model = model_of(two_storeys())
    turned = two_storeys()
    turned = with_cells(turned, "parts", {}, yaw_rad=2.1)
    other = model_of(turned)
    assert np.allclose(
        np.nan_to_num(drain_ways(model).distance_m, posinf=-1),
        np.nan_to_num(drain_ways(other).distance_m, posinf=-1),
    )


def test_what_a_sump_lifts_runs_on_to_the_outfall_and_not_back_into_the_sump():
    job = with_rows(
        two_storeys(), "nodes",
        {"type": "BG", "revision": "A", "node": "SU", "kind": "sump", "x_m": 0.5, "y_m": 4.0, "z_m": -1.2},
    )  # fmt: skip
    job = without_rows(job, "runs", type="BG", run="S2")
    extra = [run("S2", "soil", "CI100", "B1", "SU.in"), run("S3", "soil", "CI100", "SU.out", "OF")]
    model = model_of(with_rows(job, "runs", *({**r, "type": "BG", "revision": "A"} for r in extra)))
    flow = run_flow(model, drain_ways(model))
    by_id = {model.placed.run_id(n): flow[n] for n in range(len(flow))}
    assert by_id["BG/S2"] == 1
    assert by_id["BG/S3"] == 1
