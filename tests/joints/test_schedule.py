# SPDX-License-Identifier: Apache-2.0
"""Schedule and geometry made into joints."""

from dataclasses import replace

import pytest

from riser.network.joints import JointState
from tests.building import model_of, two_storeys, with_cells, with_rows, without_rows


def joint(model, name):
    return model.joints.number[name]


def test_every_scheduled_joint_of_a_sound_building_is_joined_or_closed():
    joints = model_of(two_storeys()).joints
    assert set(joints.state.tolist()) == {JointState.JOINED, JointState.CLOSED}
    assert len(joints) == 9


def test_a_pair_without_a_schedule_row_is_named_after_its_stubs_whichever_way_round():
    model = model_of(without_rows(two_storeys(), "joints", joint="J5"))
    assert "M1/CW2+M2/CW1" in model.joints.number
    assert not model.joints.scheduled[joint(model, "M1/CW2+M2/CW1")]


def test_people_stand_on_the_lower_floor_and_above_the_ground_on_the_upper():
    model = model_of(two_storeys())
    floors, joints = model.placed.floors, model.joints
    assert floors.name[joints.works_on[joint(model, "J4")]] == "01"
    assert floors.name[joints.works_on[joint(model, "J1")]] == "01"
    assert floors.name[joints.works_on[joint(model, "J7")]] == "02"


def test_the_schedule_may_say_where_people_stand():
    model = model_of(with_cells(two_storeys(), "joints", {"joint": "J4"}, works_on="02"))
    assert model.placed.floors.name[model.joints.works_on[joint(model, "J4")]] == "02"


def test_a_joint_is_tested_with_the_floor_of_its_later_part():
    model = model_of(two_storeys())
    assert model.placed.floors.name[model.joints.tests_with[joint(model, "J4")]] == "02"
    late = with_cells(two_storeys(), "parts", {"part": "M1"}, hoist_order=9)
    model = model_of(late)
    assert model.placed.floors.name[model.joints.tests_with[joint(model, "J4")]] == "01"


@pytest.mark.parametrize(
    ("cells", "state"),
    [
        ({"x_m": 0.3}, JointState.APART),
        ({"z_m": 4.2}, JointState.APART),
        ({"x_m": 0.03}, JointState.JOINED),
    ],
)
def test_where_a_part_stands_decides_whether_its_joints_come_to_be(cells, state):
    model = model_of(with_cells(two_storeys(), "parts", {"part": "M2"}, **cells))
    assert model.joints.state[joint(model, "J4")] == state


def test_a_stub_turned_sideways_does_not_face_its_partner():
    model = model_of(with_cells(two_storeys(), "nodes", {"type": "RV", "node": "SP1"}, facing="+x"))
    assert model.joints.state[joint(model, "J7")] == JointState.NOT_FACING


def test_an_offset_piece_lets_a_joint_reach_as_far_sideways():
    job = with_cells(two_storeys(), "parts", {"part": "RV"}, x_m=0.1)
    assert model_of(job).joints.state[joint(model_of(job), "J7")] == JointState.APART
    job = with_cells(job, "closures", {"joint": "J7", "order": 2}, kind="offset", offset_m=0.1)
    model = model_of(job)
    assert model.joints.state[joint(model, "J7")] == JointState.JOINED


def test_connections_lie_where_the_laying_lengths_put_them():
    model = model_of(two_storeys())
    connections = model.joints.connections
    level = {str(c): float(z) for c, z in zip(connections.id, connections.xyz_m[:, 2], strict=True)}
    assert level["J4.1"] == pytest.approx(2.70075)
    assert level["J4.2"] == pytest.approx(3.19925)
    assert level["J5.1"] == pytest.approx(3.14)
    assert level["J8.1"] == pytest.approx(6.13)


def test_a_joint_without_a_make_up_has_one_connection_half_way():
    job = without_rows(two_storeys(), "closures", joint="J7")
    model = model_of(job)
    connections = model.joints.connections
    row = connections.id.tolist().index("J7.1")
    assert connections.piece[row] == -1
    assert connections.xyz_m[row, 2] == pytest.approx(5.85)
    assert "J7.2" not in connections.id.tolist()


def test_the_make_up_may_be_listed_in_any_order_of_rows():
    pieces = [
        {"joint": "J1", "order": 3, "kind": "coupling", "family": "NH"},
        {"joint": "J1", "order": 1, "kind": "coupling", "family": "NH"},
        {"joint": "J1", "order": 2, "kind": "pipe", "pipe": "CI100", "length_m": 0.097},
    ]
    job = with_rows(without_rows(two_storeys(), "closures", joint="J1"), "closures", *pieces)
    connections = model_of(job).joints.connections
    assert (connections.coupling[[0, 1]] >= 0).all()
    assert connections.xyz_m[0, 2] < connections.xyz_m[1, 2]


def test_a_job_without_a_schedule_finds_all_its_pairs_by_geometry():
    job = two_storeys()
    bare = replace(job, joints=job.joints.iloc[:0], absent=job.absent | {"joints.csv"})
    model = model_of(bare)
    assert len(model.joints.joined) == 7
    assert not model.joints.scheduled.any()
