# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.network.model import Model
from riser.network.systems import System
from riser.reports.riser_places import (
    NEAR_M,
    Shaft,
    distance_m,
    is_inside,
    joint_shafts,
    riser_joints,
    shaft_places,
)

L_SHAPE = np.array([[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]], dtype=float)
COORDINATE = st.floats(-3, 3).filter(lambda v: all(abs(v - edge) > 1e-6 for edge in (0, 1, 2)))


@settings(max_examples=100)
@given(COORDINATE, COORDINATE)
def test_a_place_is_in_an_angled_shaft_exactly_where_it_is_in_one_of_its_two_halves(
    x: float, y: float
) -> None:
    expected = (0 < x < 2 and 0 < y < 1) or (0 < x < 1 and 0 < y < 2)
    assert bool(is_inside(L_SHAPE, np.array([[x, y]]))[0]) is expected
    assert bool(distance_m(L_SHAPE, np.array([[x, y]]))[0] == 0.0) is expected


def test_the_distance_to_a_shaft_is_the_one_to_its_nearest_side_or_corner() -> None:
    away = distance_m(L_SHAPE, np.array([[3.0, 0.5], [1.5, 1.5], [5.0, 5.0], [-3.0, -4.0]]))
    assert np.allclose(away, [1.0, 0.5, 5.0, 5.0], atol=1e-12)


def test_a_joint_near_a_shaft_belongs_to_it_and_one_far_from_all_to_none() -> None:
    shafts = [Shaft("S1", "A", L_SHAPE), Shaft("S2", "B", L_SHAPE + 2.5)]
    plan = np.array([[0.5, 0.5], [2.4, 2.4], [2.0 + NEAR_M + 0.1, 0.0]])
    places = shaft_places(shafts, plan, ["A", "A", "A"])
    assert [(p.name, p.inside, p.words) for p in places] == [
        ("S1", True, "shaft S1"),
        ("S1", False, "near shaft S1"),
        ("", False, ""),
    ]


def test_no_shaft_is_no_place_and_no_joint_no_list() -> None:
    assert [p.name for p in shaft_places([], np.zeros((2, 2)), ["A", "A"])] == ["", ""]
    assert shaft_places([Shaft("S1", "A", L_SHAPE)], np.zeros((0, 2)), []) == []


def test_a_riser_lists_its_joints_from_foot_to_top(tower: Model) -> None:
    soil = riser_joints(tower, {int(System.SOIL)})
    assert [riser.name for riser in soil] == ["SO-S1", "SO-S2", "SO-S3"]
    ids = [str(tower.joints.id[n]) for n in soil[0].joints.tolist()]
    assert ids == ["J02-S1-SOIL", "J03-S1-SOIL"]


def test_the_named_riser_says_the_shaft_of_its_joints(tower: Model) -> None:
    soil = riser_joints(tower, {int(System.SOIL)})
    joints = np.concatenate([riser.joints for riser in soil])
    places = joint_shafts(tower, joints, [])
    assert [p.name for p in places] == ["S1", "S1", "S2", "S2", "S3", "S3"]
    assert all(p.inside for p in places)
