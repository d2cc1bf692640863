# SPDX-License-Identifier: Apache-2.0
"""The building as meant, with its broken joints made."""

import numpy as np
import pytest

from riser.network.joints import JointState
from riser.network.mended import mended
from tests.building import model_of, two_storeys, with_cells

BASE = two_storeys()


def whole_edges(model):
    edges = model.edges
    return set(zip(edges.u.tolist(), edges.v.tolist(), edges.kind.tolist(), strict=True))


@pytest.mark.parametrize(
    "job",
    [
        with_cells(BASE, "joints", {"joint": "J4"}, stub_b="M2/SP9"),
        with_cells(BASE, "joints", {"joint": "J4"}, stub_a="M1/SP9"),
        with_cells(BASE, "nodes", {"type": "RV", "node": "SP1"}, facing="+x"),
        with_cells(BASE, "nodes", {"type": "RV", "node": "SP1"}, x_m=1.5),
    ],
    ids=["second stub missing", "first stub missing", "turned", "apart"],
)
def test_a_mended_building_hangs_together_as_the_sound_one(job):
    model = model_of(job)
    assert len(model.joints.broken)
    assert whole_edges(model) != whole_edges(model_of(BASE))
    whole = mended(model)
    assert not len(whole.joints.broken)
    assert whole_edges(whole) == whole_edges(model_of(BASE))
    assert np.isfinite(whole.edges.length_m).all()


def test_a_sound_building_is_left_as_it_is():
    model = model_of(BASE)
    assert mended(model).joints.state.tolist() == model.joints.state.tolist()
    assert whole_edges(mended(model)) == whole_edges(model)


def test_a_joint_of_which_only_one_stub_can_be_told_stays_broken():
    job = with_cells(BASE, "joints", {"joint": "J4"}, stub_b="M1/SP9")
    whole = mended(model_of(job))
    assert whole.joints.state[whole.joints.number["J4"]] == JointState.NO_STUB


def test_mending_changes_nothing_in_the_model_it_is_made_from():
    model = model_of(with_cells(BASE, "joints", {"joint": "J4"}, stub_b="M2/SP9"))
    before = model.joints.stub_b.copy(), model.joints.state.copy()
    mended(model)
    assert model.joints.stub_b.tolist() == before[0].tolist()
    assert model.joints.state.tolist() == before[1].tolist()
