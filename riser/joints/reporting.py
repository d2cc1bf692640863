# SPDX-License-Identifier: Apache-2.0
"""Making a finding about a joint or a stub: its place, key and what it rests on."""

from __future__ import annotations

import numpy as np

from riser.audit.finding import Finding, FindingKind
from riser.network.items import rests_on
from riser.network.model import Model
from riser.network.types import Flags
from riser.network.where import Place, joint_place, node_place


def _finding(
    kind: FindingKind,
    items: tuple[str, ...],
    place: Place,
    says: str,
    remedy: str,
    rests: tuple[tuple[str, str], ...],
    because: str | None,
) -> Finding:
    return Finding(
        code=kind.code,
        name=kind.name,
        severity=kind.severity,
        items=items,
        floor=place.floor,
        building=place.building,
        system=place.system,
        where=place.words,
        says=says,
        remedy=remedy or kind.remedy,
        basis=kind.basis,
        because=because,
        rests_on=rests,
    )


def joint_finding(
    model: Model,
    kind: FindingKind,
    joint: int,
    says: str,
    *,
    items: tuple[str, ...] = (),
    remedy: str = "",
    because: str | None = None,
) -> Finding:
    """A finding about one joint; `items` replaces the joint id where something finer is meant."""
    names = items or (str(model.joints.id[joint]),)
    rests = rests_on(model, joints=(joint,))
    return _finding(kind, names, joint_place(model, joint), says, remedy, rests, because)


def stub_finding(
    model: Model,
    kind: FindingKind,
    node: int,
    says: str,
    *,
    others: tuple[int, ...] = (),
    remedy: str = "",
    because: str | None = None,
) -> Finding:
    """A finding about a stub or another node; `others` are further nodes it is about."""
    names = tuple(model.placed.node_id(n) for n in (node, *others))
    rests = rests_on(model, nodes=(node, *others))
    return _finding(kind, names, node_place(model, node), says, remedy, rests, because)


def both_stand(model: Model) -> Flags:
    """Per joint, whether every stub it has belongs to a part that counts."""
    joints = model.joints
    stands = np.ones(len(joints), bool)
    for stub in (joints.stub_a, joints.stub_b):
        stands &= (stub < 0) | model.node_standing[np.maximum(stub, 0)]
    return stands


def millimetres(length_m: float) -> str:
    """A length in whole millimetres, with a tenth below 10 mm."""
    value = length_m * 1000.0
    text = f"{value:.1f}" if abs(value) < 9.95 else f"{value:.0f}"
    return text.removesuffix(".0").replace("-0", "0", text == "-0.0") + " mm"
