# SPDX-License-Identifier: Apache-2.0
"""The building as meant: every broken joint made, where both its stubs can be told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from riser.network.joints import JointState
from riser.network.model import Model


def mended(model: Model) -> Model:
    """The model as if its broken joints were made.

    Stubs that stand or look wrong are taken to meet; for a stub that is not there its part's stub is taken
    which geometry finds in its place. A joint of which only one stub can be told stays broken.
    """
    joints = model.joints
    stub_a, stub_b, state = joints.stub_a.copy(), joints.stub_b.copy(), joints.state.copy()
    taken = {*stub_a.tolist(), *stub_b.tolist()}
    for n in np.flatnonzero(joints.state == JointState.NO_STUB).tolist():
        there = int(max(stub_a[n], stub_b[n]))
        missing, text = (stub_a, joints.text_a[n]) if stub_a[n] < 0 else (stub_b, joints.text_b[n])
        found = int(joints.partner[there]) if there >= 0 else -1
        if found >= 0 and found not in taken and _part(model, found) == str(text).partition("/")[0]:
            missing[n] = found
            taken.add(found)
    whole = (stub_a >= 0) & (stub_b >= 0)
    state[np.isin(np.arange(len(state)), joints.broken) & whole] = JointState.JOINED
    made = replace(
        joints, stub_a=stub_a, stub_b=stub_b, state=state, axial_m=np.nan_to_num(joints.axial_m, nan=0.0)
    )
    return replace(model, joints=made)


def _part(model: Model, node: int) -> str:
    return str(model.placed.part_name[model.placed.node_part[node]])
