# SPDX-License-Identifier: Apache-2.0
"""Parts placed in the building."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.network.placing import placed
from tests.building import node, of_type, run, stub, tables, two_storeys, with_cells

TALL = [
    stub("LOW", 1.0, 2.0, 0.0, "down", "CU22", "cold"),
    node("MID", "tee", 1.0, 2.0, 3.4),
    stub("TOP", 1.0, 2.0, 5.9, "up", "CU22", "cold"),
    stub("SIDE", 2.0, 2.0, 3.4, "+x", "CU22", "cold"),
]


def tall_job(mirror="none", yaw_rad=0.0):
    job = two_storeys()
    runs = [
        run("R1", "cold", "CU22", "LOW", "MID.a"),
        run("R2", "cold", "CU22", "MID.b", "TOP"),
        run("R3", "cold", "CU22", "MID.branch", "SIDE"),
    ]
    parts = [
        {
            "part": "T1", "type": "TT", "type_revision": "A", "building": "A", "floor": "01",
            "to_floor": "02",
            "x_m": 10.0, "y_m": 20.0, "z_m": 0.1, "yaw_rad": yaw_rad, "mirror": mirror, "hoist_order": 1,
        }
    ]  # fmt: skip
    return tables(
        floors=job.floors.drop(columns="row").to_dict("records"),
        pipes=job.pipes.drop(columns="row").to_dict("records"),
        types=[{"type": "TT", "revision": "A", "kind": "module"}],
        nodes=of_type("TT", "A", TALL),
        runs=of_type("TT", "A", runs),
        parts=parts,
    )


def test_an_unturned_part_is_only_shifted():
    where = placed(tall_job())
    assert where.node_xyz_m[where.node_numbers(["T1/LOW"])[0]] == pytest.approx([11.0, 22.0, 0.1])


def test_mirror_negates_x_before_yaw_turns_anticlockwise():
    where = placed(tall_job(mirror="x", yaw_rad=np.pi / 2))
    spot = where.node_xyz_m[where.node_numbers(["T1/LOW"])[0]]
    assert spot == pytest.approx([10.0 - 2.0, 20.0 - 1.0, 0.1])


def test_facings_turn_and_mirror_with_the_part():
    where = placed(tall_job(mirror="x", yaw_rad=np.pi / 2))
    side = where.facing(where.node_numbers(["T1/SIDE"]))[0]
    assert side == pytest.approx([0.0, -1.0, 0.0], abs=1e-12)
    up = where.facing(where.node_numbers(["T1/TOP"]))[0]
    assert up == pytest.approx([0.0, 0.0, 1.0])


@pytest.mark.parametrize(("stub_id", "floor"), [("T1/LOW", "01"), ("T1/MID", "02"), ("T1/TOP", "02")])
def test_nodes_of_a_tall_part_stand_on_the_floor_of_their_level(stub_id, floor):
    where = placed(tall_job())
    number = where.node_numbers([stub_id])[0]
    assert where.floors.name[where.node_floor[number]] == floor


def test_a_part_over_one_floor_keeps_its_nodes_on_that_floor_even_at_the_next_level():
    where = placed(two_storeys())
    assert where.floors.name[where.node_floor[where.node_numbers(["M1/CW2"])[0]]] == "01"


def test_ids_and_numbers_go_both_ways_and_strangers_get_minus_one():
    where = placed(two_storeys())
    ids = where.node_ids(np.arange(len(where.node_type)))
    assert list(where.node_numbers(ids)) == list(range(len(ids)))
    assert list(where.node_numbers(["M1/NO", "NO/SP1", "SP1", "/", ""])) == [-1] * 5


def test_floor_labels_name_the_building_only_where_two_have_the_floor():
    job = two_storeys()
    assert placed(job).floors.label(0) == "01"
    twice = with_cells(job, "floors", {"floor": "RF"}, building="B", floor="01")
    assert placed(twice).floors.label(0) == "A/01"


@settings(max_examples=30, deadline=None)
@given(
    yaw=st.floats(-10, 10),
    mirror=st.sampled_from(["none", "x"]),
    shift=st.tuples(*[st.floats(-500, 500)] * 3),
)
def test_placing_keeps_every_distance_and_level_difference(yaw, mirror, shift):
    job = with_cells(
        tall_job(),
        "parts",
        {"part": "T1"},
        yaw_rad=yaw,
        mirror=mirror,
        x_m=shift[0],
        y_m=shift[1],
        z_m=shift[2],
    )
    where = placed(job)
    flat = where.types.node_xyz_m
    step = flat[:, None] - flat[None, :]
    moved = where.node_xyz_m[:, None] - where.node_xyz_m[None, :]
    assert np.allclose(np.linalg.norm(step, axis=2), np.linalg.norm(moved, axis=2), atol=1e-9)
    assert np.allclose(step[..., 2], moved[..., 2], atol=1e-9)
