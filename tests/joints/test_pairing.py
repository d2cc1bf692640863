# SPDX-License-Identifier: Apache-2.0
"""The geometric witness."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.joints.pairing import pairing

UP, DOWN = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)


def pair(spots, facings, parts, systems=None, pipes=None, across=0.04, along=0.55):
    count = len(spots)
    return pairing(
        np.array(spots, float),
        np.array(facings, float),
        np.array(parts),
        np.array(systems or [0] * count),
        np.array(pipes or [0] * count),
        across,
        along,
    )


def test_two_stubs_that_face_each_other_are_a_pair():
    found = pair([(0, 0, 0), (0.01, 0, 0.3)], [UP, DOWN], [1, 2])
    assert found.partner.tolist() == [1, 0]


def test_stubs_of_one_part_are_no_pair():
    assert pair([(0, 0, 0), (0, 0, 0.3)], [UP, DOWN], [1, 1]).partner.tolist() == [-1, -1]


def test_stubs_that_look_away_from_each_other_are_no_pair():
    assert pair([(0, 0, 0), (0, 0, 0.3)], [DOWN, UP], [1, 2]).partner.tolist() == [-1, -1]


def test_reach_across_and_along_ends_where_it_is_said_to_end():
    for x, z, paired in [(0.0399, 0.5, True), (0.0401, 0.5, False), (0, 0.5499, True), (0, 0.5501, False)]:
        assert bool(pair([(0, 0, 0), (x, 0, z)], [UP, DOWN], [1, 2]).partner[0] == 1) is paired


def test_stubs_drawn_a_little_into_each_other_are_still_a_pair():
    assert pair([(0, 0, 0), (0, 0, -0.02)], [UP, DOWN], [1, 2]).partner[0] == 1
    assert pair([(0, 0, 0), (0, 0, -0.06)], [UP, DOWN], [1, 2]).partner[0] == -1


def test_the_nearer_of_two_candidates_wins_and_the_other_stays_alone():
    found = pair([(0, 0, 0), (0.005, 0, 0.2), (0.03, 0, 0.2)], [UP, DOWN, DOWN], [1, 2, 3])
    assert found.partner.tolist() == [1, 0, -1]


def test_two_equally_good_candidates_are_a_tie_and_none_is_taken():
    found = pair([(0, 0, 0), (0.01, 0, 0.2), (-0.01, 0, 0.2)], [UP, DOWN, DOWN], [1, 2, 3])
    assert found.partner.tolist() == [-1, -1, -1]
    assert found.rival[0] in (1, 2)


def test_a_tie_is_decided_by_the_same_system():
    found = pair([(0, 0, 0), (0.01, 0, 0.2), (-0.01, 0, 0.2)], [UP, DOWN, DOWN], [1, 2, 3], [5, 5, 6])
    assert found.partner.tolist() == [1, 0, -1]


def test_a_leaning_stub_is_paired_with_its_plumb_partner():
    lean = (np.sin(np.deg2rad(3)), 0, np.cos(np.deg2rad(3)))
    assert pair([(0, 0, 0), (0.01, 0, 0.2)], [lean, DOWN], [1, 2]).partner.tolist() == [1, 0]


def test_a_leaning_stub_is_paired_whichever_of_the_two_is_told_first():
    lean = (np.sin(np.deg2rad(6)), 0, np.cos(np.deg2rad(6)))
    assert pair([(0, 0, 0), (0, 0, 0.5)], [lean, DOWN], [1, 2]).partner.tolist() == [1, 0]
    assert pair([(0, 0, 0.5), (0, 0, 0)], [DOWN, lean], [2, 1]).partner.tolist() == [1, 0]


def test_a_stub_that_leans_changes_nothing_for_the_others():
    for lean in (-6, 6):
        aside = (np.sin(np.deg2rad(lean)), 0, np.cos(np.deg2rad(lean)))
        spots = [(9, 0, 0), (0, 0, 0), (0, 0, 0.54), (1, 0, 0), (1.03, 0, 0.54)]
        found = pair(spots, [aside, UP, DOWN, UP, DOWN], [9, 1, 2, 3, 4])
        assert found.partner.tolist() == [-1, 2, 1, 4, 3]


def test_no_stubs_give_no_pairs():
    assert len(pair(np.zeros((0, 3)), np.zeros((0, 3)), []).partner) == 0


def random_stack(seed, count=40):
    """Stubs of two layers of parts at random places, some of them facing each other."""
    random = np.random.default_rng(seed)
    plan = np.round(random.uniform(0, 4, (count, 2)), 3)
    low = np.column_stack([plan, np.zeros(count)])
    high = np.column_stack([plan + random.normal(0, 0.02, (count, 2)), random.uniform(0, 0.5, count)])
    spots = np.vstack([low, high])
    facings = np.vstack([np.tile(UP, (count, 1)), np.tile(DOWN, (count, 1))])
    return spots, facings, np.repeat([1, 2], count)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), yaw=st.floats(-4, 4))
def test_order_of_stubs_and_turning_the_building_change_no_pair(seed, yaw):
    spots, facings, parts = random_stack(seed)
    first = pair(spots, facings, parts).partner
    shuffle = np.random.default_rng(seed).permutation(len(spots))
    turn = np.array([[np.cos(yaw), -np.sin(yaw), 0], [np.sin(yaw), np.cos(yaw), 0], [0, 0, 1]])
    second = pair(spots[shuffle] @ turn.T, facings[shuffle] @ turn.T, parts[shuffle]).partner
    back = np.full(len(spots), -1)
    back[shuffle] = np.where(second >= 0, shuffle[second], -1)
    assert back.tolist() == first.tolist()


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_pairs_are_mutual_and_within_reach_of_a_plain_search(seed):
    spots, facings, parts = random_stack(seed)
    partner = pair(spots, facings, parts).partner
    for a, b in enumerate(partner.tolist()):
        if b < 0:
            continue
        assert partner[b] == a
        step = spots[b] - spots[a]
        along = step @ facings[a]
        assert -0.05 <= along <= 0.55
        assert np.linalg.norm(step - along * facings[a]) <= 0.04 + 1e-12
